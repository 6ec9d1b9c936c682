"""The picture of what a class wrote to one problem: every answer a dot at its tip, as large as many wrote it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from grader.exchange.cells import counted
from grader.methods.part_names import part_name
from grader.methods.solve import Solved
from grader.methods.vectors import in_unit, sub
from grader.notation.given import GivenHeading, GivenRamp, GivenVectors
from grader.reports.drawing.answers import given_in_words, key_tip, tip_of_given
from grader.reports.drawing.dots import SMALLEST, WHO_ROOM, WIDTH, Drawing, draw_dot, kind_of, place_in_words, short
from grader.reports.drawing.geometry import Box, Frame, Paper, Point, fit, polar
from grader.reports.drawing.grouping import Cluster, clusters_of, left_out, total
from grader.reports.drawing.labels import text_width, wrapped
from grader.reports.drawing.plane import COMPASS, STANDARD, axes, by_compass, squared_paper
from grader.reports.drawing.sheet import NOTE_SIZE, Picture, Sheet, number
from grader.reports.drawing.strips import LABEL_SIZE, draw_strips
from grader.reports.drawing.theme import Theme
from grader.reports.drawing.words import sentence, title_of
from grader.reports.words import listed_names

__all__ = ["Cluster", "cluster_picture", "clusters_of", "left_out"]

TALL = 470.0
LARGEST = 25.0
"""The radius on the screen of the largest dot."""

REACH = 1.75
"""Answers farther out than so many times the right one and the given ones go to the frame's edge."""

LABELLED = 14
"""At most so many clusters get their label in the picture; the words below it name them all."""

_LABEL_WIDTH = 150.0


def cluster_picture(
    solved: Solved,
    points: Sequence[Cluster],
    *,
    who: bool = False,
    theme: Theme = "auto",
    absent: int = 0,
) -> Picture:
    """The plane with the given vectors, the right answer, and a dot for every cluster, its area in proportion to its count.

    Clusters with a mistake bear its name, those that nothing explains are hollow and bear none. Far ones sit as arrowheads
    on the frame's edge. Answers of a direction alone lie on a ring; lengths alone, numbers and the parts of a triangle on number
    lines. ``who`` is for the teacher's eyes: every dot can then be pointed at or reached by the keyboard and tells who is
    in it; without it no student's name or id is in the picture. ``absent`` is how many students wrote no number at all.
    """
    ordered = sorted(points, key=lambda c: -c.count)
    most = max((c.count for c in ordered), default=1)
    unit_area = min(5.2, LARGEST / math.sqrt(most))
    tips = [c for c in ordered if c.kind in ("tip", "direction", "half")]
    lined = [c for c in ordered if c.kind in ("magnitude", "number")]
    right = _right_tip(solved)
    if right is not None:
        drawing = _plane(solved, tips, right, who, unit_area)
        _tips(drawing, tips, right)
    else:
        area = Box(14.0, 6.0, WIDTH - 14.0, 10.0)
        drawing = Drawing(solved, Sheet(Frame(area, (area.left, area.top), 1.0), WIDTH), who, unit_area)
        drawing.sheet.bottom = 6.0
    draw_strips(drawing, lined, right is None)
    if drawing.beyond:
        drawing.sheet.note(f"At the edge, pointing to where it lies: {'; '.join(drawing.beyond)}.")
    if any(unit_area * math.sqrt(c.count) < SMALLEST for c in ordered):
        drawing.sheet.note("The smallest dots are drawn larger than their share, to be seen.")
    _size_key(drawing, most)
    title = f"{title_of(solved)}, what {counted(_students(ordered), 'student')} wrote"
    room = WHO_ROOM if who and ordered else 0.0
    if room:
        prompt = "Point at a dot, or reach it with the Tab key, to see who is in it."
        drawing.sheet.raw(
            "frame", f'<text class="t-note vd-prompt" x="12" y="@1@" font-size="{NOTE_SIZE}">{prompt}</text>'
        )
    return drawing.sheet.picture(title, _text(solved, ordered, absent, who), theme, interactive=who, spare=room)


def _students(points: Sequence[Cluster]) -> int:
    known = {student for cluster in points for student in cluster.ids}
    return len(known) if known else total(points)


def _right_tip(solved: Solved) -> Point | None:
    """Where the right answer lies on the plane; for a ramp, along it and into it."""
    return None if solved.solution.none else key_tip(solved)


# ---- the plane


def _plane(solved: Solved, tips: Sequence[Cluster], right: Point, who: bool, unit_area: float) -> Drawing:
    given = _given(solved)
    reach = max(math.hypot(*p) for p in (right, *(tip for _, tip in given)))
    near = [(c.x, c.y) for c in tips if c.kind == "tip" and math.hypot(c.x, c.y) <= REACH * reach]
    ring = any(c.kind == "direction" for c in tips)
    points = [(0.0, 0.0), right, *(tip for _, tip in given), *near]
    paper = Paper(width=WIDTH, least_height=330.0, most_height=TALL, beside=66.0, above=44.0)
    if ring:
        size = max(math.hypot(*p) for p in points)
        points += [polar(size, turn) for turn in (0.0, 90.0, 180.0, 270.0)]
    frame = fit(points, paper, centred=ring)
    sheet = Sheet(frame, WIDTH)
    unit = solved.unit.symbol if solved.unit else ""
    squared_paper(sheet, unit)
    if isinstance(solved.problem.given, GivenRamp):
        axes(sheet, (0.0, 0.0), ("along", "into", "", ""))
    else:
        axes(sheet, (0.0, 0.0), COMPASS if by_compass(solved.problem) else STANDARD)
    for index, (words, tip) in enumerate(given, start=1):
        a, b, _ = sheet.arrow((0.0, 0.0), tip, "faint", name=f"given {index}")
        sheet.label_segment((words,), a, b, "given", size=12.5, rank=20.0, optional=True)
    sheet.arrow((0.0, 0.0), right, "right", name="right")
    if isinstance(solved.problem.given, GivenHeading):
        sheet.line((0.0, 0.0), polar(4.0 * reach, solved.problem.given.track.angle), "track", name="track")
        sheet.note(
            "Each dot stands for a heading (its direction) and a ground speed (its distance); the broken line is the track."
        )
    return Drawing(solved, sheet, who, unit_area)


def _given(solved: Solved) -> list[tuple[str, Point]]:
    """The given vectors from the origin, with their labels."""
    given = solved.problem.given
    if isinstance(given, GivenVectors):
        many = len(given.vectors) > 1
        unit = solved.unit if solved.problem.find != "unit vector" else None
        found = []
        for index, vector in enumerate(given.vectors, start=1):
            name = f"v{sub(index)}" if many else "v"
            tip = tip_of_given(vector, unit)
            found.append((f"{name} = {given_in_words(vector)}", tip))
        # A single vector is the answer itself, seen the other way; a second arrow over it would say nothing.
        return found if many else []
    if isinstance(given, GivenHeading):
        toward = (given.flow_direction.angle + (180.0 if given.flow_from else 0.0)) % 360.0
        word = "wind" if given.medium == "air" else "current"
        return [(word, polar(in_unit(given.flow, solved.unit), toward))]
    return []


def _tips(drawing: Drawing, tips: Sequence[Cluster], right: Point) -> None:
    """The dots, the large ones first so that none hides another."""
    sheet, frame = drawing.sheet, drawing.sheet.frame
    labels: list[_Label] = []
    inside: dict[str, int] = {}
    ring = [c for c in tips if c.kind == "direction"]
    radius = _ring(drawing) if ring else 0.0
    around_right = max((drawing.radius(c) for c in tips if c.good), default=0.0)
    for cluster in tips:
        size = drawing.radius(cluster)
        if cluster.kind == "direction":
            x, y = polar(radius, cluster.direction)
            at, outward = (frame.origin[0] + x, frame.origin[1] - y), None
        elif cluster.kind == "half":
            at, outward = _on_the_border(frame, cluster), None
        else:
            place = right if cluster.good else (cluster.x, cluster.y)
            at, outward = _held(frame, frame.at(place), size)
        draw_dot(drawing, cluster, at, size, outward)
        if outward is not None:
            drawing.beyond.append(place_in_words(drawing.solved, cluster))
        hidden = not cluster.good and math.dist(at, frame.at(right)) <= around_right
        if hidden:
            told = short(cluster) or "unexplained"
            inside[told] = inside.get(told, 0) + cluster.count
        elif cluster.label or cluster.good:
            shared = next((each for each in labels if each.lies_on(at, size)), None)
            if shared is not None:
                shared.clusters.append(cluster)
            elif len(labels) < LABELLED:
                labels.append(_Label([cluster], at, size))
    for each in labels:
        _label(drawing, each)
    if inside:
        drawing.sheet.note(
            f"Within the circle of the right answer: {'; '.join(f'{n} × {told}' for told, n in inside.items())}."
        )
    if not any(c.good for c in tips):
        p = frame.at(right)
        sheet.label_point(("right answer",), p, "right", radius=4.0, rank=0.0, size=LABEL_SIZE)


@dataclass
class _Label:
    """One label: of the dot at a place, and of the dots that lie on it, which nobody could tell from it by a label more."""

    clusters: list[Cluster]
    at: Point
    size: float

    def lies_on(self, at: Point, size: float) -> bool:
        # Not on the right answer: what it hides is told below the picture, and what is left lies beside it.
        return not self.clusters[0].good and math.dist(self.at, at) <= max(self.size, size)


def _label(drawing: Drawing, label: _Label) -> None:
    """Write a label; that of a single student's answer only where there is room beside it."""
    told: dict[str, int] = {}
    for cluster in label.clusters:
        told[short(cluster)] = told.get(short(cluster), 0) + cluster.count
    count = sum(told.values())
    words = "; ".join(f"{number} × {name}" for name, number in told.items())
    lines = wrapped(words, LABEL_SIZE, _LABEL_WIDTH, 3 * len(told))
    drawing.sheet.label_point(
        lines, label.at, kind_of(label.clusters[0]), radius=label.size, rank=1.0 + 10.0 / (1 + count), size=LABEL_SIZE,
        reach=190.0, optional=count == 1,
    )  # fmt: skip


def _held(frame: Frame, at: Point, size: float) -> tuple[Point, Point | None]:
    """A place inside the frame for a dot, and the direction on the screen in which it really lies if it had to be moved."""
    inside = frame.area.grown(-min(size, 10.0) - 2.0)
    if inside.holds(at):
        return at, None
    ox, oy = frame.origin
    dx, dy = at[0] - ox, at[1] - oy
    shares = [1.0]
    if dx:
        shares.append(((inside.right if dx > 0 else inside.left) - ox) / dx)
    if dy:
        shares.append(((inside.bottom if dy > 0 else inside.top) - oy) / dy)
    share = min(s for s in shares if s >= 0)
    length = math.hypot(dx, dy)
    return (ox + share * dx, oy + share * dy), (dx / length, dy / length)


def _ring(drawing: Drawing) -> float:
    frame = drawing.sheet.frame
    x, y = frame.origin
    area = frame.area
    radius = min(x - area.left, area.right - x, y - area.top, area.bottom - y) - 22.0
    drawing.sheet.raw(
        "frame", f'<circle class="rose" data-of="ring" cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"/>'
    )
    drawing.sheet.note("On the ring: answers of which only the direction could be read.")
    return radius


def _on_the_border(frame: Frame, cluster: Cluster) -> Point:
    """An answer with one component lies on the border, below for x and at the left for y."""
    area = frame.area.grown(-4.0)
    if math.isfinite(cluster.x):
        return min(max(frame.at((cluster.x, 0.0))[0], area.left), area.right), area.bottom
    return area.left, min(max(frame.at((0.0, cluster.y))[1], area.top), area.bottom)


def _size_key(drawing: Drawing, most: int) -> None:
    if most < 4:
        return
    counts = sorted({1, max(2, round(most / 4)), most})
    sheet = drawing.sheet
    radii = [max(SMALLEST, drawing.unit_area * math.sqrt(c)) for c in counts]
    y = sheet.bottom + radii[-1] + 6.0
    x = 14.0
    for count, radius in zip(counts, radii):
        x += radius
        sheet.raw("frame", f'<circle class="tick" cx="{number(x)}" cy="{number(y)}" r="{number(radius, 2)}"/>')
        words = counted(count, "answer")
        x += radius + 6.0 + text_width(words, 11.5) / 2
        sheet.fixed(words, (x, y))
        x += text_width(words, 11.5) / 2 + 16.0
    for style, words in (("dot-wrong", "explained"), ("dot-open", "unexplained")):
        sheet.raw("frame", f'<circle class="{style}" cx="{number(x + 6)}" cy="{number(y)}" r="6"/>')
        x += 18.0 + text_width(words, 11.5) / 2
        sheet.fixed(words, (x, y))
        x += text_width(words, 11.5) / 2 + 16.0
    sheet.bottom = y + radii[-1] + 2.0


def _text(solved: Solved, points: Sequence[Cluster], absent: int, who: bool) -> str:
    """The picture in words: every cluster, the largest first."""
    right = ", ".join(f"{part_name(solved.problem.find, key.part)} {key.shown}" for key in solved.solution.parts)
    pieces = [f"The right answer: {solved.solution.none or right}"]
    unexplained = [c for c in points if not c.label and not c.good]
    for cluster in points:
        if cluster in unexplained:
            continue
        told = "right" if cluster.good else cluster.label
        names = f" ({listed_names(cluster.students)})" if who and not cluster.good else ""
        pieces.append(f"{counted(cluster.count, 'answer')} at {place_in_words(solved, cluster)}: {told}{names}")
    if unexplained:
        places = "; ".join(f"{place_in_words(solved, c)}{f' ({c.count})' if c.count > 1 else ''}" for c in unexplained)
        pieces.append(f"{counted(total(unexplained), 'answer')} that nothing explains: {places}")
    if absent:
        pieces.append(f"{counted(absent, 'student')} wrote no number")
    return sentence(pieces)
