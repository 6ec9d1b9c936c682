"""First sheet: the answers that a person must look at, with room for the teacher's points and note."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from grader.exchange.cells import column_letters
from grader.reports.sheets.page import Book, Column, Page
from grader.reports.summary import mark_rows, need_your_eyes, needing_a_look
from grader.reports.words import SUGGESTION, counted, why

if TYPE_CHECKING:
    import pandas as pd

NAME = "To look at"
COLUMNS = (
    Column("Student ID", 12),
    Column("Name", 22),
    Column("Section", 9),
    Column("Problem", 9),
    Column("Part", 11),
    Column("Written", 22),
    Column("May be read as", 18),
    Column("Why", 44),
    Column("Expected", 17),
    Column("Points possible", 10, "points"),
    Column("Your points", 10, "entry, points"),
    Column("Your note (the student reads it)", 30, "entry"),
    Column("Same for all", 9, "entry"),
)
"""The headings are an interface: the teacher's points and notes are read back by them on the next run."""

_STUDENT, _PROBLEM, _POSSIBLE, _POINTS = 0, 3, 9, 10
_HOW_TO = "Type points (or a verdict, such as right) and a note: the scores on the next sheet follow points at once."
_TO_KEEP = (
    "Save this file, and decisions are kept when you mark into this folder again. “yes” under Same for all gives the same to "
    "everyone who wrote the same."
)
_ELSEWHERE = (
    "Any other mark is changed in the sheet Decisions of the rubric: points typed into the sheets Scores and Feedback are "
    "not read."
)


@dataclass(frozen=True, slots=True)
class LookedAt:
    """Where the answers stand on this sheet, as ranges that formulas of other sheets can name, and what they are.

    ``keys`` holds (student id, problem) of every row.
    """

    students: str
    problems: str
    points: str
    keys: frozenset[tuple[str, str]]
    index: pd.Index[int]


def write_to_look_at(book: Book, marks: pd.DataFrame) -> LookedAt:
    """Write the sheet: undecided answers first, then those that were decided, with the points given."""
    rows = needing_a_look(marks)
    waiting = need_your_eyes(marks)
    page = Page(book, NAME, _lines(waiting, len(rows)))
    head = page.head(COLUMNS)
    for each in mark_rows(rows):
        page.row(
            COLUMNS,
            (
                *(each.student_id, each.name, each.section, each.problem, each.part),
                *(each.written, each.read_as, why(each.note), each.expected, each.points_possible),
                *(each.points, each.decided, None),
            ),
        )
    last = page.next_row - 1
    if len(rows):
        page.filter(head, last, len(COLUMNS))
        _check_points(page, head + 1, last)
    else:
        page.put(page.next_row, 1, "✓ Nothing here: every answer could be read and judged.", "quiet")
    page.freeze(head, 2)
    page.prepare_print(len(COLUMNS), repeat=head)
    first, last = head + 1, max(last, head + 1)
    students, problems, points = (
        f"'{NAME}'!${letter}${first}:${letter}${last}" for letter in _letters(_STUDENT, _PROBLEM, _POINTS)
    )
    return LookedAt(students, problems, points, frozenset(zip(rows["student_id"], rows["problem"])), rows.index)


def _lines(waiting: str, rows: int) -> tuple[str, ...]:
    if not rows:
        return (SUGGESTION, _ELSEWHERE)
    if not waiting:
        return (f"All {counted(rows, 'part')} here are decided. {SUGGESTION}", _TO_KEEP, _ELSEWHERE)
    return (f"{waiting}. {_HOW_TO}", f"{SUGGESTION} {_TO_KEEP}", _ELSEWHERE)


def _check_points(page: Page, first: int, last: int) -> None:
    """Question points that are no number from 0 to the points possible, and let the teacher insist."""
    from openpyxl.worksheet.datavalidation import DataValidation

    possible, points = _letters(_POSSIBLE, _POINTS)
    check = DataValidation(
        type="decimal",
        operator="between",
        formula1="0",
        formula2=f"${possible}{first}",
        allow_blank=True,
        errorStyle="warning",
        errorTitle="Points",
        error="This is not a number from 0 to the points possible. Keep it?",
    )
    check.add(f"{points}{first}:{points}{last}")
    page.sheet.add_data_validation(check)


def _letters(*columns: int) -> tuple[str, ...]:
    return tuple(column_letters(column) for column in columns)
