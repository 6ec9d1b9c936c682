"""The pupils: wrong answers and right ones with known truth, singly or as a class.

The same seed gives the same answers. Every wrong answer lies outside the band of the right one in at least one written part.
"""

import random
from bisect import bisect
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import accumulate
from typing import Literal

from .arithmetic import Values, is_angle, methods_of, place_asked, right_answer, worked
from .hand import EXACT, Hand, half_up
from .judging import Early, Written, double_origins, early_decimals, early_roundings, is_right, single_origins
from .mistakes import Way, pairs_of_mistakes, single_mistakes
from .problems import EXERCISES, Exercise
from .slips import Slip, possible_slips
from .writing import AS_ASKED, write

Truth = Literal["one mistake", "two mistakes", "slip", "rounded early", "random", "right"]
ROUNDED_EARLY = "rounded-early"

SHARES: tuple[tuple[Truth, float], ...] = (
    ("one mistake", 0.55),
    ("two mistakes", 0.10),
    ("slip", 0.10),
    ("rounded early", 0.10),
    ("random", 0.15),
)


@dataclass(frozen=True)
class Answer:
    """One pupil's whole answer to one problem, and what is true about it.

    problem: the label; boxes: (box, text) in the order of the problem, "" where left blank.
    truth, mistakes: the kind of answer and the ids made (one, two, or the slip; none for the other kinds).
    alike: ids of other single mistakes and slips that give the same written answer, within half of each written place and the
        room for honest working; `rounded-early` among them where right steps, rounded early, give it too.
    alike_pairs: ids of other pairs of mistakes that give it (only for two mistakes and for random answers).
    decimals: how many decimals were carried, for `rounded early`; alike_decimals: other numbers that give the same answer.
    told_apart: True where nothing in `alike` (nor, for two mistakes and random answers, in `alike_pairs`) competes. A random
        answer with False happens to be what some mistake gives.
    method: how the pupil worked, "" where that means nothing. other_form: the direction is written in another form than asked.
    numbers: (box, value, power of ten of the last written place), for the boxes that hold numbers of their own kind;
        directions in degrees from the positive x-axis.
    """

    problem: str
    boxes: tuple[tuple[str, str], ...]
    truth: Truth
    mistakes: tuple[str, ...] = ()
    alike: tuple[str, ...] = ()
    decimals: int | None = None
    told_apart: bool = True
    alike_pairs: tuple[tuple[str, ...], ...] = ()
    alike_decimals: tuple[int, ...] = ()
    method: str = ""
    other_form: bool = False
    numbers: tuple[tuple[str, float, int], ...] = ()


def _honest_hand(rng: random.Random) -> Hand:
    """Four decimals carried, everything kept, or a result that was asked for taken on as written."""
    return rng.choices(
        (Hand(4), Hand(4, ratios=False), EXACT, Hand(asked=True)),
        (0.40, 0.15, 0.25, 0.20),
    )[0]


def _numbers(parts: Sequence[Written]) -> tuple[tuple[str, float, int], ...]:
    return tuple((part.box, part.value, part.exponent) for part in parts)


def _explained(
    exercise: Exercise,
    truth: Truth,
    boxes: tuple[tuple[str, str], ...],
    parts: tuple[Written, ...],
    way: Way,
    other_form: bool,
) -> Answer:
    """The answer with everything else that gives it, for one mistake, two, a slip, or a random answer."""
    own = frozenset(way.mistakes)
    several = truth in ("two mistakes", "random")
    alike = single_origins(exercise, parts)
    alike = alike if several else alike - own
    if early_decimals(exercise, parts):
        alike |= {ROUNDED_EARLY}
    pairs = (
        frozenset(pair for pair in double_origins(exercise, parts) if frozenset(pair) != own)
        if several
        else frozenset()
    )
    return Answer(
        problem=exercise.label,
        boxes=boxes,
        truth=truth,
        mistakes=way.mistakes,
        alike=tuple(sorted(alike)),
        alike_pairs=tuple(sorted(pairs)),
        told_apart=not alike and not pairs,
        method=way.method,
        other_form=other_form,
        numbers=_numbers(parts),
    )


# --- one and two mistakes -------------------------------------------------------------------------------------------------


def _as_asked(exercise: Exercise, values: Values) -> list[Written]:
    """The values at the places asked: what most pupils would write."""
    parts = []
    for box in exercise.boxes:
        value = values[box]
        if value is not None:
            exponent = place_asked(exercise, box, value)
            parts.append(Written(box, half_up(value, exponent), exponent))
    return parts


def _shows(exercise: Exercise, way: Way) -> bool:
    parts = _as_asked(exercise, way.answer(exercise))
    return bool(parts) and not is_right(exercise, parts)


@cache
def visible_mistakes(exercise: Exercise) -> dict[str, tuple[Way, ...]]:
    """Id → the ways of making this single mistake that a wrong answer shows."""
    ids = dict.fromkeys(way.mistakes[0] for way in single_mistakes(exercise))
    found = {
        mistake: tuple(way for way in single_mistakes(exercise) if way.mistakes == (mistake,) and _shows(exercise, way))
        for mistake in ids
    }
    return {mistake: ways for mistake, ways in found.items() if ways}


@cache
def visible_pairs(exercise: Exercise) -> dict[tuple[str, ...], tuple[Way, ...]]:
    """Both ids → the ways of making these two mistakes together that a wrong answer shows."""
    found: dict[tuple[str, ...], list[Way]] = {}
    for way in pairs_of_mistakes(exercise):
        if _shows(exercise, way):
            found.setdefault(way.mistakes, []).append(way)
    return {ids: tuple(ways) for ids, ways in found.items()}


def altered(rng: random.Random, exercise: Exercise, ways: Sequence[Way], truth: Truth) -> Answer | None:
    """An answer by one of these ways; None if this pupil's way of writing hides the mistake."""
    way = rng.choices(ways, [way.weight for way in ways])[0]
    values = way.answer(exercise, _honest_hand(rng))
    blank = "direction" if rng.random() < 0.05 else ""
    # A mistake that lies in the form itself would vanish in another form.
    free = bool(exercise.form) and values["direction"] is not None and not blank and "answer" not in dict(way.steps)
    other_form = free and rng.random() < 0.05
    boxes, parts = write(rng, exercise, values, blank, other_form)
    if not parts or is_right(exercise, parts):
        return None
    if truth == "two mistakes":
        singles = [way_ for way_ in single_mistakes(exercise) if way_.mistakes[0] in way.mistakes]
        made = single_origins(exercise, parts) & {way_.mistakes[0] for way_ in singles}
        # With a part left blank or coarsely written, one of the two may leave no trace.
        if made:
            return None
    return _explained(exercise, truth, boxes, parts, way, other_form)


def _one_mistake(rng: random.Random, exercises: Sequence[Exercise]) -> Answer | None:
    """Evenly over mistakes half of the time, evenly over problems the other half."""
    if rng.random() < 0.5:
        mistake = rng.choice(_all_visible_ids(tuple(exercises)))
        exercise = rng.choice([one for one in exercises if mistake in visible_mistakes(one)])
    else:
        exercise = rng.choice(exercises)
        mistake = rng.choice(tuple(visible_mistakes(exercise)))
    return altered(rng, exercise, visible_mistakes(exercise)[mistake], "one mistake")


@cache
def _all_visible_ids(exercises: tuple[Exercise, ...]) -> tuple[str, ...]:
    return tuple(sorted({mistake for exercise in exercises for mistake in visible_mistakes(exercise)}))


def _two_mistakes(rng: random.Random, exercise: Exercise) -> Answer | None:
    pairs = visible_pairs(exercise)
    if not pairs:
        return None
    return altered(rng, exercise, pairs[rng.choice(tuple(pairs))], "two mistakes")


# --- slips ----------------------------------------------------------------------------------------------------------------


@cache
def visible_slips(exercise: Exercise) -> dict[str, tuple[Slip, ...]]:
    """Id → the slips that leave the band of the right answer."""
    found: dict[str, list[Slip]] = {}
    for slip in possible_slips(exercise):
        _, parts = write(random.Random(0), exercise, dict(slip.values), places=slip.places)
        if not is_right(exercise, parts):
            found.setdefault(slip.mistake, []).append(slip)
    if exercise.boxes == ("magnitude", "direction"):
        found["parts-interchanged"] = []
    return {mistake: tuple(slips) for mistake, slips in found.items()}


def slip(rng: random.Random, exercise: Exercise) -> Answer:
    """Evenly over the kinds of slip that the problem admits."""
    slips = visible_slips(exercise)
    mistake = rng.choice(tuple(slips))
    if not slips[mistake]:
        return _parts_interchanged(rng, exercise)
    slip = rng.choice(slips[mistake])
    boxes, parts = write(rng, exercise, dict(slip.values), places=slip.places)
    return _explained(exercise, "slip", boxes, parts, Way((mistake,), "", ()), False)


def _parts_interchanged(rng: random.Random, exercise: Exercise) -> Answer:
    """The direction stands in the box of the magnitude and the other way round, each with its unit, sign or letters."""
    ((_, size), (_, direction)), _ = write(rng, exercise, dict(right_answer(exercise)), places=AS_ASKED)
    return Answer(exercise.label, (("magnitude", direction), ("direction", size)), "slip", ("parts-interchanged",))


# --- rounded early, random, right -----------------------------------------------------------------------------------------


@cache
def visible_early(exercise: Exercise) -> dict[int, tuple[Early, ...]]:
    """Decimals carried → the workings that leave the band of the right answer."""
    found: dict[int, list[Early]] = {}
    for early in early_roundings(exercise):
        parts = _as_asked(exercise, early.values)
        if len(parts) == len(exercise.boxes) and not is_right(exercise, parts):
            found.setdefault(early.decimals, []).append(early)
    return {decimals: tuple(ways) for decimals, ways in found.items()}


def rounded_early(rng: random.Random, exercise: Exercise, decimals: int | None = None) -> Answer | None:
    visible = visible_early(exercise)
    decimals = decimals if decimals is not None else rng.choice(tuple(visible) or (0,))
    if decimals not in visible:
        return None
    early = rng.choice(visible[decimals])
    boxes, parts = write(rng, exercise, early.values, places=AS_ASKED if rng.random() < 0.9 else _all_finer(exercise))
    if is_right(exercise, parts):
        return None
    alike = tuple(sorted(single_origins(exercise, parts)))
    return Answer(
        problem=exercise.label,
        boxes=boxes,
        truth="rounded early",
        alike=alike,
        decimals=early.decimals,
        told_apart=not alike,
        alike_decimals=tuple(d for d in early_decimals(exercise, parts) if d != early.decimals),
        method=early.method,
        numbers=_numbers(parts),
    )


def _all_finer(exercise: Exercise) -> dict[str, int]:
    return dict.fromkeys(exercise.boxes, -1)


def _guessed(rng: random.Random, exercise: Exercise, box: str, exact: float) -> float:
    """Sizes log-uniform within a factor of five of the right one, components of either sign, angles uniform."""
    if box == "direction":
        return rng.uniform(0.0, 360.0)
    if is_angle(box):
        return rng.uniform(3.0, 177.0)
    scale = abs(exact)
    if box in ("x", "y"):
        scale = sum(value * value for value in right_answer(exercise).values()) ** 0.5 / 1.5
    size: float = scale * 5.0 ** rng.uniform(-1.0, 1.0)
    return size if box not in ("x", "y") or rng.random() < 0.5 else -size


def random_answer(rng: random.Random, exercise: Exercise) -> Answer | None:
    """All parts wrong in three of five, one part alone in the others (where there are several)."""
    exact = right_answer(exercise)
    guessed = exercise.boxes if rng.random() < 0.6 else (rng.choice(exercise.boxes),)
    values: Values = {
        box: _guessed(rng, exercise, box, value) if box in guessed else value for box, value in exact.items()
    }
    boxes, parts = write(rng, exercise, values)
    if any(is_right(exercise, [part]) for part in parts if part.box in guessed):
        return None
    return _explained(exercise, "random", boxes, parts, Way((), "", ()), False)


def right(rng: random.Random, exercise: Exercise) -> Answer | None:
    method = rng.choice(methods_of(exercise))
    values = worked(exercise, method, {}, _honest_hand(rng))
    other_form = bool(exercise.form) and rng.random() < 0.05
    places = _all_finer(exercise) if rng.random() < 0.15 else AS_ASKED
    boxes, parts = write(rng, exercise, values, other_form=other_form, places=places)
    return Answer(exercise.label, boxes, "right", method=method, other_form=other_form, numbers=_numbers(parts))


_MAKERS: dict[Truth, Callable[[random.Random, Exercise], Answer | None]] = {
    "two mistakes": _two_mistakes,
    "slip": slip,
    "rounded early": rounded_early,
    "random": random_answer,
    "right": right,
}


def _drawn(rng: random.Random, truth: Truth, exercises: Sequence[Exercise]) -> Answer:
    while True:
        one = truth == "one mistake"
        answer = _one_mistake(rng, exercises) if one else _MAKERS[truth](rng, rng.choice(exercises))
        if answer is not None:
            return answer


def wrong_answers(seed: int, count: int, exercises: Sequence[Exercise] = EXERCISES) -> list[Answer]:
    """`count` wrong answers to `exercises` in the proportions of `SHARES`; the same seed gives the same answers."""
    rng = random.Random(f"wrong answers {seed}")
    kinds = [kind for kind, _ in SHARES]
    bounds = list(accumulate(share for _, share in SHARES))
    return [_drawn(rng, kinds[min(bisect(bounds, rng.random()), len(kinds) - 1)], exercises) for _ in range(count)]


def right_answers(seed: int, count: int, exercises: Sequence[Exercise] = EXERCISES) -> list[Answer]:
    """`count` right answers to `exercises`: honest working by every method, written to the place asked or one finer."""
    rng = random.Random(f"right answers {seed}")
    return [_drawn(rng, "right", exercises) for _ in range(count)]
