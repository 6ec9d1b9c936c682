"""Nearby numbers for a problem that reveal more mistakes: the same story, whole or half units, whole degrees."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from grader.errors import GraderError
from grader.marking.prepared import Prepared
from grader.marking.reveal import Revealed, reveal
from grader.methods.problem import Problem
from grader.methods.solve import solve_problem
from grader.notation.given import GivenTriangle, GivenVectors, read_given

_NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w.])|(?<![\w.])\d+(?:\.\d+)?(?=°)")
_ANGLE_BEFORE = re.compile(r"(?:\bat|\bbearing|\bon|[ABC]\s*=|\b[NS])\s*$")

DEGREES = (1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 7, -7, 10, -10)
SHARES = (0.02, -0.02, 0.05, -0.05, 0.1, -0.1, 0.15, -0.15, 0.2, -0.2)
"""Moves that are tried: degrees for an angle, shares of its size for a length."""

_ROUNDS = 4


@dataclass(frozen=True)
class Suggestion:
    """Other data for a problem, and what the numbers reveal before and after."""

    given: str
    before: Revealed
    after: Revealed


def suggest(problem: Problem, carried_decimals: int = 4) -> Suggestion | None:
    """The nearby data that tell the most mistakes apart; None where nothing nearby is better.

    One number is changed at a time, the best change kept, up to four times. Directions stay in their quadrant, lengths
    stay whole (or halves, where they are).
    """
    before = _revealed(problem, carried_decimals)
    best, text, told = before, problem.given_text, before
    for _ in range(_ROUNDS):
        candidates = [
            (given, found) for given in _neighbours(text) if (found := _try(problem, given, carried_decimals))
        ]
        if not candidates:
            break
        given, told = max(candidates, key=lambda item: _worth(item[1]))
        if _worth(told) <= _worth(best):
            break
        best, text = told, given
    return Suggestion(text, before, best) if text != problem.given_text else None


def _worth(revealed: Revealed) -> tuple[int, int, int]:
    return len(revealed.told_apart), -len(revealed.invisible), -len(revealed.alike)


def _revealed(problem: Problem, carried_decimals: int) -> Revealed:
    return reveal(Prepared(solve_problem(problem, carried_decimals)), singles_only=True)


def _try(problem: Problem, text: str, carried_decimals: int) -> Revealed | None:
    try:
        given = read_given(problem.find, text, problem.direction_as)
        if not _same_story(problem, replace(problem, given=given)):
            return None
        return _revealed(replace(problem, given=given, given_text=text), carried_decimals)
    except GraderError:
        return None


def _same_story(old: Problem, new: Problem) -> bool:
    """Whether every vector still points into its quadrant, and a triangle problem still has as many triangles."""
    if isinstance(old.given, GivenVectors) and isinstance(new.given, GivenVectors):
        quadrants = [
            [int(v.direction.angle // 90) if v.direction else -1 for v in given.vectors]
            for given in (old.given, new.given)
        ]
        lengths = [v.magnitude.number.value for v in new.given.vectors if v.magnitude is not None]
        # Equal lengths make a special case of the triangle.
        return quadrants[0] == quadrants[1] and len(set(lengths)) == len(lengths)
    if isinstance(old.given, GivenTriangle):
        first, second = solve_problem(old), solve_problem(new)
        return (bool(first.solution.none), first.second is None) == (bool(second.solution.none), second.second is None)
    return True


def _steps(move: float, step: float) -> float:
    """A move as whole steps, at least one."""
    return math.copysign(step * max(1, round(abs(move) / step)), move)


def _neighbours(text: str) -> Iterator[str]:
    for found in _NUMBER.finditer(text):
        value = float(found[0])
        angle = text[found.end() : found.end() + 1] == "°" or _ANGLE_BEFORE.search(text[: found.start()])
        step = 0.5 if "." in found[0] else 1.0
        moves = DEGREES if angle else tuple(_steps(share * value, step) for share in SHARES)
        for move in dict.fromkeys(moves):
            moved = round((value + move) / step) * step if not angle else value + move
            if moved > 0:
                decimals = len(found[0].partition(".")[2])
                yield f"{text[: found.start()]}{moved:.{decimals}f}{text[found.end() :]}"
