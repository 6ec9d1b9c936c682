"""The tools with which mistakes are written: an alteration of a method's steps, and how alterations combine."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from grader.methods.calculator import Calculator
from grader.methods.problem import Problem
from grader.methods.steps import Method, Rule, Step

NAMED = ("quadrant bearing", "from an axis", "compass point")
"""Forms of direction written with letters."""
NUMBERED = ("plain angle", "standard position", "true bearing")
"""Forms of direction written as a number alone."""


@dataclass(frozen=True)
class Alteration:
    """What a mistake changes in a method.

    ``rules`` replaces the rules of steps (by name), ``final`` changes the answer of a part at the very end,
    ``calculator`` is another calculator throughout. ``forms`` are the forms of a written direction in which
    the mistake can show (all if empty).
    """

    rules: Mapping[str, Rule] = field(default_factory=dict)
    final: Mapping[str, Rule] = field(default_factory=dict)
    calculator: Calculator | None = None
    forms: tuple[str, ...] = ()

    @cached_property
    def changes(self) -> frozenset[tuple[str, str]]:
        """What this alters: steps, parts of the answer, the calculator."""
        return frozenset(
            [
                *(("step", name) for name in self.rules),
                *(("part", name) for name in self.final),
                *([("calculator", "")] if self.calculator is not None else []),
            ]
        )

    def with_(self, other: Alteration) -> Alteration | None:
        """Both alterations together; None where they cannot occur together (they change the same step)."""
        if not self.changes.isdisjoint(other.changes):
            return None
        forms = common_forms(self.forms, other.forms)
        if not forms and (self.forms or other.forms):
            return None
        return Alteration(
            {**self.rules, **other.rules},
            {**self.final, **other.final},
            self.calculator or other.calculator,
            forms,
        )

    def of(self, method: Method) -> Method:
        """The method with this alteration made."""
        steps = tuple(
            step.with_rule(self.rules[step.name]) if step.name in self.rules else step for step in method.steps
        )
        answers = dict(method.answers)
        for part, rule in self.final.items():
            name = f"{part} as reported"
            steps += (Step(name, "as reported", "exact", rule),)
            answers[part] = name
        return replace(
            method,
            steps=steps,
            answers=answers,
            calculator=self.calculator or method.calculator,
        )


def common_forms(one: tuple[str, ...], other: tuple[str, ...]) -> tuple[str, ...]:
    """The forms of direction in which two alterations both can show; all (empty) where neither is bound to any."""
    return tuple(form for form in one if form in other) if one and other else one or other


@dataclass(frozen=True)
class Mistake:
    """A mistake of the catalogue: its id and every way to make it on a given method (none where it cannot be made)."""

    id: str
    ways: Callable[[Method, Problem], Iterable[Alteration]]


def names(step: Step) -> tuple[str, ...]:
    """The names of the quantities that a step works on, as its method noted them; empty where it noted none."""
    return tuple(str(name) for name in step.about) if isinstance(step.about, tuple) else ()


def reported(**final: Rule) -> Alteration:
    """An alteration of what is written down in the end, part by part."""
    return Alteration(final=final)


def at(
    method: Method, role: str, rule_for: Callable[[Step], Rule | None], *, each: bool = True
) -> Iterator[Alteration]:
    """Another rule for every step of this role; then, if ``each``, for one of them alone.

    ``rule_for`` gives the wrong rule of a step, or None where the mistake cannot be made at that step.
    """
    rules = {step.name: rule for step in method.steps_of(role) if (rule := rule_for(step)) is not None}
    if not rules:
        return
    yield Alteration(rules)
    if each and len(rules) > 1:
        for name, rule in rules.items():
            yield Alteration({name: rule})


def swapped(method: Method, first: str, second: str, indexes: Iterable[int] | None = None) -> Alteration | None:
    """The rules of two roles exchanged, vector by vector; None where the method has no such pair."""
    chosen = None if indexes is None else set(indexes)
    rules: dict[str, Rule] = {}
    for one in method.steps_of(first):
        for other in method.steps_of(second):
            if one.index == other.index and (chosen is None or one.index in chosen):
                rules[one.name], rules[other.name] = other.rule, one.rule
    return Alteration(rules) if rules else None
