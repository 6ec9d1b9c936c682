"""Angles that nobody means: a bearing of five digits is two numbers run together, or degrees and minutes without their signs."""

from __future__ import annotations

from collections.abc import Sequence

from grader.notation.pieces import Token
from grader.notation.readings import BoxKind, Direction, Labelled, Meaning, Polar, Quantity, Several

LARGEST_ANGLE = 1000.0
"""Degrees: of an angle with four digits, one may be the degree sign or the first of its minutes."""


def has_too_many_digits(meanings: Sequence[Meaning], tokens: Sequence[Token], box: BoxKind) -> bool:
    """Whether, in every meaning of a text, an angle has more than three digits before its decimals.

    Radians and gradians are as they are: 20 rad is more than a thousand degrees.
    """
    for meaning in meanings:
        if not _beyond_a_circle(meaning, box):
            break
    else:
        if all(token.sign not in ("rad", "grad") for token in tokens):
            return True
    for token in tokens:
        # 0353: a zero too many before a bearing, or a digit that is lost behind it
        if token.digits.startswith("0") and len(token.digits.partition(".")[0]) > 3:
            return token.kind == "a" or (token.kind == "n" and box in ("direction", "angle", "polar"))
    return False


def _beyond_a_circle(meaning: Meaning | None, box: BoxKind) -> bool:
    match meaning:
        case Direction():
            return abs(meaning.written) >= LARGEST_ANGLE
        case Polar():
            return _beyond_a_circle(meaning.direction, box)
        case Quantity():
            return _is_large_angle(meaning, box == "angle")
        case Labelled():
            return any(_is_large_angle(part, name.isupper()) for name, part in meaning.parts.items())
        case Several():
            return any(_beyond_a_circle(one, box) for one in meaning.meanings)
    return False


def _is_large_angle(value: Quantity, named: bool) -> bool:
    """Whether a value is a large angle, by its unit, or by its name where no unit tells otherwise."""
    is_angle = named if value.unit is None else value.unit.dimension == "angle"
    return is_angle and abs(value.number.value) >= LARGEST_ANGLE
