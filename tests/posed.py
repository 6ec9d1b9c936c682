"""Problems posed in the words of a rubric, and answers handed in, for tests that check the engine from outside."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from grader.marking.definitions import MistakeRule, OwnMistake, Settings
from grader.marking.judge import PartMark, mark_answer
from grader.marking.prepared import Prepared
from grader.methods.problem import Allowance, Problem, Rounding
from grader.methods.solve import Solved, solve_problem
from grader.notation.given import read_given
from grader.notation.units import unit as unit_named

_DEFAULT_FORM = {
    "components": "components",
    "unit vector": "components",
    "ramp": "components",
    "angle between": "number",
    "dot product": "number",
    "expression": "number",
    "triangle": "triangle",
}


def place(text: str) -> Rounding:
    """``0.1``, ``3 s.f.`` or ``exact``."""
    if text == "exact":
        return Rounding("exact")
    if text.endswith("s.f."):
        return Rounding("figures", float(text.removesuffix("s.f.")))
    return Rounding("place", float(text))


def posed(
    find: str,
    given: str,
    *,
    answer_as: str = "",
    magnitude_to: str = "0.1",
    direction_to: str = "0.1",
    unit: str = "",
    label: str = "1",
    allow: Allowance | None = None,
    **options: Any,
) -> Problem:
    """A problem as a row of the sheet Problems states it."""
    return Problem(
        label,
        find,
        read_given(find, given),
        given_text=given,
        answer_as=answer_as or _DEFAULT_FORM.get(find, "magnitude and direction"),
        magnitude_to=place(magnitude_to),
        direction_to=place(direction_to),
        unit=unit_named(unit) if unit else None,
        allow=allow or Allowance(),
        **options,
    )


def solved(find: str, given: str, **options: Any) -> Solved:
    """The problem solved."""
    return solve_problem(posed(find, given, **options))


def ready(
    problem: Problem,
    settings: Settings | None = None,
    rules: tuple[MistakeRule, ...] = (),
    own: tuple[OwnMistake, ...] = (),
) -> Prepared:
    """The problem made ready for marking, alone on its sheet."""
    settings = settings or Settings()
    return Prepared(solve_problem(problem, settings.carried_decimals), settings, rules, own)


def handed_in(prepared: Prepared, answer: Mapping[str, str] | str) -> dict[str, PartMark]:
    """The marks, by part, of an answer: one text for the whole, or a text for each part's box."""
    boxes = (("whole", answer),) if isinstance(answer, str) else tuple(answer.items())
    return {mark.part: mark for mark in mark_answer(prepared, boxes)}


def ids_of(mark: PartMark) -> set[str]:
    """Every mistake that the mark names: the probable one, its equals, and the next likely ones."""
    groups = [mark.mistake, *mark.other_mistakes.split("; ")]
    return {id_ for group in groups for id_ in group.split(" / ") if id_}
