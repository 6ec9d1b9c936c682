"""What a meaning says about the parts of an answer, in whichever box it was found."""

from __future__ import annotations

import math
from dataclasses import replace

from grader.marking.options import (
    NO_SOLUTION,
    Option,
    as_direction,
    direction_text,
    from_direction,
    from_quantity,
    unit_factor,
)
from grader.marking.rounding import Written
from grader.methods.solve import Solved
from grader.notation.readings import (
    Components,
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
from grader.notation.units import find_unit

WHOLE = "whole"
"""The box of an answer that stands in one."""


def options_of(solved: Solved, box: str, reading: Reading) -> dict[str, tuple[Option, ...]]:
    """The options that a reading in this box allows for each part that it says something about."""
    gathered: dict[str, list[Option]] = {}
    for sense in reading.senses:
        for meaning in (sense.meaning, *_northward(solved, box, sense.meaning)):
            for part, option in take(solved, box, meaning).items():
                gathered.setdefault(part, []).append(replace(option, notes=(*option.notes, *sense.notes)))
    return {part: tuple(options) for part, options in gathered.items()}


def take(solved: Solved, box: str, meaning: Meaning) -> dict[str, Option]:
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
            return {box: NO_SOLUTION} if box != WHOLE else dict.fromkeys(_names(solved), NO_SOLUTION)
    return {}


def _names(solved: Solved) -> list[str]:
    return [key.part for key in solved.solution.parts]


def _only_part(solved: Solved) -> str | None:
    names = _names(solved)
    return names[0] if len(names) == 1 else None


def _angle_like(quantity: Quantity) -> bool:
    return quantity.unit is None or quantity.unit.dimension == "angle"


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
    return (replace(meaning, unit=None),) if unit_factor(solved, box, meaning.unit)[1] == "wrong" else ()


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
    found = take(solved, box, first)
    for meaning in rest:
        for part, option in take(solved, box, meaning).items():
            if part in found:
                before = found[part]
                found[part] = replace(
                    before,
                    more=(*before.more, option.written),
                    joined=len(found) > 1,
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
