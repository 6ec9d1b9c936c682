"""From the way a direction is written to its angle in standard position, and back.

Standard position counts from east, counterclockwise; a bearing counts from north, clockwise: standard = 90° − bearing.
"""

from __future__ import annotations

from grader.notation.readings import Direction
from grader.notation.tables import compass_points

AXES = {"E": 0.0, "N": 90.0, "W": 180.0, "S": 270.0}
"""Where the four directions point in standard position, in degrees."""

_OPPOSITE = {"E": "W", "W": "E", "N": "S", "S": "N"}


def wrapped(degrees: float) -> float:
    """The angle on the circle, 0 ≤ angle < 360.

    >>> wrapped(-7.0), wrapped(360.0), wrapped(-1e-20)
    (353.0, 0.0, 0.0)
    """
    if 0.0 <= degrees < 360.0:
        return degrees + 0.0
    angle = degrees % 360.0
    return 0.0 if angle >= 360.0 else angle


def from_bearing(bearing: float) -> float:
    """A true bearing, clockwise from north, in standard position."""
    return wrapped(90.0 - bearing)


def turn(start: str, toward: str, degrees: float) -> float | None:
    """``degrees`` from one of the four directions toward another; None when the two do not make a right angle.

    >>> turn("S", "E", 83.0), turn("E", "S", 7.0)
    (353.0, 353.0)
    """
    if start == toward or _OPPOSITE[start] == toward:
        return None
    base, goal = AXES[start], AXES[toward]
    counterclockwise = (goal - base) % 360.0 == 90.0
    return wrapped(base + degrees if counterclockwise else base - degrees)


def compass_point(letters: str) -> Direction | None:
    """The direction of one of the 32 compass points by its letters (``NbE``, ``WSW``); None if there is no such point."""
    bearing = compass_points().get(letters)
    if bearing is None:
        return None
    return Direction(from_bearing(bearing), 0.0, None, "compass point", sign="")
