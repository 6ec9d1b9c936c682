"""The given vectors of a problem as data and first steps: by components, or by length and direction."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from grader.methods.calculator import DEGREES, Calculator, Value
from grader.methods.directions import BEARINGS, conversion_line, number
from grader.methods.steps import Method, Quantities, Rule, Step
from grader.notation.given import GivenVector
from grader.notation.readings import Direction, Quantity
from grader.notation.units import Unit, convert

_SUBSCRIPTS = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")


def sub(index: int) -> str:
    """The index as a subscript: 12 → ₁₂."""
    return str(index).translate(_SUBSCRIPTS)


def in_unit(quantity: Quantity, unit: Unit | None) -> float:
    """The quantity's value in a unit; as it stands where either has none."""
    if unit is None or quantity.unit is None or quantity.unit == unit:
        return quantity.number.value
    return convert(quantity.number.value, quantity.unit, unit)


@dataclass
class Start:
    """The data and the first steps of a method, gathered vector by vector."""

    data: dict[str, float] = field(default_factory=dict)
    steps: list[Step] = field(default_factory=list)


def constant(value: float) -> Rule:
    return lambda q, calculator: value


def place_in_quadrant(shown: Value, x: Value, y: Value) -> Value:
    """The calculator's inverse tangent brought to the quadrant in which x and y lie, 0 ≤ direction < 360."""
    return np.mod(np.where(np.less(x, 0), np.add(shown, 180.0), shown), 360.0)


def magnitude_steps(x: str, y: str, square: str, length: str, symbol: str, index: int = 0) -> list[Step]:
    """Pythagoras: the square and the length of a vector with these components."""
    return [
        Step(
            square,
            "sum of squares",
            "square",
            lambda q, _: np.square(q[x]) + np.square(q[y]),
            f"{symbol}² = ({{{x}}})² + ({{{y}}})² = {{{square}}}",
            index,
            about=(x, y),
        ),
        Step(
            length,
            "length",
            "length",
            lambda q, _: np.sqrt(q[square]),
            f"{symbol} = √{{{square}}} = {{{length}}}",
            index,
            about=(x, y),
        ),
    ]


def direction_steps(
    x: str, y: str, tangent: str, shown: str, direction: str, symbol: str, index: int = 0
) -> list[Step]:
    """The inverse tangent, and the quadrant chosen from the signs of x and y."""

    def placed(q: Quantities, calculator: Calculator) -> Value:
        return place_in_quadrant(q[shown], q[x], q[y])

    return [
        Step(
            tangent,
            "tangent",
            "ratio",
            lambda q, _: np.divide(q[y], np.add(q[x], 0.0)),  # −0 would turn due north around
            f"tan {symbol} = {{{y}}} / ({{{x}}}) = {{{tangent}}}",
            index,
            about=(x, y),
        ),
        Step(
            shown,
            "inverse tangent",
            "angle",
            lambda q, calculator: calculator.atan(q[tangent]),
            f"tan⁻¹({{{tangent}}}) = {{{shown}}}",
            index,
        ),
        Step(
            direction,
            "quadrant",
            "angle",
            placed,
            f"x = {{{x}}} and y = {{{y}}}, so the direction is {{{direction}}} in standard position",
            index,
            about=shown,
        ),
    ]


def by_components(vectors: tuple[GivenVector, ...], unit: Unit | None) -> Start:
    """Data and steps that yield ``x1, y1, x2, y2 ...`` (and ``d1 ...`` in degrees for vectors given by direction)."""
    start = Start()
    for index, vector in enumerate(vectors, start=1):
        x, y = f"x{index}", f"y{index}"
        if vector.magnitude is None or vector.direction is None:
            _given_components(start, vector, index, unit)
            continue
        _given_polar(start, vector, index, unit)
        r, d, c, s = f"r{index}", f"d{index}", f"c{index}", f"s{index}"
        start.steps += [
            Step(c, "cosine", "function", _cosine(d), "", index, about=vector.direction),
            Step(s, "sine", "function", _sine(d), "", index, about=vector.direction),
            Step(x, "x-component", "length", _product(r, c), f"x{sub(index)} = {{{r}}} · cos {{{d}}} = {{{x}}}", index),
            Step(y, "y-component", "length", _product(r, s), f"y{sub(index)} = {{{r}}} · sin {{{d}}} = {{{y}}}", index),
        ]
    return start


def by_picture(method: Method) -> Method | None:
    """The method with each given bearing resolved by its own angle, the signs taken from the picture; None without bearings.

    S 28° W gives x = −r sin 28° and y = −r cos 28°. The numbers are those of the standard angle as long as the calculator is in
    degrees; in another mode they are not.
    """
    rules: dict[str, Rule] = {}
    for step in (*method.steps_of("cosine"), *method.steps_of("sine")):
        bearing = step.about
        if isinstance(bearing, Direction) and bearing.form in BEARINGS:
            from_axis = bearing.letters[0] if bearing.letters else ""
            rules[step.name] = _pictured(f"d{step.index}", from_axis, horizontal=step.role == "cosine")
    if not rules:
        return None
    steps = tuple(step.with_rule(rules[step.name]) if step.name in rules else step for step in method.steps)
    return replace(method, steps=steps)


def _pictured(direction: str, from_axis: str, *, horizontal: bool) -> Rule:
    """The share of a length that goes to one side, from the bearing's own angle: counted from the axis of the letter that it
    starts at, or clockwise from north where it has no letters."""

    def rule(q: Quantities, calculator: Calculator) -> Value:
        angle = np.asarray(q[direction])
        if not from_axis:
            bearing = np.mod(90.0 - angle, 360.0)
            return calculator.sin(bearing) if horizontal else calculator.cos(bearing)
        east, north = DEGREES.cos(angle), DEGREES.sin(angle)
        folded = np.abs(np.mod(angle + 90.0, 180.0) - 90.0)  # from the horizontal axis, 0 to 90
        own = folded if from_axis in "EW" else 90.0 - folded
        along = horizontal == (from_axis in "EW")
        return np.sign(east if horizontal else north) * (calculator.cos(own) if along else calculator.sin(own))

    return rule


def by_length_and_direction(vectors: tuple[GivenVector, ...], unit: Unit | None) -> Start:
    """Data and steps that yield ``r1, d1, r2, d2 ...``: lengths in the unit, directions in degrees."""
    start = Start()
    for index, vector in enumerate(vectors, start=1):
        if vector.magnitude is not None and vector.direction is not None:
            _given_polar(start, vector, index, unit)
            continue
        _given_components(start, vector, index, unit)
        x, y, i = f"x{index}", f"y{index}", sub(index)
        start.steps += magnitude_steps(x, y, f"q{index}", f"r{index}", f"r{i}", index)
        start.steps += direction_steps(x, y, f"t{index}", f"k{index}", f"d{index}", f"θ{i}", index)
    return start


def _given_polar(start: Start, vector: GivenVector, index: int, unit: Unit | None) -> None:
    assert vector.magnitude is not None
    assert vector.direction is not None
    value = in_unit(vector.magnitude, unit)
    if unit is None or vector.magnitude.unit in (None, unit):
        start.data[f"r{index}"] = value
    else:
        written = number(vector.magnitude.number.value)
        start.steps.append(
            Step(
                f"r{index}",
                "unit conversion",
                "length",
                constant(value),
                f"r{sub(index)}: {written} {vector.magnitude.unit.symbol} = {number(value)} {unit.symbol}",
                index,
                about=vector.magnitude.number.value,
            )
        )
    direction = vector.direction
    line = conversion_line(direction, f"θ{sub(index)}")
    start.steps.append(
        Step(f"d{index}", "standard direction", "exact angle", constant(direction.angle), line, index, about=direction)
    )


def _given_components(start: Start, vector: GivenVector, index: int, unit: Unit | None) -> None:
    assert vector.x is not None
    assert vector.y is not None
    x, y = in_unit(vector.x, unit), in_unit(vector.y, unit)
    line_x = line_y = ""
    if vector.tail is not None and vector.head is not None:
        # A vector between two points is head minus tail; the subtraction is a line of the working.
        (x0, y0), (x1, y1), i = vector.tail, vector.head, sub(index)
        line_x = f"x{i} = {number(x1)} − ({number(x0)}) = {number(x)}"
        line_y = f"y{i} = {number(y1)} − ({number(y0)}) = {number(y)}"
    start.steps += [
        Step(f"x{index}", "given x", "given length", constant(x), line_x, index),
        Step(f"y{index}", "given y", "given length", constant(y), line_y, index),
    ]


def _cosine(angle: str) -> Rule:
    return lambda q, calculator: calculator.cos(q[angle])


def _sine(angle: str) -> Rule:
    return lambda q, calculator: calculator.sin(q[angle])


def _product(first: str, second: str) -> Rule:
    return lambda q, _: np.multiply(q[first], q[second])
