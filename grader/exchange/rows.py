"""Which rows of an export are students', and why the others are not."""

from __future__ import annotations

import re
from collections.abc import Sequence

from grader.exchange.cells import Cell, is_blank, phrase, trimmed
from grader.exchange.words import words

_NUMBER = re.compile(r"\d+")


def why_no_student(row: Sequence[Cell], student_id: str, name: str, width: int) -> str:
    """Why a row below the headings is set aside; blank for a student's row. ``width`` is the number of headings."""
    if all(map(is_blank, row)):
        return "an empty row"
    table = words()
    first = phrase(next(trimmed(cell) for cell in row if not is_blank(cell)))
    said = phrase(student_id) or first
    if said in table.maximum:
        return "a row of maximum points"
    if said in table.total:
        return "a row of totals"
    if {phrase(student_id), phrase(name)} & table.test:
        return "a test student"
    if not student_id:
        return "no student id"
    if any(not is_blank(cell) for cell in row[width:]):
        return (
            f"{len(row)} cells under {width} headings, so that answers may stand under the wrong heading; "
            "an answer that holds the separator needs quotation marks around it"
        )
    return ""


def attempt_number(cell: Cell) -> int | None:
    """The number of an attempt written as 2, ``2``, ``Attempt 2`` or ``2 of 3``; None where there is none."""
    match = _NUMBER.search(trimmed(cell))
    return int(match.group()) if match else None
