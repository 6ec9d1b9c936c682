"""How a pupil carries results from one step to the next, and the calculator in the pupil's hand."""

import math
from dataclasses import dataclass, field

RADIANS, GRADIANS = "radians", "gradians"
ONLY_INVERSE = " at the end"


def half_up(value: float, exponent: int) -> float:
    """`value` rounded to the place 10**exponent, ties away from zero, as taught in school."""
    scale = 10.0**-exponent
    return math.copysign(math.floor(abs(value) * scale + 0.5 + 1e-9) / scale, value)


def significant_exponent(value: float, figures: int) -> int:
    """The place (a power of ten) of the last of `figures` significant figures of `value`."""
    if value == 0:
        return 1 - figures
    exponent = math.floor(math.log10(abs(value)) + 1e-12) - figures + 1
    # 99.96 to three figures is 100, whose third figure stands one place higher.
    rounded = half_up(value, exponent)
    return math.floor(math.log10(abs(rounded)) + 1e-12) - figures + 1


@dataclass(frozen=True)
class Hand:
    """What becomes of each result on its way to the next step.

    decimals: places kept in every intermediate result (components, converted sizes, sums, R², R, sides, dot product); None
        keeps everything. Sines, cosines and tangents of given angles stay in the calculator; the last angle is written as
        the calculator shows it, so it is never rounded twice.
    ratios: whether a ratio (a sine, a tangent) is written down and rounded too, or keyed in one go. With no decimals at all a
        ratio is always keyed in one go: nobody looks for the angle whose sine is 1 or 0.
    asked: take a result that was itself asked for, such as R, into the next step as it is written, at the place asked.
    nudged, nudge: the name of one step whose result is moved by that much; this is how spreads are measured.
    """

    decimals: int | None = None
    ratios: bool = True
    asked: bool = False
    nudged: str = ""
    nudge: float = 0.0
    names: list[str] = field(default_factory=list, compare=False, repr=False)

    def keep(self, name: str, value: float) -> float:
        """An intermediate result, as the next step will use it."""
        self.names.append(name)
        if self.decimals is not None:
            value = half_up(value, -self.decimals)
        return value + self.nudge if name == self.nudged else value

    def keep_ratio(self, name: str, value: float) -> float:
        """A ratio whose inverse sine, cosine or tangent is taken next."""
        self.names.append(name)
        if self.decimals and self.ratios:
            value = half_up(value, -self.decimals)
        return value + self.nudge if name == self.nudged else value

    def report(self, name: str, value: float, exponent: int) -> float:
        """A result that was itself asked for at the place 10**exponent, as the next step will use it."""
        self.names.append("asked " + name)
        if self.asked:
            value = half_up(value, exponent)
        elif self.decimals is not None:
            value = half_up(value, -self.decimals)
        return value + self.nudge if "asked " + name == self.nudged else value


EXACT = Hand()


@dataclass(frozen=True)
class Calculator:
    """A calculator in the mode in which it was left; numbers go in and come out as the keys show them."""

    mode: str = ""

    def _in(self, shown: float) -> float:
        if self.mode == RADIANS:
            return shown
        if self.mode == GRADIANS:
            return shown * math.pi / 200.0
        return math.radians(shown)

    def _out(self, angle: float) -> float:
        if self.mode.startswith(RADIANS):
            return angle
        if self.mode.startswith(GRADIANS):
            return angle * 200.0 / math.pi
        return math.degrees(angle)

    def cos(self, shown: float) -> float:
        return math.cos(self._in(shown))

    def sin(self, shown: float) -> float:
        return math.sin(self._in(shown))

    def atan(self, value: float) -> float:
        return self._out(math.atan(value))

    def asin(self, value: float) -> float | None:
        """The inverse sine as shown, None where the calculator shows an error."""
        return None if abs(value) > 1.0 else self._out(math.asin(value))

    def acos(self, value: float) -> float | None:
        """The inverse cosine as shown, None where the calculator shows an error."""
        return None if abs(value) > 1.0 else self._out(math.acos(value))
