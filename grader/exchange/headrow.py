"""Where the headings of a table stand: title lines above them allowed, and headings over two lines."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from grader.exchange.cells import Cell, Row, as_text, fold, is_blank, trimmed
from grader.exchange.columns import ColumnMatcher

_WITHIN = 40  # rows; no export has a longer preface


@dataclass(frozen=True)
class Headings:
    """The headings of a table: the index of the row in which they stand, or end, and each column's heading as one text.

    ``lines`` is 2 where a group of columns (``Problem 1``) stands above the names of its parts.
    """

    row: int
    cells: Row
    lines: int = 1


def find_headings(rows: Sequence[Row], matcher: ColumnMatcher) -> Headings | None:
    """The headings among the first rows of a table; None where no row tells who the students are."""
    best, found = 0, None
    for index, row in enumerate(rows[:_WITHIN]):
        known = matcher.headings_known(row)
        if known > best:
            best, found = known, index
    if found is None:
        return None
    single = Headings(found, rows[found])
    for upper in (found, found - 1):
        if 0 <= upper < len(rows) - 1:
            both = _two_lines(rows[upper], rows[upper + 1], matcher)
            if both and _told(both, matcher) > _told(single.cells, matcher):
                return Headings(upper + 1, both, 2)
    return single


def _told(headings: Sequence[Cell], matcher: ColumnMatcher) -> int:
    """How many different things the headings tell."""
    return len({match.meaning for match in matcher.match(headings) if match.meaning is not None})


def _two_lines(upper: Row, lower: Row, matcher: ColumnMatcher) -> Row:
    """Two lines as one, a group's name going on to its right; empty where the lower line cannot be one of headings."""
    width = max(len(upper), len(lower))
    above = [*map(trimmed, upper), *[""] * (width - len(upper))]
    below = [*map(trimmed, lower), *[""] * (width - len(lower))]
    who = [index for index, cell in enumerate(above) if cell and matcher.tells_who(cell)]
    # Under the heading of the id a student's row has an id, and a second line of headings nothing.
    if any(below[index] for index in who) or not _words_only(lower):
        return ()
    together = []
    group = ""
    for top, bottom in zip(above, below):
        group = top or (group if bottom else "")
        together.append(f"{group} {bottom}".strip() if bottom else top)
    return tuple(together)


def _words_only(cells: Iterable[Cell]) -> bool:
    filled = [cell for cell in cells if not is_blank(cell)]
    return bool(filled) and all(isinstance(cell, str) and any(map(str.isalpha, cell)) for cell in filled)


def repeats(row: Sequence[Cell], headings: Sequence[Cell]) -> bool:
    """Whether a row below the headings is the row of headings again."""
    said = [fold(as_text(cell)) for cell in row]
    return any(said) and _without_end(said) == _without_end([fold(as_text(cell)) for cell in headings])


def _without_end(texts: list[str]) -> list[str]:
    end = len(texts)
    while end and not texts[end - 1]:
        end -= 1
    return texts[:end]
