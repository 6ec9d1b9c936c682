"""Which column tells who a student is, where a heading such as Pupil stands over names: one name can be two students'."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from grader.errors import Fault
from grader.exchange.cells import Cell, Row, column_letters, fold, is_blank, listed, phrase, quoted, trimmed
from grader.exchange.columns import BY_SHEET, ColumnMatch
from grader.exchange.headings import names_either
from grader.exchange.meanings import Meaning
from grader.exchange.moments import read_moment
from grader.exchange.rows import why_no_student
from grader.exchange.students import ExportTable, cell_at
from grader.exchange.words import words

_ID, _NAME, _EMAIL = Meaning("student id"), Meaning("name"), Meaning("email")
_OF_NAMES = re.compile(r"[^\W\d_]+(?:[\s.,'’\-]+[^\W\d_]+)*\.?")
_CLOCK = re.compile(r"\d{1,3}(?::\d{2}){1,2}|\d+[.,]\d+")
_LONGEST_ID = 40


def settle_ids(matches: Sequence[ColumnMatch], rows: Sequence[Row]) -> tuple[ColumnMatch, ...]:
    """The matches, with the ids taken from a column Student where they stand there and another only counts the rows.

    ``rows`` are the rows below the headings that tell who the student is.
    """
    number, student = (_held(matches, each) for each in (_ID, _NAME))
    if number is None or student is None or BY_SHEET in (number.how, student.how):
        return tuple(matches)
    counted = [trimmed(cell_at(row, number.index)) for row in rows] == [str(n + 1) for n in range(len(rows))]
    said = [trimmed(cell_at(row, student.index)) for row in rows]
    if not (counted and said and names_either(student.heading) and all(any(map(str.isdigit, each)) for each in said)):
        return tuple(matches)
    settled = list(matches)
    why = f"it counts the rows; student id is taken from {quoted(student.heading)}"
    settled[number.index] = replace(number, holds="ignored", how=why, meaning=None)
    settled[student.index] = replace(student, holds=str(_ID), meaning=_ID)
    return tuple(settled)


def unsettled_ids(table: ExportTable) -> list[Fault]:
    """A fault where names would serve as ids although another column may hold the ids, or tells two of a name apart."""
    taken = _held(table.matches, _ID)
    if taken is None or taken.how == BY_SHEET:
        return []
    rows = [row for row in table.rows[table.header + 1 :] if _is_students(row, taken.index, len(table.headings))]
    names = [trimmed(cell_at(row, taken.index)) for row in rows]
    if not names or not all(map(_OF_NAMES.fullmatch, names)):
        return []
    if not names_either(taken.heading) and not any(" " in name for name in names):
        return []  # a login such as asmith under a heading that says so
    found = [
        each
        for each in table.matches
        if each.meaning is None and _is_open(each) and _may_hold_ids(each.index, names, rows, table.by_rows)
    ]
    address = _held(table.matches, _EMAIL)
    if address is not None and _tells_apart(names, [cell_at(row, address.index) for row in rows]):
        found.append(address)
    if not found:
        return []
    others = [quoted(each.heading) for each in found]
    return [
        Fault(
            file=table.file,
            sheet=table.sheet,
            row=table.header + 1,
            column=column_letters(taken.index),
            found=f"names under {quoted(taken.heading)}, where {listed(others, 'and')} may tell students of one name apart",
            expected="a column known to hold the student ids",
            remedy=f"Say in the sheet Columns of the rubric which one holds the “student id”: {listed(others)}, or "
            f"{quoted(taken.heading)} if no two students have one name.",
        )
    ]


def _held(matches: Sequence[ColumnMatch], meaning: Meaning) -> ColumnMatch | None:
    return next((match for match in matches if match.meaning == meaning), None)


def _is_students(row: Row, index: int, width: int) -> bool:
    student = trimmed(cell_at(row, index))
    return bool(student) and not why_no_student(row, student, student, width)


def _is_open(match: ColumnMatch) -> bool:
    """Whether nothing is known of an ignored column, not even that it holds no id."""
    table = words()
    return bool(match.heading) and match.how != BY_SHEET and not table.not_an_answer & {*phrase(match.heading).split()}


def _may_hold_ids(index: int, names: Sequence[str], rows: Sequence[Row], by_rows: bool) -> bool:
    """Whether a column has a short value of its own for each student, as ids are.

    Where every row is one answer, a value of its own in each row is the answer's, and one beside each name tells nothing.
    """
    said = [*_texts(rows, index)]
    if len(said) < len(rows) or any(map(_is_no_id, said)):
        return False
    distinct = len({fold(each) for each in said}) == len(rows)
    return not distinct and _tells_apart(names, said) if by_rows else distinct


def _texts(rows: Sequence[Row], index: int) -> Iterator[str]:
    for row in rows:
        cell = cell_at(row, index)
        if not is_blank(cell):
            yield trimmed(cell)


def _is_no_id(text: str) -> bool:
    return len(text) > _LONGEST_ID or read_moment(text) is not None or _CLOCK.fullmatch(text) is not None


def _tells_apart(names: Sequence[str], others: Sequence[Cell]) -> bool:
    """Whether one name stands beside two different values."""
    by_name: dict[str, str] = {}
    return any(
        by_name.setdefault(fold(name), fold(trimmed(other))) != fold(trimmed(other))
        for name, other in zip(names, others)
    )
