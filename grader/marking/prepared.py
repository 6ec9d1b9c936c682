"""A problem made ready for marking: everything that does not depend on who answered, worked out once."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from grader.marking.definitions import MistakeRule, OwnMistake, Settings
from grader.marking.early import EarlyAnswers, early_answers
from grader.marking.follow import Worked, worked
from grader.marking.options import direction_text
from grader.marking.rounding import Outcome, Written, outcome
from grader.marking.slips import Judge, rounding_of
from grader.methods.board import written
from grader.methods.directions import BEARINGS
from grader.methods.problem import Problem
from grader.methods.solution import PartKey
from grader.methods.solve import Solved, is_angular
from grader.methods.steps import run
from grader.mistakes.catalogue import wordings
from grader.mistakes.kinds import NO_ANSWER, kinds_of
from grader.mistakes.variants import Variants, variants_of
from grader.notation.formula import parse_formula
from grader.notation.readings import Direction


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
        own = {
            mistake.mistake: self._answer_of(mistake) for mistake in self.own if mistake.problem == self.problem.label
        }
        return variants_of(self.solved, self.settings.carried_decimals, self.switched_off, own)

    @cached_property
    def singles(self) -> Variants:
        """The table of single mistakes alone."""
        return variants_of(self.solved, self.settings.carried_decimals, self.switched_off, singles_only=True)

    @cached_property
    def early(self) -> EarlyAnswers:
        return early_answers(self.solved, self.settings.carried_decimals)

    @cached_property
    def judges(self) -> tuple[Judge, Judge]:
        """What is right; of two triangles for the first and for the second."""
        return self._judge(self.solved), self._judge(self.solved, 1)

    @cached_property
    def sibling_judges(self) -> tuple[Judge, ...]:
        """What is right for the other problems of the sheet."""
        return tuple(map(self._judge, self.siblings))

    @staticmethod
    def target(key: PartKey, triangle: int = 0) -> float:
        """The exact value of a part; of two triangles that of the first (0) or the second (1)."""
        return key.others[0] if triangle and key.others else key.value

    def outcome(self, key: PartKey, number: Written, triangle: int = 0) -> Outcome:
        """How a written number stands to a part of the key, of two triangles to the first's or the second's."""
        strict = self.settings.dropped_zeros != "accept"
        target = self.target(key, triangle)
        return outcome(number, key, rounding_of(self.problem, key), dropped_zeros=not strict, target=target)

    def _judge(self, solved: Solved, triangle: int = 0) -> Judge:
        return Judge(solved, self.settings.dropped_zeros == "accept", triangle)

    @cached_property
    def ways(self) -> tuple[Worked, ...]:
        """Every way to work the problem, run once, for judging what follows on from a student's own result."""
        return worked(self.solved, self.settings.carried_decimals)

    @cached_property
    def touchy(self) -> frozenset[str]:
        """The parts that a student's own rounding of an earlier one can take out of their band (``Worked.touchy``)."""
        return frozenset().union(*(way.touchy for way in self.ways))

    @cached_property
    def kinds(self) -> tuple[str, ...]:
        """What kinds of problem it is of, for the words about mistakes."""
        return kinds_of(self.problem)

    def feedback_for(self, mistake: str, *, no_answer: bool = False) -> str:
        """What the student reads about a mistake: the teacher's words if there are any, else the catalogue's for this kind of
        problem, or for an answer that there is none."""
        own = [(one.mistake, one.feedback) for one in self.own] + [(rule.mistake, rule.feedback) for rule in self.rules]
        for id_, feedback in own:
            if id_ == mistake and feedback:
                return feedback
        table, kinds = wordings(), (NO_ANSWER, *self.kinds) if no_answer else self.kinds
        return table[mistake].on(kinds).feedback if mistake in table else ""

    def told(self, mistake: str, part: str, own: str) -> str:
        """What happened, with the numbers of this problem's working and the student's own for a part, and a question that
        leads on.

        Empty where the teacher has words of their own, or where the problem lacks a number that the sentence needs.
        """
        known = wordings().get(mistake)
        if known is None or any(rule.mistake == mistake and rule.feedback for rule in self.rules):
            return ""
        wording = known.on(self.kinds)
        if not wording.told:
            return ""
        if wording.of == "length" and is_angular(self.problem, part):
            return ""
        if mistake == "root-not-taken" and self.problem.answer_as != "magnitude and direction":
            return ""  # what stands there is no square, it comes from one
        try:
            return f"{wording.told} {wording.hint}".format(**{**self._numbers, "own": own}).strip()
        except KeyError:
            return ""

    @cached_property
    def _numbers(self) -> dict[str, str]:
        """The numbers that a sentence about a mistake may name. Of several triangles or bearings none is the one meant."""
        found: dict[str, str] = {}
        for method in self.solved.methods:
            quantities = run(method).quantities
            for role, name in (("angle between", "between"), ("triangle angle", "inside")):
                steps = method.steps_of(role)
                if len(steps) == 1 and method.name == "parallelogram":
                    found[name] = f"{written(float(quantities[steps[0].name]), 1)}°"
            bearings = [step.about for step in method.steps_of("standard direction")]
            named = [direction_text(d) for d in bearings if isinstance(d, Direction) and d.form in BEARINGS]
            if len(named) == 1:
                found["bearing"] = named[0]
        return found

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
