"""The blank rubric workbook, which a teacher can fill in without reading anything else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from grader.errors import GraderError
from grader.exchange.cells import column_letters
from grader.exchange.files import write_files
from grader.exchange.workbook import write_cell
from grader.mistakes import catalogue
from grader.rubric import layout
from grader.rubric.layout import Column, Setting, Sheet

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.comments import Comment
    from openpyxl.worksheet.worksheet import Worksheet

_HEADER_ROW = 2  # row 1 says what the sheet is for
_FIRST_ROW = 3
_RULED_ROWS = 24  # how many rows look like a form; the drop-downs reach further
_LAST_ROW = 1000
_LISTS = "Lists"
_LONGEST_LIST = 255  # characters that a drop-down can hold itself (ECMA-376); longer lists stand on a sheet

_FONT = "Calibri"
_INK = "FF1F3A4D"
_HEADER_FILL = "FF1F4E5F"
_EXAMPLE_FILL = "FFFFF6DB"
_LINE = "FFCBD5DB"


def write_blank(path: str | Path, known_mistakes: Sequence[str] | None = None) -> Path:
    """Write a blank rubric workbook with two example problems and return its path.

    ``known_mistakes`` are the ids offered in the sheet Mistakes, those of the catalogue if not given. The workbook reads
    without faults as it stands. Raises GraderError where the file exists already or cannot be written.
    """
    path = Path(path)
    if path.suffix.lower() != ".xlsx":
        raise GraderError(f"{path} needs a name that ends in .xlsx, so that spreadsheet programs open it.")
    if path.exists():
        raise GraderError(f"{path} exists already and was left as it is; give another name.")
    return write_files(path.parent, {path.name: blank_workbook(known_mistakes)})[0]


def blank_workbook(known_mistakes: Sequence[str] | None = None) -> bytes:
    """The blank workbook as the bytes of an .xlsx file."""
    from openpyxl import Workbook

    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    words = {
        **layout.WORDS,
        "mistakes": tuple(catalogue.known_mistakes() if known_mistakes is None else known_mistakes),
    }
    for each in layout.sheets():
        _add_sheet(workbook, each, words)
    _fill_problems(workbook["Problems"], layout.sheet("Problems"))
    _fill_settings(workbook["Settings"])
    for name in ("Mistakes", "Decisions"):
        _offer_labels(workbook[name], layout.sheet(name))
    workbook.active = 0
    out = BytesIO()
    workbook.save(out)
    return out.getvalue()


def _add_sheet(workbook: Workbook, each: Sheet, words: Mapping[str, Sequence[str]]) -> None:
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

    sheet = workbook.create_sheet(each.name)
    last = column_letters(len(each.columns) - 1)
    purpose = write_cell(sheet, 1, 1, each.purpose)
    purpose.font = Font(name=_FONT, italic=True, color=_INK)
    purpose.alignment = Alignment(wrap_text=True, vertical="center")
    sheet.merge_cells(f"A1:{last}1")
    width = sum(column.width for column in each.columns)
    sheet.row_dimensions[1].height = 20 if len(each.purpose) < width * 1.1 else 36
    ruled = len(layout.settings()) if each.name == "Settings" else _RULED_ROWS
    line = Side(style="thin", color=_LINE)
    for index, column in enumerate(each.columns, start=1):
        heading = write_cell(sheet, _HEADER_ROW, index, column.heading)
        heading.font = Font(name=_FONT, bold=True, color="FFFFFFFF")
        heading.fill = PatternFill("solid", fgColor=_HEADER_FILL)
        heading.alignment = Alignment(vertical="center", wrap_text=True)
        heading.comment = _note(column)
        dimension = sheet.column_dimensions[column_letters(index - 1)]
        dimension.width = column.width
        # As text, so that a label 1-2 does not become a date and -5i - 3j no formula.
        dimension.number_format = "@"
        for row in range(_FIRST_ROW, _FIRST_ROW + ruled):
            cell = sheet.cell(row, index)
            cell.number_format = "@"
            cell.alignment = Alignment(wrap_text=True, vertical="top")
            cell.border = Border(bottom=line)
        _offer(workbook, sheet, index, column, words.get(column.words, ()))
    sheet.row_dimensions[_HEADER_ROW].height = 22
    sheet.freeze_panes = sheet.cell(_FIRST_ROW, 2 if len(each.columns) > 3 else 1)
    sheet.sheet_view.showGridLines = False
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.print_title_rows = f"1:{_HEADER_ROW}"
    sheet.print_area = f"A1:{last}{_FIRST_ROW + ruled - 1}"
    sheet.page_margins.left = sheet.page_margins.right = 0.4


def _note(column: Column) -> Comment:
    from openpyxl.comments import Comment

    note = Comment(column.note, "grader")
    longest = max(map(len, column.note.splitlines()))
    note.width = min(420, 40 + longest * 7)
    lines = sum(1 + len(line) * 7 // int(note.width - 20) for line in column.note.splitlines())
    note.height = 24 + 18 * lines
    return note


def _offer(workbook: Workbook, sheet: Worksheet, index: int, column: Column, words: Sequence[str]) -> None:
    """A drop-down list of a column's words, from row _FIRST_ROW down."""
    if not words:
        return
    listed = ",".join(words)
    if len(listed) <= _LONGEST_LIST:
        _add_list(sheet, index, f'"{listed}"', column.heading, column.free)
        return
    if _LISTS not in workbook.sheetnames:
        workbook.create_sheet(_LISTS).sheet_state = "hidden"
    lists = workbook[_LISTS]
    place = lists.max_column + 1 if lists["A1"].value else 1
    for row, word in enumerate(words, start=1):
        write_cell(lists, row, place, word)
    letters = column_letters(place - 1)
    _add_list(sheet, index, f"{_LISTS}!${letters}$1:${letters}${len(words)}", column.heading, column.free)


def _offer_labels(sheet: Worksheet, each: Sheet) -> None:
    """A drop-down list of the labels that stand in the sheet Problems."""
    index = next(i for i, column in enumerate(each.columns, start=1) if column.heading == "Problem")
    _add_list(sheet, index, f"Problems!$A${_FIRST_ROW}:$A${_LAST_ROW}", "Problem", free=False)


def _add_list(
    sheet: Worksheet,
    index: int,
    formula: str,
    heading: str,
    free: bool,
    rows: tuple[int, int] = (_FIRST_ROW, _LAST_ROW),
) -> None:
    from openpyxl.worksheet.datavalidation import DataValidation

    validation = DataValidation(type="list", formula1=formula, allow_blank=True)
    validation.showErrorMessage = not free
    validation.errorTitle = heading
    validation.error = "Choose one from the list, or leave the cell blank."
    letters = column_letters(index - 1)
    validation.add(f"{letters}{rows[0]}:{letters}{rows[1]}")
    sheet.add_data_validation(validation)


def _fill_problems(sheet: Worksheet, each: Sheet) -> None:
    from openpyxl.styles import Font, PatternFill

    for row, example in enumerate(layout.examples(), start=_FIRST_ROW):
        for index, column in enumerate(each.columns, start=1):
            cell = write_cell(sheet, row, index, example.get(column.heading, ""))
            cell.fill = PatternFill("solid", fgColor=_EXAMPLE_FILL)
            cell.font = Font(name=_FONT, italic=True, color=_INK)
        lines = max(-(-len(example.get(column.heading, "")) * 23 // (column.width * 20)) for column in each.columns)
        sheet.row_dimensions[row].height = 4 + 15 * lines


def _fill_settings(sheet: Worksheet) -> None:
    for row, setting in enumerate(layout.settings(), start=_FIRST_ROW):
        write_cell(sheet, row, 1, setting.name)
        write_cell(sheet, row, 2, setting.shown())
        write_cell(sheet, row, 3, f"{setting.explanation}{_usual(setting)}")
        words = setting.words or (layout.YES_OR_NO if setting.kind == "yes or no" else ())
        if words:
            _add_list(sheet, 2, f'"{",".join(words)}"', setting.name, free=False, rows=(row, row))


def _usual(setting: Setting) -> str:
    return f" Usual: {setting.shown()}." if setting.shown() else ""
