"""Files named .xls that are none: web pages with a table, and workbooks written as one XML file."""

from __future__ import annotations

from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING

from grader.errors import GraderError
from grader.exchange.cells import Cell, Row
from grader.exchange.limits import MOST_COLUMNS, MOST_ROWS, Gauge, check_declarations, check_size
from grader.exchange.table import RawTable, without_trailing_blanks
from grader.exchange.text import decode

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

_SPREADSHEET = "urn:schemas-microsoft-com:office:spreadsheet"  # the namespace of workbooks written as one XML file


def is_web_page(head: bytes) -> bool:
    """Whether a file that begins with these bytes is a web page with a table."""
    plain = head.replace(b"\0", b"").lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    return plain.startswith((b"<html", b"<!doctype html", b"<table", b"<meta", b"<head")) or (
        plain.startswith(b"<?xml") and b"<html" in plain
    )


def is_xml_workbook(head: bytes) -> bool:
    """Whether a file that begins with these bytes is a workbook written as one XML file."""
    return _SPREADSHEET.encode() in head.replace(b"\0", b"")


def read_web_page(path: Path) -> tuple[RawTable, ...]:
    """Every table of a web page. A cell over several columns stands in the first of them, and blanks in the others."""
    check_size(path)
    decoded = decode(path.read_bytes(), path.name)
    reader = _Tables(path.name)
    reader.feed(decoded.text)
    reader.close()
    if not reader.tables:
        raise GraderError(
            f"{path.name} is a web page without a table; save the answers as .xlsx or .csv and try again."
        )
    return tuple(
        RawTable(
            path, without_trailing_blanks(rows), sheet=f"Table {number}", notes=decoded.notes if number == 1 else ()
        )
        for number, rows in enumerate(reader.tables, start=1)
    )


class _Tables(HTMLParser):
    """Collects the rows of tables; a table within a cell is text of that cell."""

    def __init__(self, file: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tables: list[list[Row]] = []
        self._file = file
        self._gauge = Gauge(file)
        self._depth = 0
        self._row: list[Cell] | None = None
        self._cell: list[str] | None = None
        self._span = 1

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "table":
            self._depth += 1
            if self._depth == 1:
                self.tables.append([])
        elif self._depth == 1 and tag == "tr":
            self._end_row()
            self._row = []
        elif self._depth == 1 and tag in ("td", "th"):
            self._end_cell()
            if self._row is None:
                self._row = []
            self._cell, self._span = [], _count(dict(attrs).get("colspan"))
        elif tag == "br" and self._cell is not None:
            self._cell.append("\n")

    def handle_endtag(self, tag: str) -> None:
        if tag == "table" and self._depth:
            if self._depth == 1:
                self._end_row()
            self._depth -= 1
        elif self._depth == 1 and tag in ("td", "th"):
            self._end_cell()
        elif self._depth == 1 and tag == "tr":
            self._end_row()

    def handle_data(self, data: str) -> None:
        if self._cell is not None:
            self._cell.append(data)

    def close(self) -> None:
        super().close()
        self._end_row()

    def _end_cell(self) -> None:
        if self._cell is not None and self._row is not None:
            self._row += ["".join(self._cell).strip("\r\n\t "), *[""] * (self._span - 1)]
        self._cell = None

    def _end_row(self) -> None:
        self._end_cell()
        if self._row is not None and self.tables:
            self._gauge.count(self._row)
            self.tables[-1].append(tuple(self._row))
        self._row = None


def _count(text: str | None, most: int = MOST_COLUMNS) -> int:
    return min(int(text), most) if text and text.isdecimal() and len(text) < 8 and int(text) else 1


def read_xml_workbook(path: Path) -> tuple[RawTable, ...]:
    """Every sheet of a workbook written as one XML file."""
    from xml.etree.ElementTree import ParseError

    from defusedxml.common import DefusedXmlException
    from defusedxml.ElementTree import fromstring

    check_size(path)
    data = path.read_bytes()
    check_declarations(data, path.name, whole=True)
    try:
        root = fromstring(data, forbid_dtd=True)
    except (ParseError, DefusedXmlException, ValueError, LookupError) as error:
        raise GraderError(
            f"{path.name} is damaged and cannot be read; save it as .xlsx in a spreadsheet program."
        ) from error
    tables: list[RawTable] = []
    for sheet in root.iter(f"{{{_SPREADSHEET}}}Worksheet"):
        name = sheet.get(f"{{{_SPREADSHEET}}}Name") or f"Sheet {len(tables) + 1}"
        gauge = Gauge(path.name, name)
        rows: list[Row] = []
        for row in sheet.iter(f"{{{_SPREADSHEET}}}Row"):
            place = _count(row.get(f"{{{_SPREADSHEET}}}Index"), MOST_ROWS)
            while len(rows) < place - 1:
                gauge.count(())
                rows.append(())
            cells = _cells(row)
            gauge.count(cells)
            rows.append(tuple(cells))
        tables.append(RawTable(path, without_trailing_blanks(rows), sheet=name))
    return tuple(tables)


def _cells(row: Element) -> list[Cell]:
    cells: list[Cell] = []
    for cell in row.iter(f"{{{_SPREADSHEET}}}Cell"):
        place = _count(cell.get(f"{{{_SPREADSHEET}}}Index"))
        cells += [""] * (place - 1 - len(cells))
        data = cell.find(f"{{{_SPREADSHEET}}}Data")
        text = "".join(data.itertext()) if data is not None else ""
        number = data is not None and data.get(f"{{{_SPREADSHEET}}}Type") == "Number"
        cells.append(_number(text) if number else text)
    return cells


def _number(text: str) -> Cell:
    try:
        return float(text)
    except ValueError:
        return text
