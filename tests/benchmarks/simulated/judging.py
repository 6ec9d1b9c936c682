"""What a written answer could have come from: the band of the right answer, and all mistakes that give the same writing.

The room for honest working is propagated here step by step: every result that a working carries is moved by half a unit of the
fourth decimal, up and down, one at a time, and the largest changes of the final value are added (worst case). Where a result
that was itself asked for goes on to a later step, half the place asked comes on top. This is a little wider than any single
honest working can reach, so what lies outside is wrong by anybody's count.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from .arithmetic import Values, methods_of, place_asked, right_answer, step_names, worked
from .hand import Hand, half_up
from .mistakes import Way, pairs_of_mistakes, single_mistakes
from .problems import Exercise
from .slips import possible_slips

HALF_CARRIED = 0.5e-4
HAIR = 1e-9
WIDEST_ROOM = 2.0


@dataclass(frozen=True)
class Written:
    """One part as written: the number it says (directions in degrees from the positive x-axis) and the power of ten of its
    last place."""

    box: str
    value: float
    exponent: int


def apart(box: str, one: float, two: float) -> float:
    """The distance of two values; directions around the circle."""
    if box == "direction":
        return abs((one - two + 180.0) % 360.0 - 180.0)
    return abs(one - two)


def _moved(
    exercise: Exercise, method: str, steps: dict[str, str], name: str, by: float, base: Values
) -> dict[str, float]:
    moved = dict.fromkeys(exercise.boxes, 0.0)
    for nudge in (by, -by):
        values = worked(exercise, method, steps, Hand(nudged=name, nudge=nudge))
        for box in exercise.boxes:
            one, two = base[box], values[box]
            if one is not None and two is not None:
                moved[box] = max(moved[box], apart(box, one, two))
    return moved


@cache
def rooms(exercise: Exercise, method: str, steps: tuple[tuple[str, str], ...] = ()) -> dict[str, float]:
    """Box → the room for honest working by this method with these altered steps."""
    changes = dict(steps)
    base = worked(exercise, method, changes)
    total = dict.fromkeys(exercise.boxes, 0.0)
    for name in step_names(exercise, method, changes):
        by = HALF_CARRIED
        if name.startswith("asked "):
            box = "magnitude" if "magnitude" in exercise.boxes else ("A" if name == "asked angle" else "c")
            value = base[box] or 1.0
            by = 0.5 * 10.0 ** place_asked(exercise, box, value)
        for box, moved in _moved(exercise, method, changes, name, by, base).items():
            total[box] += moved
    return total


@cache
def right_rooms(exercise: Exercise) -> dict[str, float]:
    """Box → the room for honest working by the most forgiving method."""
    by_method = [rooms(exercise, method) for method in methods_of(exercise)]
    if exercise.find == "triangle" and "a" in exercise.triangle:
        orders = ("A", "B") if "C" in exercise.triangle else ("ACB", "ABC", "CAB", "CBA")
        by_method = [rooms(exercise, "triangle", (("order", order),)) for order in orders]
    return {box: max(room[box] for room in by_method) for box in exercise.boxes}


def part_is_right(exercise: Exercise, part: Written) -> bool:
    """Whether a part lies inside the band of the right answer, or would be right but for being written too coarsely."""
    exact, room = right_answer(exercise)[part.box], right_rooms(exercise)[part.box]
    unit = 10.0 ** place_asked(exercise, part.box, exact)
    place = 10.0**part.exponent
    distance = apart(part.box, part.value, exact)
    if place > unit * (1 + HAIR):
        return distance <= place / 2 + room + HAIR
    if distance <= unit / 2 + room + HAIR:
        return True
    exponent = place_asked(exercise, part.box, exact)
    return apart(part.box, half_up(part.value, exponent), half_up(exact, exponent)) < unit / 1000


def is_right(exercise: Exercise, parts: Sequence[Written]) -> bool:
    """Whether every written part is inside the band of the right answer."""
    return all(part_is_right(exercise, part) for part in parts)


@dataclass(frozen=True)
class Candidate:
    """A known origin of an answer: ids, its values, and the room around each."""

    mistakes: tuple[str, ...]
    values: Values
    room: dict[str, float]

    def gives(self, parts: Sequence[Written]) -> bool:
        """Whether this origin leads to these very writings, within half of each written place and the room."""
        for part in parts:
            value = self.values.get(part.box)
            if (
                value is None
                or apart(part.box, value, part.value) > 0.5 * 10.0**part.exponent + self.room[part.box] + HAIR
            ):
                return False
        return True


def _candidate(exercise: Exercise, way: Way) -> Candidate:
    return Candidate(way.mistakes, way.answer(exercise), rooms(exercise, way.method, way.steps))


@cache
def _singles(exercise: Exercise) -> tuple[Candidate, ...]:
    return tuple(_candidate(exercise, way) for way in single_mistakes(exercise)) + _slips(exercise)


@cache
def _pairs(exercise: Exercise) -> tuple[list[float], list[tuple[Way, Values]]]:
    """All pairs of mistakes sorted by the value in the first box, and those values."""
    box = exercise.boxes[0]
    found = [(way, way.answer(exercise)) for way in pairs_of_mistakes(exercise)]
    keyed = sorted((value, number) for number, (_, values) in enumerate(found) if (value := values[box]) is not None)
    return [value for value, _ in keyed], [found[number] for _, number in keyed]


@cache
def _slips(exercise: Exercise) -> tuple[Candidate, ...]:
    exact, room = right_answer(exercise), right_rooms(exercise)
    return tuple(
        Candidate(
            (slip.mistake,),
            dict(slip.values),
            {box: room[box] if slip.values[box] == exact[box] else 0.0 for box in exercise.boxes},
        )
        for slip in possible_slips(exercise)
    )


@dataclass(frozen=True)
class Early:
    """The right steps with every intermediate result rounded to `decimals` places."""

    decimals: int
    hand: Hand
    method: str
    steps: tuple[tuple[str, str], ...]
    values: Values


@cache
def early_roundings(exercise: Exercise) -> tuple[Early, ...]:
    """Every method with 0–3 decimals carried, ratios written down or keyed in one go, by either order of a triangle."""
    orders: tuple[tuple[tuple[str, str], ...], ...] = ((),)
    if exercise.find == "triangle" and "a" in exercise.triangle:
        names = ("A", "B") if "C" in exercise.triangle else ("ACB", "ABC", "CAB", "CBA")
        orders = tuple((("order", name),) for name in names)
    found = []
    for method in methods_of(exercise):
        for steps in orders:
            for decimals in range(4):
                for ratios in (True, False) if decimals else (False,):
                    hand = Hand(decimals, ratios)
                    found.append(Early(decimals, hand, method, steps, worked(exercise, method, dict(steps), hand)))
    return tuple(found)


@cache
def early_decimals(exercise: Exercise, parts: tuple[Written, ...]) -> tuple[int, ...]:
    """The numbers of carried decimals with which right steps lead to these very writings."""
    nothing = dict.fromkeys(exercise.boxes, 0.0)
    return tuple(
        sorted(
            {e.decimals for e in early_roundings(exercise) if Candidate((), e.values, nothing).gives(parts)},
            reverse=True,
        )
    )


@cache
def single_origins(exercise: Exercise, parts: tuple[Written, ...]) -> frozenset[str]:
    """The ids of all single mistakes and slips that give this written answer."""
    return frozenset(candidate.mistakes[0] for candidate in _singles(exercise) if candidate.gives(parts))


@cache
def double_origins(exercise: Exercise, parts: tuple[Written, ...]) -> frozenset[tuple[str, ...]]:
    """The ids of all pairs of mistakes that give this written answer."""
    firsts, pairs = _pairs(exercise)
    written = {part.box: part for part in parts}
    first = written.get(exercise.boxes[0])
    if first is not None:
        reach = 0.5 * 10.0**first.exponent + WIDEST_ROOM
        pairs = pairs[bisect_left(firsts, first.value - reach) : bisect_right(firsts, first.value + reach)]
    wide = dict.fromkeys(exercise.boxes, WIDEST_ROOM)
    return frozenset(
        way.mistakes
        for way, values in pairs
        # Measuring the room takes dozens of workings: only where the values come near at all.
        if Candidate(way.mistakes, values, wide).gives(parts) and _candidate(exercise, way).gives(parts)
    )
