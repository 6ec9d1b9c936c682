"""Which mistake each wrong answer is counted as, for every report alike: terminal, workbook and page of the class.

One answer may fit several mistakes (`` / `` in the column ``mistake``). Of those the first is taken, as in the words to the
student: the marking puts that first for which the student's other answers and the class speak. The others stay in view as *also
possible*.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd

HABITS = ("rounded early", "rounded too far", "right, other form")
"""Verdicts that cost points without a mistake in the working."""

_ANSWERED_NOTHING = "blank"


@dataclass(frozen=True, slots=True)
class Incident:
    """One student's mistake on one problem: how sure (0 to 1), how many points it cost, in which method (or blank), and how
    many parts of the answer show it.

    ``also`` are the other mistakes that the answer fits as well.
    """

    student: str
    problem: str
    chance: float
    lost: float
    method: str = ""
    also: tuple[str, ...] = ()
    parts: int = 1

    @property
    def weight(self) -> float:
        return self.chance * self.lost


@dataclass(frozen=True)
class Attribution:
    """The incidents of every mistake, and for each the other mistakes that its answers fit as well."""

    incidents: Mapping[str, tuple[Incident, ...]]
    also: Mapping[str, tuple[str, ...]]


@dataclass
class _Open:
    """A mistake on one problem of one student, gathered part by part; the first of the candidates is taken."""

    student: str
    problem: str
    candidates: tuple[str, ...]
    chance: float = 0.0
    lost: float = 0.0
    method: str = ""
    parts: int = 0


@dataclass
class _Gathered:
    open: dict[tuple[str, str, tuple[str, ...]], _Open] = field(default_factory=dict)

    def add(
        self, student: str, problem: str, candidates: tuple[str, ...], chance: float, lost: float, method: str
    ) -> None:
        one = self.open.setdefault((student, problem, candidates), _Open(student, problem, candidates))
        one.chance = max(one.chance, chance)
        one.lost += lost
        one.parts += 1
        one.method = one.method or method


def attribute(marks: pd.DataFrame) -> Attribution:
    """Every mistake and habit of the class, from marks with text columns free of gaps (``summary.as_text``)."""
    import pandas as pd

    gathered = _Gathered()
    methods = marks["method"].fillna("").tolist() if "method" in marks else [""] * len(marks)
    # Points that lateness took are no sign of how an answer was written.
    late = pd.to_numeric(marks["days_late"]).gt(0).tolist() if "days_late" in marks else [False] * len(marks)
    columns = [
        marks[name].tolist()
        for name in ("student_id", "problem", "verdict", "mistake", "mistake_chance", "points", "points_possible")
    ]
    for student, problem, verdict, mistake, chance, points, possible, method, is_late in zip(*columns, methods, late):
        lost = 0.0 if math.isnan(points) else max(0.0, possible - points)
        if mistake:
            sure = 1.0 if math.isnan(chance) else chance
            for acting in mistake.split(" + "):
                gathered.add(student, problem, tuple(acting.split(" / ")), sure, lost, method)
        elif verdict in HABITS and lost > 1e-9 and not is_late:
            gathered.add(student, problem, (verdict,), 1.0, lost, method)
    incidents: dict[str, list[Incident]] = defaultdict(list)
    also: dict[str, Counter[str]] = defaultdict(Counter)
    for one in gathered.open.values():
        chosen, *others = one.candidates
        incidents[chosen].append(
            Incident(one.student, one.problem, one.chance, one.lost, one.method, tuple(others), one.parts)
        )
        also[chosen].update(others)
    return Attribution(
        {id_: _once(found) for id_, found in incidents.items()},
        {id_: tuple(other for other, _ in also[id_].most_common()) for id_ in incidents},
    )


def _once(found: Sequence[Incident]) -> tuple[Incident, ...]:
    """One incident for each student and problem: two parts that point to one mistake in two ways are one wrong turn."""
    whole: dict[tuple[str, str], Incident] = {}
    for each in found:
        before = whole.get((each.student, each.problem))
        whole[each.student, each.problem] = (
            each
            if before is None
            else replace(
                each,
                chance=max(before.chance, each.chance),
                lost=before.lost + each.lost,
                also=tuple(dict.fromkeys((*before.also, *each.also))),
                parts=before.parts + each.parts,
            )
        )
    return tuple(whole.values())


def answered_by_problem(marks: pd.DataFrame) -> dict[str, set[str]]:
    """Problem → the students who wrote anything there, in the order of the marks."""
    found: dict[str, set[str]] = {str(problem): set() for problem in marks["problem"].unique()}
    for student, problem, verdict in zip(marks["student_id"], marks["problem"], marks["verdict"]):
        if verdict != _ANSWERED_NOTHING:
            found[problem].add(student)
    return found
