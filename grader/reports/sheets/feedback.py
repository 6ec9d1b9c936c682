"""Third sheet: the feedback, a row per student, problem and part."""

from __future__ import annotations

from typing import TYPE_CHECKING

from grader.exchange.cells import column_letters
from grader.methods.part_names import PartNames
from grader.reports.sheets.looks import VERDICT_LOOKS
from grader.reports.sheets.page import Book, Column, Page
from grader.reports.summary import mark_rows
from grader.reports.words import NEEDS_A_LOOK, SUGGESTION, decided_by_you, mistake_name, why, with_sign

if TYPE_CHECKING:
    import pandas as pd

NAME = "Feedback"
COLUMNS = (
    Column("Student ID", 12),
    Column("Name", 19),
    Column("Section", 9),
    Column("Problem", 9),
    Column("Part", 14),
    Column("Written", 18),
    Column("Read as", 14),
    Column("Expected", 14),
    Column("Verdict", 19),
    Column("Points", 8, "points"),
    Column("Possible", 10, "points"),
    Column("Probable mistake", 24),
    Column("Chance", 9, "chance"),
    Column("Comment", 46),
    Column("Note for you", 32),
)
_PRINTED = 14  # the note is for the screen
_SECTION, _VERDICT, _POINTS, _POSSIBLE = 2, 8, 9, 10
_HOW_TO = "No probable mistake is named where nothing explains an answer well enough: none is better than a wrong one."
_TO_CHANGE = (
    "Points and comments that you change here are kept when you save this file and mark into this folder again; the scores "
    "follow then. The student reads the comment; the points beside it are decided with it."
)


def write_feedback(book: Book, marks: pd.DataFrame, part_names: PartNames) -> None:
    """Write the sheet, in the order of the marks; a firmer line where another student begins."""
    page = Page(book, NAME, (f"{SUGGESTION} {_HOW_TO}", _TO_CHANGE))
    head = page.head(COLUMNS)
    before = ""
    for each in mark_rows(marks):
        begins = each.student_id != before
        before = each.student_id
        decided = decided_by_you(each.decided)
        part = part_names.get((each.problem, each.part), each.part)
        note = why(each.note) if each.verdict == NEEDS_A_LOOK else each.note
        values = (
            *(each.student_id, each.name, each.section, each.problem, part),
            *(each.written, each.read_as, each.expected, None, each.points, each.points_possible),
            *(mistake_name(each.mistake), each.mistake_chance if each.mistake else None),
            *(each.feedback, "\n".join(filter(None, (decided, note)))),
        )
        row = page.row(COLUMNS, values, begins=begins)
        look = VERDICT_LOOKS.get(each.verdict, "text")
        page.put(row, _VERDICT + 1, with_sign(each.verdict), look, begins=begins)
    points, possible = (column_letters(column) for column in (_POINTS, _POSSIBLE))
    page.question_points(points, possible, head + 1, max(page.next_row - 1, head + 1))
    page.filter(head, page.next_row - 1, len(COLUMNS))
    if not marks["section"].any():
        page.hide(_SECTION)
    page.freeze(head, 2)
    page.prepare_print(_PRINTED, repeat=head)
