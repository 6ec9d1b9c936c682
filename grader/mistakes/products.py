"""Mistakes with the dot product, and with the angle that it gives."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from grader.methods.problem import Problem
from grader.methods.steps import Method
from grader.mistakes.altering import Alteration, Mistake, reported


def cosine_left_out(method: Method, problem: Problem) -> Iterator[Alteration]:
    """ab for ab cos φ."""
    if problem.find == "dot product" and method.steps_of("cosine of the angle"):
        yield reported(value=lambda q, _: np.multiply(q["r1"], q["r2"]))


def angles_added(method: Method, problem: Problem) -> Iterator[Alteration]:
    """cos of the sum of the two directions, where both are given."""
    if problem.find == "dot product" and not method.steps_of("quadrant"):
        for step in method.steps_of("angle between"):
            yield Alteration({step.name: lambda q, _: np.add(q["d1"], q["d2"])})


def inverse_not_taken(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The cosine given for the angle."""
    if problem.find == "angle between" and method.name == "components":
        yield reported(value=lambda q, _: q["cosine"])


def dot_product_given(method: Method, problem: Problem) -> Iterator[Alteration]:
    """The dot product given for the angle."""
    if problem.find == "angle between" and method.name == "components":
        yield reported(value=lambda q, _: q["dot"])


MISTAKES = (
    Mistake("cosine-left-out", cosine_left_out),
    Mistake("angles-added", angles_added),
    Mistake("inverse-not-taken", inverse_not_taken),
    Mistake("dot-product-given", dot_product_given),
)
