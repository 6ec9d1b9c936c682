"""The sheet that a drawing is made on: shapes and labels gathered, labels placed, and the whole written out as SVG."""

from __future__ import annotations

import html
import math
from collections.abc import Sequence
from dataclasses import dataclass

from grader.reports.drawing.geometry import Box, Frame, Point, around, clipped, polar
from grader.reports.drawing.labels import (
    BOLD,
    LINE_HEIGHT,
    Label,
    Obstacles,
    Placed,
    along_segment,
    around_point,
    beside,
    beyond,
    place_labels,
    text_width,
    wrapped,
)
from grader.reports.drawing.theme import Theme, stylesheet
from grader.reports.words import one_line

INSET = 9.0
"""How far inside the frame an arrow that leaves it is cut."""

HEADS = {"right": (15.0, 5.6), "yours": (15.0, 5.4), "given": (11.5, 4.2), "faint": (9.0, 3.4), "moved": (10.0, 3.8)}
"""Length and half width of the arrowheads."""

NOTE_SIZE, SCALE_SIZE = 12.5, 11.5
NOTE_LINE = 17.0


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing: ``svg`` is a whole <svg> element, ``text`` says the same in words, sizes are those of the viewBox."""

    svg: str
    text: str
    width: float
    height: float


def number(value: float, decimals: int = 1) -> str:
    """A coordinate, as short as it can be written.

    >>> number(12.04), number(-0.01), number(3.14159, 2)
    ('12', '0', '3.14')
    """
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def escaped(text: str) -> str:
    """Text that is safe inside an element or a quoted attribute, on one line."""
    return html.escape(one_line(text))


class Sheet:
    """Gathers the shapes of one drawing. Points are of the plane unless they are said to be of the screen."""

    def __init__(self, frame: Frame, width: float, labels_within: Box | None = None) -> None:
        self.frame = frame
        self.width = width
        self.bottom = frame.area.bottom
        self.notes: list[str] = []
        self._layers: dict[str, list[str]] = {
            name: [] for name in ("grid", "frame", "parts", "arcs", "arrows", "dots", "over")
        }
        self._obstacles: list[tuple[Point, Point, float]] = []
        self._labels: list[tuple[float, int, Label]] = []
        self._taken: list[Box] = []
        self._within = labels_within or frame.area.grown(-4.0)

    # ---- what shapes are made of

    def raw(self, layer: str, element: str) -> None:
        """An element as it stands."""
        self._layers[layer].append(element)

    def blocks(self, a: Point, b: Point, weight: float = 1.0) -> None:
        """Labels keep off this segment of the screen."""
        self._obstacles.append((a, b, weight))

    def reserve(self, box: Box) -> None:
        """No label may cover this box of the screen."""
        self._taken.append(box)

    def screen_line(self, layer: str, a: Point, b: Point, style: str, weight: float = 0.6, data: str = "") -> None:
        self.raw(layer, f'<path class="{style}"{data} d="M{_pair(a)}L{_pair(b)}"/>')
        if weight:
            self.blocks(a, b, weight)

    def line(
        self, a: Point, b: Point, style: str, *, layer: str = "parts", weight: float = 0.6, name: str = ""
    ) -> None:
        """A straight line of the plane, cut where it leaves the frame."""
        ends = clipped(self.frame.at(a), self.frame.at(b), self.frame.area.grown(-1.0))
        if ends is not None:
            self.screen_line(layer, *ends, style, weight, _named(name))

    def arrow(self, tail: Point, tip: Point, role: str, *, name: str = "") -> tuple[Point, Point, bool]:
        """A vector. Returns its two ends on the screen and whether it had to be cut at the frame, which the head then shows."""
        inner = self.frame.area.grown(-INSET)
        start, goal = self.frame.at(tail), self.frame.at(tip)
        ends = clipped(start, goal, inner)
        if ends is None:
            edge = inner.nearest(start)
            return edge, edge, True
        a, b = ends
        cut = math.dist(b, goal) > 0.01
        length = math.dist(start, goal)
        ux, uy = ((goal[0] - start[0]) / length, (goal[1] - start[1]) / length) if length else (1.0, 0.0)
        long, half = HEADS[role]
        shrink = min(1.0, math.dist(a, b) / (1.8 * long)) if length else 0.0
        long, half = long * shrink, half * max(shrink, 0.5)
        neck = (b[0] - long * 0.9 * ux, b[1] - long * 0.9 * uy)
        data = _named(name)
        tipped = f' data-tip="{_pair(b, 2)}"'
        self.raw("arrows", f'<path class="{role}"{data}{tipped} d="M{_pair(a, 2)}L{_pair(neck, 2)}"/>')
        self.raw("arrows", f'<path class="{role}-head" d="{_head(b, ux, uy, long, half, role)}"/>')
        if cut:  # a second head behind the first: it goes on
            behind = (b[0] - (long + 3) * ux, b[1] - (long + 3) * uy)
            self.raw("arrows", f'<path class="{role}-head" d="{_head(behind, ux, uy, long, half, role)}"/>')
        self.blocks(a, b, 1.4)
        side = (-uy * half, ux * half)
        for sign in (-1, 1):
            self.blocks(b, (neck[0] + sign * side[0], neck[1] + sign * side[1]), 1.4)
        return a, b, cut

    def arc(
        self,
        center: Point,
        start: float,
        sweep: float,
        radius: float,
        style: str,
        *,
        text: str = "",
        kind: str = "ink",
        name: str = "",
        optional: bool = False,
        rank: float = 2.0,
    ) -> None:
        """An angle at a point of the plane: from ``start`` through ``sweep`` (positive: counterclockwise), with a screen radius.

        A right angle is marked by a square. The text is written at its middle.
        """
        c = self.frame.at(center)

        def at(degrees: float, away: float = radius) -> Point:
            x, y = polar(away, degrees)
            return c[0] + x, c[1] - y

        if abs(abs(sweep) - 90.0) < 1e-9:
            side = radius * 0.6
            corner = (
                c[0] + polar(side, start)[0] + polar(side, start + sweep)[0],
                c[1] - polar(side, start)[1] - polar(side, start + sweep)[1],
            )
            a, b = at(start, side), at(start + sweep, side)
            self.raw(
                "arcs", f'<path class="{style}"{_named(name)} d="M{_pair(a, 2)}L{_pair(corner, 2)}L{_pair(b, 2)}"/>'
            )
            self.blocks(a, corner, 0.5)
            self.blocks(corner, b, 0.5)
        elif abs(sweep) > 0.05:
            large, clockwise = int(abs(sweep) > 180.0), int(sweep < 0)
            turned = f"A{number(radius)} {number(radius)} 0 {large} {0 if not clockwise else 1} {_pair(at(start + sweep), 2)}"
            where = f' data-center="{_pair(c, 2)}"'
            self.raw("arcs", f'<path class="{style}"{_named(name)}{where} d="M{_pair(at(start), 2)}{turned}"/>')
            pieces = max(2, math.ceil(abs(sweep) / 15.0))
            for k in range(pieces):
                self.blocks(at(start + sweep * k / pieces), at(start + sweep * (k + 1) / pieces), 0.45)
        if text:
            size = 12.5
            width, height = text_width(text, size, kind in BOLD), size * LINE_HEIGHT
            places = []
            for share in (0.5, 0.35, 0.65, 0.2, 0.8):
                p = polar(1.0, start + share * sweep)
                places.append(beside(c, (p[0], -p[1]), width, height, radius + 2.5))
            for share in (0.5, 0.3, 0.7):
                p = polar(1.0, start + share * sweep)
                off = radius - 2.5 - abs(p[0]) * width / 2 - abs(p[1]) * height / 2
                if off > max(width, height) / 2 + 3:
                    places.append((c[0] + p[0] * off, c[1] - p[1] * off))
            for share in (0.5, 0.0, 1.0, 0.25, 0.75):
                p = polar(1.0, start + share * sweep)
                places.append(beside(c, (p[0], -p[1]), width, height, radius + 9.0))
            label = Label((text,), at(start + sweep / 2), tuple(places), kind, size, optional, 70.0, 3.0)
            self._labels.append((rank, len(self._labels), label))

    def dot(self, p: Point, style: str = "point", radius: float = 3.0) -> None:
        """A small point of the plane."""
        x, y = self.frame.at(p)
        self.raw("dots", f'<circle class="{style}" cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"/>')
        self.blocks((x - radius, y), (x + radius, y), 3.0)
        self.blocks((x, y - radius), (x, y + radius), 3.0)

    # ---- what is written

    def fixed(
        self, text: str, center: Point, style: str = "t-scale", size: float = SCALE_SIZE, end: bool = False
    ) -> None:
        """Text at a place of the screen where nothing else goes; ``end`` puts its right edge there."""
        width, height = text_width(text, size), size * LINE_HEIGHT
        middle = (center[0] - width / 2, center[1]) if end else center
        self.reserve(around(middle, width, height))
        anchor = "end" if end else "middle"
        self.raw("over", _text((text,), center, size, style, anchor))

    def label(
        self,
        lines: Sequence[str],
        anchor: Point,
        places: Sequence[Point],
        kind: str,
        *,
        size: float = 13.5,
        optional: bool = False,
        rank: float = 1.0,
        reach: float = 150.0,
        clear: float = 0.0,
        within: Box | None = None,
    ) -> None:
        """A label to be placed when everything is drawn; anchor and places are of the screen. Lower ranks choose first."""
        label = Label(
            tuple(one_line(line) for line in lines), anchor, tuple(places), kind, size, optional, reach, clear, within
        )
        self._labels.append((rank, len(self._labels), label))

    def label_segment(
        self,
        lines: Sequence[str],
        a: Point,
        b: Point,
        kind: str,
        *,
        size: float = 13.5,
        optional: bool = False,
        rank: float = 1.0,
    ) -> None:
        """A label beside the middle of a segment of the screen."""
        width, height = _size(lines, size, kind)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        places = along_segment(a, b, width, height)
        self.label(lines, middle, places, kind, size=size, optional=optional, rank=rank)

    def label_tip(
        self, lines: Sequence[str], a: Point, b: Point, kind: str, *, size: float = 13.5, rank: float = 0.0
    ) -> None:
        """A label beyond the tip b of an arrow of the screen, or else beside it."""
        width, height = _size(lines, size, kind)
        near = ((a[0] + 5 * b[0]) / 6, (a[1] + 5 * b[1]) / 6)
        places = (*beyond(a, b, width, height), *along_segment(a, b, width, height, 5.0))
        self.label(lines, near, places, kind, size=size, rank=rank)

    def label_point(
        self,
        lines: Sequence[str],
        p: Point,
        kind: str,
        *,
        radius: float = 3.0,
        size: float = 13.5,
        rank: float = 1.0,
        optional: bool = False,
        reach: float = 150.0,
    ) -> None:
        """A label around a dot of the screen."""
        width, height = _size(lines, size, kind)
        places = around_point(p, radius, width, height)
        self.label(lines, p, places, kind, size=size, rank=rank, optional=optional, reach=reach, clear=radius)

    def note(self, text: str) -> None:
        """A line under the drawing."""
        self.notes.append(one_line(text))

    # ---- the whole

    def picture(
        self, title: str, text: str, theme: Theme = "auto", *, interactive: bool = False, spare: float = 0.0
    ) -> Picture:
        """Place the labels and write everything out. ``spare`` is room kept under the notes."""
        ordered = [label for *_, label in sorted(self._labels, key=lambda one: one[:2])]
        placed, left_over = place_labels(ordered, Obstacles.of(self._obstacles), self._within, self._taken)
        for label in left_over:
            self.notes.append(" ".join(label.lines))
        written = [_written(one) for one in placed]
        leaders = [
            f'<path class="leader" d="M{_pair(one.leader[0])}L{_pair(one.leader[1])}"/>' for one in placed if one.leader
        ]
        y = self.bottom
        notes = []
        left = 12.0
        for note in self.notes:
            for line in wrapped(note, NOTE_SIZE, self.width - 2 * left):
                y += NOTE_LINE
                notes.append(_text((line,), (left, y - 2), NOTE_SIZE, "t-note", "start"))
        height = math.ceil(y + (8.0 if notes else 0.0) + spare)
        style = "" if theme == "page" else f"<style>{stylesheet(theme)}</style>"
        role = "group" if interactive else "img"
        size = f'viewBox="0 0 {number(self.width)} {height}" width="{number(self.width)}" height="{height}"'
        layers = self._layers
        body = "".join(
            [
                *layers["grid"], *layers["frame"], *layers["parts"], *layers["arcs"], *layers["arrows"],
                *leaders, *layers["dots"], *layers["over"], *written, *notes,
            ]
        )  # fmt: skip
        for k in range(4):  # what a dot tells stands in the room kept under the notes
            body = body.replace(f'y="@{k}@"', f'y="{number(height - spare + 16.0 * k - 5.0)}"')
        svg = (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="vd" role="{role}" {size} aria-label="{escaped(title)}">'
            f"<title>{escaped(title)}</title><desc>{escaped(text)}</desc>{style}"
            f'<rect class="sheet" width="{number(self.width)}" height="{height}"/>{body}</svg>'
        )
        return Picture(svg, text, self.width, height)


def _size(lines: Sequence[str], size: float, kind: str) -> tuple[float, float]:
    return max(text_width(line, size, kind in BOLD) for line in lines), len(lines) * size * LINE_HEIGHT


def _named(name: str) -> str:
    return f' data-of="{escaped(name)}"' if name else ""


def _pair(p: Point, decimals: int = 1) -> str:
    return f"{number(p[0], decimals)} {number(p[1], decimals)}"


def _head(tip: Point, ux: float, uy: float, long: float, half: float, role: str) -> str:
    """An arrowhead: a barbed triangle, or for the student's a kite, so that the two differ in grey."""

    def at(back: float, side: float) -> str:
        return _pair((tip[0] - back * ux - side * uy, tip[1] - back * uy + side * ux), 2)

    if role == "yours":
        return f"M{_pair(tip, 2)}L{at(long * 0.55, half)}L{at(long, 0)}L{at(long * 0.55, -half)}Z"
    return f"M{_pair(tip, 2)}L{at(long, half)}L{at(long * 0.8, 0)}L{at(long, -half)}Z"


def _text(lines: Sequence[str], center: Point, size: float, style: str, anchor: str) -> str:
    """Lines of text, the first one's baseline so that the block stands centred on the point ("start": baseline at the point)."""
    step = size * LINE_HEIGHT
    x, y = center
    top = y if anchor == "start" else y - step * (len(lines) - 1) / 2 + 0.35 * size
    ends = "" if anchor == "start" else f' text-anchor="{anchor}"'
    place = f'x="{number(x)}" font-size="{number(size)}"{ends}'
    return "".join(
        f'<text class="{style}" y="{number(top + k * step)}" {place}>{escaped(line)}</text>'
        for k, line in enumerate(lines)
    )


def _written(one: Placed) -> str:
    label = one.label
    return _text(label.lines, one.box.center, label.size, f"halo t-{label.kind}", "middle")
