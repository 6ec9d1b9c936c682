"""A method as a list of named steps, and what comes of running it.

A step computes one quantity from earlier ones by a small rule. Running the steps in order gives the answer;
running them with one rule replaced gives the answer of a student who makes that mistake, with everything that follows
from it; running them with each result rounded, or nudged, gives what honest rounding on the way can do to the answer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from grader.methods.calculator import DEGREES, Calculator, Value

Quantities = Mapping[str, Value]
Rule = Callable[[Quantities, Calculator], Value]

Kind = Literal[
    "length",  # a quantity in the problem's unit
    "square",  # its square, or a product of two
    "ratio",  # a quotient: the tangent y/x, the sine from the law of sines
    "function",  # a sine or cosine taken from the calculator or a table
    "angle",  # degrees
    "exact",  # never rounded by anyone: a given number, a sign
    "exact angle",  # likewise, in degrees: a bearing turned into a standard angle
    "given length",  # a given component: exact, but who rounds early rounds it too
]

EXACT: tuple[Kind, ...] = ("exact", "exact angle", "given length")
"""Kinds that honest working does not touch."""


@dataclass(frozen=True, slots=True)
class Step:
    """One named step.

    ``name`` is the quantity that it yields, unique in its method; ``role`` says what is done, the same for each vector and
    stage (``x-component``), and is what mistakes refer to; ``index`` tells which vector or stage. ``line`` is what one
    writes on the board, with ``{quantity}`` where a value stands; an empty line is a step done in the head.
    ``about`` is what a mistake needs to know (the direction as given).
    """

    name: str
    role: str
    kind: Kind
    rule: Rule
    line: str = ""
    index: int = 0
    about: object = None

    def with_rule(self, rule: Rule) -> Step:
        return replace(self, rule=rule)


@dataclass(frozen=True)
class Method:
    """A way to solve one problem by hand: the data, the steps, and which quantity answers which part."""

    name: str
    data: Quantities
    steps: tuple[Step, ...]
    answers: Mapping[str, str]
    calculator: Calculator = DEGREES

    def steps_of(self, role: str) -> tuple[Step, ...]:
        """The steps that play this role, in order."""
        return tuple(step for step in self.steps if step.role == role)


Carry = Callable[[int, Step, Value], Value]
"""What a student carries on from a step: (position, step, exact result) → the result used from there on."""


@dataclass(frozen=True)
class Run:
    """What a run gave: every quantity as carried, and the answers before anyone rounds them for the answer box."""

    quantities: Mapping[str, Value]
    answers: Mapping[str, Value]


def run(method: Method, carry: Carry | None = None) -> Run:
    """Run the steps in order. Quantities may be arrays; an impossible operation gives nan, never an exception."""
    quantities: dict[str, Value] = dict(method.data)
    exact: dict[str, Value] = dict(method.data)
    with np.errstate(all="ignore"):
        for position, step in enumerate(method.steps):
            result = step.rule(quantities, method.calculator)
            exact[step.name] = result
            quantities[step.name] = result if carry is None else carry(position, step, result)
    return Run(quantities, {part: exact[name] for part, name in method.answers.items()})


def values_of(method: Method) -> dict[str, float]:
    """The exact answers of a method, part by part."""
    return {part: float(value) for part, value in run(method).answers.items()}


def round_to(value: Value, decimals: int | NDArray[np.intp]) -> Value:
    """Round half away from zero, as is done by hand; what binary fractions hide of a tie (2.675) is restored."""
    scaled = np.abs(value) * 10.0**decimals
    return np.copysign(np.floor(scaled + 0.5 + 1e-9) / 10.0**decimals, value)


def roundable(step: Step) -> Kind | None:
    """As what a step's result is rounded by a student who rounds early; None where there is nothing to round."""
    if step.kind == "given length":
        return "length"
    return None if step.kind in EXACT else step.kind


def rounding_every_result(decimals: int, kinds: frozenset[Kind], otherwise: int) -> Carry:
    """Carry results of these kinds to ``decimals`` places and all others to ``otherwise``."""

    def carry(position: int, step: Step, result: Value) -> Value:
        kind = roundable(step)
        return result if kind is None else round_to(result, decimals if kind in kinds else otherwise)

    return carry


def difference(part: str, first: Value, second: Value) -> Value:
    """First minus second; around the circle for a direction (in degrees, −180 to 180)."""
    with np.errstate(invalid="ignore"):  # where steps lead nowhere, ∞ − ∞ is no number
        apart = np.subtract(first, second)
    return np.mod(apart + 180.0, 360.0) - 180.0 if part == "direction" else apart


def apart(part: str, first: float, second: float) -> float:
    """How far two numbers lie apart; around the circle for a direction."""
    gap = abs(first - second)
    if part != "direction":
        return gap
    gap %= 360.0
    return min(gap, 360.0 - gap)


@dataclass(frozen=True)
class Nudges:
    """A family of runs side by side, in columns: the exact one, then each intermediate result moved up and down in turn."""

    carry: Carry
    width: int

    def value(self, columns: Value) -> float:
        """The exact run's value of a part."""
        return float(np.ravel(columns)[0])

    def spread(self, part: str, columns: Value) -> Value:
        """How far the nudges together can move a part; ``columns`` has the runs along its last axis."""
        values = np.empty((*np.shape(columns)[:-1], self.width))
        values[...] = columns
        effects = np.abs(difference(part, values, values[..., :1]))
        effects[np.isnan(effects)] = 0.0
        pairs = effects[..., 1:].reshape(*effects.shape[:-1], -1, 2).max(axis=-1)
        total: Value = pairs.sum(axis=-1)
        return total


def nudges(method: Method, decimals: int, asked: Mapping[str, float] | None = None) -> Nudges:
    """Every intermediate result moved by half of its last carried place, each way, one at a time.

    The effects on the answer are added, so that any rounding of any of them stays inside. ``asked`` gives the places of the
    parts that were asked for: such a result may go into the next step as it is written down, rounded to its place. Sines and
    cosines are keyed, not carried.
    """
    half = 0.5 * 10.0**-decimals
    places = asked or {}
    written = {name: places[part] for part, name in method.answers.items() if part in places}
    moved = [i for i, step in enumerate(method.steps) if step.kind not in (*EXACT, "function")]
    width = 2 * len(moved) + 1
    shifts: dict[int, NDArray[np.float64]] = {}
    column = {}
    for k, position in enumerate(moved):
        up, down = 2 * k + 1, 2 * k + 2
        shifts[position] = np.zeros(width)
        shifts[position][up], shifts[position][down] = half, -half
        column[position] = up

    def carry(position: int, step: Step, result: Value) -> Value:
        if position not in column:
            return result
        nudged: NDArray[np.float64] = result + shifts[position]
        place = written.get(step.name)
        if place:
            up, down = column[position], column[position] + 1
            as_written = np.rint(nudged[..., 0] / place) * place
            # Rounding moves a number one way only: up to what is written, or down to it.
            nudged[..., up] = np.maximum(nudged[..., up], as_written + half)
            nudged[..., down] = np.minimum(nudged[..., down], as_written - half)
        return nudged

    return Nudges(carry, width)


def as_written(method: Method, asked: Mapping[str, float]) -> Carry:
    """Two runs side by side, in columns: the exact one, and one in which each result that was asked for goes into the next
    step as it is written down, rounded to its place (``asked``, part by part)."""
    places = {name: asked[part] for part, name in method.answers.items() if asked.get(part)}

    def carry(position: int, step: Step, result: Value) -> Value:
        place = places.get(step.name)
        if place is None:
            return result
        columns = np.atleast_1d(result)
        exact, written = columns[..., :1], columns[..., -1:]
        return np.concatenate((exact, np.rint(written / place) * place), axis=-1)

    return carry


def spread_of(method: Method, decimals: int, asked: Mapping[str, float] | None = None) -> dict[str, float]:
    """How far honest rounding on the way can move each part of the answer (see ``nudges``)."""
    family = nudges(method, decimals, asked)
    answers = run(method, family.carry).answers
    return {part: float(family.spread(part, value)) for part, value in answers.items()}
