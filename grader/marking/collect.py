"""From the boxes of an answer to its parts: which text says what, in the unit and form asked.

An answer may stand in one box (a whole vector) or in a box for each part; a student may also write everything into
the first box, or the parts into each other's. Every part ends up with the *options* its text allows.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from grader.marking.options import NO_SOLUTION, Option
from grader.marking.taking import WHOLE, options_of, take
from grader.methods.problem import Problem
from grader.methods.solve import Solved
from grader.notation.parts import WORKING_NOTE
from grader.notation.read import read
from grader.notation.readings import (
    BoxKind,
    Components,
    Conventions,
    Direction,
    Labelled,
    NoSolution,
    Polar,
    Quantity,
    Reading,
    Several,
)

CROSSED = "found in the other box"

Boxes = tuple[tuple[str, object], ...]
"""The boxes of one answer: (``whole`` or a part's name, what stands in it)."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A part of an answer: the text it was found in, and its options (none: blank, or unreadable with a reason)."""

    part: str
    text: str
    options: tuple[Option, ...] = ()
    reason: str = ""

    @property
    def blank(self) -> bool:
        """Whether nothing was written, or only that no answer is given (then there is a text)."""
        return not self.options and not self.reason


def box_kind(problem: Problem, box: str) -> BoxKind:
    """The kind of a box: a whole answer as the problem asks for it, or one part."""
    if box == "direction":
        return "direction"
    if box in ("A", "B", "C") or (box in ("value", WHOLE) and problem.find == "angle between"):
        return "angle"
    if box == WHOLE and problem.answer_as == "magnitude and direction":
        return "polar"
    if box == WHOLE and problem.answer_as in ("components", "triangle"):
        return "components" if problem.answer_as == "components" else "triangle"
    return "quantity"


def collect(solved: Solved, boxes: Boxes, conventions: Conventions) -> dict[str, Entry]:
    """The entries of one answer, for every part of the key."""
    parts = [key.part for key in solved.solution.parts]
    entries = {part: Entry(part, "") for part in parts}
    readings = [(box, shown_text(cell), read(cell, box_kind(solved.problem, box), conventions)) for box, cell in boxes]
    if solved.solution.none:
        return {"value": _says_none(readings)}
    readings = _uncrossed(readings, conventions)
    # A part's own box has the last word on that part; what stands in another box fills only what was left empty.
    answered = {box for box, _, reading in readings if not reading.blank and not reading.given_up}
    for box, text, reading in sorted(readings, key=lambda item: item[0] != WHOLE):
        if reading.blank:
            continue
        own = [box] if box in entries else parts
        if reading.given_up:
            entries |= {part: Entry(part, text) for part in own if entries[part].blank}
            continue
        found = {} if reading.unreadable else options_of(solved, box, reading)
        found = {part: options for part, options in found.items() if part in entries}
        lost = _left_over(solved, box, reading, found.keys() < entries.keys()) if found else ""
        if lost:
            entries |= {
                part: Entry(part, text, reason=lost) for part in own if part == box or not entries[part].options
            }
            continue
        for part in own:
            if part not in found and (part == box or not found) and (part == box or entries[part].blank):
                entries[part] = Entry(part, text, reason=reading.reason or another_kind(solved, part, reading))
        for part, options in found.items():
            if part == box or (part not in answered and not entries[part].options):
                entries[part] = Entry(part, text, options)
    return entries


def shown_text(cell: object) -> str:
    """What stands in a box, as text."""
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))
    return "" if cell is None else str(cell)


_KINDS: dict[type, str] = {
    Quantity: "a number",
    Direction: "a direction",
    Polar: "a length with a direction",
    Components: "x and y",
    Labelled: "named parts",
}


def another_kind(solved: Solved, part: str, reading: Reading) -> str:
    """That an answer is of another kind than the part: ``a length with a direction, where an energy in J was asked``."""
    kinds = {_KINDS.get(type(sense.meaning), "") for sense in reading.senses}
    kind = kinds.pop() if len(kinds) == 1 else ""
    if not kind:
        return f"says nothing about the {part}"
    unit = solved.unit if part == "value" else None
    asked = f"the {part}"
    if unit is not None:
        asked = f"{'an' if unit.dimension[0] in 'aeiou' else 'a'} {unit.dimension} in {unit.symbol}"
    if unit is not None and _WATTS.fullmatch(reading.text):
        kind = "a power (W), or a way to the west"
    return f"{kind}, where {asked} was asked"


_WATTS = re.compile(r"[^A-Za-z]*W\.?\s*")


def _says_none(readings: Iterable[tuple[str, str, Reading]]) -> Entry:
    texts, options, reason = [], [], ""
    for _, text, reading in readings:
        if reading.blank:
            continue
        texts.append(text)
        reason = reason or reading.reason
        for sense in reading.senses:
            none = isinstance(sense.meaning, NoSolution)
            options.append(NO_SOLUTION if none else replace(NO_SOLUTION, read_as=text, none=False))
    if any(option.none for option in options):
        options = [option for option in options if option.none]
    return Entry("value", "; ".join(texts), tuple(options[:1]), "" if options else reason)


def _uncrossed(readings: list[tuple[str, str, Reading]], conventions: Conventions) -> list[tuple[str, str, Reading]]:
    """Magnitude and direction put back where they stand in each other's box and their signs say so."""
    by_box = {box: (text, reading) for box, text, reading in readings}
    if set(by_box) != {"magnitude", "direction"}:
        return readings
    (first, magnitude), (second, direction) = by_box["magnitude"], by_box["direction"]
    # In a box for directions 62.0 N leans north; beside a sure direction in the other box it is 62.0 newtons.
    length = read(second, "quantity", conventions)
    if magnitude.unreadable:
        magnitude = read(first, "direction", conventions)
        if not _surely_direction(magnitude):
            return readings
    crossed = _surely_direction(magnitude) and (
        direction.blank or _surely_length(length) or (_in_letters(magnitude) and _bare(length))
    )
    astray = _surely_length(direction) and (magnitude.blank or _bare(magnitude))
    if not crossed and not astray:
        return readings
    return [("magnitude", second, _noted(length, CROSSED)), ("direction", first, _noted(magnitude, CROSSED))]


def _in_letters(reading: Reading) -> bool:
    return all(isinstance(s.meaning, Direction) and s.meaning.letters is not None for s in reading.senses)


def _noted(reading: Reading, note: str) -> Reading:
    return replace(reading, senses=tuple(replace(sense, notes=(*sense.notes, note)) for sense in reading.senses))


def _surely_direction(reading: Reading) -> bool:
    return bool(reading.senses) and all(
        (isinstance(m, Direction) and (m.letters is not None or m.sign != ""))
        or (isinstance(m, Quantity) and m.unit is not None and m.unit.dimension == "angle")
        for m in (sense.meaning for sense in reading.senses)
    )


def _surely_length(reading: Reading) -> bool:
    return bool(reading.senses) and all(
        isinstance(m, Quantity) and m.unit is not None and m.unit.dimension != "angle"
        for m in (sense.meaning for sense in reading.senses)
    )


def _bare(reading: Reading) -> bool:
    return bool(reading.senses) and all(
        isinstance(s.meaning, Quantity) and s.meaning.unit is None for s in reading.senses
    )


def _left_over(solved: Solved, box: str, reading: Reading, lacking: bool) -> str:
    """Why a whole answer cannot be judged on what was taken of it; empty where every number in it has its place.

    Working may be left out of an answer, but not of one that is ``lacking`` a part.
    """
    senses = [sense for sense in reading.senses if lacking or WORKING_NOTE not in sense.notes]
    left = dict.fromkeys(text for sense in senses for text in sense.left_out)
    if left and box == WHOLE:
        return f"{' and '.join(left)} went to no part" + (", and a part has no value" if lacking else "")
    for sense in reading.senses:
        if isinstance(sense.meaning, Several):
            named = [take(solved, box, meaning).keys() for meaning in sense.meaning.meanings]
            if any(not names or names - named[0] for names in named):
                return "the answers do not name the same parts"
    return ""
