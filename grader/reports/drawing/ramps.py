"""A weight on a ramp, with its part along the ramp and its part into it."""

from __future__ import annotations

import math

from grader.methods.directions import number
from grader.methods.solve import Solved
from grader.methods.vectors import in_unit
from grader.notation.given import GivenRamp
from grader.reports.drawing.answers import Answer, given_quantity, said, said_answer
from grader.reports.drawing.geometry import Paper, Point, fit, plus, polar, times
from grader.reports.drawing.plane import plain_border
from grader.reports.drawing.sheet import Picture, Sheet
from grader.reports.drawing.sheet import number as coordinate
from grader.reports.drawing.theme import Theme
from grader.reports.drawing.words import sentence, title_of

_LONG = 10.0
_WEIGHT = 4.6
"""How long the ramp and the weight's arrow are drawn."""


def ramp_picture(solved: Solved, given: GivenRamp, answer: Answer, show_right: bool, theme: Theme) -> Picture:
    """The ramp at its true angle, the weight downward, and its two parts where shown; a student's two parts as one arrow."""
    incline = given.incline
    scale = _WEIGHT / in_unit(given.weight, solved.unit)
    foot, top = (0.0, 0.0), polar(_LONG, incline)
    heel = (top[0], 0.0)
    up, out = polar(1.0, incline), polar(1.0, incline + 90.0)
    center = plus(times(0.55 * _LONG, up), times(0.75, out))
    down, into = times(-1.0, up), times(-1.0, out)

    def arm(x: float, y: float) -> Point:
        return plus(times(x * scale, down), times(y * scale, into))

    weight = plus(center, (0.0, -_WEIGHT))
    corners = [foot, top, heel, center, weight]
    key = {part.part: part for part in solved.solution.parts}
    theirs = arm(answer["x"], answer["y"]) if "x" in answer and "y" in answer else None
    if theirs is not None:
        size = math.hypot(*theirs)
        corners.append(plus(center, times(min(1.0, 2.0 * _WEIGHT / size) if size else 1.0, theirs)))
    box = [
        plus(center, plus(times(i * 1.0, up), times(j * 0.75, out))) for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ]
    sheet = Sheet(fit([*corners, *box], Paper(left=16.0, bottom=14.0)), Paper().width)
    plain_border(sheet)
    for a, b in ((foot, heel), (heel, top), (foot, top)):
        sheet.line(a, b, "ground", weight=1.2)
    path = "L".join(f"{coordinate(x)} {coordinate(y)}" for x, y in map(sheet.frame.at, box))
    sheet.raw("parts", f'<path class="body" d="M{path}Z"/>')
    sheet.arc(foot, 0.0, incline, 46.0, "faint", text=f"{number(incline)}°", kind="given", name="direction incline")
    a, b, _ = sheet.arrow(center, weight, "given", name="given 1")
    sheet.label_segment((f"W = {given_quantity(given.weight)}",), a, b, "given")
    if show_right:
        along, press = plus(center, arm(key["x"].value, 0.0)), plus(center, arm(0.0, key["y"].value))
        for name, tip, words in (("x", along, "along"), ("y", press, "into")):
            if math.dist(center, tip) > 1e-9:
                a, b, _ = sheet.arrow(center, tip, "right", name=f"right {name}")
                sheet.label_tip((f"{words}: {key[name].shown}",), a, b, "right")
                sheet.line(tip, weight, "right-part")
        if 1.0 < incline < 89.0:
            sheet.arc(
                center,
                270.0,
                incline,
                40.0,
                "tick",
                text=f"{number(incline)}°",
                kind="muted",
                name="direction at the weight",
                optional=True,
            )
    if theirs is not None:
        a, b, cut = sheet.arrow(center, plus(center, theirs), "yours", name="yours")
        both = [f"{way} {said(solved, part, answer[part])}" for way, part in (("along", "x"), ("into", "y"))]
        sheet.label_tip(["yours:", *both, *(["(goes on)"] if cut else [])], a, b, "yours")
    elif answer:
        sheet.note(f"yours: {said_answer(solved, answer)}")
    pieces = [f"A weight of {given_quantity(given.weight)} on a ramp of {number(incline)}°"]
    if show_right:
        pieces.append(f"The right answer: along the ramp {key['x'].shown}, into it {key['y'].shown}")
    if answer:
        pieces.append(f"Yours, dashed: {said_answer(solved, answer)}")
    return sheet.picture(title_of(solved), sentence(pieces), theme)
