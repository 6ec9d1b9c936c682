"""How much a file of answers may hold: what a spreadsheet holds, and no bomb. Each refusal is one sentence."""

from __future__ import annotations

import zipfile
from collections.abc import Iterable
from pathlib import Path

from grader.errors import GraderError
from grader.exchange.cells import Cell, column_letters

LONGEST_CELL = 32_767
"""Characters that a cell of a workbook can hold (ECMA-376)."""
MOST_COLUMNS = 16_384
MOST_ROWS = 1_048_576
"""The columns and rows of a sheet (ECMA-376)."""
MOST_CELLS = 8_000_000
"""Cells of one table, empty ones between others too: ten thousand students with hundreds of columns."""
MOST_BYTES = 150_000_000
"""Of a file, and of what an archive unpacks to; a class of thousands needs a tenth of it."""
MOST_MEMBERS = 50_000

_SMALL = 5_000_000  # bytes; below this nothing can harm, however well it is packed
_DENSEST = 200  # bytes for each packed byte; sheets of repeated cells reach some tens
_HEAD = 100_000  # bytes in which the declarations of an XML file must have ended


def check_size(path: Path) -> None:
    """Refuse a file that is larger than any export."""
    size = path.stat().st_size
    if size > MOST_BYTES:
        raise GraderError(
            f"{path.name} is {size / 1e6:,.0f} MB, more than the {MOST_BYTES / 1e6:,.0f} MB that are read; "
            "export the answers alone."
        )


def check_archive(archive: zipfile.ZipFile, file: str) -> None:
    """Refuse an archive that would unpack to too much, by what it declares; more than it declares is never unpacked."""
    entries = archive.infolist()
    if len(entries) > MOST_MEMBERS:
        raise GraderError(f"{file} holds {len(entries):,} files, more than the {MOST_MEMBERS:,} that are read.")
    size = sum(entry.file_size for entry in entries)
    if size > MOST_BYTES:
        raise GraderError(
            f"{file} would unpack to {size / 1e6:,.0f} MB, more than the {MOST_BYTES / 1e6:,.0f} MB that are read; "
            "it is damaged or not an export of answers."
        )
    for entry in entries:
        if entry.file_size > _SMALL and entry.file_size > _DENSEST * max(entry.compress_size, 1):
            raise GraderError(
                f"{file} would unpack one of its parts to {entry.file_size / max(entry.compress_size, 1):,.0f} times its "
                "size; it is damaged or made to do harm, and was not opened."
            )


def check_declarations(head: bytes, file: str, *, whole: bool = False) -> None:
    """Refuse XML that declares a document type: entities blow up there, and no export needs any.

    ``head`` is how the file begins. With ``whole`` the parser to come forbids such declarations too, and what stands
    before the first element may be longer than ``head``.
    """
    opening = _first_markup(head)
    if opening.startswith(b"<!DOCTYPE") or (not opening and not whole and len(head) >= _HEAD):
        raise GraderError(
            f"{file} declares XML entities, as exports never do and harmful files do; it was not opened. "
            "Export the answers again."
        )


def _first_markup(head: bytes) -> bytes:
    """What follows the processing instructions and comments at the head of an XML file, in whatever Unicode encoding."""
    rest = head.replace(b"\0", b"").lstrip(b"\xef\xbb\xbf\xff\xfe").upper()
    while True:
        rest = rest.lstrip()
        for begins, ends in ((b"<?", b"?>"), (b"<!--", b"-->")):
            if rest.startswith(begins):
                _, _, rest = rest[len(begins) :].partition(ends)
                break
        else:
            return rest


def check_parts(archive: zipfile.ZipFile, file: str) -> None:
    """The same for every XML part of a workbook."""
    for entry in archive.infolist():
        if entry.filename.casefold().endswith((".xml", ".rels", ".vml")):
            with archive.open(entry) as part:
                check_declarations(part.read(_HEAD), file)


class Gauge:
    """Counts the rows and cells of a table while it is read, and refuses the table where it grows beyond a sheet."""

    def __init__(self, file: str, sheet: str = "") -> None:
        self._place = f"{file}, sheet {sheet}" if sheet else file
        self._rows = self._cells = 0

    def count(self, row: Iterable[Cell]) -> None:
        """Count one row; raises GraderError with its number."""
        cells = list(row)
        self._rows += 1
        self._cells += len(cells)
        if len(cells) > MOST_COLUMNS:
            raise GraderError(
                f"{self._place}, row {self._rows} has {len(cells):,} columns, more than the {MOST_COLUMNS:,} of a sheet; "
                "it is damaged or not an export of answers."
            )
        if self._rows > MOST_ROWS or self._cells > MOST_CELLS:
            what = f"{MOST_ROWS:,} rows" if self._rows > MOST_ROWS else f"{MOST_CELLS:,} cells"
            raise GraderError(
                f"{self._place} has more than {what}; it is damaged, or formatted far below its last answer. "
                "Copy the answers into a new sheet and save that."
            )
        for index, cell in enumerate(cells):
            if isinstance(cell, str) and len(cell) > LONGEST_CELL:
                raise GraderError(
                    f"{self._place}, row {self._rows}, column {column_letters(index)} holds {len(cell):,} characters, more "
                    f"than the {LONGEST_CELL:,} of a spreadsheet's cell; shorten it and try again."
                )
