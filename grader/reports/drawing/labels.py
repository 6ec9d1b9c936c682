"""Labels: how wide a text is, where it may stand, and a place for each so that none covers another and lines stay clear.

Everything here is on the screen, in the units of the picture's viewBox.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from grader.reports.drawing.geometry import Box, Floats, Point, crossing_lengths, minus, plus, times

LINE_HEIGHT = 1.2
"""Line height of a label, relative to the size of its letters."""

_WIDTHS: dict[str, float] = {
    **dict.fromkeys("ABCDEFGHIJKLNOPQRSTUVXYZ", 0.76),
    **dict.fromkeys("ijlI|.,:;'’!· ", 0.36),
    **dict.fromkeys("ftr()[]-/", 0.44),
    **dict.fromkeys("mwMW@%—…", 1.0),
    **dict.fromkeys("+−=<>~≈×→∠", 0.84),
    **dict.fromkeys("₀₁₂₃₄₅₆₇₈₉⁰¹²³", 0.42),
    **dict.fromkeys("°“”", 0.52),
    "φ": 0.72,
}
_ORDINARY = 0.64
_FULL_WIDTH = 1.06
_BOLD = 1.19


@cache
def _width_of(sign: str) -> float:
    return _WIDTHS.get(sign, _FULL_WIDTH if ord(sign) > 0x2E7F else _ORDINARY)


def text_width(text: str, size: float, bold: bool = False) -> float:
    """How wide a text is at most in the sans-serif fonts in common use: an estimate that errs on the wide side.

    Measured against DejaVu Sans, the widest of them, as a browser sets it.

    >>> text_width("ill", 10.0) < text_width("www", 10.0)
    True
    """
    return (_BOLD if bold else 1.0) * size * sum(map(_width_of, text))


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


BOLD = ("right", "yours")
"""The kinds of label that are written in bold."""


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
    clear: float = 0.0  # where a leader stops short of the point: the radius of the dot
    within: Box | None = None  # the area it must stay in, where that is not the frame

    @property
    def width(self) -> float:
        return max(text_width(line, self.size, self.kind in BOLD) for line in self.lines)

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
    """Place labels one after another: none covers another, none leaves the area, and lines are crossed as little as may be.

    Returns the placed labels, and those for which there was no room at all (optional ones are dropped without a word).
    """
    placed: list[Placed] = []
    left_over: list[Label] = []
    boxes = [box.grown(GAP) for box in taken]
    for label in labels:
        found = _best(label, obstacles, label.within or area, boxes)
        if found is not None:
            placed.append(found)
            boxes.append(found.box.grown(GAP))
            if found.leader is not None:
                obstacles = obstacles.and_also(*found.leader, 1.0)
        elif not label.optional:
            left_over.append(label)
    return placed, left_over


def _best(label: Label, obstacles: Obstacles, area: Box, taken: Sequence[Box]) -> Placed | None:
    """The cheapest place: near, then (with a leader) around, then anywhere; further places are looked at only when needed."""
    near = np.array(label.places, dtype=float).reshape(-1, 2)
    found = _cheapest(
        label, near, 0.8 * np.arange(len(near), dtype=np.float64), obstacles, area, taken, stands_off=False
    )
    if label.optional:
        return found[1] if found is not None and found[0] <= FAR else None
    if found is None or found[0] > FAR:
        around_it, distance = _rings(label)
        further = _cheapest(label, around_it, FAR + 0.2 * distance, obstacles, area, taken, stands_off=True)
        if further is None and found is None:
            anywhere, distance = _everywhere(label, area)
            further = _cheapest(label, anywhere, FAR + 0.2 * distance, obstacles, area, taken, stands_off=True)
        if further is not None and (found is None or further[0] < found[0]):
            found = further
    return found[1] if found is not None else None


def _cheapest(
    label: Label,
    centers: Floats,
    costs: Floats,
    obstacles: Obstacles,
    area: Box,
    taken: Sequence[Box],
    *,
    stands_off: bool,
) -> tuple[float, Placed] | None:
    """The cost of the best of these places, and the label in it; None where none is free."""
    half = np.array([label.width / 2, label.height / 2])
    boxes = np.hstack([centers - half, centers + half])
    fits = (boxes[:, :2] >= (area.left, area.top)).all(axis=1) & (boxes[:, 2:] <= (area.right, area.bottom)).all(axis=1)
    others = np.array([(box.left, box.top, box.right, box.bottom) for box in taken]).reshape(-1, 4)
    overlaps = (
        (boxes[:, None, 0] < others[:, 2]) & (boxes[:, None, 2] > others[:, 0])
        & (boxes[:, None, 1] < others[:, 3]) & (boxes[:, None, 3] > others[:, 1])
    )  # fmt: skip
    which = np.flatnonzero(fits & ~overlaps.any(axis=1))
    if not len(which):
        return None
    boxes = boxes[which]
    total = costs[which] + obstacles.cost(boxes)
    if stands_off:
        ends = np.clip(label.anchor, boxes[:, :2], boxes[:, 2:])
        leaders = np.hstack([ends, np.broadcast_to(label.anchor, ends.shape)])
        total = total + 2.0 * crossing_lengths(others, leaders).sum(axis=0) if len(others) else total
    best = int(np.argmin(total))
    box = Box(*(float(v) for v in boxes[best]))
    leader = (box.nearest(label.anchor), label.anchor) if stands_off else None
    if leader is not None and label.clear:
        length = math.dist(*leader)
        leader = (leader[0], plus(label.anchor, times(label.clear / max(length, label.clear), minus(*leader))))
    return float(total[best]), Placed(label, box, leader)


def _rings(label: Label) -> tuple[Floats, Floats]:
    """Places further and further around the label's point, and how far from it each is."""
    turns = np.radians(np.arange(0.0, 360.0, 15.0))
    radii = np.arange(24.0, max(label.reach, 25.0), 16.0)
    away = radii[:, None] + np.abs(np.cos(turns)) * label.width / 2 + np.abs(np.sin(turns)) * label.height / 2
    centers = np.stack(
        [label.anchor[0] + away * np.cos(turns), label.anchor[1] - away * np.sin(turns)], axis=-1
    ).reshape(-1, 2)
    return centers, _distances(label, centers)


def _everywhere(label: Label, area: Box) -> tuple[Floats, Floats]:
    """A grid of places over the whole area."""
    xs = np.arange(area.left + label.width / 2, area.right - label.width / 2 + 0.01, 12.0)
    ys = np.arange(area.top + label.height / 2, area.bottom - label.height / 2 + 0.01, 8.0)
    centers = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    return centers, _distances(label, centers)


def _distances(label: Label, centers: Floats) -> Floats:
    gap = np.maximum(np.abs(centers - np.asarray(label.anchor)) - (label.width / 2, label.height / 2), 0.0)
    distances: Floats = np.hypot(gap[:, 0], gap[:, 1])
    return distances


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


def beyond(a: Point, b: Point, width: float, height: float, gap: float = 6.0) -> tuple[Point, ...]:
    """Where the centre of a label may go around the end b of a segment from a to b on the screen: straight on first."""
    ux, uy = minus(b, a)
    length = math.hypot(ux, uy) or 1.0
    places = around_point(b, gap, width, height, 2.0)
    ahead = [((p[0] - b[0]) / width * ux + (p[1] - b[1]) / height * uy) / length for p in places]
    return tuple(p for how, p in sorted(zip(ahead, places), key=lambda one: (-round(one[0], 6), one[1])) if how > -0.1)


def around_point(p: Point, radius: float, width: float, height: float, gap: float = 3.0) -> tuple[Point, ...]:
    """Where the centre of a label may go around a dot of the screen: right, left, above, below, at the corners, then between."""
    x, y = p
    out_x, out_y = radius + gap + width / 2, radius + gap * 0.6 + height / 2
    corner_x, corner_y = 0.7 * radius + gap * 0.7 + width / 2, 0.7 * radius + gap * 0.4 + height / 2
    found = [(x + out_x, y), (x - out_x, y), (x, y - out_y), (x, y + out_y)]
    found += [(x + i * corner_x, y + j * corner_y) for j in (-1, 1) for i in (1, -1)]
    found += [(x + i * width / 4, y + j * out_y) for j in (-1, 1) for i in (1, -1)]
    found += [(x + i * out_x, y + j * height / 4) for i in (1, -1) for j in (-1, 1)]
    return tuple(found)
