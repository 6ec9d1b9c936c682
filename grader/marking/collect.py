"""From the boxes of an answer to its parts: which text says what, in the unit and form asked.

An answer may stand in one box (a whole vector) or in a box for each part; a student may also write everything into
the first box, or the parts into each other's. Every part ends up with the *options* its text allows.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from grader.errors import NotationError
from grader.marking.rounding import Written
from grader.methods.problem import Problem
from grader.methods.solve import Solved, is_angular
from grader.notation.parts import WORKING_NOTE
from grader.notation.read import read
from grader.notation.readings import (
    BoxKind,
    Components,
    Conventions,
    Direction,
    Labelled,
    Meaning,
    NoSolution,
    Number,
    Polar,
    Quantity,
    Reading,
    Several,
)
from grader.notation.units import Unit, convert, find_unit
from grader.notation.write import point_letters, write_direction, write_exact, write_number

WHOLE = "whole"

CROSSED = "found in the other box"

Boxes = tuple[tuple[str, object], ...]
"""The boxes of one answer: (``whole`` or a part's name, what stands in it)."""


@dataclass(frozen=True, slots=True)
class Option:
    """One way to take what was written for a part.

    ``in_form`` tells whether a direction stands in the form asked; ``unit`` whether the unit is the one asked
    (``asked``, ``missing``, ``converted`` from another, or ``wrong`` for this kind of quantity). ``number`` is the number as
    it stands on paper and ``direction`` the direction as read. ``more`` are further answers written on purpose
    (``54.3° or 125.7°``). ``none`` says that there is no solution.
    """

    written: Written
    read_as: str
    number: float
    in_form: bool = True
    unit: str = "asked"
    direction: Direction | None = None
    more: tuple[Written, ...] = ()
    none: bool = False
    notes: tuple[str, ...] = ()


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
        found = {} if reading.unreadable else _options(solved, box, reading)
        found = {part: options for part, options in found.items() if part in entries}
        lost = _left_over(solved, box, reading, found.keys() < entries.keys()) if found else ""
        if lost:
            entries |= {
                part: Entry(part, text, reason=lost) for part in own if part == box or not entries[part].options
            }
            continue
        for part in own:
            if part not in found and (part == box or not found) and (part == box or entries[part].blank):
                entries[part] = Entry(part, text, reason=reading.reason or f"says nothing about the {part}")
        for part, options in found.items():
            if part == box or (part not in answered and not entries[part].options):
                entries[part] = Entry(part, text, options)
    return entries


def shown_text(cell: object) -> str:
    """What stands in a box, as text."""
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))
    return "" if cell is None else str(cell)


def _says_none(readings: Iterable[tuple[str, str, Reading]]) -> Entry:
    texts, options, reason = [], [], ""
    for _, text, reading in readings:
        if reading.blank:
            continue
        texts.append(text)
        reason = reason or reading.reason
        for sense in reading.senses:
            none = isinstance(sense.meaning, NoSolution)
            options.append(Option(Written(math.nan, 0.0, 0.0), "none" if none else text, math.nan, none=none))
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


def _options(solved: Solved, box: str, reading: Reading) -> dict[str, tuple[Option, ...]]:
    gathered: dict[str, list[Option]] = {}
    for sense in reading.senses:
        for meaning in (sense.meaning, *_northward(solved, box, sense.meaning)):
            for part, option in _take(solved, box, meaning).items():
                gathered.setdefault(part, []).append(replace(option, notes=(*option.notes, *sense.notes)))
    return {part: tuple(options) for part, options in gathered.items()}


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
            named = [_take(solved, box, meaning).keys() for meaning in sense.meaning.meanings]
            if any(not names or names - named[0] for names in named):
                return "the answers do not name the same parts"
    return ""


def _take(solved: Solved, box: str, meaning: Meaning) -> dict[str, Option]:
    """What one meaning, found in one box, says about the parts of the answer."""
    answer_as = solved.problem.answer_as
    match meaning:
        case Quantity():
            part = box if box != WHOLE else _only_part(solved)
            if part == "direction":
                return {"direction": from_direction(solved, as_direction(meaning))} if _angle_like(meaning) else {}
            if part is None:
                # A lone number where a whole vector was asked: the magnitude, unless it is an angle.
                first = solved.solution.parts[0].part
                angle = meaning.unit is not None and meaning.unit.dimension == "angle"
                if angle and first == "magnitude":
                    return {"direction": from_direction(solved, as_direction(meaning))}
                if solved.problem.find == "triangle" and (angle or meaning.unit is None):
                    return {}  # which of its parts is not said
                part = first
            return {part: from_quantity(solved, part, meaning)}
        case Direction():
            if box in ("A", "B", "C", "value") or _only_part(solved) == "value":
                part = box if box != WHOLE else "value"
                return {
                    part: from_quantity(
                        solved, part, Quantity(Number(meaning.written, meaning.place), find_unit("deg"))
                    )
                }
            if answer_as == "magnitude and direction":
                return {"direction": from_direction(solved, meaning)}
            return {}
        case Polar():
            return _to_a_side(solved, box, meaning) if box in _SIDES else _from_polar(solved, meaning)
        case Components():
            return _from_components(solved, meaning)
        case Labelled():
            return {part: from_quantity(solved, part, q) for part, q in meaning.parts.items() if part in _names(solved)}
        case Several():
            return _from_several(solved, box, meaning)
        case NoSolution():
            none = Option(Written(math.nan, 0.0, 0.0), "none", math.nan, none=True)
            return {box: none} if box != WHOLE else dict.fromkeys(_names(solved), none)
    return {}


def _names(solved: Solved) -> list[str]:
    return [key.part for key in solved.solution.parts]


def _only_part(solved: Solved) -> str | None:
    names = _names(solved)
    return names[0] if len(names) == 1 else None


def _angle_like(quantity: Quantity) -> bool:
    return quantity.unit is None or quantity.unit.dimension == "angle"


def as_direction(quantity: Quantity) -> Direction:
    """A bare number, or an angle as a size, taken as a plain angle."""
    number = quantity.number
    sign = "" if quantity.unit is None else "deg"
    return Direction(number.value % 360, number.value, number.place, "plain angle", None, sign, number.coarsest)


def _from_polar(solved: Solved, vector: Polar) -> dict[str, Option]:
    if solved.problem.find == "components":
        return {}  # the vector as it was given: its components are the work that was asked
    if solved.problem.answer_as == "components":
        return _resolved(solved, vector)
    found: dict[str, Option] = {}
    if vector.magnitude is not None:
        found["magnitude"] = from_quantity(solved, "magnitude", vector.magnitude)
    if vector.direction is not None:
        found["direction"] = from_direction(solved, vector.direction)
    return found


_SIDES = {"x": {"E": 1.0, "W": -1.0}, "y": {"N": 1.0, "S": -1.0}}
"""The sides to which a component can point, with the sign that each stands for."""


def _to_a_side(solved: Solved, box: str, vector: Polar) -> dict[str, Option]:
    """``173.3 m W`` in a component's own box: the side is its sign. A side of the other axis says nothing about it."""
    length, direction = vector.magnitude, vector.direction
    if length is None or direction is None or direction.form != "compass point":
        return _from_polar(solved, vector)
    letters = "".join(dict.fromkeys(direction.letters or ()))
    sign = _SIDES[box].get(letters)
    if sign is None or length.number.value < 0:
        return {}
    return {box: from_quantity(solved, box, _times(length, sign))}


def _times(quantity: Quantity, sign: float) -> Quantity:
    return replace(quantity, number=replace(quantity.number, value=sign * quantity.number.value))


def _northward(solved: Solved, box: str, meaning: Meaning) -> tuple[Quantity, ...]:
    """``257.0 N`` as 257.0 to the north, where a y that is no force is asked."""
    if box != "y" or not isinstance(meaning, Quantity) or meaning.unit is None or meaning.unit.symbol != "N":
        return ()
    return (replace(meaning, unit=None),) if _unit_factor(solved, box, meaning.unit)[1] == "wrong" else ()


def _from_components(solved: Solved, vector: Components) -> dict[str, Option]:
    if solved.problem.find == "magnitude and direction":
        return {}
    if solved.problem.answer_as == "magnitude and direction":
        return _composed(solved, vector)
    found: dict[str, Option] = {}
    if vector.x is not None:
        found["x"] = from_quantity(solved, "x", vector.x)
    if vector.y is not None:
        found["y"] = from_quantity(solved, "y", vector.y)
    return found


def _from_several(solved: Solved, box: str, several: Several) -> dict[str, Option]:
    first, *rest = several.meanings
    found = _take(solved, box, first)
    for meaning in rest:
        for part, option in _take(solved, box, meaning).items():
            if part in found:
                before = found[part]
                found[part] = replace(
                    before,
                    more=(*before.more, option.written),
                    read_as=f"{before.read_as} or {option.read_as}",
                    in_form=before.in_form and option.in_form,
                    unit=max(before.unit, option.unit, key=_UNIT_STATES.index),
                )
    return found


_UNIT_STATES = ("missing", "asked", "converted", "wrong")
"""What two answers to one part say of their unit together: the later of the two. A unit written once holds for both."""


def _resolved(solved: Solved, vector: Polar) -> dict[str, Option]:
    """A length and direction where components were asked: the same quantity in another form."""
    if vector.magnitude is None or vector.direction is None:
        return {}
    length = from_quantity(solved, "x", vector.magnitude)
    angle = math.radians(vector.direction.angle)
    turn = math.radians(vector.direction.place or 0.0) * abs(length.written.value)
    place = max(length.written.place, turn)
    found = {}
    for part, share in (("x", math.cos(angle)), ("y", math.sin(angle))):
        value = length.written.value * share
        said = f"{length.read_as} at {direction_text(vector.direction)}"
        found[part] = replace(length, written=Written(value, place, place), number=value, in_form=False, read_as=said)
    return found


def _composed(solved: Solved, vector: Components) -> dict[str, Option]:
    """Components where a length and direction were asked: the same quantity in another form."""
    if vector.x is None or vector.y is None:
        return {}
    x, y = from_quantity(solved, "magnitude", vector.x), from_quantity(solved, "magnitude", vector.y)
    length = math.hypot(x.written.value, y.written.value)
    place = max(x.written.place, y.written.place)
    said = f"({x.read_as}, {y.read_as})"
    magnitude = replace(x, written=Written(length, place, place), number=length, in_form=False, read_as=said)
    if length == 0:
        return {"magnitude": magnitude}
    angle = math.degrees(math.atan2(y.written.value, x.written.value)) % 360
    turn = math.degrees(place / length)
    direction = Option(Written(angle, turn, turn), said, angle, in_form=False)
    return {"magnitude": magnitude, "direction": direction}


def from_quantity(solved: Solved, part: str, quantity: Quantity) -> Option:
    """A quantity as an option for a part, brought to the unit of the key."""
    number = quantity.number
    factor, state = _unit_factor(solved, part, quantity.unit)
    value = number.value * factor
    if solved.problem.find == "ramp":
        # Which way along the ramp counts as positive is the student's choice.
        value = abs(value)
    place = abs((number.place or 0.0) * factor)
    coarsest = abs((number.coarsest or number.place or 0.0) * factor)
    text = _number_text(number)
    if quantity.unit is not None:
        joint = "" if quantity.unit.dimension == "angle" and quantity.unit.symbol in ("°", "deg") else " "
        symbol = "°" if joint == "" else quantity.unit.symbol
        text = f"{text}{joint}{symbol}"
    return Option(Written(value, place, coarsest, number.exact), text, number.value, unit=state)


def _unit_factor(solved: Solved, part: str, unit: Unit | None) -> tuple[float, str]:
    if is_angular(solved.problem, part):
        return (1.0, "asked") if unit is None or unit.dimension == "angle" else (1.0, "wrong")
    expected = solved.unit
    if expected is None:
        # No unit is asked and none is given: whatever the student adds is decoration, unless it makes an angle of it.
        return (1.0, "asked") if unit is None or unit.dimension != "angle" else (1.0, "wrong")
    if unit is None:
        return 1.0, "missing" if solved.problem.unit is not None else "asked"
    if unit == expected:
        return 1.0, "asked"
    try:
        factor = convert(1.0, unit, expected)
    except NotationError:
        return 1.0, "wrong"
    return factor, "asked" if math.isclose(factor, 1.0, rel_tol=1e-9) else "converted"


def from_direction(solved: Solved, direction: Direction) -> Option:
    """A direction as an option; a bare angle counts from where the problem asks directions to be counted."""
    asked = solved.problem.direction_as
    angle = direction.angle
    if direction.form == "plain angle" and asked == "true bearing":
        angle = (90.0 - direction.written) % 360
    place = direction.place or 0.0
    written = Written(angle, place, direction.coarsest or place, direction.place is None)
    in_form = _in_form(direction, asked)
    return Option(written, direction_text(direction), direction.written, in_form=in_form, direction=direction)


def _in_form(direction: Direction, asked: str) -> bool:
    form = direction.form
    if direction.sign in ("rad", "grad"):
        return False  # problems ask for degrees
    match asked:
        case "standard position":
            return form in ("plain angle", "standard position")
        case "true bearing":
            return form in ("plain angle", "true bearing")
        case "quadrant bearing":
            from_north_or_south = direction.letters is not None and direction.letters[0] in "NS"
            return form in ("quadrant bearing", "compass point") or (form == "from an axis" and from_north_or_south)
        case "from an axis":
            return form in ("from an axis", "quadrant bearing", "compass point")
    return True


def _number_text(number: Number) -> str:
    if number.place is None:
        return write_exact(number.value) or write_number(number.value, 1e-4)
    return write_number(number.value, _decimal(number.place))


def _decimal(place: float | None) -> float:
    """A decimal place at least as fine: minutes of arc, and numbers brought from another unit, have places between."""
    return 1e-4 if not place else 10.0 ** math.floor(math.log10(place) + 1e-9)


def direction_text(direction: Direction) -> str:
    """A direction as it was read, in the form in which it was written."""
    place = _decimal(direction.place)
    if direction.form == "plain angle":
        text = write_number(direction.written, place)
        return f"{text}°"
    form = {"compass point": "quadrant bearing"}.get(direction.form, direction.form)
    if direction.form == "compass point" and (letters := point_letters(direction)):
        return letters
    if direction.form == "from an axis" and direction.letters is not None:
        start, toward = direction.letters
        return f"{write_number(direction.written, place)}° {toward} of {start}"
    return write_direction(direction.angle, form, place)
