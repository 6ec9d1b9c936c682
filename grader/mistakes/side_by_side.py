"""A method run under many alterations side by side: one numpy pass over the steps instead of one run for each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from grader.methods.calculator import Calculator, Value
from grader.methods.steps import Carry, Kind, Method, Rule, Step, round_to, roundable, run
from grader.mistakes.altering import Alteration

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]


class _Cut(Mapping[str, Value]):
    """The quantities of some rows of a run side by side, cut out when asked for."""

    def __init__(self, quantities: Mapping[str, Value], rows: Rows) -> None:
        self._quantities, self._rows = quantities, rows

    def __getitem__(self, name: str) -> Value:
        value = self._quantities[name]
        return value[self._rows] if isinstance(value, np.ndarray) and value.ndim == 2 and len(value) > 1 else value

    def __iter__(self) -> Iterator[str]:
        return iter(self._quantities)

    def __len__(self) -> int:
        return len(self._quantities)


@dataclass(frozen=True)
class Ran:
    """What a run side by side gave: for each part of the answer an array of shape (rows, width), and for each row the position
    of the first line of the board that the right working does not have (−1 where there is none), shape (rows,)."""

    answers: Mapping[str, Floats]
    parting: Rows


def run_many(method: Method, alterations: Sequence[Alteration], carry: Carry | None = None, width: int = 1) -> Ran:
    """A method run under each alteration. ``width`` is the number of columns that ``carry`` spreads each row into, the first
    of them as if nothing were carried. An impossible operation gives nan.
    """
    count = len(alterations)
    quantities: dict[str, Value] = dict(method.data)
    exact: dict[str, Value] = dict(quantities)
    right = run(method).quantities
    parting = np.full(count, -1)
    keyed = _by_calculator(method, alterations)
    calculators = [alteration.calculator or method.calculator for alteration in alterations]
    by_step = _grouped([alteration.rules for alteration in alterations], calculators)
    by_part = _grouped([alteration.final for alteration in alterations], calculators)
    with np.errstate(all="ignore"):
        for position, step in enumerate(method.steps):
            result = _result(step.rule, method.calculator, keyed, by_step.get(step.name, ()), quantities, count)
            exact[step.name] = result
            quantities[step.name] = result if carry is None else carry(position, step, result)
            if step.line:
                parting[(parting < 0) & _other(result[:, 0], right[step.name])] = position
        answers = {}
        for part, name in method.answers.items():
            answer = np.broadcast_to(np.asarray(exact[name], dtype=float), (count, width)).copy()
            for rule, calculator, rows in by_part.get(part, ()):
                answer[rows] = rule(_Cut(quantities, rows), calculator)
            answers[part] = answer
    return Ran(answers, parting)


def _other(values: Floats, right: Value) -> NDArray[np.bool_]:
    """Which values one would not write on the board where the right one stands; a single one goes for all rows."""
    return ~(np.abs(values - right) <= 1e-9 * max(1.0, abs(float(right))))


def _by_calculator(method: Method, alterations: Sequence[Alteration]) -> list[tuple[Calculator, Rows]]:
    found: dict[Calculator, list[int]] = {}
    for row, alteration in enumerate(alterations):
        if alteration.calculator is not None and alteration.calculator != method.calculator:
            found.setdefault(alteration.calculator, []).append(row)
    return [(calculator, np.array(rows)) for calculator, rows in found.items()]


_Groups = list[tuple[Rule, Calculator, Rows]]


def _grouped(rules: Sequence[Mapping[str, Rule]], calculators: Sequence[Calculator]) -> dict[str, _Groups]:
    """For each name, the rows that share a rule and a calculator."""
    found: dict[str, dict[tuple[int, int], tuple[Rule, Calculator, list[int]]]] = {}
    for row, (named, calculator) in enumerate(zip(rules, calculators)):
        for name, rule in named.items():
            groups = found.setdefault(name, {})
            group = groups.get((id(rule), id(calculator)))
            if group is None:
                groups[id(rule), id(calculator)] = (rule, calculator, [row])
            else:
                group[2].append(row)
    return {
        name: [(rule, calculator, np.array(rows)) for rule, calculator, rows in groups.values()]
        for name, groups in found.items()
    }


def _result(
    rule: Rule,
    calculator: Calculator,
    keyed: Sequence[tuple[Calculator, Rows]],
    altered: Sequence[tuple[Rule, Calculator, Rows]],
    quantities: Mapping[str, Value],
    count: int,
) -> Floats:
    plain = np.atleast_2d(np.asarray(rule(quantities, calculator), dtype=float))
    if not keyed and not altered:
        return plain
    pieces = [(rows, np.asarray(rule(_Cut(quantities, rows), other), dtype=float)) for other, rows in keyed]
    pieces += [(rows, np.asarray(wrong(_Cut(quantities, rows), other), dtype=float)) for wrong, other, rows in altered]
    width = max(plain.shape[1], *(piece.shape[-1] if piece.ndim == 2 else 1 for _, piece in pieces))
    whole = np.broadcast_to(plain, (count, width)).copy()
    for rows, piece in pieces:
        whole[rows] = piece
    return whole


def rounding_by_row(decimals: NDArray[np.intp], kinds: frozenset[Kind], otherwise: int) -> Carry:
    """Carry results of these kinds to each row's number of decimals, all others to ``otherwise``."""
    of_row = decimals.reshape(-1, 1)

    def carry(position: int, step: Step, result: Value) -> Value:
        kind = roundable(step)
        if kind is None:
            return result
        return round_to(result, of_row if kind in kinds else otherwise)

    return carry
