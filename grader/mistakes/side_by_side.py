"""A method run under many alterations side by side: one numpy pass over the steps instead of one run for each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

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


@dataclass(frozen=True)
class Chosen:
    """Which alterations each row of a run side by side makes: one of a list, and another or none (−1), shape (rows,) each."""

    first: Rows
    second: Rows

    def members_by(self, sort: Rows, sorts: int, count: int) -> list[list[Rows]]:
        """For each of the ``count`` alterations the rows that make it, parted by the ``sort`` of each row, 0 to ``sorts`` - 1."""
        both = np.flatnonzero(self.second >= 0)
        made = np.concatenate([self.first, self.second[both]])
        rows = np.concatenate([np.arange(len(self.first)), both])
        keys = made * sorts + sort[rows]
        order = np.argsort(keys, kind="stable")
        rows = rows[order]
        ends = np.searchsorted(keys[order], np.arange(count * sorts + 1)).tolist()
        parted = [rows[start:end] for start, end in pairwise(ends)]
        return [parted[start : start + sorts] for start in range(0, count * sorts, sorts)]


def each_alone(count: int, times: int = 1) -> Chosen:
    """A row for each of ``count`` alterations, the whole list so many times over."""
    first = np.tile(np.arange(count), times)
    return Chosen(first, np.full(len(first), -1))


def run_many(
    method: Method, alterations: Sequence[Alteration], chosen: Chosen, carry: Carry | None = None, width: int = 1
) -> Ran:
    """A method run under the alterations of each row. ``width`` is the number of columns that ``carry`` spreads each row into,
    the first of them as if nothing were carried. An impossible operation gives nan.
    """
    count = len(chosen.first)
    quantities: dict[str, Value] = dict(method.data)
    exact: dict[str, Value] = dict(quantities)
    right = run(method).quantities
    parting = np.full(count, -1)
    calculators, in_hand = _calculators(method, alterations, chosen, count)
    members = chosen.members_by(in_hand, len(calculators), len(alterations))
    keyed = [(calculators[i], np.flatnonzero(in_hand == i)) for i in range(1, len(calculators))]
    by_step = _grouped([alteration.rules for alteration in alterations], members, calculators)
    by_part = _grouped([alteration.final for alteration in alterations], members, calculators)
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


def _calculators(
    method: Method, alterations: Sequence[Alteration], chosen: Chosen, count: int
) -> tuple[list[Calculator], Rows]:
    """The calculators in use, the method's first, and the position of each row's among them."""
    found = [method.calculator]
    in_hand = np.zeros(count, dtype=np.intp)
    for i, alteration in enumerate(alterations):
        if alteration.calculator is not None:
            if alteration.calculator not in found:
                found.append(alteration.calculator)
            in_hand[(chosen.first == i) | (chosen.second == i)] = found.index(alteration.calculator)
    return found, in_hand


_Groups = list[tuple[Rule, Calculator, Rows]]


def _grouped(
    named: Sequence[Mapping[str, Rule]], members: Sequence[Sequence[Rows]], calculators: Sequence[Calculator]
) -> dict[str, _Groups]:
    """For each name, the rows that share a rule and a calculator. The rows ``members[i][k]`` have the rules ``named[i]`` and
    calculator k."""
    found: dict[str, dict[tuple[int, int], tuple[Rule, list[Rows]]]] = {}
    for rules, with_each in zip(named, members):
        for position, some in enumerate(with_each):
            if not len(some):
                continue
            for name, rule in rules.items():
                found.setdefault(name, {}).setdefault((id(rule), position), (rule, []))[1].append(some)
    return {
        name: [
            (rule, calculators[position], pieces[0] if len(pieces) == 1 else np.concatenate(pieces))
            for (_, position), (rule, pieces) in groups.items()
        ]
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
