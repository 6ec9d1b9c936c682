"""The feedback workbook: what needs a look, scores, feedback, the mistakes of the class, and the key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from grader.marking.definitions import Rubric
from grader.methods.part_names import names_of_parts
from grader.methods.solution import Solution
from grader.reports.sheets.charts import write_charts
from grader.reports.sheets.class_mistakes import write_class_mistakes
from grader.reports.sheets.feedback import write_feedback
from grader.reports.sheets.key import write_key
from grader.reports.sheets.page import Book
from grader.reports.sheets.scores import write_scores
from grader.reports.sheets.to_look_at import write_to_look_at
from grader.reports.summary import as_text

if TYPE_CHECKING:
    import pandas as pd
    from openpyxl import Workbook


def feedback_workbook(marks: pd.DataFrame, solutions: Sequence[Solution], rubric: Rubric) -> Workbook:
    """The workbook of a marked class, ready to be saved.

    ``marks`` has a row per student, problem and part, with the columns of marks.csv, ``note`` and ``decided``; it is
    not changed. Totals, percents and averages are live formulas, and follow the points that the teacher types into the
    first sheet.
    """
    table = as_text(marks).reset_index(drop=True)
    book = Book(rubric.settings.title)
    book.workbook.properties.title = book.title or "Feedback"
    book.workbook.properties.creator = None
    part_names = names_of_parts(solution.problem for solution in solutions)
    looked_at = write_to_look_at(book, table, part_names)
    write_scores(book, table, [solution.problem.label for solution in solutions], looked_at)
    write_feedback(book, table, part_names)
    write_class_mistakes(book, table)
    write_charts(book, table)
    write_key(book, solutions)
    book.workbook.active = 0
    return book.workbook
