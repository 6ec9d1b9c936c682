"""The command line: each command is a thin skin over one call of ``grader.homework``.

Heavy libraries are imported inside the commands, so that ``grader --help`` answers at once.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from grader import __version__
from grader.errors import GraderError, InputFaults

if TYPE_CHECKING:
    from rich.console import Console

    from grader.exchange.export import Export
    from grader.homework import Marked

FOLDER_OF_DEMO = "grader-demo"
_FAULT = 2  # the exit code where an input is wrong; nothing has been written


class _Group(click.Group):
    """The commands in the order in which a teacher needs them, and errors as one sentence without a traceback."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except InputFaults as faults:
            count = len(faults.faults)
            for fault in faults.faults:
                click.echo(f"• {fault}", err=True)
            click.echo(f"{count} thing{'s' if count > 1 else ''} to mend. Nothing was written.", err=True)
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
    return click.Path(path_type=Path, **checks)  # type: ignore[arg-type]


@main.command()
@click.argument("rubric", metavar="RUBRIC.xlsx", type=_path())
def new(rubric: Path) -> None:
    """Write a blank rubric workbook to fill in.

    It has drop-downs, notes on its headings and two example problems. An existing file is never replaced.

    \b
    Example:
      grader new rubric.xlsx
    """
    from grader.mistakes.catalogue import known_mistakes
    from grader.rubric.blank import write_blank

    path = write_blank(rubric, known_mistakes())
    click.echo(f"Wrote {path}. Fill in the sheet Problems, then run: grader key {path}")


@main.command()
@click.argument("rubric", metavar="RUBRIC.xlsx", type=_path())
def key(rubric: Path) -> None:
    """Check a rubric and show its key.

    Every problem is solved by each method, with the working line by line, and with what its numbers can and cannot
    reveal. Keys are for teaching, not for rigging, lifting or navigation.

    \b
    Example:
      grader key rubric.xlsx
    """
    from grader.homework import key_of, sentences_of
    from grader.reports.key import print_key

    read, solutions, revealed = key_of(rubric)
    print_key(_console(), solutions, read, {label: sentences_of(each) for label, each in revealed.items()})


@main.command()
@click.argument("rubric", metavar="RUBRIC.xlsx", type=_path())
@click.argument("exports", metavar="EXPORT...", nargs=-1, required=True, type=_path())
@click.option("--out", metavar="FOLDER", required=True, type=_path(), help="Where the results go; made if it is not there.")
def mark(rubric: Path, exports: tuple[Path, ...], out: Path) -> None:
    """Mark the answers in one or more exports.

    Writes feedback.xlsx, marks.csv and a copy of each export with the scores into FOLDER. The inputs are never changed.

    \b
    Example:
      grader mark rubric.xlsx tuesday.csv thursday.xlsx --out results
    """
    _mark(rubric, exports, out)


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
    from grader.homework import FEEDBACK_FILE, MARKS_FILE, mark_homework, read_homework
    from grader.reports.terminal import print_class, print_columns

    console = _console()
    inputs = (rubric, *exports)
    check_output(out, (MARKS_FILE, FEEDBACK_FILE), inputs)
    read, export = read_homework(rubric, exports)
    print_columns(
        console,
        [(file, match.heading, match.holds, match.how) for file, found in export.matches.items() for match in found],
    )
    with _progress(console, "Marking") as progress:
        marked = mark_homework(read, export, out, inputs, progress)
    print_class(console, marked.marks, _reconciliation(marked), _notes(export, marked), marked.files)


def _reconciliation(marked: Marked):  # type: ignore[no-untyped-def]
    from grader.reports.summary import reconcile

    students = list(dict.fromkeys(marked.export.answers["student_id"].tolist()))
    parts = {one.problem.label: [key.part for key in one.parts] for one in marked.solutions}
    return reconcile(marked.marks, students, parts)


def _notes(export: Export, marked: Marked) -> Iterator[str]:
    yield from marked.rubric.warnings
    yield from export.notes
    if marked.decimal_mark == "comma" and marked.rubric.settings.decimal_mark == "as the export":
        yield "The answers as a whole use decimal commas, so numbers such as 1,234 were read so."
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
