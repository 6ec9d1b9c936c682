"""The table of answers: a row per student, problem and attempt, names and addresses completed from the roster."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, TypeAlias

from grader.exchange.cells import Cell, as_text, fold, is_blank, some_of, trimmed
from grader.exchange.columns import ColumnMatch
from grader.exchange.meanings import BOXES
from grader.exchange.students import Entry, ExportTable, cell_at, name_in, name_of, person_columns, source_of
from grader.marking.definitions import ALL_PROBLEMS, Rubric, Student

if TYPE_CHECKING:
    import pandas as pd

Written: TypeAlias = tuple[tuple[str, Cell], ...]
"""What a student wrote for one problem: (box, cell) pairs in the order of ``BOXES``."""

ANSWER_COLUMNS = (
    "student_id",
    "name",
    "email",
    "section",
    "attempt",
    "submitted",
    "submitted_at",
    "problem",
    "written",
    "source",
    "source_row",
)


@dataclass(frozen=True, slots=True)
class _Answer:
    """What one student wrote for one problem in one attempt, and the entry (the last, if several) that it stands in."""

    problem: str
    written: Written
    entry: Entry
    attempt: str


def answers_table(
    tables: Sequence[ExportTable], entries: Sequence[Entry], rubric: Rubric, notes: list[str]
) -> pd.DataFrame:
    """The answers of these entries, with the columns ``ANSWER_COLUMNS``; what the roster says against them is noted.

    ``submitted_at`` is the time on the homework's clock (datetime, or None), ``attempt`` a number as text where the
    export tells attempts apart.
    """
    import pandas as pd

    sources = [source_of(table.raw, tables) for table in tables]
    people = _people(tables, entries, rubric, sources, notes)
    values: dict[str, list[object]] = {column: [] for column in ANSWER_COLUMNS}
    for each in _answers(tables, entries, rubric):
        student = people[each.entry.table, each.entry.student_id]
        for column, cell in (
            ("student_id", student.student_id),
            ("name", student.name),
            ("email", student.email),
            ("section", student.section),
            ("attempt", each.attempt),
            ("submitted", each.entry.submitted),
            ("submitted_at", each.entry.moment),
            ("problem", each.problem),
            ("written", each.written),
            ("source", sources[each.entry.table]),
            ("source_row", each.entry.row),
        ):
            values[column].append(cell)
    _note_absent(rubric, {each.student_id for each in entries}, notes)
    return pd.DataFrame(
        {
            column: pd.Series(cells, dtype="int64" if column == "source_row" else "object")
            for column, cells in values.items()
        }
    )


def _answers(tables: Sequence[ExportTable], entries: Sequence[Entry], rubric: Rubric) -> Iterator[_Answer]:
    """Every answer, in the order of the rows; answers that have a row each come together where their student begins."""
    labels = [problem.label for problem in rubric.problems]
    boxes = [_boxes(table.matches) for table in tables]
    by_student: dict[str, list[Entry]] = {}
    for each in entries:
        if each.item is not None:
            by_student.setdefault(each.student_id, []).append(each)
    for each in entries:
        if each.item is None:
            for label in labels:
                written = tuple((box, _filled(each, columns)) for box, columns in boxes[each.table].get(label, ()))
                yield _Answer(label, written, each, _attempt(each))
        elif each.student_id in by_student:
            yield from _of_student(by_student.pop(each.student_id), tables, labels)


def _of_student(own: Sequence[Entry], tables: Sequence[ExportTable], labels: Sequence[str]) -> Iterator[_Answer]:
    meanings = [{match.heading: match.meaning for match in table.items} for table in tables]
    response = [person_columns(table.matches).get("response") for table in tables]
    handed_in: dict[str, dict[int, list[tuple[str, Entry]]]] = {}
    for each in own:
        meaning = meanings[each.table].get(name_of(each.item)) if each.item else None
        if meaning is not None:
            of_problem = handed_in.setdefault(meaning.problem, {})
            of_problem.setdefault(each.number or 0, []).append((meaning.box, each))
    earliest = min(own, key=lambda each: each.number or 0)
    for label in labels:
        if label not in handed_in:
            yield _Answer(label, (("whole", ""),), earliest, _attempt(earliest))
        # A part that is not handed in again stands as it was; one that names no attempt belongs to the first.
        standing: dict[tuple[str, str], Entry] = {}
        attempts = sorted(handed_in.get(label, {}).items())
        for number, pairs in attempts:
            standing |= {(box, name_of(each.item or ("", ""))): each for box, each in pairs}
            if number == 0 and len(attempts) > 1:
                continue
            cells: dict[str, list[Cell]] = {}
            for (box, _), each in standing.items():
                cells.setdefault(box, []).append(cell_at(each.cells, response[each.table]))
            written = tuple((box, _together(cells[box])) for box in BOXES if box in cells)
            yield _Answer(label, written, _last(pairs), _attempt(pairs[-1][1]))


def _last(pairs: Sequence[tuple[str, Entry]]) -> Entry:
    """The entry that was handed in last."""
    dated = [each for _, each in pairs if each.moment is not None]
    return max(dated, key=lambda each: each.moment or datetime.min) if dated else pairs[-1][1]


def _together(cells: Sequence[Cell]) -> Cell:
    """Several values for one answer, as one would write them in one box."""
    filled = [cell for cell in cells if not is_blank(cell)]
    return filled[0] if len(filled) == 1 else "; ".join(map(as_text, filled))


def _attempt(entry: Entry) -> str:
    return str(entry.number) if entry.number is not None else trimmed(entry.attempt)


def _filled(entry: Entry, columns: Sequence[int]) -> Cell:
    cells = [cell_at(entry.cells, index) for index in columns]
    return next((cell for cell in cells if not is_blank(cell)), cells[0])


def _boxes(matches: Iterable[ColumnMatch]) -> dict[str, list[tuple[str, list[int]]]]:
    """Label → (box, its columns: several where each row fills one of them), in the order of the boxes."""
    boxes: dict[str, dict[str, list[int]]] = {}
    for match in matches:
        if match.meaning and match.meaning.kind == "answer":
            boxes.setdefault(match.meaning.problem, {}).setdefault(match.meaning.box, []).append(match.index)
    return {
        label: sorted(of_problem.items(), key=lambda pair: BOXES.index(pair[0])) for label, of_problem in boxes.items()
    }


def _people(
    tables: Sequence[ExportTable],
    entries: Sequence[Entry],
    rubric: Rubric,
    sources: Sequence[str],
    notes: list[str],
) -> dict[tuple[int, str], Student]:
    """(table, student id) → who that is; the first row of a student in a table tells."""
    roster = {student.student_id: student for student in rubric.students}
    columns = [person_columns(table.matches) for table in tables]
    people: dict[tuple[int, str], Student] = {}
    for each in entries:
        key = (each.table, each.student_id)
        if key not in people:
            people[key] = _student(each, columns[each.table], roster, rubric.students, sources[each.table], notes)
    return people


def _student(
    entry: Entry,
    columns: Mapping[str, int],
    roster: Mapping[str, Student],
    students: Sequence[Student],
    source: str,
    notes: list[str],
) -> Student:
    """Who wrote a row: the roster's word where it has one, else the export's."""
    said = Student(
        entry.student_id,
        name_in(entry.cells, columns),
        trimmed(cell_at(entry.cells, columns.get("email"))),
        trimmed(cell_at(entry.cells, columns.get("section"))),
    )
    known = roster.get(entry.student_id)
    if known is None:
        if students:
            near = next((each.student_id for each in students if _same_id(each.student_id, entry.student_id)), "")
            hint = f"; the sheet has {near}" if near else ""
            notes.append(
                f"{source}, row {entry.row}: student {entry.student_id} is not in the sheet Students{hint}; "
                "marked all the same."
            )
        return said
    if known.email and said.email and fold(known.email) != fold(said.email):
        notes.append(
            f"{source}, row {entry.row}: the address of student {entry.student_id} is not the one in the sheet Students, "
            "which is used."
        )
    return Student(entry.student_id, known.name or said.name, known.email or said.email, known.section or said.section)


def _note_absent(rubric: Rubric, present: set[str], notes: list[str]) -> None:
    absent = [each.student_id for each in rubric.students if each.student_id not in present]
    excused = {each.student_id for each in rubric.students if each.excused_from(ALL_PROBLEMS)}
    for ids, what in (
        ([each for each in absent if each not in excused], "in no export"),
        ([each for each in absent if each in excused], "in no export, and excused"),
    ):
        if ids:
            shown = some_of(ids, 10)
            notes.append(
                f"{len(ids)} of the {len(rubric.students)} students in the sheet Students "
                f"{'is' if len(ids) == 1 else 'are'} {what}: {shown}."
            )


def _same_id(one: str, other: str) -> bool:
    """Whether two ids differ only in what spreadsheets lose: leading zeros, letter case, spaces."""
    return fold(one).replace(" ", "").lstrip("0") == fold(other).replace(" ", "").lstrip("0")
