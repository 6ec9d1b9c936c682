"""A sheet of the rubric as rows of named cells, with a place for every fault found on the way."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import TypeVar

from grader.errors import Fault
from grader.exchange.cells import Cell, did_you_mean, fold, is_blank, quoted
from grader.exchange.table import RawTable
from grader.rubric.cells import CellError, text
from grader.rubric.layout import Sheet

T = TypeVar("T")

_ROWS_ABOVE_HEADINGS = 20


@dataclass
class Findings:
    """What is collected while a workbook is read: faults, which stop the work, and warnings, which do not."""

    file: str
    faults: list[Fault] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class SheetRow:
    """A row of a sheet: its number in the file, and its cells by heading."""

    sheet: str
    number: int
    cells: dict[str, Cell]
    findings: Findings

    def blank(self, heading: str) -> bool:
        return is_blank(self.cells.get(heading, ""))

    def fault(self, heading: str, found: str, expected: str, remedy: str = "") -> None:
        """Note that something is wrong with this row, at this column or (blank) as a whole."""
        self.findings.faults.append(
            Fault(
                file=self.findings.file,
                sheet=self.sheet,
                row=self.number,
                column=heading,
                found=found,
                expected=expected,
                remedy=remedy,
            )
        )

    def warn(self, sentence: str) -> None:
        self.findings.warnings.append(f"{self.findings.file}, sheet {self.sheet}, row {self.number}: {sentence}")

    def read(self, heading: str, reader: Callable[[Cell], T], default: T) -> T:
        """The value of a cell; ``default`` where it is blank, and where it is faulty, which is noted."""
        cell = self.cells.get(heading, "")
        if is_blank(cell):
            return default
        try:
            return reader(cell)
        except CellError as error:
            self.fault(heading, error.found or quoted(cell), error.expected, error.remedy)
            return default

    def text(self, heading: str) -> str:
        return self.read(heading, text, "")

    def needed(self, heading: str, expected: str) -> str:
        """The text of a cell that must not be blank."""
        if self.blank(heading):
            self.fault(heading, "nothing", expected)
            return ""
        return self.text(heading)


def rows_of(table: RawTable, layout: Sheet, findings: Findings) -> Iterator[SheetRow]:
    """The rows of a sheet below its headings, blank ones left out.

    Lines above the headings are skipped. Unknown headings are warned of; headings that are missing or stand twice are
    faults, and the sheet then has no rows.
    """
    known = {fold(name): column.heading for column in layout.columns for name in (column.heading, *column.also)}
    header = _header(table, known)
    columns: dict[int, str] = {}
    sound = True

    def fault(row: int | None, column: str, found: str, expected: str, remedy: str = "") -> None:
        findings.faults.append(Fault(findings.file, found, expected, table.sheet, row, column, remedy))

    if header is None:
        if not table.empty:
            names = ", ".join(column.heading for column in layout.columns)
            fault(None, "", "no row of headings", f"the headings {names}")
        return
    for index, cell in enumerate(table.rows[header]):
        name = known.get(fold(text_or_blank(cell)))
        if is_blank(cell):
            continue
        if name is None:
            said = quoted(cell)
            hint = did_you_mean(text_or_blank(cell), [column.heading for column in layout.columns])
            findings.warnings.append(
                f"{findings.file}, sheet {table.sheet}: the heading {said} is not known and its column is not read."
                + (f" {hint}" if hint else "")
            )
        elif name in columns.values():
            fault(header + 1, name, f"the heading {quoted(cell)} twice", "each heading once", "Rename or remove one.")
            sound = False
        else:
            columns[index] = name
    for column in layout.columns:
        if column.required and column.heading not in columns.values():
            fault(header + 1, "", f"no heading “{column.heading}”", "that heading", f"It holds this: {column.note}")
            sound = False
    if not sound:
        return
    unread = {column.heading for column in layout.columns if column.ignored}
    for index, row in enumerate(table.rows[header + 1 :], start=header + 2):
        cells = {name: row[i] for i, name in columns.items() if i < len(row) and name not in unread}
        if not all(map(is_blank, cells.values())):
            yield SheetRow(table.sheet, index, cells, findings)


def text_or_blank(cell: Cell) -> str:
    return cell if isinstance(cell, str) else ""


def _header(table: RawTable, known: dict[str, str]) -> int | None:
    """The row with the most known headings, the first of several."""
    best, found = 0, None
    for index, row in enumerate(table.rows[:_ROWS_ABOVE_HEADINGS]):
        count = sum(fold(text_or_blank(cell)) in known for cell in row)
        if count > best:
            best, found = count, index
    return found
