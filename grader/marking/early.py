"""Right steps with intermediate results rounded too early: which answers that leads to, for 0 to 3 decimals kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from grader.marking.rounding import Written
from grader.methods.solve import Solved
from grader.methods.steps import Kind, difference, round_to, rounding_every_result, run

# What students round when they round early: the lengths alone, squares and quotients or angles too, everything with the
# sines and cosines, or those alone.
_HABITS: tuple[frozenset[Kind], ...] = (
    frozenset({"length"}),
    frozenset({"length", "square"}),
    frozenset({"length", "angle"}),
    frozenset({"length", "square", "angle"}),
    frozenset({"length", "square", "ratio"}),
    frozenset({"length", "square", "ratio", "angle"}),
    frozenset({"length", "square", "ratio", "angle", "function"}),
    frozenset({"function"}),
    frozenset({"function", "ratio"}),
)
_PURE_NUMBERS: frozenset[Kind] = frozenset({"ratio", "function"})
"""Nobody rounds a cosine or a quotient to a whole number."""


@dataclass(frozen=True, slots=True)
class EarlyAnswer:
    """The answer of right steps by one method with so many decimals kept; ``triangle`` is 1 for a second triangle's."""

    decimals: int
    method: str
    values: Mapping[str, float]
    triangle: int = 0


def early_answers(solved: Solved, carried_decimals: int) -> tuple[EarlyAnswer, ...]:
    """Every answer that rounding early can lead to, the most decimals first; equal answers once."""
    found: list[EarlyAnswer] = []
    seen: set[tuple[float, ...]] = set()
    methods = [*((method, 0) for method in solved.every_way), *((method, 1) for method in solved.every_second_way)]
    for decimals in range(min(3, carried_decimals - 1), -1, -1):
        for method, triangle in methods:
            for kinds in _HABITS:
                if decimals == 0 and kinds & _PURE_NUMBERS:
                    continue
                answers = run(method, rounding_every_result(decimals, kinds, max(carried_decimals, 6))).answers
                values = {part: float(value) for part, value in answers.items()}
                key = (decimals, *(round(v, 9) for v in values.values()))
                if all(map(np.isfinite, key)) and key not in seen:
                    seen.add(key)
                    found.append(EarlyAnswer(decimals, method.name, values, triangle))
    return tuple(found)


def explains(answer: EarlyAnswer, written: Mapping[str, Written]) -> bool:
    """Whether all these parts are what the early-rounded working gives, rounded to the places in which they stand.

    Who keeps no decimals on the way may round the answer so too, and write 336.0 for it.
    """
    return all(
        abs(float(difference(part, number.value, reached))) <= number.place / 2 * (1 + 1e-6) + 1e-9
        for part, number in written.items()
        for reached in [_nearest(part, number.value, answer)]
    )


def _nearest(part: str, written: float, answer: EarlyAnswer) -> float:
    value = answer.values[part]
    return min((value, float(round_to(value, answer.decimals))), key=lambda v: abs(float(difference(part, written, v))))
