"""Mistakes with the laws of cosines and sines."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from grader.methods.calculator import Calculator, Value
from grader.methods.problem import Problem
from grader.methods.steps import Method, Quantities, Rule, Step
from grader.mistakes.altering import NAMED, NUMBERED, Alteration, Mistake, at, reported


def supplement_not_taken(method: Method, problem: Problem) -> Iterator[Alteration]:
    """φ instead of 180° − φ, in the law of cosines and after it in the law of sines."""
    yield from at(method, "triangle angle", lambda step: lambda q, _: q[f"phi_{step.index}"])
    if problem.find == "angle between":
        yield reported(value=lambda q, _: 180.0 - np.asarray(q["phi"]))
    yield from _acute_kept(method, problem)


def _acute_kept(method: Method, problem: Problem) -> Iterator[Alteration]:
    """In a triangle the display's acute angle, where its supplement is the one that fits."""
    if problem.find == "triangle":
        ratios = {step.name for step in method.steps_of("law of sines")}
        yield from at(
            method, "inverse sine", lambda step: _as_shown(f"sin{step.name}") if f"sin{step.name}" in ratios else None
        )


def _as_shown(ratio: str) -> Rule:
    return lambda q, c: c.asin(q[ratio])


def cosine_sign_flipped(method: Method, problem: Problem) -> Iterator[Alteration]:
    """+ 2ab cos for − 2ab cos; the law of sines with the right angle after it."""

    def rule_for(step: Step) -> Rule | None:
        match step.about:
            case (str(a), str(b), str(cosine)):
                return lambda q, _: np.square(q[a]) + np.square(q[b]) + 2.0 * np.multiply(q[a], q[b]) * q[cosine]
            case (str(side), str(a), str(b), "angle"):
                return lambda q, _: -_cosine_of(q, side, a, b)
        return None

    yield from at(method, "law of cosines", rule_for)


def _cosine_of(q: Quantities, side: str, a: str, b: str) -> Value:
    """The cosine of the angle opposite a side, by the law of cosines."""
    return (np.square(q[a]) + np.square(q[b]) - np.square(q[side])) / (2.0 * np.multiply(q[a], q[b]))


def two_dropped(method: Method, problem: Problem) -> Iterator[Alteration]:
    """a² + b² − ab cos."""

    def rule_for(step: Step) -> Rule | None:
        match step.about:
            case (str(a), str(b), str(cosine)):
                return lambda q, _: np.square(q[a]) + np.square(q[b]) - np.multiply(q[a], q[b]) * q[cosine]
            case (str(side), str(a), str(b), "angle"):
                return lambda q, _: 2.0 * _cosine_of(q, side, a, b)
        return None

    yield from at(method, "law of cosines", rule_for)


def cosine_last(method: Method, problem: Problem) -> Iterator[Alteration]:
    """(a² + b² − 2ab) · cos: the order of operations. The sign that the root refuses is dropped."""

    def rule_for(step: Step) -> Rule | None:
        match step.about:
            case (str(a), str(b), str(cosine)):
                return lambda q, _: np.abs(np.square(np.subtract(q[a], q[b])) * q[cosine])
        return None

    yield from at(method, "law of cosines", rule_for)


def root_not_taken(method: Method, problem: Problem) -> Iterator[Alteration]:
    """R² reported as R: carried on into the next step, or only in the answer."""
    name = method.answers.get("magnitude")
    last = next((step for step in method.steps_of("length") if step.name == name), None)
    if last is not None and method.name == "parallelogram":
        square = f"R2_{last.index}"
        yield Alteration({last.name: lambda q, _: q[square]})
        yield reported(magnitude=lambda q, _: q[square])
    elif last is not None:
        yield reported(magnitude=lambda q, _: q["R2"])
    if problem.find == "triangle":
        yield from at(method, "length", lambda step: lambda q, _: q[str(step.about)])
    if problem.find in ("unit vector", "angle between"):
        yield from at(method, "length", lambda step: lambda q, _: q[f"q{step.index}"])


def _stages(method: Method) -> list[tuple[int, str, str]]:
    """(stage, a, b) for each triangle of the parallelogram method."""
    return [
        (s.index, s.about[0], s.about[1])
        for s in method.steps_of("law of cosines")
        if isinstance(s.about, tuple) and s.index
    ]


def _squares_added(a: str, b: str) -> Rule:
    return lambda q, _: np.square(q[a]) + np.square(q[b])


def _angle_of_right_triangle(a: str, b: str) -> Rule:
    return lambda q, c: c.atan(np.divide(q[b], q[a]))


def _pythagoras(step: Step) -> Rule | None:
    match step.about:
        case (str(a), str(b), str()):
            return _squares_added(a, b)
    return None


def right_angle_assumed(method: Method, problem: Problem) -> Iterator[Alteration]:
    """√(a² + b²), and θ from tan θ = b/a."""
    rules: dict[str, Rule] = {}
    for index, a, b in _stages(method):
        rules[f"R2_{index}"] = _squares_added(a, b)
        rules[f"theta_{index}"] = _angle_of_right_triangle(a, b)
    if rules:
        yield Alteration(rules)
        yield Alteration({name: rule for name, rule in rules.items() if name.startswith("R2")})
    elif problem.find == "triangle":
        yield from at(method, "law of cosines", _pythagoras)
    yield from _speeds(method, problem, lambda q, _: np.sqrt(np.square(q["V"]) + np.square(q["w"])))
    yield from _speeds(method, problem, lambda q, _: np.sqrt(np.abs(np.square(q["V"]) - np.square(q["w"]))))


def _added(a: str, b: str) -> Rule:
    return lambda q, _: np.add(q[a], q[b])


def _taken_away(a: str, b: str) -> Rule:
    return lambda q, _: np.abs(np.subtract(q[a], q[b]))


def lengths_added(method: Method, problem: Problem) -> Iterator[Alteration]:
    """a + b."""
    rules = {f"R_{i}": _added(a, b) for i, a, b in _stages(method)}
    yield from _lengths(method, rules)
    yield from _speeds(method, problem, _added("V", "w"))


def lengths_subtracted(method: Method, problem: Problem) -> Iterator[Alteration]:
    """|a − b|."""
    rules = {f"R_{i}": _taken_away(a, b) for i, a, b in _stages(method)}
    yield from _lengths(method, rules)
    yield from _speeds(method, problem, _taken_away("V", "w"))


def _lengths(method: Method, rules: dict[str, Rule]) -> Iterator[Alteration]:
    if not rules:
        return
    yield Alteration(rules)
    if "magnitude" in method.answers:
        # The length alone: the direction found in another way.
        yield reported(magnitude=rules[method.answers["magnitude"]])


def _speeds(method: Method, problem: Problem, ground: Rule) -> Iterator[Alteration]:
    """A ground speed got in a wrong way, with the right heading or with the track given for it."""
    if problem.find == "heading" and method.name == "parallelogram":
        yield Alteration({"ground": ground})
        yield Alteration({"ground": ground, "heading": lambda q, _: q["tr"]})


def _last_stage(method: Method) -> int:
    return max((step.index for step in method.steps_of("lay off")), default=0)


def inner_angle_only(method: Method, problem: Problem) -> Iterator[Alteration]:
    """θ reported as the direction; in a bearing, θ with the letters of the right quadrant; for a heading, the angle off the
    track."""
    if problem.find == "heading" and method.name == "parallelogram":
        yield from at(method, "steer into the flow", lambda step: lambda q, _: q["kappa"])
        if problem.direction_as == "true bearing":
            yield Alteration(
                final={"direction": lambda q, _: np.mod(90.0 - np.asarray(q["kappa"]), 360.0)}, forms=NUMBERED
            )
    last = _last_stage(method)
    if not last or "direction" not in method.answers:
        return
    theta, direction = f"theta_{last}", method.answers["direction"]
    yield from at(method, "lay off", lambda step: (lambda q, _: q[theta]) if step.index == last else None)
    if problem.find == "equilibrant":
        yield reported(direction=lambda q, _: q[theta])
    if problem.direction_as == "true bearing":
        yield Alteration(final={"direction": lambda q, _: np.mod(90.0 - np.asarray(q[theta]), 360.0)}, forms=NUMBERED)
    for from_next_axis in (False, True):
        yield Alteration(final={"direction": _in_right_quadrant(theta, direction, from_next_axis)}, forms=NAMED)


def _in_right_quadrant(theta: str, direction: str, from_next_axis: bool) -> Rule:
    """The angle θ as the number of a bearing with the right letters, counted from one axis or the other."""

    def rule(q: Quantities, _: Calculator) -> Value:
        start = np.floor(np.asarray(q[direction]) / 90.0) * 90.0
        angle = np.asarray(q[theta])
        return np.where(angle > 90, np.nan, start + (90.0 - angle if from_next_axis else angle))

    return rule


def turned_wrong_way(method: Method, problem: Problem) -> Iterator[Alteration]:
    """θ laid off on the side of a away from b; the wind or current corrected for on the wrong side."""
    yield from at(method, "turn", lambda step: lambda q, c: -np.asarray(step.rule(q, c)))


def angle_from_other_force(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The angle found from one force, laid off from the other."""

    def rule_for(step: Step) -> Rule | None:
        match step.about:
            case (_, _, _, str(beta)):
                i = step.index
                return lambda q, _: np.mod(q[beta] - np.multiply(q[f"turn_{i}"], q[f"theta_{i}"]), 360.0)
        return None

    yield from at(method, "lay off", rule_for)


def obtuse_missed(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The calculator's acute arcsine kept where the angle is obtuse."""
    if method.name == "parallelogram" and method.steps_of("lay off"):
        yield from at(method, "inverse sine", lambda step: _as_shown(f"sint_{step.index}"))
    yield from _acute_kept(method, problem)


MISTAKES = (
    Mistake("supplement-not-taken", supplement_not_taken),
    Mistake("cosine-sign-flipped", cosine_sign_flipped),
    Mistake("root-not-taken", root_not_taken),
    Mistake("two-dropped", two_dropped),
    Mistake("cosine-last", cosine_last),
    Mistake("right-angle-assumed", right_angle_assumed),
    Mistake("lengths-added", lengths_added),
    Mistake("lengths-subtracted", lengths_subtracted),
    Mistake("inner-angle-only", inner_angle_only),
    Mistake("turned-wrong-way", turned_wrong_way),
    Mistake("angle-from-other-force", angle_from_other_force),
    Mistake("obtuse-missed", obtuse_missed),
)
