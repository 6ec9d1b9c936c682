"""What a class and a student's other problems say about which mistakes are likely: an empirical-Bayes step.

A first marking with the catalogue's own weights gives expected counts of each mistake. The share of a mistake among wrong
answers is then estimated twice, each time by the mean of a Dirichlet posterior (Gelman et al., Bayesian Data Analysis,
section 3.4; memory): for the class, starting from the catalogue; for a student, starting from the class and counting the
student's *other* problems only, so that an answer never speaks for itself. The result is passed into ``mark`` as a value.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from grader.mistakes.catalogue import wordings
from grader.mistakes.variants import PLUS

if TYPE_CHECKING:
    import pandas as pd

CLASS_STRENGTH = 60.0
"""How many wrong answers of a class weigh as much as the catalogue."""
STUDENT_STRENGTH = 4.0
"""How many wrong answers of a student weigh as much as the class: few, because a calculator in radians stays in radians."""

# Shares among wrong answers, before the answer is seen, of what is no mistake of the catalogue.
ROUNDED, RANDOM = 0.10, 0.15

ROUNDED_EARLY = "rounded-early"
"""Stands beside the ids of mistakes for right steps with results rounded too early."""

UNEXPLAINED = "unexplained"
"""Stands beside the ids of mistakes for a wrong answer without a systematic cause."""

Weights = Mapping[str, float]
"""For each mistake id, ``ROUNDED_EARLY`` and ``UNEXPLAINED`` the factor by which it is more common here than the catalogue says;
what is not named has 1."""


class StudentWeights(dict[str, float]):
    """The factors for a student's answer; ``own`` are those of the student's other problems alone, without the class.

    Between names that no answer can tell apart the student's own work decides: what is common in the class may be what this
    student gets right elsewhere.
    """

    def __init__(self, weights: Mapping[str, float], own: Mapping[str, float]) -> None:
        super().__init__(weights)
        self.own = own


def between_equals(weights: Weights) -> Weights:
    """The factors that put names of equal causes in order."""
    return weights.own if isinstance(weights, StudentWeights) else weights


@dataclass(frozen=True)
class ClassEvidence:
    """Factors for the class, and for a student's answer to one problem."""

    of_class: Weights = field(default_factory=dict)
    of_student: Mapping[tuple[str, str], Weights] = field(default_factory=dict)

    def weights(self, student_id: str, problem: str) -> Weights:
        """The factors for one student's answer to one problem."""
        return self.of_student.get((student_id, problem), self.of_class)


def class_evidence(marks: pd.DataFrame) -> ClassEvidence:
    """The evidence that a first marking gives. Rows may come in any order.

    A habit of rounding early counts as a mistake does, and so does a wrong answer that nothing explains: who gives several
    such is less likely to have made a mistake of the catalogue where the numbers could be one by chance.
    """
    wrong = marks[(marks["mistake"] != "") & marks["mistake_chance"].notna()]
    # One answer is one piece of evidence, however many parts of it the mistake explains.
    answers = wrong.drop_duplicates(["student_id", "problem", "mistake"]).sort_values(
        ["student_id", "problem", "mistake"]
    )
    counts: dict[str, dict[str, dict[str, float]]] = {}
    for student, problem, mistake, chance in zip(
        answers["student_id"], answers["problem"], answers["mistake"], answers["mistake_chance"]
    ):
        for id_, share in _ids(str(mistake)).items():
            of_problem = counts.setdefault(str(student), {}).setdefault(str(problem), {})
            of_problem[id_] = of_problem.get(id_, 0.0) + share * float(chance)
    for id_, verdict in ((ROUNDED_EARLY, "rounded early"), (UNEXPLAINED, "wrong")):
        for student, problem in _without_mistake(marks, verdict):
            counts.setdefault(student, {}).setdefault(problem, {})[id_] = 1.0
    base = _catalogue_shares()
    # A mistake that the teacher wrote down is as common as any: see weight_of.
    commonest = max(share for id_, share in base.items() if id_ not in (ROUNDED_EARLY, UNEXPLAINED))
    total = _summed(one for problems in counts.values() for one in problems.values())
    everything = math.fsum(total.values())
    shares = {
        id_: (CLASS_STRENGTH * base.get(id_, commonest) + total.get(id_, 0.0)) / (CLASS_STRENGTH + everything)
        for id_ in {*base, *total}
    }
    of_class = {id_: share / base.get(id_, commonest) for id_, share in shares.items()}
    of_student = {}
    labels: dict[str, list[str]] = {}
    pairs = marks.loc[marks["student_id"].isin(counts), ["student_id", "problem"]].drop_duplicates()
    for student, problem in zip(pairs["student_id"], pairs["problem"]):
        labels.setdefault(str(student), []).append(str(problem))
    for student, problems in counts.items():
        for problem in labels[student]:
            others = _summed(one for label, one in problems.items() if label != problem)
            if others:
                of_student[student, problem] = _for_student(others, shares, of_class)
    return ClassEvidence(of_class, of_student)


def _for_student(others: Mapping[str, float], shares: Mapping[str, float], of_class: Weights) -> Weights:
    seen = math.fsum(others.values())
    own = {
        id_: (STUDENT_STRENGTH * shares[id_] + others.get(id_, 0.0)) / (STUDENT_STRENGTH + seen) / shares[id_]
        for id_ in of_class
    }
    return StudentWeights({id_: factor * own[id_] for id_, factor in of_class.items()}, own)


def _without_mistake(marks: pd.DataFrame, verdict: str) -> list[tuple[str, str]]:
    """(Student, problem) of the answers with this verdict on some part and a mistake named on none."""
    named = marks.loc[marks["mistake"] != "", ["student_id", "problem"]]
    found = marks.loc[marks["verdict"] == verdict, ["student_id", "problem"]].drop_duplicates()
    explained = set(zip(named["student_id"], named["problem"]))
    answers = zip(found["student_id"], found["problem"])
    return sorted((str(student), str(problem)) for student, problem in answers if (student, problem) not in explained)


def _ids(mistake: str) -> dict[str, float]:
    """The ids of a mistake cell, those that no answer can tell apart sharing one count."""
    groups = [group.split(PLUS) for group in mistake.split(" / ")]
    counts: dict[str, float] = {}
    for group in groups:
        for id_ in group:
            counts[id_] = counts.get(id_, 0.0) + 1.0 / len(groups)
    return counts


def _summed(tables: Iterable[Mapping[str, float]]) -> dict[str, float]:
    total: dict[str, list[float]] = {}
    for table in tables:
        for id_, count in table.items():
            total.setdefault(id_, []).append(count)
    return {id_: math.fsum(parts) for id_, parts in total.items()}


def _catalogue_shares() -> dict[str, float]:
    table = wordings()
    total = math.fsum(wording.weight for wording in table.values()) / (1.0 - ROUNDED - RANDOM)
    shares = {id_: wording.weight / total for id_, wording in table.items()}
    return {**shares, ROUNDED_EARLY: ROUNDED, UNEXPLAINED: RANDOM}
