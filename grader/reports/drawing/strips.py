"""Number lines of a cluster picture: lengths without a direction, numbers, and the parts of a triangle."""

from __future__ import annotations

import math
from collections.abc import Sequence

from grader.methods.part_names import part_name
from grader.reports.drawing.dots import WIDTH, Drawing, draw_dot, kind_of, place_in_words, short
from grader.reports.drawing.geometry import Box, Point
from grader.reports.drawing.grouping import Cluster
from grader.reports.drawing.labels import text_width, wrapped
from grader.reports.drawing.numbers import line, scaled
from grader.reports.drawing.sheet import number

LABEL_SIZE = 12.5
_LABEL_WIDTH = 130.0
_LABEL_ROOM = 62.0


def draw_strips(drawing: Drawing, lined: Sequence[Cluster], alone: bool) -> None:
    """A number line for lengths without a direction, for a number, and for each part of a triangle."""
    solved = drawing.solved
    rows: dict[str, list[Cluster]] = {}
    if alone:
        rows = {key.part: [] for key in solved.solution.parts}
    for cluster in lined:
        rows.setdefault(cluster.part or "magnitude", []).append(cluster)
    for part, clusters in rows.items():
        _strip(drawing, part, clusters)


def _strip(drawing: Drawing, part: str, clusters: Sequence[Cluster]) -> None:
    solved, sheet = drawing.solved, drawing.sheet
    key = next((key for key in solved.solution.parts if key.part == part), None)
    rights = [v for v in ((key.value, *key.others) if key else ()) if math.isfinite(v)]
    values = [c.magnitude if c.kind == "magnitude" else c.value for c in clusters]
    reach = max((abs(v) for v in rights), default=0.0) or max((abs(v) for v in values), default=1.0)
    shown = [v for v in values if abs(v) <= 3.0 * reach]
    highest = max((drawing.radius(c) for c in clusters), default=6.0)
    top = sheet.bottom + 6.0
    y = top + (_LABEL_ROOM if any(c.label or c.good for c in clusters) else 8.0) + highest
    left, right = 92.0, WIDTH - 24.0
    scale, offset = scaled([*rights, *shown], left, right)
    line(sheet, y, left, right, scale, offset)
    name = part_name(solved.problem.find, part)
    name = {"magnitude": "length only", "value": ""}.get(name, name)
    if name:
        sheet.fixed(name, (left - 10.0, y), "t-muted", end=True)
    for value in rights:
        x = offset + scale * value
        sheet.raw(
            "arrows", f'<path class="right-head" data-of="right mark" d="M{number(x)} {number(y + 1)}l-6 11h12Z"/>'
        )
    sheet.bottom = y + max(30.0, highest + 6.0)
    row = Box(left, top, right, y - 2.0)
    for cluster, value in zip(clusters, values):
        size = drawing.radius(cluster)
        wanted = offset + scale * value
        x = min(max(wanted, left + size), right - size)
        outward = None if abs(x - wanted) < size + 1.0 else ((1.0, 0.0) if wanted > x else (-1.0, 0.0))
        if outward is not None:
            drawing.beyond.append(place_in_words(solved, cluster))
        draw_dot(drawing, cluster, (x, y), size, outward)
        if cluster.label or cluster.good:
            _strip_label(drawing, cluster, (x, y), size, row)


def _strip_label(drawing: Drawing, cluster: Cluster, at: Point, size: float, row: Box) -> None:
    lines = wrapped(f"{cluster.count} × {short(cluster)}", LABEL_SIZE, _LABEL_WIDTH, 3)
    width, height = max(text_width(one, LABEL_SIZE, cluster.good) for one in lines), len(lines) * LABEL_SIZE * 1.2
    low = at[1] - size - 4.0 - height / 2
    shifts = (0.0, 0.35, -0.35, 0.7, -0.7)
    places = [(at[0] + shift * width, low - lift) for lift in range(0, 60, 8) for shift in shifts]
    drawing.sheet.label(
        lines, at, places, kind_of(cluster), size=LABEL_SIZE, rank=1.0 + 10.0 / (1 + cluster.count), reach=80.0,
        optional=cluster.count == 1, clear=size, within=row,
    )  # fmt: skip
