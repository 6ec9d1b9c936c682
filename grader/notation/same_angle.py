"""Numbers that say one angle again in radians: ``π/3 = 1.05``, ``0.948, 54.3°``.

Beside a multiple of π, or an angle in degrees, that it equals, a bare decimal is in radians.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from grader.notation.closeness import are_close
from grader.notation.pieces import Token

_FINEST_GUESS = 0.05
"""Radians to one decimal are too coarse to be known by what they equal."""


def with_radians_known(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens with bare decimals as radians where another token says the same angle."""
    angles = [token for token in tokens if token.kind in "na" and (token.of_pi or token.kind == "a")]
    if not angles or not any(_is_bare_decimal(token) for token in tokens):
        return tokens
    return [
        _as_radians(token) if _is_bare_decimal(token) and any(_equals(token, one) for one in angles) else token
        for token in tokens
    ]


def _is_bare_decimal(token: Token) -> bool:
    number = token.number
    return (
        token.kind == "n" and not token.of_pi and number is not None and number.place is not None
        and number.place < _FINEST_GUESS and bool(token.digits) and abs(number.value) <= 2 * math.pi
    )  # fmt: skip


def _equals(token: Token, other: Token) -> bool:
    assert token.number is not None
    assert token.number.place is not None
    if other.of_pi and other.number is not None:
        radians, place = other.number.value, 0.0
    elif other.sign in ("rad", "deg", "dms"):
        radians, place = math.radians(other.degrees), math.radians(other.place or 0.0)
    else:
        return False
    return abs(radians) > _FINEST_GUESS and are_close(token.number.value, radians, token.number.place, place)


def _as_radians(token: Token) -> Token:
    number = token.number
    assert number is not None
    angle = Token("a", token.text, number, digits=token.digits)
    per = math.degrees(1.0)
    angle.sign, angle.degrees = "rad", number.value * per
    angle.place = None if number.place is None else number.place * per
    angle.coarsest = angle.place
    return angle
