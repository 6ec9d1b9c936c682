"""The sheet of charts: numbers that agree with the marks, and charts that point at them."""

from __future__ import annotations

import io

import openpyxl
import pytest

from grader.homework import SAMPLE_EXPORTS, SAMPLE_RUBRIC, Marked, mark_homework, read_homework, sample
from grader.reports.attribution import HABITS, attribute
from grader.reports.sheets.charts import mistakes_by_problem, score_bands
from grader.reports.summary import as_text
from grader.reports.workbook import feedback_workbook


@pytest.fixture(scope="module")
def marked() -> Marked:
    return mark_homework(*read_homework(sample(SAMPLE_RUBRIC), [sample(name) for name in SAMPLE_EXPORTS]))


@pytest.fixture(scope="module")
def sheet(marked: Marked):  # type: ignore[no-untyped-def]
    buffer = io.BytesIO()
    feedback_workbook(marked.marks, marked.solutions, marked.rubric).save(buffer)
    buffer.seek(0)
    return openpyxl.load_workbook(buffer)["Charts"]


def test_every_student_is_in_one_band(marked: Marked) -> None:
    counts, open_ = score_bands(marked.marks)
    totals = as_text(marked.marks).groupby("student_id")["points"].sum(min_count=1, skipna=False)
    possible = as_text(marked.marks).groupby("student_id")["points_possible"].sum()
    shares = (totals / possible).dropna()
    assert sum(counts) == len(shares)
    assert open_ == len(totals) - len(shares)
    assert counts[9] == int((shares >= 0.9 - 1e-9).sum())
    assert counts[0] == int((shares < 0.1 - 1e-9).sum())


def test_the_mistakes_of_a_problem_add_up(marked: Marked) -> None:
    marks = as_text(marked.marks)
    named, table = mistakes_by_problem(marks)
    found = [each for id_, incidents in attribute(marks).incidents.items() if id_ not in HABITS for each in incidents]
    assert len(found) > 50
    assert {label: sum(counts) for label, counts in table.items()} == {
        label: sum(each.problem == label for each in found) for label in marks["problem"].unique()
    }
    assert len(named) == len(set(named))


def test_two_charts_are_drawn_from_the_tables(sheet) -> None:  # type: ignore[no-untyped-def]
    assert len(sheet._charts) == 2
    for chart in sheet._charts:
        for series in chart.series:
            assert series.val.numRef.f.startswith("'Charts'!")
            start, _, end = series.val.numRef.f.split("!")[1].replace("$", "").partition(":")
            values = [cell.value for row in sheet[f"{start}:{end}"] for cell in row]
            assert all(isinstance(value, int | float) for value in values)


def test_the_charts_lie_within_the_paper(sheet) -> None:  # type: ignore[no-untyped-def]
    last = int(sheet.print_area.replace("$", "").split(":")[1].lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
    for chart in sheet._charts:
        rows = chart.height / 2.54 * 72 / sheet.sheet_format.defaultRowHeight
        assert chart.anchor._from.row + rows < last
        # A column is so many digits of 7 pixels, and 5 more, at 96 to the inch (ECMA-376 part 1, 18.3.1.13; from memory).
        letters = "ABCDEFGHIJ"[chart.anchor._from.col :]
        digits = [sheet.column_dimensions[letter].width or 8.43 for letter in letters]
        assert chart.width <= sum((7 * each + 5) / 96 * 2.54 for each in digits)


def test_a_class_without_mistakes_has_one_chart(marked: Marked) -> None:
    marks = marked.marks.copy()
    marks["mistake"] = ""
    book = feedback_workbook(marks, marked.solutions, marked.rubric)
    assert len(book["Charts"]._charts) == 1
