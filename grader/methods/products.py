"""Short problems: the angle between two vectors, the dot product, the unit vector, the ramp, an expression."""

from __future__ import annotations

import numpy as np

from grader.methods.calculator import Calculator, Value
from grader.methods.directions import number
from grader.methods.steps import Method, Quantities, Step
from grader.methods.vectors import by_components, by_length_and_direction, in_unit, magnitude_steps
from grader.notation.formula import parse_formula
from grader.notation.given import GivenExpression, GivenRamp, GivenVector
from grader.notation.units import Unit


def angle_by_dot_product(vectors: tuple[GivenVector, ...], unit: Unit | None) -> Method:
    """The angle between two vectors, 0°–180°, from cos φ = (v₁·v₂)/(|v₁||v₂|)."""
    start = by_components(vectors, unit)
    steps = [
        *start.steps,
        _dot_step(),
        *magnitude_steps("x1", "y1", "q1", "m1", "|v₁|", 1),
        *magnitude_steps("x2", "y2", "q2", "m2", "|v₂|", 2),
        Step("cosine", "cosine of the angle", "ratio", lambda q, _: q["dot"] / (np.asarray(q["m1"]) * q["m2"]),
             "cos φ = {dot} / ({m1} · {m2}) = {cosine}"),
        Step("phi", "inverse cosine", "angle", lambda q, c: c.acos(q["cosine"], _sine_between(q)), "φ = cos⁻¹({cosine}) = {phi}"),
    ]  # fmt: skip
    return Method("components", start.data, tuple(steps), {"value": "phi"})


def angle_by_directions(vectors: tuple[GivenVector, ...], unit: Unit | None) -> Method:
    """The angle between two vectors, 0°–180°, as the difference of their directions."""
    start = by_length_and_direction(vectors, unit)
    steps = [
        *start.steps,
        Step("phi", "angle between", "angle",
             lambda q, _: np.abs(np.mod(q["d2"] - np.asarray(q["d1"]) + 180.0, 360.0) - 180.0),
             "between {d1} and {d2}, the short way round: φ = {phi}"),
    ]  # fmt: skip
    return Method("parallelogram", start.data, tuple(steps), {"value": "phi"})


def dot_by_components(vectors: tuple[GivenVector, ...], unit: Unit | None) -> Method:
    """x₁x₂ + y₁y₂."""
    start = by_components(vectors, unit)
    return Method("components", start.data, (*start.steps, _dot_step()), {"value": "dot"})


def dot_by_lengths(vectors: tuple[GivenVector, ...], unit: Unit | None) -> Method:
    """|v₁||v₂| cos φ."""
    start = by_length_and_direction(vectors, unit)
    steps = [
        *start.steps,
        Step("phi", "angle between", "angle",
             lambda q, _: np.abs(np.mod(q["d2"] - np.asarray(q["d1"]) + 180.0, 360.0) - 180.0),
             "the angle between them: φ = {phi}"),
        Step("cosine", "cosine of the angle", "function", lambda q, c: c.cos(q["phi"])),
        Step("dot", "dot product", "square", lambda q, _: q["r1"] * np.asarray(q["r2"]) * q["cosine"],
             "v₁·v₂ = {r1} · {r2} · cos {phi} = {dot}"),
    ]  # fmt: skip
    return Method("parallelogram", start.data, tuple(steps), {"value": "dot"})


def unit_vector(vectors: tuple[GivenVector, ...], unit: Unit | None) -> Method:
    """The vector divided by its length."""
    start = by_components(vectors, unit)
    steps = [
        *start.steps,
        *magnitude_steps("x1", "y1", "q1", "m1", "|v|", 1),
        Step("ux", "x divided by length", "ratio", lambda q, _: q["x1"] / np.asarray(q["m1"]), "x = {x1} / {m1} = {ux}"),
        Step("uy", "y divided by length", "ratio", lambda q, _: q["y1"] / np.asarray(q["m1"]), "y = {y1} / {m1} = {uy}"),
    ]  # fmt: skip
    return Method("components", start.data, tuple(steps), {"x": "ux", "y": "uy"})


def ramp(given: GivenRamp, unit: Unit | None) -> Method:
    """A weight on an incline: the part along it (x) and the part pressing into it (y)."""
    steps = (
        Step("i", "incline", "exact angle", lambda q, _: q["incline"]),
        Step("s", "sine", "function", lambda q, c: c.sin(q["i"])),
        Step("c", "cosine", "function", lambda q, c: c.cos(q["i"])),
        Step("par", "x-component", "length", lambda q, _: q["W"] * np.asarray(q["s"]),
             "along the ramp: {W} · sin {i} = {par}"),
        Step("per", "y-component", "length", lambda q, _: q["W"] * np.asarray(q["c"]),
             "into the ramp: {W} · cos {i} = {per}"),
    )  # fmt: skip
    data = {"W": in_unit(given.weight, unit), "incline": given.incline}
    return Method("components", data, steps, {"x": "par", "y": "per"})


def expression(given: GivenExpression, formula_text: str) -> Method:
    """A formula with the given values put in (angles in degrees)."""
    formula = parse_formula(formula_text)
    data = {name: quantity.number.value for name, quantity in given.values.items()}

    def rule(q: Quantities, _: Calculator) -> Value:
        return np.asarray(formula.evaluate({name: q[name] for name in data}), dtype=float)

    put_in = ", ".join(f"{name} = {number(value)}" for name, value in data.items())
    says = f"{formula_text} with {put_in}: " if put_in else f"{formula_text} = "
    steps = (Step("value", "formula", "length", rule, says.replace("{", "(").replace("}", ")") + "{value}"),)
    return Method("components", data, steps, {"value": "value"})


def _dot_step() -> Step:
    return Step("dot", "dot product", "square", _dot, "v₁·v₂ = ({x1})({x2}) + ({y1})({y2}) = {dot}")


def _dot(q: Quantities, _: Calculator) -> Value:
    return q["x1"] * np.asarray(q["x2"]) + q["y1"] * np.asarray(q["y2"])


def _sine_between(q: Quantities) -> Value:
    return (q["x1"] * np.asarray(q["y2"]) - q["x2"] * np.asarray(q["y1"])) / (np.asarray(q["m1"]) * q["m2"])
