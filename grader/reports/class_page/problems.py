"""How each problem went: how many got it right, its test statistics, and what these say in plain words."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from grader.exchange.cells import counted
from grader.reports.statistics import (
    complete_rows,
    corrected_discrimination,
    correlation_interval,
    cronbach_alpha,
    difficulty,
    extreme_groups,
    kr20,
    upper_minus_lower,
)

if TYPE_CHECKING:
    import pandas as pd

STATES = ("right", "partly right", "wrong", "blank", "to look at")
"""How one student stands on one problem, all of its parts together."""

_RIGHT = ("right", "right, other form")
_ENOUGH_STUDENTS = 30
"""Of fewer finished students nothing is said about telling strong from weak (common practice)."""

_TO_LOOK_AT = STATES.index("to look at")


@dataclass(frozen=True)
class ProblemFigures:
    """The figures of one problem. Shares lie between 0 and 1; what the data cannot give is nan.

    ``difficulty`` is the share of points earned; ``top_right`` of the ``top_size`` best students got it right.
    ``complete`` students have every problem settled; ``methods`` counts the students whose answers show a method, by method.
    """

    label: str
    states: Mapping[str, int]
    difficulty: float
    discrimination: float
    upper_lower: float
    top_right: int
    top_size: int
    methods: Mapping[str, int]
    complete: int = 0

    @property
    def students(self) -> int:
        return sum(self.states.values())

    @property
    def right(self) -> int:
        return self.states["right"]

    def share(self, state: str) -> float:
        return self.states[state] / self.students if self.students else math.nan

    @property
    def enough(self) -> bool:
        """Whether enough students are finished to compare strong with weak."""
        return self.complete >= _ENOUGH_STUDENTS

    @property
    def tells(self) -> bool:
        """Whether the correlation with the rest is surely not 0: enough students, and 0 outside its 95 % interval."""
        interval = correlation_interval(self.discrimination, self.complete)
        return self.enough and not interval.low <= 0.0 <= interval.high

    def concerns(self) -> tuple[str, ...]:
        """What the figures ask the teacher to look at, in plain words, the most pressing first; at most two sentences."""
        return _concerns(self)

    def reading(self) -> str:
        """What the figures say, in plain words, also where they ask for nothing."""
        said = list(self.concerns())
        if self.difficulty >= 0.9:
            said.append("Nearly everyone can do this; it needs no more time.")
        elif self.tells and self.discrimination >= 0.4:
            said.append("It separates well: those who do well on the rest do well here.")
        elif not self.enough:
            said.append("Too few finished students to say whether it tells strong from weak.")
        elif not self.tells and not math.isnan(self.discrimination):
            said.append("These marks do not show whether it tells strong from weak.")
        return " ".join(said[:2]) or "An ordinary problem: nothing in the figures asks for attention."


@dataclass(frozen=True)
class SetFigures:
    """The figures of all problems together, over the ``complete`` students with no answer left to look at."""

    problems: tuple[ProblemFigures, ...]
    students: int
    complete: int
    earned: float
    alpha: float
    kr20: float

    def reading(self) -> str:
        """What alpha says, in plain words."""
        if math.isnan(self.alpha):
            return "Too few settled answers to say how far the totals can be trusted."
        if self.alpha >= 0.8:
            return "The problems hang together well: the totals tell strong from weak reliably."
        if self.alpha >= 0.6:
            return "Good enough for a homework; differences of a few points between totals mean little."
        return "The problems ask for different things, so read them one by one rather than by the totals."


def problem_figures(marks: pd.DataFrame) -> SetFigures:
    """The figures of every problem, from marks with text columns free of gaps (``summary.as_text``)."""
    students = list(dict.fromkeys(marks["student_id"].tolist()))
    labels = list(dict.fromkeys(marks["problem"].tolist()))
    states, points, possible = _tables(marks, students, labels)
    right = np.where(states == _TO_LOOK_AT, np.nan, states == 0)
    hard = difficulty(points, possible)
    item_rest, extremes = corrected_discrimination(points), upper_minus_lower(points, possible)
    upper, _ = extreme_groups(points)
    methods = _methods(marks)
    complete = len(complete_rows(points))
    figures = tuple(
        ProblemFigures(
            label,
            {state: int((states[:, j] == place).sum()) for place, state in enumerate(STATES)},
            float(hard[j]),
            float(item_rest[j]),
            float(extremes[j]),
            int((states[upper, j] == 0).sum()),
            len(upper),
            methods.get(label, {}),
            complete,
        )
        for j, label in enumerate(labels)
    )
    whole = float(np.nansum(np.where(np.isfinite(points), possible, 0.0)))
    return SetFigures(
        figures,
        len(students),
        complete,
        float(np.nansum(points)) / whole if whole else math.nan,
        cronbach_alpha(points),
        kr20(right),
    )


def state_table(marks: pd.DataFrame, sections: Mapping[str, str]) -> dict[str, dict[str, dict[str, int]]]:
    """Problem → section → state → how many students; ``sections`` gives each student's, those without one are left out."""
    students = list(dict.fromkeys(marks["student_id"].tolist()))
    labels = list(dict.fromkeys(marks["problem"].tolist()))
    states, _, _ = _tables(marks, students, labels)
    found: dict[str, dict[str, dict[str, int]]] = {label: {} for label in labels}
    for student, row in zip(students, states):
        name = sections.get(student, "")
        if name:
            for label, state in zip(labels, row):
                found[label].setdefault(name, dict.fromkeys(STATES, 0))[STATES[state]] += 1
    return found


def _tables(
    marks: pd.DataFrame, students: Sequence[str], labels: Sequence[str]
) -> tuple[NDArray[np.intp], NDArray[np.float64], NDArray[np.float64]]:
    """For each student and problem the state (its place in ``STATES``) and the points; and each problem's points possible."""
    row, column = {id_: i for i, id_ in enumerate(students)}, {label: j for j, label in enumerate(labels)}
    cells: dict[tuple[int, int], list[tuple[str, float, float]]] = defaultdict(list)
    columns = [marks[name].tolist() for name in ("student_id", "problem", "verdict", "points", "points_possible")]
    for student, problem, verdict, points, most in zip(*columns):
        cells[row[student], column[problem]].append((verdict, points, most))
    states = np.full((len(students), len(labels)), STATES.index("blank"), dtype=np.intp)
    earned, possible = np.zeros((len(students), len(labels))), np.zeros(len(labels))
    for (i, j), parts in cells.items():
        earned[i, j] = math.fsum(points for _, points, _ in parts)
        most = math.fsum(each for *_, each in parts)
        possible[j] = max(possible[j], most)
        states[i, j] = STATES.index(_state([verdict for verdict, *_ in parts], float(earned[i, j]), most))
    return states, earned, possible


def _state(verdicts: Sequence[str], points: float, possible: float) -> str:
    if math.isnan(points):
        return "to look at"
    if all(verdict == "blank" for verdict in verdicts):
        return "blank"
    if all(verdict in _RIGHT for verdict in verdicts) or points >= possible - 1e-6 > 0:
        return "right"
    return "partly right" if points > 1e-9 else "wrong"


def _methods(marks: pd.DataFrame) -> dict[str, dict[str, int]]:
    """Problem → method → how many students' answers show it; a student whose parts disagree shows none."""
    if "method" not in marks:
        return {}
    shown: dict[tuple[str, str], set[str]] = defaultdict(set)
    for student, problem, method in zip(marks["student_id"], marks["problem"], marks["method"].fillna("")):
        if method:
            shown[problem, student].add(method)
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    for (problem, _), methods in shown.items():
        if len(methods) == 1:
            counts[problem].update(methods)
    return {problem: dict(counter) for problem, counter in counts.items()}


def _concerns(of: ProblemFigures) -> tuple[str, ...]:
    said = []
    if of.tells and of.discrimination < 0:
        said.append("Weaker students did better on it than strong ones: check the key and the wording.")
    if of.enough and of.top_size >= 3 and of.top_right < 0.5 * of.top_size:
        said.append(f"Only {of.top_right} of your best {of.top_size} got this one: check the wording.")
    if of.difficulty < 0.35:
        said.append("Hard for everyone: most of the points were lost.")
    if of.share("blank") >= 0.15:
        said.append(f"{of.states['blank']} of {of.students} left it blank: too long, or not yet taught?")
    if of.share("to look at") >= 0.1:
        waiting = of.states["to look at"]
        said.append(
            f"{counted(waiting, 'answer')} could not be judged: show the class how to write this kind of answer."
        )
    if of.tells and 0 <= of.discrimination < 0.15 and of.difficulty < 0.9:
        said.append("It hardly tells strong from weak: luck or a trap decides it.")
    return tuple(said[:2])
