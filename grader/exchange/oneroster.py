"""The gradebook package: OneRoster 1.2 CSV (1EdTech), line items and results in one zip file.

The package speaks of one homework, a line item for each section, and holds no personal data but the students' ids. It is
the same byte for byte for the same marks: the ids in it are made from the homework's id, the section and the student's id.
"""

from __future__ import annotations

import io
import math
import uuid
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from grader.exchange.cells import Cell
from grader.exchange.csvfile import csv_bytes
from grader.marking.definitions import ALL_PROBLEMS, Rubric, Student

if TYPE_CHECKING:
    import pandas as pd

ONEROSTER_FILE = "oneroster.zip"

LINE_ITEM_COLUMNS = (
    *("sourcedId", "status", "dateLastModified", "title", "description", "assignDate", "dueDate", "classSourcedId"),
    *("categorySourcedId", "academicSessionSourcedId", "resultValueMin", "resultValueMax", "schoolSourcedId"),
)
RESULT_COLUMNS = (
    *("sourcedId", "status", "dateLastModified", "lineItemSourcedId", "studentSourcedId", "scoreStatus", "score"),
    *("scoreDate", "comment", "textScore", "classSourcedId", "inProgress", "incomplete", "late", "missing"),
)
"""The headings of the two files, in the order of the standard."""

_FILES = (
    *("academicSessions", "categories", "classes", "classResources", "courses", "courseResources", "demographics"),
    *("enrollments", "lineItemLearningObjectiveIds", "lineItems", "lineItemScoreScales", "orgs", "resources"),
    *("resultLearningObjectiveIds", "results", "resultScoreScales", "roles", "scoreScales", "userProfiles"),
    *("userResources", "users"),
)
"""Every file that a package can hold (OneRoster 1.2, from memory); the manifest says of each whether it is there."""
_HELD = ("lineItems", "results")
_NAMESPACE = uuid.uuid5(uuid.NAMESPACE_URL, "urn:vector-homework-grader:gradebook")
_FIRST_DAY = (1980, 1, 1, 0, 0, 0)  # the earliest time that a zip entry can have; a real one would differ on each run


@dataclass(frozen=True)
class _Result:
    """One student's homework: points, of how many, and what the standard asks to be said about it."""

    student: Student
    status: str
    score: float | None = None
    comment: str = ""
    late: bool = False


def oneroster_package(marks: pd.DataFrame, rubric: Rubric, scored_on: date) -> bytes:
    """The package as a zip file: ``manifest.csv``, ``lineItems.csv`` and ``results.csv``.

    ``marks`` has one row for each student, problem and part, with ``days_late``. Every student of the marks and of the
    roster has one result: ``fully graded``, ``partially graded`` or ``submitted`` without a score while something needs
    a look, ``not submitted`` for who is in no export, ``exempt`` for who is excused. Who is excused from some problems
    gets the share of the others, and a comment that says so. Sections are named by their own ids, students by theirs.
    """
    homework = (
        rubric.settings.gradebook_id or rubric.settings.title or (rubric.path.stem if rubric.path else "homework")
    )
    results = _results(marks, rubric)
    sections = list(dict.fromkeys(each.student.section for each in results))
    most = _possible(marks)
    due = rubric.settings.due.date().isoformat() if rubric.settings.due else ""
    title = rubric.settings.title or homework
    line_items = {section: _id("line item", homework, section) for section in sections}
    items: list[Sequence[Cell]] = [
        (line_items[each], "", "", title, "", "", due, each, "", "", 0, _short(most), "") for each in sections
    ]
    rows: list[Sequence[Cell]] = [
        (
            *(_id("result", homework, each.student.student_id), "", "", line_items[each.student.section]),
            *(each.student.student_id, each.status, "" if each.score is None else _short(each.score)),
            *(scored_on.isoformat(), each.comment, "", each.student.section),
            *(_told(each.status in ("partially graded", "submitted")), _told(each.status == "partially graded")),
            *(_told(each.late), _told(each.status == "not submitted")),
        )
        for each in results
    ]
    return _zip(
        {
            "manifest.csv": csv_bytes([("propertyName", "value"), *_manifest()], marked=False),
            "lineItems.csv": csv_bytes([LINE_ITEM_COLUMNS, *items], marked=False),
            "results.csv": csv_bytes([RESULT_COLUMNS, *rows], marked=False),
        }
    )


def _results(marks: pd.DataFrame, rubric: Rubric) -> list[_Result]:
    roster = {each.student_id: each for each in rubric.students}
    by_student: dict[str, list[tuple[str, float, float, str, int]]] = {}
    people: dict[str, Student] = {}
    names = ("student_id", "section", "problem", "points", "points_possible", "verdict", "days_late")
    for student, section, problem, points, possible, verdict, late in zip(*(marks[name].tolist() for name in names)):
        by_student.setdefault(student, []).append((problem, float(points), float(possible), verdict, int(late)))
        people.setdefault(student, roster.get(student, Student(student, section=section)))
    people |= {each.student_id: each for each in rubric.students if each.student_id not in people}
    most = _possible(marks)
    return [_result(student, by_student.get(student_id, []), most) for student_id, student in people.items()]


def _result(student: Student, rows: Sequence[tuple[str, float, float, str, int]], most: float) -> _Result:
    if student.excused_from(ALL_PROBLEMS):
        return _Result(student, "exempt")
    if not rows:
        return _Result(student, "not submitted")
    late = any(days for *_, days in rows)
    waiting = [math.isnan(points) for _, points, *_ in rows]
    if any(waiting):
        return _Result(student, "submitted" if all(waiting) else "partially graded", late=late)
    possible = math.fsum(possible for _, _, possible, *_ in rows)
    earned = math.fsum(points for _, points, *_ in rows)
    if student.excused and possible < most:
        if not possible:
            return _Result(student, "exempt")
        comment = f"{earned:g} of {possible:g}: excused from {', '.join(student.excused)}"
        return _Result(student, "fully graded", earned / possible * most, comment, late)
    return _Result(student, "fully graded", earned, late=late)


def _possible(marks: pd.DataFrame) -> float:
    """The points of the whole homework: what the student who is excused from least can earn."""
    sums: dict[str, float] = {}
    for student, possible in zip(marks["student_id"].tolist(), marks["points_possible"].tolist()):
        sums[student] = sums.get(student, 0.0) + float(possible)
    return max(sums.values(), default=0.0)


def _manifest() -> list[Sequence[Cell]]:
    # In files sent whole (“bulk”) the columns status and dateLastModified stay blank: so the standard, from memory.
    return [
        ("manifest.version", "1.0"),
        ("oneroster.version", "1.2"),
        *((f"file.{name}", "bulk" if name in _HELD else "absent") for name in _FILES),
        ("source.systemName", "vector homework grader"),
        ("source.systemCode", "vector-homework-grader"),
    ]


def _id(*words: str) -> str:
    """The same id for the same words on every run and every machine."""
    return str(uuid.uuid5(_NAMESPACE, "\x1f".join(words)))


def _told(is_so: bool) -> str:
    return "true" if is_so else "false"


def _short(number: float) -> Cell:
    rounded = round(number, 4)
    return int(rounded) if rounded == int(rounded) else rounded


def _zip(files: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name, _FIRST_DAY)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o600 << 16
            archive.writestr(entry, data)
    return out.getvalue()
