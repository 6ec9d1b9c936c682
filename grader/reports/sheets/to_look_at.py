"""First sheet: the answers that a person must look at, with room for the teacher's points and note."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from grader.exchange.cells import column_letters
from grader.marking.judge import DECIDED
from grader.methods.part_names import PartNames
from grader.reports.sheets.page import Book, Column, Page
from grader.reports.summary import mark_rows, need_your_eyes, needing_a_look
from grader.reports.words import SUGGESTION, why

if TYPE_CHECKING:
    import pandas as pd

NAME = "To look at"
COLUMNS = (
    Column("Student ID", 12),
    Column("Name", 22),
    Column("Section", 9),
    Column("Problem", 9),
    Column("Part", 14),
    Column("Written", 22),
    Column("Rest of the answer", 26),
    Column("May be read as", 18),
    Column("Why", 44),
    Column("Expected", 17),
    Column("Points possible", 10, "points"),
    Column("Your points", 10, "entry, points"),
    Column("Your note (the student reads it)", 30, "entry"),
    Column("Same for all", 9, "entry"),
)
"""The headings are an interface: the teacher's points and notes are read back by them on the next run."""

_STUDENT, _SECTION, _PROBLEM, _POSSIBLE, _POINTS = 0, 2, 3, 10, 11
_HOW_TO = "Type points (or a verdict, such as right) and a note: the scores on the next sheet follow points at once."
_TO_KEEP = (
    "Save this file, and decisions are kept when you mark into this folder again. “yes” under Same for all gives the same to "
    "everyone who wrote the same."
)
_ELSEWHERE = (
    "Any other mark, and what you have decided: change its points on the sheet Feedback. Points typed into the sheet Scores "
    "are not read; it follows the others."
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


def write_to_look_at(book: Book, marks: pd.DataFrame, part_names: PartNames) -> LookedAt:
    """Write the sheet: the answers that nobody has decided yet."""
    rows = needing_a_look(marks)
    rest = _rest_of_answers(marks, part_names)
    page = Page(book, NAME, _lines(need_your_eyes(marks)))
    head = page.head(COLUMNS)
    for each in mark_rows(rows):
        part = part_names.get((each.problem, each.part), each.part)
        page.row(
            COLUMNS,
            (
                *(each.student_id, each.name, each.section, each.problem, part),
                *(each.written, rest[each.student_id, each.problem, each.part], each.read_as, why(each.note)),
                *(each.expected, each.points_possible, None, None, None),
            ),
        )
    last = page.next_row - 1
    if len(rows):
        page.filter(head, last, len(COLUMNS))
        points, possible = _letters(_POINTS, _POSSIBLE)
        page.question_points(points, possible, head + 1, last)
    else:
        page.put(page.next_row, 1, _nothing(marks), "quiet")
    if not marks["section"].any():
        page.hide(_SECTION)
    page.freeze(head, 2)
    page.prepare_print(len(COLUMNS), repeat=head)
    first, last = head + 1, max(last, head + 1)
    students, problems, points = (
        f"'{NAME}'!${letter}${first}:${letter}${last}" for letter in _letters(_STUDENT, _PROBLEM, _POINTS)
    )
    return LookedAt(students, problems, points, frozenset(zip(rows["student_id"], rows["problem"])))


def _rest_of_answers(marks: pd.DataFrame, part_names: PartNames) -> dict[tuple[str, str, str], str]:
    """For each part what the student wrote for the other parts of the problem, where that stands in boxes of its own."""
    whole: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for each in mark_rows(marks):
        whole.setdefault((each.student_id, each.problem), []).append((each.part, each.written))
    return {
        (student, problem, part): "\n".join(
            f"{part_names.get((problem, other), other)}: {text}"
            for other, text in parts
            if other != part and text.strip() and text != written
        )
        for (student, problem), parts in whole.items()
        for part, written in parts
    }


def _nothing(marks: pd.DataFrame) -> str:
    decided = marks["verdict"].eq(DECIDED).any()
    return f"✓ Nothing here: every answer could be read and judged{', or is decided' if decided else ''}."


def _lines(waiting: str) -> tuple[str, ...]:
    if not waiting:
        return (SUGGESTION, _ELSEWHERE)
    return (f"{waiting}. {_HOW_TO}", f"{SUGGESTION} {_TO_KEEP}", _ELSEWHERE)


def _letters(*columns: int) -> tuple[str, ...]:
    return tuple(column_letters(column) for column in columns)
