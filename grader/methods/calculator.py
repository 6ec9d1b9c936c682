"""The calculator that a student works with, and the angle mode it is left in.

All functions take numbers or numpy arrays and give the same shape. Arguments and results of the trigonometric
functions are in the calculator's mode: a calculator in radians takes the cosine of 310 as that of 310 radians.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Value = float | NDArray[np.float64]
Mode = Literal["deg", "rad", "grad"]

_TURN: dict[Mode, float] = {"deg": 360.0, "rad": 2 * np.pi, "grad": 400.0}


_TWELFTHS = np.array(
    [0.0, 0.5, np.sqrt(0.75), 1.0, np.sqrt(0.75), 0.5, 0.0, -0.5, -np.sqrt(0.75), -1.0, -np.sqrt(0.75), -0.5]
)
"""The sines of the multiples of 30°."""

_NOISE = 1e-6
"""Two ways to the same angle (in radians) that differ by less differ by binary noise, not by a student's rounding."""


def _sine_of_turns(turns: Value) -> Value:
    """The sine of an angle in turns, exact at each twelfth: a due-north vector has no x-component, and sin 30° is ½."""
    if isinstance(turns, float) and math.isfinite(turns):  # one number needs no array, and is the common case
        close = round(turns * 12)
        return float(_TWELFTHS[close % 12]) if abs(turns * 12 - close) < 1e-12 else math.sin(turns * 2 * math.pi)
    twelfths = np.asarray(turns) * 12
    nearest = np.rint(twelfths)
    whole = np.abs(twelfths - nearest) < 1e-12
    index = np.where(np.isfinite(nearest), nearest, 0).astype(int) % 12
    sines: Value = np.where(whole, _TWELFTHS[index], np.sin(np.asarray(turns) * 2 * np.pi))
    return sines


_PAST_ONE = 0.0051
"""How far the rounding of two decimals can push a ratio past 1."""


@dataclass(frozen=True, slots=True)
class Calculator:
    """A calculator with its mode for the direct functions and for the inverse ones (the same, unless switched midway).

    A ratio past 1 counts as 1, as rounding may push it there; a ``strict`` one shows an error (nan) where it is further off.
    """

    mode: Mode = "deg"
    inverse_mode: Mode = "deg"
    strict: bool = False

    def cos(self, angle: Value) -> Value:
        return _sine_of_turns(self._turns(angle) + 0.25)

    def sin(self, angle: Value) -> Value:
        return _sine_of_turns(self._turns(angle))

    def acos(self, ratio: Value, sine: Value | None = None) -> Value:
        """The display's inverse cosine, taken like ``asin``.

        ``sine`` is that of the same angle, where the caller knows it: see ``_steadied``.
        """
        shown = np.arccos(self._within_one(ratio))
        return self._angle(shown if sine is None else _steadied(shown, np.arctan2(np.abs(sine), ratio)))

    def asin(self, ratio: Value, cosine: Value | None = None) -> Value:
        """The display's inverse sine."""
        shown = np.arcsin(self._within_one(ratio))
        return self._angle(shown if cosine is None else _steadied(shown, np.arctan2(ratio, np.abs(cosine))))

    def atan(self, ratio: Value) -> Value:
        return self._angle(np.arctan(ratio))

    def _within_one(self, ratio: Value) -> Value:
        within = np.clip(ratio, -1.0, 1.0)
        return np.where(np.abs(ratio) <= 1.0 + _PAST_ONE, within, np.nan) if self.strict else within

    def _turns(self, angle: Value) -> Value:
        turn = _TURN[self.mode]
        return np.mod(angle, turn) / turn

    def _angle(self, radians: Value) -> Value:
        return radians / (2 * np.pi) * _TURN[self.inverse_mode]


def _steadied(shown: Value, steady: Value) -> Value:
    """Near 90° the inverse sine loses half of its digits in binary; there the two-argument arctangent is taken.

    Only where both agree to within that loss: a ratio that a student rounded keeps the angle the calculator shows for it.
    """
    return np.where(np.abs(np.subtract(shown, steady)) < _NOISE, steady, shown)


DEGREES = Calculator()
