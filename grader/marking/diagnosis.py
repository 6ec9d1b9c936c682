"""Which mistake explains a wrong answer: candidates weighed against each other and against chance.

Bayes' rule over the causes of a wrong answer: one mistake in the working, two, a slip of the pen, or no systematic cause at
all (VanLehn 1990: many wrong answers have none, and slips must be modelled too). A candidate's weight is how common it is,
shared among the ways to make it, times how well it fits every part that was written. A random wrong answer falls on any
given number with a chance that depends on how finely the number is written.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import compress

import numpy as np

from grader.marking.evidence import RANDOM, ROUNDED, ROUNDED_EARLY, UNEXPLAINED, Weights, between_equals
from grader.marking.fitting import cell_of, fit_of, is_near
from grader.marking.options import Option
from grader.marking.slips import Slip
from grader.methods.solve import Solved
from grader.mistakes.catalogue import wordings
from grader.mistakes.kinds import kinds_of
from grader.mistakes.variants import PLUS, Mark, Variants, Way, mark_of
from grader.mistakes.weights import rank_of, weight_of

SLIPPED = 0.10
"""The share of slips among wrong answers before the answer is seen, beside those of mistakes in the working (mistakes.variants)
and of what is no mistake (marking.evidence)."""

# How much less likely an answer is than one that a cause gives to the digit in every part. Chosen on a simulated class
# (tests/benchmarks): larger ones name causes for random answers, smaller ones miss two mistakes at once.
_OTHERWISE = 0.02  # the mistake should have changed this part too, and it is right: found in another way
_SECOND_CAUSE = 0.003  # another part is wrong for a cause of its own
_STILL_RIGHT = 0.5  # a random wrong answer leaves another part right about as often as not
_FOLLOWS = (
    0.1  # the mistake leads to another number here, yet what is written follows from the wrong one by right steps
)

_SAYS_NONE = 0.2  # of wrong answers without a systematic cause, the share that say there is none (common practice)

_WORTH_NAMING = 0.02
"""The chance from which a less likely cause is worth the teacher's eyes."""

_NEGLIGIBLE = 1e-5
"""A row less likely than this share of the likeliest counts in the sum alone: it would never be named."""

_ALIKE_AT_MOST = 4
"""How many names of equal-valued causes are worth reading."""


@dataclass(frozen=True, slots=True)
class Cause:
    """What probably lies behind one wrong part.

    ``mistake`` holds ids: several acting together joined by `` + ``, those that no answer can tell apart by `` / ``; ``others``
    the next likely ones. ``chance`` is that of ``mistake``, between 0 and 1. ``method`` is the method in which it was made
    and ``step`` the role of the step where it parts from the right working, where only one fits; ``decimals`` are those kept
    on the way where fewer than asked.
    """

    mistake: str
    chance: float
    others: tuple[str, ...] = ()
    method: str = ""
    step: str = ""
    decimals: int | None = None


@dataclass(frozen=True)
class Evidence:
    """What a student wrote: each part's option, which parts are wrong, which are right, and which follow on from a wrong
    one by right steps."""

    options: Mapping[str, Option]
    wrong: frozenset[str]
    right: frozenset[str]
    follow: frozenset[str] = frozenset()

    def without(self, parts: frozenset[str]) -> Evidence:
        return replace(self, wrong=self.wrong - parts)


@dataclass(frozen=True)
class _Candidate:
    names: tuple[str, ...]
    score: float
    parts: frozenset[str]
    ways: tuple[Way, ...] = ()
    marks: frozenset[Mark] = frozenset()

    def joined_with(self, other: _Candidate) -> _Candidate:
        """One cause of the same parts out of two."""
        return _Candidate(
            self.names,
            self.score + other.score,
            self.parts,
            (*other.ways, *self.ways),
            self.marks | other.marks,
        )

    def implies(self, other: _Candidate) -> bool:
        """Whether this cause contains the other: the same, or that and one more mistake."""
        own = [frozenset(name.split(PLUS)) for name in self.names]
        return other is self or any(frozenset(name.split(PLUS)) <= ids for name in other.names for ids in own)

    def surely(self, id_: str) -> bool:
        """Whether a mistake is in this cause under each of its names."""
        return all(id_ in name.split(PLUS) for name in self.names)

    @property
    def name(self) -> str:
        return " / ".join(self.names)


def diagnose(
    solved: Solved,
    variants: Variants,
    slips: Sequence[Slip],
    evidence: Evidence,
    explain_from: float,
    weights: Weights | None = None,
    early: float = 0.0,
) -> dict[str, Cause]:
    """The probable cause of each wrong part; a part that nothing explains well enough is left out.

    All parts are explained together where one cause does it; a part that the best cause leaves open is looked at by itself.
    ``weights`` are the factors by which mistakes are more common here than the catalogue says. ``early`` is the share of the
    ways to round early that give all the wrong parts; where that is the likeliest cause, it is called ``ROUNDED_EARLY``.
    """
    share = ROUNDED * early * (weights or {}).get(ROUNDED_EARLY, 1.0)
    rounded = [_Candidate((ROUNDED_EARLY,), share, evidence.wrong)] if early else []
    causes: dict[str, Cause] = {}
    left, shrink = evidence, 1.0
    while left.wrong:
        ranked, total = _ranked(solved, variants, slips, left, shrink, weights or {}, rounded)
        if not ranked:
            break
        best, chance = _likeliest(ranked, total, explain_from)
        if rounded and best.names == ("cut-off",):
            # A digit cut off may as well come of results rounded on the way, which earn something.
            best, chance = rounded[0], rounded[0].score / total
        rounded = []
        # Right steps are given the benefit of the doubt: rounding early is named wherever nothing is likelier.
        if chance < explain_from and best.name != ROUNDED_EARLY:
            break
        cause = _cause(best, chance, _others(best, ranked, total))
        causes |= dict.fromkeys(best.parts, cause)
        left, shrink = left.without(best.parts), _SECOND_CAUSE
    return causes


def cause_of_none(variants: Variants, explain_from: float, weights: Weights | None = None) -> Cause | None:
    """The probable cause of an answer that there is none, where there is one: a mistake that ends without an answer."""
    weights = weights or {}
    scores = {id_: prior * weights.get(id_, 1.0) for id_, prior in variants.nowhere.items()}
    total = sum(scores.values()) + RANDOM * weights.get(UNEXPLAINED, 1.0) * _SAYS_NONE
    ranked = sorted(scores, key=lambda id_: (-scores[id_], id_))
    if not ranked or scores[ranked[0]] / total < explain_from:
        return None
    others = tuple(id_ for id_ in ranked[1:4] if scores[id_] / total >= _WORTH_NAMING)
    return Cause(ranked[0], round(scores[ranked[0]] / total, 4), others)


def _likeliest(ranked: Sequence[_Candidate], total: float, explain_from: float) -> tuple[_Candidate, float]:
    """The cause to name and its chance: the first one, or, where that is in doubt, the mistake that it shares with others.

    Two mistakes of which this is one speak for it too, where the other leaves no trace in what was written.
    """
    best = ranked[0]
    chance = sum(c.score for c in ranked if c.implies(best) and c.parts >= best.parts) / total
    if chance < explain_from and len(best.names) == 1 and PLUS in best.name:
        for id_ in sorted(best.name.split(PLUS), key=lambda id_: -weight_of((id_,))):
            # Which step goes wrong first is known of the pair, not of the one.
            alone = replace(best, names=(id_,), ways=tuple(way._replace(step="") for way in best.ways))
            shared = sum(c.score for c in ranked if c.parts == best.parts and c.surely(id_)) / total
            if shared >= explain_from:
                return alone, shared
    return best, chance


def _others(best: _Candidate, ranked: Sequence[_Candidate], total: float) -> list[str]:
    """The next likely causes of the same parts, as far as they say something new."""
    likely = [c for c in ranked if c.score / total >= _WORTH_NAMING and c.parts & best.parts]
    shared = best not in ranked
    return [c.name for c in likely if shared or not c.implies(best)][:3]


def _cause(best: _Candidate, chance: float, others: Sequence[str]) -> Cause:
    methods, steps = {way.method for way in best.ways}, {way.step for way in best.ways}
    decimals = {way.decimals for way in best.ways}
    return Cause(
        best.name,
        round(min(chance, 1.0), 4),
        tuple(others),
        methods.pop() if len(methods) == 1 else "",
        steps.pop() if len(steps) == 1 else "",
        decimals.pop() if len(decimals) == 1 else None,
    )


def _ranked(
    solved: Solved,
    variants: Variants,
    slips: Sequence[Slip],
    evidence: Evidence,
    shrink: float,
    weights: Weights,
    rounded: Sequence[_Candidate],
) -> tuple[list[_Candidate], float]:
    """Candidates by falling score, and the sum of all scores, that of a random answer among them."""
    cells = {part: cell_of(solved, part, evidence.options[part]) for part in sorted(evidence.wrong)}
    share = RANDOM * weights.get(UNEXPLAINED, 1.0) * shrink
    random = share * float(np.prod(list(cells.values()))) * _STILL_RIGHT ** len(evidence.right | evidence.follow)
    mistakes, unlikely = _mistakes(solved, variants, evidence, cells, shrink, weights)
    merged: dict[_Name, _Candidate] = {}
    for c in (
        *mistakes,
        *_slips(slips, evidence, cells, shrink, weights),
        *rounded,
    ):
        before = merged.get((c.names, c.parts))
        merged[c.names, c.parts] = c if before is None else c.joined_with(before)
    _join_twins(merged, solved)
    ranked = sorted(merged.values(), key=lambda c: (-c.score, c.names, sorted(c.parts)))
    return ranked, random + unlikely + sum(c.score for c in ranked)


_Name = tuple[tuple[str, ...], frozenset[str]]
"""The names of a candidate with the parts that it explains."""


def _join_twins(candidates: dict[_Name, _Candidate], solved: Solved) -> None:
    """A sign lost while the answer was written down, and a mistake in the working that turns only that sign round: no answer
    can tell them apart, so they are one cause under both names, the likelier first."""
    for alone in [c for c in candidates.values() if c.names == ("sign-lost",)]:
        turned = mark_of(solved, {key.part: -key.value for key in solved.solution.parts if key.part in alone.parts})
        like = [c for c in candidates.values() if turned in c.marks and c.parts == alone.parts]
        if like:
            twin = max(like, key=lambda c: c.score)
            del candidates[alone.names, alone.parts], candidates[twin.names, twin.parts]
            first, second = sorted((alone, twin), key=lambda c: -c.score)
            names = first.names + second.names
            candidates[names, alone.parts] = replace(twin.joined_with(alone), names=names)


def _mistakes(
    solved: Solved,
    variants: Variants,
    evidence: Evidence,
    cells: Mapping[str, float],
    shrink: float,
    weights: Weights,
) -> tuple[list[_Candidate], float]:
    """The candidates among the variants, and the score of all that are too unlikely to be named."""
    if not len(variants):
        return [], 0.0
    near = np.zeros(len(variants), dtype=bool)
    for part in evidence.wrong:
        near |= is_near(solved, variants, part, evidence.options[part])
    rows = np.flatnonzero(near)
    parts = sorted(evidence.wrong | evidence.right | evidence.follow)
    fits = {part: fit_of(solved, variants, rows, part, evidence.options[part]) for part in parts}
    explains = np.zeros(len(rows), dtype=bool)
    for part in evidence.wrong:
        explains |= fits[part] > 0
    if not explains.any():
        return [], 0.0
    rows = rows[explains]
    fits = {part: fit[explains] for part, fit in fits.items()}
    scores = variants.prior[rows] * shrink
    for part in parts:
        instead = cells[part] * _SECOND_CAUSE if part in cells else _OTHERWISE if part in evidence.right else _FOLLOWS
        scores = scores * np.where(fits[part] > 0, fits[part], instead)
    if weights:
        for k, row in enumerate(rows.tolist()):
            for id_ in variants.ways[row].mistakes:
                scores[k] *= weights.get(id_, 1.0)
    likely = scores >= _NEGLIGIBLE * scores.max()
    unlikely = float(scores[~likely].sum())
    groups: dict[tuple[Mark, frozenset[str]], tuple[list[Way], list[float]]] = {}
    wrong = sorted(evidence.wrong)
    reached_by = zip(*((fits[part][likely] > 0).tolist() for part in wrong))
    for row, score, flags in zip(rows[likely].tolist(), scores[likely].tolist(), reached_by):
        reached = frozenset(compress(wrong, flags))
        ways, shares = groups.setdefault((variants.marks[row], reached), ([], []))
        ways.append(variants.ways[row])
        shares.append(score)
    kinds = kinds_of(solved.problem)
    candidates = [
        _Candidate(
            _in_order(_named(frozenset(way.mistakes for way in ways), kinds), kinds, weights),
            sum(shares),
            reached,
            tuple(ways),
            frozenset({mark}),
        )
        for (mark, reached), (ways, shares) in groups.items()
    ]
    return candidates, unlikely


def _in_order(names: tuple[str, ...], kinds: tuple[str, ...], weights: Weights) -> tuple[str, ...]:
    """Names of equal-valued causes in the order in which the class and the student's other problems speak for them: the
    first is what the student is told, and what the class page counts."""
    if len(names) == 1 or not weights:
        return names
    weights = between_equals(weights)

    def speaks_for(name: str) -> float:
        ids = name.split(PLUS)
        return rank_of(ids, kinds) * math.prod(weights.get(id_, 1.0) for id_ in ids)

    return tuple(sorted(names, key=lambda name: -round(speaks_for(name), 12)))


@lru_cache(maxsize=4096)
def _named(groups: frozenset[tuple[str, ...]], kinds: tuple[str, ...]) -> tuple[str, ...]:
    """Names of equal-valued causes: one mistake before two, then the commonest first on problems of these kinds; the rare
    rest is left out."""
    fewest = min(map(len, groups))
    ranked = sorted((g for g in groups if len(g) == fewest), key=lambda g: (-rank_of(g, kinds), g))
    return tuple(PLUS.join(group) for group in ranked[: _ALIKE_AT_MOST if fewest > 1 else None])


def _slips(
    slips: Sequence[Slip], evidence: Evidence, cells: Mapping[str, float], shrink: float, weights: Weights
) -> list[_Candidate]:
    table = wordings()
    total = sum(w.weight for w in table.values() if w.id in SLIPS)
    found = []
    for slip in slips:
        reached = slip.parts & evidence.wrong
        if not reached:
            continue
        factor = float(np.prod([cells[part] * _SECOND_CAUSE for part in sorted(evidence.wrong - slip.parts)]))
        share = table[slip.mistake].weight / total / slip.ways * weights.get(slip.mistake, 1.0)
        found.append(_Candidate((slip.mistake,), SLIPPED * shrink * share * factor, reached))
    return found


SLIPS = frozenset(
    {
        "digits-switched",
        "digit-changed",
        "decimal-point-moved",
        "sign-lost",
        "parts-interchanged",
        "other-problem",
        "minutes-as-decimals",
        "cut-off",
        "wrong-unit",
        "letters-left-out",
        "given-copied",
    }
)
"""Mistakes that damage a right result on its way onto paper, or take another number for it."""
