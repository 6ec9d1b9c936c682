"""Points, boxes and the frame that turns the plane into screen points.

The plane has y upward; the screen has y downward and is measured in the units of the picture's viewBox. Angles are in degrees,
counterclockwise from the positive x-axis, as in the rest of the project.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Floats = NDArray[np.float64]


def polar(length: float, degrees: float) -> Point:
    """The point at this distance and direction from the origin.

    >>> polar(2.0, 90.0)
    (0.0, 2.0)
    """
    turned = degrees % 360.0 % 360.0  # the remainder of −1e-20 is 360
    if turned % 90.0 == 0.0:  # due north has no x-component
        return ((length, 0.0), (0.0, length), (-length, 0.0), (0.0, -length))[int(turned // 90.0)]
    return length * math.cos(math.radians(turned)), length * math.sin(math.radians(turned))


def direction_of(x: float, y: float) -> float:
    """The direction of a vector, 0 ≤ direction < 360.

    >>> direction_of(0.0, -3.0)
    270.0
    """
    degrees = math.degrees(math.atan2(y, x)) % 360.0
    return 0.0 if degrees >= 360.0 else degrees


def plus(a: Point, b: Point) -> Point:
    return a[0] + b[0], a[1] + b[1]


def minus(a: Point, b: Point) -> Point:
    return a[0] - b[0], a[1] - b[1]


def times(factor: float, a: Point) -> Point:
    return factor * a[0], factor * a[1]


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the screen: left and top below right and bottom in number."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top

    @property
    def center(self) -> Point:
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def grown(self, by: float) -> Box:
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def holds(self, point: Point) -> bool:
        return self.left <= point[0] <= self.right and self.top <= point[1] <= self.bottom

    def nearest(self, point: Point) -> Point:
        """The point of the box that is nearest to this one."""
        return min(max(point[0], self.left), self.right), min(max(point[1], self.top), self.bottom)


def around(center: Point, width: float, height: float) -> Box:
    return Box(center[0] - width / 2, center[1] - height / 2, center[0] + width / 2, center[1] + height / 2)


@dataclass(frozen=True, slots=True)
class Frame:
    """The part of the screen that shows the plane. ``origin`` is where (0, 0) lies, ``scale`` screen units per unit."""

    area: Box
    origin: Point
    scale: float

    def at(self, point: Point) -> Point:
        """A point of the plane on the screen."""
        return self.origin[0] + self.scale * point[0], self.origin[1] - self.scale * point[1]

    def back(self, point: Point) -> Point:
        """A point of the screen on the plane."""
        return (point[0] - self.origin[0]) / self.scale, (self.origin[1] - point[1]) / self.scale


@dataclass(frozen=True, slots=True)
class Paper:
    """The room for a drawing: its width, the limits of its height, and the margins outside the frame.

    ``beside`` and ``above`` are kept free around every point that the frame must show, for its label.
    """

    width: float = 520.0
    least_height: float = 290.0
    most_height: float = 440.0
    left: float = 46.0
    right: float = 16.0
    top: float = 16.0
    bottom: float = 30.0
    beside: float = 54.0
    above: float = 40.0


def fit(points: Iterable[Point], paper: Paper, disc: tuple[Point, float] | None = None, centred: bool = False) -> Frame:
    """The frame that shows all these points of the plane, as large as the paper allows, the same scale both ways.

    ``disc`` is a point and a radius on the screen that must be whole inside (a compass rose). ``centred`` puts the plane's origin
    in the middle.
    """
    held = [(x, y, paper.beside, paper.above) for x, y in points]
    if centred:
        held += [(-x, -y, pad_x, pad_y) for x, y, pad_x, pad_y in held]
    if disc is not None:
        held.append((*disc[0], disc[1] + 6.0, disc[1] + 6.0))
    across, upward = [(x, pad) for x, _, pad, _ in held], [(y, pad) for _, y, _, pad in held]
    room = paper.width - paper.left - paper.right
    scale = min(_scale(across, room), _scale(upward, paper.most_height))
    left, right = _extent(across, scale)
    low, high = _extent(upward, scale)
    height = min(max(high - low, paper.least_height), paper.most_height)
    area = Box(paper.left, paper.top, paper.left + room, paper.top + height)
    return Frame(area, (area.center[0] - (left + right) / 2, area.center[1] + (low + high) / 2), scale)


def _extent(padded: Sequence[tuple[float, float]], scale: float) -> tuple[float, float]:
    return min(scale * v - pad for v, pad in padded), max(scale * v + pad for v, pad in padded)


def _scale(padded: Sequence[tuple[float, float]], room: float) -> float:
    """The largest scale at which all values with their padding fit; found by halving, as the extent grows with the scale."""
    largest = max(abs(v) for v, _ in padded) or 1.0
    low, high = 0.0, room * 1e3 / largest
    for _ in range(60):
        middle = (low + high) / 2
        a, b = _extent(padded, middle)
        low, high = (middle, high) if b - a <= room else (low, middle)
    return low


def nice_step(range_: float, about: int = 6) -> float:
    """A round step (1, 2 or 5 times a power of ten) that cuts a range into about so many pieces.

    >>> nice_step(95.0), nice_step(0.7)
    (20.0, 0.2)
    """
    raw = range_ / about
    power = math.floor(math.log10(raw))
    unit = next((m for m in (1.0, 2.0, 5.0) if raw <= m * 10.0**power * 1.0000001), 10.0)
    return float(f"{unit}e{power}") if unit < 10 else float(f"1e{power + 1}")


def ticks(low: float, high: float, step: float) -> tuple[float, ...]:
    """The multiples of a step from low to high."""
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return tuple(float(f"{k * step:.12g}") + 0.0 for k in range(first, last + 1))


def clipped(a: Point, b: Point, box: Box) -> tuple[Point, Point] | None:
    """The piece of a segment that lies inside a box; None when none does."""
    low, high = 0.0, 1.0
    dx, dy = b[0] - a[0], b[1] - a[1]
    for p, q in ((-dx, a[0] - box.left), (dx, box.right - a[0]), (-dy, a[1] - box.top), (dy, box.bottom - a[1])):
        if p == 0:
            if q < 0:
                return None
        elif p < 0:
            low = max(low, q / p)
        else:
            high = min(high, q / p)
    if low > high:
        return None
    return (a[0] + low * dx, a[1] + low * dy), (a[0] + high * dx, a[1] + high * dy)


def crossing_lengths(boxes: Floats, segments: Floats) -> Floats:
    """How long each segment runs inside each box: boxes (n, 4) by segments (m, 4) → (n, m).

    A box is left, top, right, bottom; a segment is x and y of its two ends.
    """
    a, b = segments[:, :2], segments[:, 2:]
    step = b - a
    with np.errstate(divide="ignore", invalid="ignore"):
        to_low = (boxes[:, None, :2] - a) / step
        to_high = (boxes[:, None, 2:] - a) / step
    still = step == 0
    between = (a >= boxes[:, None, :2]) & (a <= boxes[:, None, 2:])
    enter = np.where(still, np.where(between, -np.inf, np.inf), np.minimum(to_low, to_high))
    leave = np.where(still, np.where(between, np.inf, -np.inf), np.maximum(to_low, to_high))
    share = np.minimum(leave.min(axis=2), 1.0) - np.maximum(enter.max(axis=2), 0.0)
    lengths: Floats = np.maximum(share, 0.0) * np.hypot(step[:, 0], step[:, 1])
    return lengths
