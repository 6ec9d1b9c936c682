"""How an individual writes: numbers, units and directions put on paper by a student's own habits."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal

from samples.by_hand import Outcome, SampleProblem

# The unit as a symbol, a common abbreviation, an initial-letter abbreviation, a word.
UNIT_WORDS: Mapping[str, tuple[str, str, str, str]] = {
    "kN": ("kN", "kN", "kN", "kilonewtons"),
    "N": ("N", "N", "N", "newtons"),
    "lb": ("lb", "lbs", "lb", "pounds"),
    "knots": ("knots", "kts", "kn", "knots"),
    "km": ("km", "km", "km", "kilometers"),
}
DECIMALS_MORE = {"asked": 0, "one more": 1, "two more": 2, "no zeros": 0, "one fewer": -1}


@dataclass(frozen=True)
class Habits:
    """A student's habits, as templates (students.csv).

    In ``size`` and ``parts``: n number; u, v, w, U unit as in UNIT_WORDS; x, y components, signed_y with a spaced
    sign, ax, ay their amounts with E, N the letters of their sides. In directions: s standard position, m the same
    within ±180°, t true bearing, t3 with three digits, a the angle from the north or south line and c from the east
    or west line with N, E, n, e, North, East, north, east the sides, d the degree
    sign. In ``whole``: size, direction, n and the unit.
    """

    size: str = "{n} {u}"
    degree: str = "°"
    standard: str = "{s}{d}"
    quadrant: str = "{N} {a}{d} {E}"
    true: str = "{t}{d}"
    parts: str = "{n} {u}"
    whole: str = "{size} at {direction}"
    places: str = "asked"
    mark: str = "."
    minus: str = "-"

    def number(self, value: float, decimals: int, cut: bool = False) -> str:
        """The value to so many decimals, more or fewer by habit."""
        places = max(0, decimals + (DECIMALS_MORE[self.places] if not cut else 0))
        step = Decimal(1).scaleb(-places)
        # repr first: the shortest decimal of the float, so that 0.285 is not 0.28499...
        text = str(Decimal(repr(round(value, 10))).quantize(step, ROUND_DOWN if cut else ROUND_HALF_UP))
        if float(text) == 0:
            text = text.lstrip("-")
        if self.places == "no zeros" and "." in text:
            text = text.rstrip("0").rstrip(".")
        return text.replace(".", self.mark).replace("-", self.minus)

    def write_size(self, text: str, unit: str) -> str:
        return self.size.format_map({"n": text, **unit_fields(unit)})

    def write_direction(self, outcome: Outcome, decimals: int, form: str, cut: bool = False) -> str:
        if outcome.second is None:
            return ""
        angle = outcome.second
        if outcome.as_displayed:
            return self.standard_plain(self.number(angle, decimals, cut))
        return self.direction_template(form).format_map(self.direction_fields(angle, decimals, cut))

    def direction_template(self, form: str) -> str:
        return {"standard": self.standard, "quadrant": self.quadrant, "true": self.true}[form]

    def direction_fields(self, angle: float, decimals: int, cut: bool = False) -> dict[str, str]:
        standard = angle % 360
        bearing = (90 - angle) % 360
        north, east = sin_sign(angle), cos_sign(angle)
        from_north = math.degrees(math.atan2(abs(math.cos(math.radians(angle))), abs(math.sin(math.radians(angle)))))

        def number(value: float) -> str:
            return self.number(value, decimals, cut)

        true_bearing = number(bearing)
        return {
            "d": self.degree,
            "s": number(standard),
            "m": number(standard - 360 if standard > 180 else standard),
            "t": true_bearing,
            "t3": "0" * (3 - len(true_bearing.split(self.mark)[0])) + true_bearing,
            "a": number(from_north),
            "c": number(90 - from_north),
            "N": "N" if north else "S",
            "E": "E" if east else "W",
            "n": "n" if north else "s",
            "e": "e" if east else "w",
            "North": "North" if north else "South",
            "East": "East" if east else "West",
            "north": "north" if north else "south",
            "east": "east" if east else "west",
        }

    def standard_plain(self, number: str) -> str:
        """The number as the calculator shows it, with the student's degree sign and no letters."""
        return f"{number}{self.degree}"

    def write_part(self, text: str, unit: str) -> str:
        return self.parts.format_map({"n": text, **unit_fields(unit)})

    def write_vector(self, outcome: Outcome, problem: SampleProblem, cut: bool = False) -> str:
        """Both components in one box."""
        if outcome.first is None or outcome.second is None:
            return ""
        x, y = outcome.first, outcome.second
        decimals = problem.decimals[0]
        ax, ay = self.number(abs(x), decimals, cut), self.number(abs(y), decimals, cut)
        return self.parts.format_map(
            {
                "x": (self.minus if x < 0 else "") + ax,
                "y": (self.minus if y < 0 else "") + ay,
                "signed_y": f"{self.minus if y < 0 else '+'} {ay}",
                "ax": ax,
                "ay": ay,
                "E": "E" if x >= 0 else "W",
                "N": "N" if y >= 0 else "S",
                **unit_fields(problem.unit),
            }
        )

    def write_whole(self, number: str, size: str, direction: str, unit: str) -> str:
        if not direction:
            return size
        return self.whole.format_map({"n": number, "size": size, "direction": direction, **unit_fields(unit)})

    def names_unit(self, template: str) -> bool:
        return any(f"{{{field}}}" in template for field in "uvwU")

    def other_form(self, form: str) -> bool:
        """Whether this student's direction is in a form other than the one asked."""
        template = self.direction_template(form)
        asked = {"standard": ("{s}", "{m}"), "quadrant": ("{a}",), "true": ("{t}", "{t3}")}[form]
        return not any(field in template for field in asked)


def unit_fields(unit: str) -> dict[str, str]:
    return dict(zip("uvwU", UNIT_WORDS[unit], strict=True))


def sin_sign(angle: float) -> bool:
    return math.sin(math.radians(angle)) >= 0


def cos_sign(angle: float) -> bool:
    return math.cos(math.radians(angle)) >= 0


def switch_digits(text: str) -> str:
    """The first two neighbouring digits that differ, exchanged (77.8 becomes 78.7 across the decimal mark)."""
    places = [i for i, sign in enumerate(text) if sign.isdigit()]
    for left, right in itertools.pairwise(places):
        if text[left] != text[right] and not (left == places[0] and text[right] == "0"):
            signs = list(text)
            signs[left], signs[right] = signs[right], signs[left]
            return "".join(signs)
    raise ValueError(f"no two neighbouring digits of {text} differ")
