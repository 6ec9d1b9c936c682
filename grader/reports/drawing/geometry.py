"""Where things go on a drawing: the frame that turns the plane into screen points, and labels that keep clear of everything.

The plane has y upward; the screen has y downward and is measured in the units of the picture's viewBox. Angles are in degrees,
counterclockwise from the positive x-axis, as in the rest of the project.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Floats = NDArray[np.float64]

LINE_HEIGHT = 1.2
"""Line height of a label, relative to the size of its letters."""

_NARROW = dict.fromkeys("ijl|.,:;'’!·", 0.34) | dict.fromkeys("ftrI()[]°-/ ", 0.42) | {"“": 0.52, "”": 0.52}
_WIDE = dict.fromkeys("mwMW@%—…", 1.0) | dict.fromkeys("+−=<>~≈×→∠NOQGDHU", 0.84)
_WIDTHS = {**_NARROW, **_WIDE, **dict.fromkeys("₀₁₂₃₄₅₆₇₈₉⁰¹²³", 0.42), "√": 0.64}
_ORDINARY = 0.64
_FULL_WIDTH = 1.06


def polar(length: float, degrees: float) -> Point:
    """The point at this distance and direction from the origin.

    >>> polar(2.0, 90.0)
    (0.0, 2.0)
    """
    turned = degrees % 360.0
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


def times(factor: float, a: Point) -> Point:
    return factor * a[0], factor * a[1]


def text_width(text: str, size: float) -> float:
    """How wide a text is at most in the sans-serif fonts in common use: an estimate that errs on the wide side.

    >>> text_width("ill", 10.0) < text_width("www", 10.0)
    True
    """
    return size * sum(_WIDTHS.get(sign, _FULL_WIDTH if ord(sign) > 0x2E7F else _ORDINARY) for sign in text)


def wrapped(text: str, size: float, width: float, at_most: int = 0) -> tuple[str, ...]:
    """The text in lines no wider than ``width``, broken between words; past ``at_most`` lines it ends in “…”.

    A single word that is too wide is cut.
    """
    lines: list[str] = []
    current = ""
    for word in text.split():
        piece = word
        while text_width(piece, size) > width and len(piece) > 1:
            piece = piece[: -2 if piece.endswith("…") else -1] + "…"
        longer = f"{current} {piece}".strip()
        if current and text_width(longer, size) > width:
            lines.append(current)
            longer = piece
        current = longer
    if current:
        lines.append(current)
    if at_most and len(lines) > at_most:
        last = lines[at_most - 1]
        while text_width(last + " …", size) > width and " " in last:
            last = last.rpartition(" ")[0]
        lines = [*lines[: at_most - 1], last + " …"]
    return tuple(lines)


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
    """The room for a drawing: its width, the limits of its height, and the margins outside the frame."""

    width: float = 520.0
    least_height: float = 300.0
    most_height: float = 440.0
    left: float = 46.0
    right: float = 14.0
    top: float = 14.0
    bottom: float = 30.0
    inner: float = 46.0  # kept free inside the frame, for labels


def fit(points: Iterable[Point], paper: Paper, centred: bool = False) -> Frame:
    """The frame that shows all these points of the plane, as large as the paper allows, the same scale both ways.

    ``centred`` puts the plane's origin in the middle.
    """
    xs, ys = zip(*points)
    if centred:
        reach_x, reach_y = max(map(abs, xs)), max(map(abs, ys))
        xs, ys = (-reach_x, reach_x), (-reach_y, reach_y)
    span_x, span_y = max(xs) - min(xs), max(ys) - min(ys)
    largest = max(span_x, span_y) or max(*map(abs, xs), *map(abs, ys)) or 1.0
    room_x = paper.width - paper.left - paper.right
    free_x, free_y = room_x - 2 * paper.inner, paper.most_height - 2 * paper.inner
    scale = min(free_x / max(span_x, largest * 1e-3), free_y / max(span_y, largest * 1e-3))
    height = min(max(span_y * scale + 2 * paper.inner, paper.least_height), paper.most_height)
    area = Box(paper.left, paper.top, paper.left + room_x, paper.top + height)
    middle_x, middle_y = (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2
    return Frame(area, (area.center[0] - scale * middle_x, area.center[1] + scale * middle_y), scale)


def nice_step(range_: float, about: int = 6) -> float:
    """A round step (1, 2 or 5 times a power of ten) that cuts a range into about so many pieces.

    >>> nice_step(95.0), nice_step(0.7)
    (20.0, 0.1)
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
    return np.maximum(share, 0.0) * np.hypot(step[:, 0], step[:, 1])


@dataclass(frozen=True, slots=True)
class Label:
    """A label to be placed: its lines, the point that it names, and where its centre may go, the best place first.

    ``optional`` labels are left out where there is no clear room. ``kind`` is the style it is written in.
    """

    lines: tuple[str, ...]
    anchor: Point
    places: tuple[Point, ...]
    kind: str = "ink"
    size: float = 13.5
    optional: bool = False
    reach: float = 150.0  # how far from its point it may go when the near places are taken

    @property
    def width(self) -> float:
        return max(text_width(line, self.size) for line in self.lines)

    @property
    def height(self) -> float:
        return len(self.lines) * self.size * LINE_HEIGHT


@dataclass(frozen=True, slots=True)
class Placed:
    """A label in its place; ``leader`` is the line from it to the point that it names, where it stands off."""

    label: Label
    box: Box
    leader: tuple[Point, Point] | None = None


FAR = 16.0
"""What standing off with a leader line costs, in screen units of line crossed."""

GAP = 2.0
"""The clear space kept between two labels."""


@dataclass(frozen=True)
class Obstacles:
    """What labels should not cover: segments (m, 4), and for each how much a unit of its length matters."""

    segments: Floats
    weights: Floats

    @classmethod
    def of(cls, weighed: Sequence[tuple[Point, Point, float]]) -> Obstacles:
        rows = [(*a, *b) for a, b, _ in weighed]
        return cls(np.array(rows, dtype=float).reshape(-1, 4), np.array([w for *_, w in weighed], dtype=float))

    def cost(self, boxes: Floats) -> Floats:
        found: Floats = crossing_lengths(boxes, self.segments) @ self.weights
        return found

    def and_also(self, a: Point, b: Point, weight: float) -> Obstacles:
        return replace(
            self, segments=np.vstack([self.segments, [*a, *b]]), weights=np.append(self.weights, weight)
        )  # fmt: skip


def place_labels(
    labels: Sequence[Label], obstacles: Obstacles, area: Box, taken: Sequence[Box] = ()
) -> tuple[list[Placed], list[Label]]:
    """Place labels one after another so that none covers another, none leaves the area, and lines are crossed as little as may be.

    Returns the placed labels, and those for which there was no room at all (optional ones are dropped without a word).
    """
    placed: list[Placed] = []
    left_over: list[Label] = []
    boxes = [box.grown(GAP) for box in taken]
    for label in labels:
        found = _best(label, obstacles, area, boxes)
        if found is not None:
            placed.append(found)
            boxes.append(found.box.grown(GAP))
            if found.leader is not None:
                obstacles = obstacles.and_also(*found.leader, 1.0)
        elif not label.optional:
            left_over.append(label)
    return placed, left_over


def _best(label: Label, obstacles: Obstacles, area: Box, taken: Sequence[Box]) -> Placed | None:
    near = np.array(label.places, dtype=float).reshape(-1, 2)
    costs = np.arange(len(near)) * 0.8
    if not label.optional:
        far, distance = _rings(label, area)
        near = np.vstack([near, far])
        costs = np.concatenate([costs, FAR + 0.2 * distance])
    half = np.array([label.width / 2, label.height / 2])
    boxes = np.hstack([near - half, near + half])
    fits = (boxes[:, :2] >= (area.left, area.top)).all(axis=1) & (boxes[:, 2:] <= (area.right, area.bottom)).all(axis=1)
    leaders = np.hstack([np.clip(label.anchor, boxes[:, :2], boxes[:, 2:]), np.broadcast_to(label.anchor, near.shape)])
    stands_off = np.arange(len(near)) >= len(label.places)
    for other in taken:
        apart = (
            (boxes[:, 0] >= other.right)
            | (boxes[:, 2] <= other.left)
            | (boxes[:, 1] >= other.bottom)
            | (boxes[:, 3] <= other.top)
        )
        fits &= apart
        crossed = crossing_lengths(np.array([[other.left, other.top, other.right, other.bottom]]), leaders)[0]
        costs = costs + np.where(stands_off, 2.0 * crossed, 0.0)
    if not fits.any():
        return None
    which = np.flatnonzero(fits)
    total = costs[which] + obstacles.cost(boxes[which])
    best = int(which[np.argmin(total)])
    if label.optional and total.min() > FAR:
        return None
    box = Box(*(float(v) for v in boxes[best]))
    leader = (box.nearest(label.anchor), label.anchor) if stands_off[best] else None
    return Placed(label, box, leader)


def _rings(label: Label, area: Box) -> tuple[Floats, Floats]:
    """Places further and further from the label's point, and how far each is; at last a grid over the whole area."""
    turns = np.radians(np.arange(0.0, 360.0, 15.0))
    radii = np.arange(26.0, max(label.reach, 27.0), 12.0)
    away = radii[:, None] + np.abs(np.cos(turns)) * label.width / 2 + np.abs(np.sin(turns)) * label.height / 2
    ring = np.stack([label.anchor[0] + away * np.cos(turns), label.anchor[1] - away * np.sin(turns)], axis=-1).reshape(
        -1, 2
    )
    xs = np.arange(area.left + label.width / 2, area.right - label.width / 2 + 0.01, 14.0)
    ys = np.arange(area.top + label.height / 2, area.bottom - label.height / 2 + 0.01, 9.0)
    grid = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    far = np.vstack([ring, grid])
    gap = np.maximum(np.abs(far - np.asarray(label.anchor)) - (label.width / 2, label.height / 2), 0.0)
    distance = np.hypot(gap[:, 0], gap[:, 1])
    return far, np.where(distance > label.reach, 4.0 * distance, distance)


def beside(p: Point, normal: Point, width: float, height: float, gap: float) -> Point:
    """The centre of a box of this size that stands clear of a line through p, on the side to which the normal points.

    Everything is on the screen; the normal has length 1.
    """
    off = abs(normal[0]) * width / 2 + abs(normal[1]) * height / 2 + gap
    return p[0] + normal[0] * off, p[1] + normal[1] * off


def along_segment(a: Point, b: Point, width: float, height: float, gap: float = 4.0) -> tuple[Point, ...]:
    """Where the centre of a label may go beside a segment of the screen: the middle first, on either side."""
    length = math.hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    normal = ((b[1] - a[1]) / length, -(b[0] - a[0]) / length)
    if normal[1] > 0:  # above the line is where one writes first
        normal = (-normal[0], -normal[1])
    found = []
    for share in (0.5, 0.62, 0.4, 0.74, 0.3, 0.86, 0.2):
        p = (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))
        found += [beside(p, normal, width, height, gap), beside(p, times(-1, normal), width, height, gap)]
    return tuple(found)


def beyond(a: Point, b: Point, width: float, height: float, gap: float = 8.0) -> tuple[Point, ...]:
    """Where the centre of a label may go beyond the end b of a segment from a to b on the screen."""
    length = math.hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    found = []
    for turn in (0.0, 35.0, -35.0, 65.0, -65.0, 95.0, -95.0):
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        found.append(beside(b, (ux * c - uy * s, ux * s + uy * c), width, height, gap))
    return tuple(found)


def around_point(p: Point, radius: float, width: float, height: float, gap: float = 3.0) -> tuple[Point, ...]:
    """Where the centre of a label may go around a dot of the screen: right, left, above, below, then between."""
    turns = (0, 180, 90, 270, 45, 135, 315, 225, 20, 160, 200, 340)
    return tuple(
        beside(p, (math.cos(math.radians(t)), -math.sin(math.radians(t))), width, height, radius + gap) for t in turns
    )
