"""The six problems of the sample class, solved by plain trigonometry, rightly and in every wrong way the class shows.

Written from the definitions alone and without the package, so that the sample class can test it. All angles are
degrees; a direction is an angle in standard position. A way of working is a set of mistakes, empty for the right way.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

Vector = tuple[float, float]  # length and standard-position angle, or x and y


@dataclass(frozen=True)
class SampleProblem:
    """A problem with its data: vectors of length and angle, or two points; ``bearings`` as they were given."""

    label: str
    unit: str
    parts: tuple[str, str]
    decimals: tuple[int, int]
    form: str  # how the direction is asked: standard, quadrant or true
    vectors: tuple[Vector, ...]
    by: str  # the method asked: parallelogram, components, one vector or two points
    points: tuple[Vector, Vector] | None = None
    reverse: bool = False


@dataclass(frozen=True)
class Outcome:
    """What a student gets: magnitude and direction, or x and y. None where the working leads nowhere.

    ``as_displayed``: the direction is the calculator's number, to be written without bringing it into 0°–360°.
    """

    first: float | None
    second: float | None
    as_displayed: bool = False


@dataclass(frozen=True)
class Care:
    """How many decimals of intermediate results, and of sines and cosines, a student keeps; None keeps all."""

    results: int | None = None
    ratios: int | None = None

    def keep(self, value: float) -> float:
        return value if self.results is None else round(value, self.results)

    def ratio(self, value: float) -> float:
        return value if self.ratios is None else round(value, self.ratios)


FULL_CARE = Care()
SIZE_AND_DIRECTION = ("magnitude", "direction")
PROBLEMS: Mapping[str, SampleProblem] = {
    p.label: p
    for p in (
        SampleProblem("1", "kN", SIZE_AND_DIRECTION, (1, 0), "standard", ((52, 25), (41, 318)), "parallelogram"),
        SampleProblem("2", "lb", SIZE_AND_DIRECTION, (1, 1), "standard", ((200, 22), (470, 164)), "parallelogram"),
        SampleProblem("3", "knots", ("x", "y"), (2, 2), "none", ((3.4, 213),), "one vector"),
        SampleProblem(
            "4", "km", SIZE_AND_DIRECTION, (2, 1), "standard", (), "two points", points=((4.5, -1.5), (-2.9, 2.6))
        ),
        # N 42° E, S 66° E, S 22° W
        SampleProblem(
            "5", "N", SIZE_AND_DIRECTION, (1, 1), "quadrant", ((185, 48), (240, 336), (140, 248)), "components"
        ),
        # bearings 073° and 155°
        SampleProblem(
            "6", "kN", SIZE_AND_DIRECTION, (1, 0), "true", ((34, 17), (22.5, 295)), "components", reverse=True
        ),
    )
}

# Worked with pencil and a pocket calculator, kept to check the functions below.
RIGHT_ANSWERS: Mapping[str, Vector] = {
    "1": (77.789, 355.976),
    "2": (335.789, 142.488),
    "3": (-2.8515, -1.8518),
    "4": (8.4599, 151.0112),
    "5": (304.195, 342.802),  # S 72.802° E
    "6": (43.303, 166.034),  # bearing 283.966°
}


def sin(degrees: float) -> float:
    return math.sin(math.radians(degrees))


def cos(degrees: float) -> float:
    return math.cos(math.radians(degrees))


def parallelogram(problem: SampleProblem, made: frozenset[str], care: Care, given_length: float | None) -> Outcome:
    """Law of cosines for the resultant, law of sines for the angle at the first vector.

    ``given_length`` goes into the law of sines in place of the length found (a student's own wrong result).
    """
    (a, alpha), (b, beta) = problem.vectors
    turn = (beta - alpha + 180) % 360 - 180
    side = 1 if turn > 0 else -1
    between = abs(turn)
    opposite = between if "supplement-not-taken" in made else 180 - between
    radians = "radian-mode" in made
    cosine = care.ratio(math.cos(opposite) if radians else cos(opposite))
    sine = care.ratio(math.sin(opposite) if radians else sin(opposite))

    square = a * a + b * b - 2 * a * b * cosine
    if "cosine-sign-flipped" in made:
        square = a * a + b * b + 2 * a * b * cosine
    if "two-dropped" in made:
        square = a * a + b * b - a * b * cosine
    if "cosine-last" in made:
        square = (a * a + b * b - 2 * a * b) * cosine
    if "right-angle-assumed" in made:
        square = a * a + b * b
    length = square if "root-not-taken" in made else care.keep(math.sqrt(abs(care.keep(square))))
    if "lengths-added" in made:
        length = a + b
    if "lengths-subtracted" in made:
        length = abs(a - b)
    if given_length is not None:
        length = given_length

    ratio = care.ratio(b * sine / length)
    if "right-angle-assumed" in made:
        inner = math.degrees(math.atan(b / a))
    elif abs(ratio) > 1:
        return Outcome(length, None)
    elif radians:
        inner = math.asin(ratio)
    else:
        inner = math.degrees(math.asin(ratio))
        wrong_triangle = made & {"supplement-not-taken", "cosine-sign-flipped", "lengths-added", "two-dropped"}
        if a + b * cos(between) < 0 and "obtuse-missed" not in made and not wrong_triangle:
            inner = 180 - inner
    if "inner-angle-only" in made:
        return Outcome(length, inner)
    if "turned-wrong-way" in made:
        return Outcome(length, alpha - side * inner)
    if "angle-from-other-force" in made:
        return Outcome(length, alpha + side * (between - inner))
    return Outcome(length, alpha + side * inner)


GIVEN_BEARINGS: Mapping[str, tuple[float, ...]] = {"5": (42, 114, 202), "6": (73, 155)}


def misread_bearings(problem: SampleProblem, made: frozenset[str]) -> tuple[Vector, ...]:
    """The vectors with the directions that a student takes from the bearings given."""
    vectors = problem.vectors
    if "bearing-from-wrong-axis" in made:  # the last one: S 22° W taken as 22° below the west line
        length, angle = vectors[-1]
        reference = angle % 90
        vectors = (*vectors[:-1], (length, angle - reference + 90 - reference))
    if "bearing-turned-wrong-way" in made:  # the second one: S 66° E taken as S 66° W
        length, angle = vectors[1]
        vectors = (vectors[0], (length, 180 - angle), *vectors[2:])
    if "bearing-as-standard-angle" in made:
        vectors = tuple((v[0], bearing) for v, bearing in zip(vectors, GIVEN_BEARINGS[problem.label], strict=True))
    return vectors


def components_of(vector: Vector, made: frozenset[str], care: Care) -> Vector:
    length, angle = vector
    along, across = care.ratio(cos(angle)), care.ratio(sin(angle))
    if "radian-mode" in made:
        along, across = math.cos(angle), math.sin(angle)
    if "gradian-mode" in made:
        along, across = cos(angle * 0.9), sin(angle * 0.9)
    if "sine-cosine-swapped" in made:
        along, across = across, along
    x, y = care.keep(length * along), care.keep(length * across)
    if "signs-dropped" in made:
        x, y = abs(x), abs(y)
    return x, y


def sums(problem: SampleProblem, made: frozenset[str], care: Care) -> Vector:
    """x and y of the sum of the vectors, or of the way from the first point to the second."""
    if problem.points is not None:
        (x1, y1), (x2, y2) = problem.points
        if "points-added" in made:
            return x1 + x2, y1 + y2
        if "one-sign-lost" in made:  # -1.5 entered as 1.5
            return x2 - x1, y2 - abs(y1)
        if "signs-dropped" in made:
            return abs(x2 - x1), abs(y2 - y1)
        return x2 - x1, y2 - y1
    vectors = misread_bearings(problem, made)
    if "one-vector-left-out" in made:
        vectors = vectors[:-1]
    pairs = [components_of(vector, made, care) for vector in vectors]
    if "one-sign-lost" in made:  # the last vector's y
        pairs[-1] = (pairs[-1][0], abs(pairs[-1][1]))
    if "subtracted-not-added" in made:
        pairs[1:] = [(-x, -y) for x, y in pairs[1:]]
    x, y = sum(x for x, _ in pairs), sum(y for _, y in pairs)
    return (y, x) if "components-swapped" in made else (x, y)


def length_of(x: float, y: float, made: frozenset[str]) -> float:
    if "squares-not-taken" in made:
        return math.sqrt(abs(x) + abs(y))
    if "negative-square-lost" in made:
        return math.sqrt(abs(x * x - y * y))
    return math.hypot(x, y)


def direction_of(x: float, y: float, problem: SampleProblem, made: frozenset[str], care: Care) -> tuple[float, bool]:
    """The direction of (x, y) and whether it is the calculator's display, copied."""
    ratio = care.ratio(abs(y / x))
    if "tangent-upside-down" in made:
        ratio = 1 / ratio
    reference = math.degrees(math.atan(ratio))
    if made & {"radian-mode", "radian-mode-at-the-end"}:
        reference = math.atan(ratio)
    if "gradian-mode" in made:
        reference = math.degrees(math.atan(ratio)) / 0.9
    if "calculator-angle-kept" in made:
        return math.copysign(reference, y / x), True
    if "reference-angle-only" in made:
        return reference, True
    angle = reference if (x > 0) == (y > 0) else -reference
    if x < 0:
        angle += 180
    if "wrong-quadrant" in made:  # below the line instead of above it, and the other way round
        angle = -angle
    if problem.reverse and "not-reversed" not in made:
        angle += 180
    if "reversed" in made:
        angle += 180
    if "answer-from-wrong-axis" in made:
        quarter = angle % 360 // 90 * 90
        angle = quarter + 90 - (angle % 360 - quarter)
    if "answer-letters-wrong" in made:  # S instead of N, N instead of S
        angle = -angle
    if "standard-angle-given-as-bearing" in made:
        angle = 90 - angle
    return angle, False


def components(problem: SampleProblem, made: frozenset[str], care: Care) -> Outcome:
    x, y = sums(problem, made, care)
    if problem.parts == ("x", "y"):
        return Outcome(x, y)
    angle, displayed = direction_of(x, y, problem, made, care)
    return Outcome(length_of(x, y, made), angle, displayed)


def work(
    label: str,
    made: frozenset[str] = frozenset(),
    care: Care = FULL_CARE,
    by: str | None = None,
    given_length: float | None = None,
) -> Outcome:
    """What a student who works this way gets on this problem, unrounded, by the method asked or by another one."""
    problem = PROBLEMS[label]
    if (by or problem.by) == "parallelogram":
        outcome = parallelogram(problem, made, care, given_length)
        if problem.reverse and outcome.second is not None:
            return Outcome(outcome.first, outcome.second + 180)
        return outcome
    return components(problem, made, care)


def check_right_answers(solve: Callable[[str], Outcome] = work) -> None:
    """ValueError unless each problem comes out as it did with pencil and calculator."""
    for label, expected in RIGHT_ANSWERS.items():
        outcome = solve(label)
        for value, known in zip((outcome.first, outcome.second), expected, strict=True):
            if value is None or abs(value % 360 - known % 360) > 6e-4:
                raise ValueError(f"problem {label}: {outcome} is not the {expected} worked by hand")
