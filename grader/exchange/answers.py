"""The table of answers: one row per student and problem, names and addresses completed from the roster."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, TypeAlias

from grader.exchange.cells import Cell, fold, listed, trimmed
from grader.exchange.columns import ColumnMatch
from grader.exchange.meanings import BOXES
from grader.exchange.students import ExportTable, StudentRow, cell_at, name_in, person_columns, source_of
from grader.marking.definitions import Rubric, Student

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
    "problem",
    "written",
    "source",
    "source_row",
)


def answers_table(
    tables: Sequence[ExportTable], chosen: Sequence[StudentRow], rubric: Rubric, notes: list[str]
) -> pd.DataFrame:
    """The answers of the chosen rows, with the columns ``ANSWER_COLUMNS``; what the roster says against them is noted."""
    import pandas as pd

    roster = {student.student_id: student for student in rubric.students}
    labels = [problem.label for problem in rubric.problems]
    sources = [source_of(table.raw, tables) for table in tables]
    people = [person_columns(table.matches) for table in tables]
    boxes = [_boxes(table.matches) for table in tables]
    values: dict[str, list[object]] = {column: [] for column in ANSWER_COLUMNS}
    for each in chosen:
        columns = people[each.table]
        student = _student(each, columns, roster, rubric.students, sources[each.table], notes)
        submitted = cell_at(each.cells, columns.get("submitted"))
        values["written"].extend(
            tuple((box, cell_at(each.cells, index)) for box, index in boxes[each.table].get(label, ()))
            for label in labels
        )
        values["problem"].extend(labels)
        for column, cell in (
            ("student_id", student.student_id),
            ("name", student.name),
            ("email", student.email),
            ("section", student.section),
            ("attempt", trimmed(each.attempt)),
            ("submitted", submitted),
            ("source", sources[each.table]),
            ("source_row", each.row),
        ):
            values[column].extend([cell] * len(labels))
    present = {each.student_id for each in chosen}
    absent = [student.student_id for student in rubric.students if student.student_id not in present]
    if absent:
        shown = listed([*absent[:10], f"{len(absent) - 10} more"] if len(absent) > 10 else absent, "and")
        notes.append(
            f"{len(absent)} of the {len(roster)} students in the sheet Students "
            f"{'is' if len(absent) == 1 else 'are'} in no export: {shown}."
        )
    return pd.DataFrame(
        {
            column: pd.Series(cells, dtype="int64" if column == "source_row" else "object")
            for column, cells in values.items()
        }
    )


def _student(
    row: StudentRow,
    columns: Mapping[str, int],
    roster: Mapping[str, Student],
    students: Sequence[Student],
    source: str,
    notes: list[str],
) -> Student:
    """Who wrote a row: the roster's word where it has one, else the export's."""
    said = Student(
        row.student_id,
        name_in(row.cells, columns),
        trimmed(cell_at(row.cells, columns.get("email"))),
        trimmed(cell_at(row.cells, columns.get("section"))),
    )
    known = roster.get(row.student_id)
    if known is None:
        if students:
            near = next((each.student_id for each in students if _same_id(each.student_id, row.student_id)), "")
            hint = f"; the sheet has {near}" if near else ""
            notes.append(
                f"{source}, row {row.row}: student {row.student_id} is not in the sheet Students{hint}; "
                "marked all the same."
            )
        return said
    if known.email and said.email and fold(known.email) != fold(said.email):
        notes.append(
            f"{source}, row {row.row}: the address of student {row.student_id} is not the one in the sheet Students, "
            "which is used."
        )
    return Student(row.student_id, known.name or said.name, known.email or said.email, known.section or said.section)


def _same_id(one: str, other: str) -> bool:
    """Whether two ids differ only in what spreadsheets lose: leading zeros, letter case, spaces."""
    return fold(one).replace(" ", "").lstrip("0") == fold(other).replace(" ", "").lstrip("0")


def _boxes(matches: Iterable[ColumnMatch]) -> dict[str, list[tuple[str, int]]]:
    """Label → (box, column) in the order of the boxes, whatever the order of the columns."""
    boxes: dict[str, list[tuple[str, int]]] = {}
    for match in matches:
        if match.meaning and match.meaning.kind == "answer":
            boxes.setdefault(match.meaning.problem, []).append((match.meaning.box, match.index))
    for pairs in boxes.values():
        pairs.sort(key=lambda pair: BOXES.index(pair[0]))
    return boxes
