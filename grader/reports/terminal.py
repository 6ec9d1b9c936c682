"""What ``grader mark`` says on the terminal: how the columns were understood, and then how the class did.

Everything goes to a console that is handed in, so that it can be captured; 80 columns are enough. What students wrote
is shown as plain text: no markup of the console and no control character in it has any effect.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

from grader.exchange.cells import counted
from grader.exchange.columns import BY_SHEET
from grader.methods.part_names import PartNames
from grader.reports.summary import (
    MarkRow,
    MistakeCount,
    Reconciliation,
    as_text,
    common_mistakes,
    mark_rows,
    need_your_eyes,
    needing_a_look,
    verdict_counts,
)
from grader.reports.words import SUGGESTION, mistake_name, one_line, percent, why, with_others, with_sign

if TYPE_CHECKING:
    import pandas as pd
    from rich.console import Console
    from rich.table import Table

MOST_COMMON = 3
_LISTED_AT_MOST = 12
_LONGEST_TEXT = 60

MatchedColumn = tuple[str, str, str, str]
"""A file, a heading in it, what the column holds, and by what that was decided."""


def print_columns(console: Console, matched: Sequence[MatchedColumn]) -> None:
    """Show what each column of the exports was taken for."""
    for file in dict.fromkeys(file for file, *_ in matched):
        table = _table(f"Columns of {one_line(file)}", "Heading", "Holds", "Decided by")
        for name, heading, holds, how in matched:
            if name == file:
                _add(table, heading or "(no heading)", holds, how, style="dim" if holds == "ignored" else "")
        console.print(table)


def print_columns_briefly(console: Console, matched: Sequence[MatchedColumn]) -> None:
    """Say that the columns were matched; printed before anything is marked. A file with a column that was not has its table."""
    told = {file for file, heading, holds, how in matched if heading and holds == "ignored" and how != BY_SHEET}
    print_columns(console, [column for column in matched if column[0] in told])
    counts = Counter(file for file, *_ in matched if file not in told)
    if counts:
        said = ", ".join(f"{one_line(file)} ({counted(count, 'column')})" for file, count in counts.items())
        _say(console, f"Every column was matched: {said}. grader columns shows what each was taken for.", "dim")


def print_notes(console: Console, notes: Iterable[str]) -> None:
    """Show what the teacher should know about what was read, a line each."""
    for note in notes:
        _say(console, f"! {one_line(note)}", "yellow")


def print_class(
    console: Console,
    marks: pd.DataFrame,
    reconciliation: Reconciliation,
    notes: Iterable[str] = (),
    files: Sequence[Path] = (),
    part_names: PartNames | None = None,
) -> None:
    """Show how the class did: verdicts, common mistakes, what needs a look, notes, whether all was marked, the files."""
    marks = as_text(marks)
    _print_verdicts(console, marks)
    _print_mistakes(console, common_mistakes(marks)[:MOST_COMMON])
    _print_to_look_at(console, marks, part_names or {})
    print_notes(console, notes)
    _say(console, reconciliation.sentence(), "green" if reconciliation.complete else "bold red")
    _print_files(console, files)
    _say(console, SUGGESTION, "dim")


def _print_verdicts(console: Console, marks: pd.DataFrame) -> None:
    table = _table("Verdicts", "Verdict", "Parts", "Share", numbers=(1, 2))
    for each in verdict_counts(marks):
        if each.count:
            _add(table, with_sign(each.verdict), f"{each.count}", percent(each.share))
    console.print(table)


def _print_mistakes(console: Console, mistakes: Sequence[MistakeCount]) -> None:
    if not mistakes:
        _say(console, "No mistake was recognised in this class.")
        return
    table = _table("Most common mistakes", "Probable mistake", "Students", "Share", numbers=(1, 2))
    for each in mistakes:
        name = with_others(mistake_name(each.mistake), each.also)
        _add(table, name, f"{each.count} of {each.answered}", percent(each.share))
    console.print(table)


def _print_to_look_at(console: Console, marks: pd.DataFrame, part_names: PartNames) -> None:
    waiting: dict[tuple[str, str], list[MarkRow]] = {}
    for each in mark_rows(needing_a_look(marks)):
        waiting.setdefault((each.student_id, each.problem), []).append(each)
    if not waiting:
        _say(console, "✓ Nothing needs a look: every answer could be read and judged.", "green")
        return
    table = _table(need_your_eyes(marks), "Student", "Problem", "Written", "Why")
    for (student, problem), parts in islice(waiting.items(), _LISTED_AT_MOST):
        name = part_names.get((problem, parts[0].part), parts[0].part)
        # A vector in one box waits in each of its parts, with one text and often one reason.
        written = "; ".join(dict.fromkeys(each.written for each in parts))
        reasons = "; ".join(dict.fromkeys(why(each.note) for each in parts))
        _add(table, student, f"{problem} {name}" if len(parts) == 1 else problem, _short(written), reasons)
    console.print(table)
    more = len(waiting) - _LISTED_AT_MOST
    if more > 0:
        _say(
            console,
            f"… and {counted(more, 'more answer')}; all stand on the first sheet of the feedback workbook.",
            "dim",
        )


def _print_files(console: Console, files: Sequence[Path]) -> None:
    from rich.text import Text

    if not files:
        return
    _say(console, "Written:", "bold")
    for path in files:
        # Not wrapped, so that a path can be copied whole.
        console.print(Text(f"  {one_line(str(path))}"), soft_wrap=True, highlight=False)


def _table(title: str, *headings: str, numbers: Sequence[int] = ()) -> Table:
    """A table with a line under its headings; ``numbers`` are the columns that hold numbers."""
    from rich import box
    from rich.table import Table
    from rich.text import Text

    table = Table(title=Text(title, style="bold"), title_justify="left", box=box.SIMPLE_HEAD, header_style="bold")
    for index, heading in enumerate(headings):
        number = index in numbers
        table.add_column(heading, justify="right" if number else "left", no_wrap=number, overflow="fold")
    return table


def _add(table: Table, *cells: str, style: str = "") -> None:
    from rich.text import Text

    table.add_row(*(Text(one_line(cell)) for cell in cells), style=style)


def _say(console: Console, sentence: str, style: str = "") -> None:
    from rich.text import Text

    console.print(Text(sentence, style=style), highlight=False)


def _short(text: str) -> str:
    text = one_line(text)
    return text if len(text) <= _LONGEST_TEXT else text[: _LONGEST_TEXT - 1] + "…"
