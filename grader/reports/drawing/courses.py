"""The wind triangle: own velocity and flow tip to tail, and the track that they must lie along."""

from __future__ import annotations

import math

from grader.methods.solve import Solved
from grader.methods.vectors import in_unit
from grader.notation.given import GivenHeading
from grader.reports.drawing.answers import (
    Answer,
    arc_as_asked,
    arc_as_given,
    form_of,
    given_quantity,
    said,
    said_answer,
)
from grader.reports.drawing.geometry import Paper, Point, clipped, direction_of, fit, plus, polar
from grader.reports.drawing.plane import COMPASS, axes, rose, squared_paper
from grader.reports.drawing.sheet import Picture, Sheet
from grader.reports.drawing.theme import Theme
from grader.reports.drawing.words import sentence, title_of

ORIGIN = (0.0, 0.0)


def course_picture(solved: Solved, given: GivenHeading, answer: Answer, show_right: bool, theme: Theme) -> Picture:
    """The track, the flow, and, where shown, the heading that holds the track; a student's heading with where it leads."""
    unit = solved.unit
    speed = in_unit(given.speed, unit)
    angle = (given.flow_direction.angle + (180.0 if given.flow_from else 0.0)) % 360.0
    flow = polar(in_unit(given.flow, unit), angle)
    track = given.track.angle
    none = solved.solution.none
    right = {} if none else {key.part: key.value for key in solved.solution.parts}
    reach = max(speed, in_unit(given.flow, unit), right.get("magnitude", 0.0) if show_right else 0.0)
    points: list[Point] = [ORIGIN, flow, polar(reach, track)]
    own = polar(speed, right["direction"]) if right and show_right else None
    theirs = polar(speed, answer["direction"]) if "direction" in answer else None
    for tip in (own, theirs):
        if tip is not None:
            points += [tip, plus(tip, flow)]
    sheet = Sheet(fit(points, Paper(), (ORIGIN, 66.0)), Paper().width)
    squared_paper(sheet, unit.symbol if unit else "")
    axes(sheet, ORIGIN, COMPASS)
    rose(sheet, ORIGIN, 66.0)
    word = "wind" if given.medium == "air" else "current"
    named = f"{word} {given_quantity(given.flow)}"
    sheet.line(ORIGIN, polar(reach * 3.0, track), "track", weight=0.8, name="track")
    inside = clipped(
        sheet.frame.at(polar(1.02 * reach, track)), sheet.frame.at(polar(3.0 * reach, track)), sheet.frame.area
    )
    if inside is not None:
        sheet.label_segment(("track",), *inside, "muted", rank=2.0, optional=True)
    if (marked := arc_as_given(given.track)) is not None:
        sheet.arc(ORIGIN, marked[0], marked[1], 30.0, "faint", text=marked[2], kind="given", name="direction track")
    start = ORIGIN if own is None else own
    a, b, _ = sheet.arrow(start, plus(start, flow), "given", name="flow")
    sheet.label_segment((named,), a, b, "given")
    if own is not None:
        a, b, _ = sheet.arrow(ORIGIN, own, "right", name="right")
        sheet.label_segment((f"own {given_quantity(given.speed)}",), a, b, "right")
        a, b, _ = sheet.arrow(ORIGIN, plus(own, flow), "faint", name="ground")
        upper = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        sheet.label_segment((f"ground {solved.solution.part('magnitude').shown}",), upper, b, "right", rank=0.5)
        if (asked := arc_as_asked(right["direction"], form_of(solved.problem))) is not None:
            shown = f"heading {solved.solution.part('direction').shown}"
            sheet.arc(ORIGIN, *asked, 48.0, "right-thin", text=shown, kind="right", name="direction right", rank=0.8)
    elif show_right:
        _unreachable(sheet, flow, speed, track, given_quantity(given.speed))
        sheet.note(f"{none[:1].upper()}{none[1:]}.")
    else:
        sheet.note(f"Own speed {given_quantity(given.speed)}: which heading holds the track?")
    if theirs is not None:
        a, b, _ = sheet.arrow(ORIGIN, theirs, "yours", name="yours")
        sheet.label_tip(("your heading", said(solved, "direction", answer["direction"])), a, b, "yours")
        if own is None or abs(theirs[0] - own[0]) + abs(theirs[1] - own[1]) > 0.02 * speed:
            a, b, _ = sheet.arrow(theirs, plus(theirs, flow), "moved", name="flow from yours")
            sheet.label_segment((f"the {word} again",), a, b, "given", optional=True, rank=3.0)
            sheet.dot(plus(theirs, flow), "yours-head", 4.0)
            sheet.label_point(
                ("where it takes you",), sheet.frame.at(plus(theirs, flow)), "yours", radius=5.0, size=12.5, rank=1.5
            )
    if "magnitude" in answer:
        sheet.note(f"Your ground speed: {said(solved, 'magnitude', answer['magnitude'])}")
    return sheet.picture(title_of(solved), _text(solved, given, answer, show_right, named), theme)


def _unreachable(sheet: Sheet, flow: Point, speed: float, track: float, words: str) -> None:
    """All points that the craft can reach in one unit of time: a circle that misses the track."""
    radius = speed * sheet.frame.scale
    center, box = sheet.frame.at(flow), sheet.frame.area.grown(-2.0)
    path, last = [], False
    for turn in range(0, 361, 4):
        x, y = polar(radius, turn)
        p = (center[0] + x, center[1] - y)
        here = box.holds(p)
        if here:
            path.append(f"{'L' if last else 'M'}{p[0]:.1f} {p[1]:.1f}")
        last = here
    if path:
        sheet.raw("arcs", f'<path class="right-thin" data-of="reach" d="{"".join(path)}"/>')
    side = math.copysign(90.0, (track - direction_of(*flow) + 180.0) % 360.0 - 180.0)
    nearest = sheet.frame.at(plus(flow, polar(speed, track + side)))
    if box.holds(nearest):
        sheet.label_point((f"own {words} reaches to here",), nearest, "right", radius=4.0, size=12.5)


def _text(solved: Solved, given: GivenHeading, answer: Answer, show_right: bool, named: str) -> str:
    way = "from" if given.flow_from else "toward"
    flow = f"{named} {way} {_direction(given.flow_direction.angle)}"
    track, own = _direction(given.track.angle), given_quantity(given.speed)
    pieces = [f"On a plane with north up: the track toward {track}, {flow}, own speed {own}"]
    if show_right and solved.solution.none:
        pieces.append(f"The right answer: {solved.solution.none}")
    elif show_right:
        parts = {key.part: key.shown for key in solved.solution.parts}
        pieces.append(f"The right answer: heading {parts['direction']}, ground speed {parts['magnitude']}")
    if answer:
        pieces.append(f"Yours, dashed: {said_answer(solved, answer)}")
    return sentence(pieces)


def _direction(angle: float) -> str:
    from grader.notation.write import write_direction

    return write_direction(round(angle, 4), "quadrant bearing", None)
