"""Cells of tables as they stand in a file, and words compared the way people compare them."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta
from typing import TypeAlias

Cell: TypeAlias = str | int | float | bool | datetime | date | time | timedelta
"""A cell as written: text from text files, typed values from workbooks; a blank cell is ``""``."""

Row: TypeAlias = tuple[Cell, ...]

_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_APOSTROPHES = re.compile("['’`]")
_NOT_WORDS = re.compile(r"[\W_]+")


def as_text(cell: Cell) -> str:
    """A cell as one would read it aloud: 1042.0 is ``1042``, a date at midnight is only its date."""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time() else cell.isoformat(sep=" ")
    if isinstance(cell, date | time):
        return cell.isoformat()
    return str(cell)


def trimmed(cell: Cell) -> str:
    """The text of a cell without white space at its ends (no-break and zero-width spaces too)."""
    return as_text(cell).strip().strip("\u200b\u200e\u200f\u2060\ufeff\u00a0").strip()


def is_blank(cell: Cell) -> bool:
    return isinstance(cell, str) and not trimmed(cell)


def fold(text: str) -> str:
    """Text as it is compared: letter case, width and runs of white space do not matter."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def phrase(text: str) -> str:
    """The bare words of a heading: ``StudentID``, ``student-id`` and ``Student ID:`` are all ``student id``."""
    words = _CAMEL.sub(" ", _APOSTROPHES.sub("", unicodedata.normalize("NFKC", text)))
    return " ".join(_NOT_WORDS.sub(" ", words).casefold().split())


def nearest(word: str, words: Iterable[str]) -> str:
    """The word that was probably meant, or ``""`` when none comes near."""
    by_fold = {fold(each): each for each in words}
    found = difflib.get_close_matches(fold(word), by_fold, n=1, cutoff=0.6)
    return by_fold[found[0]] if found else ""


def did_you_mean(word: str, words: Iterable[str]) -> str:
    """``Did you mean “resultant”?``, or ``""`` when no word comes near."""
    near = nearest(word, words)
    return f"Did you mean “{near}”?" if near else ""


def listed(words: Sequence[str], last: str = "or") -> str:
    """Words as in a sentence: ``a, b or c``."""
    return f" {last} ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


def some_of(words: Sequence[str], most: int = 8) -> str:
    """At most so many words as in a sentence: ``a, b and c``, or ``a, b and 7 more``."""
    return listed([*words[:most], f"{len(words) - most} more"] if len(words) > most else words, "and")


def counted(number: int, noun: str, plural: str = "") -> str:
    """``1 student``, ``2 students``, ``2 classes`` (``plural`` where it is irregular)."""
    return f"{number} {noun if number == 1 else plural or noun + 's'}"


def quoted(cell: Cell, longest: int = 60) -> str:
    """A cell as it is shown in a sentence, cut where it is long."""
    text = " ".join(as_text(cell).split())
    return f"“{text if len(text) <= longest else text[: longest - 1] + '…'}”"


def column_letters(index: int) -> str:
    """The letters of a column as spreadsheets show them: 0 is A, 26 is AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
