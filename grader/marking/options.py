"""One way to take what was written for a part: the number as written, brought to the unit and the form of the key."""

from __future__ import annotations

import math
from dataclasses import dataclass

from grader.errors import NotationError
from grader.marking.rounding import Written
from grader.methods.solve import Solved, is_angular
from grader.notation.readings import Direction, Number, Quantity
from grader.notation.units import Unit, convert
from grader.notation.write import point_letters, write_direction, write_exact, write_number


@dataclass(frozen=True, slots=True)
class Option:
    """One way to take what was written for a part.

    ``in_form`` tells whether a direction stands in the form asked; ``unit`` whether the unit is the one asked
    (``asked``, ``missing``, ``converted`` from another, or ``wrong`` for this kind of quantity). ``number`` is the number as
    it stands on paper and ``direction`` the direction as read. ``more`` are further answers written on purpose
    (``54.3° or 125.7°``), ``joined`` with those of other parts where they were written into one box: the first of each
    belong to one triangle. ``none`` says that there is no solution.
    """

    written: Written
    read_as: str
    number: float
    in_form: bool = True
    unit: str = "asked"
    direction: Direction | None = None
    more: tuple[Written, ...] = ()
    joined: bool = False
    none: bool = False
    notes: tuple[str, ...] = ()


NO_SOLUTION = Option(Written(math.nan, 0.0, 0.0), "none", math.nan, none=True)
"""That there is no solution, as an option."""


def as_direction(quantity: Quantity) -> Direction:
    """A bare number, or an angle as a size, taken as a plain angle."""
    number = quantity.number
    sign = "" if quantity.unit is None else "deg"
    return Direction(number.value % 360, number.value, number.place, "plain angle", None, sign, number.coarsest)


def from_quantity(solved: Solved, part: str, quantity: Quantity) -> Option:
    """A quantity as an option for a part, brought to the unit of the key."""
    number = quantity.number
    factor, state = unit_factor(solved, part, quantity.unit)
    value = number.value * factor
    if solved.problem.find == "ramp":
        # Which way along the ramp counts as positive is the student's choice.
        value = abs(value)
    place = abs((number.place or 0.0) * factor)
    coarsest = abs((number.coarsest or number.place or 0.0) * factor)
    text = _number_text(number)
    if quantity.unit is not None:
        joint = "" if quantity.unit.dimension == "angle" and quantity.unit.symbol in ("°", "deg") else " "
        symbol = "°" if joint == "" else quantity.unit.symbol
        text = f"{text}{joint}{symbol}"
    return Option(Written(value, place, coarsest, number.exact), text, number.value, unit=state)


def unit_factor(solved: Solved, part: str, unit: Unit | None) -> tuple[float, str]:
    """What brings a unit to that of the key, and how it stands to it: asked, missing, converted or wrong."""
    if is_angular(solved.problem, part):
        return (1.0, "asked") if unit is None or unit.dimension == "angle" else (1.0, "wrong")
    expected = solved.unit
    if expected is None:
        # No unit is asked and none is given: whatever the student adds is decoration, unless it makes an angle of it.
        return (1.0, "asked") if unit is None or unit.dimension != "angle" else (1.0, "wrong")
    if unit is None:
        return 1.0, "missing" if solved.problem.unit is not None else "asked"
    if unit == expected:
        return 1.0, "asked"
    try:
        factor = convert(1.0, unit, expected)
    except NotationError:
        return 1.0, "wrong"
    return factor, "asked" if math.isclose(factor, 1.0, rel_tol=1e-9) else "converted"


def from_direction(solved: Solved, direction: Direction) -> Option:
    """A direction as an option; a bare angle counts from where the problem asks directions to be counted."""
    asked = solved.problem.direction_as
    angle = direction.angle
    if direction.form == "plain angle" and asked == "true bearing":
        angle = (90.0 - direction.written) % 360
    place = direction.place or 0.0
    written = Written(angle, place, direction.coarsest or place, direction.place is None)
    in_form = _in_form(direction, asked)
    return Option(written, direction_text(direction), direction.written, in_form=in_form, direction=direction)


def _in_form(direction: Direction, asked: str) -> bool:
    form = direction.form
    if direction.sign in ("rad", "grad"):
        return False  # problems ask for degrees
    match asked:
        case "standard position":
            return form in ("plain angle", "standard position")
        case "true bearing":
            return form in ("plain angle", "true bearing")
        case "quadrant bearing":
            from_north_or_south = direction.letters is not None and direction.letters[0] in "NS"
            return form in ("quadrant bearing", "compass point") or (form == "from an axis" and from_north_or_south)
        case "from an axis":
            return form in ("from an axis", "quadrant bearing", "compass point")
    return True


def _number_text(number: Number) -> str:
    if number.place is None:
        return write_exact(number.value) or write_number(number.value, 1e-4)
    return write_number(number.value, _decimal(number.place))


def _decimal(place: float | None) -> float:
    """A decimal place at least as fine: minutes of arc, and numbers brought from another unit, have places between."""
    return 1e-4 if not place else 10.0 ** math.floor(math.log10(place) + 1e-9)


def direction_text(direction: Direction) -> str:
    """A direction as it was read, in the form in which it was written."""
    place = _decimal(direction.place)
    if direction.form == "plain angle":
        text = write_number(direction.written, place)
        return f"{text}°"
    form = {"compass point": "quadrant bearing"}.get(direction.form, direction.form)
    if direction.form == "compass point" and (letters := point_letters(direction)):
        return letters
    if direction.form == "from an axis" and direction.letters is not None:
        start, toward = direction.letters
        return f"{write_number(direction.written, place)}° {toward} of {start}"
    return write_direction(direction.angle, form, place)
