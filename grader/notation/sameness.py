"""Two statements side by side: one answer in two forms, two parts of one, or two answers; and which of two forms counts."""

from __future__ import annotations

import re
from collections.abc import Sequence

from grader.notation.closeness import are_close, are_one_direction
from grader.notation.leftovers import is_same_number
from grader.notation.meanings import kinds_of, shared_unit
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind, Components, Direction, Labelled, Meaning, Polar, Quantity, Several
from grader.notation.stating import is_plain
from grader.notation.units import Unit
from grader.notation.values import Noted, in_two_units


def is_bearing_of(one: Direction, other: Direction) -> bool:
    """Whether of two directions one has letters and the other, a bare angle, is its true bearing: ``N 70° W or 290``."""
    for lettered, bare in ((one, other), (other, one)):
        if lettered.letters is not None and bare.form == "plain angle":
            return are_one_direction(90.0 - bare.written, lettered.angle, one.place, other.place)
    return False


def with_letters(one: Meaning, other: Meaning) -> Direction | None:
    """Of one number with and without letters beside each other, the direction with letters: ``θ = 64°, 64° S of W``."""
    if isinstance(one, Direction) and isinstance(other, Direction) and one.written == other.written:
        for lettered, bare in ((one, other), (other, one)):
            if (
                lettered.letters is not None
                and lettered.letters[0] != lettered.letters[1]
                and bare.form == "plain angle"
            ):
                return lettered
    return None


def told_more_closely(one: Meaning, other: Meaning) -> Meaning | None:
    """Of a vector with letters and its bearing, or a point of the compass and an angle beside it, what says it best.

    ``48.9° W of N (311.1)``, ``12 km NW, 40° W of N``.
    """
    vector, angle = one, other
    if isinstance(one, Polar) or isinstance(other, Polar):
        if isinstance(other, Polar) and other.magnitude is not None and other.direction is not None:
            vector, angle = other, one
        beside: Meaning | None = angle
        if isinstance(angle, Polar):
            beside = (
                angle.direction if angle.magnitude is None else angle.magnitude if angle.direction is None else angle
            )
        if not isinstance(vector, Polar) or vector.magnitude is None or vector.direction is None:
            return None
        if isinstance(beside, Quantity) and beside.unit is None and 0 <= beside.number.value <= 360:
            beside = Direction(beside.number.value, beside.number.value, beside.number.place, "plain angle")
            return vector if is_bearing_of(vector.direction, beside) else None
        if not isinstance(beside, Direction):
            return None
        if is_bearing_of(vector.direction, beside) and vector.direction.letters is not None:
            return vector
        closer = told_more_closely(vector.direction, beside)
        return Polar(vector.magnitude, closer) if isinstance(closer, Direction) else None
    if not isinstance(one, Direction) or not isinstance(other, Direction):
        return None
    for point, closer in ((one, other), (other, one)):
        of_a_quadrant = point.form == "compass point" and point.angle % 90 == 45 and point.place is None
        if of_a_quadrant and closer.letters is not None and closer.form != "compass point":
            return closer if abs((closer.angle - point.angle + 180) % 360 - 180) < 45 else None
    return None


def same(one: Meaning | None, other: Meaning | None) -> bool:
    """Whether two meanings state one answer, as far as the places in which they are written can tell."""
    if one is None or other is None:
        return one is other
    if isinstance(one, Direction) and isinstance(other, Direction):
        return are_one_direction(one.angle, other.angle, one.place, other.place)
    if isinstance(one, Quantity) and isinstance(other, Quantity):
        if one.unit is not None and other.unit is not None and one.unit != other.unit:
            return in_two_units(one, other) is not None
        return are_close(one.number.value, other.number.value, one.number.place, other.number.place)
    if isinstance(one, Components) and isinstance(other, Components):
        return same(one.x, other.x) and same(one.y, other.y)
    if isinstance(one, Polar) and isinstance(other, Polar):
        pairs = ((one.magnitude, other.magnitude), (one.direction, other.direction))
        both = [same(mine, theirs) for mine, theirs in pairs if mine is not None and theirs is not None]
        return bool(both) and all(both) and all(mine is not None or theirs is None for mine, theirs in pairs)
    return one == other


def join(one: Meaning, other: Meaning) -> Meaning | None:
    """A length and a direction that stand side by side are one vector."""
    for length, direction in ((one, other), (other, one)):
        if isinstance(length, Polar) and isinstance(direction, Polar):
            negative = length.magnitude is not None and length.magnitude.number.value < 0
            if length.direction is None and direction.magnitude is None and not negative:
                return Polar(length.magnitude, direction.direction)
        elif isinstance(length, Quantity) and isinstance(direction, Direction) and length.number.value >= 0:
            return Polar(length, direction) if length is one or length.unit is not None else None
    return None


def with_unit(meaning: Meaning, unit: Unit | None) -> Meaning:
    """The meaning with a unit where it has none."""
    if isinstance(meaning, Quantity) and meaning.unit is None:
        return Quantity(meaning.number, unit)
    if isinstance(meaning, Components):
        return shared_unit(meaning, unit)
    if isinstance(meaning, Polar) and meaning.magnitude is not None and meaning.magnitude.unit is None:
        return Polar(Quantity(meaning.magnitude.number, unit), meaning.direction)
    return meaning


def unit_in(meaning: Meaning | None) -> Unit | None:
    """The unit of a quantity, a length or a component."""
    if isinstance(meaning, Quantity):
        return meaning.unit
    if isinstance(meaning, Polar):
        return unit_in(meaning.magnitude)
    return (unit_in(meaning.x) or unit_in(meaning.y)) if isinstance(meaning, Components) else None


_COMPLETE = frozenset(("a", "m", "nN"))
"""Kinds of a value that needs nothing more: an angle with its sign, a number with its unit."""


def parted_by_slash(
    tokens: Sequence[Token], slash: int, first: list[Noted], second: list[Noted], box: BoxKind
) -> list[Noted]:
    """``62.8° / 117.2°``: two answers, each complete; or two decimals that were not divided (``14.4 / 6.1``)."""
    left = [token for token in tokens[:slash] if token.kind not in "RDPL=:"]
    right = tokens[slash + 1 :]
    one, other = kinds_of(left), kinds_of(right)
    if box in ("polar", "components") or len(first) != 1 or len(second) != 1:
        return []
    complete = one == other and one in _COMPLETE and _marks(left) == _marks(right)
    after = ("n", "nN", "m", "a") if box == "angle" else ("n", "nN", "m")
    decimals = one == "n" and other in after and box in ("quantity", "angle")
    if not complete and not decimals:
        return []
    found, last = first[0][0], second[0][0]
    if isinstance(last, Quantity) and last.unit is not None:
        found = with_unit(found, last.unit)
    return [(Several((found, last)), first[0][1] + second[0][1])]


def _marks(tokens: Sequence[Token]) -> tuple[str, Unit | None]:
    """How an angle is marked, and the unit of anything else: what two answers to one question share."""
    sign = "deg" if tokens[0].sign == "dms" else tokens[0].sign
    return sign, tokens[0].unit


# ------------------------------------------------------------------------------- which form counts


_EXACT = re.compile(r"[-+]?(?:\d+[ ·×*]?)?(?:√ ?\(?\d+\)?|π|pi)(?: ?/ ?\d+)?|[-+]?\d+(?: \d+)?/\d+", re.IGNORECASE)
"""5√2, √117, 3π/4, 45/2: an answer in itself. 0.031 × 2, √(48^2 + 39^2) and 50 sin 19° are steps to one."""


def has_unit(meaning: Meaning | None) -> bool:
    """Whether a unit stands anywhere in a meaning."""
    match meaning:
        case Quantity():
            return meaning.unit is not None
        case Polar():
            return has_unit(meaning.magnitude)
        case Components():
            return has_unit(meaning.x) or has_unit(meaning.y)
        case Several():
            return any(map(has_unit, meaning.meanings))
        case Labelled():
            return any(map(has_unit, meaning.parts.values()))
        case Direction():
            return meaning.sign != ""
    return False


def is_exact_form(token: Token) -> bool:
    """Whether a value is an exact form that is an answer in itself: 5√2, 3π/4, 45/2."""
    return token.number is not None and token.number.exact and _EXACT.fullmatch(token.text.strip()) is not None


def clearer(
    first: Sequence[Token], second: Sequence[Token], one: Meaning, other: Meaning, rounds: bool = False
) -> Meaning:
    """Of two forms of one answer, the first, unless it is a calculation that the second works out, or, where the second
    ``rounds``, a longer number; with the unit of either."""
    if isinstance(one, Components) and isinstance(other, Components):
        steps = [token for token in first if token.kind in "nm" and not is_plain(token) and not is_exact_form(token)]
        return other if steps or _is_rounded_from(one, other) else one
    if isinstance(one, Direction) and isinstance(other, Direction):
        return other if one.sign == "rad" != other.sign and (other.place or 1.0) < (one.place or 0.0) else one
    if (
        isinstance(one, Polar)
        and isinstance(other, Polar)
        and one.direction is not None
        and other.direction is not None
    ):
        closer = clearer(first, second, one.direction, other.direction)
        return Polar(one.magnitude, closer) if isinstance(closer, Direction) else one
    if not isinstance(one, Quantity) or not isinstance(other, Quantity):
        return one
    coarser = (other.number.place or 0.0) > (one.number.place or 0.0)
    if rounds and coarser and not one.number.exact and not other.number.exact:
        return with_unit(other, one.unit)  # R = 61.968, R ≈ 62.0 N
    values = [token for token in first if token.kind in "nma"]
    worked_out = one.number.exact and not other.number.exact
    if worked_out and len(values) == 1 and not _EXACT.fullmatch(values[0].text.strip()):
        return with_unit(other, one.unit)
    return with_unit(one, other.unit)


def _is_rounded_from(one: Components, other: Components) -> bool:
    pairs = ((one.x, other.x), (one.y, other.y))
    return any(
        (b.number.place or 0.0) > (a.number.place or 0.0) > 0 for a, b in pairs if a is not None and b is not None
    )


_ON_TWO_LINES = re.compile(r"[RL]?=?(?:n|m|nN)\n[RL]?=?(?:n|m|nN)")


def is_said_on_two_lines(tokens: Sequence[Token], kinds: str) -> bool:
    """``√(48² + 39²)`` and ``61.84658`` below it, or one number with and without its unit: no pair of values."""
    if not _ON_TWO_LINES.fullmatch(kinds):
        return False
    one, other = (token for token in tokens if token.kind in "nm")
    worked_out = not is_plain(one) or (one.number is not None and one.number.exact)
    return (worked_out or not {"m", "N"}.isdisjoint(kinds)) and is_same_number(one, other)


def is_repeated(before: list[Token], after: Sequence[Token]) -> bool:
    """Whether a result stands again behind itself; its unit, if it has one there, is taken over."""
    kinds = kinds_of(after)
    if kinds not in ("n", "m", "nN") or kinds_of(before[-1:]) != "n" or not is_same_number(before[-1], after[0]):
        return False
    before[-1:] = after
    return True


def stated_first(tokens: Sequence[Token], body: list[Token]) -> list[Token]:
    """``50 N = √(30² + 40²)``: what stands before the calculation that it comes from, not the calculation's own value;
    nothing where the two differ.
    """
    kinds = kinds_of(body)
    if kinds not in ("n", "m", "nN", "a") or is_plain(body[0]) or is_exact_form(body[0]):
        return body
    end = next((index for index, token in enumerate(tokens) if token is body[0]), 0) - 1
    before = next((token for token in reversed(tokens[: max(end, 0)]) if token.kind in "nma"), None)
    if before is None or not is_plain(before) or tokens[end].kind != "=":
        return body
    index = next(index for index, token in enumerate(tokens) if token is before)
    unit = tokens[index + 1 : end]
    if kinds_of(unit) not in ("", "N", "u"):
        return body
    if not is_same_number(before, body[0]):
        return [] if before.kind != "n" or unit else body
    return [before, *unit] if before.kind != "n" or unit or kinds == "n" else body


def _is_negated(one: Token, other: Token) -> bool:
    """``368.2 m W, so -368.2``: the same number with its sign."""
    if one.number is None or other.number is None:
        return False
    return one.number.value == -other.number.value and one.number.place == other.number.place


def carried_unit(body: list[Token], before: Sequence[Token]) -> list[Token]:
    """A plain number with the unit that it had where it was stated last: ``16.34 lb ≈ 16.3``."""
    if kinds_of(body) != "n" or not is_plain(body[0]):
        return body
    for index in range(len(before) - 1, -1, -1):
        token = before[index]
        newtons = token.kind == "n" and kinds_of(before[index + 1 : index + 2]) == "N"
        if token.kind == "m" or newtons:
            if not is_same_number(token, body[0]) and not _is_negated(token, body[0]):
                return body
            if newtons:
                return [body[0], before[index + 1]]
            return [Token("m", body[0].text, body[0].number, token.unit, digits=body[0].digits)]
    return body
