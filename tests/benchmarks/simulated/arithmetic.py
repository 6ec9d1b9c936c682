"""Every exercise worked by hand, rightly or with altered steps: one door to all workings.

A working takes the exercise, `changes` (the step → what was done there instead of the right thing; empty means right) and a
`Hand` (how results are carried), and returns the whole answer: box → number, None where the pupil has nothing to write.
Directions come as degrees anticlockwise from the positive x-axis whatever form is asked; a negative one is an angle that the
pupil would write with its minus sign.
"""

from collections.abc import Callable
from functools import lru_cache

from .by_triangles import by_dot_product, by_heading, by_triangle
from .by_vectors import by_components, by_parallelogram
from .hand import EXACT, Hand
from .problems import Exercise
from .steps import Changes, Values, is_angle, place_asked

__all__ = ["Changes", "Values", "is_angle", "methods_of", "place_asked", "right_answer", "step_names", "worked"]

METHODS: dict[str, Callable[[Exercise, Changes, Hand], Values]] = {
    "components": by_components,
    "parallelogram": by_parallelogram,
    "heading": by_heading,
    "triangle": by_triangle,
    "dot product": by_dot_product,
}


def methods_of(exercise: Exercise) -> tuple[str, ...]:
    """The methods by which pupils work this exercise."""
    if exercise.find in ("heading", "triangle"):
        return (exercise.find,)
    if exercise.find == "angle between":
        return ("dot product",)
    asked = exercise.row["Method"]
    if asked:
        return (asked,)
    both = exercise.find in ("resultant", "equilibrant", "difference") and len(exercise.vectors) == 2
    return ("parallelogram", "components") if both else ("components",)


@lru_cache(maxsize=200_000)
def _work(exercise: Exercise, method: str, changes: tuple[tuple[str, str], ...], hand: Hand) -> tuple[Values, Hand]:
    # A fresh hand for each working, so that the recorded names are those of one working.
    fresh = Hand(hand.decimals, hand.ratios, hand.asked, hand.nudged, hand.nudge)
    return METHODS[method](exercise, dict(changes), fresh), fresh


def worked(exercise: Exercise, method: str, changes: Changes | None = None, hand: Hand = EXACT) -> Values:
    """The whole answer of a pupil who works `exercise` by `method` with `changes`, carrying results as `hand` does."""
    return dict(_work(exercise, method, tuple(sorted((changes or {}).items())), hand)[0])


def step_names(exercise: Exercise, method: str, changes: Changes) -> tuple[str, ...]:
    """The names of the results that this working carries from step to step."""
    return tuple(_work(exercise, method, tuple(sorted(changes.items())), EXACT)[1].names)


def right_answer(exercise: Exercise) -> dict[str, float]:
    """The exact answer: every box has a number."""
    values = worked(exercise, methods_of(exercise)[0])
    return {box: value for box in exercise.boxes if (value := values[box]) is not None}
