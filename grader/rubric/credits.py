"""Points as a teacher decides them: a number, a percentage of the points possible, or the word for a verdict."""

from __future__ import annotations

from grader.exchange.cells import Cell, fold
from grader.exchange.columns import asked_parts
from grader.marking.definitions import Settings
from grader.methods.problem import Problem
from grader.rubric import cells
from grader.rubric.cells import CellError


def credit_of_verdicts(settings: Settings) -> dict[str, float]:
    """Verdict → the share of the points that it earns, for the verdicts that earn the same always."""
    return {
        "right": settings.credit_right,
        "right, other form": settings.credit_other_form,
        "rounded too far": settings.credit_rounded_too_far,
        "rounded early": settings.credit_rounded_early,
        "follows on": settings.credit_follows_on,
        "wrong": 0.0,
        "blank": 0.0,
    }


def decided_points(cell: Cell, possible: float | None, settings: Settings) -> float:
    """The points that a cell gives: ``1.5``, ``75%`` of ``possible`` (None where unknown), or ``right``.

    More than what is possible is refused: it is a slip of the keyboard, and “9 of 4 points” is no mark.
    """
    expected = "points, a percentage of them, or a verdict such as right"
    said = cells.text(cell)
    by_verdict = {fold(verdict): share for verdict, share in credit_of_verdicts(settings).items()}
    share: float | None = by_verdict.get(fold(said))
    try:
        if share is None and said.endswith("%"):
            share = cells.share(said)
        if share is None:
            value = cells.number(cell)
    except CellError as error:
        raise CellError(expected, error.remedy) from error
    if share is not None:
        if possible is None:
            raise CellError("points as a number")
        return round(share * possible, 6)
    if value < 0:
        raise CellError("points of zero or more", "Points cannot be negative.")
    check_possible(value, possible)
    return value


def check_possible(points: float, possible: float | None) -> None:
    """Raise CellError for more points than there are to earn."""
    if possible is not None and points > possible + 1e-6:
        raise CellError(f"at most {possible:g}, the points there are", "Give more by raising Points in the rubric.")


def points_possible(problem: Problem, part: str = "") -> float | None:
    """What a part of a problem, or (blank) all of it, can earn; None where it has no such part."""
    parts = asked_parts(problem)
    if not part:
        return sum(problem.points)
    if part not in parts:
        return None
    return problem.points[parts.index(part)] if len(problem.points) > 1 else problem.points[0] / len(parts)
