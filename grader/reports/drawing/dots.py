"""The dots of a cluster picture: as large as many wrote it, with what each one tells."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from grader.methods.solve import Solved
from grader.reports.drawing.answers import called, said
from grader.reports.drawing.geometry import Point
from grader.reports.drawing.grouping import ALMOST, Cluster
from grader.reports.drawing.labels import wrapped
from grader.reports.drawing.sheet import NOTE_SIZE, Sheet, escaped, number
from grader.reports.words import listed_names, one_line

WIDTH = 620.0
SMALLEST = 2.6
"""The radius on the screen of the smallest dot that can be seen and pointed at."""

NAMED = 14
"""At most so many students are named when a dot is pointed at."""

WHO_ROOM = 3 * 16.0 + 8.0
"""The room under a picture for what a dot tells."""


@dataclass
class Drawing:
    """The drawing under way: where each cluster's dot went, and what has to be said under it."""

    solved: Solved
    sheet: Sheet
    who: bool
    unit_area: float
    beyond: list[str] = field(default_factory=list)

    def radius(self, cluster: Cluster) -> float:
        return max(SMALLEST, self.unit_area * math.sqrt(cluster.count))


def kind_of(cluster: Cluster) -> str:
    return "right" if cluster.good else "wrong" if cluster.mistake else "muted"


def short(cluster: Cluster) -> str:
    """The label as the picture has room for: the first of several names that no answer can tell apart."""
    if cluster.good:
        return "right"
    pieces = cluster.label.split("; or ")
    return pieces[0] if len(pieces) == 1 else f"{pieces[0]} (or alike)"


def _style(cluster: Cluster) -> str:
    if cluster.good:
        return "right"
    if cluster.verdict in ALMOST:
        return "near"
    return "wrong" if cluster.mistake or cluster.label else "open"


def draw_dot(drawing: Drawing, cluster: Cluster, at: Point, size: float, outward: Point | None) -> None:
    sheet, style = drawing.sheet, _style(cluster)
    if outward is None:
        shape = f'<circle class="vd-mark dot-{style}" cx="{number(at[0])}" cy="{number(at[1])}" r="{number(size, 2)}"/>'
    else:
        half = max(min(size, 10.0), 4.5)
        ux, uy = outward
        tip = (at[0] + ux * half, at[1] + uy * half)
        corners = [tip] + [(at[0] - ux * half + s * uy * half, at[1] - uy * half - s * ux * half) for s in (1, -1)]
        path = "L".join(f"{number(x)} {number(y)}" for x, y in corners)
        edge = "open" if style == "open" else "wrong"
        shape = f'<path class="vd-mark edge-{edge}" data-beyond="1" d="M{path}Z"/>'
    for reach, weight in (
        (size, 2.2),
        (size + 8.0, 0.6),
    ):  # the wider cross keeps the labels of other dots at a distance
        sheet.blocks((at[0] - reach, at[1]), (at[0] + reach, at[1]), weight)
        sheet.blocks((at[0], at[1] - reach), (at[0], at[1] + reach), weight)
    sheet.raw("dots", _group(drawing, cluster, shape))


def _group(drawing: Drawing, cluster: Cluster, shape: str) -> str:
    """A dot with what it tells: how many, what, where; for the teacher also who."""
    place = place_in_words(drawing.solved, cluster)
    told = cluster.label or ("right" if cluster.good else "unexplained")
    words = f"{cluster.count} × {place}: {told}"
    data = f' data-count="{cluster.count}" data-verdict="{escaped(cluster.verdict)}" data-mistake="{escaped(cluster.mistake)}"'
    if not drawing.who:
        return f"<g{data}><title>{escaped(words)}</title>{shape}</g>"
    names = [one_line(name) for name in cluster.students[:NAMED]]
    if len(cluster.students) > NAMED:
        names.append(f"and {len(cluster.students) - NAMED} more")
    listed = listed_names(names)
    data += f' data-students="{escaped(" ".join(one_line(i).replace(" ", "_") for i in cluster.ids))}"'
    whole = f"{words}. {listed}"
    lines = wrapped(whole, NOTE_SIZE, WIDTH - 24.0, 3)
    hidden = f'<rect class="sheet" x="0" y="@0@" width="{WIDTH:g}" height="{WHO_ROOM - 2:g}"/>' + "".join(
        f'<text class="t-ink" x="12" y="@{k + 1}@" font-size="{NOTE_SIZE}">{escaped(text)}</text>'
        for k, text in enumerate(lines)
    )
    return (
        f'<g class="vd-dot" tabindex="0" role="img" aria-label="{escaped(whole)}"{data}><title>{escaped(whole)}</title>'
        f'{shape}<g class="vd-who" aria-hidden="true">{hidden}</g></g>'
    )


def place_in_words(solved: Solved, cluster: Cluster) -> str:
    if cluster.kind == "number":
        shown = said(solved, cluster.part, cluster.value)
        return shown if cluster.part == "value" else f"{cluster.part} = {shown}"
    if cluster.kind == "direction":
        return said(solved, "direction", cluster.direction)
    if cluster.kind == "magnitude":
        return said(solved, "magnitude", cluster.magnitude)
    keys = {key.part: key for key in solved.solution.parts}
    if "magnitude" in keys:
        length = round(math.hypot(cluster.x, cluster.y), 4)
        angle = round(math.degrees(math.atan2(cluster.y, cluster.x)) % 360.0, 4)
        return f"{said(solved, 'magnitude', length)}, {said(solved, 'direction', angle)}"
    pieces = [(p, v) for p, v in (("x", cluster.x), ("y", cluster.y)) if math.isfinite(v)]
    return ", ".join(f"{called(solved, part)} {said(solved, part, value)}" for part, value in pieces)
