"""What a mistake is and which line of the working meets it: the table teaching.toml, and the line looked up in a key."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from typing import Any, Literal

from grader.methods.solution import Line, Solution, Working
from grader.mistakes.kinds import kinds_of
from grader.reports.key import method_name

Kind = Literal["mistake", "setting", "slip", "habit"]


@dataclass(frozen=True, slots=True)
class Lesson:
    """What the teacher needs for one mistake.

    ``lines`` holds groups of step roles, the best first; all steps of a group go on the board together. ``answer`` tells
    that the mistake is made in writing the answer down, so that the answer belongs beside the line; ``both`` that the
    lines of both triangles that fit the data belong side by side. ``instead`` is what is different on kinds of problem
    (``mistakes.kinds``).
    """

    what: str
    kind: Kind = "mistake"
    lines: tuple[tuple[str, ...], ...] = ()
    answer: bool = False
    both: bool = False
    instead: Mapping[str, Lesson] = field(default_factory=dict)

    def on(self, kinds: Iterable[str]) -> Lesson:
        """The lesson for a problem of these kinds, the narrowest first."""
        return next((self.instead[kind] for kind in kinds if kind in self.instead), self)


@dataclass(frozen=True, slots=True)
class BoardLine:
    """Lines of the working to put on the board, and the problem and method that they are taken from."""

    problem: str
    method: str
    lines: tuple[Line, ...]

    @property
    def by(self) -> str:
        """``by the parallelogram``, ``by the laws of sines and cosines``."""
        return f"by {method_name(self.method)}"


@lru_cache(maxsize=1)
def lessons() -> dict[str, Lesson]:
    """Every lesson by the id of its mistake; habits by the verdict that shows them."""
    text = files("grader.reports.class_page").joinpath("teaching.toml").read_text(encoding="utf-8")
    return {id_: _lesson(row) for id_, row in tomllib.loads(text).items()}


def _lesson(row: Mapping[str, Any]) -> Lesson:
    """A lesson, with those for kinds of problem, which stand in tables of their names and leave out what is the same."""
    general = {name: value for name, value in row.items() if not isinstance(value, dict)}
    instead = {kind: _lesson({**general, **other}) for kind, other in row.items() if isinstance(other, dict)}
    lines = tuple(tuple(group.split(" and ")) for group in general.pop("lines", ()))
    return Lesson(**general, lines=lines, instead=instead)


def board_line(mistake: str, solution: Solution, methods: Iterable[str] = ()) -> BoardLine | None:
    """The line of a problem's working at which a mistake goes wrong; None where the working has no such line.

    ``methods`` are the methods in which it was made, most often first; then come those the problem asks for.
    """
    known = lessons().get(mistake)
    lesson = known.on(kinds_of(solution.problem)) if known else None
    if lesson is None or not lesson.lines:
        return None
    for working in _in_order(solution.workings, tuple(methods)):
        for roles in lesson.lines:
            found = _lines(working, roles)
            if lesson.both:
                found = tuple(dict.fromkeys(line for each in solution.workings for line in _lines(each, roles)))
            if found:
                if lesson.answer:
                    shown = ", ".join(key.shown for key in solution.parts)
                    found = (*found, Line("answer", f"the answer: {shown}"))
                return BoardLine(solution.problem.label, working.method, found)
    return None


def _in_order(workings: Sequence[Working], methods: tuple[str, ...]) -> list[Working]:
    def place(working: Working) -> tuple[int, bool]:
        return (methods.index(working.method) if working.method in methods else len(methods), not working.asked)

    return sorted(workings, key=place)


def _lines(working: Working, roles: tuple[str, ...]) -> tuple[Line, ...]:
    """The last line of each role (of a chain of triangles the last gives the result), or none if a role has no line."""
    found = []
    for role in roles:
        lines = [line for line in working.lines if line.step == role]
        if not lines:
            return ()
        # Of several vectors' components the first shows the rule as well as any; of a chain, the last stage is the answer's.
        found.append(lines[0] if role.endswith("component") or role == "standard direction" else lines[-1])
    return tuple(found)
