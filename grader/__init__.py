"""An auto-grader for short numeric homework on vectors.

>>> import grader
>>> rubric = grader.read_rubric("rubrics/harbour-vectors.xlsx")        # doctest: +SKIP
>>> answers = grader.read_export("sample_submissions/section-a.csv", rubric)  # doctest: +SKIP
>>> marks = grader.mark_class(rubric, answers)                         # doctest: +SKIP

``mark_class`` is the whole job; ``mark`` is the part of it that judges each answer by itself, a pure function of its
arguments. The names below are imported when first used, so that the command line starts quickly.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from grader.exchange.export import read_export as read_export
    from grader.homework import mark_class as mark_class
    from grader.marking.mark import mark as mark
    from grader.marking.mark import solve as solve
    from grader.rubric.read import read_rubric as read_rubric

__version__ = "0.1.0"
__all__ = ["mark", "mark_class", "read_export", "read_rubric", "solve"]

_HOME = {
    "read_rubric": "grader.rubric.read",
    "solve": "grader.marking.mark",
    "read_export": "grader.exchange.export",
    "mark": "grader.marking.mark",
    "mark_class": "grader.homework",
}


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(import_module(_HOME[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
