"""The answers that a problem's mistakes lead to: single mistakes, pairs of them, and each with early rounding.

A variant is one way to go wrong by one method, with the whole answer that a student who does so would write, and the room
that honest rounding on the way gives each part.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from grader.methods.calculator import DEGREES
from grader.methods.solve import Solved
from grader.methods.steps import Kind, Method, as_written, difference, nudges, run, values_of
from grader.mistakes.altering import Alteration, common_forms
from grader.mistakes.side_by_side import Chosen, Floats, Rows, each_alone, rounding_by_row, run_many
from grader.mistakes.ways import alterations_of
from grader.mistakes.weights import weight_of

PLUS = " + "
"""Joins the ids of mistakes acting together."""

SIGNED = ("direction", "x", "y", "value", "A", "B", "C")
"""Parts whose sign a student may write."""

_RESULTS: frozenset[Kind] = frozenset({"length", "square", "angle"})


class Way(NamedTuple):
    """How a row of the table comes about: the mistakes acting together (none where only rounding went wrong), the
    method, the decimals kept (None: as many as asked), the forms of direction in which it can show (all if empty), and
    the name of the first step whose line parts from the right working (empty where it has none, or where it is not known)."""

    mistakes: tuple[str, ...]
    method: str
    decimals: int | None = None
    forms: tuple[str, ...] = ()
    step: str = ""

    @property
    def name(self) -> str:
        return PLUS.join(self.mistakes)


@dataclass(frozen=True)
class Variants:
    """A table of variants, ``ways[i]`` saying how row i comes about.

    ``values`` and ``spreads`` hold a column for each part of the answer, shape (rows,); nan where the altered steps lead
    nowhere. ``marks[i]`` is the whole answer as a key, equal for rows that no answer can tell apart. ``prior[i]`` is how
    common the row is among all causes of wrong answers, before an answer is seen. ``invisible`` are the mistakes that never
    leave the exact right answer. ``nowhere`` are those that end without an answer (a calculator in radians shows a sine above 1),
    with how common that is among all causes.
    """

    ways: tuple[Way, ...]
    values: Mapping[str, Floats]
    spreads: Mapping[str, Floats]
    marks: tuple[Mark, ...]
    prior: Floats
    invisible: frozenset[str] = frozenset()
    nowhere: Mapping[str, float] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.ways)

    @cached_property
    def early(self) -> NDArray[np.bool_]:
        """Which rows keep fewer decimals than asked."""
        return np.array([way.decimals is not None for way in self.ways], dtype=bool)

    def shows_in(self, form: str) -> NDArray[np.bool_]:
        """Which rows can show in a direction written in this form."""
        cached = self._shown.get(form)
        if cached is None:
            cached = np.array([not way.forms or form in way.forms for way in self.ways], dtype=bool)
            self._shown[form] = cached
        return cached

    @cached_property
    def _shown(self) -> dict[str, NDArray[np.bool_]]:
        return {}

    @property
    def singles(self) -> tuple[int, ...]:
        """The rows of one mistake and no early rounding."""
        return tuple(i for i, way in enumerate(self.ways) if len(way.mistakes) == 1 and way.decimals is None)


@dataclass
class _Rows:
    """Rows gathered for the table."""

    ways: list[Way] = field(default_factory=list)
    values: list[Sequence[float]] = field(default_factory=list)
    spreads: list[Sequence[float]] = field(default_factory=list)
    seen: dict[tuple[object, ...], int] = field(default_factory=dict)

    def add(self, way: Way, values: Sequence[float], spreads: Sequence[float], mark: tuple[object, ...]) -> None:
        """One row for each answer: what two ways to it do not have in common is not known of it."""
        row = self.seen.setdefault(mark, len(self.ways))
        if row == len(self.ways):
            self.ways.append(way)
            self.values.append(values)
            self.spreads.append(spreads)
            return
        if len(way.mistakes) == 1:
            self.spreads[row] = list(map(max, self.spreads[row], spreads))
        known = self.ways[row]
        if known.method != way.method:
            self.ways[row] = known._replace(method="", step="")
        elif known.step != way.step:
            self.ways[row] = known._replace(step="")


def variants_of(
    solved: Solved,
    carried_decimals: int,
    switched_off: Collection[str] = (),
    own: Mapping[str, Mapping[str, float]] | None = None,
    *,
    singles_only: bool = False,
) -> Variants:
    """The table of a problem: the asked method's rows first, singles before pairs, honest carrying before early rounding.

    ``own`` holds the teacher's own mistakes: for each id the answer it leads to, part by part. A row that gives the right
    answer in every part is left out, and so is a row whose answer fewer mistakes give already.
    """
    parts = tuple(key.part for key in solved.solution.parts)
    rows, tried = _Rows(), set[str]()
    each = [
        _Tables(method, alterations_of(method, solved.problem, switched_off), solved, carried_decimals)
        for method in (*solved.every_way, *solved.every_second_way)
    ]
    each += [
        _Tables(method, alterations_of(method, solved.problem, switched_off), solved, carried_decimals, pictured=True)
        for method in solved.pictured
    ]
    steps: list[list[str]] = []
    dead: Counter[str] = Counter()
    for tables in each:
        tried |= {id_ for id_, _ in tables.ways}
        steps.append(_add_singles(rows, tables, parts))
        dead.update(tables.ending_nowhere())
    half = 0.5 * 10.0**-carried_decimals
    for id_, answer in (own or {}).items():
        values = [answer.get(part, math.nan) for part in parts]
        rows.add(Way((id_,), ""), values, [half] * len(parts), (id_, _marks(parts, np.array([values]))[0]))
    if not singles_only:
        known = _Known(
            {((), mark) for mark in _marks(parts, np.array([tables.right(parts) for tables in each]))}
            | {(way.forms, mark) for way, mark in zip(rows.ways, _marks(parts, np.array(rows.values)))}
        )
        for tables, names in zip(each, steps):
            _add_early(rows, tables, parts, known, names)
        for tables in each:
            _add_pairs(rows, tables, parts, known)
    visible = {id_ for way in rows.ways for id_ in way.mistakes if len(way.mistakes) == 1}
    return Variants(
        tuple(rows.ways),
        _columns(parts, rows.values),
        _columns(parts, rows.spreads),
        tuple(_marks(parts, np.array(rows.values))),
        _priors(rows.ways),
        frozenset(tried - visible - dead.keys()),
        _priors_of_none(dead, Counter(id_ for tables in each for id_, _ in tables.alone), visible),
    )


@dataclass(frozen=True)
class _Tables:
    method: Method
    ways: list[tuple[str, Alteration]]
    solved: Solved
    carried: int
    pictured: bool = False

    @property
    def alone(self) -> list[tuple[str, Alteration]]:
        """The ways that lead to answers of their own. In degrees the picture gives the numbers of the standard angle."""
        return [(id_, way) for id_, way in self.ways if not self.pictured or _in_another_mode(way)]

    def pairs(self) -> Chosen:
        """Every two mistakes that can act together, where one of them leads to answers of its own: they change no step both,
        and can show in one form of direction."""
        ids = np.array([id_ for id_, _ in self.ways])
        alterations = [way for _, way in self.ways]
        together = (ids[:, np.newaxis] != ids) & ~_share(way.changes for way in alterations)
        forms = _share(way.forms for way in alterations)
        any_form = np.array([not way.forms for way in alterations])
        together &= forms | any_form | any_form[:, np.newaxis]
        if self.pictured:
            mode = np.array([_in_another_mode(way) for way in alterations])
            together &= mode | mode[:, np.newaxis]
        return Chosen(*np.nonzero(np.triu(together, 1)))

    def ending_nowhere(self) -> Iterator[str]:
        """The mistake of each way that ends without an answer, where a problem may have none: the calculator shows an error."""
        if self.solved.problem.find not in ("triangle", "heading"):
            return
        for id_, way in self.alone:
            altered = way.of(self.method)
            strict = replace(altered, calculator=replace(altered.calculator, strict=True))
            if all(math.isnan(float(value)) for value in run(strict).answers.values()):
                yield id_

    def right(self, parts: Iterable[str]) -> Floats:
        """The right answer by this method (of the second triangle, where it is that one's)."""
        values = values_of(self.method)
        return np.array([values[part] for part in parts])

    def steps_at(self, parting: Rows) -> list[str]:
        """The names of the steps at these positions; an empty text for none."""
        names = [*(step.name for step in self.method.steps), ""]
        return [names[position] for position in parting.tolist()]


def _share(sets: Iterable[Collection[Hashable]]) -> NDArray[np.bool_]:
    """Which two of these sets have something in common, shape (sets, sets)."""
    sets = list(sets)
    numbered = {member: i for i, member in enumerate(dict.fromkeys(member for one in sets for member in one))}
    holds = np.zeros((len(sets), len(numbered)), dtype=np.float32)
    for row, one in enumerate(sets):
        holds[row, [numbered[member] for member in one]] = 1
    return holds @ holds.T > 0


def _in_another_mode(alteration: Alteration) -> bool:
    return alteration.calculator is not None and alteration.calculator.mode != DEGREES.mode


def _add_singles(rows: _Rows, tables: _Tables, parts: tuple[str, ...]) -> list[str]:
    """Each single mistake; the steps where they part from the right working."""
    ways = tables.alone
    if not ways:
        return []
    right = tables.right(parts)
    asked = {key.part: key.place for key in tables.solved.solution.parts}
    family = nudges(tables.method, tables.carried, asked)
    ran = run_many(tables.method, [way for _, way in ways], each_alone(len(ways)), family.carry, family.width)
    answers, steps = ran.answers, tables.steps_at(ran.parting)
    values = _table_of(parts, answers)
    spreads = _finite(np.column_stack([np.asarray(family.spread(part, answers[part])) for part in parts]))
    differs = _differ(parts, values, right)
    found = zip(ways, differs.tolist(), steps, values.tolist(), spreads.tolist(), _marks(parts, values))
    for (id_, alteration), off, step, row, room, mark in found:
        if off:
            rows.add(
                Way((id_,), tables.method.name, None, alteration.forms, step), row, room, (id_, alteration.forms, mark)
            )
    return steps


def _add_early(rows: _Rows, tables: _Tables, parts: tuple[str, ...], known: _Known, steps: Sequence[str]) -> None:
    """Each single mistake with results on the way rounded to 0–3 decimals; ``steps`` are where the mistakes alone part from
    the right working."""
    kept = [d for d in range(3, -1, -1) if d < tables.carried]
    ways = tables.alone
    if not ways:
        return
    decimals = np.repeat(kept, len(ways))
    alterations = [way for _, way in ways]
    carry = rounding_by_row(decimals, _RESULTS, 6)
    answers = run_many(tables.method, alterations, each_alone(len(ways), len(kept)), carry).answers
    values = _table_of(parts, answers)
    none = [0.0] * len(parts)
    again = len(kept)
    for (id_, alteration), step, places, row, mark in zip(
        ways * again, [*steps] * again, decimals.tolist(), values.tolist(), _marks(parts, values)
    ):
        if not known.covers(alteration.forms, mark):
            way = Way((id_,), tables.method.name, places, alteration.forms, step)
            rows.add(way, row, none, (id_, alteration.forms, mark))


def _add_pairs(rows: _Rows, tables: _Tables, parts: tuple[str, ...], known: _Known) -> None:
    """Two mistakes at once, where they change different steps and lead to an answer that neither alone gives."""
    pairs = tables.pairs()
    if not len(pairs.first):
        return
    keys = tables.solved.solution.parts
    written = as_written(tables.method, {key.part: key.place for key in keys})
    # Of honest rounding only the largest step is followed row by row: an asked result that goes on as it is written.
    matters = any(np.ptp(value) > 0 for value in run(tables.method, written).answers.values())
    carry, width = (written, 2) if matters else (None, 1)
    ran = run_many(tables.method, [way for _, way in tables.ways], pairs, carry, width)
    answers, steps = ran.answers, tables.steps_at(ran.parting)
    values = _table_of(parts, answers)
    moved = [np.abs(difference(part, answers[part][:, -1], answers[part][:, 0])) for part in parts]
    room = np.array([key.spread for key in keys]) + _finite(np.column_stack(moved))
    found = zip(
        pairs.first.tolist(), pairs.second.tolist(), steps, values.tolist(), room.tolist(), _marks(parts, values)
    )
    name, ids, forms_of = tables.method.name, [id_ for id_, _ in tables.ways], [way.forms for _, way in tables.ways]
    for one, other, step, row, spread, mark in found:
        first, second = ids[one], ids[other]
        forms = common_forms(forms_of[one], forms_of[other])
        if not known.covers(forms, mark):
            both = (first, second) if first < second else (second, first)
            rows.add(Way((first, second), name, None, forms, step), row, spread, (both, forms, mark))


def _finite(room: Floats) -> Floats:
    """The room of rounding on the way; none where rounding leads nowhere (an angle that rounds to 0° under a fraction bar):
    a room without end would fit every number."""
    return np.where(np.isfinite(room), room, 0.0)


@dataclass(frozen=True)
class _Known:
    """The answers that fewer mistakes give, each with the forms of direction in which it shows (all if empty)."""

    answers: set[tuple[tuple[str, ...], Mark]]

    def covers(self, forms: tuple[str, ...], mark: Mark) -> bool:
        """Whether an answer is known in all of these forms."""
        return ((), mark) in self.answers or (bool(forms) and (forms, mark) in self.answers)


def _table_of(parts: Sequence[str], answers: Mapping[str, Floats]) -> Floats:
    """The exact answers row by row; nobody writes a negative length."""
    return np.column_stack([answers[p][:, 0] if p in SIGNED else np.abs(answers[p][:, 0]) for p in parts])


def _columns(parts: Sequence[str], rows: Sequence[Sequence[float]]) -> dict[str, Floats]:
    table = np.array(rows).reshape(len(rows), len(parts))
    return {part: table[:, i] for i, part in enumerate(parts)}


# How the causes of wrong answers divide into kinds before an answer is seen (common practice: most wrong answers come from
# one nameable wrong turn). What is missing to 1 are slips, right steps rounded early, and answers without a systematic cause;
# see marking.diagnosis.
ONE_MISTAKE, ONE_ROUNDED_EARLY, TWO_MISTAKES = 0.50, 0.05, 0.10


def _priors(ways: Sequence[Way]) -> Floats:
    """The prior of each row: its kind's share, divided by how common its mistakes are, and among the ways to make them."""
    shares = {(1, True): ONE_MISTAKE, (1, False): ONE_ROUNDED_EARLY, (2, True): TWO_MISTAKES}
    causes = [(way.mistakes, (len(way.mistakes), way.decimals is None)) for way in ways]
    count = Counter(causes)
    common = {cause: weight_of(cause[0]) for cause in count}
    total: dict[tuple[int, bool], float] = {}
    for (_, kind), weight in common.items():
        total[kind] = total.get(kind, 0.0) + weight
    share = {cause: shares[cause[1]] * weight / total[cause[1]] / count[cause] for cause, weight in common.items()}
    return np.array([share[cause] for cause in causes])


def _priors_of_none(dead: Counter[str], ways: Counter[str], visible: Collection[str]) -> dict[str, float]:
    """The prior of each mistake together with its ending without an answer: its share of its kind, by its ways that do."""
    total = sum(weight_of((id_,)) for id_ in {*visible, *dead})
    return {id_: ONE_MISTAKE * weight_of((id_,)) / total * count / ways[id_] for id_, count in sorted(dead.items())}


Mark = tuple[float, ...]
"""An answer as a key: equal for answers that no written number can tell apart; infinity where a part has no value."""


def _marks(parts: Sequence[str], table: Floats) -> list[Mark]:
    """The answer of each row of a table (rows, parts) as a key."""
    keys = table.reshape(-1, len(parts)).copy()
    for column, part in enumerate(parts):
        if part == "direction":
            keys[:, column] %= 360.0
    keys = np.round(keys, 6) + 0.0  # −0 is 0
    return list(map(tuple, np.where(np.isnan(keys), np.inf, keys).tolist()))


def mark_of(solved: Solved, instead: Mapping[str, float]) -> Mark:
    """The right answer as a key, with other values for some parts."""
    keys = solved.solution.parts
    return _marks([key.part for key in keys], np.array([[instead.get(key.part, key.value) for key in keys]]))[0]


def _differ(parts: Sequence[str], table: Floats, right: Floats) -> NDArray[np.bool_]:
    """Which rows of a table (rows, parts) have a value that is not the right one."""
    found = np.zeros(len(table), dtype=bool)
    for column, part in enumerate(parts):
        values, exact = table[:, column], right[column]
        off = np.abs(difference(part, values, exact))
        found |= ~np.isnan(values) & ~(off <= 1e-9 * max(1.0, abs(float(exact))))
    return found
