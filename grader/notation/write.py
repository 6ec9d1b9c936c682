"""Writes values as an answer is written: rounded to a place, with unit, in any form of direction.

What is written here, ``read`` gives back. Rounding is half away from zero on the decimal representation (ISO 80000-1,
annex B, rule B), and happens in the form that is written, so that no ``N 90.0° E`` and no ``360°`` appear.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal, localcontext
from functools import lru_cache

from grader.errors import NotationError
from grader.notation.closeness import apart
from grader.notation.readings import Components, Direction, Labelled, Meaning, Number, Polar, Quantity, Several
from grader.notation.tables import compass_points
from grader.notation.units import Unit

MINUS = "−"

LARGEST_WHOLE = 1e15
LARGEST_RADICAND = 200
LARGEST_DENOMINATOR = 30
LARGEST_FACTOR = 200


def decimals_of(place: float) -> int:
    """How many decimals a place has: 1 for 0.1, 0 for 1 and for 10.

    >>> decimals_of(0.01), decimals_of(0.5), decimals_of(10.0)
    (2, 1, 0)
    """
    exponent = Decimal(repr(place)).normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def rounded(value: float, place: float) -> Decimal:
    """The value rounded to a multiple of ``place``, a tie away from zero.

    >>> str(rounded(2.675, 0.01)), str(rounded(230.0, 100.0)), str(rounded(-0.04, 0.1))
    ('2.68', '200', '0.0')
    """
    unit = Decimal(repr(place))
    # Enough digits for whatever a student may write, 1e30 to the tenth included.
    with localcontext() as context:
        context.prec = 400
        steps = (Decimal(repr(value)) / unit).quantize(Decimal(1), rounding=ROUND_HALF_UP)
        result = (steps * unit).quantize(Decimal(1).scaleb(-decimals_of(place)))
        return abs(result) if result == 0 else result


def write_number(value: float, place: float | None) -> str:
    """The number to a place, with a true minus sign; ``place`` None writes the shortest exact decimal.

    >>> write_number(62.04, 0.1), write_number(-7.594, 0.01), write_number(-0.04, 0.1), write_number(62.0, None)
    ('62.0', '−7.59', '0.0', '62')
    """
    if not math.isfinite(value):
        return {math.inf: "∞", -math.inf: MINUS + "∞"}.get(value, "undefined")
    if place is None:
        decimal = Decimal(repr(value + 0.0))
        text = format(abs(decimal), "f")
        text = text.rstrip("0").rstrip(".") if "." in text else text
        return MINUS + text if decimal < 0 else text
    result = rounded(value, place)
    text = format(abs(result), "f")
    return MINUS + text if result < 0 else text


def write_quantity(value: float, place: float | None, unit: Unit | None) -> str:
    """The number to a place and its unit: ``62.0 lb``; degrees are written ``59.5°``."""
    number = write_number(value, place)
    if unit is None:
        return number
    return f"{number}°" if unit.symbol == "deg" else f"{number} {unit.symbol}"


def write_direction(angle: float, form: str, place: float | None) -> str:
    """A direction in standard position (degrees) in the form asked (``quadrant bearing``, ``true bearing`` ...).

    >>> write_direction(353.0, "quadrant bearing", 1.0), write_direction(353.0, "true bearing", 0.1)
    ('S 83° E', '097.0°')
    >>> write_direction(89.96, "quadrant bearing", 0.1), write_direction(353.0, "from an axis", 1.0)
    ('N', '7° S of E')
    """
    if not math.isfinite(angle):
        return "undefined"
    if form in ("standard position", "plain angle", "any"):
        return f"{format(_on_circle(angle, place), 'f')}°"
    bearing = (Decimal(90) - Decimal(repr(angle))) % 360
    bearing = bearing + 360 if bearing < 0 else bearing
    if form == "true bearing":
        return _true_bearing(bearing, place)
    if form == "quadrant bearing":
        return _quadrant_bearing(bearing, place)
    if form == "from an axis":
        return _from_axis(bearing, place)
    raise NotationError(form, "expected standard position, quadrant bearing, true bearing, from an axis or any")


def _decimal_round(value: Decimal, place: float | None) -> Decimal:
    if place is None:
        shortest = value.normalize()
        return shortest.quantize(Decimal(1)) if shortest == shortest.to_integral_value() else shortest
    unit = Decimal(repr(place))
    steps = (value / unit).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    return abs((steps * unit).quantize(Decimal(1).scaleb(-decimals_of(place))))


def _on_circle(angle: float, place: float | None) -> Decimal:
    exact = Decimal(repr(angle)) % 360
    exact = exact + 360 if exact < 0 else exact
    result = _decimal_round(exact, place)
    return result - 360 if result >= 360 else result


def _true_bearing(bearing: Decimal, place: float | None) -> str:
    result = _decimal_round(bearing, place)
    if result >= 360:
        result -= 360
    whole, point, decimals = format(result, "f").partition(".")
    return f"{whole.zfill(3)}{point}{decimals}°"


def _quadrant(bearing: Decimal) -> tuple[str, str, Decimal]:
    """The letters of a bearing's quadrant and the angle from north or south, 0° to 90°."""
    if bearing <= 90:
        return "N", "E", bearing
    if bearing <= 180:
        return "S", "E", 180 - bearing
    if bearing <= 270:
        return "S", "W", bearing - 180
    return "N", "W", 360 - bearing


def _quadrant_bearing(bearing: Decimal, place: float | None) -> str:
    start, toward, angle = _quadrant(bearing)
    result = _decimal_round(angle, place)
    if result <= 0:
        return start
    if result >= 90:
        return toward
    return f"{start} {format(result, 'f')}° {toward}"


def _from_axis(bearing: Decimal, place: float | None) -> str:
    """Counted from the nearer of the two axes; at 45° from north or south."""
    start, toward, angle = _quadrant(bearing)
    if angle > 45:
        start, toward, angle = toward, start, 90 - angle
    result = _decimal_round(angle, place)
    if result <= 0:
        return start
    return f"{format(result, 'f')}° {toward} of {start}"


@lru_cache(maxsize=4096)
def write_exact(value: float) -> str | None:
    """The school form of a number (``6√2``, ``7√2/2``, ``−5/13``, ``12``), or None when it has none with small integers.

    >>> write_exact(8.48528137423857), write_exact(-4.949747468305833), write_exact(-5 / 13), write_exact(0.1234)
    ('6√2', '−7√2/2', '−5/13', None)
    """
    if not math.isfinite(value):
        return None
    sign = MINUS if value < 0 else ""
    size = abs(value)
    if size >= LARGEST_WHOLE:
        return None
    if size == round(size):
        return sign + str(int(size)) if size else "0"
    for denominator in range(1, LARGEST_DENOMINATOR + 1):
        # value = a√b/c exactly when (value·c)² = a²·b is a whole number.
        numerator = size * denominator
        if _is_whole(numerator):
            return f"{sign}{round(numerator)}/{denominator}"
        square = numerator * numerator
        if square <= LARGEST_FACTOR**2 * LARGEST_RADICAND and _is_whole(square):
            factor, radicand = _square_out(round(square))
            if radicand > LARGEST_RADICAND or radicand == 1:
                continue
            root = f"√{radicand}" if factor == 1 else f"{factor}√{radicand}"
            return f"{sign}{root}" if denominator == 1 else f"{sign}{root}/{denominator}"
    return None


def _is_whole(value: float) -> bool:
    whole = round(value)
    return whole > 0 and abs(value - whole) <= 8e-15 * max(value, 1.0)


def _square_out(number: int) -> tuple[int, int]:
    """The largest a with number = a²·b, and b.

    >>> _square_out(72)
    (6, 2)
    """
    for factor in range(math.isqrt(number), 0, -1):
        if number % (factor * factor) == 0:
            return factor, number // (factor * factor)
    return 1, number


def write_meaning(meaning: Meaning) -> str:
    """What a text was read as, in the notation of the key: ``62.0 lb``, ``S 83° E``, ``⟨61.6, −7.6⟩``, ``54.3 or 125.7``."""
    if isinstance(meaning, Quantity):
        return _quantity_as_read(meaning)
    if isinstance(meaning, Direction):
        return _direction_as_read(meaning)
    if isinstance(meaning, Polar):
        parts = [write_meaning(part) for part in (meaning.magnitude, meaning.direction) if part is not None]
        return " at ".join(parts)
    if isinstance(meaning, Components):
        return _components_as_read(meaning)
    if isinstance(meaning, Labelled):
        return ", ".join(f"{name} = {_quantity_as_read(part)}" for name, part in meaning.parts.items())
    if isinstance(meaning, Several):
        return " or ".join(map(write_meaning, meaning.meanings))
    return "no solution"


def _number_as_read(number: Number) -> str:
    if number.place is None:
        return write_exact(number.value) or write_number(number.value, None)
    return write_number(number.value, _plain_place(number.place))


def _plain_place(place: float) -> float:
    """The place itself, or for minutes, seconds and radians the decimal place just finer."""
    power = 10.0 ** math.floor(math.log10(place) + 1e-9)
    return float(f"{power:.0e}")


def _quantity_as_read(quantity: Quantity) -> str:
    number = _number_as_read(quantity.number)
    if quantity.unit is None:
        return number
    return f"{number}°" if quantity.unit.symbol == "deg" else f"{number} {quantity.unit.symbol}"


def _direction_as_read(direction: Direction) -> str:
    letters = direction.letters
    if direction.form == "compass point":
        return _point_as_read(direction)
    place = None if direction.place is None else _plain_place(direction.place)
    written = write_number(direction.written, place)
    if direction.form == "true bearing":
        whole, point, decimals = written.partition(".")
        return f"{whole.zfill(3)}{point}{decimals}° true"
    if letters is not None and direction.form == "quadrant bearing":
        return f"{letters[0]} {written}° {letters[1]}"
    if letters is not None:
        return f"{written}° {letters[1]} of {letters[0]}"
    return f"{written}°" + (" in standard position" if direction.form == "standard position" else "")


def point_letters(direction: Direction) -> str:
    """The letters of the compass point in which a direction lies (``NW``); empty where it lies between two of them."""
    bearing = (90.0 - direction.angle) % 360.0
    letters, nearest = min(compass_points().items(), key=lambda point: apart(point[1], bearing))
    return letters if math.isclose(nearest, bearing, abs_tol=1e-9) else ""


def _point_as_read(direction: Direction) -> str:
    return point_letters(direction) or write_direction(direction.angle, "any", None)


def _components_as_read(pair: Components) -> str:
    if pair.x is None or pair.y is None:
        return " ".join(
            f"{name} = {_quantity_as_read(part)}" for name, part in (("x", pair.x), ("y", pair.y)) if part is not None
        )
    unit = pair.x.unit
    if unit == pair.y.unit:
        inside = f"⟨{_number_as_read(pair.x.number)}, {_number_as_read(pair.y.number)}⟩"
        return f"{inside} {unit.symbol}" if unit is not None else inside
    return f"⟨{_quantity_as_read(pair.x)}, {_quantity_as_read(pair.y)}⟩"
