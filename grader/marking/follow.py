"""Follow-on: a later part that is exactly what the student's own earlier result leads to by right steps."""

from __future__ import annotations

from collections.abc import Mapping

from grader.marking.rounding import Written
from grader.methods.solve import Solved
from grader.methods.steps import Method, difference, nudges, run
from grader.methods.vectors import constant
from grader.mistakes.altering import Alteration


def follow_on(solved: Solved, written: Mapping[str, Written], wrong: frozenset[str], carried_decimals: int) -> dict[str, str]:
    """For each wrong part that follows from an earlier wrong one by right steps, that earlier part.

    ``written`` has the student's number for each part that has one. In the order of the steps the first wrong part follows
    from nothing: one wrong part is always left. Of several orders the one that explains most counts, the usual one first.
    """
    best: dict[str, str] = {}
    for method in (*solved.every_way, *solved.every_second_way):
        found = _in_order(method, written, wrong, carried_decimals)
        if len(found) > len(best):
            best = found
        if len(best) == len(wrong) - 1:
            break
    return best


def _in_order(method: Method, written: Mapping[str, Written], wrong: frozenset[str], carried_decimals: int) -> dict[str, str]:
    position = {step.name: i for i, step in enumerate(method.steps)}
    order = sorted(
        (part for part in written if method.answers.get(part) in position), key=lambda part: position[method.answers[part]]
    )
    found: dict[str, str] = {}
    for i, part in enumerate(order):
        earlier = order[:i]
        if part not in wrong or not wrong.intersection(earlier):
            continue
        if _reached(method, part, {other: written[other] for other in earlier}, written[part], carried_decimals):
            found[part] = next(other for other in earlier if other in wrong)
    return found


def _reached(method: Method, part: str, earlier: Mapping[str, Written], own: Written, carried_decimals: int) -> bool:
    """Whether right steps lead from the student's earlier numbers to this one."""
    replaced = Alteration({method.answers[other]: constant(number.value) for other, number in earlier.items()})
    # The student may carry a number as written, or as it stood before it was written down.
    family = nudges(method, carried_decimals, {other: number.place for other, number in earlier.items()})
    columns = run(replaced.of(method), family.carry).answers[part]
    value, room = family.value(columns), float(family.spread(part, columns))
    return abs(float(difference(part, own.value, value))) <= own.place / 2 + room + 1e-9
