"""The picture of one problem: what is given, the right answer where it may be shown, and a student's own."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from grader.methods.solve import Solved
from grader.methods.vectors import sub
from grader.notation.given import GivenHeading, GivenRamp, GivenTriangle, GivenVector, GivenVectors
from grader.notation.write import write_number
from grader.reports.drawing import courses, numbers, ramps, triangles
from grader.reports.drawing.answers import (
    Answer,
    arc_as_asked,
    arc_as_given,
    as_answer,
    form_of,
    given_in_words,
    key_tip,
    pair_in_words,
    said,
    said_answer,
    tip_of,
    tip_of_given,
)
from grader.reports.drawing.geometry import Paper, Point, direction_of, fit, plus, polar, times
from grader.reports.drawing.plane import COMPASS, STANDARD, axes, by_compass, rose, squared_paper
from grader.reports.drawing.sheet import Picture, Sheet
from grader.reports.drawing.theme import Theme
from grader.reports.drawing.words import sentence, title_of
from grader.reports.drawing.yours import draw_yours, points_of_yours

NAMES = {"resultant": "R", "equilibrant": "E", "difference": "D"}
_FIRST_ARC = 30.0


def problem_picture(
    solved: Solved,
    *,
    student: Point | Answer | None = None,
    show_right: bool = False,
    method: str = "",
    theme: Theme = "auto",
) -> Picture:
    """The picture of a problem, with a student's answer in it and, where ``show_right``, the right one.

    ``student`` is the tip (x, y) of the student's vector in the unit of the answer, or the numbers written part by part
    (``{"magnitude": 52.1, "direction": 339.0}``; see ``answer_from``), which also draws half an answer, a triangle or a number.
    ``method`` is ``parallelogram`` or ``components``; blank takes the problem's own, or the one that suits its vectors.
    Without ``show_right`` nothing in the picture or its text gives the right answer away.
    """
    answer = as_answer(solved, student)
    given, find = solved.problem.given, solved.problem.find
    if isinstance(given, GivenTriangle):
        return triangles.triangle_picture(solved, given, answer, show_right, theme)
    if isinstance(given, GivenHeading):
        return courses.course_picture(solved, given, answer, show_right, theme)
    if isinstance(given, GivenRamp):
        return ramps.ramp_picture(solved, given, answer, show_right, theme)
    if not isinstance(given, GivenVectors):
        return numbers.number_picture(solved, answer, show_right, theme)
    if find in ("angle between", "dot product"):
        return _between(solved, given.vectors, answer, show_right, theme)
    if len(given.vectors) == 1:
        return _one_vector(solved, given.vectors[0], answer, show_right, theme)
    return _sum(solved, given.vectors, answer, show_right, _method_for(solved, method), theme)


def _method_for(solved: Solved, method: str) -> str:
    chosen = method or solved.problem.method
    count = len(solved.problem.given.vectors) if isinstance(solved.problem.given, GivenVectors) else 0
    if count > 2 or chosen == "components":
        return "components"
    return "parallelogram" if chosen == "parallelogram" or count == 2 else "components"


@dataclass(frozen=True)
class _Ground:
    """What every picture of vectors stands on."""

    solved: Solved
    sheet: Sheet
    base: Point
    spacing: float  # between the arcs at one point
    form: str


def _ground(solved: Solved, points: Sequence[Point], base: Point, arcs: int) -> _Ground:
    problem = solved.problem
    compass = by_compass(problem)
    spacing = 24.0 if arcs <= 3 else 18.0
    rim = _FIRST_ARC + spacing * (max(arcs, 1) - 1) + 8.0
    sheet = Sheet(fit([base, *points], Paper(), (base, rim)), Paper().width)
    squared_paper(sheet, solved.unit.symbol if solved.unit else "")
    at_base = base == (0.0, 0.0)
    far = not at_base and not sheet.frame.area.grown(-30.0).holds(sheet.frame.at((0.0, 0.0)))
    axes(sheet, base if far else (0.0, 0.0), ("", "", "", "") if far else COMPASS if compass else STANDARD)
    if compass:
        rose(sheet, base, rim)
    return _Ground(solved, sheet, base, spacing, form_of(problem))


def _sum(
    solved: Solved, vectors: Sequence[GivenVector], answer: Answer, show_right: bool, method: str, theme: Theme
) -> Picture:
    """Resultant, equilibrant or difference: by the parallelogram, tip to tail, or (the answer hidden) all from the origin."""
    find = solved.problem.find
    given = [tip_of_given(v, solved.unit) for v in vectors]
    signs = [1.0] + [-1.0 if find == "difference" else 1.0] * (len(given) - 1)
    steps = [times(sign, tip) for sign, tip in zip(signs, given)]
    ends = [steps[0]]
    for step in steps[1:]:
        ends.append(plus(ends[-1], step))
    total, right = ends[-1], key_tip(solved)
    assert right is not None
    chained = show_right and method == "components"
    points = [*given]
    if show_right:
        points += [*ends, right]
    reach = max(math.hypot(*p) for p in points)
    points += points_of_yours(answer, reach, direction_of(*given[0]))
    from_origin = 1 if chained and find != "difference" else len(given)
    ground = _ground(solved, points, (0.0, 0.0), from_origin + show_right)
    sheet = ground.sheet
    for index, vector in enumerate(vectors):
        turned = signs[index] < 0
        tail = ends[index - 1] if chained and index and not turned else (0.0, 0.0)
        _given(
            ground,
            vector,
            index + 1,
            tail,
            given[index],
            many=len(vectors) > 1,
            arc_place=index if tail == (0.0, 0.0) else 0,
        )
        if turned and show_right:
            start = ends[index - 1]
            a, b, _ = sheet.arrow(start, plus(start, steps[index]), "moved", name=f"turned {index + 1}")
            sheet.label_segment((f"−v{sub(index + 1)}",), a, b, "given")
    if show_right and method == "parallelogram" and find != "difference":
        sheet.line(steps[1], total, "moved", name="side 1")
        sheet.line(steps[0], total, "moved", name="side 2")
    if chained and len(vectors) == 2:
        for index, step in enumerate(steps):
            _legs(ground, ends[index - 1] if index else (0.0, 0.0), step, str(index + 1), optional=True)
    if show_right:
        if find == "equilibrant":
            a, b, _ = sheet.arrow((0.0, 0.0), total, "faint", name="resultant")
            sheet.label_segment(("R",), a, b, "given")
        _right(ground, right, NAMES[find], place=from_origin)
    draw_yours(sheet, solved, answer, (0.0, 0.0), reach)
    text = _text(solved, vectors, answer, show_right, method, chained)
    return sheet.picture(title_of(solved), text, theme)


def _given(
    ground: _Ground, vector: GivenVector, index: int, tail: Point, step: Point, *, many: bool, arc_place: int
) -> None:
    """A given vector with its name and size, and its angle marked as it was given."""
    sheet = ground.sheet
    a, b, _ = sheet.arrow(tail, plus(tail, step), "given", name=f"given {index}")
    name = f"v{sub(index)}" if many else "v"
    words = f"{name} = {given_in_words(vector)}"
    sheet.label_segment((words,), a, b, "given")
    marked = arc_as_given(vector.direction) if vector.direction is not None else None
    if marked is None:
        return
    start, sweep, shown = marked
    radius = _FIRST_ARC + ground.spacing * arc_place
    radius = max(14.0, min(radius, 0.75 * math.dist(a, b)))
    if tail != ground.base:
        _stub(sheet, tail, start, radius)
    sheet.arc(tail, start, sweep, radius, "faint", text=shown, kind="given", name=f"direction {index}")


def _stub(sheet: Sheet, tail: Point, start: float, radius: float) -> None:
    """A short line from which an angle is counted, where no axis passes."""
    along = times((radius + 14.0) / sheet.frame.scale, polar(1.0, start))
    sheet.line(tail, plus(tail, along), "tick", weight=0.4)


def _right(ground: _Ground, tip: Point, name: str, place: int) -> None:
    """The right answer from the base, with its angle as asked, or with its components."""
    sheet, solved = ground.sheet, ground.solved
    shown = {key.part: key.shown for key in solved.solution.parts}
    a, b, _ = sheet.arrow(ground.base, plus(ground.base, tip), "right", name="right")
    if "magnitude" not in shown:
        sheet.label_tip((f"{name} = {pair_in_words(solved)}",), a, b, "right")
        corner = plus(ground.base, (tip[0], 0.0))
        sheet.line(ground.base, corner, "right-part", name="leg x")
        sheet.line(corner, plus(ground.base, tip), "right-part", name="leg y")
        return
    sheet.label_tip((f"{name} = {shown['magnitude']}",), a, b, "right")
    marked = arc_as_asked(solved.solution.part("direction").value, ground.form)
    if marked is None:
        return
    radius = min(_FIRST_ARC + ground.spacing * place, 0.75 * math.dist(a, b))
    sheet.arc(
        ground.base,
        *marked,
        max(radius, 16.0),
        "right-thin",
        text=shown["direction"],
        kind="right",
        name="direction right",
    )


def _legs(
    ground: _Ground,
    tail: Point,
    step: Point,
    index: str,
    *,
    optional: bool,
    style: str = "part",
    kind: str = "muted",
    values: bool = True,
) -> None:
    """The two components of a vector as the sides of a right angle, first along x, then along y."""
    sheet, corner, tip = ground.sheet, plus(tail, (step[0], 0.0)), plus(tail, step)
    frame = sheet.frame
    name = sub(int(index)) if index else ""
    place = max((key.place for key in ground.solved.solution.parts if not key.circular), default=0.1)
    for axis, a, b, value in (("x", tail, corner, step[0]), ("y", corner, tip, step[1])):
        if abs(value) * frame.scale < 1.0:
            continue
        sheet.line(a, b, style, name=f"leg {axis}{index}")
        shown = write_number(value, place) if values else "?"
        sheet.label_segment(
            (f"{axis}{name} = {shown}",), frame.at(a), frame.at(b), kind, size=12.5, optional=optional, rank=3.0
        )  # fmt: skip
    if min(abs(step[0]), abs(step[1])) * frame.scale > 16.0:
        away = 180.0 if step[0] > 0 else 0.0
        toward = 90.0 if step[1] > 0 else 270.0
        turn = (toward - away + 180.0) % 360.0 - 180.0
        sheet.arc(corner, away, turn, 13.0, "tick", name="")


def _one_vector(solved: Solved, vector: GivenVector, answer: Answer, show_right: bool, theme: Theme) -> Picture:
    """A single vector: its components, its length and direction, or its unit vector."""
    find = solved.problem.find
    step = tip_of_given(vector, solved.unit if find != "unit vector" else None)
    base = vector.tail if vector.tail is not None and find == "magnitude and direction" else (0.0, 0.0)
    reach = math.hypot(*step) if find != "unit vector" else min(math.hypot(*step), 2.4)
    points = [plus(base, times(reach / math.hypot(*step), step))]
    if find == "unit vector":
        points += [(-1.05, -1.05), (1.05, 1.05)]
    points += [plus(base, p) for p in points_of_yours(answer, reach, direction_of(*step))]
    if math.hypot(*base) < 3.0 * reach:
        points.append((0.0, 0.0))
    ground = _ground(solved, points, base, 2)
    sheet = ground.sheet
    if find == "unit vector":
        _unit_vector(ground, vector, step, show_right)
    else:
        _single(ground, vector, step, show_right)
    draw_yours(sheet, solved, answer, base, reach)
    text = _text(solved, (vector,), answer, show_right, "components", False)
    return sheet.picture(title_of(solved), text, theme)


def _single(ground: _Ground, vector: GivenVector, step: Point, show_right: bool) -> None:
    sheet, base = ground.sheet, ground.base
    shown = {key.part: key.shown for key in ground.solved.solution.parts}
    if ground.solved.problem.find == "components":
        _given(ground, vector, 1, base, step, many=False, arc_place=0)
        corner = plus(base, (step[0], 0.0))
        for axis, a, b, length in (("x", base, corner, step[0]), ("y", corner, plus(base, step), step[1])):
            if abs(length) * sheet.frame.scale < 1.0:
                continue
            style, kind = ("right-part", "right") if show_right else ("part", "muted")
            sheet.line(a, b, style, name=f"leg {axis}")
            words = f"{axis} = {shown[axis]}" if show_right else f"{axis} = ?"
            sheet.label_segment((words,), sheet.frame.at(a), sheet.frame.at(b), kind, rank=0.5)
        return
    tip = plus(base, step)
    a, b, _ = sheet.arrow(base, tip, "right" if show_right else "given", name="right" if show_right else "given 1")
    _legs(ground, base, step, "", optional=False, values=show_right or vector.tail is None)
    if vector.tail is not None and vector.head is not None:
        for point, at in ((vector.tail, base), (vector.head, tip)):
            sheet.dot(at)
            x, y = (write_number(v, None) for v in point)
            sheet.label_point((f"({x}, {y})",), sheet.frame.at(at), "given", radius=5.0)
    if show_right:
        sheet.label_segment((f"v = {shown['magnitude']}",), a, b, "right", rank=0.0)
        marked = arc_as_asked(ground.solved.solution.part("direction").value, ground.form)
        if marked is not None:
            radius = max(16.0, min(_FIRST_ARC, 0.75 * math.dist(a, b)))
            if base != (0.0, 0.0):
                _stub(sheet, base, marked[0], radius)
            sheet.arc(
                base, *marked, radius, "right-thin", text=shown["direction"], kind="right", name="direction right"
            )
    else:
        sheet.label_segment((f"v = {given_in_words(vector)}",) if vector.tail is None else ("v",), a, b, "given")


def _unit_vector(ground: _Ground, vector: GivenVector, step: Point, show_right: bool) -> None:
    sheet = ground.sheet
    frame = sheet.frame
    x, y = frame.at((0.0, 0.0))
    sheet.raw("parts", f'<circle class="tick" cx="{x:.1f}" cy="{y:.1f}" r="{frame.scale:.1f}"/>')
    a, b, cut = sheet.arrow((0.0, 0.0), step, "given", name="given 1")
    words = [f"v = {given_in_words(vector)}"]
    if cut:
        words.append("(goes on)")
    sheet.label_segment(words, a, b, "given")
    turn = polar(1.0, 225.0 if direction_of(*step) < 180.0 else 135.0)
    rim = frame.at(turn)
    sheet.label_point(("length 1",), rim, "muted", size=12.5, optional=True, rank=4.0)
    if show_right:
        size = math.hypot(*step)
        ra, rb, _ = sheet.arrow((0.0, 0.0), times(1.0 / size, step), "right", name="right")
        sheet.label_segment((f"u = {pair_in_words(ground.solved)}",), ra, rb, "right", rank=0.0)


def _between(solved: Solved, vectors: Sequence[GivenVector], answer: Answer, show_right: bool, theme: Theme) -> Picture:
    """The angle between two vectors, or their dot product with the shadow of one on the other."""
    given = [tip_of_given(v, None) for v in vectors]
    reach = max(math.hypot(*p) for p in given)
    angle = solved.problem.find == "angle between"
    first, second = (direction_of(*p) for p in given)
    turn = (second - first + 180.0) % 360.0 - 180.0
    ground = _ground(solved, given, (0.0, 0.0), 2)
    sheet = ground.sheet
    for index, (vector, step) in enumerate(zip(vectors, given), start=1):
        a, b, _ = sheet.arrow((0.0, 0.0), step, "given", name=f"given {index}")
        bearing = ""
        if vector.direction is not None and (marked := arc_as_given(vector.direction)) is not None:
            bearing = f" at {marked[2]}" if not vector.direction.letters else f", {_bearing(vector)}"
        sheet.label_segment((f"v{sub(index)} = {given_in_words(vector)}{bearing}",), a, b, "given")
    key = solved.solution.part("value")
    if show_right or angle:
        style, kind = ("right-thin", "right") if show_right else ("tick", "muted")
        words = ("φ = " + key.shown if angle else "φ") if show_right else "φ = ?"
        sheet.arc((0.0, 0.0), first, turn, 40.0, style, text=words, kind=kind, name="between")
    if not angle:
        length = math.hypot(*given[0])
        foot = times((given[0][0] * given[1][0] + given[0][1] * given[1][1]) / length**2, given[0])
        sheet.line(given[1], foot, "part", name="shadow")
        sheet.line((0.0, 0.0), foot, "part", name="shadow")
        if show_right:
            sheet.note(f"v₁·v₂ = {key.shown}: the length of v₁ times the shadow of v₂ on it.")
    if "value" in answer:
        value = answer["value"]
        if angle and 0.0 <= value <= 360.0:
            ray = polar(reach * 0.8, first + math.copysign(value, turn))
            ends = sheet.frame.at((0.0, 0.0)), sheet.frame.at(ray)
            sheet.line((0.0, 0.0), ray, "yours", name="yours", layer="arrows", weight=1.0)
            sheet.arc((0.0, 0.0), first, math.copysign(value, turn), 58.0, "yours-thin", name="yours angle")
            sheet.label_tip(("yours", said(solved, "value", value)), *ends, "yours")
        else:
            sheet.note(f"yours: {said(solved, 'value', value)}")
    text = _text(solved, vectors, answer, show_right, "", False)
    return sheet.picture(title_of(solved), text, theme)


def _bearing(vector: GivenVector) -> str:
    direction = vector.direction
    assert direction is not None
    assert direction.letters is not None
    shown = write_number(direction.written, direction.place)
    start, toward = direction.letters
    return f"{start} {shown}° {toward}" if direction.form == "quadrant bearing" else f"{shown}° {toward} of {start}"


def _text(
    solved: Solved, vectors: Sequence[GivenVector], answer: Answer, show_right: bool, method: str, chained: bool
) -> str:
    """The picture in words."""
    problem = solved.problem
    names = [f"v{sub(i)}" for i in range(1, len(vectors) + 1)] if len(vectors) > 1 else ["v"]
    where = "on a plane with north up and a ring of degrees" if by_compass(problem) else "on a plane with x and y axes"
    said_given = ", ".join(f"{name} = {vector.text}" for name, vector in zip(names, vectors))
    how = ""
    if len(vectors) > 1 and problem.find in NAMES:
        how = "tip to tail" if chained else "from the origin"
        if show_right and problem.find == "difference":
            how += ", with the vectors to be subtracted turned round at the tip of the first"
        elif show_right and not chained:
            how += ", with the dashed sides of the parallelogram"
    pieces = [f"{where}: {said_given}{', ' + how if how else ''}"]
    shown = ", ".join(f"{key.part} {key.shown}" for key in solved.solution.parts)
    if show_right:
        pieces.append(f"The right answer: {shown}")
    if tip_of(answer) is not None or answer:
        pieces.append(f"Yours, dashed: {said_answer(solved, answer)}")
    return sentence(pieces)
