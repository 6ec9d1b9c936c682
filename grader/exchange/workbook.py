"""Sheets of .xlsx workbooks as tables of typed cells, in and out."""

from __future__ import annotations

import re
import warnings
import zipfile
import zlib
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from grader.errors import Fault, GraderError, InputFaults
from grader.exchange.cells import Cell, Row, column_letters
from grader.exchange.csvfile import FORMULA_STARTS
from grader.exchange.limits import LONGEST_CELL, Gauge, check_archive, check_parts, check_size
from grader.exchange.table import RawTable, without_trailing_blanks, without_trailing_cells

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_OLD_OR_LOCKED = b"\xd0\xcf\x11\xe0"  # the container of .xls files and of encrypted workbooks
_ZEROS = re.compile("0{2,}")
_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def read_workbook(path: Path, wanted: Callable[[str], bool] = lambda name: True) -> tuple[RawTable, ...]:
    """Every sheet of a workbook in its order, hidden ones too; those whose name is not wanted without their rows.

    A number shown as a percentage becomes the text that was typed (``75%``), one shown with leading zeros keeps them
    (``007``); every other number, date or truth value keeps its type. A formula gives its stored result. Raises
    GraderError when the file is not such a workbook, InputFaults for a formula without a stored result.
    """
    _check_container(path)
    try:
        sheets = _load(path, wanted, results=False)
        formulas = _formulas(sheets)
        if formulas:
            _fill_results(path, sheets, formulas, wanted)
    except GraderError:
        raise
    except Exception as error:  # the library raises whatever its XML and ZIP readers raise
        raise GraderError(
            f"{path.name} is damaged and cannot be read as a workbook ({type(error).__name__}); "
            "open it in a spreadsheet program and save it again as .xlsx."
        ) from error
    return tuple(RawTable(path, without_trailing_blanks(rows), sheet=name) for name, rows in sheets.items())


def _check_container(path: Path) -> None:
    try:
        check_size(path)
        with path.open("rb") as file:
            start = file.read(8)
        if start.startswith(_OLD_OR_LOCKED):
            raise GraderError(
                f"{path.name} is an old .xls workbook or locked with a password; "
                "save it as .xlsx without a password and try again."
            )
        if not start:
            raise GraderError(f"{path.name} is empty; export or save it again.")
        if not zipfile.is_zipfile(path):
            raise GraderError(f"{path.name} is not an .xlsx workbook; save it as .xlsx in a spreadsheet program.")
        with zipfile.ZipFile(path) as archive:
            check_archive(archive, path.name)
            check_parts(archive, path.name)
    except FileNotFoundError as error:
        raise GraderError(f"{path} does not exist; check the name and the folder.") from error
    except OSError as error:
        raise GraderError(f"{path} cannot be read: {error.strerror or error}.") from error
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as error:
        raise GraderError(f"{path.name} is damaged; save it again as .xlsx in a spreadsheet program.") from error


def _load(path: Path, wanted: Callable[[str], bool], results: bool) -> dict[str, list[Row]]:
    """Sheet → rows, with the stored results of formulas or the formulas themselves."""
    from openpyxl import load_workbook

    with warnings.catch_warnings(), path.open("rb") as file:
        # The library warns of parts of a workbook that it does not know, such as some drop-downs; none holds data.
        warnings.simplefilter("ignore")
        workbook = load_workbook(file, read_only=True, data_only=results)
        try:
            sheets = workbook.worksheets
            return {sheet.title: _cells(sheet, path.name) if wanted(sheet.title) else [] for sheet in sheets}
        finally:
            workbook.close()


class _Formula(str):
    """The text of a formula, until its stored result takes its place."""

    __slots__ = ()


def _cells(sheet: Any, file: str) -> list[Row]:
    sheet.reset_dimensions()  # some programs store a wrong size, and rows beyond it would be lost
    gauge = Gauge(file, sheet.title)
    rows = []
    for cells in sheet.iter_rows():
        row = without_trailing_cells([_cell(each) for each in cells])
        gauge.count(row if row else cells)
        rows.append(row)
    return rows


def _cell(cell: Any) -> Cell:
    value = cell.value
    if value is None:
        return ""
    if cell.data_type == "f":
        return _Formula(getattr(value, "text", value))
    if isinstance(value, bool):
        return value
    if isinstance(value, int | float):
        shown = cell.number_format or ""
        if "%" in shown:
            return f"{value * 100:.12g}%"
        if _ZEROS.fullmatch(shown) and float(value).is_integer() and value >= 0:
            return f"{int(value):0{len(shown)}d}"
        return value
    if isinstance(value, str | datetime | date | time | timedelta):
        return value
    return str(value)


def _formulas(sheets: Mapping[str, list[Row]]) -> set[tuple[str, int, int]]:
    return {
        (name, r, c)
        for name, rows in sheets.items()
        for r, row in enumerate(rows)
        for c, cell in enumerate(row)
        if isinstance(cell, _Formula)
    }


def _fill_results(
    path: Path, sheets: dict[str, list[Row]], formulas: set[tuple[str, int, int]], wanted: Callable[[str], bool]
) -> None:
    results = _load(path, wanted, results=True)
    faults = []
    for name, r, c in sorted(formulas):
        cached = results[name][r]
        result = cached[c] if c < len(cached) else ""
        if result == "":
            faults.append(
                Fault(
                    file=path.name,
                    sheet=name,
                    row=r + 1,
                    column=column_letters(c),
                    found="a formula whose result is not stored in the file",
                    expected="a value",
                    remedy="Open the workbook in a spreadsheet program and save it, or type the value.",
                )
            )
            continue
        row = sheets[name][r]
        sheets[name][r] = (*row[:c], result, *row[c + 1 :])
    if faults:
        raise InputFaults(faults)


def write_cell(sheet: Worksheet, row: int, column: int, value: Cell) -> Any:
    """Put a value into a cell (both counted from 1), text always as text: none becomes a formula, even when edited.

    Characters that a workbook cannot hold become �, and text beyond 32 767 characters is cut. Returns the cell.
    """
    cell = sheet.cell(row=row, column=column)
    if not isinstance(value, str):
        cell.value = value
        return cell
    if value:
        cell.value = _UNPRINTABLE.sub("\N{REPLACEMENT CHARACTER}", value)[:LONGEST_CELL]
        cell.data_type = "s"
        if value.startswith(FORMULA_STARTS):
            cell.quotePrefix = True
    return cell


def workbook_bytes(sheets: Mapping[str, Sequence[Sequence[Cell]]]) -> bytes:
    """A plain workbook of these sheets and rows, as the bytes of an .xlsx file."""
    from openpyxl import Workbook

    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    for name, rows in sheets.items():
        sheet = workbook.create_sheet(name)
        for r, row in enumerate(rows, start=1):
            for c, value in enumerate(row, start=1):
                write_cell(sheet, r, c, value)
    out = BytesIO()
    workbook.save(out)
    return out.getvalue()
