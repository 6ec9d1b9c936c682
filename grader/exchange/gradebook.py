"""The gradebook back: the export's own rows in their own order and by the letter, with the score added."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from grader.exchange.cells import Cell, Row, fold, trimmed
from grader.exchange.csvfile import csv_bytes, harmless
from grader.exchange.export import Export, ExportTable
from grader.exchange.students import item_of, name_of, person_columns
from grader.exchange.workbook import workbook_bytes

Scores: TypeAlias = Mapping[str, tuple[float | None, float]]
"""Student id → (points, points possible); points are None while something is not yet decided."""

PartScores: TypeAlias = Mapping[tuple[str, str, str], tuple[float | None, float]]
"""(Student id, problem, part) → (points, points possible)."""

SCORE_HEADINGS = ("Score", "Points possible")
TOTAL_HEADINGS = ("Total score", "Total possible")


@dataclass(frozen=True)
class GradebookTable:
    """A table of an export with the scores in two more columns at its right."""

    table: ExportTable
    rows: tuple[Row, ...]


def gradebook_table(export: Export, scores: Scores, parts: PartScores | None = None) -> tuple[GradebookTable, ...]:
    """For each table of the export, its own rows in their order and as written, with score and points possible added.

    Lines above the headings, totals and every other row that is no marked student's stay, with blanks under the new
    headings; so does the score of a student who has none, or whose points are None. A student with several rows has the
    score in the last of them. Where every row is one answer, a row has the score of that answer (from ``parts``), in the
    last row of several that make it up, and the student's total in two more columns. QTI results have no table to give
    back.
    """
    return tuple(
        GradebookTable(table, tuple(_by_answers(table, scores, parts or {}) if table.by_rows else _rows(table, scores)))
        for table in export.tables
        if not table.raw.made
    )


def gradebook_files(export: Export, scores: Scores, parts: PartScores | None = None) -> dict[str, bytes]:
    """File name → content, one file for each file of the export and of its kind, to hand to ``write_files``.

    ``tuesday.csv`` gives ``tuesday-scores.csv``, UTF-8 with a byte order mark, with the delimiter it came with;
    ``thursday.xlsx`` gives ``thursday-scores.xlsx`` with the sheets that were read. In a CSV file a cell that could do
    something when a spreadsheet program runs it as a formula gets an apostrophe before it (see ``csvfile.harmless``); all
    else stays by the letter. In a workbook such cells are stored as text and need no change.
    """
    by_path: dict[str, list[GradebookTable]] = {}
    for each in gradebook_table(export, scores, parts):
        by_path.setdefault(str(each.table.raw.path), []).append(each)
    files: dict[str, bytes] = {}
    for tables in by_path.values():
        raw = tables[0].table.raw
        kind = ".csv" if raw.delimiter else ".xlsx"
        name = _unused(f"{raw.path.stem}-scores", kind, files)
        if raw.delimiter:
            files[name] = csv_bytes(tables[0].rows, raw.delimiter, guard=harmless)
        else:
            files[name] = workbook_bytes({each.table.sheet: each.rows for each in tables})
    return files


def _rows(table: ExportTable, scores: Scores) -> list[Row]:
    last = {student: number for number, student in table.students.items()}
    return _widened(table, SCORE_HEADINGS, {number: _score(scores.get(student)) for student, number in last.items()})


def _by_answers(table: ExportTable, scores: Scores, parts: PartScores) -> list[Row]:
    """The rows of a table in which every row is one answer."""
    columns, meanings = person_columns(table.matches), {match.heading: match.meaning for match in table.items}
    last: dict[tuple[str, str, str], int] = {}
    for number, student in table.students.items():
        meaning = meanings.get(name_of(item_of(table.rows[number - 1], columns)))
        if meaning is not None and meaning.kind == "answer":
            last[student, meaning.problem, meaning.box] = number
    of_problems: dict[tuple[str, str], dict[str, tuple[float | None, float]]] = {}
    for (student, problem, part), score in parts.items():
        of_problems.setdefault((student, problem), {})[part] = score
    own: dict[int, tuple[Cell, ...]] = {}
    for (student, problem, box), number in last.items():
        of_problem = of_problems.get((student, problem), {})
        here = [of_problem[box]] if box in of_problem else [*of_problem.values()]
        own[number] = _score(_together(here))
    new = {
        number: (*own.get(number, ("", "")), *_score(scores.get(student))) for number, student in table.students.items()
    }
    return _widened(table, (*SCORE_HEADINGS, *TOTAL_HEADINGS), new)


def _together(scores: Sequence[tuple[float | None, float]]) -> tuple[float | None, float] | None:
    if not scores:
        return None
    points = [each for each, _ in scores if each is not None]
    earned = round(math.fsum(points), 6) if len(points) == len(scores) else None
    return earned, round(math.fsum(possible for _, possible in scores), 6)


def _widened(table: ExportTable, headings: Sequence[str], new: Mapping[int, Sequence[Cell]]) -> list[Row]:
    """The rows of a table with new cells (row number → those) under new headings at its right."""
    width = max(len(row) for row in table.rows)
    taken = {fold(trimmed(cell)) for cell in table.headings}
    added = tuple(f"Homework {each.lower()}" if fold(each) in taken else each for each in headings)
    blank = ("",) * len(headings)
    return [
        (
            *row,
            *("",) * (width - len(row)),
            *(added if number == table.header + 1 else new.get(number, blank)),
        )
        for number, row in enumerate(table.rows, start=1)
    ]


def _score(score: tuple[float | None, float] | None) -> tuple[Cell, Cell]:
    if score is None:
        return "", ""
    points, possible = score
    return ("" if points is None else _short(points)), _short(possible)


def _short(number: float) -> float | int:
    rounded = round(number, 6)
    return int(rounded) if rounded == int(rounded) else rounded


def _unused(stem: str, kind: str, names: Mapping[str, object]) -> str:
    name, number = f"{stem}{kind}", 2
    while name.casefold() in {each.casefold() for each in names}:
        name, number = f"{stem}-{number}{kind}", number + 1
    return name
