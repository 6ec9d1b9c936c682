"""Resultants, equilibrants, differences and components: by components and by the parallelogram."""

import math

from .hand import Calculator, Hand
from .problems import Exercise
from .steps import Changes, Values, by_law_of_cosines, components_of, finished, misread, written_bearing

# --- by components --------------------------------------------------------------------------------------------------------


def by_components(exercise: Exercise, changes: Changes, hand: Hand) -> Values:
    """Steps: converted size, x and y of each vector, sums X and Y, R², R, the ratio Y/X, its inverse tangent, the quadrant."""
    calculator = Calculator(changes.get("calculator", ""))
    pairs: list[tuple[float, float]] = []
    for position, vector in enumerate(exercise.vectors):
        if changes.get("vectors") == f"without {position}":
            continue
        size = vector.size
        if exercise.factor != 1.0:
            size = hand.keep(f"size {position}", size * exercise.factor)
        x, y = components_of(misread(vector, position, changes), size, changes, calculator)
        signs = changes.get("signs", "")
        x = abs(x) if signs in ("dropped", f"lost x {position}") else x
        y = abs(y) if signs in ("dropped", f"lost y {position}") else y
        subtracted = exercise.find == "difference" or changes.get("combine") == "subtracted"
        if position and subtracted and changes.get("combine") != "not reversed":
            x, y = -x, -y
        if vector.said != "pair":
            x, y = hand.keep(f"x {position}", x), hand.keep(f"y {position}", y)
        pairs.append((x, y))
    X, Y = sum(pair[0] for pair in pairs), sum(pair[1] for pair in pairs)
    if changes.get("sums") == "swapped":
        X, Y = Y, X
    if exercise.find == "components":
        sign = -1.0 if changes.get("turn") == "other" else 1.0
        return {"x": sign * X, "y": sign * Y}
    X, Y = hand.keep("X", X), hand.keep("Y", Y)
    if changes.get("negated") == "sums":
        # The equilibrant's own components: nothing is left to turn at the end.
        X, Y = -X, -Y
    return {
        "magnitude": length_of(X, Y, changes, hand),
        "direction": direction_from(X, Y, exercise, changes, hand, calculator),
    }


def length_of(X: float, Y: float, changes: Changes, hand: Hand) -> float:
    change = changes.get("length", "")
    if change == "sum":
        return abs(X) + abs(Y)
    if change == "root of sum":
        return math.sqrt(hand.keep("R²", abs(X) + abs(Y)))
    # −7.6² without brackets is −57.76; with two negatives the whole sum is negative and its sign is dropped.
    square_x, square_y = (
        (math.copysign(X * X, X), math.copysign(Y * Y, Y)) if change == "minus square" else (X * X, Y * Y)
    )
    square = hand.keep("R²", square_x + square_y)
    return square if changes.get("root") == "not taken" else math.sqrt(abs(square))


def direction_from(
    X: float, Y: float, exercise: Exercise, changes: Changes, hand: Hand, calculator: Calculator
) -> float | None:
    over, under = (X, Y) if changes.get("tangent") == "upside down" else (Y, X)
    ratio = hand.keep_ratio("ratio", over / under) if under else math.copysign(math.inf, over)
    shown = calculator.atan(ratio)
    quadrant = changes.get("quadrant", "")
    right = (1 if Y >= 0 else 4) if X >= 0 else (2 if Y >= 0 else 3)
    if quadrant == "displayed":
        direction = shown
    else:
        reference = abs(shown)
        taken = int(quadrant) if quadrant else right
        direction = {1: reference, 2: 180.0 - reference, 3: 180.0 + reference, 4: 360.0 - reference}[taken]
    return finished(direction, exercise, changes)


# --- by the parallelogram -------------------------------------------------------------------------------------------------


def by_parallelogram(exercise: Exercise, changes: Changes, hand: Hand) -> Values:
    """Steps: φ, 180° − φ, R² by the law of cosines, R, sin θ by the law of sines, θ, θ laid off from the first vector."""
    calculator = Calculator(changes.get("calculator", ""))
    first, second = (misread(vector, position, changes) for position, vector in enumerate(exercise.vectors))
    a, b, alpha, beta = first.size, second.size, first.direction, second.direction
    subtracted = exercise.find == "difference" or changes.get("combine") == "subtracted"
    if subtracted and changes.get("combine") != "not reversed":
        beta += 180.0
    between = (beta - alpha + 180.0) % 360.0 - 180.0
    side, phi = math.copysign(1.0, between), abs(between)
    inner = phi if changes.get("supplement") == "not taken" else 180.0 - phi
    R, used = by_law_of_cosines(a, b, inner, changes, hand, calculator, exercise)
    if changes.get("cosine") == "right angle":
        theta: float | None = calculator.atan(b / a)
    else:
        sine = hand.keep_ratio("sine", b * calculator.sin(inner) / used) if used else math.inf
        theta = calculator.asin(sine)
        if theta is not None and _is_obtuse(a, b, phi, used, changes):
            theta = 180.0 - theta
    if theta is None:
        return {"magnitude": R, "direction": None}
    laid = changes.get("laid off", "")
    if laid == "not" or laid == "not, not even turned":
        direction = (90.0 - theta) % 360.0 if exercise.form == "true bearing" else theta
        if laid == "not, not even turned":
            return {"magnitude": R, "direction": written_bearing(direction, changes)}
    elif laid == "wrong way":
        direction = alpha - side * theta
    elif laid == "from the other":
        direction = beta - side * theta
    else:
        direction = alpha + side * theta
    return {"magnitude": R, "direction": finished(direction % 360.0, exercise, changes)}


def _is_obtuse(a: float, b: float, phi: float, used: float, changes: Changes) -> bool:
    """Whether the pupil takes the supplement of the inverse sine for the angle between a and R."""
    change = changes.get("arcsine", "")
    if change == "calculator":
        return False
    if change == "picture":
        return a + b * math.cos(math.radians(phi)) < 0
    return b * b > a * a + used * used
