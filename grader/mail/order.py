"""The order in which a letter goes through the parts of a problem: that of the boxes they were answered in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from grader.exchange.meanings import forms_of, read_holds
from grader.mail.definitions import PartRow
from grader.marking.definitions import Rubric
from grader.methods.part_names import part_name
from grader.methods.problem import Problem

Boxes = Mapping[str, Mapping[str, int]]
"""For each problem, part → the place of its box among the columns of an export."""


def in_order(rows: Sequence[PartRow], rubric: Rubric, boxes: Boxes) -> list[PartRow]:
    """The rows of one problem as its boxes stand in the sheet Columns, else as its question asks for them.

    Where neither names every part, they stay as they are. ``boxes`` come from ``boxes_of``, once for all problems.
    """
    problem = next((each for each in rubric.problems if rows and each.label == rows[0].problem), None)
    if problem is None:
        return list(rows)
    parts = [row.part for row in rows]
    for places in (boxes.get(problem.label, {}), _named(problem, parts)):
        if set(parts) <= places.keys():
            return sorted(rows, key=lambda row: places[row.part])
    return list(rows)


def boxes_of(rubric: Rubric) -> Boxes:
    """Where the boxes of each problem stand, as far as the rubric keeps its columns."""
    forms = forms_of(rubric.problems)
    found: dict[str, dict[str, int]] = {}
    for place, rule in enumerate(rubric.columns):
        holds = read_holds(rule.holds, forms)
        if holds is not None:
            found.setdefault(holds.problem, {}).setdefault(holds.box, place)
    return found


def _named(problem: Problem, parts: Sequence[str]) -> Mapping[str, int]:
    """Part → where the question first names it, by a name of more than one letter."""
    question = problem.question.casefold()
    names = {part: part_name(problem.find, part).casefold() for part in parts}
    return {part: question.find(name) for part, name in names.items() if len(name) > 1 and name in question}
