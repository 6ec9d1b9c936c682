"""A problem made ready for marking: everything that does not depend on who answered, worked out once."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from grader.marking.definitions import MistakeRule, OwnMistake, Settings
from grader.marking.early import EarlyAnswer, early_answers
from grader.methods.problem import Problem
from grader.methods.solve import Solved
from grader.methods.steps import run
from grader.mistakes.catalogue import wordings
from grader.mistakes.variants import Variants, variants_of
from grader.notation.formula import parse_formula


@dataclass(frozen=True)
class Prepared:
    """A solved problem with the answers that its mistakes and early rounding lead to (worked out when first needed)."""

    solved: Solved
    settings: Settings = field(default_factory=Settings)
    rules: tuple[MistakeRule, ...] = ()
    own: tuple[OwnMistake, ...] = ()
    siblings: tuple[Solved, ...] = field(default=(), repr=False)

    @property
    def problem(self) -> Problem:
        return self.solved.problem

    @cached_property
    def switched_off(self) -> frozenset[str]:
        return frozenset(rule.mistake for rule in self.rules if not rule.use)

    @cached_property
    def variants(self) -> Variants:
        """The table of everything that can go wrong, the teacher's own mistakes among it."""
        own = {mistake.mistake: self._answer_of(mistake) for mistake in self.own if mistake.problem == self.problem.label}
        return variants_of(self.solved, self.settings.carried_decimals, self.switched_off, own)

    @cached_property
    def early(self) -> tuple[EarlyAnswer, ...]:
        return early_answers(self.solved, self.settings.carried_decimals)

    def feedback_for(self, mistake: str) -> str:
        """What the student reads about a mistake: the teacher's words if there are any, else the catalogue's."""
        own = [(one.mistake, one.feedback) for one in self.own] + [(rule.mistake, rule.feedback) for rule in self.rules]
        for id_, feedback in own:
            if id_ == mistake and feedback:
                return feedback
        table = wordings()
        return table[mistake].feedback if mistake in table else ""

    def _answer_of(self, mistake: OwnMistake) -> dict[str, float]:
        """The teacher's formula, with the quantities of the problem's methods as its variables, part by part."""
        known: dict[str, float] = {}
        for method in reversed(self.solved.methods):
            known |= {name: float(value) for name, value in run(method, None).quantities.items() if np.ndim(value) == 0}
        answer = {}
        for key, text in zip(self.solved.solution.parts, mistake.formula.split(";")):
            if text.strip():
                formula = parse_formula(text)
                answer[key.part] = float(formula.evaluate({name: known[name] for name in formula.names}))
        return answer
