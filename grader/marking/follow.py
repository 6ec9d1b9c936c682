"""Follow-on: a later part that is exactly what the student's own earlier result leads to by right steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field, replace

import numpy as np

from grader.marking.rounding import Written
from grader.methods.calculator import Value
from grader.methods.solve import Solved
from grader.methods.steps import Method, Rule, apart, difference, nudges, run, spread_of


@dataclass(frozen=True)
class Worked:
    """A method with what its right run gave: every quantity, the room of honest working for each part, and the parts in
    the order in which their steps come.

    ``touchy`` are the parts that an earlier one, rounded as asked, can move further than the room that the key allows: near
    90° a last digit of the sine is half a degree. ``places`` are the places asked.
    """

    method: Method
    quantities: Mapping[str, Value]
    room: Mapping[str, float]
    order: tuple[str, ...]
    touchy: frozenset[str]
    places: Mapping[str, float]
    _between: dict[tuple[str, ...], Method | None] = field(default_factory=dict, repr=False, compare=False)

    def between(self, part: str, earlier: tuple[str, ...]) -> Method | None:
        """The right steps from the student's own numbers for earlier parts to a later one, those numbers still to be put in
        (``_with_own``); None where the later part comes from none of them."""
        key = (part, *earlier)
        if key not in self._between:
            method = self._steps_between(part, earlier)
            own = {_own(one) for one in earlier}
            self._between[key] = method if _comes_from(own, method, self.quantities) else None
        return self._between[key]

    def _steps_between(self, part: str, earlier: tuple[str, ...]) -> Method:
        method = self.method
        given = {method.answers[one]: _own(one) for one in earlier}
        position = {step.name: i for i, step in enumerate(method.steps)}
        first = min(position[name] for name in given)
        steps = method.steps[first : position[method.answers[part]] + 1]
        before = {name: v for name, v in self.quantities.items() if position.get(name, -1) < first}
        return replace(
            method,
            data=before,
            steps=tuple(step.with_rule(_taken(given[step.name])) if step.name in given else step for step in steps),
            answers={one: method.answers[one] for one in (part, *earlier)},
        )


def _own(part: str) -> str:
    """The name under which the student's own number for a part stands among the data."""
    return f"own {part}"


def _taken(name: str) -> Rule:
    return lambda q, _: q[name]


def _with_own(method: Method, own: Mapping[str, float]) -> Method:
    return replace(method, data={**method.data, **{_own(part): value for part, value in own.items()}})


def _comes_from(own: Set[str], method: Method, quantities: Mapping[str, Value]) -> bool:
    """Whether the first answer of a method comes from any of these data. ``quantities`` are those of the right run."""
    known = _Watched({**quantities, **dict.fromkeys(own, 1.0)})
    reached = set(own)
    for step in method.steps:
        known.looked_up.clear()
        with np.errstate(all="ignore"):
            step.rule(known, method.calculator)
        if known.looked_up & reached:
            reached.add(step.name)
    return next(iter(method.answers.values())) in reached


class _Watched(dict[str, Value]):
    """Quantities that keep in mind which of them were looked up."""

    def __init__(self, quantities: Mapping[str, Value]) -> None:
        super().__init__(quantities)
        self.looked_up: set[str] = set()

    def __getitem__(self, name: str) -> Value:
        self.looked_up.add(name)
        return super().__getitem__(name)


def worked(solved: Solved, carried_decimals: int) -> tuple[Worked, ...]:
    """Every way to work a problem, the usual one first, each run once."""
    found = []
    keys = {key.part: key for key in solved.solution.parts}
    asked = {part: key.place for part, key in keys.items()}
    for method in (*solved.every_way, *solved.every_second_way):
        position = {step.name: i for i, step in enumerate(method.steps)}
        parts = [part for part, name in method.answers.items() if name in position]
        order = tuple(sorted(parts, key=lambda part: position[method.answers[part]]))
        moved = spread_of(method, carried_decimals, asked)
        touchy = frozenset(part for part in order if part in keys and moved[part] > keys[part].spread + _HAIR)
        found.append(Worked(method, run(method).quantities, spread_of(method, carried_decimals), order, touchy, asked))
    return tuple(found)


def led_to(
    ways: Sequence[Worked], written: Mapping[str, Written], wrong: frozenset[str], carried_decimals: int
) -> frozenset[str]:
    """The parts, ``wrong`` beside the exact value, that right steps lead to from the student's own right results.

    The room for honest working does not stretch to steps that magnify a last digit; what the student wrote down on the way
    shows where it did. In one order of the steps each part comes from right ones, or from such as follow from those.
    """
    best: frozenset[str] = frozenset()
    for way in ways:
        if way.touchy.isdisjoint(wrong):
            continue
        found: set[str] = set()
        earlier: dict[str, Written] = {}
        for part in way.order:
            if part not in written:
                continue
            method = way.between(part, tuple(earlier)) if part in wrong and earlier else None
            with np.errstate(all="ignore"):  # steps from a student's own numbers can lead nowhere
                if method and _reached(method, way.room[part], part, earlier, written[part], carried_decimals):
                    found.add(part)
            if part in found or part not in wrong:
                # Who writes a digit more than asked may still go on with the number as it was asked.
                earlier[part] = replace(written[part], place=max(written[part].place, way.places[part]))
        if len(found) > len(best):
            best = frozenset(found)
    return best


def follow_on(
    ways: Sequence[Worked], written: Mapping[str, Written], wrong: frozenset[str], carried_decimals: int
) -> dict[str, str]:
    """For each wrong part that follows from an earlier wrong one by right steps, that earlier part.

    ``written`` has the student's number for each part that has one. In the order of the steps the first wrong part follows
    from nothing: one wrong part is always left. Of several orders the one that explains most counts, the usual one first.
    """
    best: dict[str, str] = {}
    for way in ways:
        with np.errstate(all="ignore"):  # steps from a student's own numbers can lead nowhere
            found = _followed(way, written, wrong, carried_decimals)
        if len(found) > len(best):
            best = found
        if len(best) == len(wrong) - 1:
            break
    return best


def _followed(
    way: Worked, written: Mapping[str, Written], wrong: frozenset[str], carried_decimals: int
) -> dict[str, str]:
    """For each wrong part that follows, in this order of steps, the earlier wrong part that it comes from."""
    found: dict[str, str] = {}
    earlier: dict[str, Written] = {}
    for part in way.order:
        if part in written:
            if part in wrong and not wrong.isdisjoint(earlier):
                method = way.between(part, tuple(earlier))
                if method and _reached(method, way.room[part], part, earlier, written[part], carried_decimals):
                    source = _source(method, way, part, earlier, wrong)
                    if source:
                        found[part] = source
            earlier[part] = written[part]
    return found


def _source(method: Method, way: Worked, part: str, earlier: Mapping[str, Written], wrong: frozenset[str]) -> str:
    """The first wrong earlier part whose number the later one comes from: with the right number in its place, another part
    would follow. Empty where it comes from none of them."""
    own = {other: number.value for other, number in earlier.items()}
    reached = run(_with_own(method, own)).answers[part]
    for other in earlier:
        if other in wrong:
            right = float(way.quantities[way.method.answers[other]])
            moved = difference(part, run(_with_own(method, own | {other: right})).answers[part], reached)
            if not abs(float(moved)) <= _HAIR:
                return other
    return ""


_HAIR = 1e-9
"""Room for binary fractions where two runs agree."""


def _reached(
    method: Method, room: float, part: str, earlier: Mapping[str, Written], own: Written, carried_decimals: int
) -> bool:
    """Whether right steps lead from the student's earlier numbers to this one."""
    method = _with_own(method, {other: number.value for other, number in earlier.items()})
    # The student may carry a number as written, or as it stood before it was written down.
    family = nudges(method, carried_decimals, {other: number.place for other, number in earlier.items()})
    columns = run(method, family.carry).answers[part]
    room += own.place / 2 + float(family.spread(part, columns)) + 1e-9
    return apart(part, own.value, family.value(columns)) <= room
