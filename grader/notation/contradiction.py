"""Whether a text says two directions that are not one: ``N 20° W, so 340`` names its answer by letters and by a number."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from grader.notation.closeness import are_one_direction
from grader.notation.grammar import direction_form, is_signed_direction
from grader.notation.meanings import directions, kinds_of
from grader.notation.pieces import Token
from grader.notation.readings import Direction

_PARTS = frozenset(",;\n=:w()<>&v@")
_NOT_WHOLE = frozenset(("", "plain", "point", "one letter", "between"))


def contradicted_by(tokens: Sequence[Token], found: Direction) -> str:
    """The first direction with letters in a text that is another than the one found; ``""`` where all agree."""
    for piece in _pieces(tokens):
        if found.form == "plain angle" and _may_turn(piece):
            return " ".join(token.text for token in piece)
        form = direction_form(kinds_of(piece))
        if found.form == "compass point" and form == "one letter" and any(token.kind == "a" for token in piece):
            return " ".join(token.text for token in piece)  # N 17° → W
        if form in _NOT_WHOLE or not any(token.kind in "na" for token in piece):
            continue
        meant = [direction for direction, _ in directions(piece)]
        named = all(direction.letters or direction.form == "true bearing" for direction in meant)
        if meant and named and not any(_agree(one, found) for one in meant):
            return " ".join(token.text for token in piece)
    return ""


_COUNTED = re.compile(r"[NHSsEW]o[NHSsEW]|[ck]o?[NHSsEWA]")
"""``W of N``, ``clockwise from the x-axis``, without a number of their own."""


def _may_turn(piece: Sequence[Token]) -> bool:
    """Whether words of a side stand in a piece that is no direction of its own: the number behind it may count from them."""
    kinds = kinds_of(piece)
    sides = set("NHSsEWChlAck").intersection(kinds)
    if not sides or is_signed_direction(kinds):
        return False
    if _COUNTED.search(kinds) is not None:
        return True
    return any(token.text.isalpha() and len(token.text) > 2 for token in piece if token.kind in sides)


def _pieces(tokens: Sequence[Token]) -> Iterator[list[Token]]:
    piece: list[Token] = []
    for token in tokens:
        if token.kind in _PARTS:
            yield piece
            piece = []
        else:
            piece.append(token)
    yield piece


def _agree(one: Direction, other: Direction) -> bool:
    return are_one_direction(one.angle, other.angle, one.place, other.place)
