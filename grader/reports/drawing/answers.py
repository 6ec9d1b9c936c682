"""A student's answer as numbers, and the words for the numbers of a drawing."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from grader.methods.directions import number
from grader.methods.part_names import part_name
from grader.methods.problem import Problem
from grader.methods.solve import Solved
from grader.methods.vectors import in_unit
from grader.notation.given import GivenVector
from grader.notation.readings import Direction, Quantity
from grader.notation.units import Unit
from grader.notation.write import write_direction, write_quantity
from grader.reports.drawing.geometry import Point, direction_of, polar
from grader.reports.words import one_line

Answer = Mapping[str, float]
"""What a student wrote, part by part, in the unit asked, directions in degrees in standard position. Blank parts are absent."""

_TURN = {"E": 0.0, "N": 90.0, "W": 180.0, "S": 270.0}


def answer_from(parts: Iterable[tuple[str, float]]) -> Answer:
    """The answer from (part, value) pairs as the marks table holds them: parts without a number are left out.

    >>> answer_from([("magnitude", 52.1), ("direction", float("nan"))])
    {'magnitude': 52.1}
    """
    return {part: float(value) for part, value in parts if math.isfinite(value)}


def as_answer(solved: Solved, student: Point | Answer | None) -> Answer:
    """A tip (x, y) or a mapping turned into an answer of this problem; empty where nothing was written."""
    if student is None:
        return {}
    if isinstance(student, Mapping):
        return answer_from(student.items())
    x, y = student
    if not (math.isfinite(x) and math.isfinite(y)):
        return {}
    places = {key.part: key.place / 10 for key in solved.solution.parts}
    if "magnitude" in places:  # one digit more than was asked
        length, direction = math.hypot(x, y), direction_of(x, y)
        return {
            "magnitude": round(length / places["magnitude"]) * places["magnitude"],
            "direction": round(direction / places["direction"]) * places["direction"] % 360.0,
        }
    return {"x": x, "y": y}


def tip_of(answer: Answer) -> Point | None:
    """Where the arrow of an answer ends, if the answer is a whole vector."""
    if "x" in answer and "y" in answer:
        return answer["x"], answer["y"]
    if "magnitude" in answer and "direction" in answer:
        return polar(answer["magnitude"], answer["direction"])
    return None


def key_tip(solved: Solved) -> Point | None:
    """Where the arrow of the right answer ends."""
    return tip_of(answer_from((key.part, key.value) for key in solved.solution.parts))


def pair_in_words(solved: Solved) -> str:
    """The right components as one pair: ``(1.5, 3.9) cm``."""
    unit = f" {solved.unit.symbol}" if solved.unit is not None else ""
    x, y = (solved.solution.part(part).shown.removesuffix(unit) for part in ("x", "y"))
    return f"({x}, {y}){unit}"


def said(solved: Solved, part: str, value: float) -> str:
    """A student's number with its unit, or as a direction in the form asked."""
    if part == "direction":
        form = form_of(solved.problem)
        return write_direction(round(value, 4) % 360.0, form, None)
    shown = number(round(value, 6))
    if part in ("A", "B", "C") or (part == "value" and solved.problem.find == "angle between"):
        return f"{shown}°"
    return f"{shown} {solved.unit.symbol}" if solved.unit is not None else shown


def called(solved: Solved, part: str) -> str:
    """A part in front of its number: ``along the ramp``, ``x =``."""
    name = part_name(solved.problem.find, part)
    return f"{part} =" if name == part else f"{name[:1].lower()}{name[1:]}"


def said_answer(solved: Solved, answer: Answer) -> str:
    """The whole of a student's answer in words: ``52.1 kN, 339°``; ``x = 3, y = −2``."""
    pieces = []
    for key in solved.solution.parts:
        if key.part in answer:
            text = said(solved, key.part, answer[key.part])
            pieces.append(
                text if key.part in ("magnitude", "direction", "value") else f"{called(solved, key.part)} {text}"
            )
    return ", ".join(pieces)


def form_of(problem: Problem) -> str:
    """The form in which directions of this problem are shown."""
    return "standard position" if problem.direction_as == "any" else problem.direction_as


def given_quantity(quantity: Quantity) -> str:
    """A given number as written, with its unit."""
    return write_quantity(quantity.number.value, quantity.number.place, quantity.unit)


def tip_of_given(vector: GivenVector, unit: Unit | None) -> Point:
    """The components of a given vector, in a unit."""
    if vector.magnitude is not None and vector.direction is not None:
        return polar(in_unit(vector.magnitude, unit), vector.direction.angle)
    assert vector.x is not None
    assert vector.y is not None
    return in_unit(vector.x, unit), in_unit(vector.y, unit)


def given_in_words(vector: GivenVector) -> str:
    """A given vector as a label: its length, or its components; a compass point keeps its letters."""
    if vector.magnitude is not None and vector.direction is not None:
        length = given_quantity(vector.magnitude)
        return f"{length} {compass_letters(vector)}".strip()
    assert vector.x is not None
    assert vector.y is not None
    unit = f" {vector.x.unit.symbol}" if vector.x.unit is not None else ""
    x, y = (write_quantity(q.number.value, q.number.place, None) for q in (vector.x, vector.y))
    return f"({x}, {y}){unit}"


def compass_letters(vector: GivenVector) -> str:
    """The letters of a vector whose direction was given by a compass point: ``NW``; else nothing."""
    if vector.direction is None or vector.direction.form != "compass point":
        return ""
    last = one_line(vector.text).split(" ")[-1]
    return last if len(last) <= 4 else ""


def arc_as_given(direction: Direction) -> tuple[float, float, str] | None:
    """From where, how far and with what number a given direction is marked; None where there is no angle to mark."""
    written = abs(direction.written) if direction.letters else direction.written
    shown = write_quantity(written, direction.place, None) + "°"
    if direction.form == "compass point" or written == 0:
        return None
    if direction.form == "true bearing":
        return 90.0, -written, shown
    if direction.letters is not None:
        start, toward = (_TURN[letter] for letter in direction.letters)
        left = (toward - start) % 360.0 == 90.0
        return start, written if left else -written, shown
    sweep = direction.angle if written >= 0 else direction.angle - 360.0
    return 0.0, sweep, shown


def arc_as_asked(angle: float, form: str) -> tuple[float, float] | None:
    """From where and how far a direction is marked in the form asked; None where it lies on the line that it starts from."""
    bearing = (90.0 - angle) % 360.0
    from_north = bearing if bearing <= 180.0 else bearing - 360.0
    if form == "true bearing":
        found = 90.0, -bearing
    elif form == "quadrant bearing" or (form == "from an axis" and not 45.0 < abs(from_north) < 135.0):
        found = (90.0, -from_north) if abs(from_north) <= 90.0 else (270.0, 180.0 - bearing)
    elif form == "from an axis":
        axis = 0.0 if from_north > 0 else 180.0
        found = axis, (angle - axis + 180.0) % 360.0 - 180.0
    else:
        found = 0.0, angle
    return None if abs(found[1]) < 1e-9 or abs(abs(found[1]) - 360.0) < 1e-9 else found
