"""Charts: how the scores are spread, and the mistakes of each problem, with the numbers beside them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from grader.exchange.cells import column_letters
from grader.reports.sheets.looks import HARD_LINE, INK
from grader.reports.sheets.page import Book, Column, Page
from grader.reports.summary import common_mistakes, student_scores
from grader.reports.words import SUGGESTION, mistake_name

if TYPE_CHECKING:
    import pandas as pd
    from openpyxl.chart import BarChart
    from openpyxl.chart.series import Series
    from openpyxl.chart.shapes import GraphicalProperties

NAME = "Charts"
_BANDS = 10
_MISTAKES = 8
"""Mistakes with a bar of their own; the rarer ones share the last one, so that the bars can be told apart."""
_RARER = "all rarer mistakes"

# Eight hues of even weight and, for print in grey, of different lightness (Okabe and Ito 2008, a set that colour-blind readers
# can tell apart); the legend and the table name every one.
_HUES = ("0072B2", "E69F00", "009E73", "CC79A7", "56B4E9", "D55E00", "F0E442", "7A7A7A", "B9BFC3")
_FIRST, _OTHERS = 42, 12  # widths of the columns
_COLUMNS, _CHART_ROWS = 10, 19


def write_charts(book: Book, marks: pd.DataFrame) -> None:
    """Write the sheet: each table with the chart that is drawn from it, the scores beside theirs, the mistakes above."""
    page = Page(book, NAME, (f"The charts are drawn from the tables beside them. {SUGGESTION}",))
    labels = [str(label) for label in marks["problem"].unique()]
    first = page.next_row + 1
    _write_scores(page, marks)
    page.next_row = max(page.next_row + 2, first + _CHART_ROWS)
    last = _write_mistakes(page, marks, labels)
    columns = max(_COLUMNS, 1 + len(labels))
    page.freeze(1)
    page.prepare_print(columns)
    # A chart has no cells, so the area to print must be told how far down it reaches.
    page.sheet.print_area = f"A1:{column_letters(columns - 1)}{last}"


def _write_scores(page: Page, marks: pd.DataFrame) -> None:
    from openpyxl.chart import Reference

    counts, open_ = score_bands(marks)
    columns = (Column("Share of the points", _FIRST), Column("Students", _OTHERS, "count"))
    page.next_row += 1
    head = page.head(columns)
    for band, count in enumerate(counts):
        low, high = band * 100 // _BANDS, (band + 1) * 100 // _BANDS
        page.row(columns, (f"{low}–{high} %", count))
    last = page.next_row - 1
    if open_:
        page.row(columns, ("not settled yet", open_))
    chart = _chart("How the scores are spread", "Share of the points", "Students")
    chart.add_data(Reference(page.sheet, min_col=2, min_row=head, max_row=last), titles_from_data=True)
    chart.set_categories(Reference(page.sheet, min_col=1, min_row=head + 1, max_row=last))
    _colour(chart.series[0], INK)
    chart.gapWidth, chart.legend = 12, None
    page.sheet.add_chart(chart, f"D{head}")


def _write_mistakes(page: Page, marks: pd.DataFrame, labels: Sequence[str]) -> int:
    """The table and its chart; returns the last row that the chart covers."""
    from openpyxl.chart import Reference
    from openpyxl.worksheet.pagebreak import Break

    named, table = mistakes_by_problem(marks)
    if not named:
        return page.next_row
    columns = (
        Column("Probable mistake", _FIRST),
        *(Column(f"Problem {label}", _OTHERS, "count") for label in labels),
    )
    # A new sheet of paper, so that no chart is cut in two.
    page.sheet.row_breaks.append(Break(id=page.next_row - 1))
    head = page.head(columns)
    for place, mistake in enumerate(named):
        name = mistake_name(mistake) if mistake else _RARER
        page.row(columns, (name, *(table[label][place] for label in labels)))
    last = page.next_row - 1
    chart = _chart("Mistakes by problem", "", "Students")
    chart.grouping, chart.overlap, chart.gapWidth = "stacked", 100, 40
    for place, row in enumerate(range(head + 1, last + 1)):
        values = Reference(page.sheet, min_col=1, max_col=1 + len(labels), min_row=row)
        chart.add_data(values, from_rows=True, titles_from_data=True)
        _colour(chart.series[place], _HUES[place % len(_HUES)])
    chart.set_categories(Reference(page.sheet, min_col=2, max_col=1 + len(labels), min_row=head))
    assert chart.legend is not None
    chart.legend.position = "r"
    chart.width, chart.height = 22, 11
    page.sheet.add_chart(chart, f"A{last + 2}")
    return last + 2 + _CHART_ROWS + 4


def score_bands(marks: pd.DataFrame) -> tuple[list[int], int]:
    """How many students earned 0 to under 10 %, … 90 to 100 % of the points; and how many have no settled total yet."""
    counts, open_ = [0] * _BANDS, 0
    for score in student_scores(marks):
        if score.share is None or math.isnan(score.share):
            open_ += 1
        else:
            # A share of exactly 0.7 belongs to the upper of the two bands, whatever binary fractions make of it.
            counts[min(_BANDS - 1, max(0, math.floor(score.share * _BANDS + 1e-9)))] += 1
    return counts, open_


def mistakes_by_problem(marks: pd.DataFrame) -> tuple[list[str], dict[str, list[int]]]:
    """The mistakes with a bar of their own (the last, ``""``, stands for the rarer ones), and the counts of each problem."""
    found = common_mistakes(marks, by_problem=True)
    totals: dict[str, int] = {}
    for each in found:
        totals[each.mistake] = totals.get(each.mistake, 0) + each.count
    common = sorted(totals, key=lambda mistake: (-totals[mistake], mistake))
    named = common[:_MISTAKES] + ([""] if len(common) > _MISTAKES else [])
    place = {mistake: index for index, mistake in enumerate(named)}
    table = {str(label): [0] * len(named) for label in marks["problem"].unique()}
    for each in found:
        table[str(each.problem)][place.get(each.mistake, len(named) - 1)] += each.count
    return named, table


def _chart(title: str, across: str, up: str) -> BarChart:
    from openpyxl.chart import BarChart

    chart = BarChart()
    chart.type, chart.style = "col", 10
    chart.title, chart.x_axis.title, chart.y_axis.title = title, across or None, up
    chart.width, chart.height = 14, 8.5
    chart.y_axis.majorUnit = None
    chart.y_axis.number_format = "0"
    # Without these some programs leave the axes out altogether.
    chart.x_axis.delete = chart.y_axis.delete = False
    if chart.y_axis.majorGridlines is not None:
        chart.y_axis.majorGridlines.spPr = _line(HARD_LINE)
    return chart


def _colour(series: Series, colour: str) -> None:
    series.graphicalProperties.solidFill = colour
    series.graphicalProperties.line.solidFill = "FFFFFF"


def _line(colour: str) -> GraphicalProperties:
    from openpyxl.chart.shapes import GraphicalProperties
    from openpyxl.drawing.line import LineProperties

    return GraphicalProperties(ln=LineProperties(solidFill=colour, w=6350))
