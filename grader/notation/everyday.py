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
from grader.notation.readings import BoxKind, Components, Direction, Number, Polar, Quantity, Reading, Sense
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

_DIGITS = r"(?:[1-9][0-9]{0,8}|0)(?:\.[0-9]{1,8})?"
_FROM_AN_AXIS = re.compile(rf"(?P<digits>{_DIGITS})(?P<sign>°) (?P<toward>[NSEW]) of (?P<start>[NSEW])")
_PAIR = re.compile(rf"(?:<(?=[^>]*>$)|\((?=[^)]*\)$))(?P<x>[-−]?{_DIGITS}), (?P<y>[-−]?{_DIGITS})[>)]")
_LENGTH_AND_ANGLE = re.compile(
    rf"(?P<length>{_DIGITS}) (?P<unit>N|lbs?|km/h|mph|m/s|knots|kN|km) at (?P<digits>{_DIGITS})(?P<sign>°)"
)


def everyday_reading(text: str, box: BoxKind) -> Reading | None:
    """The reading of an everyday answer; None for anything else, which says nothing of whether it can be read."""
    match = _VALUE.fullmatch(text)
    if match is not None:
        return _value(text, match, box)
    if box == "direction" and (match := _BEARING.fullmatch(text)) is not None:
        return _bearing(text, match)
    if box == "direction" and (match := _FROM_AN_AXIS.fullmatch(text)) is not None:
        return _from_an_axis(text, match)
    if box == "components" and "." in text and (match := _PAIR.fullmatch(text)) is not None:
        return Reading(text, (Sense(Components(_signed(match["x"]), _signed(match["y"]))),))
    if box == "polar" and (match := _LENGTH_AND_ANGLE.fullmatch(text)) is not None:
        return _polar(text, match)
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


def _signed(digits: str) -> Quantity:
    number = plain_number(digits.lstrip("-−"))
    if digits[0] in "-−":
        number = Number(-number.value, number.place, number.coarsest)
    return Quantity(number)


def _polar(text: str, match: re.Match[str]) -> Reading | None:
    plain = _plain_angle(text, plain_number(match["digits"]), "deg")
    if plain is None or plain_number(match["digits"]).value >= LARGEST_ANGLE:
        return None
    direction = plain.senses[0].meaning
    assert isinstance(direction, Direction)
    return Reading(text, (Sense(Polar(Quantity(plain_number(match["length"]), _unit(match["unit"])), direction)),))


def _from_an_axis(text: str, match: re.Match[str]) -> Reading | None:
    number = plain_number(match["digits"])
    start, toward = match["start"], match["toward"]
    angle = turn(start, toward, number.value)
    if angle is None or number.value > 90:
        return None
    if angle != number.value:
        angle = wrapped(round(angle, 10))
    direction = Direction(angle, number.value, number.place, "from an axis", (start, toward), "deg", number.coarsest)
    return Reading(text, (Sense(direction),))


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
