"""Slips of the pen and of the keyboard: the right result, damaged on its way onto paper."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from grader.marking.options import Option
from grader.marking.rounding import Outcome, Written, outcome, roundings
from grader.methods.directions import from_letters
from grader.methods.problem import Problem, Rounding
from grader.methods.solution import PartKey
from grader.methods.solve import Solved, is_angular
from grader.methods.steps import apart, difference
from grader.methods.vectors import in_unit
from grader.notation.given import GivenHeading, GivenVectors
from grader.notation.readings import Direction, Quantity


@dataclass(frozen=True, slots=True)
class Slip:
    """A slip that turns the right answer into what was written: the parts that it explains, and how many ways the
    same slip could have gone (a number of five digits can have four neighbours switched)."""

    mistake: str
    parts: frozenset[str]
    ways: int = 1


def slips(
    judge: Judge, options: Mapping[str, Option], wrong: frozenset[str], others: Sequence[Judge]
) -> Iterator[Slip]:
    """Every slip that explains a wrong part, or the whole answer. ``judge`` knows what is right, ``options`` has each part's
    reading; ``others`` know what is right for the other problems of the sheet."""
    by_mistake: dict[str, dict[str, int]] = {}
    for part in sorted(wrong & set(options)):
        for mistake, ways in _part_slips(judge, part, options[part]):
            yield Slip(mistake, frozenset({part}), ways)
            by_mistake.setdefault(mistake, {})[part] = ways
    for mistake, parts in by_mistake.items():
        if len(parts) > 1 and mistake in _AT_ONCE:
            yield Slip(mistake, frozenset(parts), max(parts.values()))
    if {"magnitude", "direction"} <= set(options) and wrong:
        magnitude, direction = options["magnitude"], options["direction"]
        if judge.right("magnitude", _as_number(direction)) and judge.right("direction", _as_number(magnitude)):
            yield Slip("parts-interchanged", wrong)
    # As numbers alone: the unit is the other problem's.
    numbers = {part: o.written if part == "direction" else _as_number(o) for part, o in options.items()}
    if any(
        numbers.keys() <= other.keys.keys() and all(map(other.close, numbers, numbers.values())) for other in others
    ):
        yield Slip("other-problem", wrong.intersection(options), len(others))


_SIGN_ADDED = 4
"""A minus sign written where there is none is so many times rarer than one left out (common practice)."""

_AT_ONCE = ("decimal-point-moved", "cut-off", "given-copied")
"""Slips that are one slip where they stand in every part: a habit, not an accident."""


def unit_alone_wrong(judge: Judge, part: str, option: Option) -> bool:
    """Whether a number is right and only its unit is not: nothing else lies behind such an answer."""
    return option.unit in ("wrong", "converted") and judge.right(part, _as_number(option))


def as_number(option: Option) -> Option:
    """The option as if its number stood there in the unit asked."""
    return replace(option, written=_as_number(option), unit="asked")


def _as_number(option: Option) -> Written:
    written = option.written
    return Written(option.number, written.place, written.coarsest, written.exact)


@dataclass(frozen=True)
class Judge:
    """What is right for a problem; of two triangles for the first (0) or the second (1)."""

    solved: Solved
    dropped_zeros: bool
    triangle: int = 0

    def right(self, part: str, written: Written) -> bool:
        return self._outcome(part, written) == "right"

    def close(self, part: str, written: Written) -> bool:
        """Right, or rounded too far."""
        return self._outcome(part, written) != "wrong"

    def _outcome(self, part: str, written: Written) -> Outcome:
        key, asked = self.keys[part]
        return outcome(written, key, asked, dropped_zeros=self.dropped_zeros)

    def key(self, part: str) -> PartKey:
        return self.keys[part][0]

    @cached_property
    def keys(self) -> Mapping[str, tuple[PartKey, Rounding]]:
        """Each part's key, with the rounding asked for it."""
        chosen = (
            replace(key, value=key.others[0]) if self.triangle and key.others else key
            for key in self.solved.solution.parts
        )
        return {key.part: (key, rounding_of(self.solved.problem, key)) for key in chosen}


def rounding_of(problem: Problem, key: PartKey) -> Rounding:
    """The rounding asked for a part."""
    return problem.direction_to if is_angular(problem, key.part) else problem.magnitude_to


def _part_slips(judge: Judge, part: str, option: Option) -> Iterator[tuple[str, int]]:
    written, key, problem = option.written, judge.key(part), judge.solved.problem
    place_number = placer(option)
    if part == "direction" and _letters_left_out(judge, option, problem):
        yield "letters-left-out", 1
    switched = list(_switched(option.number, _place_on_paper(option)))
    if any(_to_the_digit(key, place_number(n), written.place) for n in switched):
        yield "digits-switched", len(switched)
    digits = _digit_changed(option, key, place_number)
    if digits:
        yield "digit-changed", 9 * digits
    for power in (-2, -1, 1, 2):
        factor = 10.0**power
        moved = Written(place_number(option.number * factor), written.place * factor, written.coarsest * factor)
        # A direction has too few digits for a moved point to mean anything unless its digits are all there.
        if judge.right(part, moved) and (part != "direction" or _figures(option.number, _place_on_paper(option)) >= 3):
            yield "decimal-point-moved", 4
    if part != "direction" and written.value != 0 and judge.right(part, replace(written, value=-written.value)):
        yield "sign-lost", 1 if key.value < 0 else _SIGN_ADDED
    if _minutes_as_decimals(judge, part, option, place_number):
        # 42′ takes two places; who writes 35.4 for them has looked for tenths.
        yield "minutes-as-decimals", 1 if written.place < 0.05 else 10
    if _cut_off(option, key, place_number):
        yield "cut-off", 1
    given = _given_for(judge.solved, part)
    if any(apart(part, written.value, value) <= written.place / 2 + 1e-9 for value in given):
        yield "given-copied", len(given)


def _given_for(solved: Solved, part: str) -> list[float]:
    """The numbers of the question that a student could take for this part of a vector."""
    given = solved.problem.given
    sizes: list[Quantity | None] = []
    directions: list[Direction | None] = []
    if isinstance(given, GivenVectors):
        sizes, directions = [v.magnitude for v in given.vectors], [v.direction for v in given.vectors]
    elif isinstance(given, GivenHeading):
        sizes, directions = [given.speed, given.flow], [given.track, given.flow_direction]
    if part == "magnitude":
        return [in_unit(size, solved.unit) for size in sizes if size is not None]
    return [direction.angle for direction in directions if direction is not None] if part == "direction" else []


def placer(option: Option) -> Callable[[float], float]:
    """How the number on paper becomes the value judged: a bearing's number turns with its letters, a unit has its factor."""
    direction = option.direction
    if direction is None:
        factor = option.written.value / option.number if option.number else 1.0
        return lambda number: number * factor
    if direction.letters is not None:
        letters = direction.letters
        return lambda number: from_letters(letters, number)
    clockwise = abs((90.0 - direction.written - option.written.value + 180) % 360 - 180) < 1e-9
    if (
        clockwise
        and direction.form in ("true bearing", "plain angle")
        and abs(direction.written - option.written.value) > 1e-9
    ):
        return lambda number: (90.0 - number) % 360
    return lambda number: number % 360


def as_degrees(option: Option) -> Option | None:
    """The option with its number taken for degrees, where it stands as radians and makes more than a turn; else None.

    Nobody measures an angle as 64 radians: the unit is a slip for degrees, or the whole is a guess.
    """
    if not _in_radians(option) or abs(option.number) <= 360.0 * (1 + 1e-9):
        return None
    if option.direction is not None:
        taken = placer(option)
        first = taken(math.radians(option.number))
    else:
        first = math.radians(option.written.value)
    numbers = [replace(option.written, value=first)]
    numbers += [replace(one, value=math.radians(one.value)) for one in option.more]
    each = [replace(n, place=math.radians(n.place), coarsest=math.radians(n.coarsest)) for n in numbers]
    return replace(option, written=each[0], more=tuple(each[1:]), number=math.radians(option.number))


def _in_radians(option: Option) -> bool:
    if option.direction is not None:
        return option.direction.sign == "rad"
    # A size comes in degrees; the place of its last digit still tells what it was written in.
    place = math.radians(option.written.place)
    return option.unit != "wrong" and place > 0 and abs(math.log10(place) - round(math.log10(place))) < 1e-9


def _place_on_paper(option: Option) -> float:
    """The place of the last digit as it was written: that of the value judged may have been brought from another unit."""
    place, value = option.written.place, option.written.value
    return place * abs(option.number / value) if option.direction is None and value else place


def _figures(number: float, place: float) -> int:
    return (
        0
        if not place or not number
        else max(0, math.floor(math.log10(abs(number)) + 1e-12) - round(math.log10(place)) + 1)
    )


def _switched(number: float, place: float) -> Iterator[float]:
    """The number with two neighbouring digits switched, every way."""
    if not place or abs(math.log10(place) - round(math.log10(place))) > 1e-9:
        return
    digits = str(round(abs(number) / place))
    if len(digits) > 15:
        return
    sign = -1.0 if number < 0 else 1.0
    for i in range(len(digits) - 1):
        if digits[i] != digits[i + 1]:
            other = digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :]
            yield sign * int(other) * place


def _to_the_digit(key: PartKey, value: float, place: float) -> bool:
    """Whether a number is the right one to its last digit: who copies digits copies those of the right result."""
    part = "direction" if key.circular else key.part
    return apart(part, value, key.value) <= place / 2 + key.spread + 1e-9


def _digit_changed(option: Option, key: PartKey, place_number: Callable[[float], float]) -> int:
    """The number of digits, where exactly one of three or more differs from the right ones; else 0."""
    step = _place_on_paper(option)
    if not step or math.isnan(key.value) or option.written.value * key.value < 0:
        return 0
    written = str(round(abs(option.number) / step))
    for exact in roundings(abs(_number_on_paper(option, key, place_number)), step):
        right = str(round(exact / step))
        if len(right) == len(written) >= 3 and sum(a != b for a, b in zip(right, written)) == 1:
            return len(right)
    return 0


def _letters_left_out(judge: Judge, option: Option, problem: Problem) -> bool:
    if problem.direction_as not in ("quadrant bearing", "from an axis") or option.direction is None:
        return False
    if option.direction.form != "plain angle" or not 0 <= option.number <= 90:
        return False
    quadrants = (option.number, 90 - option.number, 90 + option.number, 180 - option.number,
                 180 + option.number, 270 - option.number, 270 + option.number, 360 - option.number)  # fmt: skip
    return any(judge.right("direction", replace(option.written, value=q % 360)) for q in quadrants)


def _minutes_as_decimals(judge: Judge, part: str, option: Option, place_number: Callable[[float], float]) -> bool:
    angular = is_angular(judge.solved.problem, part)
    place = option.written.place
    if not angular or not 0.005 <= place <= 0.15:
        return False
    whole, fraction = divmod(abs(option.number), 1.0)
    minutes = round(fraction * 100)
    if not 0 < minutes < 60:
        return False
    number = math.copysign(whole + minutes / 60, option.number)
    return judge.right(part, Written(place_number(number), 1 / 60, 1 / 60))


def _cut_off(option: Option, key: PartKey, place_number: Callable[[float], float]) -> bool:
    """The exact value's digits, stopped at the written place instead of rounded there."""
    step = _place_on_paper(option)
    if not step or math.isnan(key.value):
        return False
    exact = abs(_number_on_paper(option, key, place_number))
    cut = math.trunc(exact / step + 1e-9) * step
    rounded = round(exact / step) * step
    # Where rounding gives the same digits nothing was cut.
    same_side = option.direction is not None or option.written.value * key.value >= 0
    return abs(abs(option.number) - cut) < step * 1e-6 < abs(rounded - cut) and same_side


def _number_on_paper(option: Option, key: PartKey, place_number: Callable[[float], float]) -> float:
    """The exact value as it would stand on paper in the form that the student chose (S 55.67° W for 214.33°)."""
    if option.direction is None:
        return key.value * (option.number / option.written.value) if option.written.value else key.value
    slope = float(difference("direction", place_number(option.number + 1e-3), place_number(option.number))) / 1e-3
    return option.number + float(difference("direction", key.value, option.written.value)) / slope
