"""The working of a method as one would write it on the board."""

from __future__ import annotations

import string
from collections.abc import Mapping, Sequence
from typing import Any

from grader.methods.directions import number
from grader.methods.solution import Line, Working
from grader.methods.steps import Method, run


class _Board(string.Formatter):
    """Fills ``{quantity}`` with its value: data as given, results to the carried decimals, angles with their sign."""

    def __init__(self, values: Mapping[str, float], angles: frozenset[str], decimals: int):
        self._values, self._angles, self._decimals = values, angles, decimals

    def get_value(self, key: int | str, args: Sequence[Any], kwargs: Mapping[str, Any]) -> str:
        return str(key)

    def format_field(self, value: Any, format_spec: str) -> str:
        name = str(value)
        amount = self._values[name]
        if format_spec == "sign":
            return "+" if amount > 0 else "−"
        text = written(amount, self._decimals)
        return f"{text}°" if name in self._angles else text


def written(amount: float, decimals: int) -> str:
    """A value to at most so many decimals: exact ones short (45), others in full (42.2862)."""
    if abs(amount - round(amount, 6)) < 1e-9 and len(number(round(amount, 6)).partition(".")[2]) <= min(decimals, 2):
        return number(round(amount, 6) + 0.0)
    return f"{amount:.{decimals}f}".replace("-", "−")


def working(method: Method, decimals: int, asked: bool) -> Working:
    """Every line of a method's working, with intermediate values to ``decimals`` places."""
    result = run(method)
    values = {name: float(value) for name, value in result.quantities.items()}
    angles = frozenset(step.name for step in method.steps if step.kind in ("angle", "exact angle"))
    board = _Board(values, angles, decimals)
    lines = tuple(Line(step.role, board.format(step.line), step.name) for step in method.steps if step.line)
    return Working(method.name, lines, asked)
