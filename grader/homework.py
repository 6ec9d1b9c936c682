"""The main job in one call: a rubric and exports in, marks and reports out. The command line is a thin skin over this."""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from grader.errors import GraderError
from grader.exchange.export import Export, read_exports
from grader.exchange.files import check_output, write_files
from grader.marking.definitions import Rubric
from grader.marking.evidence import class_evidence
from grader.marking.mark import conventions_for, mark, prepare, solve_all
from grader.marking.reveal import Revealed, reveal
from grader.methods.solution import Solution
from grader.mistakes.catalogue import known_mistakes, wordings
from grader.notation.read import decimal_mark
from grader.rubric.read import read_rubric

if TYPE_CHECKING:
    import pandas as pd

Progress = Callable[[int, int], None]

MARKS_FILE, FEEDBACK_FILE = "marks.csv", "feedback.xlsx"


@dataclass(frozen=True)
class Marked:
    """A marked homework: what was read, the marks, the key, and the files that were written."""

    rubric: Rubric
    export: Export
    marks: pd.DataFrame
    solutions: tuple[Solution, ...]
    decimal_mark: str
    files: tuple[Path, ...] = ()


def open_rubric(path: Path) -> Rubric:
    """The rubric workbook, its mistakes checked against the catalogue; InputFaults with everything that is wrong."""
    return read_rubric(path, known_mistakes())


def key_of(path: Path) -> tuple[Rubric, tuple[Solution, ...], dict[str, Revealed]]:
    """The key of a rubric, and for each problem what its numbers can reveal."""
    rubric = open_rubric(path)
    prepared = prepare(rubric)
    solutions = tuple(one.solved.solution for one in prepared.values())
    return rubric, solutions, {label: reveal(one) for label, one in prepared.items()}


def read_homework(rubric_path: Path, export_paths: Sequence[Path]) -> tuple[Rubric, Export]:
    """The rubric and the exports, read and checked; nothing is marked yet."""
    rubric = open_rubric(rubric_path)
    return rubric, read_exports(export_paths, rubric)


def mark_homework(
    rubric: Rubric, export: Export, out: Path | None = None, inputs: Sequence[Path] = (), progress: Progress | None = None
) -> Marked:
    """Mark everything in an export; with ``out``, write the results into that folder, all or none.

    Raises GraderError where a problem cannot be solved or the folder cannot be written.
    """
    if out is not None:
        check_output(out, (MARKS_FILE, FEEDBACK_FILE), inputs)
    shown = decimal_mark(_texts(export)) or "point"
    conventions = conventions_for(rubric, shown)
    first = mark(rubric, export.answers, conventions)
    marks = mark(rubric, export.answers, conventions, class_evidence(first), progress)
    solutions = tuple(solved.solution for solved in solve_all(rubric))
    written: tuple[Path, ...] = ()
    if out is not None:
        written = write_files(out, _contents(rubric, export, marks, solutions), inputs)
    return Marked(rubric, export, marks, solutions, shown, written)


def scores(marks: pd.DataFrame) -> dict[str, tuple[float | None, float]]:
    """Student id → (points, points possible); points are None while an answer needs a look."""
    found = {}
    for student, rows in marks.groupby("student_id", sort=False):
        points, possible = rows["points"].tolist(), rows["points_possible"].tolist()
        undecided = any(math.isnan(value) for value in points)
        found[str(student)] = (None if undecided else round(math.fsum(points), 6), round(math.fsum(possible), 6))
    return found


def _texts(export: Export) -> list[str]:
    """Every distinct text of an answer box: what the export shows about its decimal mark."""
    return list(dict.fromkeys(cell for boxes in export.answers["written"] for _, cell in boxes if isinstance(cell, str)))


def _contents(
    rubric: Rubric, export: Export, marks: pd.DataFrame, solutions: Sequence[Solution]
) -> Mapping[str, bytes]:
    from grader.exchange.gradebook import gradebook_files
    from grader.reports.workbook import feedback_workbook

    buffer = io.BytesIO()
    feedback_workbook(marks, solutions, rubric).save(buffer)
    return {
        MARKS_FILE: marks_csv(marks),
        FEEDBACK_FILE: buffer.getvalue(),
        **gradebook_files(export, scores(marks)),
    }


def marks_csv(marks: pd.DataFrame) -> bytes:
    """The marks as CSV (RFC 4180, UTF-8). Texts that a spreadsheet program would run as a formula get an apostrophe."""
    from grader.exchange.csvfile import neutralised

    table = marks.copy()
    for column in table.columns:
        if table[column].dtype == object:
            distinct = {value: neutralised(str(value)) for value in table[column].unique()}
            table[column] = table[column].map(distinct)
    return str(table.to_csv(index=False, lineterminator="\r\n")).encode("utf-8")


def sentences_of(revealed: Revealed) -> list[str]:
    """What a problem's numbers can reveal, as sentences for the key."""
    names = {id_: wording.name for id_, wording in wordings().items()}

    def listed(ids: Sequence[str]) -> str:
        return "; ".join(names.get(id_, id_) for id_ in ids)

    said = []
    if revealed.told_apart:
        said.append(f"{len(revealed.told_apart)} mistakes show by an answer of their own: {listed(revealed.told_apart)}.")
    said += [f"No answer can tell apart: {listed(ids)}." for ids in revealed.alike]
    if revealed.invisible:
        said.append(f"These numbers hide: {listed(revealed.invisible)}.")
    return said


def sample(name: str) -> Path:
    """A file of the sample class: from the installed package, or from the source tree around it."""
    for root in (Path(str(files("grader"))) / "samples", Path(__file__).resolve().parent.parent):
        if (root / name).is_file():
            return root / name
    raise GraderError(f"The sample file {name} is missing from this installation; install the package again.")


SAMPLE_RUBRIC = "rubrics/harbour-vectors.xlsx"
SAMPLE_EXPORTS = ("sample_submissions/section-a.csv", "sample_submissions/section-b.xlsx")

