"""Which mistake explains a wrong answer: candidates weighed against each other and against chance.

Bayes' rule over four kinds of cause: a mistake in the working, a slip, the teacher's own mistakes, and no systematic cause
at all (VanLehn 1990: many wrong answers have none; slips must be modelled too). A candidate's weight is how common it is,
shared among the ways to make it, times how well it fits every part that was written. A random wrong answer falls on
any number with a chance that depends on how finely the number is written.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from grader.marking.collect import Option
from grader.marking.slips import Slip
from grader.methods.solve import Solved, is_angular
from grader.methods.steps import difference
from grader.mistakes.catalogue import wordings
from grader.mistakes.variants import Floats, Variants

# Shares of wrong answers, before the answer is seen. Common practice: teachers put most wrong answers down to a
# nameable wrong turn.
SYSTEMATIC, SLIPPED, RANDOM = 0.60, 0.12, 0.28

_LOOSE = 0.15  # fits within the room of the place asked, though the digits written are finer
_OTHERWISE = 0.1  # the mistake should have changed this part too, and the part is right: found in another way
_SECOND_CAUSE = 0.2  # another part is wrong for a cause of its own
_STILL_RIGHT = 0.5  # a random wrong answer leaves another part right about as often as not


@dataclass(frozen=True, slots=True)
class Cause:
    """What probably lies behind one wrong part.

    ``mistake`` holds ids, those that no answer can tell apart joined by `` / ``; ``others`` the next likely ones.
    ``chance`` is that of ``mistake``, between 0 and 1. ``method`` is the method in which it was made, where only one fits.
    """

    mistake: str
    chance: float
    others: tuple[str, ...] = ()
    method: str = ""


@dataclass(frozen=True)
class Evidence:
    """What a student wrote: each part's option, which parts are wrong, and which are right."""

    options: Mapping[str, Option]
    wrong: frozenset[str]
    right: frozenset[str]

    def without(self, parts: frozenset[str]) -> Evidence:
        return Evidence(self.options, self.wrong - parts, self.right)


@dataclass(frozen=True)
class _Candidate:
    ids: tuple[str, ...]
    score: float
    parts: frozenset[str]
    methods: frozenset[str] = frozenset()

    def joined_with(self, other: _Candidate) -> _Candidate:
        return _Candidate(self.ids, self.score + other.score, self.parts | other.parts, self.methods | other.methods)

    @property
    def name(self) -> str:
        return " / ".join(self.ids)


def diagnose(
    solved: Solved, variants: Variants, slips: Sequence[Slip], evidence: Evidence, explain_from: float
) -> dict[str, Cause]:
    """The probable cause of each wrong part; a part that nothing explains well enough is left out.

    All parts are explained together where one cause does it; a part that the best cause leaves open is looked at by itself.
    """
    causes: dict[str, Cause] = {}
    open_parts, shrink = evidence, 1.0
    while open_parts.wrong:
        ranked, total = _ranked(solved, variants, slips, open_parts, shrink)
        if not ranked:
            break
        best = ranked[0]
        chance = best.score / total
        if chance < explain_from:
            break
        others = tuple(c.name for c in ranked[1:4] if c.score / total >= 0.02 and c.parts & best.parts)
        method = next(iter(best.methods)) if len(best.methods) == 1 else ""
        for part in best.parts:
            causes[part] = Cause(best.name, round(chance, 4), others, method)
        open_parts, shrink = open_parts.without(best.parts), _SECOND_CAUSE
    return causes


def _ranked(
    solved: Solved, variants: Variants, slips: Sequence[Slip], evidence: Evidence, shrink: float
) -> tuple[list[_Candidate], float]:
    """Candidates by falling score, and the sum of all scores, that of a random answer among them."""
    cells = {part: _cell(solved, part, evidence.options[part]) for part in evidence.wrong}
    random = RANDOM * float(np.prod(list(cells.values()))) * _STILL_RIGHT ** len(evidence.right)
    candidates = [
        *_mistakes(solved, variants, evidence, cells, shrink),
        *_slips(slips, evidence, cells, shrink),
    ]
    merged: dict[tuple[str, ...], _Candidate] = {}
    for c in candidates:
        before = merged.get(c.ids)
        merged[c.ids] = c if before is None else c.joined_with(before)
    ranked = sorted(merged.values(), key=lambda c: (-c.score, c.ids))
    return ranked, random + sum(c.score for c in ranked)


def _mistakes(
    solved: Solved, variants: Variants, evidence: Evidence, cells: Mapping[str, float], shrink: float
) -> list[_Candidate]:
    if not len(variants):
        return []
    fits = {part: _fit(solved, variants, part, evidence.options[part]) for part in (*evidence.wrong, *evidence.right)}
    factor = np.ones(len(variants))
    explains = np.zeros(len(variants), dtype=bool)
    for part in evidence.wrong:
        explains |= fits[part] > 0
        factor *= np.where(fits[part] > 0, fits[part], cells[part] * _SECOND_CAUSE)
    for part in evidence.right:
        factor *= np.where(fits[part] > 0, fits[part], _OTHERWISE)
    rows = np.flatnonzero(explains)
    if not len(rows):
        return []
    scores = SYSTEMATIC * shrink * variants.priors[rows] * factor[rows]
    groups: dict[tuple[object, ...], list[int]] = {}
    parts = tuple(variants.values)
    for k, row in enumerate(rows):
        same = tuple(round(float(variants.values[part][row]), 6) for part in parts)
        groups.setdefault((same, tuple(bool(fits[p][row] > 0) for p in sorted(evidence.wrong))), []).append(k)
    return [
        _Candidate(
            _by_weight({variants.mistakes[rows[k]] for k in members}),
            float(scores[members].sum()),
            frozenset(p for p in evidence.wrong if fits[p][rows[members[0]]] > 0),
            frozenset(variants.methods[rows[k]] for k in members),
        )
        for members in groups.values()
    ]


def _by_weight(ids: set[str]) -> tuple[str, ...]:
    table = wordings()
    return tuple(sorted(ids, key=lambda i: (-(table[i].weight if i in table else 100.0), i)))


def _fit(solved: Solved, variants: Variants, part: str, option: Option) -> Floats:
    """How well each variant fits a written part: 1 within the digits written, less within the place asked, 0 outside."""
    values, room = variants.values[part], variants.spreads[part]
    written, key = option.written, solved.solution.part(part)
    apart = np.abs(difference(part, written.value, values))
    tight = written.place / 2 + room + 1e-9
    loose = max(written.place, key.place) / 2 + room + 1e-9
    fit = np.where(apart <= tight, 1.0, np.where(apart <= loose, _LOOSE, 0.0))
    if part == "direction" and option.direction is not None:
        form = option.direction.form
        fit = np.where([not forms or form in forms for forms in variants.forms], fit, 0.0)
    return np.nan_to_num(fit)


def _slips(slips: Sequence[Slip], evidence: Evidence, cells: Mapping[str, float], shrink: float) -> list[_Candidate]:
    if not slips:
        return []
    table = wordings()
    total = sum(w.weight for w in table.values() if w.id in SLIPS)
    found = []
    for slip in slips:
        rest = evidence.wrong - slip.parts
        if not slip.parts & evidence.wrong:
            continue
        factor = float(np.prod([cells[p] * _SECOND_CAUSE for p in rest])) if rest else 1.0
        score = SLIPPED * shrink * table[slip.mistake].weight / total / slip.ways * factor
        found.append(_Candidate((slip.mistake,), score, slip.parts & evidence.wrong))
    return found


SLIPS = frozenset(
    {
        "digits-switched",
        "decimal-point-moved",
        "sign-lost",
        "parts-interchanged",
        "other-problem",
        "minutes-as-decimals",
        "cut-off",
        "wrong-unit",
        "letters-left-out",
    }
)
"""Mistakes that damage a right result on its way onto paper."""


def _cell(solved: Solved, part: str, option: Option) -> float:
    """The chance that a random wrong answer falls on this number, as finely as it is written."""
    key = solved.solution.part(part)
    width = max(option.written.place, 0.01 * key.place) + 2 * key.spread
    if part == "direction":
        extent = 360.0
    elif is_angular(solved.problem, part):
        extent = 180.0
    else:
        extent = 3.0 * max(abs(key.value), abs(option.written.value), key.place)
    return min(1.0, width / extent)
