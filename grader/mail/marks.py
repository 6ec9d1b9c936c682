"""Marks read back from the marks file: one value for each student, and a fingerprint of what that student is told."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import math
import sys
from collections.abc import Sequence
from pathlib import Path

from grader.errors import Fault, GraderError, InputFaults
from grader.exchange.csvfile import as_written
from grader.mail.definitions import PartRow, StudentMarks

_NEEDED = (
    "student_id",
    "name",
    "section",
    "problem",
    "part",
    "written",
    "read_as",
    "expected",
    "verdict",
    "points",
    "points_possible",
    "feedback",
)


def read_marks(path: Path) -> tuple[StudentMarks, ...]:
    """The marks of every student of a marks file, in its order.

    Raises GraderError when there is no such file, and InputFaults when it lacks a column or holds a number that is none.
    """
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError as error:
        raise GraderError(f"{path} does not exist; run grader mark with --out {path.parent} first.") from error
    except (OSError, UnicodeDecodeError) as error:
        raise GraderError(f"{path} cannot be read as a UTF-8 file of marks; run grader mark again.") from error
    csv.field_size_limit(min(sys.maxsize, 2**31 - 1))
    table = csv.DictReader(io.StringIO(text, newline=""))
    missing = [name for name in _NEEDED if name not in (table.fieldnames or ())]
    if missing:
        raise InputFaults(
            [
                Fault(
                    path.name,
                    row=1,
                    found=f"no column {missing[0]}",
                    expected="the marks as grader mark writes them",
                    remedy="Run grader mark again.",
                )
            ]
        )
    faults: list[Fault] = []
    people: dict[str, tuple[str, str]] = {}
    rows: dict[str, list[PartRow]] = {}
    for cells in table:
        row = {name: as_written(cells.get(name) or "") for name in (*_NEEDED, "decided")}
        student = row["student_id"]
        people.setdefault(student, (row["name"], row["section"]))
        rows.setdefault(student, []).append(
            PartRow(
                problem=row["problem"],
                part=row["part"],
                written=row["written"],
                read_as=row["read_as"],
                expected=row["expected"],
                verdict=row["verdict"],
                points=_number(row["points"], "points", path, table.line_num, faults),
                points_possible=_number(row["points_possible"], "points_possible", path, table.line_num, faults),
                feedback=row["feedback"],
                decided=row["decided"],
                value=_drawn(cells.get("value")),
            )
        )
    if faults:
        raise InputFaults(faults)
    return tuple(StudentMarks(student, *people[student], tuple(each)) for student, each in rows.items())


def _drawn(text: str | None) -> float:
    """The number judged, nan where a marks file of another version or the teacher's hand left none."""
    try:
        return float(text or "nan")
    except ValueError:
        return math.nan


def _number(text: str, column: str, path: Path, line: int, faults: list[Fault]) -> float:
    if text == "" and column == "points":
        return math.nan
    try:
        value = float(text)
    except ValueError:
        value = math.inf
    if math.isinf(value):
        faults.append(
            Fault(
                path.name,
                row=line,
                column=column,
                found=f"“{text}”",
                expected="a number",
                remedy="Run grader mark again.",
            )
        )
    return value


def fingerprint(student_id: str, rows: Sequence[PartRow], key: bytes) -> str:
    """A keyed hash (BLAKE2, RFC 7693) of what a student is told; it changes when the marks or the feedback change.

    Only the points that are shown count, so that 1.3333333 and 1.333333 are the same mark.
    """
    told = [
        [row.problem, row.part, row.written, row.read_as, row.verdict, row.feedback, row.decided]
        + [None if math.isnan(points) else round(points, 4) for points in (row.points, row.points_possible)]
        for row in rows
    ]
    data = json.dumps([student_id, told], ensure_ascii=False, separators=(",", ":"))
    return hashlib.blake2b(data.encode("utf-8", "surrogatepass"), key=key, digest_size=16).hexdigest()
