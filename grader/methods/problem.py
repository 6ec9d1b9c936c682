"""A problem as the teacher defined it: what is given, what is asked, to what place, for how many points."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from grader.notation.given import Given
from grader.notation.units import Unit

FINDS = (
    "resultant",
    "equilibrant",
    "difference",
    "components",
    "magnitude and direction",
    "angle between",
    "dot product",
    "unit vector",
    "heading",
    "ramp",
    "triangle",
    "expression",
)
ANSWER_FORMS = ("magnitude and direction", "components", "number", "triangle")
DIRECTION_FORMS = ("standard position", "quadrant bearing", "true bearing", "from an axis", "any")
METHODS = ("parallelogram", "components", "either")

TRIANGLE_PARTS = ("a", "b", "c", "A", "B", "C")
PARTS = ("magnitude", "direction", "x", "y", "value", *TRIANGLE_PARTS)
"""Every part that an answer can have, in the order of the reports."""


@dataclass(frozen=True, slots=True)
class Rounding:
    """The place to which an answer is asked: a decimal place, a number of significant figures, or exact.

    ``Rounding("place", 0.1)``, ``Rounding("figures", 3)``, ``Rounding("exact")``.
    """

    kind: Literal["place", "figures", "exact"]
    amount: float = 0.0

    def place_for(self, value: float) -> float:
        """The decimal place u asked for this value (0.1 for 62.04 to 3 significant figures).

        An exact answer may be written to three significant figures, so its place is that of three figures.
        """
        if self.kind == "place":
            return self.amount
        figures = 3 if self.kind == "exact" else int(self.amount)
        if value == 0 or not math.isfinite(value):
            return 10.0 ** (1 - figures)
        place = 10.0 ** (math.floor(math.log10(abs(value))) - figures + 1)
        # 99.96 to three figures is 100.: the rounded value has one more digit, so the place moves up.
        if abs(round(value / place) * place) >= 10.0**figures * place * (1 - 1e-12):
            place *= 10
        return place


@dataclass(frozen=True, slots=True)
class Allowance:
    """The teacher's extra allowance: an amount in the unit asked, or a share of the value, or (directions) degrees."""

    amount: float = 0.0
    share: float = 0.0  # 0.01 for 1%
    degrees: float = 0.0

    def for_magnitude(self, value: float) -> float:
        return self.amount + self.share * abs(value)

    def for_direction(self) -> float:
        return self.degrees


@dataclass(frozen=True)
class Problem:
    """One row of the sheet Problems, read and checked. ``row`` is its row in that sheet."""

    label: str
    find: str
    given: Given
    question: str = ""
    given_text: str = ""
    answer_as: str = "magnitude and direction"
    direction_as: str = "any"
    method: str = "either"
    unit: Unit | None = None
    magnitude_to: Rounding = Rounding("figures", 3)
    direction_to: Rounding = Rounding("place", 1.0)
    allow: Allowance = Allowance()
    points: tuple[float, ...] = (1.0,)  # one number shared by the parts, or one for each part
    formula: str = ""
    row: int = 0

    def points_of_parts(self, count: int) -> tuple[float, ...]:
        """The points of each of ``count`` parts: as given, or one total shared equally."""
        if len(self.points) == count:
            return self.points
        return (sum(self.points) / count,) * count
