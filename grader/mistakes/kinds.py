"""What kind of problem a mistake is made on: words that are true of one kind are false of another."""

from __future__ import annotations

from grader.methods.problem import Problem
from grader.notation.given import GivenHeading, GivenVectors
from grader.notation.readings import Direction

NO_ANSWER = "no answer"
"""Not of the problem but of the answer: it says that there is none."""

SEVERAL, TRUE_BEARINGS, NO_BEARING = "several vectors", "true bearings", "no bearing"
"""More than two vectors; every given bearing a true one, without letters; no bearing given and none asked."""

_LETTERED = ("quadrant bearing", "from an axis", "compass point")
_BEARING = (*_LETTERED, "true bearing")


def kinds_of(problem: Problem) -> tuple[str, ...]:
    """The kinds that a problem is of, that with the narrowest words first: what it finds (the column Find), then the rest."""
    directions = _directions(problem)
    forms = {direction.form for direction in directions}
    found = [problem.find]
    if isinstance(problem.given, GivenVectors) and len(problem.given.vectors) > 2:
        found.append(SEVERAL)
    if "true bearing" in forms and forms.isdisjoint(_LETTERED):
        found.append(TRUE_BEARINGS)
    if forms.isdisjoint(_BEARING) and problem.direction_as not in _BEARING:
        found.append(NO_BEARING)
    return tuple(found)


def _directions(problem: Problem) -> list[Direction]:
    given = problem.given
    if isinstance(given, GivenVectors):
        return [vector.direction for vector in given.vectors if vector.direction is not None]
    return [given.track, given.flow_direction] if isinstance(given, GivenHeading) else []
