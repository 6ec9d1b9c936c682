"""Slips of the pen on the right answer: nothing in the working is wrong, only what stands on the paper."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from .arithmetic import is_angle, place_asked, right_answer
from .hand import half_up
from .problems import Exercise
from .sheets import sheet_of


@dataclass(frozen=True)
class Slip:
    """The whole answer with one slip in it.

    values: box → number, as if exact. places: how many places coarser (positive) or finer than asked a box is written.
    """

    mistake: str
    values: dict[str, float]
    places: dict[str, int]


def spelled_number(exercise: Exercise, box: str, value: float) -> float:
    """The number that stands for a value on paper, without its sign or letters: a bearing's own number for a bearing."""
    if box == "direction" and exercise.form == "true bearing":
        return (90.0 - value) % 360.0
    if box == "direction" and exercise.form == "quadrant bearing":
        bearing = (90.0 - value) % 180.0
        return 180.0 - bearing if bearing > 90.0 else bearing
    return abs(value)


def spelled(exercise: Exercise, box: str, value: float, exponent: int) -> str:
    """The digits that the pupil writes for a value at the place 10**exponent."""
    return f"{half_up(spelled_number(exercise, box, value), exponent):.{max(0, -exponent)}f}"


def unspelled(exercise: Exercise, box: str, value: float, number: float) -> float:
    """The value that `number` says when written in the place of the number of `value`: sign and letters stay."""
    if box != "direction":
        return math.copysign(number, value)
    if exercise.form == "true bearing":
        return (90.0 - number) % 360.0
    if exercise.form == "quadrant bearing":
        quarter = int((90.0 - value) % 360.0 // 90.0)
        return (90.0 - (number, 180.0 - number, 180.0 + number, 360.0 - number)[quarter]) % 360.0
    return number


def cut_off(number: float, exponent: int) -> float:
    """A positive number cut, not rounded, after the place 10**exponent."""
    scale = 10.0**-exponent
    return float(math.floor(number * scale + 1e-9) / scale)


def minutes_as_decimals(number: float) -> float:
    """An angle whose minutes stand where its decimals belong: 35.7° is 35° 42′, written 35.42."""
    whole = math.floor(number)
    return whole + half_up((number - whole) * 60.0, 0) / 100.0


def switched_digits(digits: str) -> list[str]:
    """All spellings with two neighbouring, different digits exchanged; the decimal mark keeps its place."""
    places = [n for n, sign in enumerate(digits) if sign.isdigit()]
    found = []
    for one, two in pairwise(places):
        if digits[one] != digits[two]:
            signs = list(digits)
            signs[one], signs[two] = signs[two], signs[one]
            found.append("".join(signs))
    return found


# --- the slips ------------------------------------------------------------------------------------------------------------


def _in_one_box(exercise: Exercise, box: str, exact: dict[str, float]) -> Iterator[Slip]:
    value = exact[box]
    exponent = place_asked(exercise, box, value)

    def slip(mistake: str, changed: float, written_at: int) -> Slip:
        # A place asked in significant figures follows the number; the slip leaves the place where it was.
        return Slip(mistake, exact | {box: changed}, {box: written_at - place_asked(exercise, box, changed)})

    for place in (exponent, exponent - 1):
        for switched in switched_digits(spelled(exercise, box, value, place)):
            yield slip("digits-switched", unspelled(exercise, box, value, float(switched)), place)
    if is_angle(box):
        minutes = minutes_as_decimals(spelled_number(exercise, box, value))
        # Minutes take two places: 35° 42′ becomes 35.42.
        yield slip("minutes-as-decimals", unspelled(exercise, box, value, minutes), min(exponent, -2))
    else:
        for shift in (-1, 1):
            moved = half_up(value, exponent) * 10.0**shift
            yield slip("decimal-point-moved", moved, exponent + shift)
    if value < 0:
        yield slip("sign-lost", -value, exponent)
    if box == "direction" and exercise.form == "standard position" and value > 180.0:
        # 332° may have been −28° before it lost its sign.
        yield slip("sign-lost", 360.0 - value, exponent)
    # One part cut off and the other rounded is a slip; all parts cut off is a habit, and is added by the caller.
    yield slip("cut-off", _cut(exercise, box, value), exponent)


def _cut(exercise: Exercise, box: str, value: float) -> float:
    number = cut_off(spelled_number(exercise, box, value), place_asked(exercise, box, value))
    return unspelled(exercise, box, value, number)


@cache
def possible_slips(exercise: Exercise) -> tuple[Slip, ...]:
    """All slips on the right answer that leave a number of its own kind in every box."""
    exact = right_answer(exercise)
    found = [slip for box in exercise.boxes for slip in _in_one_box(exercise, box, exact)]
    found.append(Slip("cut-off", {box: _cut(exercise, box, value) for box, value in exact.items()}, {}))
    if exercise.boxes == ("x", "y"):
        found.append(Slip("parts-interchanged", {"x": exact["y"], "y": exact["x"]}, {}))
    for other in sheet_of(exercise):
        if other is not exercise and other.boxes == exercise.boxes and other.unit == exercise.unit:
            found.append(Slip("other-problem", right_answer(other), {}))
    if exercise.factor != 1.0:
        unconverted = {box: value / exercise.factor for box, value in exact.items()}
        found.append(Slip("unit-not-converted", unconverted, {}))
    return tuple(found)
