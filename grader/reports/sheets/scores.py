"""Second sheet: the scores, a row per student, with totals, percents and averages as live formulas."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from grader.exchange.cells import column_letters
from grader.reports.sheets.looks import OPEN_GROUND
from grader.reports.sheets.page import Book, Column, Page
from grader.reports.sheets.to_look_at import NAME as TO_LOOK_AT
from grader.reports.sheets.to_look_at import LookedAt
from grader.reports.summary import mark_rows
from grader.reports.words import SUGGESTION

if TYPE_CHECKING:
    import pandas as pd

NAME = "Scores"
_WHO = (Column("Student ID", 12), Column("Name", 26), Column("Section", 10))
_SECTION = 2


def write_scores(book: Book, marks: pd.DataFrame, labels: Sequence[str], looked_at: LookedAt) -> None:
    """Write the sheet, with a column for each problem's label.

    A problem with an answer to look at takes its points from the sheet of those, as the teacher types them.
    """
    students = marks.drop_duplicates("student_id")
    sections = [each for each in students["section"].unique() if each]
    columns = (
        *_WHO,
        *(Column(f"Problem {label}", 12, "points") for label in labels),
        Column("Total", 9, "points"),
        Column("Percent", 9, "share"),
        Column("To look at", 13, "open"),
    )
    lines = [SUGGESTION]
    if looked_at.keys:
        lines.append(
            f"Shaded and empty: an answer needs a look. It fills in once you give points on the sheet {TO_LOOK_AT}."
        )
    page = Page(book, NAME, lines)

    possible = _possible(marks)
    # The averages stand above the table, where they are seen first and no filter or sorting touches them.
    averages = sections if len(sections) > 1 else []
    possible_row = page.next_row
    head_row = possible_row + 2 + len(averages)
    first, last = head_row + 1, head_row + len(students)
    table = _Table(page, labels, possible_row, first, last)
    table.write_possible([possible.get(label) for label in labels])
    table.write_average(possible_row + 1, "Class average")
    for row, section in enumerate(averages, start=possible_row + 2):
        table.write_average(row, "Section average", section)
    page.next_row = head_row
    page.head(columns)

    settled = _settled(marks)
    present = set(zip(marks["student_id"], marks["problem"]))
    for student, name, section in students[["student_id", "name", "section"]].itertuples(index=False):
        row = page.row(columns, (student, name, section))
        for column, label in enumerate(labels, start=len(_WHO) + 1):
            points = settled.get((student, label), 0.0)
            if (student, label) in looked_at.keys:
                page.formula(row, column, _points_formula(row, label, points, looked_at), "points")
            else:
                page.put(row, column, points if (student, label) in present else None, "points")
        table.write_total(row, sum((student, label) in present for label in labels))
        open_ = any((student, label) in looked_at.keys for label in labels)
        table.write_open(row, _open_formula(row, looked_at) if open_ else "")
    page.filter(head_row, last, len(columns))
    if not sections:
        page.hide(_SECTION)
    page.freeze(head_row, 2)
    table.shade_undecided()
    page.prepare_print(len(columns), repeat=head_row)


class _Table:
    """Where the columns and rows of the scores stand, and the formulas that depend on it."""

    def __init__(self, page: Page, labels: Sequence[str], possible_row: int, first: int, last: int) -> None:
        self._page, self._possible_row, self._first, self._last = page, possible_row, first, max(first, last)
        self._problem_columns = range(len(_WHO) + 1, len(_WHO) + 1 + len(labels))
        self._total = len(_WHO) + len(labels) + 1
        self._percent = self._total + 1
        self._open = self._total + 2

    def write_possible(self, possible: Sequence[float | None]) -> None:
        row = self._possible_row
        self._label(row, "Points possible")
        for column, points in zip(self._problem_columns, possible):
            self._page.put(row, column, points, "foot, points")
        self._page.formula(row, self._total, f"=SUM({self._problems_of(row)})", "foot, points")

    def write_average(self, row: int, label: str, section: str = "") -> None:
        self._label(row, label, section)
        for column in (*self._problem_columns, self._total, self._percent):
            letter = column_letters(column - 1)
            values = f"{letter}${self._first}:{letter}${self._last}"
            look = "foot, share" if column == self._percent else "foot, points"
            self._page.formula(row, column, self._average_formula(row, values, bool(section)), look)

    def _average_formula(self, row: int, values: str, of_section: bool) -> str:
        if not of_section:
            return f'=IF(COUNT({values})=0,"",AVERAGE({values}))'
        letter = column_letters(_SECTION)
        # EXACT, and not AVERAGEIF: that would take a section “01” for “1” and read “<2” or “A*” as a rule.
        same = f"EXACT(${letter}${self._first}:${letter}${self._last},${letter}{row})"
        count = f"SUMPRODUCT({same}*ISNUMBER({values}))"
        return f'=IF({count}=0,"",SUMPRODUCT(--{same},{values})/{count})'

    def write_total(self, row: int, problems: int) -> None:
        scores, total = self._problems_of(row), f"{column_letters(self._total - 1)}{row}"
        # Of the problems that the student has: who is excused from one is not measured by its points.
        possible = f"SUMPRODUCT(ISNUMBER({scores})*{self._problems_of(self._possible_row, '$')})"
        self._page.formula(row, self._total, f'=IF(COUNT({scores})<{problems},"",SUM({scores}))', "points")
        self._page.formula(row, self._percent, f'=IF(OR({total}="",{possible}=0),"",{total}/{possible})', "share")

    def write_open(self, row: int, formula: str) -> None:
        if formula:
            self._page.formula(row, self._open, formula, "open")
        else:
            self._page.put(row, self._open, None, "open")

    def shade_undecided(self) -> None:
        """Shade what has no points yet: a rule, so that the shade goes when the teacher has decided."""
        from openpyxl.formatting.rule import FormulaRule
        from openpyxl.styles import PatternFill

        top_left = f"{column_letters(self._problem_columns[0] - 1)}{self._first}"
        area = f"{top_left}:{column_letters(self._percent - 1)}{self._last}"
        fill = PatternFill("lightUp", start_color="FFB08A2E", end_color=f"FF{OPEN_GROUND}")
        rule = FormulaRule(formula=[f"LEN({top_left})=0"], fill=fill)  # type: ignore[no-untyped-call]
        self._page.sheet.conditional_formatting.add(area, rule)

    def _label(self, row: int, label: str, section: str = "") -> None:
        for column in range(1, self._open + 1):
            self._page.put(row, column, None, "foot")
        self._page.put(row, 2, label, "foot")
        self._page.put(row, _SECTION + 1, section, "foot")

    def _problems_of(self, row: int, fixed: str = "") -> str:
        first, last = self._problem_columns[0], self._problem_columns[-1]
        return f"{column_letters(first - 1)}{fixed}{row}:{column_letters(last - 1)}{fixed}{row}"


def _points_formula(row: int, label: str, settled: float, looked_at: LookedAt) -> str:
    """The points of the settled parts and those typed for the others; empty text while one of them is missing.

    The rows of that sheet are found by student and problem, not by place, so that either sheet can be sorted.
    """
    quoted = label.replace('"', '""')
    here = f'EXACT({looked_at.students},$A{row})*EXACT({looked_at.problems},"{quoted}")'
    missing = f"SUMPRODUCT({here}*NOT(ISNUMBER({looked_at.points})))"
    return f'=IF({missing}>0,"",{float(settled)!r}+SUMPRODUCT({here},{looked_at.points}))'


def _open_formula(row: int, looked_at: LookedAt) -> str:
    return f"=SUMPRODUCT(EXACT({looked_at.students},$A{row})*NOT(ISNUMBER({looked_at.points})))"


def _settled(marks: pd.DataFrame) -> dict[tuple[str, str], float]:
    """The points of each student's problem, without the parts that stand on the sheet to look at."""
    rest = marks[marks["points"].notna()]
    sums: dict[tuple[str, str], float] = {}
    for student, problem, points in zip(rest["student_id"], rest["problem"], rest["points"]):
        sums[student, problem] = round(sums.get((student, problem), 0.0) + points, 6)
    return sums


def _possible(marks: pd.DataFrame) -> dict[str, float]:
    """The points possible of each problem."""
    sums: dict[tuple[str, str], float] = {}
    for each in mark_rows(marks):
        key = (each.problem, each.student_id)
        sums[key] = sums.get(key, 0.0) + each.points_possible
    most: dict[str, float] = {}
    for (problem, _), points in sums.items():
        most[problem] = max(most.get(problem, 0.0), round(points, 6))
    return most
