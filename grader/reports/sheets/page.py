"""A sheet of the workbook as a page: title, table, filter, frozen panes and everything that printing needs."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from copy import copy
from dataclasses import dataclass
from typing import TYPE_CHECKING

from grader.exchange.cells import column_letters
from grader.exchange.workbook import write_cell
from grader.reports.sheets.looks import LOOKS, register
from grader.reports.words import SUGGESTION

if TYPE_CHECKING:
    from openpyxl.cell import Cell
    from openpyxl.styles.cell_style import StyleArray
    from openpyxl.worksheet.header_footer import HeaderFooterItem
    from openpyxl.worksheet.worksheet import Worksheet

Value = str | int | float | None

CONFIDENTIAL = "Confidential: student records"

_LINE = 15.0  # points: the height of one line of the text
_PADDING = 2.5
_HEADING_PADDING = 6.0
_FILTER_BUTTON = 2.0  # characters of a heading's width
_TEXT_PER_WIDTH = 1.1  # a column's width counts digits; running text is narrower (measured in two common typefaces)


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its heading, its width in characters and how its cells look."""

    heading: str
    width: float
    look: str = "text"


class Book:
    """A workbook that is being written, with the formats that all of its cells share and the title of the homework."""

    def __init__(self, title: str = "") -> None:
        from openpyxl import Workbook

        self.workbook = Workbook()
        self.workbook.remove(self.workbook.worksheets[0])
        self.title = title
        self.formats = register(self.workbook)


class Page:
    """One sheet, written from the top down. Rows and columns are counted from 1, as spreadsheets count them."""

    def __init__(self, book: Book, name: str, lines: Sequence[str] = ()) -> None:
        self.sheet: Worksheet = book.workbook.create_sheet(name)
        self._formats = book.formats
        self.sheet.sheet_view.showGridLines = False
        self.sheet.sheet_format.defaultRowHeight = _LINE + _PADDING
        self.sheet.sheet_format.customHeight = True
        self.put(1, 1, f"{book.title} · {name}" if book.title else name, "title")
        self.sheet.row_dimensions[1].height = 24
        for row, line in enumerate(lines, start=2):
            self.put(row, 1, line, "quiet")
        self.next_row = 2 + len(lines)

    def put(self, row: int, column: int, value: Value, look: str, *, begins: bool = False) -> Cell:
        """Write a value, nothing for None and nan; ``begins`` draws a firmer line above.

        Text is always text, whatever sign it begins with.
        """
        missing = value is None or value != value
        cell: Cell = write_cell(self.sheet, row, column, "" if missing else value)  # type: ignore[arg-type]
        shown_as_text = cell.quotePrefix
        _give(cell, self._formats[look, begins])
        if shown_as_text:
            _give(cell, copy(self._formats[look, begins]))  # the shared one must not change
            cell.quotePrefix = True
        return cell

    def formula(self, row: int, column: int, formula: str, look: str) -> None:
        """Write a live formula of this program's own making, never one that holds what somebody else wrote."""
        cell = self.sheet.cell(row, column, formula)
        _give(cell, self._formats[look, False])

    def head(self, columns: Sequence[Column]) -> int:
        """Write the row of headings, set the widths, and return the row's number; the rows of the table follow it."""
        row = self.next_row
        for index, column in enumerate(columns, start=1):
            centred = LOOKS[column.look].across == "center"
            self.put(row, index, column.heading, "heading, number" if centred else "heading")
            self.sheet.column_dimensions[column_letters(index - 1)].width = column.width
        self.sheet.row_dimensions[row].height = _HEADING_PADDING + height_of(
            (column.heading, column.width - _FILTER_BUTTON) for column in columns
        )
        self.next_row = row + 1
        return row

    def row(self, columns: Sequence[Column], values: Sequence[Value], *, begins: bool = False) -> int:
        """Write one row of the table and return its number."""
        row = self.next_row
        for index, (column, value) in enumerate(zip(columns, values), start=1):
            self.put(row, index, value, column.look, begins=begins)
        self.fit(row, ((value, column.width) for column, value in zip(columns, values) if isinstance(value, str)))
        self.next_row = row + 1
        return row

    def fit(self, row: int, texts: Iterable[tuple[str, float]]) -> None:
        """Make a row high enough for texts of which some wrap; ``texts`` come with the width of their cells.

        Not every spreadsheet fits the heights when it opens a file. A row of single lines stays free to grow.
        """
        height = height_of(texts)
        if height > _LINE + _PADDING:
            self.sheet.row_dimensions[row].height = height

    def freeze(self, row: int, columns: int = 0) -> None:
        """Keep the rows down to this one, and so many columns, in view."""
        self.sheet.freeze_panes = f"{column_letters(columns)}{row + 1}"

    def remark(self, row: int, column: int, text: str) -> None:
        """A note on a cell (columns counted from 0), shown when one points at it."""
        from openpyxl.comments import Comment

        lines = text.splitlines()
        note = Comment(text, "grader", height=int(20 * (len(lines) + 1)), width=int(7 * max(map(len, lines)) + 20))
        self.sheet.cell(row, column + 1).comment = note

    def hide(self, column: int) -> None:
        """Hide a column (counted from 0) that holds nothing; it stays in its place, where formulas and readers find it."""
        self.sheet.column_dimensions[column_letters(column)].hidden = True

    def filter(self, head: int, last: int, columns: int) -> None:
        """Offer a filter on each heading of the table whose headings stand in row ``head``."""
        self.sheet.auto_filter.ref = f"A{head}:{column_letters(columns - 1)}{max(last, head)}"

    def question_points(self, points: str, possible: str, first: int, last: int) -> None:
        """Question points that are no number from 0 to the points possible, and let the teacher insist.

        ``points`` and ``possible`` are the letters of their columns, ``first`` and ``last`` the rows of the table.
        """
        from openpyxl.worksheet.datavalidation import DataValidation

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
        self.sheet.add_data_validation(check)

    def prepare_print(self, columns: int, repeat: int | None = None, warning: str = CONFIDENTIAL) -> None:
        """Landscape, as wide as the paper, the headings (row ``repeat``) on each page, numbered and marked."""
        from openpyxl.worksheet.properties import PageSetupProperties

        sheet = self.sheet
        sheet.page_setup.orientation = "landscape"
        sheet.page_setup.fitToWidth = 1
        sheet.page_setup.fitToHeight = 0
        sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
        sheet.print_area = f"A1:{column_letters(columns - 1)}{max(sheet.max_row, 1)}"
        if repeat is not None:
            sheet.print_title_rows = f"{repeat}:{repeat}"
        margins = sheet.page_margins
        margins.left = margins.right = 0.5
        margins.top = margins.bottom = 0.7
        margins.header = margins.footer = 0.3
        title = str(sheet["A1"].value).replace("&", "&&")
        sheet.oddHeader = _line_of_paper(title, warning)
        sheet.oddFooter = _line_of_paper(SUGGESTION, "Page &P of &N")
        _accept_numbers_as_text(sheet)


def _line_of_paper(left: str, right: str) -> HeaderFooterItem:
    from openpyxl.worksheet.header_footer import HeaderFooterItem

    item = HeaderFooterItem()
    item.left.text, item.right.text = left, right
    return item


def height_of(texts: Iterable[tuple[str, float]]) -> float:
    """The height in points that texts need side by side, each wrapped in a cell of so many characters' width."""
    return _PADDING + _LINE * max((_lines(text, width) for text, width in texts), default=1)


def _lines(text: str, width: float) -> int:
    room = max(1, int(width * _TEXT_PER_WIDTH))
    if len(text) <= room and "\n" not in text:
        return 1
    return sum(max(1, len(textwrap.wrap(line, room))) for line in text.splitlines())


def _give(cell: Cell, style: StyleArray) -> None:
    cell._style = style  # type: ignore[attr-defined]  # a slot of openpyxl's cells that its published types leave out


def _accept_numbers_as_text(sheet: Worksheet) -> None:
    """Keep the spreadsheet from marking every ``62.0`` as a number stored as text: it is meant so.

    openpyxl has no place for the element ``ignoredErrors``. Its place in a sheet (ECMA-376 part 1, 18.3.1.99) is after
    the column breaks, so it is written in their stead; these sheets have none.
    """
    from openpyxl.worksheet.pagebreak import ColBreak
    from openpyxl.xml.functions import Element, SubElement

    class _NumbersAsText(ColBreak):
        def __bool__(self) -> bool:
            return True

        def to_tree(self, *_: object, **__: object) -> Element:
            element = Element("ignoredErrors")
            SubElement(element, "ignoredError", {"sqref": sheet.dimensions, "numberStoredAsText": "1"})
            return element

    sheet.col_breaks = _NumbersAsText()
