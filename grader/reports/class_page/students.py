"""The class student by student: how many points each has, and which wrong turns they took where."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from grader.reports.class_page.turns import Turn
from grader.reports.summary import StudentScore, student_scores
from grader.reports.words import amount

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class StudentLine:
    """A student as the page shows one: ``turns`` are the wrong turns, the most teachable first, with the problems."""

    name: str
    section: str
    points: str
    waiting: int
    turns: tuple[tuple[Turn, tuple[str, ...]], ...]

    @property
    def anchors(self) -> str:
        """The wrong turns by their places on the page, for the filters."""
        return " ".join(turn.anchor for turn, _ in self.turns)

    @property
    def problems(self) -> tuple[str, ...]:
        """The problems of the wrong turns, for the filters."""
        return tuple(dict.fromkeys(label for _, labels in self.turns for label in labels))


def student_lines(
    table: pd.DataFrame, names: Mapping[str, str], sections: Mapping[str, str], turns: Sequence[Turn]
) -> tuple[StudentLine, ...]:
    """Every student who took a wrong turn, the smallest share of the points first, then by name.

    Points of answers that still need a look are not there yet; ``waiting`` counts their parts.
    """
    taken: dict[str, list[tuple[Turn, tuple[str, ...]]]] = {}
    for turn in turns:
        for student, labels in turn.found.problems_of.items():
            taken.setdefault(student, []).append((turn, labels))
    earned = {
        student: math.fsum(points)
        for student, points in table["points"].dropna().groupby(table["student_id"], sort=False)
    }

    def share(score: StudentScore) -> float:
        return earned.get(score.student_id, 0.0) / score.possible if score.possible else 1.0

    scores = [score for score in student_scores(table) if score.student_id in taken]
    scores.sort(key=lambda score: (round(share(score), 9), names[score.student_id].casefold()))
    return tuple(
        StudentLine(
            names[score.student_id],
            sections[score.student_id],
            f"{amount(earned.get(score.student_id, 0.0))} of {amount(score.possible)}",
            score.to_look_at,
            tuple(taken[score.student_id]),
        )
        for score in scores
    )
