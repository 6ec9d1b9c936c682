"""A table as it stands in a file, before anybody asks what it means."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from grader.exchange.cells import Cell, Row, is_blank


@dataclass(frozen=True)
class RawTable:
    """Every row of a text file or of one sheet, as written; ``rows[0]`` is the file's row 1.

    Rows may differ in length. ``delimiter`` is blank for a sheet of a workbook, ``sheet`` for a text file. ``label``
    is how the file is called in sentences, where its bare name would not tell it from another. ``made`` marks a table
    that stands in no file but was made from a set of files, a row for each answer.
    """

    path: Path
    rows: tuple[Row, ...]
    sheet: str = ""
    delimiter: str = ""
    notes: tuple[str, ...] = ()
    label: str = ""
    made: bool = False

    @property
    def file(self) -> str:
        return self.label or self.path.name

    @property
    def empty(self) -> bool:
        return not self.rows


def without_trailing_blanks(rows: list[Row]) -> tuple[Row, ...]:
    """The rows up to the last that holds anything."""
    end = len(rows)
    while end and all(map(is_blank, rows[end - 1])):
        end -= 1
    return tuple(rows[:end])


def without_trailing_cells(row: Sequence[Cell]) -> Row:
    """A row up to its last cell that holds anything; sheets pad their rows to the width of the widest."""
    end = len(row)
    while end and row[end - 1] == "":
        end -= 1
    return tuple(row[:end])
