"""Writing the match of an export's columns into the rubric's sheet Columns, so that it stays as it was shown."""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Sequence
from copy import copy
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from grader.errors import Fault, GraderError, InputFaults
from grader.exchange.cells import fold, is_blank
from grader.exchange.columns import ColumnMatch
from grader.exchange.files import write_files
from grader.exchange.workbook import write_cell
from grader.marking.definitions import ColumnRule
from grader.rubric.layout import sheet

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_SHEET = "Columns"
_WITHIN = 20  # rows in which the headings of the sheet are looked for


def new_rules(
    matches: Iterable[tuple[str, Sequence[ColumnMatch]]], known: Sequence[ColumnRule]
) -> tuple[ColumnRule, ...]:
    """The rows that the sheet Columns lacks: each heading with what it holds, or ``ignore``.

    ``matches`` are pairs of an export's name and its matches. Raises InputFaults where one heading holds one thing in
    one export and another in the next, for which the sheet has no words.
    """
    told = {fold(rule.heading) for rule in known}
    found: dict[str, tuple[ColumnRule, str]] = {}
    faults = []
    for file, columns in matches:
        for match in columns:
            heading = match.heading
            if not heading or fold(heading) in told:
                continue
            rule = ColumnRule(heading, "ignore" if match.meaning is None else match.holds)
            other, where = found.setdefault(fold(heading), (rule, file))
            if other.holds != rule.holds:
                faults.append(
                    Fault(
                        file=file,
                        column=heading,
                        found=f"{rule.holds}, where {where} has {other.holds} under that heading",
                        expected="one meaning for one heading",
                        remedy="Rename the heading in one of the exports.",
                    )
                )
    if faults:
        raise InputFaults(faults)
    return tuple(rule for rule, _ in found.values())


def remember_columns(path: Path, rules: Sequence[ColumnRule]) -> None:
    """Add rows to the sheet Columns of a rubric workbook; everything else in it stays.

    The workbook is replaced in one step, or left as it is. Raises GraderError where it cannot be written.
    """
    from openpyxl import load_workbook

    if not rules:
        return
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of parts that the library does not know; the reader has checked the content
        workbook = load_workbook(path, keep_vba=path.suffix.lower() == ".xlsm", rich_text=True)
    names = {fold(name): name for name in workbook.sheetnames}
    if fold(_SHEET) in names:
        page = workbook[names[fold(_SHEET)]]
    else:
        page = workbook.create_sheet(_SHEET)
        for index, column in enumerate(sheet(_SHEET).columns, start=1):
            write_cell(page, 1, index, column.heading)
    heading, holds, row = _place(page)
    header = _header(page)
    for rule in rules:
        for place, text in ((heading, rule.heading), (holds, rule.holds)):
            cell: Any = page.cell(row, place)
            above: Any = page.cell(row - 1, place)
            if cell.number_format == "General" and row - 1 > header:
                cell._style = copy(above._style)
            cell.number_format = "@"  # as text, so that a heading such as 1-2 does not become a date
            write_cell(page, row, place, text)
        row += 1
    out = BytesIO()
    try:
        workbook.save(out)
    except Exception as error:  # whatever the library cannot write back
        raise GraderError(
            f"{path} holds something that cannot be written back; fill in its sheet Columns by hand."
        ) from error
    write_files(path.parent, {path.name: out.getvalue()}, keep_mode=True)


def _header(page: Worksheet) -> int:
    """The row of the headings."""
    wanted = {fold(column.heading) for column in sheet(_SHEET).columns}
    rows = page.iter_rows(min_row=1, max_row=_WITHIN)
    counts = [sum(fold(str(cell.value)) in wanted for cell in row if cell.value is not None) for row in rows]
    return counts.index(max(counts)) + 1 if any(counts) else 0


def _place(page: Worksheet) -> tuple[int, int, int]:
    """The columns of the two headings, and the first row below everything that stands under them."""
    header = _header(page)
    if not header:
        header = 1
        for index, column in enumerate(sheet(_SHEET).columns, start=1):
            write_cell(page, header, index, column.heading)
    places = {fold(str(cell.value)): cell.column for cell in page[header] if cell.value is not None}
    heading, holds = (places[fold(column.heading)] for column in sheet(_SHEET).columns[:2])
    filled = [
        row
        for row in range(header + 1, page.max_row + 1)
        if any(not is_blank(str(page.cell(row, column).value or "")) for column in (heading, holds))
    ]
    return heading, holds, max(filled, default=header) + 1
