"""Mistakes with triangles, and with wind and current."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from grader.methods.calculator import Calculator, Value
from grader.methods.problem import Problem
from grader.methods.steps import Method, Quantities, Rule, Step
from grader.methods.vectors import place_in_quadrant
from grader.mistakes.altering import Alteration, Mistake, at, names


def sines_upside_down(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The ratio of the law of sines the wrong way up, in every step or in one."""
    if problem.find != "triangle":
        return

    def for_angle(step: Step) -> Rule | None:
        if len(names(step)) != 2:
            return None
        side, known = names(step)
        sine = f"sin{known.upper()}for{side.upper()}"
        return lambda q, _: q[known] * np.asarray(q[sine]) / q[side]

    def for_side(step: Step) -> Rule | None:
        top, bottom, known = names(step)
        return lambda q, _: q[known] * np.asarray(q[bottom]) / q[top]

    angles = next(at(method, "law of sines", for_angle, each=False), None)
    sides = next(at(method, "side by sines", for_side, each=False), None)
    if angles is not None:
        yield angles
    if angles is not None and sides is not None:
        yield Alteration({**angles.rules, **sides.rules})
    yield from at(method, "side by sines", for_side)


def angles_sum_to_360(method: Method, problem: Problem) -> Iterator[Alteration]:
    """360° for 180° in the sum of the angles."""

    def rule_for(step: Step) -> Rule | None:
        first, second = names(step)
        return lambda q, _: 360.0 - q[first] - np.asarray(q[second])

    yield from at(method, "angle sum", rule_for)


def wind_added(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The craft steered along the track and the wind added to it: the drift found, not the heading that prevents it."""
    if problem.find != "heading":
        return

    def x(q: Quantities, c: Calculator) -> Value:
        return q["V"] * c.cos(q["tr"]) + q["w"] * c.cos(q["wd"])

    def y(q: Quantities, c: Calculator) -> Value:
        return q["V"] * c.sin(q["tr"]) + q["w"] * c.sin(q["wd"])

    length: Rule = lambda q, c: np.hypot(x(q, c), y(q, c))  # noqa: E731
    drift: Rule = lambda q, c: place_in_quadrant(  # noqa: E731
        c.atan(np.divide(y(q, c), np.add(x(q, c), 0.0))), x(q, c), y(q, c)
    )
    yield Alteration({"ground": length, "heading": drift})
    yield Alteration({"ground": length, "heading": lambda q, _: q["tr"]})
    if method.name == "parallelogram":
        yield Alteration({"ground": lambda q, _: np.add(q["V"], q["w"])})


def wind_direction_reversed(method: Method, problem: Problem) -> Iterator[Alteration]:
    """Blowing from taken as blowing toward, or the reverse."""
    yield from at(
        method, "flow direction", lambda step: lambda q, c: np.mod(np.asarray(step.rule(q, c)) + 180.0, 360.0)
    )


MISTAKES = (
    Mistake("sines-upside-down", sines_upside_down),
    Mistake("angles-sum-to-360", angles_sum_to_360),
    Mistake("wind-added", wind_added),
    Mistake("wind-direction-reversed", wind_direction_reversed),
)
