"""Whether a text says two directions that are not one: ``N 20° W, so 340`` names its answer by letters and by a number."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from grader.notation.closeness import are_close, are_one_direction
from grader.notation.grammar import direction_form, is_signed_direction
from grader.notation.leftovers import value_of
from grader.notation.meanings import directions, kinds_of
from grader.notation.pieces import Token, is_function
from grader.notation.readings import BoxKind, Direction
from grader.notation.stating import is_plain
from grader.notation.units import find_unit

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


_TWO_VALUES = re.compile(
    r"(?:^|[RDXYL=:;\n,])(?P<one>m|a|nN|n)(?P<name>[,&]?(?:\?\??n?)?)=(?P<other>m|a|nN|n)(?![NHSsEWCAo?@ij]|=)"
)
_VECTOR = r"(?:(?:m|nN|n)@a|<[nm]N?,[nm]N?>)"
_TWO_VECTORS = re.compile(
    rf"(?:^|[RDL=:;\n,])(?P<one>{_VECTOR})[,&]?(?:\?\??n?)?=(?P<other>{_VECTOR})(?![NHSsEWCAo?@]|=)"
)
_CORNERS = frozenset("ABC")
_SIGNS = frozenset("^×*x·/÷√")
_NO_NAMES = _SIGNS | {
    "st",
    "nd",
    "rd",
    "th",
    "should",
    "must",
    "times",
    "plus",
    "minus",
    "over",
    "divided",
    "by",
    "ans",
}
"""3rd side is, c² is, should be: none of these is the name of something else."""


_TAKEN_FOR = re.compile(r"\b(?:should|must|but|has to|quadrant|Q ?[1-4IV]+)\b", re.IGNORECASE)
"""12.5 but it should be 13.5: a correction."""


def two_values(text: str, tokens: Sequence[Token], kinds: str, box: BoxKind) -> str:
    """Two values that differ, the second said of the first or of something else: ``62.0 N = 40 N``, ``62.0, the wind is 40``.

    Which is the answer is not said. Not where one is worked out from the other, nor in two units, nor around the circle.
    """
    if "=" not in kinds or box == "triangle" or _TAKEN_FOR.search(text) is not None:
        return ""
    for match in _TWO_VALUES.finditer(kinds):
        one, other = tokens[match.start("one")], tokens[match.start("other")]
        between = tokens[match.end("one") : match.start("other")]
        steps = any(
            token.text.lower() in _NO_NAMES or token.text in _CORNERS or is_function(token.text[-3:])
            for token in between
        ) or any(not is_plain(token) for token in between if token.kind == "n")
        if steps or not is_plain(one) or not is_plain(other) or one.text[:1] == "+":
            continue
        one, other = (_newtons(token, match[name]) for token, name in ((one, "one"), (other, "other")))
        kinds_of_both = {_dimension(one), _dimension(other)}
        if box == "polar" and len(kinds_of_both) > 1:
            continue  # 48.1 km/h = 065: a length and its direction
        if "R" in kinds[match.end() :]:
            continue  # F1 = 52, F2 = 38, R = 67.0
        units = kinds_of_both - {""}
        if len(units) > 1 and "angle" not in units:
            continue  # of another kind: leftovers.py
        if len(units) > 1 or not _are_one(one, other):
            return f"{one.text} and {other.text}"
    for match in _TWO_VECTORS.finditer(kinds) if "@" in kinds or "<" in kinds else ():
        vectors = [
            [token for token in tokens[match.start(name) : match.end(name)] if token.kind in "nma"]
            for name in ("one", "other")
        ]
        if not all(is_plain(token) for vector in vectors for token in vector):
            continue
        if not all(_are_one(one, other) for one, other in zip(*vectors, strict=True)):
            return " and ".join(vector[0].text for vector in vectors)
    return ""


def _is_no_name(token: Token) -> bool:
    return token.text.lower() in _NO_NAMES or token.text in _CORNERS or is_function(token.text[-3:])


def _newtons(token: Token, kinds: str) -> Token:
    """A number with its unit, where the letter behind it is the newton's."""
    return Token("m", token.text, token.number, find_unit("N"), digits=token.digits) if kinds == "nN" else token


def _dimension(token: Token) -> str:
    if token.kind == "a":
        return "angle"
    return token.unit.dimension if token.unit is not None else ""


def _are_one(one: Token, other: Token) -> bool:
    """Whether two values are one, in whichever of their units; around the circle where none has a unit."""
    (first, place), (second, other_place) = value_of(one), value_of(other)
    if one.unit is not None and other.unit is not None:
        scale = one.unit.factor / other.unit.factor
        return are_close(first * scale, second, place * scale, other_place)
    if one.unit is not None or other.unit is not None:
        return are_close(first, second, place, other_place)
    return are_one_direction(first, second, place, other_place)
