"""The rows of an export that hold answers: whose they are, of which attempt, and what is set aside and why."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from grader.errors import Fault, InputFaults
from grader.exchange.cells import Cell, Row, as_text, fold, is_blank, quoted, trimmed
from grader.exchange.columns import ColumnMatch
from grader.exchange.headrow import repeats
from grader.exchange.meanings import Meaning
from grader.exchange.rows import attempt_number, why_no_student
from grader.exchange.table import RawTable

_CUT_ID = re.compile(r"\d[.,]\d+E\+\d+", re.IGNORECASE)
_ID_WITH_PLACES = re.compile(r"\d+\.0+")


@dataclass(frozen=True, slots=True)
class SetAside:
    """A row of an export that is not marked, and why."""

    file: str
    row: int
    reason: str
    sheet: str = ""


@dataclass(frozen=True)
class ExportTable:
    """One table of an export as it came, for writing it back with scores.

    ``rows`` are all rows as written; ``header`` is the index of the row of ``headings`` (of the lower line, where they
    fill two). ``items`` says what each item is where every row is one answer. ``students`` maps the number of a row in
    the file (counted from 1) to the student whose answers there are marked.
    """

    raw: RawTable
    header: int
    headings: Row
    matches: tuple[ColumnMatch, ...]
    items: tuple[ColumnMatch, ...] = ()
    students: Mapping[int, str] = field(default_factory=dict)

    @property
    def file(self) -> str:
        return self.raw.file

    @property
    def sheet(self) -> str:
        return self.raw.sheet

    @property
    def rows(self) -> tuple[Row, ...]:
        return self.raw.rows

    @property
    def by_rows(self) -> bool:
        """Whether every row is one answer, and not one student."""
        held = {match.meaning for match in self.matches}
        return {Meaning("item"), Meaning("response")} <= held

    def place(self, row: int) -> str:
        """A row as one would say it: ``tuesday.csv, row 3``."""
        return f"{self.file}, sheet {self.sheet}, row {row}" if self.sheet else f"{self.file}, row {row}"


@dataclass(frozen=True, slots=True)
class Entry:
    """A row that holds answers: a student's whole homework, or one answer, which ``item`` then names (item and part).

    ``table`` counts the tables of the export, ``row`` the rows from 1; ``moment`` is ``submitted`` read as a time.
    """

    table: int
    row: int
    student_id: str
    cells: Row
    attempt: Cell = ""
    submitted: Cell = ""
    item: tuple[str, str] | None = None
    moment: datetime | None = None
    number: int | None = None


def entries_of(
    number: int, table: ExportTable, ids_by_address: Mapping[str, str], aside: list[SetAside]
) -> list[Entry]:
    """The rows of one table (the ``number``-th of the export) that hold answers; the others are put into ``aside``.

    ``ids_by_address`` tells who is who in an export that knows its students by their addresses alone.
    """
    columns = person_columns(table.matches)
    # In a workbook a cell beyond the headings is a remark; in a text file it means that cells have moved.
    width = len(table.headings) if table.raw.delimiter else max(map(len, table.rows))
    found = []
    for index, row in enumerate(table.rows):
        if index == table.header:
            continue
        if index < table.header:
            reason = "an empty row" if all(map(is_blank, row)) else "a line above the headings"
        elif repeats(row, table.headings) or repeats(row, table.rows[table.header]):
            reason = "the headings again"
        else:
            student_id, unknown = _who(row, columns, ids_by_address)
            reason = why_no_student(row, student_id or unknown, name_in(row, columns), width)
            if unknown and not reason:
                reason = "its address is not in the sheet Students"
            item = item_of(row, columns) if table.by_rows else None
            if item == ("", "") and not reason:
                reason = "no item named"
            if not reason:
                attempt, submitted = (cell_at(row, columns.get(kind)) for kind in ("attempt", "submitted"))
                found.append(
                    Entry(number, index + 1, student_id, row, attempt, submitted, item, number=attempt_number(attempt))
                )
                continue
        aside.append(SetAside(table.file, index + 1, reason, table.sheet))
    return found


def _who(row: Row, columns: Mapping[str, int], ids_by_address: Mapping[str, str]) -> tuple[str, str]:
    """The student's id, or else the address that tells nobody's; both blank where the row names nobody."""
    if "student id" in columns:
        return trimmed(cell_at(row, columns["student id"])), ""
    address = trimmed(cell_at(row, columns.get("email")))
    student_id = ids_by_address.get(fold(address), "")
    return student_id, "" if student_id else address


def item_of(row: Row, columns: Mapping[str, int]) -> tuple[str, str]:
    """The item and the part that a row is about."""
    return trimmed(cell_at(row, columns.get("item"))), trimmed(cell_at(row, columns.get("part")))


def with_whole_ids(entries: Sequence[Entry], tables: Sequence[ExportTable], notes: list[str]) -> list[Entry]:
    """The entries with ids as they were before a table program took them for numbers (1042.0), which is noted.

    Raises InputFaults for ids of which only the first digits are left (1.04E+09): nobody can tell whose those were.
    """
    faults = [
        Fault(
            file=tables[each.table].file,
            sheet=tables[each.table].sheet,
            row=each.row,
            found=f"the student id {quoted(each.student_id)}, of which a spreadsheet program kept the first digits only",
            expected="the whole id",
            remedy="Export the answers again, and do not save them from a spreadsheet program before the ids are text.",
        )
        for each in entries
        if _CUT_ID.fullmatch(each.student_id)
    ]
    if faults:
        raise InputFaults(faults)
    damaged = [each for each in entries if _ID_WITH_PLACES.fullmatch(each.student_id)]
    for file in dict.fromkeys(tables[each.table].file for each in damaged):
        example = next(each.student_id for each in damaged if tables[each.table].file == file)
        notes.append(f"{file}: student ids such as {example} were read without their “.0”.")
    return [
        replace(each, student_id=each.student_id.partition(".")[0])
        if _ID_WITH_PLACES.fullmatch(each.student_id)
        else each
        for each in entries
    ]


def of_known_items(entries: Iterable[Entry], tables: Sequence[ExportTable], aside: list[SetAside]) -> list[Entry]:
    """The entries without those about items that are no problem of the rubric, which are set aside."""
    matches = [{match.heading: match for match in table.items} for table in tables]
    kept = []
    for each in entries:
        match = matches[each.table].get(name_of(each.item)) if each.item else None
        if each.item is None or (match is not None and match.meaning is not None):
            kept.append(each)
            continue
        table = tables[each.table]
        why = f"the item {quoted(name_of(each.item))} is no problem of the rubric"
        aside.append(SetAside(table.file, each.row, why, table.sheet))
    return kept


def name_of(item: tuple[str, str]) -> str:
    """An item and its part as the sheet Columns names them."""
    return " ".join(filter(None, item))


def same_answers(one: Entry, other: Entry, tables: Sequence[ExportTable]) -> bool:
    """Whether two entries hold the same answers, cell by cell."""
    return _answers(one, tables[one.table]) == _answers(other, tables[other.table])


def _answers(entry: Entry, table: ExportTable) -> list[tuple[str, str]]:
    held = "response" if entry.item else "answer"
    cells = [
        (str(match.meaning), as_text(cell_at(entry.cells, match.index)))
        for match in table.matches
        if match.meaning is not None and match.meaning.kind == held
    ]
    return sorted(cell for cell in cells if not is_blank(cell[1]))


def person_columns(matches: Iterable[ColumnMatch]) -> dict[str, int]:
    """What is held about the student or the row (``student id``, ``section``, ``item``) → the column that holds it."""
    return {match.meaning.kind: match.index for match in matches if match.meaning and match.meaning.kind != "answer"}


def name_in(row: Sequence[Cell], columns: Mapping[str, int]) -> str:
    """The student's name as the row gives it, whole or from first and last name; blank where it gives none."""
    if "name" in columns:
        return trimmed(cell_at(row, columns["name"]))
    both = (trimmed(cell_at(row, columns.get(held))) for held in ("first name", "last name"))
    return " ".join(part for part in both if part)


def cell_at(row: Sequence[Cell], index: int | None) -> Cell:
    """The cell of a column; blank where there is no such column or the row is short."""
    return row[index] if index is not None and index < len(row) else ""


def source_of(raw: RawTable, tables: Iterable[ExportTable]) -> str:
    """How a table is called: by its file, and its sheet where the workbook has several that were read."""
    several = sum(table.raw.path == raw.path for table in tables) > 1
    return f"{raw.file}, sheet {raw.sheet}" if several else raw.file
