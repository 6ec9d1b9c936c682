"""The command line: each command is a thin skin over one call of ``grader.homework``.

Heavy libraries are imported inside the commands, so that ``grader --help`` answers at once.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from grader import __version__
from grader.errors import GraderError, InputFaults
from grader.mail.command import mail

if TYPE_CHECKING:
    from rich.console import Console

    from grader.exchange.export import Export
    from grader.homework import Marked
    from grader.reports.summary import Reconciliation

FOLDER_OF_DEMO = "grader-demo"
_OBJECTS_BETWEEN_LOOKS = 100_000
_FAULT = 2  # the exit code where an input is wrong; nothing has been written


class _Group(click.Group):
    """The commands in the order in which a teacher needs them, and errors as one sentence without a traceback."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except InputFaults as faults:
            from grader.exchange.cells import counted

            count = len(faults.faults)
            for fault in faults.faults:
                click.echo(f"• {fault}", err=True)
            click.echo(f"{counted(count, 'thing')} to mend. Nothing was written.", err=True)
            sys.exit(_FAULT)
        except GraderError as error:
            click.echo(f"{error}", err=True)
            sys.exit(_FAULT)


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="grader")
def main() -> None:
    """Mark short numeric homework on vectors.

    A rubric workbook says what is asked; an export holds what students wrote. Marks are suggestions: the teacher decides.

    \b
    Example:
      grader mark rubric.xlsx export.csv --out results
    """


def _path(**checks: bool) -> click.Path:
    return click.Path(path_type=Path, **checks)


@main.command()
@click.argument("rubric", metavar="RUBRIC.xlsx", type=_path())
def new(rubric: Path) -> None:
    """Write a blank rubric workbook to fill in.

    It has drop-downs, notes on its headings and two example problems. An existing file is never replaced.

    \b
    Example:
      grader new rubric.xlsx
    """
    from grader.rubric.blank import write_blank

    path = write_blank(rubric)
    click.echo(f"Wrote {path}. Fill in the sheet Problems, then run: grader key {path}")


@main.command()
@click.argument("rubric", metavar="RUBRIC.xlsx", type=_path())
@click.option("--suggest", is_flag=True, help="Instead of the key: nearby numbers that reveal more mistakes.")
@click.option("--mistakes", is_flag=True, help="List the answer that each mistake would lead to.")
def key(rubric: Path, suggest: bool, mistakes: bool) -> None:
    """Check a rubric and show its key.

    Every problem is solved by each method, with the working line by line, and with what its numbers can and cannot
    reveal. Keys are for teaching, not for rigging, lifting or navigation.

    \b
    Example:
      grader key rubric.xlsx
      grader key rubric.xlsx --suggest
    """
    from grader.homework import key_of, sentences_of, suggestions_for
    from grader.reports.key import print_key, print_mistakes, print_suggestions

    console = _console()
    read, solutions, revealed = key_of(rubric)
    if suggest:
        with _progress(console, "Searching") as progress:
            suggestions = suggestions_for(read, progress)
        print_suggestions(console, read, suggestions)
    else:
        print_key(console, solutions, read, {label: sentences_of(each) for label, each in revealed.items()})
    if mistakes:
        print_mistakes(console, read)


@main.command()
@click.argument("rubric", metavar="RUBRIC.xlsx", type=_path())
@click.argument("exports", metavar="EXPORT...", nargs=-1, required=True, type=_path())
@click.option(
    "--out", metavar="FOLDER", required=True, type=_path(), help="Where the results go; made if it is not there."
)
def mark(rubric: Path, exports: tuple[Path, ...], out: Path) -> None:
    """Mark the answers in one or more exports.

    Writes feedback.xlsx, class.html, marks.csv, oneroster.zip and a copy of each export with the scores into FOLDER. The
    inputs are never changed. Points typed into the sheets To look at and Feedback of feedback.xlsx are kept when you mark
    into the same folder again, and changes.csv then says what changed for whom. An export may also be QTI results: XML
    files, folders or zips of them.

    \b
    Example:
      grader mark rubric.xlsx tuesday.csv thursday.xlsx --out results
    """
    _mark(rubric, exports, out)


@main.command()
@click.argument("rubric", metavar="RUBRIC.xlsx", type=_path())
@click.argument("exports", metavar="EXPORT...", nargs=-1, required=True, type=_path())
def columns(rubric: Path, exports: tuple[Path, ...]) -> None:
    """Match the columns of an export, and keep the match.

    Shows what each column was taken for and writes it into the sheet Columns of the rubric, where it can be corrected
    and where the next export of the same kind finds it. Everything else in the workbook stays as it is.

    \b
    Example:
      grader columns rubric.xlsx tuesday.csv
    """
    from grader.exchange.cells import counted
    from grader.homework import keep_columns
    from grader.reports.terminal import print_columns, print_notes

    console = _console()
    kept = keep_columns(rubric, exports)
    print_columns(
        console, [(file, match.heading, match.holds, match.how) for file, found in kept.matches for match in found]
    )
    print_notes(console, kept.notes)
    rows = counted(kept.added, "row")
    click.echo(
        f"Wrote {rows} into the sheet Columns of {rubric}." if kept.added else f"{rubric} has all of this already."
    )


main.add_command(mail)


@main.command("class")
@click.argument("folders", metavar="FOLDER...", nargs=-1, required=True, type=_path())
@click.option("--rubric", metavar="RUBRIC.xlsx", type=_path(), help="The last folder's rubric, if it has moved.")
@click.option("--out", metavar="FOLDER", type=_path(), help="Where class.html goes; the last folder, if not given.")
def class_(folders: tuple[Path, ...], rubric: Path | None, out: Path | None) -> None:
    """Show how a class changes over several homeworks.

    Give the folders of results, oldest first. The page class.html of the last one is written again, with the wrong
    turns that fade and those that stay. What is learnt is kept in a file beside the rubric (student records: keep it
    private), so that later it is enough to give the newest folder.

    \b
    Example:
      grader class week1-results week2-results week3-results
    """
    from grader.course import class_over_time
    from grader.exchange.cells import counted

    course = class_over_time(folders, rubric, out)
    for note in course.notes:
        click.echo(f"! {note}", err=True)
    click.echo(f"Wrote {course.page}, over {counted(len(course.homeworks), 'homework')}.")


@main.command()
@click.option(
    "--out", metavar="FOLDER", default=FOLDER_OF_DEMO, show_default=True, type=_path(), help="Where the results go."
)
def demo(out: Path) -> None:
    """Mark the sample class that comes with the program.

    \b
    Example:
      grader demo
    """
    from grader.homework import SAMPLE_EXPORTS, SAMPLE_RUBRIC, sample

    rubric = sample(SAMPLE_RUBRIC)
    exports = [sample(name) for name in SAMPLE_EXPORTS]
    _console().print(f"The sample rubric is {rubric}", highlight=False, soft_wrap=True)
    _mark(rubric, exports, out)


def _mark(rubric: Path, exports: Sequence[Path], out: Path) -> None:
    from grader.exchange.files import check_output
    from grader.exchange.marksfile import MARKS_FILE
    from grader.homework import FEEDBACK_FILE, mark_homework, read_homework
    from grader.methods.part_names import names_of_parts
    from grader.reports.terminal import print_class, print_columns_briefly

    # A short run with hardly any cycles: to look for them at the usual pace, and through every library, takes a tenth of it.
    gc.set_threshold(_OBJECTS_BETWEEN_LOOKS)
    gc.freeze()
    console = _console()
    inputs = (rubric, *exports)
    check_output(out, (MARKS_FILE, FEEDBACK_FILE), inputs)
    read, export = read_homework(rubric, exports)
    print_columns_briefly(
        console,
        [(file, match.heading, match.holds, match.how) for file, found in export.matches.items() for match in found],
    )
    with _progress(console, "Marking") as progress:
        marked = mark_homework(read, export, out, inputs, progress)
    names = names_of_parts(marked.rubric.problems)
    print_class(console, marked.marks, _reconciliation(marked), _notes(export, marked), marked.files, names)


def _reconciliation(marked: Marked) -> Reconciliation:
    from grader.reports.summary import reconcile

    students = list(dict.fromkeys(marked.export.answers["student_id"].tolist()))
    parts = {one.problem.label: [key.part for key in one.parts] for one in marked.solutions}
    return reconcile(marked.marks, students, parts)


def _notes(export: Export, marked: Marked) -> Iterator[str]:
    yield from marked.rubric.warnings
    for solution in marked.solutions:
        yield from (f"Problem {solution.problem.label}: {warning}" for warning in solution.warnings)
    yield from export.notes
    yield from marked.notes
    commas = [source for source, shown in marked.decimal_marks.items() if shown == "comma"]
    if commas and marked.rubric.settings.decimal_mark == "as the export":
        yield f"The answers of {', '.join(commas)} use decimal commas as a whole, so numbers such as 1,234 were read so."
    for row in export.set_aside:
        place = f"{row.file}, sheet {row.sheet}" if row.sheet else row.file
        yield f"{place}, row {row.row} was set aside: {row.reason}"


def _console() -> Console:
    from rich.console import Console

    # A pipe in an older code page has no ✓; a question mark in its place beats a traceback.
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    return Console()


@contextmanager
def _progress(console: Console, says: str) -> Iterator[Callable[[int, int], None] | None]:
    """A progress bar on a terminal; none where the output is piped."""
    if not console.is_terminal:
        yield None
        return
    from rich.progress import Progress

    with Progress(console=console, transient=True) as bar:
        task = bar.add_task(says)

        def tell(done: int, total: int) -> None:
            bar.update(task, completed=done, total=total)

        yield tell


if __name__ == "__main__":
    main()
