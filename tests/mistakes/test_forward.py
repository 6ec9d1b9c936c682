"""Every mistake of the catalogue, run forward on random problems, is named again by the diagnosis."""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Callable, Mapping

import numpy as np
import pytest

from grader.errors import ProblemError
from grader.marking.definitions import MistakeRule, OwnMistake
from grader.marking.prepared import Prepared
from grader.methods.problem import Problem
from grader.methods.steps import difference, values_of
from grader.mistakes.altering import NAMED, Alteration
from grader.mistakes.catalogue import IN_THE_WORKING, known_mistakes
from grader.mistakes.ways import alterations_of
from grader.notation.write import write_direction, write_number
from tests.posed import handed_in, ids_of, posed, ready

FORMS = ("standard position", "quadrant bearing", "true bearing", "from an axis")


def some_vector(dice: random.Random, form: str) -> str:
    length = f"{dice.randint(50, 4999) / 10} N"
    if form == "quadrant bearing":
        return f"{length} {dice.choice('NS')} {dice.randint(5, 85)}° {dice.choice('EW')}"
    if form == "from an axis":
        axis = dice.choice("NSEW")
        return f"{length}, {dice.randint(5, 44)}° {dice.choice('EW' if axis in 'NS' else 'NS')} of {axis}"
    if form == "true bearing":
        return f"{length} at bearing {dice.randint(0, 359):03d}°"
    return f"{length} at {dice.randint(0, 359)}°"


def sum_of_vectors(dice: random.Random) -> Problem:
    form = dice.choice(FORMS)
    count = dice.choice([2, 2, 3])
    return posed(
        dice.choice(["resultant", "equilibrant", "difference"]),
        "; ".join(some_vector(dice, form) for _ in range(count)),
        answer_as=dice.choice(["magnitude and direction", "magnitude and direction", "components"]),
        direction_as=dice.choice([form, *FORMS[:3]]),
        unit="N",
    )


def mixed_units(dice: random.Random) -> Problem:
    first, second = (dice.randint(0, 359) for _ in range(2))
    given_text = f"0.{dice.randint(2, 9)} kN at {first}°; {dice.randint(50, 4999) / 10} N at {second}°"
    return posed("resultant", given_text, unit="N", direction_as="standard position")


def one_vector(dice: random.Random) -> Problem:
    return posed("components", some_vector(dice, dice.choice(FORMS)), unit="N")


def from_components(dice: random.Random) -> Problem:
    x, y = (dice.choice([-1, 1]) * dice.randint(11, 99) / 10 for _ in range(2))
    return posed("magnitude and direction", f"({x}, {y}) m", direction_as=dice.choice(FORMS[:2]), unit="m")


def triangle(dice: random.Random) -> Problem:
    a, b = dice.randint(50, 300) / 10, dice.randint(50, 300) / 10
    return posed(
        "triangle",
        dice.choice(
            [
                f"a={a}; b={b}; c={max(a, b) - 0.3 * min(a, b):.1f}",
                f"c={a}; A={dice.randint(10, 170)}°; b={b}",
                f"A={dice.randint(10, 90)}°; B={dice.randint(10, 80)}°; c={a}",
                f"a={max(a, b) + 1}; b={min(a, b)}; A={dice.randint(10, 150)}°",
            ]
        ),
    )


def flight(dice: random.Random) -> Problem:
    wind = f"wind {dice.randint(20, 150)} km/h from {dice.choice(['N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW'])}"
    track = f"track {dice.choice('NS')} {dice.randint(5, 85)}° {dice.choice('EW')}"
    given_text = f"air speed {dice.randint(200, 600)} km/h; {wind}; {track}"
    return posed("heading", given_text, direction_as="quadrant bearing", unit="km/h")


def product(dice: random.Random) -> Problem:
    first, second = (f"<{dice.randint(-9, 9)}, {dice.randint(1, 9)}>" for _ in range(2))
    return posed(dice.choice(["angle between", "dot product"]), f"{first}; {second}", magnitude_to="1")


def work(dice: random.Random) -> Problem:
    pull, way = (dice.randint(5, 175) for _ in range(2))
    given_text = f"{dice.randint(200, 900) / 10} N at {pull}°; {dice.randint(11, 95) / 10} m at {way}°"
    return posed("dot product", given_text, magnitude_to="0.1")


KINDS: tuple[Callable[[random.Random], Problem], ...] = (
    sum_of_vectors,
    mixed_units,
    one_vector,
    from_components,
    triangle,
    flight,
    product,
    work,
)
MANY = {sum_of_vectors: 14, triangle: 5}


def ready_problems(kind: Callable[[random.Random], Problem], dice: random.Random) -> list[Prepared]:
    found: list[Prepared] = []
    while len(found) < MANY.get(kind, 2):
        try:
            prepared = ready(kind(dice))
        except ProblemError:  # vectors that happen to cancel, or one of no length
            continue
        if not prepared.solved.solution.none:
            found.append(prepared)
    return found


def visible(prepared: Prepared, values: Mapping[str, float]) -> bool:
    """Whether an answer is finite, and in at least one part so far from the right one that no rounding early explains it."""
    if not all(map(math.isfinite, values.values())):
        return False
    keys = prepared.solved.solution.parts
    return any(abs(float(difference(k.part, values[k.part], k.value))) > 5 * k.place + k.spread for k in keys)


def form_for(problem: Problem, way: Alteration) -> str:
    """The form in which a student writes the direction: the one asked, or one in which the mistake can show."""
    asked = problem.direction_as
    if not way.forms or asked in way.forms or (asked == "true bearing" and "true bearing" in way.forms):
        return asked
    return "quadrant bearing" if way.forms == NAMED else "standard position"


def as_written(prepared: Prepared, values: Mapping[str, float], form: str) -> dict[str, str]:
    """The answer as a student writes it, a place finer than asked; nobody writes a length below zero."""
    problem, written = prepared.problem, {}
    for key in prepared.solved.solution.parts:
        value, step = values[key.part], key.place / 10
        if key.part in ("magnitude", *"abc"):
            value = abs(value)
        if key.part == "direction":
            written[key.part] = write_direction(value % 360, form, step)
        elif key.part in "ABC" or problem.find == "angle between":
            written[key.part] = f"{write_number(value, step)}°"
        else:
            written[key.part] = f"{write_number(value, step)} {problem.unit.symbol if problem.unit else ''}".strip()
    return written


def named(prepared: Prepared, answer: Mapping[str, str]) -> tuple[set[str], set[str]]:
    """The ids that the diagnosis names (those of pairs too), and the verdicts."""
    marks = handed_in(prepared, answer).values()
    ids = {one for mark in marks for id_ in ids_of(mark) for one in id_.split(" + ")}
    return ids, {mark.verdict for mark in marks}


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_a_mistake_run_forward_is_named_again(kind: Callable[[random.Random], Problem]) -> None:
    """Where right steps with early rounding, or the student's own first part, lead to the same answer, nothing tells them
    apart, and the kinder verdict is given; those are few."""
    dice = random.Random(f"harbour {kind.__name__}")
    tried, kinder = Counter[str](), Counter[str]()
    missed: list[tuple[object, ...]] = []
    for prepared in ready_problems(kind, dice):
        for method in prepared.solved.methods:
            ways = alterations_of(method, prepared.problem)
            for id_, way in dice.sample(ways, min(30, len(ways))):
                with np.errstate(all="ignore"):
                    values = values_of(way.of(method))
                if not visible(prepared, values):
                    continue
                answer = as_written(prepared, values, form_for(prepared.problem, way))
                ids, verdicts = named(prepared, answer)
                tried[id_] += 1
                if id_ not in ids:
                    if "needs a look" in verdicts and prepared.problem.direction_as in (
                        "quadrant bearing",
                        "from an axis",
                    ):
                        # A bare angle that is right counted from north: two readings, left to the teacher.
                        continue
                    if verdicts & {"rounded early", "follows on"}:
                        # Parts that follow on from each other, with no wrong one left, are a case of their own.
                        kinder[id_] += "wrong" in verdicts or "rounded early" in verdicts
                    else:
                        missed.append((id_, method.name, prepared.problem.given_text, answer, sorted(ids), verdicts))
    assert tried.total() >= 15
    assert not missed
    assert kinder.total() <= max(1, 0.03 * tried.total()), kinder


def test_the_random_problems_reach_every_mistake_of_the_working() -> None:
    reached: set[str] = set()
    for kind in KINDS:
        dice = random.Random(f"harbour {kind.__name__}")
        for prepared in ready_problems(kind, dice):
            for method in prepared.solved.methods:
                reached |= {id_ for id_, _ in alterations_of(method, prepared.problem)}
    assert reached == {mistake.id for mistake in IN_THE_WORKING}


# ---- switching off, and the teacher's own

TUGS = posed("resultant", "45 N at 20°; 30 N at 310°", unit="N", direction_as="standard position")


BOTH_WAYS = (
    posed("magnitude and direction", "(-4, 3) m", direction_as="standard position", unit="m"),
    TUGS,
    posed("resultant", "20 N at 0°; 50 N at 150°", unit="N"),
    posed("difference", "20 N at 0°; 50 N at 330°", unit="N"),
    posed("equilibrant", "160 N S 25° W; 200 N at bearing 060°", direction_as="quadrant bearing", unit="N"),
    posed("heading", "air speed 550 km/h; wind 60 km/h from SW; track N", direction_as="quadrant bearing", unit="km/h"),
    posed("triangle", "A=35°; B=72°; c=20"),
    posed("angle between", "<-3, 4>; <5, 12>"),
    posed("dot product", "42 N at 15°; 8.5 m at 68°"),
    posed("resultant", "2 kN at 10°; 450 N at 80°", unit="N"),
)


@pytest.mark.parametrize("id_", sorted({mistake.id for mistake in IN_THE_WORKING}))
def test_a_mistake_that_is_switched_off_is_never_named(id_: str) -> None:
    problem, answer = next(
        (problem, as_written(prepared, values, form_for(problem, way)))
        for problem in BOTH_WAYS
        for prepared in [ready(problem)]
        for method in prepared.solved.methods
        for one, way in alterations_of(method, problem)
        if one == id_ and visible(prepared, values := values_of(way.of(method)))
    )
    assert id_ in named(ready(problem), answer)[0]
    without = ready(problem, rules=(MistakeRule(id_, use=False),))
    ids, verdicts = named(without, answer)
    assert id_ not in ids
    # The answer is wrong all the same.
    assert verdicts & {"wrong", "follows on"}


@pytest.mark.parametrize(
    ("rule", "problem", "answer"),
    [
        ("second-triangle-missed", posed("triangle", "a=12; c=17; A=35°"), {"C": "54.3°", "B": "90.7°", "b": "20.9"}),
        ("impossible-triangle-solved", posed("triangle", "B=119°; b=8.2; a=11.3"), {"value": "61.0"}),
        ("digits-switched", TUGS, {"magnitude": "26.04 N", "direction": "352.97°"}),
        ("decimal-point-moved", TUGS, {"magnitude": "620.4 N", "direction": "352.97°"}),
        ("parts-interchanged", TUGS, {"magnitude": "352.97", "direction": "62.04"}),
        ("sign-lost", posed("components", "18.5 km at 245°", unit="km"), {"x": "-7.82 km", "y": "16.77 km"}),
    ],
)
def test_slips_and_missed_triangles_are_switched_off_too(rule: str, problem: Problem, answer: dict[str, str]) -> None:
    assert rule in named(ready(problem), answer)[0]
    assert rule not in named(ready(problem, rules=(MistakeRule(rule, use=False),)), answer)[0]


def test_the_teachers_words_take_the_place_of_the_catalogues() -> None:
    told = ready(TUGS, rules=(MistakeRule("lengths-added", feedback="Tugs that pull apart do not add up."),))
    marks = handed_in(told, {"magnitude": "75.00 N", "direction": "352.97°"})
    assert marks["magnitude"].mistake == "lengths-added"
    assert "Tugs that pull apart do not add up." in marks["magnitude"].feedback


def test_a_mistake_of_the_teachers_own_is_named_with_its_words() -> None:
    """The mean of the two lengths, and the mean of the two directions: 37.5 N at 165°."""
    own = OwnMistake("means-taken", "1", "(r1 + r2) / 2; (d1 + d2) / 2", "An average is not a sum.")
    marks = handed_in(ready(TUGS, own=(own,)), {"magnitude": "37.50 N", "direction": "165.00°"})
    assert {(mark.mistake, mark.verdict) for mark in marks.values()} == {("means-taken", "wrong")}
    assert "An average is not a sum." in marks["magnitude"].feedback
    elsewhere = OwnMistake("means-taken", "2", "(r1 + r2) / 2; (d1 + d2) / 2", "An average is not a sum.")
    marks = handed_in(ready(TUGS, own=(elsewhere,)), {"magnitude": "37.50 N", "direction": "165.00°"})
    assert "means-taken" not in {id_ for mark in marks.values() for id_ in ids_of(mark)}


def test_a_random_wrong_answer_is_mostly_left_unexplained() -> None:
    """No diagnosis is better than a false one: of answers drawn at random few are explained (a bound, not a measurement)."""
    dice = random.Random("no reason at all")
    prepared, explained = ready(TUGS), 0
    for _ in range(150):
        answer = {"magnitude": f"{dice.uniform(5, 200):.1f} N", "direction": f"{dice.uniform(0, 360):.1f}°"}
        explained += any(mark.mistake for mark in handed_in(prepared, answer).values())
    assert explained <= 30


def test_chances_are_chances_and_names_are_of_the_catalogue() -> None:
    prepared, dice = ready(TUGS), random.Random("chances")
    method = prepared.solved.methods[0]
    for _, way in dice.sample(alterations_of(method, TUGS), 25):
        values = values_of(way.of(method))
        if not visible(prepared, values):
            continue
        for mark in handed_in(prepared, as_written(prepared, values, "standard position")).values():
            assert {one for id_ in ids_of(mark) for one in id_.split(" + ")} <= {*known_mistakes(), "rounded-early"}
            assert bool(mark.mistake) is not math.isnan(mark.mistake_chance)
            assert not mark.mistake or 0.5 <= mark.mistake_chance <= 1
