"""A class: pupils with all their problems, with habits that stay with them and a misconception that many share."""

import random
from collections.abc import Sequence
from dataclasses import dataclass

from .problems import EXERCISES, Exercise
from .pupils import Answer, Truth, altered, random_answer, right, rounded_early, slip, visible_mistakes, visible_pairs

HABITS: tuple[tuple[str, ...], ...] = (
    ("radian-mode",),
    ("gradian-mode",),
    ("sine-cosine-swapped",),
    ("signs-dropped",),
    ("calculator-angle-kept",),
    ("reference-angle-only",),
    ("tangent-upside-down",),
    ("bearing-from-wrong-axis",),
    ("standard-angle-given-as-bearing", "answer-from-wrong-axis"),
    ("supplement-not-taken", "cosine-sign-flipped"),
    ("root-not-taken",),
)
COMMON: tuple[str, ...] = (
    "supplement-not-taken",
    "calculator-angle-kept",
    "bearing-from-wrong-axis",
    "radian-mode",
    "sine-cosine-swapped",
)
# What a pupil without a habit hands in, per problem: (right, one mistake, two, slip, rounded early, random).
_KINDS: tuple[Truth, ...] = ("right", "one mistake", "two mistakes", "slip", "rounded early", "random")
_STRONG = (0.90, 0.04, 0.00, 0.03, 0.02, 0.01)
_MIDDLING = (0.68, 0.17, 0.02, 0.05, 0.03, 0.05)
_WEAK = (0.35, 0.32, 0.08, 0.05, 0.05, 0.15)


def class_misconception(seed: int) -> str:
    """The id of the mistake that many pupils of `students(seed, ...)` share."""
    return random.Random(f"class {seed}").choice(COMMON)


@dataclass(frozen=True)
class _Pupil:
    habit: tuple[str, ...]
    decimals: int | None
    kinds: tuple[float, ...]


def _pupil(rng: random.Random, common: str) -> _Pupil:
    kinds = rng.choices((_STRONG, _MIDDLING, _WEAK), (0.40, 0.42, 0.18))[0]
    drawn = rng.random()
    if drawn < 0.25:
        return _Pupil((common,), None, kinds)
    if drawn < 0.37:
        return _Pupil(rng.choice(HABITS), None, kinds)
    if drawn < 0.42:
        return _Pupil((), rng.choice((0, 1, 2)), kinds)
    return _Pupil((), None, kinds)


def _answer_of(rng: random.Random, pupil: _Pupil, exercise: Exercise) -> Answer:
    """A habit shows in nine of ten problems that it touches; what else goes wrong depends on how strong the pupil is."""
    visible = visible_mistakes(exercise)
    habits = [mistake for mistake in pupil.habit if mistake in visible]
    for _ in range(50):
        answer: Answer | None = None
        if habits and rng.random() < 0.9:
            answer = altered(rng, exercise, visible[rng.choice(habits)], "one mistake")
        elif pupil.decimals is not None and rng.random() < 0.9:
            answer = rounded_early(rng, exercise, pupil.decimals) or right(rng, exercise)
        else:
            kind: Truth = rng.choices(_KINDS, pupil.kinds)[0]
            pairs = visible_pairs(exercise) if kind == "two mistakes" else {}
            if kind == "one mistake":
                answer = altered(rng, exercise, visible[rng.choice(tuple(visible))], kind)
            elif pairs:
                answer = altered(rng, exercise, pairs[rng.choice(tuple(pairs))], kind)
            elif kind == "slip":
                answer = slip(rng, exercise)
            elif kind == "rounded early":
                answer = rounded_early(rng, exercise)
            elif kind == "random":
                answer = random_answer(rng, exercise)
            elif kind == "right":
                answer = right(rng, exercise)
        if answer is not None:
            return answer
    raise AssertionError(f"no answer to problem {exercise.label} could be drawn")


def students(seed: int, count: int, exercises: Sequence[Exercise] = EXERCISES) -> list[tuple[str, list[Answer]]]:
    """A class: (student id, the answers to `exercises` in order).

    A quarter of the pupils share the misconception `class_misconception(seed)`; an eighth have a habit of their own (such as
    a calculator in radians for everything); a twentieth round early to the same number of decimals throughout.
    """
    rng = random.Random(f"students {seed}")
    common = class_misconception(seed)
    found = []
    for number in range(count):
        pupil = _pupil(rng, common)
        found.append((f"H{number + 1:04d}", [_answer_of(rng, pupil, exercise) for exercise in exercises]))
    return found
