"""The parallelogram: law of cosines for the length, law of sines for the angle; chained for more than two vectors."""

from __future__ import annotations

import numpy as np

from grader.methods.calculator import Calculator, Value
from grader.methods.components import answer_form_step
from grader.methods.problem import Problem
from grader.methods.steps import Method, Quantities, Step
from grader.methods.vectors import by_length_and_direction, sub
from grader.notation.given import GivenVector
from grader.notation.units import Unit


def method(problem: Problem, vectors: tuple[GivenVector, ...], unit: Unit | None) -> Method:
    """Resultant, equilibrant or difference of two or more vectors by the parallelogram.

    The answers are ``magnitude`` and ``direction`` (degrees in standard position), or ``x`` and ``y``, in ``unit``.
    """
    start = by_length_and_direction(vectors, unit)
    steps = list(start.steps)
    length, direction = "r1", "d1"
    for index in range(2, len(vectors) + 1):
        second = f"d{index}"
        if problem.find == "difference":
            steps.append(_reversed(f"d{index}", f"e{index}", f"−v{sub(index)} points the opposite way", index))
            second = f"e{index}"
        steps += stage(index, length, direction, f"r{index}", second, last=index == len(vectors))
        length, direction = f"R_{index}", f"dir_{index}"
    if problem.find == "equilibrant":
        steps.append(_reversed(direction, "opposite", "the equilibrant points the opposite way"))
        direction = "opposite"
    if problem.answer_as == "components":
        steps += [
            Step("rx", "x of result", "length", lambda q, c: q[length] * c.cos(q[direction]),
                 f"x = {{{length}}} · cos {{{direction}}} = {{rx}}"),
            Step("ry", "y of result", "length", lambda q, c: q[length] * c.sin(q[direction]),
                 f"y = {{{length}}} · sin {{{direction}}} = {{ry}}"),
        ]  # fmt: skip
        return Method("parallelogram", start.data, tuple(steps), {"x": "rx", "y": "ry"})
    steps.append(answer_form_step(direction))
    return Method("parallelogram", start.data, tuple(steps), {"magnitude": length, "direction": "answer"})


_NOISE = 1e-12
"""Squares that differ by less, relatively, are equal but for binary noise."""


def stage(index: int, a: str, alpha: str, b: str, beta: str, *, last: bool) -> list[Step]:
    """The steps that add vector b∠β to a∠α: the names given are quantities; yields ``R_index`` and ``dir_index``.

    The triangle has the sides a and b, with 180° − φ between them; the resultant R lies opposite. θ is the angle at the
    tail between a and R.
    """
    phi, gamma, cosine, square, length = (f"{n}_{index}" for n in ("phi", "gamma", "cosg", "R2", "R"))
    sine, ratio, theta, turn, direction = (f"{n}_{index}" for n in ("sing", "sint", "theta", "turn", "dir"))
    r = "R" if last else f"R{sub(index)}"
    about = (a, alpha, b, beta)

    def angle_between(q: Quantities, _: Calculator) -> Value:
        return np.abs(np.mod(np.subtract(q[beta], q[alpha]) + 180.0, 360.0) - 180.0)

    def turning(q: Quantities, _: Calculator) -> Value:
        signed = np.mod(np.subtract(q[beta], q[alpha]) + 180.0, 360.0) - 180.0
        return np.where(signed < 0, -1.0, 1.0)

    def law_of_cosines(q: Quantities, _: Calculator) -> Value:
        return np.square(q[a]) + np.square(q[b]) - 2.0 * np.multiply(q[a], q[b]) * q[cosine]

    def inverse_sine(q: Quantities, calculator: Calculator) -> Value:
        squares = np.square(q[a]) + np.square(q[length]), np.square(q[b])
        excess = squares[0] - squares[1]
        # R along a: of unlike forces the squares would leave only noise of the same cosine, and of its sign.
        along = np.subtract(q[a], np.multiply(q[b], q[cosine]))
        shown = calculator.asin(q[ratio], along / np.asarray(q[length]))
        obtuse = np.where(np.abs(excess) > _NOISE * squares[1], excess < 0, along < 0)
        return np.where(obtuse, 180.0 - shown, shown)

    def laid_off(q: Quantities, _: Calculator) -> Value:
        return np.mod(q[alpha] + np.multiply(q[turn], q[theta]), 360.0)

    return [
        Step(phi, "angle between", "angle", angle_between,
             f"the angle between {{{alpha}}} and {{{beta}}}: φ = {{{phi}}}", index, about),
        Step(gamma, "triangle angle", "angle", lambda q, _: 180.0 - np.asarray(q[phi]),
             f"the triangle's angle is its supplement: 180° − {{{phi}}} = {{{gamma}}}", index, about),
        Step(cosine, "cosine of triangle angle", "function", lambda q, c: c.cos(q[gamma]), "", index, about),
        Step(square, "law of cosines", "square", law_of_cosines,
             f"{r}² = {{{a}}}² + {{{b}}}² − 2 · {{{a}}} · {{{b}}} · cos {{{gamma}}} = {{{square}}}", index, (a, b, cosine)),
        Step(length, "length", "length", lambda q, _: np.sqrt(q[square]),
             f"{r} = √{{{square}}} = {{{length}}}", index, about),
        Step(sine, "sine of triangle angle", "function", lambda q, c: c.sin(q[gamma]), "", index, about),
        Step(ratio, "law of sines", "ratio", lambda q, _: np.multiply(q[b], q[sine]) / q[length],
             f"sin θ = {{{b}}} · sin {{{gamma}}} / {{{length}}} = {{{ratio}}}", index, about),
        Step(theta, "inverse sine", "angle", inverse_sine,
             f"θ = sin⁻¹({{{ratio}}}), the one that fits the sides: {{{theta}}} from {{{a}}} toward {{{b}}}", index, about),
        Step(turn, "turn", "exact", turning, "", index, about),
        Step(direction, "lay off", "angle", laid_off,
             f"direction of {r}: {{{alpha}}} {{{turn}:sign}} {{{theta}}} = {{{direction}}} in standard position", index, about),
    ]  # fmt: skip


def _reversed(direction: str, name: str, says: str, index: int = 0) -> Step:
    return Step(
        name,
        "reversal of subtracted" if index else "reversal",
        "exact angle",
        lambda q, _: np.mod(np.asarray(q[direction]) + 180.0, 360.0),
        f"{says}: {{{direction}}} + 180° → {{{name}}}",
        index,
    )
