"""Right steps with intermediate results rounded too early: which answers that leads to, for 0 to 3 decimals kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from grader.marking.rounding import Written
from grader.methods.solve import Solved
from grader.methods.steps import Kind, difference, round_to, rounding_every_result, run
from grader.mistakes.side_by_side import Floats

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
    """Right steps by one method with so many decimals kept; ``triangle`` is 1 for a second triangle's. ``habits`` is the
    number of ways of rounding early that lead to it. ``decimals`` is None where several numbers of them do."""

    decimals: int | None
    method: str
    triangle: int = 0
    habits: int = 1


@dataclass(frozen=True)
class EarlyAnswers:
    """Every answer that rounding early can lead to, the most decimals first; equal answers once.

    ``values`` has a column for each part, shape (answers,); ``rounded`` the same rounded to each answer's own decimals: who
    keeps no decimals on the way may round the answer so too, and write 336.0 for it.
    """

    answers: tuple[EarlyAnswer, ...]
    values: Mapping[str, Floats]
    rounded: Mapping[str, Floats]

    def explaining(
        self, wrong: Mapping[str, Written], right: Mapping[str, Written], triangle: int = 0
    ) -> tuple[EarlyAnswer, float] | None:
        """The likeliest of the answers of a triangle that give every part, rounded to the place in which it stands, and the
        share of the ways to round early that lead to them; None where none does.

        The ``right`` parts must come out too: who worked with 1 decimal has that in every part. Likeliest are the decimals
        that lead there most often, then the most; they are told where no other number of them leads there.
        """
        ours = self._triangles == triangle
        fits = self._giving(wrong) & self._giving(right) & ours
        if not fits.any():
            return None
        weights = np.where(fits, self._habits, 0.0)
        of_decimals = {
            kept: weights[self._decimals == kept].sum() / self._habits[ours & (self._decimals == kept)].sum()
            for kept in np.unique(self._decimals[fits]).tolist()
        }
        likeliest = max(of_decimals, key=lambda kept: (of_decimals[kept], kept))
        answer = self.answers[int(np.flatnonzero(fits & (self._decimals == likeliest))[0])]
        if len(of_decimals) > 1:
            answer = replace(answer, decimals=None)
        return answer, float(weights.sum() / self._habits[ours].sum())

    def _giving(self, written: Mapping[str, Written]) -> NDArray[np.bool_]:
        """Which answers give all these parts."""
        fits = np.ones(len(self.answers), dtype=bool)
        for part, number in written.items():
            room = number.place / 2 * (1 + 1e-6) + 1e-9
            near = np.abs(difference(part, number.value, self.values[part])) <= room
            fits &= near | (np.abs(difference(part, number.value, self.rounded[part])) <= room)
        return fits

    @cached_property
    def _decimals(self) -> NDArray[np.intp]:
        return np.array([answer.decimals for answer in self.answers], dtype=np.intp)

    @cached_property
    def _triangles(self) -> NDArray[np.intp]:
        return np.array([answer.triangle for answer in self.answers], dtype=np.intp)

    @cached_property
    def _habits(self) -> Floats:
        return np.array([answer.habits for answer in self.answers], dtype=float)


def early_answers(solved: Solved, carried_decimals: int) -> EarlyAnswers:
    """The table of a problem's early-rounded answers, for every way to work it."""
    parts = [key.part for key in solved.solution.parts]
    found: list[EarlyAnswer] = []
    rows: list[list[float]] = []
    seen: dict[tuple[float, ...], int] = {}
    methods = [*((method, 0) for method in solved.every_way), *((method, 1) for method in solved.every_second_way)]
    for decimals in range(min(3, carried_decimals - 1), -1, -1):
        for method, triangle in methods:
            for kinds in _HABITS:
                if decimals == 0 and kinds & _PURE_NUMBERS:
                    continue
                answers = run(method, rounding_every_result(decimals, kinds, max(carried_decimals, 6))).answers
                values = [float(answers[part]) for part in parts]
                mark = (decimals, triangle, *(round(v, 9) for v in values))
                if mark in seen:
                    known = found[seen[mark]]
                    found[seen[mark]] = replace(known, habits=known.habits + 1)
                elif np.isfinite(values).all():
                    seen[mark] = len(found)
                    found.append(EarlyAnswer(decimals, method.name, triangle))
                    rows.append(values)
    table = np.array(rows).reshape(len(rows), len(parts))
    rounded = np.array([[float(round_to(v, a.decimals or 0)) for v in row] for a, row in zip(found, rows)]).reshape(
        table.shape
    )
    return EarlyAnswers(
        tuple(found),
        {part: table[:, i] for i, part in enumerate(parts)},
        {part: rounded[:, i] for i, part in enumerate(parts)},
    )
