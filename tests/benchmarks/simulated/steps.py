"""What all workings share: given directions as understood, the law of cosines, and the last steps of an answer."""

import math
from collections.abc import Mapping

from .hand import Calculator, Hand, significant_exponent
from .problems import Exercise, Vector

Values = dict[str, float | None]
Changes = Mapping[str, str]

ANGLE_BOXES = frozenset({"direction", "A", "B", "C", "value"})


def is_angle(box: str) -> bool:
    return box in ANGLE_BOXES


def place_asked(exercise: Exercise, box: str, value: float) -> int:
    """The power of ten of the last place asked for in `box`; `3 s.f.` depends on the value."""
    asked = exercise.row["Direction to" if is_angle(box) else "Magnitude to"]
    if asked.endswith("s.f."):
        return significant_exponent(value, int(asked.split()[0]))
    return -len(asked.partition(".")[2])


# --- given directions -----------------------------------------------------------------------------------------------------


def misread(vector: Vector, position: int, changes: Changes) -> Vector:
    """The given vector as the pupil understood its bearing."""
    change, _, which = changes.get("given", "").partition(":")
    if not change or which not in ("all", str(position)):
        return vector
    other = {"N": "S", "S": "N", "E": "W", "W": "E", "": ""}
    size, angle, said, pole, side = vector.size, vector.angle, vector.said, vector.pole, vector.side
    if said == "quadrant":
        if change == "wrong axis":
            return Vector(size, 90.0 - angle, said, pole, side)
        if change == "east and west":
            return Vector(size, angle, said, pole, other[side])
        if change == "north and south":
            return Vector(size, angle, said, other[pole], side)
    if said == "true":
        if change == "as standard":
            return Vector(size, angle)
        if change == "east and west":
            return Vector(size, 360.0 - angle, said)
    return vector


def components_of(vector: Vector, size: float, changes: Changes, calculator: Calculator) -> tuple[float, float]:
    """x and y of one given vector, unrounded. By the picture, a bearing's own angle is used, with signs from its letters."""
    if vector.said == "pair":
        return vector.x, vector.y
    swapped = changes.get("split") == "swapped"
    if changes.get("angles") == "picture" and vector.said in ("quadrant", "true"):
        along, across = size * calculator.cos(vector.angle), size * calculator.sin(vector.angle)
        if swapped:
            along, across = across, along
        return (-across if vector.side == "W" else across), (-along if vector.pole == "S" else along)
    x, y = size * calculator.cos(vector.direction), size * calculator.sin(vector.direction)
    return (y, x) if swapped else (x, y)


# --- the last steps, common to both methods -------------------------------------------------------------------------------


def _turned(direction: float | None, exercise: Exercise, changes: Changes) -> float | None:
    """The equilibrant points against the resultant; a pupil may forget to turn, or turn without need."""
    if direction is None:
        return None
    turn = exercise.find == "equilibrant" and changes.get("negated") != "sums"
    if changes.get("turn") == "other":
        turn = not turn
    return (direction + 180.0) % 360.0 if turn else direction


def written_bearing(direction: float | None, changes: Changes) -> float | None:
    """What the pupil's way of writing the direction makes of it."""
    change = changes.get("answer")
    if direction is None or change is None:
        return direction
    direction %= 360.0
    if change == "wrong axis":
        lower = 90.0 * (direction // 90.0)
        return lower + 90.0 - (direction - lower)
    if change == "east and west":
        return (180.0 - direction) % 360.0
    if change == "north and south":
        return -direction % 360.0
    if change == "both letters":
        return (direction + 180.0) % 360.0
    # The number in standard position stands where a bearing is read, or the bearing's number where standard position is.
    return (90.0 - direction) % 360.0


def finished(direction: float | None, exercise: Exercise, changes: Changes) -> float | None:
    return written_bearing(_turned(direction, exercise, changes), changes)


# --- the law of cosines ------------------------------------------------------------------------------------------------


def by_law_of_cosines(
    a: float, b: float, inner: float, changes: Changes, hand: Hand, calculator: Calculator, exercise: Exercise
) -> tuple[float, float]:
    """The side opposite the angle `inner`: as it is reported, and as it goes into the next step."""
    change = changes.get("cosine", "")
    if change in ("added", "subtracted"):
        side = a + b if change == "added" else abs(a - b)
        return side, hand.report("R", side, place_asked(exercise, "magnitude", side))
    cosine = calculator.cos(inner)
    square = {
        "": a * a + b * b - 2.0 * a * b * cosine,
        "sign flipped": a * a + b * b + 2.0 * a * b * cosine,
        "two dropped": a * a + b * b - a * b * cosine,
        "cosine last": (a * a + b * b - 2.0 * a * b) * cosine,
        "right angle": a * a + b * b,
    }[change]
    # A negative square gives an error on the calculator; the pupil who goes on drops its sign.
    square = hand.keep("R²", abs(square))
    side = square if changes.get("root") == "not taken" else math.sqrt(square)
    return side, hand.report("R", side, place_asked(exercise, "magnitude", side))
