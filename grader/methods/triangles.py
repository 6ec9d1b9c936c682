"""Triangles by the laws of sines and cosines: SSS, SAS, ASA and AAS, and SSA with none, one or two solutions."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations

import numpy as np

from grader.errors import ProblemError
from grader.methods.calculator import DEGREES, Calculator, Value
from grader.methods.directions import number
from grader.methods.problem import TRIANGLE_PARTS
from grader.methods.steps import Method, Quantities, Step
from grader.methods.vectors import constant, in_unit
from grader.notation.given import GivenTriangle
from grader.notation.units import Unit

METHOD = "sines and cosines"
SIDES, ANGLES = ("a", "b", "c"), ("A", "B", "C")


@dataclass(frozen=True)
class TriangleMethods:
    """A method for each triangle that fits the data (none, one or two), and a sentence when there is none.

    ``orders[i]`` are the other orders in which the same laws lead to triangle i: another angle first, by sines where the
    method takes cosines, the last angle by a law where it takes the sum.
    """

    methods: tuple[Method, ...]
    none: str = ""
    orders: tuple[tuple[Method, ...], ...] = ()


def methods(given: GivenTriangle, unit: Unit | None) -> TriangleMethods:
    """Every triangle with the given parts; ProblemError where the data do not define a triangle problem."""
    known = {
        part: quantity.number.value if part in ANGLES else in_unit(quantity, unit)
        for part, quantity in given.parts.items()
    }
    _check(known)
    sides = [s for s in SIDES if s in known]
    angles = [a for a in ANGLES if a in known]
    if len(sides) == 3:
        return _three_sides(known)
    if len(angles) == 2:
        return _two_angles(known, sides[0], angles)
    angle = angles[0]
    if angle.lower() not in sides:
        return _side_angle_side(known, sides, angle)
    return _side_side_angle(known, angle)


def _check(known: dict[str, float]) -> None:
    sides = [s for s in SIDES if s in known]
    angles = [a for a in ANGLES if a in known]
    for part, value in known.items():
        if value <= 0 or (part in ANGLES and value >= 180):
            limit = "an angle between 0° and 180°" if part in ANGLES else "a length above zero"
            raise ProblemError(f"{part} is {number(value)}; expected {limit}.")
    if len(known) != 3 or not sides:
        raise ProblemError(
            f"A triangle needs three known parts, at least one of them a side; found {', '.join(known) or 'none'}."
        )
    if len(angles) == 2 and known[angles[0]] + known[angles[1]] >= 180:
        total = number(known[angles[0]] + known[angles[1]])
        raise ProblemError(
            f"The angles {angles[0]} and {angles[1]} add up to {total}°; in a triangle they stay below 180°."
        )


def _method(known: dict[str, float], steps: list[Step]) -> Method:
    given = [
        Step(part, "given angle", "exact angle", constant(value)) for part, value in known.items() if part in ANGLES
    ]
    sides = {part: value for part, value in known.items() if part in SIDES}
    asked = {part: part for part in TRIANGLE_PARTS if part not in known}
    return Method(METHOD, sides, (*given, *steps), asked)


def _three_sides(known: dict[str, float]) -> TriangleMethods:
    longest = max(SIDES, key=lambda s: known[s])
    others = [s for s in SIDES if s != longest]
    if known[longest] >= known[others[0]] + known[others[1]]:
        parts = f"{longest} = {number(known[longest])} is not shorter than {others[0]} + {others[1]}"
        return TriangleMethods((), f"no triangle: {parts} = {number(known[others[0]] + known[others[1]])}")
    # The largest angle first: the law of cosines alone can say that it is obtuse.
    steps = [*_by_cosines(longest, others[0], others[1]), *_by_cosines(others[0], longest, others[1])]
    steps.append(_by_sum(others[1].upper(), longest.upper(), others[0].upper()))
    return TriangleMethods((_method(known, steps),), orders=(_orders_of_three_sides(known, longest),))


def _orders_of_three_sides(known: dict[str, float], longest: str) -> tuple[Method, ...]:
    squares = sum(known[side] ** 2 for side in SIDES)
    obtuse = 2 * known[longest] ** 2 > squares
    found = []
    for first, second, last in permutations(SIDES):
        opening = _by_cosines(first, *(s for s in SIDES if s != first))
        closing = _by_sum(last.upper(), first.upper(), second.upper())
        by_cosines = _by_cosines(second, *(s for s in SIDES if s != second))
        by_sines = _angle_by_sines(second, first, obtuse=obtuse and second == longest)
        found += [_method(known, [*opening, *way, closing]) for way in (by_cosines, by_sines)]
    every = [step for side in SIDES for step in _by_cosines(side, *(s for s in SIDES if s != side))]
    return (*found, _method(known, every))


def _side_angle_side(known: dict[str, float], sides: list[str], angle: str) -> TriangleMethods:
    opposite = angle.lower()
    p, q = sides

    def square(values: Quantities, _: Calculator) -> Value:
        return np.square(values[p]) + np.square(values[q]) - 2.0 * values[p] * np.asarray(values[q]) * values["cosine"]

    opening = [
        Step("cosine", "cosine of triangle angle", "function", lambda v, c: c.cos(v[angle])),
        Step("square", "law of cosines", "square", square,
             f"{opposite}² = {{{p}}}² + {{{q}}}² − 2 · {{{p}}} · {{{q}}} · cos {{{angle}}} = {{square}}",
             about=(p, q, "cosine")),
        Step(opposite, "length", "length", lambda v, _: np.sqrt(v["square"]), f"{opposite} = √{{square}} = {{{opposite}}}",
             about="square"),
    ]  # fmt: skip
    shorter, longer = sorted(sides, key=lambda s: known[s])
    # The angle opposite the shorter side is acute, so the calculator's inverse sine is the one.
    first = [*_angle_by_sines(shorter, opposite), _by_sum(longer.upper(), angle, shorter.upper())]
    by_sines = {
        shorter: _angle_by_sines(shorter, opposite),
        longer: _angle_by_sines(longer, opposite, among=(shorter, opposite)),
    }
    by_cosines = {side: _by_cosines(side, *(s for s in SIDES if s != side)) for side in sides}
    others = [
        [*by_sines[longer], _by_sum(shorter.upper(), angle, longer.upper())],
        [*by_sines[shorter], *by_sines[longer]],
        [*by_cosines[shorter], _by_sum(longer.upper(), angle, shorter.upper())],
        [*by_cosines[longer], _by_sum(shorter.upper(), angle, longer.upper())],
        [*by_cosines[shorter], *by_cosines[longer]],
    ]
    orders = tuple(_method(known, [*opening, *steps]) for steps in others)
    return TriangleMethods((_method(known, [*opening, *first]),), orders=(orders,))


def _two_angles(known: dict[str, float], side: str, angles: list[str]) -> TriangleMethods:
    third = next(a for a in ANGLES if a not in angles)
    opening = _by_sum(third, *angles)
    one, two = (other for other in SIDES if other != side)
    found = [
        _method(known, [opening, *_side_by_sines(first, side), *_side_by_sines(second, base)])
        for first, second, base in ((one, two, side), (two, one, side), (one, two, one), (two, one, two))
    ]
    # Written out, the law of sines has a result of its own on the way: the common quotient, or the product above the line.
    found += [
        _method(known, [opening, *way(one, side), *way(two, side)]) for way in (_side_by_quotient, _side_by_product)
    ]
    return TriangleMethods((found[0],), orders=(tuple(found[1:]),))


def _side_side_angle(known: dict[str, float], angle: str) -> TriangleMethods:
    opposite = angle.lower()
    other = next(s for s in SIDES if s in known and s != opposite)
    third = next(s for s in SIDES if s not in (opposite, other))
    ratio = known[other] * float(DEGREES.sin(known[angle])) / known[opposite]
    if abs(ratio - 1) < 1e-12:
        ratio = 1.0
    if ratio > 1:
        said = f"sin {other.upper()} = {number(known[other])} · sin {number(known[angle])}° / {number(known[opposite])}"
        return TriangleMethods((), f"no triangle: {said} = {number(round(ratio, 4))}, more than 1")
    acute = float(DEGREES.asin(ratio))
    found, orders = [], []
    for obtuse in (False, True):
        value = 180.0 - acute if obtuse else acute
        if value + known[angle] >= 180.0 - 1e-9 or (obtuse and ratio == 1.0):
            continue
        opening = [*_angle_by_sines(other, opposite, obtuse=obtuse), _by_sum(third.upper(), angle, other.upper())]
        found.append(_method(known, [*opening, *_side_by_sines(third, opposite)]))
        orders.append((_method(known, [*opening, *_side_by_sines(third, other)]),))
    if not found:
        total = number(round(acute + known[angle], 4))
        return TriangleMethods(
            (), f"no triangle: {other.upper()} and {angle} would add up to {total}°, not less than 180°"
        )
    return TriangleMethods(tuple(found), orders=tuple(orders))


def _by_cosines(side: str, p: str, q: str) -> list[Step]:
    angle = side.upper()
    ratio = f"cos{angle}"

    def cosine(v: Quantities, _: Calculator) -> Value:
        return (np.square(v[p]) + np.square(v[q]) - np.square(v[side])) / (2.0 * v[p] * np.asarray(v[q]))

    def inverse(v: Quantities, calculator: Calculator) -> Value:
        # Twice the area by Heron's formula, over the product of the sides, is the sine of the same angle.
        half = (np.asarray(v[p]) + v[q] + v[side]) / 2
        area = np.sqrt(half * (half - v[p]) * (half - v[q]) * (half - v[side]))
        return calculator.acos(v[ratio], 2 * area / (np.asarray(v[p]) * v[q]))

    return [
        Step(ratio, "law of cosines", "ratio", cosine,
             f"cos {angle} = ({{{p}}}² + {{{q}}}² − {{{side}}}²) / (2 · {{{p}}} · {{{q}}}) = {{{ratio}}}",
             about=(side, p, q, "angle")),
        Step(angle, "inverse cosine", "angle", inverse, f"{angle} = cos⁻¹({{{ratio}}}) = {{{angle}}}"),
    ]  # fmt: skip


def _angle_by_sines(
    side: str, known_side: str, *, obtuse: bool = False, among: tuple[str, str] | None = None
) -> list[Step]:
    """The angle opposite ``side`` from the pair (known_side, its angle); the obtuse one of the two if so asked, or where the
    square on the side is larger than those on the two sides ``among`` together."""
    angle, known_angle = side.upper(), known_side.upper()
    sine, ratio = f"sin{known_angle}for{angle}", f"sin{angle}"

    def inverse(v: Quantities, calculator: Calculator) -> Value:
        # A right angle comes out as a sine of 0.9999999999999998 in binary.
        right = np.abs(np.asarray(v[ratio]) - 1) < 1e-12
        shown = calculator.asin(np.where(right, 1.0, v[ratio]))
        if among is not None:
            larger = np.square(v[side]) > np.square(v[among[0]]) + np.square(v[among[1]])
            return np.where(larger, 180.0 - shown, shown)
        return 180.0 - shown if obtuse else shown

    says = (
        f"{angle} = 180° − sin⁻¹({{{ratio}}}) = {{{angle}}}"
        if obtuse
        else f"{angle} = sin⁻¹({{{ratio}}}) = {{{angle}}}"
    )
    return [
        Step(sine, "sine of triangle angle", "function", lambda v, c: c.sin(v[known_angle]), about=(side, known_side)),
        Step(ratio, "law of sines", "ratio", lambda v, _: v[side] * np.asarray(v[sine]) / v[known_side],
             f"sin {angle} = {{{side}}} · sin {{{known_angle}}} / {{{known_side}}} = {{{ratio}}}", about=(side, known_side)),
        Step(angle, "inverse sine", "angle", inverse, says, about=(side, known_side)),
    ]  # fmt: skip


def _side_by_sines(side: str, known_side: str) -> list[Step]:
    angle, known_angle = side.upper(), known_side.upper()
    top, bottom = f"sin{angle}for{side}", f"sin{known_angle}for{side}"
    return [
        Step(top, "sine", "function", lambda v, c: c.sin(v[angle])),
        Step(bottom, "sine", "function", lambda v, c: c.sin(v[known_angle])),
        Step(side, "side by sines", "length", lambda v, _: v[known_side] * np.asarray(v[top]) / v[bottom],
             f"{side} = {{{known_side}}} · sin {{{angle}}} / sin {{{known_angle}}} = {{{side}}}",
             about=(top, bottom, known_side)),
    ]  # fmt: skip


def _side_by_quotient(side: str, known_side: str) -> list[Step]:
    angle, known_angle = side.upper(), known_side.upper()
    top, bottom, quotient = f"sin{angle}for{side}", f"sin{known_angle}for{side}", f"quotientfor{side}"
    return [
        Step(bottom, "sine", "function", lambda v, c: c.sin(v[known_angle])),
        Step(quotient, "common quotient", "length", lambda v, _: v[known_side] / np.asarray(v[bottom])),
        Step(top, "sine", "function", lambda v, c: c.sin(v[angle])),
        Step(side, "side by quotient", "length", lambda v, _: v[quotient] * np.asarray(v[top])),
    ]


def _side_by_product(side: str, known_side: str) -> list[Step]:
    angle, known_angle = side.upper(), known_side.upper()
    top, bottom, product = f"sin{angle}for{side}", f"sin{known_angle}for{side}", f"productfor{side}"
    return [
        Step(top, "sine", "function", lambda v, c: c.sin(v[angle])),
        Step(product, "product", "length", lambda v, _: v[known_side] * np.asarray(v[top])),
        Step(bottom, "sine", "function", lambda v, c: c.sin(v[known_angle])),
        Step(side, "side by product", "length", lambda v, _: v[product] / np.asarray(v[bottom])),
    ]


def _by_sum(angle: str, first: str, second: str) -> Step:
    return Step(
        angle,
        "angle sum",
        "angle",
        lambda v, _: 180.0 - v[first] - np.asarray(v[second]),
        f"{angle} = 180° − {{{first}}} − {{{second}}} = {{{angle}}}",
        about=(first, second),
    )
