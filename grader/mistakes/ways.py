"""Every way to make every mistake of the catalogue on a method."""

from __future__ import annotations

from collections.abc import Collection

from grader.methods.problem import Problem
from grader.methods.steps import Method, Rule, run
from grader.mistakes.altering import Alteration
from grader.mistakes.catalogue import IN_THE_WORKING


def alterations_of(
    method: Method, problem: Problem, switched_off: Collection[str] = ()
) -> list[tuple[str, Alteration]]:
    """Every way to make every mistake of the catalogue on this method, as (id, alteration)."""
    ways = [
        (mistake.id, way)
        for mistake in IN_THE_WORKING
        if mistake.id not in switched_off
        for way in mistake.ways(method, problem)
    ]
    drawn = _as_drawn(method)
    return [*ways, *((id_, both) for id_, way in ways if drawn and (both := way.with_(drawn)) is not None)]


def _as_drawn(method: Method) -> Alteration | None:
    """The angle at the tail taken as acute or obtuse as the right drawing shows it, whatever a wrong length says."""
    if method.name != "parallelogram" or not method.steps_of("lay off"):
        return None
    right = run(method).quantities
    rules: dict[str, Rule] = {}
    for step in method.steps_of("inverse sine"):
        rules[step.name] = _inverse_sine(f"sint_{step.index}", obtuse=float(right[step.name]) > 90.0)
    return Alteration(rules)


def _inverse_sine(ratio: str, *, obtuse: bool) -> Rule:
    return lambda q, c: 180.0 - c.asin(q[ratio]) if obtuse else c.asin(q[ratio])
