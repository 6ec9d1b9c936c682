"""Bearings that go through working: ``026 + 180 = 206`` ends in a bearing, as its first term is written as one."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from grader.notation.directions import from_bearing
from grader.notation.meanings import is_three_digit_bearing
from grader.notation.parts import WORKING_NOTE
from grader.notation.pieces import Token
from grader.notation.readings import Direction, Meaning, Polar
from grader.notation.values import Noted

_OF_A_BEARING = re.compile(r"(?:(?:180|360) ?°? ?\+ ?)?0\d\d(?:[.,]\d+)? ?°? ?(?:[-+]|$)")
"""A sum that begins with three digits and a leading zero, or turns them half round; not 90 - 026, which leaves the bearing."""


def bearings_kept(found: list[Noted], tokens: Sequence[Token]) -> list[Noted]:
    """The meanings with a plain angle as the bearing that the sum before it, of which it is the result, was of."""
    if not any(WORKING_NOTE in notes for _, notes in found):
        return found
    for token, following, then in zip(tokens, tokens[1:], (*tokens[2:], None), strict=False):
        if _is_turned(token, following, then):
            return [(_as_bearing(meaning), notes) for meaning, notes in found]
        if token.kind in "na" and following.kind in "=w" and not token.digits and _OF_A_BEARING.match(token.text):
            return [(_as_bearing(meaning), notes) for meaning, notes in found]
    return found


def _is_turned(token: Token, turn: Token, then: Token | None) -> bool:
    """``035° + 14.6° =``: a bearing and what is added to it, each with its sign."""
    signed = turn.kind == "a" and turn.text[:1] in ("+", "-") and then is not None and then.kind == "="
    return signed and token.kind == "a" and is_three_digit_bearing(token)


def _as_bearing(meaning: Meaning) -> Meaning:
    if isinstance(meaning, Polar) and meaning.direction is not None:
        return Polar(meaning.magnitude, _bearing(meaning.direction))
    return _bearing(meaning) if isinstance(meaning, Direction) else meaning


def _bearing(direction: Direction) -> Direction:
    if direction.form != "plain angle" or direction.sign == "rad" or not 0 <= direction.written <= 360:
        return direction
    return replace(direction, angle=round(from_bearing(direction.written), 10), form="true bearing")
