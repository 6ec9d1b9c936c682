"""When two numbers, or two directions, are one as far as the places in which they are written can tell."""

from __future__ import annotations

SHARE = 0.51
"""Of the coarser place: half of it, and a little for a tie rounded either way."""

_TINY = 1e-9


def are_close(one: float, other: float, *places: float | None) -> bool:
    """Whether two numbers differ by no more than rounding to the coarsest of these places (None: exact) can make.

    >>> are_close(62.04, 62.0, 0.01, 0.1), are_close(62.04, 62.1, 0.01, 0.01)
    (True, False)
    """
    return abs(one - other) <= reach(*places)


def are_one_direction(one: float, other: float, *places: float | None) -> bool:
    """The same for directions in degrees, around the circle.

    >>> are_one_direction(353.0, -7.0, 1.0), are_one_direction(359.8, 0.0, 1.0), are_one_direction(10.0, 12.0, 1.0)
    (True, True, False)
    """
    return apart(one, other) <= reach(*places)


def apart(one: float, other: float) -> float:
    """How far two directions lie from each other, in degrees, 0 to 180.

    >>> apart(353.0, 7.0)
    14.0
    """
    return abs((one - other + 180.0) % 360.0 - 180.0)


def reach(*places: float | None) -> float:
    """The difference that rounding to the coarsest of these places can make."""
    return SHARE * max((place or 0.0 for place in places), default=0.0) + _TINY
