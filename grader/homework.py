"""The main job in one call: a rubric and exports in, marks and reports out. The command line is a thin skin over this."""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from grader.course import CLASS_FILE, page_of, remember
from grader.errors import GraderError
from grader.exchange.cells import counted, some_of
from grader.exchange.columns import ColumnMatch
from grader.exchange.export import Export, read_exports
from grader.exchange.files import check_output, write_files
from grader.exchange.marksfile import MARKS_FILE, marks_csv
from grader.exchange.origin import ORIGIN_FILE, origin_file
from grader.marking.definitions import Rubric
from grader.marking.evidence import ClassEvidence, class_evidence
from grader.marking.mark import conventions_for, mark, prepare
from grader.marking.prepared import Prepared
from grader.marking.reveal import Revealed, reveal
from grader.marking.suggest import suggest
from grader.methods.solution import Solution
from grader.mistakes.catalogue import wordings
from grader.notation.decimal_marks import decimal_mark
from grader.notation.readings import Conventions
from grader.rubric.read import read_rubric
from grader.rubric.settling import Earlier, read_earlier, settle_marks, without_excused

if TYPE_CHECKING:
    import pandas as pd

Progress = Callable[[int, int], None]

FEEDBACK_FILE = "feedback.xlsx"


@dataclass(frozen=True)
class Marked:
    """A marked homework: what was read, the marks, the key, the files that were written, and notes for the teacher."""

    rubric: Rubric
    export: Export
    marks: pd.DataFrame
    solutions: tuple[Solution, ...]
    decimal_marks: Mapping[str, str | None]
    files: tuple[Path, ...] = ()
    notes: tuple[str, ...] = ()


def key_of(path: Path) -> tuple[Rubric, tuple[Solution, ...], dict[str, Revealed]]:
    """The key of a rubric, and for each problem what its numbers can reveal."""
    rubric = read_rubric(path)
    prepared = prepare(rubric)
    solutions = tuple(one.solved.solution for one in prepared.values())
    return rubric, solutions, {label: reveal(one) for label, one in prepared.items()}


def read_homework(rubric_path: Path, export_paths: Sequence[Path]) -> tuple[Rubric, Export]:
    """The rubric and the exports, read and checked; nothing is marked yet."""
    rubric = read_rubric(rubric_path)
    return rubric, read_exports(export_paths, rubric)


@dataclass(frozen=True)
class KeptColumns:
    """What the columns of exports were taken for: (export, its matches), how many rows the rubric gained, and notes."""

    matches: tuple[tuple[str, tuple[ColumnMatch, ...]], ...]
    added: int
    notes: tuple[str, ...] = ()


def keep_columns(rubric_path: Path, export_paths: Sequence[Path]) -> KeptColumns:
    """Match the columns of exports and write the match into the rubric's sheet Columns.

    Raises GraderError, with nothing written, where the rubric or the match has a fault.
    """
    from grader.exchange.export import matches_of, read_tables
    from grader.rubric.remember import new_rules, remember_columns

    rubric = read_rubric(rubric_path)
    notes: list[str] = []
    tables = read_tables(export_paths, rubric, notes)
    matches = tuple(matches_of(tables).items())
    rules = new_rules(matches, rubric.columns)
    remember_columns(rubric_path, rules)
    told = (note for table in tables for note in table.raw.notes)
    return KeptColumns(matches, len(rules), (*rubric.warnings, *notes, *told))


def mark_class(rubric: Rubric, answers: pd.DataFrame) -> pd.DataFrame:
    """The marks of a whole class as ``grader mark`` gives them, a row per student, problem and part.

    ``answers`` is the table that ``grader.read_export`` gives, or one of your own with the columns ``student_id``,
    ``problem`` and ``written``. Unlike ``grader.mark``, which judges each answer by itself, this looks at the class as a
    whole: how its files write decimals, and which mistakes are common in it and run through a student's answers. Then
    the rubric's rules hold: which attempt counts, what lateness costs, who is excused, what was decided. The marks have
    the columns of ``grader.mark`` and ``days_late``, and do not depend on the order of the rows. Raises GraderError where a
    problem cannot be solved or the answers name one that the rubric does not have.
    """
    answers = answers.assign(**{name: "" for name in ("attempt", "source") if name not in answers})
    every = _suggestions(rubric, answers, _decimal_marks(answers), prepare(rubric))
    return settle_marks(every, answers, rubric, Earlier()).marks


def mark_homework(
    rubric: Rubric,
    export: Export,
    out: Path | None = None,
    inputs: Sequence[Path] = (),
    progress: Progress | None = None,
) -> Marked:
    """Mark everything in an export; with ``out``, write the results into that folder, all or none.

    Raises GraderError where a problem cannot be solved or the folder cannot be written.
    """
    if out is not None:
        check_output(out, (MARKS_FILE, FEEDBACK_FILE), inputs)
    earlier = read_earlier(out, rubric, FEEDBACK_FILE)
    shown = _decimal_marks(export.answers)
    prepared = prepare(rubric)
    every = _suggestions(rubric, export.answers, shown, prepared, progress)
    settled = settle_marks(every, export.answers, rubric, earlier)
    marks = settled.marks
    solutions = tuple(one.solved.solution for one in prepared.values())
    written: tuple[Path, ...] = ()
    notes: tuple[str, ...] = ()
    if out is not None:
        contents = {
            **_contents(rubric, export, marks, solutions),
            **settled.files,
            ORIGIN_FILE: _origin(out, rubric, export),
        }
        written = write_files(out, contents, inputs)
        notes = (*_of_earlier_exports(out, written), *remember(rubric, marks))
    return Marked(rubric, export, marks, solutions, shown, written, (*settled.notes, *notes))


def scores(marks: pd.DataFrame) -> dict[str, tuple[float | None, float]]:
    """Student id → (points, points possible); points are None while an answer needs a look."""
    found = {}
    for student, rows in without_excused(marks).groupby("student_id", sort=False):
        points, possible = rows["points"].tolist(), rows["points_possible"].tolist()
        undecided = any(math.isnan(value) for value in points)
        found[str(student)] = (None if undecided else round(math.fsum(points), 6), round(math.fsum(possible), 6))
    return found


def part_scores(marks: pd.DataFrame) -> dict[tuple[str, str, str], tuple[float | None, float]]:
    """(Student id, problem, part) → (points, points possible); points are None while the answer needs a look."""
    shown = without_excused(marks)
    names = ("student_id", "problem", "part", "points", "points_possible")
    return {
        (str(student), str(problem), str(part)): (None if math.isnan(points) else float(points), float(possible))
        for student, problem, part, points, possible in zip(*(shown[name].tolist() for name in names))
    }


def _of_earlier_exports(out: Path, written: Sequence[Path]) -> list[str]:
    """A warning on score files in the folder that this run did not write: their exports were not marked this time."""
    stale = sorted(
        path.name
        for kind in ("csv", "xlsx")
        for path in out.glob(f"*-scores*.{kind}")
        if path not in written and path.is_file()
    )
    if not stale:
        return []
    one = len(stale) == 1
    return [
        f"{some_of(stale)} in {out} {'is' if one else 'are'} from an earlier run and {'was' if one else 'were'} left as "
        f"{'it is' if one else 'they are'}; the {'export it belongs' if one else 'exports they belong'} to "
        f"{'was' if one else 'were'} not marked this time, so do not load {'it' if one else 'them'} back."
    ]


def _decimal_marks(answers: pd.DataFrame) -> dict[str, str | None]:
    """For each file what its answers as a whole show about their decimal mark: ``point``, ``comma``, or None."""
    texts: dict[str, dict[str, None]] = {}
    for source, boxes in zip(answers["source"].tolist(), answers["written"].tolist()):
        texts.setdefault(source, {}).update(dict.fromkeys(cell for _, cell in boxes if isinstance(cell, str)))
    return {source: decimal_mark(list(found)) for source, found in texts.items()}


def _suggestions(
    rubric: Rubric,
    answers: pd.DataFrame,
    decimal_marks: Mapping[str, str | None],
    prepared: Mapping[str, Prepared],
    progress: Progress | None = None,
) -> pd.DataFrame:
    """The marks of every attempt, with what the class shows, before any rule or decision of the teacher's."""
    suggesting = replace(rubric, decisions=())
    first = _mark_each(suggesting, answers, decimal_marks, prepared)
    return _mark_each(suggesting, answers, decimal_marks, prepared, class_evidence(first), progress)


def _mark_each(
    rubric: Rubric,
    answers: pd.DataFrame,
    decimal_marks: Mapping[str, str | None],
    prepared: Mapping[str, Prepared],
    evidence: ClassEvidence | None = None,
    progress: Progress | None = None,
) -> pd.DataFrame:
    """The marks of answers, each file read by its own decimal mark; files that write decimals alike are marked together."""
    import pandas as pd

    sources: dict[Conventions, list[str]] = {}
    for source, shown in decimal_marks.items():
        sources.setdefault(conventions_for(rubric, shown), []).append(source)
    tables = [
        mark(rubric, answers[answers["source"].isin(those)], conventions, evidence, progress, prepared)
        for conventions, those in sources.items()
    ]
    return pd.concat(tables, ignore_index=True) if tables else mark(rubric, answers, prepared=prepared)


def _contents(
    rubric: Rubric, export: Export, marks: pd.DataFrame, solutions: Sequence[Solution]
) -> Mapping[str, bytes]:
    from grader.exchange.gradebook import gradebook_files
    from grader.exchange.oneroster import ONEROSTER_FILE, oneroster_package
    from grader.reports.workbook import feedback_workbook

    buffer = io.BytesIO()
    shown = without_excused(marks)
    feedback_workbook(shown, solutions, rubric).save(buffer)
    return {
        MARKS_FILE: marks_csv(marks),
        FEEDBACK_FILE: buffer.getvalue(),
        CLASS_FILE: page_of(rubric, shown),
        ONEROSTER_FILE: oneroster_package(marks, rubric, date.today()),
        **gradebook_files(export, scores(marks), part_scores(marks)),
    }


def _origin(out: Path, rubric: Rubric, export: Export) -> bytes:
    """What the results came from, for ``grader mail`` to find the roster again."""
    return origin_file(out, rubric.settings.title, rubric.path, (table.raw.path for table in export.tables))


def sentences_of(revealed: Revealed) -> list[str]:
    """What a problem's numbers can reveal, as sentences for the key."""
    names = {id_: wording.name for id_, wording in wordings().items()}

    def listed(ids: Sequence[str]) -> str:
        return "; ".join(names.get(id_, id_) for id_ in ids)

    said = []
    if revealed.told_apart:
        count = len(revealed.told_apart)
        said.append(
            f"{counted(count, 'mistake')} {'shows' if count == 1 else 'show'} by an answer of "
            f"{'its' if count == 1 else 'their'} own: {listed(revealed.told_apart)}."
        )
    said += [f"No answer can tell apart: {listed(ids)}." for ids in revealed.alike]
    if revealed.invisible:
        said.append(f"These numbers hide: {listed(revealed.invisible)}.")
    return said


def suggestions_for(rubric: Rubric, progress: Progress | None = None) -> dict[str, str]:
    """For each problem the nearby numbers that reveal more mistakes, as a sentence; empty where nothing better was found."""
    said = {}
    for done, problem in enumerate(rubric.problems, start=1):
        found = suggest(problem, rubric.settings.carried_decimals)
        if found is None:
            said[problem.label] = ""
        else:
            more = len(found.after.told_apart) - len(found.before.told_apart)
            fewer = len(found.before.invisible) - len(found.after.invisible)
            alike = len(found.before.alike) - len(found.after.alike)
            hidden = f", {fewer} fewer hidden" if fewer > 0 else ""
            hidden += f", {counted(alike, 'set')} fewer that no answer tells apart" if alike > 0 else ""
            said[problem.label] = (
                f"{found.given} ({counted(len(found.before.told_apart), 'mistake')} told apart now, "
                f"{len(found.before.told_apart) + more} then{hidden})"
            )
        if progress is not None:
            progress(done, len(rubric.problems))
    return said


def sample(name: str) -> Path:
    """A file of the sample class: from the installed package, or from the source tree around it."""
    for root in (Path(str(files("grader"))) / "samples", Path(__file__).resolve().parent.parent):
        if (root / name).is_file():
            return root / name
    raise GraderError(f"The sample file {name} is missing from this installation; install the package again.")


SAMPLE_RUBRIC = "rubrics/harbour-vectors.xlsx"
SAMPLE_EXPORTS = ("sample_submissions/section-a.csv", "sample_submissions/section-b.xlsx")
