"""The plane under the vectors: squared paper with a graduated border as on a sea chart, axes or compass lines, and the rose."""

from __future__ import annotations

from itertools import pairwise

from grader.methods.problem import Problem
from grader.notation.given import GivenHeading, GivenVectors
from grader.notation.readings import Direction
from grader.reports.drawing.geometry import Box, Point, nice_step, polar, ticks
from grader.reports.drawing.labels import text_width
from grader.reports.drawing.sheet import SCALE_SIZE, Sheet, number

_BORDER = 5.0
_LETTER = 13.5


def by_compass(problem: Problem) -> bool:
    """Whether the problem speaks of north and east, so that its drawing gets a compass rose rather than x and y."""
    if problem.direction_as in ("quadrant bearing", "true bearing"):
        return True
    if problem.direction_as == "standard position":
        return False
    given = problem.given
    directions: list[Direction | None] = []
    if isinstance(given, GivenVectors):
        directions = [vector.direction for vector in given.vectors]
    elif isinstance(given, GivenHeading):
        return True
    forms = {d.form for d in directions if d is not None}
    return bool(forms & {"quadrant bearing", "true bearing", "compass point"}) or any(
        d is not None and d.letters is not None for d in directions
    )


def squared_paper(sheet: Sheet, unit: str = "") -> None:
    """The grid, and the border whose black and white pieces are as long as one square, numbered below and at the left."""
    frame, area = sheet.frame, sheet.frame.area
    low, high = frame.back((area.left, area.bottom)), frame.back((area.right, area.top))
    step = nice_step(max(high[0] - low[0], high[1] - low[1]), 9)
    xs, ys = ticks(low[0], high[0], step), ticks(low[1], high[1], step)
    grid = [f"M{number(frame.at((x, 0))[0])} {number(area.top)}V{number(area.bottom)}" for x in xs]
    grid += [f"M{number(area.left)} {number(frame.at((0, y))[1])}H{number(area.right)}" for y in ys]
    sheet.raw("grid", f'<path class="grid" d="{"".join(grid)}"/>')
    _border(sheet, [frame.at((x, 0))[0] for x in xs], [frame.at((0, y))[1] for y in ys], (xs, ys), step)
    decimals = max(0, -int(f"{step:e}".partition("e")[2]))
    last = -1e9
    for x in xs:
        where = frame.at((x, 0))[0]
        said = _tick(x, decimals)
        half = len(said) * 3.8
        if where - half > last + 8 and area.left - 8 <= where - half and where + half <= sheet.width - 2:
            sheet.fixed(said, (where, area.bottom + 15))
            last = where + half
    last = 1e9
    for y in ys:
        where = frame.at((0, y))[1]
        if where < last - 14 and area.top + 4 <= where <= area.bottom - 3:
            sheet.fixed(_tick(y, decimals), (area.left - 9, where), end=True)
            last = where
    if unit:
        # A bare N in the corner would read as north; a unit too long for the margin with the word cannot be misread.
        said = f"in {unit}"
        place = (area.left - 9, area.bottom + 15)
        sheet.fixed(said if text_width(said, SCALE_SIZE) <= place[0] else unit, place, end=True)
    sheet.bottom = area.bottom + 24


def _tick(value: float, decimals: int) -> str:
    return f"{value:.{decimals}f}".replace("-", "−")


def _border(
    sheet: Sheet, xs: list[float], ys: list[float], values: tuple[tuple[float, ...], tuple[float, ...]], step: float
) -> None:
    area = sheet.frame.area
    on: list[str] = []
    for places, tick_values, low, high, across in (
        (xs, values[0], area.left, area.right, True),
        (ys, values[1], area.bottom, area.top, False),
    ):
        edges = [low, *places, high]
        first = round(tick_values[0] / step) if tick_values else 0
        for k, (a, b) in enumerate(pairwise(edges)):
            if (first + k) % 2 or abs(b - a) < 0.3:
                continue
            a_, b_ = sorted((a, b))
            if across:
                on.append(f"M{number(a_)} {number(area.bottom)}h{number(b_ - a_)}v{_BORDER:g}h{number(a_ - b_)}Z")
            else:
                on.append(f"M{number(area.left)} {number(a_)}v{number(b_ - a_)}h-{_BORDER:g}v{number(a_ - b_)}Z")
    for box in (area.grown(_BORDER), area):
        sheet.raw("frame", _outline(box))
    sheet.raw("frame", f'<path class="scale-on" d="{"".join(on)}"/>')


def _outline(box: Box) -> str:
    return (
        f'<rect class="tick" x="{number(box.left)}" y="{number(box.top)}" '
        f'width="{number(box.width)}" height="{number(box.height)}"/>'
    )


def plain_border(sheet: Sheet) -> None:
    """A thin frame, for drawings that have no plane with numbers."""
    sheet.raw("frame", _outline(sheet.frame.area))


def axes(sheet: Sheet, base: Point, letters: tuple[str, str, str, str]) -> None:
    """Two lines through a point, with a letter at each end that has one: right, top, left, bottom."""
    area, (x, y) = sheet.frame.area, sheet.frame.at(base)
    inner = area.grown(-3.0)
    ends = ((inner.right, y), (x, inner.top), (inner.left, y), (x, inner.bottom))
    sheet.screen_line("frame", ends[2], ends[0], "axis", 0.35)
    sheet.screen_line("frame", ends[3], ends[1], "axis", 0.35)
    for (ex, ey), (dx, dy), letter in zip(ends, ((1, 0), (0, -1), (-1, 0), (0, 1)), letters):
        if not letter:
            continue
        if letter in ("x", "y", "N") or len(letter) > 1:
            back = (ex - 9 * dx, ey - 9 * dy)
            side = (3.6 * dy, 3.6 * dx)
            sheet.raw(
                "frame",
                f'<path class="axis-head" d="M{number(ex)} {number(ey)}L{number(back[0] + side[0])} {number(back[1] + side[1])}'
                f'L{number(back[0] - side[0])} {number(back[1] - side[1])}Z"/>',
            )
        half = max(8.0, len(letter) * 4.4)
        if dx:
            middle = (ex - dx * (half + 2), ey - 12 if ey - 24 > area.top else ey + 13)
        else:
            middle = (ex + half + 5 if ex + 2 * half + 8 < area.right else ex - half - 5, ey - 11 * dy)
        sheet.fixed(letter, middle, "t-muted", _LETTER)


STANDARD = ("x", "y", "", "")
COMPASS = ("E", "N", "W", "S")


def rose(sheet: Sheet, base: Point, radius: float) -> None:
    """A ring of degrees around a point: a tick every 10°, a longer one every 30°, as for laying off a bearing."""
    x, y = sheet.frame.at(base)
    marks = [f"M{number(x + radius)} {number(y)}A{number(radius)} {number(radius)} 0 1 0 {number(x - radius)} {number(y)}"
             f"A{number(radius)} {number(radius)} 0 1 0 {number(x + radius)} {number(y)}"]  # fmt: skip
    for turn in range(0, 360, 10):
        a, b = polar(radius, turn), polar(radius + (6.0 if turn % 30 == 0 else 3.0), turn)
        marks.append(f"M{number(x + a[0])} {number(y - a[1])}L{number(x + b[0])} {number(y - b[1])}")
    sheet.raw("frame", f'<path class="rose" d="{"".join(marks)}"/>')
