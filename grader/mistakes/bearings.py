"""Mistakes with bearings: in reading a given direction, and in writing the answer's."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from grader.methods.calculator import Value
from grader.methods.directions import from_letters
from grader.methods.problem import Problem
from grader.methods.steps import Method, Rule, Step
from grader.methods.vectors import constant
from grader.mistakes.altering import NAMED, NUMBERED, Alteration, Mistake, at
from grader.notation.readings import Direction

_OPPOSITE = {"N": "S", "S": "N", "E": "W", "W": "E"}


def _lettered(step: Step) -> Direction | None:
    """The given direction of a step where it was written with letters and a number (S 25° W)."""
    direction = step.about
    if isinstance(direction, Direction) and direction.letters is not None and direction.form != "compass point":
        return direction
    return None


def bearing_from_wrong_axis(method: Method, problem: Problem) -> Iterator[Alteration]:
    """A given S 25° W used as 25° from the west line."""

    def rule_for(step: Step) -> Rule | None:
        direction = _lettered(step)
        if direction is None or direction.letters is None:
            return None
        start, toward = direction.letters
        return constant(from_letters((toward, start), direction.written))

    yield from at(method, "standard direction", rule_for)


def bearing_turned_wrong_way(method: Method, problem: Problem) -> Iterator[Alteration]:
    """East and west, or north and south, exchanged in a given bearing."""
    for flip_start in (False, True):

        def rule_for(step: Step, flip_start: bool = flip_start) -> Rule | None:
            if isinstance(step.about, Direction) and step.about.form == "true bearing":
                return constant((-step.about.angle if flip_start else 180.0 - step.about.angle) % 360)
            direction = _lettered(step)
            if direction is None or direction.letters is None:
                return None
            start, toward = direction.letters
            letters = (_OPPOSITE[start], toward) if flip_start else (start, _OPPOSITE[toward])
            return constant(from_letters(letters, direction.written))

        yield from at(method, "standard direction", rule_for)


def bearing_as_standard_angle(method: Method, problem: Problem) -> Iterator[Alteration]:
    """A true bearing used as an angle from the positive x-axis."""

    def rule_for(step: Step) -> Rule | None:
        direction = step.about
        if isinstance(direction, Direction) and direction.form == "true bearing":
            return constant(direction.written % 360)
        return None

    yield from at(method, "standard direction", rule_for)


def answer_from_wrong_axis(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The answer's bearing is the complement: S 35° W for S 55° W."""
    name = method.answers.get("direction")
    if name is not None:
        yield Alteration(final={"direction": lambda q, _: complement_in_quadrant(q[name])}, forms=NAMED)


def complement_in_quadrant(angle: Value) -> Value:
    """The direction whose angle from the axis is the complement, in the same quadrant."""
    quadrant = np.floor(np.mod(angle, 360.0) / 90.0)
    return np.mod(180.0 * quadrant + 90.0 - np.mod(angle, 360.0), 360.0)


def answer_letters_wrong(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The right number with the wrong letters."""
    name = method.answers.get("direction")
    if name is not None:
        for sign, offset in ((-1, 0.0), (-1, 180.0), (1, 180.0)):
            yield Alteration(final={"direction": _reflected(name, sign, offset)}, forms=NAMED)


def _reflected(name: str, sign: int, offset: float) -> Rule:
    return lambda q, _: np.mod(sign * np.asarray(q[name]) + offset, 360.0)


def standard_angle_given_as_bearing(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The standard-position angle written where a true bearing was asked, or the reverse."""
    name = method.answers.get("direction")
    if name is not None:
        yield Alteration(final={"direction": lambda q, _: np.mod(90.0 - np.asarray(q[name]), 360.0)}, forms=NUMBERED)


MISTAKES = (
    Mistake("bearing-from-wrong-axis", bearing_from_wrong_axis),
    Mistake("bearing-turned-wrong-way", bearing_turned_wrong_way),
    Mistake("bearing-as-standard-angle", bearing_as_standard_angle),
    Mistake("answer-from-wrong-axis", answer_from_wrong_axis),
    Mistake("answer-letters-wrong", answer_letters_wrong),
    Mistake("standard-angle-given-as-bearing", standard_angle_given_as_bearing),
)
