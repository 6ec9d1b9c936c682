"""The answers that a problem's mistakes lead to: every alteration of every method, run side by side.

A variant is one way to make one mistake by one method, with the whole answer that a student who makes it would
write, and the room that honest rounding on the way gives each part.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from grader.methods.calculator import Calculator, Value
from grader.methods.problem import Problem
from grader.methods.solve import Solved
from grader.methods.steps import Carry, Method, Rule, difference, nudges
from grader.mistakes.altering import Alteration
from grader.mistakes.catalogue import IN_THE_WORKING, wordings

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Variants:
    """A table of variants: row i is one way to make ``mistakes[i]``.

    ``values`` and ``spreads`` hold a column for each part of the answer, shape (rows,); nan where the altered
    steps lead nowhere. ``priors[i]`` is how common the row is among systematic mistakes on this problem (they sum to 1):
    the weight of its mistake, shared among the ways to make it. ``forms[i]`` are the forms of direction in which the row can show (all if empty).
    """

    mistakes: tuple[str, ...]
    methods: tuple[str, ...]
    forms: tuple[tuple[str, ...], ...]
    values: Mapping[str, Floats]
    spreads: Mapping[str, Floats]
    priors: Floats
    invisible: frozenset[str] = frozenset()

    def __len__(self) -> int:
        return len(self.mistakes)


class _Rows(Mapping[str, Value]):
    """The quantities of some rows of a run side by side, cut out when asked for."""

    def __init__(self, quantities: Mapping[str, Value], rows: NDArray[np.intp]) -> None:
        self._quantities, self._rows = quantities, rows

    def __getitem__(self, name: str) -> Value:
        value = self._quantities[name]
        return value[self._rows] if isinstance(value, np.ndarray) and value.ndim == 2 and len(value) > 1 else value

    def __iter__(self) -> Iterator[str]:
        return iter(self._quantities)

    def __len__(self) -> int:
        return len(self._quantities)


def run_many(
    method: Method, alterations: Sequence[Alteration], carry: Carry | None = None, width: int = 1
) -> dict[str, Floats]:
    """The answers of a method under each alteration: for each part an array (alterations, width).

    ``width`` is the number of columns that ``carry`` spreads each row into.
    """
    count = len(alterations)
    quantities: dict[str, Value] = dict(method.data)
    for name in {name for alteration in alterations for name in alteration.data}:
        column = [alteration.data.get(name, method.data[name]) for alteration in alterations]
        quantities[name] = np.array(column, dtype=float).reshape(-1, 1)
    calculators = [alteration.calculator or method.calculator for alteration in alterations]
    exact: dict[str, Value] = dict(quantities)
    with np.errstate(all="ignore"):
        for position, step in enumerate(method.steps):
            rules = [alteration.rules.get(step.name, step.rule) for alteration in alterations]
            result = _by_groups(rules, calculators, quantities, count)
            exact[step.name] = result
            quantities[step.name] = result if carry is None else carry(position, step, result)
        answers = {}
        for part, name in method.answers.items():
            last: Rule = lambda q, _, name=name: exact[name]  # type: ignore[misc]  # noqa: E731
            answer = np.broadcast_to(np.asarray(exact[name], dtype=float), (count, width)).copy()
            finals = [alteration.final.get(part) for alteration in alterations]
            for rule, calculator, rows in _groups([f or last for f in finals], calculators):
                if rule is not last:
                    answer[rows] = rule(_Rows(quantities, rows), calculator)
            answers[part] = answer
    return answers


def _groups(
    rules: Sequence[Rule], calculators: Sequence[Calculator]
) -> Iterator[tuple[Rule, Calculator, NDArray[np.intp]]]:
    found: dict[tuple[int, Calculator], list[int]] = {}
    for row, (rule, calculator) in enumerate(zip(rules, calculators)):
        found.setdefault((id(rule), calculator), []).append(row)
    for (_, calculator), rows in found.items():
        yield rules[rows[0]], calculator, np.array(rows)


def _by_groups(
    rules: Sequence[Rule], calculators: Sequence[Calculator], quantities: Mapping[str, Value], count: int
) -> Value:
    groups = list(_groups(rules, calculators))
    if len(groups) == 1:
        rule, calculator, _ = groups[0]
        return np.atleast_2d(np.asarray(rule(quantities, calculator), dtype=float))
    results = [
        (rows, np.asarray(rule(_Rows(quantities, rows), calculator), dtype=float)) for rule, calculator, rows in groups
    ]
    width = max(value.shape[-1] if value.ndim == 2 else 1 for _, value in results)
    whole = np.empty((count, width))
    for rows, value in results:
        whole[rows] = value
    return whole


def alterations_of(
    method: Method, problem: Problem, switched_off: Collection[str] = ()
) -> list[tuple[str, Alteration]]:
    """Every way to make every mistake of the catalogue on this method, as (id, alteration)."""
    return [
        (mistake.id, way)
        for mistake in IN_THE_WORKING
        if mistake.id not in switched_off
        for way in mistake.ways(method, problem)
    ]


def single_mistakes(solved: Solved, carried_decimals: int, switched_off: Collection[str] = ()) -> Variants:
    """The table of all single mistakes on a problem, the asked method's first.

    A row that gives the right answer in every part is no mistake to be seen: its id goes to ``invisible`` (unless
    another row shows it). Rows of one mistake that give the same answer are kept once.
    """
    mistakes: list[str] = []
    methods: list[str] = []
    forms: list[tuple[str, ...]] = []
    parts = [key.part for key in solved.solution.parts]
    values: dict[str, list[float]] = {part: [] for part in parts}
    spreads: dict[str, list[float]] = {part: [] for part in parts}
    tried: set[str] = set()
    seen: set[tuple[object, ...]] = set()
    asked = {key.part: key.place for key in solved.solution.parts}
    right = {key.part: key.value for key in solved.solution.parts}
    for method in (*solved.methods, *([solved.second] if solved.second else [])):
        ways = alterations_of(method, solved.problem, switched_off)
        if not ways:
            continue
        family = nudges(method, carried_decimals, asked)
        answers = run_many(method, [way for _, way in ways], family.carry, family.width)
        room = {part: np.asarray(family.spread(part, answers[part])) for part in parts}
        for row, (id_, way) in enumerate(ways):
            tried.add(id_)
            answer = {part: float(answers[part][row, 0]) for part in parts}
            if not any(np.isfinite(v) and not _same(part, v, right[part]) for part, v in answer.items()):
                continue
            mark = (id_, way.forms, *(round(v, 7) if np.isfinite(v) else None for v in answer.values()))
            if mark in seen:
                continue
            seen.add(mark)
            mistakes.append(id_)
            methods.append(method.name)
            forms.append(way.forms)
            for part in parts:
                values[part].append(answer[part])
                spreads[part].append(float(room[part][row]))
    return Variants(
        tuple(mistakes),
        tuple(methods),
        tuple(forms),
        {part: np.array(column) for part, column in values.items()},
        {part: np.array(column) for part, column in spreads.items()},
        _priors(mistakes),
        frozenset(tried - set(mistakes)),
    )


def _priors(mistakes: Sequence[str]) -> Floats:
    table = wordings()
    count = {id_: mistakes.count(id_) for id_ in mistakes}
    # A mistake that the teacher wrote down for this very problem is as common as the commonest of the catalogue.
    commonest = max(wording.weight for wording in table.values())
    weight = {id_: table[id_].weight if id_ in table else commonest for id_ in count}
    total = sum(weight.values()) or 1.0
    return np.array([weight[id_] / count[id_] / total for id_ in mistakes])


def with_own(variants: Variants, answers: Mapping[str, Mapping[str, float]], room: float) -> Variants:
    """The table with the teacher's own mistakes added: for each id the answer, part by part, that it leads to."""
    if not answers:
        return variants
    count = len(answers)
    mistakes = (*variants.mistakes, *answers)
    values = {
        part: np.concatenate([column, [answer.get(part, np.nan) for answer in answers.values()]])
        for part, column in variants.values.items()
    }
    spreads = {part: np.concatenate([column, np.full(count, room)]) for part, column in variants.spreads.items()}
    return Variants(
        mistakes,
        (*variants.methods, *("",) * count),
        (*variants.forms, *((),) * count),
        values,
        spreads,
        _priors(mistakes),
        variants.invisible,
    )


def _same(part: str, first: float, second: float) -> bool:
    return bool(abs(float(difference(part, first, second))) <= 1e-9 * max(1.0, abs(second)))
