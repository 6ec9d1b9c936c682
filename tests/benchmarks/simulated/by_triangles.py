"""Headings in wind and current, triangles, and the angle between two vectors."""

import math

from .by_vectors import direction_from, length_of
from .hand import Calculator, Hand
from .problems import Exercise
from .steps import Changes, Values, by_law_of_cosines, misread, place_asked, written_bearing

# --- headings -------------------------------------------------------------------------------------------------------------


def by_heading(exercise: Exercise, changes: Changes, hand: Hand) -> Values:
    """Steps: the wind across and along the track, sin δ = across/speed, δ, speed·cos δ, the sum along the track."""
    calculator = Calculator(changes.get("calculator", ""))
    wind, track = (misread(vector, position, changes) for position, vector in enumerate(exercise.vectors))
    toward, course, speed = wind.direction, track.direction, track.size
    if changes.get("wind") == "reversed":
        toward += 180.0
    if changes.get("wind") == "added":
        return _wind_added(wind.size, toward, speed, course, exercise, changes, hand, calculator)
    between = (toward - course + 180.0) % 360.0 - 180.0
    side, gamma = math.copysign(1.0, between), abs(between)
    if changes.get("angles") == "axes":
        # The track runs north: the wind's x is across it, its y along it.
        across, along = abs(wind.size * calculator.cos(toward)), wind.size * calculator.sin(toward)
    else:
        across, along = wind.size * calculator.sin(gamma), wind.size * calculator.cos(gamma)
    if changes.get("split") == "swapped":
        across, along = along, across
    across, along = hand.keep("across", across), hand.keep("along", along)
    delta = calculator.asin(hand.keep_ratio("sine", across / speed))
    if delta is None:
        return {"magnitude": None, "direction": None}
    forward = hand.keep("forward", speed * Calculator(_through(changes)).cos(delta))
    return {
        "magnitude": abs(forward + along),
        "direction": written_bearing((course - side * delta) % 360.0, changes),
    }


def _through(changes: Changes) -> str:
    """The mode in which δ goes back into the calculator: the same one it came out of, so that nothing is lost on the way."""
    return changes.get("calculator", "").removesuffix(" at the end")


def _wind_added(
    size: float,
    toward: float,
    speed: float,
    course: float,
    exercise: Exercise,
    changes: Changes,
    hand: Hand,
    calculator: Calculator,
) -> Values:
    X = hand.keep("X", hand.keep("x", size * calculator.cos(toward)) + speed * calculator.cos(course))
    Y = hand.keep("Y", hand.keep("y", size * calculator.sin(toward)) + speed * calculator.sin(course))
    return {
        "magnitude": length_of(X, Y, changes, hand),
        "direction": direction_from(X, Y, exercise, changes, hand, calculator),
    }


# --- triangles and the angle between --------------------------------------------------------------------------------------


def by_triangle(exercise: Exercise, changes: Changes, hand: Hand) -> Values:
    """Two sides and the angle between, three sides, or two angles and a side: by the laws of cosines and of sines."""
    given = exercise.triangle
    if "C" in given:
        return _two_sides(exercise, changes, hand)
    return _three_sides(exercise, changes, hand) if "a" in given else _two_angles(exercise, changes, hand)


def _third(known: float, other: float, changes: Changes) -> float:
    return (360.0 if changes.get("sum") == "360" else 180.0) - known - other


def _by_law_of_sines(
    wanted: float, known: float, angle: float, obtuse: bool, changes: Changes, hand: Hand, calculator: Calculator
) -> float | None:
    """The angle opposite the side `wanted`, from the side `known` and the angle opposite to it."""
    over, under = (known, wanted) if changes.get("sines") == "upside down" else (wanted, known)
    found = calculator.asin(hand.keep_ratio("sine", over * calculator.sin(angle) / under)) if under else None
    # Where the supplement would leave nothing for the third angle, the inverse sine is kept as shown.
    if found is not None and obtuse and angle < found and changes.get("arcsine") != "calculator":
        found = 180.0 - found
    return found


def _two_sides(exercise: Exercise, changes: Changes, hand: Hand) -> Values:
    """Steps: c² and c by the law of cosines, one angle by the law of sines, the last from the sum."""
    calculator = Calculator(changes.get("calculator", ""))
    a, b, C = (exercise.triangle[part] for part in "abC")
    c, used = by_law_of_cosines(a, b, C, changes, hand, calculator, exercise)
    first, second = ("B", "A") if changes.get("order") == "B" else ("A", "B")
    wanted, other = (b, a) if first == "B" else (a, b)
    obtuse = wanted * wanted > other * other + used * used
    found = _by_law_of_sines(wanted, used, C, obtuse, changes, hand, calculator)
    return {"c": c, first: found, second: None if found is None else _third(C, found, changes)}


def _three_sides(exercise: Exercise, changes: Changes, hand: Hand) -> Values:
    """Steps: one angle by the law of cosines, a second by the law of sines, the last from the sum; or C first, the largest."""
    calculator = Calculator(changes.get("calculator", ""))
    sides = {name.upper(): exercise.triangle[name] for name in "abc"}
    first, second, last = tuple(changes.get("order", "ACB"))
    p, q, r = sides[first], sides[second], sides[last]
    over = q * q + r * r - p * p
    under = 2.0 * q * r
    if changes.get("cosine") == "sign flipped":
        over = -over
    if changes.get("cosine") == "two dropped":
        under = q * r
    angle = calculator.acos(hand.keep_ratio("cosine", over / under))
    if angle is None:
        return {"A": None, "B": None, "C": None}
    used = hand.report("angle", angle, place_asked(exercise, first, angle))
    other = _by_law_of_sines(q, p, used, q * q > p * p + r * r, changes, hand, Calculator(_through(changes)))
    if other is None:
        return {first: angle, second: None, last: None}
    return {first: angle, second: other, last: _third(used, other, changes)}


def _two_angles(exercise: Exercise, changes: Changes, hand: Hand) -> Values:
    """Steps: C from the sum, the common ratio c/sin C, the sides from it."""
    calculator = Calculator(changes.get("calculator", ""))
    A, B, c = (exercise.triangle[part] for part in "ABc")
    C = _third(A, B, changes)
    if changes.get("sines") == "upside down":
        ratio = hand.keep("ratio", c * calculator.sin(C))
        return {"C": C, "a": abs(ratio / calculator.sin(A)), "b": abs(ratio / calculator.sin(B))}
    ratio = hand.keep("ratio", c / calculator.sin(C))
    # A length that comes out negative is written without its sign.
    return {"C": C, "a": abs(ratio * calculator.sin(A)), "b": abs(ratio * calculator.sin(B))}


def by_dot_product(exercise: Exercise, changes: Changes, hand: Hand) -> Values:
    """Steps: the dot product, both lengths, the cosine of the angle, the angle."""
    calculator = Calculator(changes.get("calculator", ""))
    signs = changes.get("signs", "")
    pairs = [
        (
            abs(vector.x) if signs in ("dropped", f"lost x {position}") else vector.x,
            abs(vector.y) if signs in ("dropped", f"lost y {position}") else vector.y,
        )
        for position, vector in enumerate(exercise.vectors)
    ]
    (ux, uy), (vx, vy) = pairs
    lengths = []
    for position, (x, y) in enumerate(pairs):
        change = changes.get("length", "")
        if change == "sum":
            length = abs(x) + abs(y)
        elif change == "root of sum":
            length = math.sqrt(abs(x) + abs(y))
        elif change == "minus square":
            length = math.sqrt(abs(math.copysign(x * x, x) + math.copysign(y * y, y)))
        else:
            length = x * x + y * y if changes.get("root") == "not taken" else math.hypot(x, y)
        lengths.append(hand.keep(f"length {position}", length))
    product = lengths[0] * lengths[1]
    return {"value": calculator.acos(hand.keep_ratio("cosine", (ux * vx + uy * vy) / product)) if product else None}
