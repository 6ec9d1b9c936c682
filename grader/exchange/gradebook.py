"""The gradebook back: the export's own rows in their own order, with the score added."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeAlias

from grader.exchange.cells import Cell, Row, fold, trimmed
from grader.exchange.csvfile import csv_bytes
from grader.exchange.export import Export, ExportTable
from grader.exchange.workbook import workbook_bytes

Scores: TypeAlias = Mapping[str, tuple[float | None, float]]
"""Student id → (points, points possible); points are None while something is not yet decided."""

SCORE_HEADINGS = ("Score", "Points possible")


@dataclass(frozen=True)
class GradebookTable:
    """A table of an export with the scores in two more columns at its right."""

    table: ExportTable
    rows: tuple[Row, ...]


def gradebook_table(export: Export, scores: Scores) -> tuple[GradebookTable, ...]:
    """For each table of the export, its own rows in their order and as written, with score and points possible added.

    Lines above the headings, totals and every other row that is no marked student's stay, with blanks under the new
    headings; so does the score of a student who has none, or whose points are None. A student with several rows has the
    score in the last of them. QTI results have no table to give back.
    """
    return tuple(GradebookTable(table, tuple(_rows(table, scores))) for table in export.tables if not table.raw.made)


def gradebook_files(export: Export, scores: Scores) -> dict[str, bytes]:
    """File name → content, one file for each file of the export and of its kind, to hand to ``write_files``.

    ``tuesday.csv`` gives ``tuesday-scores.csv``, UTF-8 with a byte order mark, with the delimiter it came with;
    ``thursday.xlsx`` gives ``thursday-scores.xlsx`` with the sheets that were read. In a CSV file a cell that a
    spreadsheet program would run as a formula gets an apostrophe before it (see ``csvfile.neutralised``); plain
    numbers, negative ones too, stay as they are. In a workbook such cells are stored as text and need no change.
    """
    by_path: dict[str, list[GradebookTable]] = {}
    for each in gradebook_table(export, scores):
        by_path.setdefault(str(each.table.raw.path), []).append(each)
    files: dict[str, bytes] = {}
    for tables in by_path.values():
        raw = tables[0].table.raw
        kind = ".csv" if raw.delimiter else ".xlsx"
        name = _unused(f"{raw.path.stem}-scores", kind, files)
        if raw.delimiter:
            files[name] = csv_bytes(tables[0].rows, raw.delimiter)
        else:
            files[name] = workbook_bytes({each.table.sheet: each.rows for each in tables})
    return files


def _rows(table: ExportTable, scores: Scores) -> list[Row]:
    width = max(len(row) for row in table.rows)
    taken = {fold(trimmed(cell)) for cell in table.headings}
    headings = tuple(f"Homework {each.lower()}" if fold(each) in taken else each for each in SCORE_HEADINGS)
    last = {student: number for number, student in table.students.items()}
    rows: list[Row] = []
    for number, row in enumerate(table.rows, start=1):
        new: Row = ("", "")
        if number == table.header + 1:
            new = headings
        elif last.get(table.students.get(number, "")) == number:
            new = _score(scores.get(table.students[number]))
        rows.append((*row, *("",) * (width - len(row)), *new))
    return rows


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
