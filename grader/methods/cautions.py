"""What a teacher should know about a problem before it is set: numbers that make an unfair question, units that do not fit."""

from __future__ import annotations

import math
from collections.abc import Sequence

from grader.errors import ProblemError
from grader.methods.directions import number
from grader.methods.problem import Problem
from grader.methods.solution import PartKey
from grader.methods.vectors import in_unit
from grader.notation.given import GivenExpression, GivenHeading, GivenRamp, GivenTriangle, GivenVector, GivenVectors
from grader.notation.readings import Direction, Quantity
from grader.notation.units import Unit, find_unit

SMALL_SHARE = 0.05
"""A sum of vectors below this share of their lengths together is a difference of nearly equal numbers."""

_SUMS = ("resultant", "equilibrant", "difference")


def cautions(problem: Problem, keys: Sequence[PartKey] = (), unit: Unit | None = None) -> tuple[str, ...]:
    """Sentences for the key of a problem, whose parts are in ``unit``; none where there is nothing to say.

    Raises ProblemError where the number of the key would be wrong in the unit asked.
    """
    said = (
        _counted_from_east(problem),
        _nearly_cancelling(problem, keys, unit),
        _mass_for_force(problem),
        _product_unit(problem),
        _unit_of_no_use(problem),
    )
    return tuple(sentence for sentence in said if sentence)


def _counted_from_east(problem: Problem) -> str:
    """Bare angles where bearings may be meant: a heading is hardly ever counted from east, nor is a bearing asked for one."""
    directions: list[Direction] = []
    if isinstance(problem.given, GivenHeading) and problem.direction_as != "standard position":
        directions = [problem.given.flow_direction, problem.given.track]
    elif isinstance(problem.given, GivenVectors) and problem.direction_as == "true bearing":
        directions = [each.direction for each in problem.given.vectors if each.direction is not None]
    bare = [f"{number(each.written)}°" for each in directions if each.form == "plain angle"]
    if not bare:
        return ""
    are, they_are = ("is", "it is") if len(bare) == 1 else ("are", "they are")
    return (
        f"Nothing in the column Given says how {' and '.join(bare)} {are} counted, so {they_are} "
        f"taken counterclockwise from east. Where a bearing is meant, write bearing {bare[0]}."
    )


def _nearly_cancelling(problem: Problem, keys: Sequence[PartKey], unit: Unit | None) -> str:
    found = {key.part: key for key in keys}
    if problem.find not in _SUMS or not isinstance(problem.given, GivenVectors) or "direction" not in found:
        return ""
    length = found["magnitude"]
    summed = sum(_length(each, unit) for each in problem.given.vectors)
    if length.value >= SMALL_SHARE * summed:
        return ""
    together = f"{number(float(f'{summed:.3g}'))}{f' {unit.symbol}' if unit is not None else ''}"
    return (
        f"The {problem.find}, {length.shown}, is small beside the vectors, {together} long together: it is a difference of "
        "nearly equal numbers, whose direction a little rounding on the way turns far. Other numbers make a fairer question."
    )


def _length(vector: GivenVector, unit: Unit | None) -> float:
    if vector.magnitude is not None:
        return in_unit(vector.magnitude, unit)
    assert vector.x is not None
    assert vector.y is not None
    return math.hypot(in_unit(vector.x, unit), in_unit(vector.y, unit))


def _quantities(problem: Problem) -> list[Quantity]:
    given = problem.given
    if isinstance(given, GivenVectors):
        return [q for each in given.vectors if (q := each.magnitude or each.x) is not None]
    if isinstance(given, GivenRamp):
        return [given.weight]
    return []


def _mass_for_force(problem: Problem) -> str:
    """Kilograms beside newtons: the key then takes a kilogram for the weight of one, which may not be what was meant."""
    units = [each.unit for each in _quantities(problem) if each.unit is not None]
    if problem.unit is None or problem.find == "dot product":
        return ""
    masses = [each for each in (problem.unit, *units) if each.dimension == "mass"]
    forces = [each for each in (problem.unit, *units) if each.dimension == "force"]
    if not masses or not forces:
        return ""
    return (
        f"{masses[0].symbol} is a unit of mass and {forces[0].symbol} one of force: the key takes 1 kg for the weight of it, "
        "9.80665 N. Write one unit of force throughout where that is not meant."
    )


def _product_unit(problem: Problem) -> str:
    """The unit of a dot product is the product of the units given; the numbers are not converted to another."""
    if problem.find != "dot product" or problem.unit is None:
        return ""
    units = [each.unit for each in _quantities(problem)]
    first, second = units if len(units) == 2 else (None, None)
    if first is None or second is None:
        return ""
    # Two vectors of one kind are brought to the first one's unit.
    made = _times(first, first if first.dimension == second.dimension else second)
    if made is None:
        return ""
    asked = problem.unit
    if asked.dimension != made.dimension:
        return (
            f"The column Unit has {asked.symbol}, which measures {asked.dimension}; {first.symbol} times {second.symbol} is "
            f"{_known(made)}."
        )
    if not math.isclose(asked.factor, made.factor, rel_tol=1e-9):
        raise ProblemError(
            f"Problem {problem.label}: {first.symbol} times {second.symbol} is {_known(made)} and not {asked.symbol}, and a dot "
            f"product is not converted; write {made.symbol} in the column Unit, or the data in other units."
        )
    return ""


def _times(first: Unit, second: Unit) -> Unit | None:
    return find_unit(f"{first.symbol}·{second.symbol}") or find_unit(f"{second.symbol}·{first.symbol}")


def _known(made: Unit) -> str:
    """A unit with the name that it goes by: newtons times metres are joules."""
    joule = find_unit("J")
    same = joule is not None and made.dimension == joule.dimension and math.isclose(made.factor, joule.factor)
    return "J (N·m)" if same else made.symbol


def _unit_of_no_use(problem: Problem) -> str:
    if problem.unit is None or isinstance(problem.given, (GivenTriangle, GivenExpression)):
        return ""
    if problem.find == "unit vector":
        return f"A unit vector has no unit; leave the column Unit blank, where {problem.unit.symbol} stands."
    if problem.find == "angle between" and problem.unit.symbol not in ("deg", "°"):
        return f"The answer is an angle, in degrees; leave the column Unit blank, where {problem.unit.symbol} stands."
    return ""
