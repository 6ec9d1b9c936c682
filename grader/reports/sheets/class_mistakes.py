"""Fourth sheet: the mistakes of the class, by problem and section, and the students concerned."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from grader.reports.sheets.page import Book, Column, Page
from grader.reports.summary import MistakeCount, common_mistakes
from grader.reports.words import SUGGESTION, listed_names, mistake_name, with_others

if TYPE_CHECKING:
    import pandas as pd

NAME = "Class mistakes"
ALL_PROBLEMS = "all"
_MOST_COMMON = 10
_MISTAKE = 1


def write_class_mistakes(book: Book, marks: pd.DataFrame) -> None:
    """Write the sheet: the most common mistakes over all problems, then those of each problem."""
    sections = [str(each) for each in marks["section"].unique() if each]
    if len(sections) < 2:
        sections = []
    columns = (
        Column("Problem", 10),
        Column("Probable mistake", 38),
        Column("Students", 10, "count"),
        Column("Share", 8, "share"),
        *(
            column
            for each in sections
            for column in (Column(f"Section {each}", 11, "count"), Column("Share", 8, "share"))
        ),
        Column("Students concerned", 72),
    )
    line = (
        f"First the {_MOST_COMMON} most common over all problems, then each problem's own. A student counts once; "
        "shares are of those who wrote an answer there."
    )
    page = Page(
        book, NAME, (line, f"{SUGGESTION} What other mistakes the same answers fit stands in a note on the cell.")
    )
    head = page.head(columns)
    called = _names(marks)
    before = ""
    for each, by_section in _rows(marks, sections):
        label = ALL_PROBLEMS if each.problem is None else each.problem
        pairs = [
            value
            for part in by_section
            for value in ((part.count, part.share) if part.answered else (None, None))
        ]  # fmt: skip
        who = listed_names([called[student] for student in each.students])
        name = with_others(mistake_name(each.mistake), each.also)
        row = page.row(columns, (label, name, each.count, each.share, *pairs, who), begins=label != before)
        if each.also:
            page.remark(row, _MISTAKE, "The same answers also fit:\n" + "\n".join(map(mistake_name, each.also)))
        before = label
    if page.next_row == head + 1:
        page.put(page.next_row, 1, "✓ No mistake was recognised in this class.", "quiet")
    else:
        page.filter(head, page.next_row - 1, len(columns))
    page.freeze(head, 2)
    page.prepare_print(len(columns), repeat=head)


def _rows(marks: pd.DataFrame, sections: list[str]) -> list[tuple[MistakeCount, list[MistakeCount]]]:
    """Each mistake of the class with its figures in each section (a count of none where it does not occur)."""
    rows = []
    for by_problem in (False, True):
        within = {
            (each.problem, each.mistake, each.section): each
            for each in common_mistakes(marks, by_problem=by_problem, by_section=True)
        }
        counts = common_mistakes(marks, by_problem=by_problem)
        for each in counts if by_problem else counts[:_MOST_COMMON]:
            rows.append((each, [within[each.problem, each.mistake, section] for section in sections]))
    return rows


def _names(marks: pd.DataFrame) -> dict[str, str]:
    """What to call each student: by name, with the id where two share a name, by the id alone where there is none."""
    people = marks.drop_duplicates("student_id")
    often = Counter(people["name"])
    return {
        student: f"{name} ({student})" if name and often[name] > 1 else name or student
        for student, name in zip(people["student_id"], people["name"])
    }
