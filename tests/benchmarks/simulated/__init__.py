"""A simulated class: right and wrong answers with known truth, worked by hand arithmetic of its own.

Written from the definitions of the mistakes and of the rounding rule alone; nothing of the package under test is imported,
so an engine that is measured on these answers cannot agree with itself by accident.
"""

from .classroom import class_misconception, students
from .problems import EXERCISES, PROBLEMS, Exercise
from .pupils import Answer, right_answers, wrong_answers
from .sheets import SHEETS

__all__ = [
    "EXERCISES",
    "PROBLEMS",
    "SHEETS",
    "Answer",
    "Exercise",
    "class_misconception",
    "right_answers",
    "students",
    "wrong_answers",
]
