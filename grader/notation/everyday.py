"""Everyday answers, read at a glance: ``62.0``, ``-7.59 km/h``, ``353°``, ``S 83° E``.

Most of a class's answers are of these few forms, so they are read by one pattern each before the scanner is troubled. What
comes out is exactly what the scanner would give; the tests hold the two to each other.
"""

from __future__ import annotations

import re
from functools import lru_cache

from grader.notation.circles import LARGEST_ANGLE
from grader.notation.directions import turn, wrapped
from grader.notation.numerals import plain_number
from grader.notation.readings import BoxKind, Direction, Number, Quantity, Reading, Sense
from grader.notation.units import Unit, simple_unit

_VALUE = re.compile(
    r"""
    (?P<sign> [-−]? )
    (?P<digits> (?: [1-9][0-9]{0,8} | 0 ) (?: \.[0-9]{1,8} )? )     # no leading zeros: 097 is a bearing
    (?: \ ? (?P<unit> ° | deg | degrees | N | lbs? | km/h | mph | m/s | kn | knots | k?N | [ckm]?m | ft | mi ) )?
    """,
    re.VERBOSE,
)

_BEARING = re.compile(r"(?P<start>[NS]) ?(?P<digits>[1-9][0-9]?(?:\.[0-9]{1,8})?)(?P<sign>°?) ?(?P<toward>[EW])")


def everyday_reading(text: str, box: BoxKind) -> Reading | None:
    """The reading of an everyday answer; None for anything else, which says nothing of whether it can be read."""
    match = _VALUE.fullmatch(text)
    if match is not None:
        return _value(text, match, box)
    if box == "direction" and (match := _BEARING.fullmatch(text)) is not None:
        return _bearing(text, match)
    return None


@lru_cache(maxsize=64)
def _unit(word: str) -> Unit | None:
    return simple_unit("deg" if word == "°" else word)


def _value(text: str, match: re.Match[str], box: BoxKind) -> Reading | None:
    sign, digits, word = match.groups()
    if box not in ("quantity", "direction", "angle"):
        return None
    unit = _unit(word) if word else None
    number = plain_number(digits)
    if number.value >= LARGEST_ANGLE and (box != "quantity" or word in ("°", "deg", "degrees")):
        return None  # no angle is that large
    if sign:
        number = Number(-number.value, number.place, number.coarsest)
    if unit is None or unit.dimension == "angle":
        if box == "direction" or (unit is not None and box == "quantity"):
            return _plain_angle(text, number, "" if unit is None else "deg")
    elif box == "direction" and word == "N":
        return None  # 45 N: half a bearing
    return Reading(text, (Sense(Quantity(number, unit)),))


def _plain_angle(text: str, number: Number, sign: str) -> Reading | None:
    degrees = number.value
    if not sign and degrees > 360 and text.endswith("0"):
        return None  # 3530: the degree sign may stand in the last 0
    angle = wrapped(degrees)
    if angle != degrees:
        angle = wrapped(round(angle, 10))
    return Reading(text, (Sense(Direction(angle, degrees, number.place, "plain angle", None, sign, number.coarsest)),))


def _bearing(text: str, match: re.Match[str]) -> Reading | None:
    start, digits, sign, toward = match.groups()
    number = plain_number(digits)
    angle = turn(start, toward, number.value)
    if angle is None or number.value > 90:
        return None
    if angle != number.value:
        angle = wrapped(round(angle, 10))
    sign = "deg" if sign else ""
    direction = Direction(angle, number.value, number.place, "quadrant bearing", (start, toward), sign, number.coarsest)
    return Reading(text, (Sense(direction),))
