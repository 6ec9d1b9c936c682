"""The students' rows of an export: who they are, which attempt counts, and what is set aside."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from grader.errors import Fault, InputFaults
from grader.exchange.cells import Cell, Row, is_blank, trimmed
from grader.exchange.columns import ColumnMatch, repeats
from grader.exchange.rows import attempt_number, why_no_student
from grader.exchange.table import RawTable


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

    ``rows`` are all rows as written and ``rows[header]`` the headings. ``students`` maps the number of a row in the
    file (counted from 1) to the student whose answers there are marked.
    """

    raw: RawTable
    header: int
    matches: tuple[ColumnMatch, ...]
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
    def headings(self) -> Row:
        return self.raw.rows[self.header]


@dataclass(frozen=True, slots=True)
class StudentRow:
    """A row that holds a student's answers; ``table`` counts the tables of the export, ``row`` the rows from 1."""

    table: int
    row: int
    student_id: str
    cells: Row
    attempt: Cell = ""


def student_rows(number: int, table: ExportTable, aside: list[SetAside]) -> list[StudentRow]:
    """The rows of one table (the ``number``-th of the export) that are students'; the others are put into ``aside``."""
    columns = person_columns(table.matches)
    # In a workbook a cell beyond the headings is a remark; in a text file it means that cells have moved.
    width = len(table.headings) if table.raw.delimiter else max(map(len, table.rows))
    found = []
    for index, row in enumerate(table.rows):
        if index == table.header:
            continue
        if index < table.header:
            reason = "an empty row" if all(map(is_blank, row)) else "a line above the headings"
        elif repeats(row, table.headings):
            reason = "the headings again"
        else:
            student_id = trimmed(cell_at(row, columns.get("student id")))
            reason = why_no_student(row, student_id, name_in(row, columns), width)
            if not reason:
                attempt = cell_at(row, columns.get("attempt"))
                found.append(StudentRow(number, index + 1, student_id, row, attempt))
                continue
        aside.append(SetAside(table.file, index + 1, reason, table.sheet))
    return found


def check_students(tables: Sequence[ExportTable], found: Sequence[StudentRow]) -> None:
    """The same student twice is a fault unless each row says which attempt it is."""
    first: dict[str, StudentRow] = {}
    attempts: dict[tuple[str, int], StudentRow] = {}
    faults = []
    for each in found:
        earlier = first.setdefault(each.student_id, each)
        number = attempt_number(each.attempt)
        if number is not None:
            earlier_attempt = attempts.setdefault((each.student_id, number), each)
            if earlier_attempt is each and (earlier is each or attempt_number(earlier.attempt) is not None):
                continue
            earlier = earlier_attempt if earlier_attempt is not each else earlier
        if earlier is each:
            continue
        table, before = tables[each.table], tables[earlier.table]
        place = f"row {earlier.row}" if before is table else f"{before.file}, row {earlier.row}"
        same = f", attempt {number}," if number is not None and attempt_number(earlier.attempt) == number else ""
        faults.append(
            Fault(
                file=table.file,
                sheet=table.sheet,
                row=each.row,
                found=f"student {each.student_id}{same} a second time (first in {place})",
                expected="one row for each student" + (" and attempt" if number is not None else ""),
                remedy="Remove the row that does not count, or add a column Attempt that numbers them.",
            )
        )
    if faults:
        raise InputFaults(faults)


def latest_attempts(
    tables: Sequence[ExportTable], found: Sequence[StudentRow], aside: list[SetAside]
) -> list[StudentRow]:
    """Each student's last attempt; the others are set aside."""
    last: dict[str, StudentRow] = {}
    for each in found:
        rival = last.get(each.student_id)
        if rival is None or (attempt_number(each.attempt) or 0) > (attempt_number(rival.attempt) or 0):
            last[each.student_id] = each
    chosen = []
    for each in found:
        counts = last[each.student_id]
        if counts is each:
            chosen.append(each)
            continue
        table = tables[each.table]
        reason = f"attempt {attempt_number(each.attempt)}; attempt {attempt_number(counts.attempt)} counts"
        aside.append(SetAside(table.file, each.row, reason, table.sheet))
    return chosen


def person_columns(matches: Iterable[ColumnMatch]) -> dict[str, int]:
    """What is held about the student (``student id``, ``section``) → the column that holds it."""
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
