"""What a column can hold, and the words in which the sheet Columns says so."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from grader.exchange.cells import fold
from grader.methods.problem import PARTS, Problem

PERSONAL = ("student id", "name", "first name", "last name", "email", "section", "attempt", "submitted")
OF_ROWS = ("item", "part", "response")
"""What columns hold where every row of an export is one answer: which problem, which part of it, and the answer."""
BOXES = ("whole", *PARTS)
"""Where an answer stands: in one box for the whole problem, or in a box for one part."""

PARTS_OF_FORM: Mapping[str, tuple[str, ...]] = {
    "magnitude and direction": ("magnitude", "direction"),
    "components": ("x", "y"),
    "number": ("value",),
    "triangle": PARTS[-6:],
}
"""The parts that an answer of each form can have; a triangle's are those not given."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a column holds: something about the student, an answer (``problem`` and ``box`` then say which), nothing.

    ``str()`` of it is the wording of the sheet Columns.
    """

    kind: str  # one of PERSONAL, of OF_ROWS, "answer" or "ignore"
    problem: str = ""
    box: str = ""

    def __str__(self) -> str:
        if self.kind != "answer":
            return self.kind
        return f"problem {self.problem}" if self.box in ("whole", "value") else f"problem {self.problem} {self.box}"


_PROBLEM = re.compile(r"\s*problem\s*(\S.*?)\s*", re.IGNORECASE | re.DOTALL)

IGNORE = Meaning("ignore")


def answer(problem: str, form: str, box: str = "whole") -> Meaning:
    """An answer column; the whole of an answer that is one number is its value."""
    return Meaning("answer", problem, "value" if form == "number" else box)


def forms_of(problems: Iterable[Problem]) -> dict[str, str]:
    """Label → the form of its answer, for every problem."""
    return {problem.label: problem.answer_as for problem in problems}


def read_holds(text: str, forms: Mapping[str, str]) -> Meaning | None:
    """The meaning that a text of the sheet Columns names (``problem 2a magnitude``), or None when it names none.

    ``forms`` maps each problem's label to the form of its answer. Letter case matters for a triangle's parts alone.
    """
    folded = fold(text)
    if folded in ("ignore", "ignored"):
        return IGNORE
    if folded in (*PERSONAL, *OF_ROWS):
        return Meaning(folded)
    match = _PROBLEM.fullmatch(text)
    if match is None:
        return None
    rest = match.group(1)
    label = _label(rest, forms)
    if label is not None:
        return answer(label, forms[label])
    before, _, last = rest.rpartition(" ")
    label = _label(before, forms)
    box = last if last in BOXES else last.casefold()
    if label is None or box not in (*PARTS_OF_FORM.get(forms[label], PARTS), "whole"):
        return None
    return answer(label, forms[label], box)


def wordings(forms: Mapping[str, str]) -> list[str]:
    """Everything that the column Holds can say for these problems, the commonest first."""
    said = list(PERSONAL)
    for label, form in forms.items():
        said.append(f"problem {label}")
        if form != "number":
            said += [f"problem {label} {part}" for part in PARTS_OF_FORM.get(form, ())]
    return [*said, *OF_ROWS, "ignore"]


def _label(text: str, forms: Mapping[str, str]) -> str | None:
    if text in forms:
        return text
    return next((label for label in forms if fold(label) == fold(text)), None)
