"""Follow-on: a later part that is exactly what the student's own earlier result leads to by right steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from grader.marking.rounding import Written
from grader.methods.calculator import Value
from grader.methods.solve import Solved
from grader.methods.steps import Method, apart, nudges, run, spread_of
from grader.methods.vectors import constant


@dataclass(frozen=True)
class Worked:
    """A method with what its right run gave: every quantity, the room of honest working for each part, and the parts in
    the order in which their steps come."""

    method: Method
    quantities: Mapping[str, Value]
    room: Mapping[str, float]
    order: tuple[str, ...]


def worked(solved: Solved, carried_decimals: int) -> tuple[Worked, ...]:
    """Every way to work a problem, the usual one first, each run once."""
    found = []
    for method in (*solved.every_way, *solved.every_second_way):
        position = {step.name: i for i, step in enumerate(method.steps)}
        parts = [part for part, name in method.answers.items() if name in position]
        order = tuple(sorted(parts, key=lambda part: position[method.answers[part]]))
        found.append(Worked(method, run(method).quantities, spread_of(method, carried_decimals), order))
    return tuple(found)


def follow_on(
    ways: Sequence[Worked], written: Mapping[str, Written], wrong: frozenset[str], carried_decimals: int
) -> dict[str, str]:
    """For each wrong part that follows from an earlier wrong one by right steps, that earlier part.

    ``written`` has the student's number for each part that has one. In the order of the steps the first wrong part follows
    from nothing: one wrong part is always left. Of several orders the one that explains most counts, the usual one first.
    """
    best: dict[str, str] = {}
    for way in ways:
        found: dict[str, str] = {}
        earlier: dict[str, Written] = {}
        for part in way.order:
            if part not in written:
                continue
            cause = next((other for other in earlier if other in wrong), "")
            if part in wrong and cause and _reached(way, part, earlier, written[part], carried_decimals):
                found[part] = cause
            earlier[part] = written[part]
        if len(found) > len(best):
            best = found
        if len(best) == len(wrong) - 1:
            break
    return best


def _reached(way: Worked, part: str, earlier: Mapping[str, Written], own: Written, carried_decimals: int) -> bool:
    """Whether right steps lead from the student's earlier numbers to this one."""
    method = way.method
    replaced = {method.answers[other]: number.value for other, number in earlier.items()}
    first = next(i for i, step in enumerate(method.steps) if step.name in replaced)
    before = {
        name: value for name, value in way.quantities.items() if name not in {s.name for s in method.steps[first:]}
    }
    steps = tuple(
        step.with_rule(constant(replaced[step.name])) if step.name in replaced else step
        for step in method.steps[first:]
    )
    rest = replace(
        method, data=before, steps=steps, answers={p: n for p, n in method.answers.items() if p in (part, *earlier)}
    )
    # The student may carry a number as written, or as it stood before it was written down.
    family = nudges(rest, carried_decimals, {other: number.place for other, number in earlier.items()})
    columns = run(rest, family.carry).answers[part]
    room = own.place / 2 + float(family.spread(part, columns)) + way.room[part] + 1e-9
    return apart(part, own.value, family.value(columns)) <= room
