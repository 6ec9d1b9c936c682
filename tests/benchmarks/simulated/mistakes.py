"""Which mistakes each exercise admits, and in how many natural ways each can be made.

A `Way` is one natural reading of a mistake: the method in which it is made, the steps it changes, and how likely a pupil who
makes the mistake makes it in this way. Where the definition is open there are several ways; the pupils choose at random.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import combinations

from .arithmetic import Values, methods_of, worked
from .hand import EXACT, GRADIANS, ONLY_INVERSE, RADIANS, Hand
from .problems import Exercise

Steps = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Way:
    """One way of making a mistake (or, with several ids, mistakes together)."""

    mistakes: tuple[str, ...]
    method: str
    steps: Steps
    weight: float = 1.0

    def answer(self, exercise: Exercise, hand: Hand = EXACT) -> Values:
        return worked(exercise, self.method, dict(self.steps), hand)


def _ways(mistake: str, method: str, *variants: dict[str, str], weights: tuple[float, ...] = ()) -> Iterator[Way]:
    for number, steps in enumerate(variants):
        yield Way((mistake,), method, tuple(sorted(steps.items())), weights[number] if weights else 1.0)


def _modes(method: str, last: bool, **also: str) -> Iterator[Way]:
    """The calculator left in radians or gradians; `last` where an inverse tangent ends the working.

    An inverse tangent in the wrong mode is either placed in its quadrant as if it were degrees, or written as displayed.
    Whether "the same in gradians" covers the last step alone is open: mostly throughout, sometimes only at the end.
    """
    shown = {"quadrant": "displayed"}
    if not last:
        yield from _ways("radian-mode", method, {"calculator": RADIANS, **also})
        yield from _ways("gradian-mode", method, {"calculator": GRADIANS, **also})
        return
    two = (0.6, 0.4)
    radians, grads = {"calculator": RADIANS, **also}, {"calculator": GRADIANS, **also}
    radians_last, grads_last = {"calculator": RADIANS + ONLY_INVERSE}, {"calculator": GRADIANS + ONLY_INVERSE}
    yield from _ways("radian-mode", method, radians, radians | shown, weights=two)
    yield from _ways("radian-mode-at-the-end", method, radians_last, radians_last | shown, weights=two)
    yield from _ways("gradian-mode", method, grads, grads | shown, grads_last, weights=(0.5, 0.3, 0.2))


def _in_given_bearings(exercise: Exercise, method: str) -> Iterator[Way]:
    """A given bearing misunderstood: every one of them, or a single one."""
    quadrant = [n for n, vector in enumerate(exercise.vectors) if vector.said == "quadrant"]
    true = [n for n, vector in enumerate(exercise.vectors) if vector.said == "true"]

    def each(change: str, positions: list[int]) -> list[dict[str, str]]:
        named = ["all", *map(str, positions)] if len(positions) > 1 else [str(n) for n in positions]
        return [{"given": f"{change}:{which}"} for which in named]

    yield from _ways("bearing-from-wrong-axis", method, *each("wrong axis", quadrant))
    turned = each("east and west", quadrant) + each("north and south", quadrant) + each("east and west", true)
    yield from _ways("bearing-turned-wrong-way", method, *turned)
    yield from _ways("bearing-as-standard-angle", method, *each("as standard", true))


def _in_the_answer(exercise: Exercise, method: str) -> Iterator[Way]:
    if exercise.form == "quadrant bearing":
        letters = [{"answer": change} for change in ("east and west", "north and south", "both letters")]
        yield from _ways("answer-from-wrong-axis", method, {"answer": "wrong axis"})
        yield from _ways("answer-letters-wrong", method, *letters, weights=(0.4, 0.4, 0.2))
    bearings = any(vector.said in ("quadrant", "true") for vector in exercise.vectors)
    if exercise.form == "true bearing" or (exercise.form == "standard position" and bearings):
        yield from _ways("standard-angle-given-as-bearing", method, {"answer": "number of the other kind"})


def _in_sums(exercise: Exercise, method: str) -> Iterator[Way]:
    """What is added, and which way the result points."""
    if exercise.find in ("resultant", "equilibrant"):
        yield from _ways("subtracted-not-added", method, {"combine": "subtracted"})
    if exercise.find == "difference":
        # The second vector was not reversed before the two were added.
        yield from _ways("not-reversed", method, {"combine": "not reversed"})
    if exercise.find == "equilibrant":
        yield from _ways("not-reversed", method, {"turn": "other"})
    else:
        yield from _ways("reversed", method, {"turn": "other"})


def _by_components(exercise: Exercise) -> Iterator[Way]:
    method = "components"
    whole = exercise.find != "components"
    pairs = any(vector.said == "pair" for vector in exercise.vectors)
    bearings = any(vector.said in ("quadrant", "true") for vector in exercise.vectors)
    if not pairs:
        swapped = {"split": "swapped"}
        yield from _ways("sine-cosine-swapped", method, swapped)
        if bearings:
            yield from _ways("sine-cosine-swapped", method, swapped | {"angles": "picture"})
        yield from _modes(method, last=whole)
        if bearings:
            yield from _modes(method, last=whole, angles="picture")
    elif whole:
        yield from (way for way in _modes(method, last=True) if way.mistakes != ("radian-mode",))
    yield from _ways("signs-dropped", method, {"signs": "dropped"})
    lost = [{"signs": f"lost {axis} {n}"} for n in range(len(exercise.vectors)) for axis in "xy"]
    yield from _ways("one-sign-lost", method, *lost)
    yield from _ways("components-swapped", method, {"sums": "swapped"})
    if len(exercise.vectors) > 1:
        without = [{"vectors": f"without {n}"} for n in range(len(exercise.vectors))]
        yield from _ways("one-vector-left-out", method, *without)
    if whole:
        # The equilibrant comes from the resultant turned round, or from the sums negated.
        routes: list[dict[str, str]] = [{}, {"negated": "sums"}] if exercise.find == "equilibrant" else [{}]
        for route in routes:
            yield from _ways("calculator-angle-kept", method, {"quadrant": "displayed"} | route)
            yield from _ways("reference-angle-only", method, {"quadrant": "1"} | route)
            yield from _ways("wrong-quadrant", method, *({"quadrant": str(n)} | route for n in range(1, 5)))
        yield from _ways("tangent-upside-down", method, {"tangent": "upside down"})
        yield from _ways("root-not-taken", method, {"root": "not taken"})
        yield from _ways("squares-not-taken", method, {"length": "root of sum"}, {"length": "sum"})
        yield from _ways("negative-square-lost", method, {"length": "minus square"})
        yield from _in_the_answer(exercise, method)
    yield from _in_sums(exercise, method)
    yield from _in_given_bearings(exercise, method)


def _by_parallelogram(exercise: Exercise) -> Iterator[Way]:
    method = "parallelogram"
    for mistake, step, change in (
        ("supplement-not-taken", "supplement", "not taken"),
        ("cosine-sign-flipped", "cosine", "sign flipped"),
        ("two-dropped", "cosine", "two dropped"),
        ("cosine-last", "cosine", "cosine last"),
        ("lengths-added", "cosine", "added"),
        ("lengths-subtracted", "cosine", "subtracted"),
        ("root-not-taken", "root", "not taken"),
    ):
        # With a wrong R the pupil judges by it, or by the drawing, whether the angle is obtuse.
        yield from _ways(mistake, method, {step: change}, {step: change, "arcsine": "picture"}, weights=(0.75, 0.25))
    yield from _ways("right-angle-assumed", method, {"cosine": "right angle"})
    if exercise.form != "quadrant bearing":
        yield from _ways("inner-angle-only", method, {"laid off": "not"})
        if exercise.find == "equilibrant":
            yield from _ways("inner-angle-only", method, {"laid off": "not, not even turned"})
    yield from _ways("turned-wrong-way", method, {"laid off": "wrong way"})
    yield from _ways("angle-from-other-force", method, {"laid off": "from the other"})
    yield from _ways("obtuse-missed", method, {"arcsine": "calculator"})
    yield from _modes(method, last=False)
    yield from _in_sums(exercise, method)
    yield from _in_given_bearings(exercise, method)
    yield from _in_the_answer(exercise, method)


def _by_heading(exercise: Exercise) -> Iterator[Way]:
    method = "heading"
    yield from _ways("wind-added", method, {"wind": "added"})
    yield from _ways("wind-direction-reversed", method, {"wind": "reversed"})
    yield from _ways("sine-cosine-swapped", method, {"split": "swapped"})
    yield from _modes(method, last=False)
    if exercise.vectors[1].direction == 90.0:
        yield from _modes(method, last=False, angles="axes")
    yield from _in_given_bearings(exercise, method)
    yield from _in_the_answer(exercise, method)


def _by_triangle(exercise: Exercise) -> Iterator[Way]:
    method, given = "triangle", exercise.triangle
    yield from _modes(method, last=False)
    orders = [{"order": order} for order in (("A", "B") if "C" in given else ("ACB", "ABC", "CAB", "CBA"))]
    if "a" not in given:
        orders = [{}]
    for mistake, change in (
        ("angles-sum-to-360", {"sum": "360"}),
        ("sines-upside-down", {"sines": "upside down"}),
        # For an obtuse angle by sines these two are the same thing: the supplement of the inverse sine is not taken.
        ("obtuse-missed", {"arcsine": "calculator"}),
        ("supplement-not-taken", {"arcsine": "calculator"}),
        ("cosine-sign-flipped", {"cosine": "sign flipped"}),
        ("two-dropped", {"cosine": "two dropped"}),
    ):
        if "a" in given or "cosine" not in change:
            yield from _ways(mistake, method, *(change | order for order in orders))
    if "C" in given:
        for mistake, change in (
            ("cosine-last", {"cosine": "cosine last"}),
            ("right-angle-assumed", {"cosine": "right angle"}),
            ("root-not-taken", {"root": "not taken"}),
        ):
            yield from _ways(mistake, method, *(change | order for order in orders))


def _by_dot_product(exercise: Exercise) -> Iterator[Way]:
    method = "dot product"
    yield from _modes(method, last=False)
    yield from _ways("radian-mode-at-the-end", method, {"calculator": RADIANS + ONLY_INVERSE})
    yield from _ways("signs-dropped", method, {"signs": "dropped"})
    lost = [{"signs": f"lost {axis} {n}"} for n in range(len(exercise.vectors)) for axis in "xy"]
    yield from _ways("one-sign-lost", method, *lost)
    yield from _ways("squares-not-taken", method, {"length": "root of sum"}, {"length": "sum"})
    yield from _ways("root-not-taken", method, {"root": "not taken"})
    yield from _ways("negative-square-lost", method, {"length": "minus square"})


_TABLES = {
    "components": _by_components,
    "parallelogram": _by_parallelogram,
    "heading": _by_heading,
    "triangle": _by_triangle,
    "dot product": _by_dot_product,
}


def _can_be_written(exercise: Exercise, way: Way) -> bool:
    """Whether the working gets anywhere: some part has a number, and no angle of a triangle is nothing or less."""
    values = [(box, way.answer(exercise)[box]) for box in exercise.boxes]
    impossible = [box for box, value in values if value is not None and value <= 0.0 and box in "ABC"]
    return not impossible and any(value is not None for _, value in values)


def _differs(exercise: Exercise, values: Values, other: Values) -> bool:
    """Whether two answers differ in a box in which the first has a number."""
    for box in exercise.boxes:
        one, two = values.get(box), other.get(box)
        if one is not None and (two is None or abs(one - two) > 1e-9):
            return True
    return False


@cache
def single_mistakes(exercise: Exercise) -> tuple[Way, ...]:
    """All ways of making one mistake that change the exact answer of this exercise."""
    found = []
    for method in methods_of(exercise):
        right = worked(exercise, method)
        found += [
            way
            for way in _TABLES[method](exercise)
            if _can_be_written(exercise, way) and _differs(exercise, way.answer(exercise), right)
        ]
    return tuple(found)


@cache
def pairs_of_mistakes(exercise: Exercise) -> tuple[Way, ...]:
    """All ways of making two mistakes in one working, in different steps, where each of the two shows."""
    found = []
    for one, two in combinations(single_mistakes(exercise), 2):
        same_step = {name for name, _ in one.steps} & {name for name, _ in two.steps}
        if one.method != two.method or one.mistakes == two.mistakes or same_step:
            continue
        ids = tuple(sorted(one.mistakes + two.mistakes))
        pair = Way(ids, one.method, tuple(sorted(one.steps + two.steps)), one.weight * two.weight)
        values = pair.answer(exercise)
        if _can_be_written(exercise, pair) and all(
            _differs(exercise, values, way.answer(exercise)) for way in (one, two)
        ):
            found.append(pair)
    return tuple(found)
