"""The problems that one student missed, each drawn with the student's own vector in it.

Nothing here knows of anyone else: the function is given one student's rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from grader.methods.solve import Solved
from grader.reports.drawing.answers import answer_from
from grader.reports.drawing.sheet import Picture
from grader.reports.drawing.theme import Theme
from grader.reports.drawing.vectors import problem_picture

_RIGHT = ("right", "right, other form")


class MarkedPart(Protocol):
    """What a drawing needs of a part's mark: which part of which problem, the verdict, and the number judged."""

    @property
    def problem(self) -> str: ...
    @property
    def part(self) -> str: ...
    @property
    def verdict(self) -> str: ...
    @property
    def value(self) -> float: ...


def missed_pictures(
    solved: Sequence[Solved], rows: Sequence[MarkedPart], show_answers: bool, theme: Theme = "auto"
) -> dict[str, Picture]:
    """Problem label → the picture of a problem that the student of these rows missed.

    The right vector is in it only where ``show_answers`` allows. A problem with no number to draw has no picture, unless
    the right answer may be shown.
    """
    found = {}
    for one in solved:
        here = [row for row in rows if row.problem == one.problem.label]
        if not here or all(row.verdict in _RIGHT for row in here):
            continue
        answer = answer_from((row.part, row.value) for row in here)
        if answer or (show_answers and not one.solution.none):
            found[one.problem.label] = problem_picture(
                one, student=answer or None, show_right=show_answers, theme=theme
            )
    return found
