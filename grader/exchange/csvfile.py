"""Delimited text files: comma, semicolon or tab, quoted as RFC 4180 says; in by evidence, out by the letter."""

from __future__ import annotations

import csv
import io
import re
import sys
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from grader.errors import Fault, GraderError, InputFaults
from grader.exchange.cells import Cell, as_text
from grader.exchange.limits import MOST_COLUMNS, Gauge, check_size
from grader.exchange.table import RawTable, without_trailing_blanks
from grader.exchange.text import decode

DELIMITERS = (",", ";", "\t")
_ROWS_FOR_EVIDENCE = 60
_HINT = re.compile(r"\Asep=(.)\r?\n", re.IGNORECASE)  # a first line that some spreadsheet programs write and obey

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
_UNSEEN = (
    " \u00a0\u00ad\u200b\u200c\u200d\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2060\u2066\u2067\u2068\u2069\ufeff"
)
_PLAIN_NUMBER = re.compile(
    r"\s*[+\-−]?\s?(?:[0-9]+(?:[.,][0-9]+)*[.,]?|[.,][0-9]+)(?:[eE][+\-]?[0-9]+)?"
    r"\s?(?P<unit>[°º%]?|[^\W\d_]+(?:[/·][^\W\d_]+)?)\s*"
)


def read_delimited(path: Path, headings_known: Callable[[Sequence[str]], int] = lambda row: 0) -> RawTable:
    """A text file as a table of text, its delimiter found by evidence.

    ``headings_known`` counts the cells of a row that are headings one knows; the delimiter under which some row has the
    most of them wins, and after that the one that cuts the rows most evenly. Raises GraderError when the file cannot be
    opened, and InputFaults when a quotation mark is never closed.
    """
    try:
        check_size(path)
        data = path.read_bytes()
    except OSError as error:
        raise GraderError(
            f"{path} cannot be read: {error.strerror or error}. Check the name and the folder."
        ) from error
    decoded = decode(data, path.name)
    hint = _HINT.match(decoded.text)
    delimiter = hint.group(1) if hint else _delimiter(decoded.text, headings_known, path.name)
    rows = _records(decoded.text, delimiter)
    _check_closed(decoded.text, rows, path.name)
    gauge = Gauge(path.name)
    for row in rows:
        gauge.count(row)
    table = without_trailing_blanks([tuple(row) for row in rows])
    return RawTable(path, table, delimiter=delimiter, notes=decoded.notes)


def _records(text: str, delimiter: str, most: int | None = None) -> list[list[str]]:
    csv.field_size_limit(min(sys.maxsize, 2**31 - 1))
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    if most is None:
        return list(reader)
    return [row for row, _ in zip(reader, range(most))]


def _delimiter(text: str, headings_known: Callable[[Sequence[str]], int], file: str) -> str:
    def evidence(delimiter: str) -> tuple[float, float]:
        records = _records(text, delimiter, _ROWS_FOR_EVIDENCE)
        if any(len(row) > MOST_COLUMNS for row in records):
            gauge = Gauge(file)  # refuses here, before a million headings are looked at
            for row in records:
                gauge.count(row)
        rows = [row for row in records if any(row)]
        if not rows:
            return (0.0, 0.0)
        width, count = Counter(map(len, rows)).most_common(1)[0]
        return (max(map(headings_known, rows)), (width - 1) * count / len(rows))

    return max(DELIMITERS, key=evidence)


def _check_closed(text: str, rows: list[list[str]], file: str) -> None:
    """An open quotation mark swallows every student after it; the last cell then runs over lines to the file's end."""
    if not rows or not rows[-1]:
        return
    last = rows[-1][-1]
    if "\n" in last.rstrip("\r\n") and text.endswith(last):
        raise InputFaults(
            [
                Fault(
                    file=file,
                    row=len(rows),
                    found="a quotation mark that is never closed",
                    expected="a closing quotation mark",
                    remedy="Open the file in a spreadsheet program, mend the cell and save it as CSV again.",
                )
            ]
        )


def neutralised(text: str) -> str:
    """Text that no spreadsheet program takes for a formula when it opens a CSV file.

    OWASP, "CSV Injection": a cell that begins with = + - @, a tab or a line break gets an apostrophe before it, unseen
    signs before these notwithstanding. Plain
    numbers (-7.6, -42,7, −7°, -42,7 m/s), and several with ; or a comma and a space between (-50.4 m/s;
    -39.4 m/s), keep their sign bare: they cannot call anything, a gradebook must load them as numbers, and an answer should
    stand as it was written. A unit with a digit in it (m/s2) might be the name of a cell.
    """
    return f"'{text}" if text.lstrip(_UNSEEN).startswith(FORMULA_STARTS) and not _is_plain(text) else text


_ACTING = re.compile(r"[|!\[\]#\"]|://|(?P<called>[^\W\d_][\w.]*)\s*\(")
_ELEMENTARY = frozenset(
    [
        "sqrt",
        "root",
        "sin",
        "cos",
        "tan",
        "asin",
        "acos",
        "atan",
        "arcsin",
        "arccos",
        "arctan",
        "abs",
        "pi",
        "ln",
        "log",
        "exp",
    ]
)  # what a formula of these could do is to show a number


def harmless(text: str) -> str:
    """Text that can do nothing when a spreadsheet program opens a CSV file, and is as it was wherever it may be.

    For files that go back to where their text came from, and should come back by the letter: ``-15.3i + 3.3j`` shows an
    error in a spreadsheet and does no more. What could call a program or a function, or fetch something from another
    file, needs a sign for it (a bar, an exclamation mark, a bracket, a number sign, a quotation mark, an address) or the
    name of a function before a parenthesis; only a text with these is neutralised.
    """
    acts = any(
        (match["called"] or "").casefold() not in _ELEMENTARY
        for match in _ACTING.finditer(unicodedata.normalize("NFKC", text))
    )
    return neutralised(text) if acts else text


_BETWEEN = re.compile(r";|,(?=\s)")
"""What stands between two numbers and is no sign of a formula: a blank alone would be one, -3 -4 is a sum."""


def _is_plain(text: str) -> bool:
    """Whether a text is nothing but plain numbers, each perhaps with a unit."""
    return all(map(_is_plain_number, _BETWEEN.split(text)))


def _is_plain_number(text: str) -> bool:
    """Whether a text is one number, and at most a unit that this program knows behind it."""
    number = _PLAIN_NUMBER.fullmatch(text)
    if number is None:
        return False
    from grader.notation.units import find_unit

    return number["unit"] in ("", "°", "º", "%") or find_unit(number["unit"]) is not None


def as_written(text: str) -> str:
    """What ``neutralised`` was given, from what it made of it."""
    return text[1:] if text.startswith("'") and neutralised(text[1:]) == text else text


def csv_bytes(
    rows: Iterable[Sequence[Cell]],
    delimiter: str = ",",
    *,
    marked: bool = True,
    guard: Callable[[str], str] = neutralised,
) -> bytes:
    """Rows as a CSV file: RFC 4180, UTF-8 (``marked`` with a byte order mark), every cell guarded against formulas."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter, lineterminator="\r\n")
    for row in rows:
        cells = [guard(as_text(cell)) for cell in row]
        # The writer leaves a lone empty cell as an empty line, which readers skip.
        out.write('""\r\n') if cells == [""] else writer.writerow(cells)
    return (b"\xef\xbb\xbf" if marked else b"") + out.getvalue().encode("utf-8", errors="replace")
