"""Follow-on: a later part that is exactly what the student's own earlier result leads to by right steps."""

from __future__ import annotations

from collections.abc import Mapping

from grader.marking.rounding import Written
from grader.methods.solve import Solved
from grader.methods.steps import Method, difference, spread_of
from grader.methods.vectors import constant
from grader.mistakes.altering import Alteration
from grader.mistakes.side_by_side import run_many


def follows_on(
    solved: Solved, part: str, written: Mapping[str, Written], wrong: frozenset[str], carried_decimals: int
) -> str:
    """The earlier wrong part that this part follows from by right steps, or an empty text.

    ``written`` has the student's number for each part that has one, ``wrong`` the parts judged wrong.
    """
    for method in solved.methods:
        position = {step.name: i for i, step in enumerate(method.steps)}
        target = position.get(_source(method, part), -1)
        earlier = {
            other: number
            for other, number in written.items()
            if other != part and position.get(method.answers.get(other, ""), len(position)) < target
        }
        if not wrong & set(earlier):
            continue
        own = Alteration({method.answers[other]: constant(number.value) for other, number in earlier.items()})
        reached = float(run_many(method, [own])[part][0, 0])
        # The student may carry the number as written, or as it stood before it was written down.
        places = {other: number.place for other, number in earlier.items()}
        room = spread_of(own.of(method), carried_decimals, places)[part]
        apart = abs(float(difference(part, written[part].value, reached)))
        if apart <= written[part].place / 2 + room + 1e-9:
            return next(other for other in earlier if other in wrong)
    return ""


def _source(method: Method, part: str) -> str:
    return method.answers.get(part, "")
