"""From suggestions to the marks that hold: which attempt counts, what the teacher decided, what changed since last time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from grader.exchange.cells import counted, some_of
from grader.exchange.changes import CHANGES_FILE, changes, changes_csv, summary_of
from grader.exchange.marksfile import MARKS_FILE, read_marks
from grader.marking.attempts import EXCUSED, count_attempts
from grader.marking.definitions import Rubric
from grader.rubric.decisions import DECISIONS_FILE, KeptDecision, settle, with_decisions
from grader.rubric.kept_decisions import decisions_csv, read_kept

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class Earlier:
    """What a folder of results holds from an earlier run: its marks, the decisions, and what to tell about them."""

    marks: pd.DataFrame | None = None
    decisions: tuple[KeptDecision, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class SettledMarks:
    """The marks that hold, the files to keep beside them (name → content), and what to tell the teacher."""

    marks: pd.DataFrame
    files: Mapping[str, bytes] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


def read_earlier(folder: Path | None, rubric: Rubric, feedback_file: str) -> Earlier:
    """What stands in the folder that results will go to. Raises GraderError where the teacher's work there cannot be read."""
    if folder is None or not folder.is_dir():
        return Earlier()
    before = read_marks(folder / MARKS_FILE)
    decisions, notes = read_kept(folder, feedback_file, rubric, before)
    return Earlier(before, decisions, notes)


def settle_marks(marks: pd.DataFrame, answers: pd.DataFrame, rubric: Rubric, earlier: Earlier) -> SettledMarks:
    """The marks that hold, from the suggestions for every attempt (made without the rubric's decisions). Pure."""
    ruled = replace(rubric, decisions=(*(each.decision for each in earlier.decisions), *rubric.decisions))
    counting = count_attempts(marks, answers, ruled)
    settled = settle(rubric, earlier.decisions, counting)
    table = with_decisions(counting, settled)
    notes = [*earlier.notes, *settled.notes, *_of_excused(table), *_of_lateness(table)]
    files: dict[str, bytes] = {}
    if settled.kept or earlier.decisions:
        files[DECISIONS_FILE] = decisions_csv(settled.kept)
    if earlier.marks is not None:
        found = changes(earlier.marks, table)
        files[CHANGES_FILE] = changes_csv(found)
        notes.append(summary_of(found, set(map(str, table["student_id"]))))
    return SettledMarks(table, files, tuple(notes))


def without_excused(marks: pd.DataFrame) -> pd.DataFrame:
    """The marks without those from which students are excused."""
    return marks[~_excused(marks)].reset_index(drop=True)


def _excused(marks: pd.DataFrame) -> pd.Series[bool]:
    """Where nothing is possible: a teacher's own note on a decision may be the same word."""
    return marks["decided"].eq(EXCUSED) & marks["points_possible"].eq(0)


def _of_excused(marks: pd.DataFrame) -> list[str]:
    excused = list(dict.fromkeys(marks.loc[_excused(marks), "student_id"].tolist()))
    if not excused:
        return []
    return [f"Excused, from all or a part: {some_of(excused)}. What they are excused from counts neither way."]


def _of_lateness(marks: pd.DataFrame) -> list[str]:
    late = marks.loc[marks["days_late"] > 0, "student_id"].nunique()
    return [f"{counted(late, 'student')} handed in late; days_late in the marks says by how much."] if late else []
