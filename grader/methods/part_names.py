"""What people call the parts of an answer: ``Ground speed`` where marks.csv has ``magnitude``."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from grader.methods.problem import PARTS, Problem

PART_NAMES: Mapping[str, Mapping[str, str]] = {
    "heading": {"magnitude": "Ground speed", "direction": "Heading"},
    "ramp": {"x": "Along the ramp", "y": "Into the ramp"},
}
"""The names by what the problem finds; other parts are called as in marks.csv."""

PartNames = Mapping[tuple[str, str], str]
"""What to call a part, by the problem's label and the part; a part that is not there keeps its own name."""


def part_name(find: str, part: str) -> str:
    """What people call a part of a problem that finds this: ``Ground speed`` for the magnitude of a heading problem."""
    return PART_NAMES.get(find, {}).get(part, part)


def names_of_parts(problems: Iterable[Problem]) -> PartNames:
    """The parts of these problems that people call by a name of their own."""
    return {
        (problem.label, part): name for problem in problems for part, name in PART_NAMES.get(problem.find, {}).items()
    }


def part_called(find: str, said: str) -> str | None:
    """The part that goes by this name in a problem that finds this, or by its own; None where there is none such.

    Letter case and spaces count only where they must: ``a`` and ``A`` are a side and an angle of a triangle. Where what
    the problem finds is not known (``find`` blank), the names of all problems are.

    >>> part_called("heading", "ground  speed"), part_called("triangle", "A"), part_called("ramp", "heading")
    ('magnitude', 'A', None)
    """
    if said.strip() in PARTS:
        return said.strip()
    tables = [PART_NAMES.get(find, {})] if find else PART_NAMES.values()
    named = {_folded(name): part for names in tables for part, name in names.items()}
    return named.get(_folded(said)) or next((part for part in PARTS if _folded(part) == _folded(said)), None)


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())
