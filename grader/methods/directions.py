"""Directions as given, turned into standard position, with the line one writes for it."""

from __future__ import annotations

from grader.notation.readings import Direction

BEARINGS = ("quadrant bearing", "true bearing", "from an axis")
"""Forms of direction that count from an axis of the compass."""

AXES = {"E": 0.0, "N": 90.0, "W": 180.0, "S": 270.0}


def from_letters(letters: tuple[str, str], angle: float) -> float:
    """The standard position of ``angle`` degrees from the first letter's axis toward the second's: (S, W), 25 → 245."""
    base, toward = AXES[letters[0]], AXES[letters[1]]
    counterclockwise = (toward - base) % 360 == 90
    return (base + angle if counterclockwise else base - angle) % 360


def number(value: float) -> str:
    """A given number as short as it can be written: 45, 12.5."""
    return f"{value:.10g}".replace("-", "−")


def _point(direction: Direction) -> str:
    """A compass point by its letters; between the eight chief ones by its angle."""
    names = ("E", "NE", "N", "NW", "W", "SW", "S", "SE")
    eighth, rest = divmod(direction.angle, 45.0)
    return names[int(eighth) % 8] if rest == 0 else f"the compass point at {number(direction.angle)}°"


def conversion_line(direction: Direction, subject: str) -> str:
    """The line of working that turns a given direction into standard position; empty where it already is."""
    standing = number(direction.angle)
    if direction.form == "true bearing":
        turned = 90 - direction.written
        around = "" if 0 <= turned < 360 else f" = {number(turned)}°, that is"
        joint = around if around else " ="
        return (
            f"{subject}: bearing {number(direction.written)}° → 90° − {number(direction.written)}°{joint} {standing}°"
        )
    if direction.form == "compass point":
        return f"{subject}: {_point(direction)} → {standing}°"
    if direction.letters is None:
        return ""
    start, toward = direction.letters
    base = AXES[start]
    turns_left = (AXES[toward] - base) % 360 == 90
    if base == 0 and not turns_left:
        base = 360.0
    sign = "+" if turns_left else "−"
    if direction.form == "quadrant bearing":
        said = f"{start} {number(direction.written)}° {toward}"
    else:
        said = f"{number(direction.written)}° {toward} of {start}"
    return f"{subject}: {said} → {number(base)}° {sign} {number(direction.written)}° = {standing}°"


def counted_line(direction: Direction, subject: str) -> str:
    """As ``conversion_line``, and for an angle that needs no turning the line that says how it is counted."""
    counted = f"{subject}: {number(direction.written)}°, counted counterclockwise from east"
    return conversion_line(direction, subject) or counted
