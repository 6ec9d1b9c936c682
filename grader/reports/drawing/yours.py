"""A student's own vector on a drawing: the whole of it, or the half that could be read."""

from __future__ import annotations

import math
from itertools import pairwise

from grader.methods.solve import Solved
from grader.reports.drawing.answers import Answer, said, said_answer, tip_of
from grader.reports.drawing.geometry import Point, clipped, plus, polar, times
from grader.reports.drawing.sheet import Sheet

FARTHEST = 2.2
"""How many times longer than everything else an answer may be and still set the scale of the drawing."""


def points_of_yours(answer: Answer, reach: float, toward: float) -> list[Point]:
    """What the frame should hold for the answer's sake; ``reach`` is how far the rest of the drawing goes from the base.

    ``toward`` is a direction in which a circle of the length written should be seen.
    """
    tip = tip_of(answer)
    if tip is not None:
        size = math.hypot(*tip)
        return [tip] if size <= FARTHEST * reach else [times(1.2 * reach / size, tip)]
    if "direction" in answer:
        return [polar(0.9 * reach, answer["direction"])]
    if abs(answer.get("magnitude", math.inf)) <= FARTHEST * reach:
        return [polar(answer["magnitude"], toward)]
    return []


def draw_yours(sheet: Sheet, solved: Solved, answer: Answer, base: Point, reach: float) -> None:
    """The student's vector from the base, dashed and with a head of its own; a ray or a circle where only half was read."""
    tip = tip_of(answer)
    words = said_answer(solved, answer)
    if tip is not None:
        a, b, cut = sheet.arrow(base, plus(base, tip), "yours", name="yours")
        lines = ["yours", words] if len(words) < 26 else ["yours", *words.split(", ", 1)]
        if math.hypot(*tip) * sheet.frame.scale < 4.0:
            sheet.dot(base, "yours-head", 4.5)
        sheet.label_tip([*lines, "(goes on)"] if cut else lines, a, b, "yours")
    elif "direction" in answer:
        ray = plus(base, polar(0.9 * reach, answer["direction"]))
        ends = clipped(sheet.frame.at(base), sheet.frame.at(ray), sheet.frame.area.grown(-4.0))
        if ends is not None:
            sheet.screen_line("arrows", *ends, "yours", 1.2, ' data-of="yours ray"')
            sheet.label_tip(["yours", said(solved, "direction", answer["direction"])], *ends, "yours")
        sheet.note("Your length could not be read or was not written: the dashed line shows your direction alone.")
    elif "magnitude" in answer:
        _circle(sheet, solved, answer["magnitude"], base)
    elif "x" in answer or "y" in answer:
        sheet.note(f"yours: {words}; the other component could not be read or was not written.")


def _circle(sheet: Sheet, solved: Solved, size: float, base: Point) -> None:
    shown = said(solved, "magnitude", size)
    radius = abs(size) * sheet.frame.scale
    box, center = sheet.frame.area.grown(-3.0), sheet.frame.at(base)
    pieces: list[list[Point]] = [[]]
    for turn in range(0, 363, 3):
        x, y = polar(radius, turn)
        p = (center[0] + x, center[1] - y)
        if box.holds(p):
            pieces[-1].append(p)
        elif pieces[-1]:
            pieces.append([])
    pieces = [piece for piece in pieces if len(piece) > 1]
    if not pieces:
        sheet.note(f"yours: length {shown}, too long or too short for this drawing; no direction could be read.")
        return
    for piece in pieces:
        path = "L".join(f"{x:.1f} {y:.1f}" for x, y in piece)
        sheet.raw("arcs", f'<path class="yours-thin" data-of="yours circle" d="M{path}"/>')
        for p, q in pairwise(piece):
            sheet.blocks(p, q, 0.8)
    longest = max(pieces, key=len)
    sheet.label_point(["yours", shown], longest[len(longest) // 2], "yours", radius=5.0, rank=0.0)
    sheet.note("Your direction could not be read or was not written: your vector ends somewhere on the dashed circle.")
