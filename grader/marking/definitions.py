"""What the rest of the rubric workbook says: settings, roster, decisions, the teacher's own words on mistakes."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Literal

from grader.methods.problem import Problem

ALL_PROBLEMS = "all"
"""Stands among ``Student.excused`` for every problem of the homework."""


@dataclass(frozen=True, slots=True)
class Deduction:
    """What a day of lateness costs: a share of the points earned, or points off the whole homework."""

    amount: float = 0.0
    of: Literal["share", "points"] = "share"


@dataclass(frozen=True, slots=True)
class Settings:
    """Every setting with its default; the sheet Settings names each field in words (``carried decimals``).

    Credits are shares between 0 and 1 of the part's points.
    """

    title: str = ""
    carried_decimals: int = 4
    decimal_mark: Literal["point", "comma", "as the export"] = "as the export"
    dropped_zeros: Literal["accept", "strict"] = "accept"
    second_triangle: Literal["required", "not needed"] = "required"
    show_answers: bool = False
    explain_from: float = 0.6
    credit_right: float = 1.0
    credit_other_form: float = 1.0
    credit_unit_missing: float = 0.75
    credit_rounded_too_far: float = 0.75
    credit_rounded_early: float = 0.75
    credit_follows_on: float = 1.0
    attempt_that_counts: Literal["last", "best", "first", "average"] = "last"
    attempts_by: Literal["homework", "problem", "part"] = "homework"
    due: datetime | None = None
    time_zone: str = ""
    date_order: Literal["day first", "month first", "as the export"] = "as the export"
    late_per_day: Deduction = Deduction()
    late_floor: float = 0.0
    late_grace: float = 0.0
    gradebook_id: str = ""


@dataclass(frozen=True, slots=True)
class ColumnRule:
    """A row of the sheet Columns: a heading of the export and what its column holds (``problem 1 magnitude``)."""

    heading: str
    holds: str


@dataclass(frozen=True, slots=True)
class Student:
    """A row of the roster. ``excused`` holds the labels of problems, or ``ALL_PROBLEMS`` alone."""

    student_id: str
    name: str = ""
    email: str = ""
    section: str = ""
    excused: tuple[str, ...] = ()
    extra_time: timedelta = timedelta()

    def excused_from(self, problem: str) -> bool:
        return problem in self.excused or ALL_PROBLEMS in self.excused


@dataclass(frozen=True, slots=True)
class MistakeRule:
    """A row of the sheet Mistakes about a mistake of the catalogue: use it or not, and in which words."""

    mistake: str
    use: bool = True
    feedback: str = ""


@dataclass(frozen=True, slots=True)
class OwnMistake:
    """A mistake of the teacher's own: a formula for what a student who makes it would write on one problem.

    ``formula`` has one expression, or one for each part separated by ``;`` (magnitude; direction, or x; y).
    """

    mistake: str
    problem: str
    formula: str
    feedback: str = ""
    row: int = 0


@dataclass(frozen=True, slots=True)
class Decision:
    """What the teacher decided for one student's answer; it always wins. ``part`` blank means the whole problem.

    ``alone`` says that the note is all that the student is to read, whatever the points.
    """

    student_id: str
    problem: str
    part: str
    points: float
    note: str = ""
    alone: bool = False


@dataclass(frozen=True)
class Rubric:
    """A whole rubric workbook, read and checked."""

    problems: tuple[Problem, ...]
    path: Path | None = None
    settings: Settings = Settings()
    columns: tuple[ColumnRule, ...] = ()
    students: tuple[Student, ...] = ()
    mistakes: tuple[MistakeRule, ...] = ()
    own_mistakes: tuple[OwnMistake, ...] = ()
    decisions: tuple[Decision, ...] = ()
    warnings: tuple[str, ...] = field(default=(), compare=False)

    def problem(self, label: str) -> Problem:
        """The problem with this label; KeyError when there is none."""
        for problem in self.problems:
            if problem.label == label:
                return problem
        raise KeyError(label)
