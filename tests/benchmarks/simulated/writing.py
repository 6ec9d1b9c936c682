"""How a pupil writes an answer: digits, unit, and a direction in one of its forms."""

import random
from collections.abc import Mapping

from .arithmetic import Values, is_angle, place_asked
from .hand import half_up
from .judging import Written
from .problems import Exercise

Places = Mapping[str, int]
AS_ASKED: Places = {}


def number_text(value: float, exponent: int) -> str:
    """`value` at the place 10**exponent: 62.04 at −1 is `62.0`. No negative zero."""
    return f"{half_up(value, exponent) + 0.0:.{max(0, -exponent)}f}"


def with_unit(rng: random.Random, number: str, unit: str) -> str:
    if not unit:
        return number
    return number + ("" if rng.random() < 0.1 else " ") + unit


def _degrees(rng: random.Random, number: str) -> str:
    return number + rng.choice(("°", "°", "°", "°", " deg", " degrees"))


def _quadrant(rng: random.Random, direction: float, exponent: int) -> tuple[str, float]:
    bearing = half_up((90.0 - direction) % 360.0, exponent) % 360.0
    pole = "N" if bearing <= 90.0 or bearing > 270.0 else "S"
    side = "E" if bearing <= 180.0 else "W"
    angle = (bearing, 180.0 - bearing, bearing - 180.0, 360.0 - bearing)[min(3, int(bearing // 90.0))]
    if bearing in (90.0, 180.0, 270.0):
        angle = 0.0 if bearing == 180.0 else 90.0
    number = number_text(angle, exponent)
    spaced, tight, of = f"{pole} {number}° {side}", f"{pole}{number}°{side}", f"{number}° {side} of {pole}"
    text = rng.choice((spaced, spaced, spaced, tight, of))
    return text, (90.0 - bearing) % 360.0


def _true(rng: random.Random, direction: float, exponent: int) -> tuple[str, float]:
    bearing = half_up((90.0 - direction) % 360.0, exponent) % 360.0
    width = 3 + (1 - exponent if exponent < 0 else 0)
    number = number_text(bearing, exponent).rjust(width, "0")
    text = rng.choice((f"{number}°", f"{number}°", f"bearing {number}°", f"{number}°T"))
    return text, (90.0 - bearing) % 360.0


def _standard(rng: random.Random, direction: float, exponent: int) -> tuple[str, float]:
    if not (-180.0 <= direction < 0.0 or (direction > 180.0 and rng.random() < 0.08)):
        direction = half_up(direction % 360.0, exponent) % 360.0
    elif direction > 180.0:
        direction -= 360.0
    number = number_text(direction, exponent)
    return _degrees(rng, number), float(number) % 360.0


def direction_text(
    rng: random.Random, exercise: Exercise, direction: float, exponent: int, other_form: bool = False
) -> tuple[str, float]:
    """The direction as written and the degrees from the positive x-axis that it says.

    In another form than asked: a quadrant bearing where an angle was asked, an angle where a quadrant bearing was asked. Where
    a true bearing is asked a bare angle would be a mistake of its own, so a quadrant bearing stands there too.
    """
    form = exercise.form
    if other_form:
        form = "standard position" if form == "quadrant bearing" else "quadrant bearing"
    if form == "quadrant bearing":
        return _quadrant(rng, direction, exponent)
    return _true(rng, direction, exponent) if form == "true bearing" else _standard(rng, direction, exponent)


def write(
    rng: random.Random,
    exercise: Exercise,
    values: Values,
    leave_blank: str = "",
    other_form: bool = False,
    places: Places | None = None,
) -> tuple[tuple[tuple[str, str], ...], tuple[Written, ...]]:
    """The whole answer as written, box by box, and the numbers that it says (for the boxes that are not blank).

    `places` gives how much finer (−1) or coarser (+1) than asked each box is written; without it one pupil writes all parts
    alike: one in eight one place finer, one in thirty one coarser (never coarser than whole units).
    """
    boxes: list[tuple[str, str]] = []
    parts: list[Written] = []
    drawn = rng.random()
    habit = -1 if drawn < 1 / 8 else (1 if drawn < 1 / 8 + 1 / 30 else 0)
    for box in exercise.boxes:
        value = values[box]
        if value is None or box == leave_blank:
            boxes.append((box, ""))
            continue
        exponent = place_asked(exercise, box, value)
        if places is not None:
            exponent += places.get(box, 0)
        elif habit < 0 or exponent < 0:
            exponent += habit
        if box == "direction":
            text, said = direction_text(rng, exercise, value, exponent, other_form)
        else:
            number = number_text(value, exponent)
            said = float(number)
            text = _degrees(rng, number) if is_angle(box) else with_unit(rng, number, exercise.unit)
        boxes.append((box, text))
        parts.append(Written(box, said, exponent))
    return tuple(boxes), tuple(parts)
