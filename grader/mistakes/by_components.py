"""Mistakes with components, the inverse tangent, and the calculator's angle mode."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from grader.methods.calculator import Calculator, Value
from grader.methods.problem import Problem
from grader.methods.steps import Method, Quantities, Rule, Step
from grader.methods.vectors import constant
from grader.mistakes.altering import Alteration, Mistake, at, names, reported, swapped


def sine_cosine_swapped(method: Method, problem: Problem) -> Iterator[Alteration]:
    """x = r sin θ, y = r cos θ: for every vector, or for one of them."""
    indexes = [step.index for step in method.steps_of("cosine")]
    everywhere = swapped(method, "cosine", "sine")
    if everywhere is not None:
        yield everywhere
    if len(indexes) > 1:
        for index in indexes:
            one = swapped(method, "cosine", "sine", [index])
            if one is not None:
                yield one
    if problem.find == "heading":
        across_for_along = swapped(method, "cosine of triangle angle", "sine of triangle angle")
        if across_for_along is not None:
            yield across_for_along
    yield from at(
        method, "cosine of the angle", lambda step: lambda q, c: c.sin(q["phi"]) if "phi" in q else step.rule(q, c)
    )


def radian_mode(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The calculator in radians throughout."""
    yield from _keyed(method, Calculator("rad", "rad"))


def radian_mode_at_the_end(method: Method, problem: Problem) -> Iterator[Alteration]:
    """Only the inverse function in radians: as placed with 180, as displayed, without its sign, or placed with π."""
    yield from _keyed_at_the_end(method, Calculator("deg", "rad"), half_turn=np.pi)


def gradian_mode(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The calculator in gradians: throughout, or for the inverse function alone."""
    yield from _keyed(method, Calculator("grad", "grad"))
    yield from _keyed_at_the_end(method, Calculator("deg", "grad"), half_turn=200.0)


def _keyed(method: Method, calculator: Calculator) -> Iterator[Alteration]:
    """Everything keyed in another mode: with the result's angle placed as usual, or kept as displayed, with its sign or
    without."""
    quadrant = _final(method, "quadrant")
    placed: list[dict[str, Rule]] = [{}]
    if quadrant is not None:
        shown = str(quadrant.about)
        placed += [
            {quadrant.name: lambda q, _: np.mod(q[shown], 360.0)},
            {quadrant.name: lambda q, _: np.abs(q[shown])},
        ]
    as_shown = {
        step.name: _as_shown(ratio) for step in method.steps_of("inverse sine") if (ratio := _ratio_of(method, step))
    }
    if as_shown:
        # Nobody looks for the obtuse angle behind a display of 0.49: the inverse sine is taken as shown.
        placed.append(as_shown)
    for rules in placed:
        yield Alteration(rules, calculator=calculator)


def _keyed_at_the_end(method: Method, late: Calculator, half_turn: float) -> Iterator[Alteration]:
    """Only the inverse function in another mode: placed with 180, as displayed, without its sign, or placed with the
    half turn of that mode."""
    yield Alteration(calculator=late)
    quadrant, tangent = _final(method, "quadrant"), _final(method, "tangent")
    if quadrant is None or tangent is None:
        return
    shown, (x, _) = str(quadrant.about), names(tangent)
    others: tuple[Rule, ...] = (
        lambda q, _: np.mod(q[shown], 360.0),
        lambda q, _: np.abs(q[shown]),
        lambda q, _: np.mod(np.where(np.less(q[x], 0), q[shown] + half_turn, q[shown]), 2 * half_turn),
    )
    for rule in others:
        yield Alteration({quadrant.name: rule}, calculator=late)


def _ratio_of(method: Method, step: Step) -> str:
    """The name of the ratio whose inverse sine a step takes, in the parallelogram or in a triangle."""
    steps = {other.name for other in method.steps}
    return next((name for name in (f"sint_{step.index}", f"sin{step.name}") if name in steps), "")


def _as_shown(ratio: str) -> Rule:
    return lambda q, c: c.asin(q[ratio])


def _final(method: Method, role: str) -> Step | None:
    """The step of this role that works on the result, not on a given vector."""
    return next((step for step in method.steps_of(role) if step.index == 0), None)


_COMPONENTS = ("x-component", "y-component", "given x", "given y")


def _component_steps(method: Method) -> list[Step]:
    return [step for step in method.steps if step.role in _COMPONENTS]


def _sum_steps(method: Method) -> list[Step]:
    return [step for step in method.steps if step.role in ("x-sum", "y-sum")]


def _positive(step: Step) -> Rule:
    return lambda q, c: np.abs(step.rule(q, c))


def signs_dropped(method: Method, problem: Problem) -> Iterator[Alteration]:
    """All components taken positive: those of the vectors, or those of the result."""
    for steps in (_component_steps(method), _sum_steps(method)):
        if len(steps) > 1:
            yield Alteration({step.name: _positive(step) for step in steps})


def one_sign_lost(method: Method, problem: Problem) -> Iterator[Alteration]:
    """One component taken positive."""
    for step in (*_component_steps(method), *_sum_steps(method)):
        yield Alteration({step.name: _positive(step)})


def calculator_angle_kept(method: Method, problem: Problem) -> Iterator[Alteration]:
    """tan⁻¹(y/x) as displayed, negative or in the wrong half-plane."""
    yield from _placed(method, lambda shown: np.mod(shown, 360.0))


def reference_angle_only(method: Method, problem: Problem) -> Iterator[Alteration]:
    """|tan⁻¹(y/x)|."""
    yield from _placed(method, np.abs)


def wrong_quadrant(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The reference angle placed in another quadrant (the right one is among the four, and drops out as no mistake)."""
    yield from _placed(method, np.abs)
    yield from _placed(method, lambda shown: 180.0 - np.abs(shown))
    yield from _placed(method, lambda shown: 180.0 + np.abs(shown))
    yield from _placed(method, lambda shown: np.mod(-np.abs(shown), 360.0))


def _placed(method: Method, place: Callable[[Value], Value]) -> Iterator[Alteration]:
    step = _final(method, "quadrant")
    if step is not None:
        shown = str(step.about)
        yield Alteration({step.name: lambda q, _: place(q[shown])})


def tangent_upside_down(method: Method, problem: Problem) -> Iterator[Alteration]:
    """tan⁻¹(x/y), placed by the signs as usual or kept as displayed."""
    step, quadrant = _final(method, "tangent"), _final(method, "quadrant")
    if step is None or quadrant is None:
        return
    x, y = names(step)
    upside_down: dict[str, Rule] = {step.name: lambda q, _: np.divide(q[x], q[y])}
    shown = str(quadrant.about)
    yield Alteration(upside_down)
    yield Alteration({**upside_down, quadrant.name: lambda q, _: np.mod(q[shown], 360.0)})
    yield Alteration({**upside_down, quadrant.name: lambda q, _: np.abs(q[shown])})


def components_swapped(method: Method, problem: Problem) -> Iterator[Alteration]:
    """x and y exchanged."""
    exchanged = swapped(method, "x-sum", "y-sum")
    if exchanged is None and len(method.steps_of("given x")) == 1:
        exchanged = swapped(method, "given x", "given y")
    if exchanged is not None:
        yield exchanged
    if {"x", "y"} <= set(method.answers):
        x, y = method.answers["x"], method.answers["y"]
        yield reported(x=lambda q, _: q[y], y=lambda q, _: q[x])


def squares_not_taken(method: Method, problem: Problem) -> Iterator[Alteration]:
    """√(|x| + |y|) or |x| + |y|."""

    def total(step: Step) -> Rule:
        x, y = names(step)
        return lambda q, _: np.abs(q[x]) + np.abs(q[y])

    steps = _lengths_sought(method, problem)
    if steps:
        yield Alteration({step.name: total(step) for step in steps})
    if "magnitude" in method.answers and steps:
        yield reported(magnitude=total(steps[0]))
    elif steps:
        roots = {step.index: step.name for step in method.steps_of("length")}
        yield Alteration({roots[step.index]: total(step) for step in steps if step.index in roots})


def negative_square_lost(method: Method, problem: Problem) -> Iterator[Alteration]:
    """√|x² − y²|: −7.6² keyed without brackets."""

    def signed(step: Step) -> Rule:
        x, y = names(step)
        return lambda q, _: np.abs(np.asarray(q[x]) * np.abs(q[x]) + np.asarray(q[y]) * np.abs(q[y]))

    steps = _lengths_sought(method, problem)
    if steps:
        yield Alteration({step.name: signed(step) for step in steps})


def _lengths_sought(method: Method, problem: Problem) -> list[Step]:
    """The steps x² + y² on the way to the answer: of the result, or of the vectors whose lengths the problem needs."""
    own = problem.find in ("unit vector", "angle between")
    return [step for step in method.steps_of("sum of squares") if own or step.index == 0]


def one_vector_left_out(method: Method, problem: Problem) -> Iterator[Alteration]:
    """A vector missing from the sums."""
    sums = _sum_steps(method)
    count = len(names(sums[0])) if sums else 0
    for index in range(1, count + 1):
        gone: dict[str, Rule] = {
            step.name: lambda q, _: 0.0 for step in _component_steps(method) if step.index == index
        }
        yield Alteration(gone)


def subtracted_not_added(method: Method, problem: Problem) -> Iterator[Alteration]:
    """Difference for sum: every vector after the first, or one of them, taken away."""
    sums = _sum_steps(method)
    if sums and problem.find in ("resultant", "equilibrant"):
        count = len(names(sums[0]))
        yield _resigned(method, [1] + [-1] * (count - 1))
        if count > 2:
            for index in range(1, count):
                yield _resigned(method, [-1 if i == index else 1 for i in range(count)])
    turned = _turned_round(method) if problem.find in ("resultant", "equilibrant") else {}
    if turned:
        yield Alteration(turned)
    if problem.find == "dot product" and "x1" in {step.name for step in method.steps}:
        yield reported(value=lambda q, _: q["x1"] * np.asarray(q["x2"]) - q["y1"] * np.asarray(q["y2"]))


def _turned_round(method: Method) -> dict[str, Rule]:
    """By the parallelogram: the directions of all vectors after the first, turned round."""
    later = [step for step in method.steps if step.index > 1 and step.role in ("standard direction", "quadrant")]
    return {step.name: _opposite(step) for step in later if method.name == "parallelogram"}


def _opposite(step: Step) -> Rule:
    return lambda q, c: np.mod(np.asarray(step.rule(q, c)) + 180.0, 360.0)


def added_not_subtracted(method: Method, problem: Problem) -> Iterator[Alteration]:
    """Sum for difference."""
    sums = _sum_steps(method)
    if sums and problem.find == "difference":
        yield _resigned(method, [1] * len(names(sums[0])))
    yield from at(method, "reversal of subtracted", _opposite, each=False)


def _resigned(method: Method, signs: list[int]) -> Alteration:
    return Alteration({step.name: _signed_sum(step.role[0], signs) for step in _sum_steps(method)})


def _signed_sum(axis: str, signs: list[int]) -> Rule:
    return lambda q, _: np.sum([sign * np.asarray(q[f"{axis}{i}"]) for i, sign in enumerate(signs, start=1)], axis=0)


def not_reversed(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The resultant where its equilibrant was asked."""
    if problem.find == "equilibrant":
        yield from at(method, "reversal", lambda step: lambda q, c: _back(step, q, c), each=False)


def _back(step: Step, q: Quantities, c: Calculator) -> Value:
    reversed_value = np.asarray(step.rule(q, c))
    return np.mod(reversed_value + 180.0, 360.0) if step.kind == "exact angle" else -reversed_value


def reversed_direction(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The opposite direction."""
    answers = method.answers
    if "direction" in answers:
        yield reported(direction=lambda q, _: np.mod(np.asarray(q[answers["direction"]]) + 180.0, 360.0))
    elif {"x", "y"} <= set(answers) and problem.find != "ramp":
        yield reported(x=lambda q, _: -np.asarray(q[answers["x"]]), y=lambda q, _: -np.asarray(q[answers["y"]]))


def unit_not_converted(method: Method, problem: Problem) -> Iterator[Alteration]:
    """A number given in one unit used as if it were in another."""
    for step in method.steps_of("unit conversion"):
        if isinstance(step.about, float):
            yield Alteration({step.name: constant(step.about)})


MISTAKES = (
    Mistake("sine-cosine-swapped", sine_cosine_swapped),
    Mistake("radian-mode", radian_mode),
    Mistake("radian-mode-at-the-end", radian_mode_at_the_end),
    Mistake("gradian-mode", gradian_mode),
    Mistake("signs-dropped", signs_dropped),
    Mistake("one-sign-lost", one_sign_lost),
    Mistake("calculator-angle-kept", calculator_angle_kept),
    Mistake("reference-angle-only", reference_angle_only),
    Mistake("wrong-quadrant", wrong_quadrant),
    Mistake("tangent-upside-down", tangent_upside_down),
    Mistake("components-swapped", components_swapped),
    Mistake("squares-not-taken", squares_not_taken),
    Mistake("negative-square-lost", negative_square_lost),
    Mistake("one-vector-left-out", one_vector_left_out),
    Mistake("subtracted-not-added", subtracted_not_added),
    Mistake("added-not-subtracted", added_not_subtracted),
    Mistake("not-reversed", not_reversed),
    Mistake("reversed", reversed_direction),
    Mistake("unit-not-converted", unit_not_converted),
)
