"""Solve a problem by every method that applies, and make its key."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from grader.errors import GraderError, ProblemError
from grader.methods import components, courses, parallelogram, products, triangles
from grader.methods.board import working
from grader.methods.cautions import cautions
from grader.methods.problem import TRIANGLE_PARTS, Problem, Rounding
from grader.methods.solution import PartKey, Solution
from grader.methods.steps import Method, difference, run, spread_of, values_of
from grader.methods.vectors import by_picture
from grader.notation.given import (
    Given,
    GivenExpression,
    GivenHeading,
    GivenRamp,
    GivenTriangle,
    GivenVector,
    GivenVectors,
)
from grader.notation.units import Unit, find_unit
from grader.notation.write import write_direction, write_exact, write_number, write_quantity

AGREEMENT = 1e-9
"""How closely the methods must agree, relative to the size of the numbers."""


@dataclass(frozen=True)
class Solved:
    """A problem with its methods (the asked one first) and its key.

    ``second`` is the method of a second triangle. ``orders`` are other orders in which the first of the methods can be worked,
    ``second_orders`` those of the second triangle's: a student may take any of them. ``pictured`` are methods with bearings
    resolved by their own angles: the same numbers, except on a calculator that is not in degrees.
    """

    problem: Problem
    methods: tuple[Method, ...]
    solution: Solution
    unit: Unit | None = None
    second: Method | None = None
    orders: tuple[Method, ...] = ()
    second_orders: tuple[Method, ...] = ()
    pictured: tuple[Method, ...] = ()

    @property
    def every_way(self) -> tuple[Method, ...]:
        """All ways to the (first) answer: the methods, then the other orders."""
        return (*self.methods, *self.orders)

    @property
    def every_second_way(self) -> tuple[Method, ...]:
        """All ways to the second triangle; none where there is only one."""
        return (self.second, *self.second_orders) if self.second is not None else ()


def solve_problem(problem: Problem, carried_decimals: int = 4) -> Solved:
    """The key of one problem.

    Raises ProblemError, with a sentence for the teacher, where the problem has no answer of the kind asked, and
    GraderError if two methods disagree (which would be a fault of this program).
    """
    unit = unit_of(problem)
    given = problem.given
    if isinstance(given, GivenTriangle):
        return _solve_triangle(problem, given, unit, carried_decimals)
    if isinstance(given, GivenHeading):
        reason = courses.why_not(given, unit)
        if reason:
            return _without_answer(problem, reason, unit)
    methods = _in_asked_order(problem, _methods(problem, unit))
    _check_agreement(problem, methods)
    keys = _keys(problem, methods, unit, carried_decimals)
    workings = tuple(working(method, carried_decimals, problem.method in ("either", method.name)) for method in methods)
    pictured = tuple(found for method in methods if (found := by_picture(method)) is not None)
    solution = Solution(problem, keys, workings, warnings=cautions(problem, keys, unit))
    return Solved(problem, methods, solution, unit, orders=_orders(given, unit), pictured=pictured)


def _orders(given: Given, unit: Unit | None) -> tuple[Method, ...]:
    """Other orders in which a student may work the problem, beside its methods."""
    if isinstance(given, GivenHeading) and (by_axes := courses.by_axes(given, unit)) is not None:
        return (by_axes,)
    return ()


def _without_answer(problem: Problem, reason: str, unit: Unit | None) -> Solved:
    """The key of a problem whose right answer is that there is none: one part, which no number answers."""
    key = PartKey("value", math.nan, 1.0, 0.0, reason.partition(":")[0], sum(problem.points))
    return Solved(problem, (), Solution(problem, (key,), none=reason, warnings=cautions(problem)), unit)


def unit_of(problem: Problem) -> Unit | None:
    """The unit of the answer: the one asked, or else the first one given."""
    given = problem.given
    if problem.unit is not None:
        return problem.unit
    if problem.find in ("unit vector", "angle between", "dot product", "expression"):
        return None
    if isinstance(given, GivenVectors):
        quantities = [v.magnitude or v.x for v in given.vectors]
    elif isinstance(given, GivenHeading):
        quantities = [given.speed]
    elif isinstance(given, GivenRamp):
        quantities = [given.weight]
    elif isinstance(given, GivenTriangle):
        quantities = [q for part, q in given.parts.items() if part.islower()]
    else:
        quantities = []
    return next((q.unit for q in quantities if q is not None and q.unit is not None), None)


def _methods(problem: Problem, unit: Unit | None) -> tuple[Method, ...]:
    given = problem.given
    if isinstance(given, GivenHeading):
        return courses.by_wind_triangle(given, unit), courses.by_components(given, unit)
    if isinstance(given, GivenRamp):
        return (products.ramp(given, unit),)
    if isinstance(given, GivenExpression):
        return (products.expression(given, problem.formula),)
    assert isinstance(given, GivenVectors)
    vectors = given.vectors
    _check_vectors(problem, vectors)
    by: tuple[Method, ...]
    match problem.find:
        case "angle between":
            by = products.angle_by_dot_product(vectors, None), products.angle_by_directions(vectors, None)
        case "dot product":
            common = _common_unit(vectors) if _of_one_kind(vectors) else None
            by = products.dot_by_components(vectors, common), products.dot_by_lengths(vectors, common)
        case "unit vector":
            by = (products.unit_vector(vectors, _common_unit(vectors)),)
        case "components" | "magnitude and direction":
            by = (components.method(problem, vectors, unit),)
        case _:
            by_components = components.method(problem, vectors, unit)
            _check_resultant(problem, by_components)
            by = (by_components,)
            chained = parallelogram.method(problem, vectors, unit)
            # Where a partial sum vanishes the chain of triangles has no next triangle.
            if all(math.isfinite(value) for value in values_of(chained).values()):
                by = (by_components, chained)
    return by


def _of_one_kind(vectors: tuple[GivenVector, ...]) -> bool:
    """Whether the vectors are of one kind: a force along a way is a dot product of two kinds, the work."""
    quantities = (v.magnitude or v.x for v in vectors)
    return len({q.unit.dimension for q in quantities if q is not None and q.unit is not None}) <= 1


def _common_unit(vectors: tuple[GivenVector, ...]) -> Unit | None:
    quantities = (v.magnitude or v.x for v in vectors)
    return next((q.unit for q in quantities if q is not None and q.unit is not None), None)


_COUNTS = {"components": 1, "magnitude and direction": 1, "unit vector": 1, "angle between": 2, "dot product": 2}


def _check_vectors(problem: Problem, vectors: tuple[GivenVector, ...]) -> None:
    wanted = _COUNTS.get(problem.find)
    count = f"{len(vectors)} vector{'' if len(vectors) == 1 else 's'}"
    if wanted is not None and len(vectors) != wanted:
        raise ProblemError(
            f"Problem {problem.label}: “{problem.find}” needs {wanted} vector{'s' * (wanted > 1)}; found {count}."
        )
    if wanted is None and len(vectors) < 2:
        raise ProblemError(f"Problem {problem.label}: “{problem.find}” needs at least two vectors; found {count}.")
    for index, vector in enumerate(vectors, start=1):
        if vector.magnitude is not None and vector.magnitude.number.value < 0:
            raise ProblemError(
                f"Problem {problem.label}: vector {index} (“{vector.text}”) has a negative length; "
                "turn its direction round instead."
            )
        zero = (
            vector.magnitude.number.value == 0
            if vector.magnitude is not None
            else vector.x is not None and vector.y is not None and vector.x.number.value == 0 == vector.y.number.value
        )
        if zero:
            raise ProblemError(
                f"Problem {problem.label}: vector {index} (“{vector.text}”) has no length, so it has no direction."
            )
    by_direction = vectors[0].direction is not None
    if problem.find == "components" and not by_direction:
        raise ProblemError(
            f"Problem {problem.label}: the vector is already given by components; give a length and a direction."
        )
    if problem.find == "magnitude and direction" and by_direction:
        raise ProblemError(
            f"Problem {problem.label}: the vector is already given by magnitude and direction; give components or two points."
        )


def _check_resultant(problem: Problem, method: Method) -> None:
    result = run(method).quantities
    scale = _scale(method)
    if math.hypot(float(result["X"]), float(result["Y"])) <= 1e-9 * scale:
        raise ProblemError(
            f"Problem {problem.label}: the vectors cancel, so the {problem.find} is zero and has no direction; "
            "change one of the numbers."
        )


def _scale(method: Method) -> float:
    """The size of the numbers that go into the sums of a method by components."""
    result = run(method).quantities
    return max((abs(float(result[name])) for name in result if name[0] in "xy" and name[1:].isdigit()), default=0.0)


def _in_asked_order(problem: Problem, methods: tuple[Method, ...]) -> tuple[Method, ...]:
    return tuple(sorted(methods, key=lambda method: method.name != problem.method))


def _check_agreement(problem: Problem, methods: tuple[Method, ...]) -> None:
    first = values_of(methods[0])
    for part, value in first.items():
        if not math.isfinite(value):
            raise ProblemError(f"Problem {problem.label}: the data give no value for the {part}; check the numbers.")
    summed = max(map(_scale, methods))
    length = abs(first.get("magnitude", 0.0)) or math.hypot(first.get("x", 0.0), first.get("y", 0.0))
    # Vectors that all but cancel leave a remainder with few sound digits in binary.
    cancelled = max(1.0, summed / length) ** 2 if length else 1.0
    for method in methods[1:]:
        for part, value in values_of(method).items():
            scale = max(1.0, *(abs(v) for v in first.values())) if part in "xy" else max(1.0, abs(first[part]))
            # Not "apart > limit": a nan must stop the program too.
            if not abs(float(difference(part, value, first[part]))) <= AGREEMENT * scale * cancelled:
                raise GraderError(
                    f"Problem {problem.label}: the methods disagree on the {part} ({methods[0].name}: {first[part]!r}, "
                    f"{method.name}: {value!r}). This is a fault in the program; please report it with the problem."
                )


def _keys(problem: Problem, methods: tuple[Method, ...], unit: Unit | None, decimals: int) -> tuple[PartKey, ...]:
    values = values_of(methods[0])
    # 359.9999999999999 is what binary fractions make of due east.
    if "direction" in values and abs(values["direction"] - 360.0) < 1e-9:
        values["direction"] = 0.0
    places = {part: place_of(problem, part, value) for part, value in values.items()}
    asked = {p: places[p] for p in places if _rounding(problem, p).kind != "exact"}
    spreads = [spread_of(method, decimals, asked) for method in given_room(problem, methods)]
    points = problem.points_of_parts(len(values))
    keys = []
    for (part, value), share in zip(values.items(), points):
        angular = is_angular(problem, part)
        allowance = problem.allow.for_direction() if angular else problem.allow.for_magnitude(value)
        spread = max(s[part] for s in spreads) + allowance
        shown = show(problem, part, value, places[part], unit)
        keys.append(PartKey(part, value, places[part], spread, shown, share, circular=part == "direction"))
    return tuple(keys)


def given_room(problem: Problem, methods: tuple[Method, ...]) -> tuple[Method, ...]:
    """The methods whose honest working gets room: nobody chains triangles for three vectors unless it is asked."""
    given = problem.given
    if isinstance(given, GivenVectors) and len(given.vectors) > 2 and problem.method != "parallelogram":
        return tuple(method for method in methods if method.name == "components")
    return methods


def is_angular(problem: Problem, part: str) -> bool:
    """Whether a part is an angle, so that ``Direction to`` and the allowance in degrees apply to it."""
    return part in ("direction", "A", "B", "C") or (part == "value" and problem.find == "angle between")


def _rounding(problem: Problem, part: str) -> Rounding:
    return problem.direction_to if is_angular(problem, part) else problem.magnitude_to


def place_of(problem: Problem, part: str, value: float) -> float:
    """The decimal place asked for a part with this value."""
    return _rounding(problem, part).place_for(value)


def show(problem: Problem, part: str, value: float, place: float, unit: Unit | None) -> str:
    """A value as the key prints it: to the place asked, in the form and unit asked, or exactly where that was asked."""
    exact = _rounding(problem, part).kind == "exact"
    if part == "direction":
        form = "standard position" if problem.direction_as == "any" else problem.direction_as
        return write_direction(value, form, place)
    if is_angular(problem, part):
        return write_quantity(value, place, find_unit("deg"))
    text = (write_exact(value) if exact else None) or write_number(value, place)
    return f"{text} {unit.symbol}" if unit is not None else text


def _solve_triangle(problem: Problem, given: GivenTriangle, unit: Unit | None, decimals: int) -> Solved:
    try:
        found = triangles.methods(given, unit)
    except ProblemError as error:
        raise ProblemError(f"Problem {problem.label}: {error}") from error
    if found.none:
        return _without_answer(problem, found.none, unit)
    for method in (*found.methods, *(order for orders in found.orders for order in orders)):
        _check_triangle(problem, method)
    ways = [(method, *orders) for method, orders in zip(found.methods, found.orders)]
    keys = _keys(problem, _steady(ways[0]), unit, decimals)
    first, *more = found.methods
    second = more[0] if more else None
    if second is not None:
        values = values_of(second)
        others = _keys(problem, _steady(ways[1]), unit, decimals)
        keys = tuple(
            replace(key, others=(values[key.part],), spread=max(key.spread, other.spread), shown=f"{key.shown} or {other.shown}")
            for key, other in zip(keys, others)
        )  # fmt: skip
    workings = tuple(working(method, decimals, True) for method in found.methods)
    return Solved(
        problem,
        (first,),
        Solution(problem, keys, workings),
        unit,
        second,
        found.orders[0],
        found.orders[1] if second is not None else (),
    )


def _steady(ways: tuple[Method, ...]) -> tuple[Method, ...]:
    """The first way, and the other orders that no rounding can lead astray.

    Near 90° a last digit of the sine is half a degree of the angle. Who takes the law of sines there, where another way is
    open, has not worked as carefully as the answer asks; the room for honest working does not stretch to it.
    """

    def steady(method: Method) -> bool:
        quantities = run(method).quantities
        return all(abs(math.tan(math.radians(float(quantities[s.name])))) <= 2 for s in method.steps_of("inverse sine"))

    return (ways[0], *(method for method in ways[1:] if steady(method)))


def _check_triangle(problem: Problem, method: Method) -> None:
    """A second look at the triangle: the angles make 180° and each side obeys the law of cosines."""
    q = {name: float(value) for name, value in run(method).quantities.items() if name in TRIANGLE_PARTS}
    sides, angles = [q[s] for s in "abc"], [q[a] for a in "ABC"]
    gaps = [abs(sum(angles) - 180.0) / 180.0]
    for i in range(3):
        p, r = sides[i - 1], sides[i - 2]
        expected = p * p + r * r - 2 * p * r * math.cos(math.radians(angles[i]))
        gaps.append(abs(sides[i] ** 2 - expected) / max(p * p, r * r, sides[i] ** 2))
    if not max(gaps) <= AGREEMENT:
        raise GraderError(
            f"Problem {problem.label}: the laws of sines and cosines disagree on this triangle. "
            "This is a fault in the program; please report it with the problem."
        )
