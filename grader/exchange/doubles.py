"""Several columns that seem to hold one thing: what stands in them tells which one does, or that they share it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from grader.exchange.cells import Cell, Row, as_text, fold, is_blank, quoted
from grader.exchange.columns import JOINED, ColumnMatch
from grader.exchange.meanings import Meaning

_FEWEST_WORDS = 4
"""A text of so many words that is the same for everybody is the question, and no answer."""


def settle_doubles(
    matches: Sequence[ColumnMatch], headings: Sequence[Cell], rows: Sequence[Row]
) -> tuple[ColumnMatch, ...]:
    """The matches, with columns for one thing reduced to those that hold it; ``rows`` are the rows below the headings.

    A column is ignored where another for the same thing is filled and it is not, where it repeats another cell by cell,
    or where it holds the wording of the question. Columns of one name stay together where each row fills one of them at
    most: nothing is lost. What is in doubt after that stays, for the caller to report.
    """
    settled = list(matches)
    holders: dict[Meaning, list[int]] = {}
    for match in matches:
        if match.meaning is not None:
            holders.setdefault(match.meaning, []).append(match.index)
    for several in holders.values():
        if len(several) > 1:
            _settle(settled, several, headings, rows)
    return tuple(settled)


def _settle(settled: list[ColumnMatch], several: list[int], headings: Sequence[Cell], rows: Sequence[Row]) -> None:
    columns = {index: [row[index] if index < len(row) else "" for row in rows] for index in several}
    filled = [index for index in several if not all(map(is_blank, columns[index]))]
    if filled:
        for index in several:
            if index not in filled:
                _ignore(settled, index, "nothing stands in it")
    wordings = [index for index in filled if _one_text(columns[index])]
    if len(wordings) < len(filled):
        for index in wordings:
            _ignore(settled, index, "the same wording for everybody")
            filled.remove(index)
    for index in filled[1:]:
        if columns[index] == columns[filled[0]]:
            _ignore(settled, index, f"the same as {quoted(settled[filled[0]].heading)}")
            filled = [each for each in filled if each != index]
    one_name = len({fold(as_text(headings[index])) for index in filled}) == 1
    if len(filled) > 1 and one_name and not any(_clash([columns[i][row] for i in filled]) for row in range(len(rows))):
        for index in filled[1:]:
            settled[index] = replace(settled[index], how=JOINED)


def _ignore(settled: list[ColumnMatch], index: int, why: str) -> None:
    settled[index] = replace(settled[index], holds="ignored", how=why, meaning=None)


def _one_text(cells: Sequence[Cell]) -> bool:
    texts = {fold(as_text(cell)) for cell in cells if not is_blank(cell)}
    return len(texts) == 1 and len(texts.pop().split()) >= _FEWEST_WORDS


def _clash(cells: Sequence[Cell]) -> bool:
    return len({fold(as_text(cell)) for cell in cells if not is_blank(cell)}) > 1
