"""The method of components: resolve, add, then Pythagoras and the inverse tangent."""

from __future__ import annotations

import numpy as np

from grader.methods.calculator import Calculator, Value
from grader.methods.problem import Problem
from grader.methods.steps import Method, Quantities, Rule, Step
from grader.methods.vectors import by_components, direction_steps, magnitude_steps, sub
from grader.notation.given import GivenVector
from grader.notation.units import Unit


def method(problem: Problem, vectors: tuple[GivenVector, ...], unit: Unit | None) -> Method:
    """Resultant, equilibrant, difference, components, or magnitude and direction, by components.

    The answers are ``magnitude`` and ``direction`` (degrees in standard position), or ``x`` and ``y``, in ``unit``.
    """
    start = by_components(vectors, unit)
    steps = list(start.steps)
    if len(vectors) == 1:
        x, y = "x1", "y1"
    else:
        signs = [1] + [-1 if problem.find == "difference" else 1] * (len(vectors) - 1)
        steps += [_sum("x", signs), _sum("y", signs)]
        x, y = "X", "Y"
    if problem.find == "equilibrant":
        steps += [
            Step("Xe", "reversal", "exact", _negative(x), f"equilibrant: x = −({{{x}}}) = {{Xe}}"),
            Step("Ye", "reversal", "exact", _negative(y), f"equilibrant: y = −({{{y}}}) = {{Ye}}"),
        ]
        x, y = "Xe", "Ye"
    if problem.answer_as == "components":
        return Method("components", start.data, tuple(steps), {"x": x, "y": y})
    steps += magnitude_steps(x, y, "R2", "R", "R")
    steps += direction_steps(x, y, "tan", "shown", "dir", "θ")
    steps.append(answer_form_step("dir"))
    return Method("components", start.data, tuple(steps), {"magnitude": "R", "direction": "answer"})


def answer_form_step(direction: str) -> Step:
    """The last step, writing the direction in the form asked: the place where mistakes with the answer's bearing live."""
    return Step("answer", "answer form", "exact angle", lambda q, _: q[direction])


def _sum(axis: str, signs: list[int]) -> Step:
    names = [f"{axis}{i}" for i in range(1, len(signs) + 1)]
    text = f"({{{names[0]}}})"
    for name, sign in zip(names[1:], signs[1:]):
        text += f" {'+' if sign > 0 else '−'} ({{{name}}})"
    total = axis.upper()

    def rule(q: Quantities, _: Calculator) -> Value:
        result: Value = np.asarray(0.0)
        for name, sign in zip(names, signs):
            result = result + sign * np.asarray(q[name])
        return result

    letters = " ".join(
        f"{'' if i == 0 else ('+ ' if sign > 0 else '− ')}{axis}{sub(i + 1)}" for i, sign in enumerate(signs)
    )
    return Step(total, f"{axis}-sum", "length", rule, f"{total} = {letters} = {text} = {{{total}}}", about=tuple(signs))


def _negative(name: str) -> Rule:
    return lambda q, _: 0.0 - np.asarray(q[name])
