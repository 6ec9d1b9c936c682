"""What a text was read as: small frozen values, with no knowledge of problems or students.

A *meaning* is one thing that a text can say (a quantity, a direction, a vector ...). A *sense* is a
meaning with a note of everything that was tolerated to get there. A *reading* holds every sense that
the text has: none (blank, or unreadable with a reason), one, or several where the text leaves doubt.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from grader.notation.units import Unit

Form = Literal[
    "standard position",  # counted from east, counterclockwise, and said to be so
    "plain angle",  # 353°, -7, 6.16 rad: an angle with no word of where it is counted from
    "quadrant bearing",  # S 83° E
    "true bearing",  # 097°, bearing 97°, 97°T
    "from an axis",  # 83° E of S, 7° S of E, 7° below the positive x-axis
    "compass point",  # N, NW, WSW, due west
]

BoxKind = Literal[
    "quantity",  # a number with perhaps a unit: magnitude, x, y, a side, a value
    "angle",  # an angle as a size: an angle of a triangle, the angle between
    "direction",  # a direction in any form
    "polar",  # a whole vector; a bare pair is a magnitude and a direction
    "components",  # a whole vector; a bare pair is x and y
    "triangle",  # several labelled parts: a = 12, B = 54.3° ...
]
"""What kind of box the text stood in. It settles only what the text itself leaves open."""


DecimalMark = Literal["point", "comma", "unsettled"]
"""``unsettled``: the point, unless nothing in the export tells whether ``7,071`` is seven thousand or seven and a bit."""


@dataclass(frozen=True, slots=True)
class Number:
    """A number as written.

    ``place`` is the decimal place of the last written digit (0.1 for 62.0, 0.01 for 6.20 × 10⁻¹·10¹,
    1 for 62 and 62.); None for an exact form (5√2, 45/2, 3π/4). ``coarsest`` is the coarsest place that trailing
    zeros of a whole number allow (10 for 230, 10000 for 140000; ASTM E29), else equal to ``place``.
    """

    value: float
    place: float | None
    coarsest: float | None = None

    @property
    def exact(self) -> bool:
        return self.place is None


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with the unit written beside it (None where none was written). Angles have the unit ``deg``
    and their number already in degrees, with ``place`` in degrees."""

    number: Number
    unit: Unit | None = None


@dataclass(frozen=True, slots=True)
class Direction:
    """A direction.

    ``angle`` is in degrees in standard position, 0 ≤ angle < 360; for a plain angle it is the angle as if in standard
    position. ``written`` is the angle as it stands on paper, in degrees (83 for S 83° E, -7, 0 for ``due west``).
    ``place`` is the written place in degrees (1/60 for 352°58', 1/3600 with seconds; None for an exact form such as
    NW or 3π/4 rad). ``letters`` are the letters of a bearing in the order (from, toward): ("S", "E") for S 83° E and
    for 83° E of S, ("E", "S") for 7° S of E. ``sign`` tells whether an angle unit was written: ``deg``, ``rad``,
    ``grad``, ``dms`` or "" for a bare number.
    """

    angle: float
    written: float
    place: float | None
    form: Form
    letters: tuple[str, str] | None = None
    sign: str = ""
    coarsest: float | None = None


@dataclass(frozen=True, slots=True)
class Polar:
    """A vector by its length and direction. Either may be None where only one was written (``R = 62.0``)."""

    magnitude: Quantity | None
    direction: Direction | None


@dataclass(frozen=True, slots=True)
class Components:
    """A vector by components: x to the right (east), y up (north); either may be None where only one was written."""

    x: Quantity | None
    y: Quantity | None


@dataclass(frozen=True)
class Labelled:
    """Several labelled parts, as for a triangle: {"C": Quantity, "b": Quantity}."""

    parts: Mapping[str, Quantity]


@dataclass(frozen=True, slots=True)
class Several:
    """More than one answer written on purpose: ``54.3° or 125.7°``, ``B = 54.3; or B = 125.7``."""

    meanings: tuple[Meaning, ...]


@dataclass(frozen=True, slots=True)
class NoSolution:
    """The text says that there is none: ``no triangle``, ``no solution``, ``impossible``, ``cannot hold that track``."""


Meaning = Quantity | Direction | Polar | Components | Labelled | Several | NoSolution


@dataclass(frozen=True, slots=True)
class Sense:
    """One meaning of a text and what was tolerated to reach it (each note a phrase: ``read 2l.5 as 21.5``).

    ``left_out`` are the numbers, as written, that stand in the text for themselves and that the meaning does not hold.
    """

    meaning: Meaning
    notes: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()


GIVEN_UP = "says that there is no answer"
"""The reason of a text in which a student says that no answer is given: ``idk``, ``?``."""


UNFINISHED = "says that it is not finished"
"""The reason of a text that breaks off: what is worked out so far is not the answer."""


@dataclass(frozen=True, slots=True)
class Reading:
    """Everything a text can be read as; ``reason`` says why when it can be read as nothing."""

    text: str
    senses: tuple[Sense, ...] = ()
    reason: str = ""

    @property
    def blank(self) -> bool:
        return not self.senses and not self.reason

    @property
    def unreadable(self) -> bool:
        return bool(self.reason)

    @property
    def given_up(self) -> bool:
        return self.reason == GIVEN_UP

    @property
    def doubtful(self) -> bool:
        return len(self.senses) > 1


@dataclass(frozen=True, slots=True)
class Conventions:
    """What the settings, or the export as a whole, say about how its numbers are written."""

    decimal_mark: DecimalMark = "point"


POINT = Conventions()
COMMA = Conventions("comma")
UNSETTLED = Conventions("unsettled")
