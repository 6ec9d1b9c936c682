"""A solved problem: its parts with their exact values, and the working of each method."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from grader.methods.problem import Problem


@dataclass(frozen=True, slots=True)
class PartKey:
    """One part of the answer.

    ``value`` is exact, in the unit asked (degrees in standard position for a direction). ``place`` is the place u
    asked, ``spread`` the room s for honest working including the teacher's allowance, both in the same unit.
    ``shown`` is the answer as the key prints it (``62.0 N``, ``S 83° E``). ``circular`` marks directions.
    ``others`` are further values that are right too or required too (the second triangle).
    """

    part: str
    value: float
    place: float
    spread: float
    shown: str
    points: float
    circular: bool = False
    others: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the working: what the step does, what one would write on the board, and the quantity that it yields."""

    step: str
    text: str
    name: str = ""


@dataclass(frozen=True)
class Working:
    """A method's working, line by line; ``asked`` tells whether the problem asks for this method."""

    method: str
    lines: tuple[Line, ...]
    asked: bool = True


@dataclass(frozen=True)
class Solution:
    """A problem and its key.

    ``none`` is a sentence where the right answer is that there is none (no such triangle; the track cannot be held);
    ``parts`` then holds one part, ``value``, whose number is nan.
    """

    problem: Problem
    parts: tuple[PartKey, ...]
    workings: tuple[Working, ...] = ()
    none: str = ""
    warnings: tuple[str, ...] = field(default=())

    @cached_property
    def names(self) -> frozenset[str]:
        """The names of the parts."""
        return frozenset(key.part for key in self.parts)

    def part(self, name: str) -> PartKey:
        """The part of this name; KeyError when the answer has none."""
        for key in self.parts:
            if key.part == name:
                return key
        raise KeyError(name)
