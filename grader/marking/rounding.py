"""When a written number is right: the band of an exact value, and honest rounding.

Ties round either way: ISO 80000-1 annex B knows both rules (to even, and up), and ASTM E29 likewise; a student may use either.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from grader.methods.problem import Rounding
from grader.methods.solution import PartKey
from grader.methods.steps import apart

Outcome = Literal["right", "rounded too far", "wrong"]

_HAIR = 1e-9
"""Room for binary fractions, relative to the place: 61.65 − 61.6 is a little more than 0.05 in binary."""


@dataclass(frozen=True, slots=True)
class Written:
    """A number as a student wrote it, in the unit asked (degrees in standard position for a direction).

    ``place`` is the decimal place of the last digit; 0 for an exact form (5√2). ``coarsest`` is the coarsest place that
    trailing zeros allow.
    """

    value: float
    place: float
    coarsest: float
    exact: bool = False


def roundings(value: float, place: float) -> tuple[float, ...]:
    """What a value rounds to at a place: one number, or both neighbours of a tie.

    >>> roundings(12.25, 0.1)
    (12.2, 12.3)
    """
    steps = value / place
    low = math.floor(steps)
    beyond = steps - low
    if abs(beyond - 0.5) < 1e-7:
        return (round(low * place, 12), round((low + 1) * place, 12))
    return (round((low if beyond < 0.5 else low + 1) * place, 12),)


def same_when_rounded(written: float, value: float, place: float) -> bool:
    """Whether both round to one number at this place, some way of rounding a tie allowed."""
    return any(abs(w - v) < place * 1e-6 for w in roundings(written, place) for v in roundings(value, place))


def outcome(
    written: Written, key: PartKey, asked: Rounding, *, dropped_zeros: bool = True, target: float | None = None
) -> Outcome:
    """Judge a written number against one part of the key.

    ``target`` is another exact value to judge by (the second triangle's). ``dropped_zeros`` accepts 62 for 62.0.
    """
    value = key.value if target is None else target
    gap = apart("direction" if key.circular else key.part, written.value, value)
    if gap > max(written.place, written.coarsest, key.place) + key.spread:
        return "wrong"  # further off than any rounding takes it
    hair = _HAIR * max(1.0, key.place, abs(value) * 1e-3)
    if asked.kind == "exact" and written.exact:
        return "right" if gap <= 1e-9 * max(1.0, abs(value)) else "wrong"
    # Brought beside the value around the circle: 359.96 and 0.0 both round to due east.
    near = value + (written.value - value + 180.0) % 360.0 - 180.0 if key.circular else written.value
    inside = gap <= key.place / 2 + key.spread + hair
    if inside or (written.place <= key.place * (1 + 1e-9) and same_when_rounded(near, value, key.place)):
        coarser = written.place > key.place * (1 + 1e-9)
        return "right" if dropped_zeros or not coarser else "rounded too far"
    coarse = counted_to(key, written, value)
    if coarse > key.place * (1 + 1e-9) and gap <= coarse / 2 + key.spread + hair:
        return "rounded too far"
    return "wrong"


def counted_to(key: PartKey, written: Written, value: float) -> float:
    """The coarsest place to which a written number may stand for this value: 60 may be 62.04 to the nearest ten; 100 is no
    rounding of it, and 200° none of 231.65°."""
    leading = 10.0 ** math.floor(math.log10(abs(value))) if value else key.place
    return max(written.place, min(written.coarsest, leading, 10.0 if key.circular else leading))
