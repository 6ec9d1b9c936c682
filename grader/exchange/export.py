"""Exports of answers: from files as they come to one row per student and problem, every input row accounted for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from grader.errors import Fault, GraderError, InputFaults
from grader.exchange.answers import ANSWER_COLUMNS, Written, answers_table
from grader.exchange.cells import is_blank, listed, quoted
from grader.exchange.columns import ColumnMatch, ColumnMatcher, heading_row
from grader.exchange.csvfile import read_delimited
from grader.exchange.students import (
    ExportTable,
    SetAside,
    StudentRow,
    check_students,
    latest_attempts,
    source_of,
    student_rows,
)
from grader.exchange.table import RawTable
from grader.exchange.workbook import read_workbook
from grader.marking.definitions import Rubric

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["ANSWER_COLUMNS", "Export", "ExportTable", "SetAside", "Written", "read_export", "read_exports"]

Paths: TypeAlias = str | Path | Iterable[str | Path]

_WORKBOOKS = (".xlsx", ".xlsm")
_UNREADABLE = {
    ".xls": "an old workbook",
    ".ods": "a workbook of another format",
    ".numbers": "a workbook of another format",
    ".pdf": "a document to print",
    ".docx": "a text document",
}


@dataclass(frozen=True)
class Export:
    """Everything read from the exports of one homework.

    ``answers`` is a pandas table with the columns ``ANSWER_COLUMNS`` and a row for every student and problem, in the
    order of the files and of the rubric; ``written`` holds tuples of (box, cell). Every row of every table is the row
    of headings, a student's (``ExportTable.students``), or among ``set_aside``.
    """

    answers: pd.DataFrame
    tables: tuple[ExportTable, ...]
    set_aside: tuple[SetAside, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def matches(self) -> dict[str, tuple[ColumnMatch, ...]]:
        """Source (file, and sheet where a workbook has several) → what each of its columns was taken for."""
        return {source_of(table.raw, self.tables): table.matches for table in self.tables}


def read_export(paths: Paths, rubric: Rubric) -> pd.DataFrame:
    """The answers of one or several exports: a row per student and problem; see ``Export.answers``."""
    return read_exports(paths, rubric).answers


def read_exports(paths: Paths, rubric: Rubric) -> Export:
    """Read one or several exports (CSV, semicolon CSV, TSV or .xlsx) of answers to the problems of a rubric.

    Raises GraderError, one sentence, for a file that cannot be read or holds no students, and InputFaults for columns
    or students that leave doubt: a problem without a column, two columns for one thing, a student twice.
    """
    files = [Path(paths)] if isinstance(paths, str | Path) else [Path(each) for each in paths]
    if not files:
        raise GraderError("No export of answers was named; give at least one file.")
    matcher = ColumnMatcher(rubric)
    notes: list[str] = []
    aside: list[SetAside] = []
    raws: list[RawTable] = []
    for path in _without_repeats(files, notes):
        raws += _tables(path, matcher, notes)
    headed = [(raw, row) for raw in _told_apart(raws) if (row := heading_row(raw.rows, matcher)) is not None]
    matched = [ExportTable(raw, row, matcher.match(raw.rows[row])) for raw, row in headed]
    _check_columns(matched, matcher, rubric)
    found: list[StudentRow] = []
    empty: list[ExportTable] = []
    for number, table in enumerate(matched):
        rows = student_rows(number, table, aside)
        if not rows:
            empty.append(table)
        found += rows
    _check_filled(matched, empty, notes)
    check_students(matched, found)
    chosen = latest_attempts(matched, found, aside)
    tables = tuple(
        ExportTable(
            table.raw,
            table.header,
            table.matches,
            {each.row: each.student_id for each in chosen if each.table == number},
        )
        for number, table in enumerate(matched)
    )
    notes += [note for table in tables for note in (*table.raw.notes, *_short_rows(table))]
    answers = answers_table(tables, chosen, rubric, notes)
    order = {(table.file, table.sheet): number for number, table in enumerate(tables)}
    aside.sort(key=lambda each: (order[each.file, each.sheet], each.row))
    return Export(answers, tables, tuple(aside), tuple(notes))


def _without_repeats(files: Sequence[Path], notes: list[str]) -> list[Path]:
    kept: dict[Path, Path] = {}
    for path in files:
        if path.resolve() in kept:
            notes.append(f"{path.name} was named twice and is read once.")
        kept.setdefault(path.resolve(), path)
    return list(kept.values())


def _told_apart(raws: Sequence[RawTable]) -> list[RawTable]:
    """Two files of one name in two folders are called by their folders too."""
    paths = {raw.path for raw in raws}
    names = Counter(path.name for path in paths)
    folders = Counter((path.parent.name, path.name) for path in paths)
    told = []
    for raw in raws:
        short = f"{raw.path.parent.name}/{raw.path.name}"
        label = short if folders[raw.path.parent.name, raw.path.name] == 1 else str(raw.path)
        told.append(replace(raw, label=label) if names[raw.path.name] > 1 else raw)
    return told


def _tables(path: Path, matcher: ColumnMatcher, notes: list[str]) -> list[RawTable]:
    """The tables of one file that have a row of headings; raises GraderError when there is none."""
    if not path.exists():
        raise GraderError(f"{path} does not exist; check the name and the folder.")
    if path.is_dir():
        raise GraderError(f"{path} is a folder; name the files of answers in it.")
    suffix = path.suffix.lower()
    if suffix in _UNREADABLE:
        raise GraderError(f"{path.name} is {_UNREADABLE[suffix]}; save the answers as .xlsx or .csv and try again.")
    if path.stat().st_size == 0:
        raise GraderError(f"{path.name} is empty; export the answers again.")
    is_workbook = suffix in _WORKBOOKS or _is_archive(path)
    raws = read_workbook(path) if is_workbook else (read_delimited(path, matcher.headings_known),)
    filled = [raw for raw in raws if not raw.empty]
    if not filled:
        raise GraderError(f"{path.name} is empty; export the answers again.")
    headed = [raw for raw in filled if heading_row(raw.rows, matcher) is not None]
    if not headed:
        first = next((row for row in filled[0].rows if sum(not is_blank(cell) for cell in row) > 1), filled[0].rows[0])
        shown = ", ".join(quoted(cell) for cell in first[:8] if not is_blank(cell))
        raise InputFaults(
            [
                Fault(
                    file=path.name,
                    sheet=filled[0].sheet,
                    found=f"no row of headings with a student id (the first row reads {shown})",
                    expected="a row of headings, one of them “Student ID” or the like",
                    remedy="If a column holds it, name it in the sheet Columns of the rubric with “student id”.",
                )
            ]
        )
    notes += [
        f"{path.name}: the sheet {quoted(raw.sheet)} has no heading for a student id and was not read."
        for raw in filled
        if raw not in headed
    ]
    return headed


def _is_archive(path: Path) -> bool:
    with path.open("rb") as file:
        return file.read(4) == b"PK\x03\x04"


def _check_filled(tables: Sequence[ExportTable], empty: Sequence[ExportTable], notes: list[str]) -> None:
    """A file without any student is refused; an empty sheet beside a filled one is only noted."""
    for table in empty:
        if all(other in empty for other in tables if other.raw.path == table.raw.path):
            raise GraderError(
                f"{table.file} has headings in row {table.header + 1} and no student below them; export the answers again."
            )
        notes.append(f"{table.file}: the sheet {quoted(table.sheet)} has headings and no students.")


def _short_rows(table: ExportTable) -> list[str]:
    """A note on rows of a text file that end before the last column that is read."""
    last = max(match.index for match in table.matches if match.meaning is not None)
    short = [number for number in table.students if len(table.rows[number - 1]) <= last]
    if not short or not table.raw.delimiter:
        return []
    shown = listed([*map(str, short[:8]), *([f"{len(short) - 8} more"] if len(short) > 8 else [])], "and")
    ends = "row {} ends" if len(short) == 1 else "rows {} end"
    return [f"{table.file}: {ends.format(shown)} before the last column; what is missing was taken as blank."]


def _check_columns(tables: Sequence[ExportTable], matcher: ColumnMatcher, rubric: Rubric) -> None:
    faults = [
        fault for table in tables for fault in matcher.faults(table.matches, table.file, table.sheet, table.header + 1)
    ]
    rubric_file = rubric.path.name if rubric.path else "the rubric"
    faults = matcher.unmatched_rules({(each.file, each.sheet): each.matches for each in tables}, rubric_file) + faults
    if faults:
        raise InputFaults(faults)
