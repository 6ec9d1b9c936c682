"""Triangles to scale, with both where two fit the data, and the arc that misses where none does."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from grader.methods.solve import Solved
from grader.methods.steps import run
from grader.methods.vectors import in_unit
from grader.notation.given import GivenTriangle
from grader.reports.drawing.answers import Answer, given_quantity, said, said_answer
from grader.reports.drawing.geometry import Paper, Point, direction_of, fit, polar
from grader.reports.drawing.plane import plain_border
from grader.reports.drawing.sheet import Picture, Sheet
from grader.reports.drawing.theme import Theme
from grader.reports.drawing.words import sentence, title_of

SIDES, ANGLES = ("a", "b", "c"), ("A", "B", "C")
SKETCH: Mapping[str, Point] = {"A": (0.0, 0.0), "B": (10.0, 0.0), "C": (3.7, 6.3)}
"""The triangle that stands for all where the right one may not be seen."""

Corners = Mapping[str, Point]


def triangle_picture(solved: Solved, given: GivenTriangle, answer: Answer, show_right: bool, theme: Theme) -> Picture:
    """The triangle to scale, known parts and found parts apart; a sketch where the right answer is not to be shown."""
    known = {part: in_unit(q, solved.unit) if part in SIDES else q.number.value for part, q in given.parts.items()}
    labels = {part: (f"{part} = {given_quantity(q)}", "given") for part, q in given.parts.items()}
    shown = {key.part: key.shown for key in solved.solution.parts}
    base = _swinging(known)
    if not show_right:
        corners = [SKETCH]
        for part in (*SIDES, *ANGLES):
            if part in answer:
                labels[part] = (f"{part} = {said(solved, part, answer[part])}", "yours")
            else:
                labels.setdefault(part, (f"{part} = ?", "muted"))
    elif solved.solution.none:
        corners = []
    else:
        corners = [_corners(_values(solved, index), base) for index in range(2 if solved.second else 1)]
        first = {key.part: key for key in solved.solution.parts}
        for part, key in first.items():
            labels[part] = (f"{part} = {key.shown.partition(' or ')[0]}", "right")
    theirs = _theirs(known, answer, base) if show_right else None
    construction = _construction(known, base) if show_right and (solved.solution.none or solved.second) else None
    points = [p for one in corners for p in one.values()] + list((theirs or {}).values())
    points += construction[0] if construction else []
    sheet = Sheet(fit(points, Paper(left=16.0, bottom=14.0, beside=70.0, above=48.0)), Paper().width)
    plain_border(sheet)
    if construction:
        _draw_construction(sheet, known, base, labels)
    for index, one in enumerate(corners):
        _draw(sheet, one, labels if index == 0 else {}, "ground" if index == 0 else "moved", prime=index > 0, base=base)
    same = theirs and corners and all(math.dist(theirs[c], corners[0][c]) < 0.01 * max(known.values()) for c in ANGLES)
    if theirs and not same:
        _outline(sheet, theirs, "yours", "yours")
        far = max(ANGLES, key=lambda c: math.dist(theirs[c], corners[0][c]) if corners else 0.0)
        a, b = (sheet.frame.at(theirs[c]) for c in ANGLES if c != base[0])
        sheet.label_segment(("yours",), a, b, "yours", rank=2.0)
        sheet.label_point((f"{far} (yours)",), sheet.frame.at(theirs[far]), "yours", size=12.5, rank=4.0, optional=True)
    _notes(sheet, solved, answer, show_right, theirs)
    pieces = ["A triangle with " + ", ".join(f"{part} = {given_quantity(q)}" for part, q in given.parts.items())]
    if not show_right:
        pieces.append("A sketch, not to scale")
    elif solved.solution.none:
        pieces.append(f"The right answer: {solved.solution.none}")
    else:
        pieces.append("The right answer: " + ", ".join(f"{part} = {text}" for part, text in shown.items()))
    if answer:
        pieces.append(f"Yours: {said_answer(solved, answer)}")
    return sheet.picture(title_of(solved), sentence(pieces), theme)


def _notes(sheet: Sheet, solved: Solved, answer: Answer, show_right: bool, theirs: Corners | None) -> None:
    if not show_right:
        sheet.note("A sketch, not to scale.")
        if answer:
            sheet.note(f"yours: {said_answer(solved, answer)}")
        return
    if solved.solution.none:
        sheet.note(f"{solved.solution.none[:1].upper()}{solved.solution.none[1:]}.")
    elif solved.second is not None:
        second = ", ".join(f"{key.part} = {key.shown.partition(' or ')[2]}" for key in solved.solution.parts)
        sheet.note(f"The second triangle, dotted: {second}.")
    if answer:
        closes = "" if theirs else "; these parts do not close to a triangle"
        sheet.note(f"yours: {said_answer(solved, answer)}{closes}")


def _values(solved: Solved, index: int) -> dict[str, float]:
    method = solved.methods[0] if index == 0 else solved.second
    assert method is not None
    quantities = run(method).quantities
    return {part: float(quantities[part]) for part in (*SIDES, *ANGLES)}


def _swinging(known: Mapping[str, float]) -> tuple[str, str, str]:
    """The corners in the order (fixed angle, moving end on the base line, fixed end): A, B, C unless side–side–angle is given."""
    angles = [part for part in known if part in ANGLES]
    sides = [part for part in known if part in SIDES]
    if len(angles) == 1 and len(sides) == 2 and angles[0].lower() in sides:
        fixed = angles[0]
        moving = next(side for side in sides if side != fixed.lower()).upper()
        return fixed, moving, next(corner for corner in ANGLES if corner not in (fixed, moving))
    return "A", "B", "C"


def _corners(values: Mapping[str, float], base: tuple[str, str, str]) -> Corners:
    """Where the corners lie: the first at the origin, the second on the base line, the third above it."""
    p, q, r = base
    return {p: (0.0, 0.0), q: (values[r.lower()], 0.0), r: polar(values[q.lower()], values[p])}


def _construction(known: Mapping[str, float], base: tuple[str, str, str]) -> tuple[list[Point]]:
    """The points that the construction needs in the frame."""
    p, q, _ = base
    if p in known:
        end = polar(known[q.lower()], known[p])
        return ([(0.0, 0.0), end, (max(end[0] + 0.5 * known[p.lower()], 0.6 * known[q.lower()]), 0.0)],)
    longest = max(SIDES, key=lambda side: known[side])
    return ([(0.0, 0.0), (known[longest], 0.0), (known[longest] / 2, known[longest] * 0.35)],)


def _draw_construction(
    sheet: Sheet, known: Mapping[str, float], base: tuple[str, str, str], labels: dict[str, tuple[str, str]]
) -> None:
    """Side, angle and the swung side of side–side–angle; or the two arcs over the longest of three sides."""
    p, q, r = base
    if p in known:
        end = polar(known[q.lower()], known[p])
        sheet.line((0.0, 0.0), (1e3 * known[q.lower()], 0.0), "axis", weight=0.4, name="base line")
        missing = known[p.lower()] < end[1]
        lean = 20.0 if missing else math.degrees(math.acos(end[1] / known[p.lower()])) + 10.0
        _swing(sheet, end, known[p.lower()], 270.0 - lean, 270.0 + lean)
        if labels and r in _unlabelled(labels):
            tip = (end[0], end[1] - known[p.lower()])
            sheet.line((0.0, 0.0), end, "ground", weight=1.2)
            sheet.line(
                end, tip if missing else (end[0] - known[p.lower()] * 0.6, end[1] - known[p.lower()] * 0.8), "moved"
            )
            reach = tip if missing else (end[0] - known[p.lower()] * 0.6, end[1] - known[p.lower()] * 0.8)
            sheet.label_segment((labels[q.lower()][0],), sheet.frame.at((0.0, 0.0)), sheet.frame.at(end), "given")
            sheet.label_segment((labels[p.lower()][0],), sheet.frame.at(end), sheet.frame.at(reach), "given")
            sheet.arc((0.0, 0.0), 0.0, known[p], 34.0, "faint", text=labels[p][0], kind="given", name=f"angle {p}")
            for name, at in ((p, (0.0, 0.0)), (r, end)):
                sheet.label_point((name,), sheet.frame.at(at), "ink", rank=0.5)
        return
    longest = max(SIDES, key=lambda side: known[side])
    left, right = (side for side in SIDES if side != longest)
    length = known[longest]
    sheet.line((0.0, 0.0), (length, 0.0), "ground", weight=1.2)
    sheet.label_segment((labels[longest][0],), sheet.frame.at((0.0, 0.0)), sheet.frame.at((length, 0.0)), "given")
    for center, side, start, lean in (((0.0, 0.0), left, 0.0, 22.0), ((length, 0.0), right, 70.0, 158.0)):
        _swing(sheet, center, known[side], start, start + 110.0)
        x, y = polar(known[side], lean)
        sheet.line(center, (center[0] + x, y), "moved")
        sheet.label_segment((labels[side][0],), sheet.frame.at(center), sheet.frame.at((center[0] + x, y)), "given")


def _unlabelled(labels: Mapping[str, tuple[str, str]]) -> set[str]:
    """Corners and sides that have no label: with none found, the triangle itself is not drawn."""
    return {part for part in (*SIDES, *ANGLES) if part not in labels}


def _swing(sheet: Sheet, center: Point, radius: float, start: float, end: float) -> None:
    """The arc on which the far end of a side may lie."""
    box = sheet.frame.area.grown(-2.0)
    c, r = sheet.frame.at(center), radius * sheet.frame.scale
    path, last = [], None
    steps = 60
    for k in range(steps + 1):
        x, y = polar(r, start + (end - start) * k / steps)
        p = (c[0] + x, c[1] - y)
        if box.holds(p):
            path.append(f"{'L' if last else 'M'}{p[0]:.1f} {p[1]:.1f}")
            if last:
                sheet.blocks(last, p, 0.4)
            last = p
        else:
            last = None
    if path:
        sheet.raw("parts", f'<path class="part" data-of="swing" d="{"".join(path)}"/>')


def _draw(
    sheet: Sheet,
    corners: Corners,
    labels: Mapping[str, tuple[str, str]],
    style: str,
    *,
    prime: bool,
    base: Sequence[str],
) -> None:
    _outline(sheet, corners, style, "triangle" if not prime else "second")
    if prime:
        moving = base[1]
        sheet.label_point((f"{moving}′",), sheet.frame.at(corners[moving]), "ink", rank=0.5)
        return
    middle = sheet.frame.at(_middle(corners))
    for corner in ANGLES:
        others = [corners[o] for o in ANGLES if o != corner]
        p, side = corners[corner], corner.lower()
        at = sheet.frame.at(p)
        out = (at[0] - middle[0], at[1] - middle[1])
        size = math.hypot(*out) or 1.0
        place = (at[0] + 13.0 * out[0] / size, at[1] + 13.0 * out[1] / size)
        first, second = (direction_of(o[0] - p[0], o[1] - p[1]) for o in others)
        turn = (second - first + 180.0) % 360.0 - 180.0
        words, kind = labels[corner]
        arc = {"given": "faint", "right": "right-thin", "yours": "yours-thin"}.get(kind, "tick")
        shortest = min(math.dist(p, o) for o in others) * sheet.frame.scale
        sheet.label((corner,), at, (place,), "ink", rank=0.0)
        sheet.arc(
            p,
            first,
            turn,
            min(26.0, 0.45 * shortest),
            arc,
            text=words.partition(" = ")[2],
            kind=kind,
            name=f"angle {corner}",
        )
        said, side_kind = labels[side]
        a, b = (sheet.frame.at(o) for o in others)
        sheet.label_segment((said,), a, b, side_kind)


def _outline(sheet: Sheet, corners: Corners, style: str, name: str) -> None:
    for i, j in (("A", "B"), ("B", "C"), ("C", "A")):
        sheet.line(
            corners[i],
            corners[j],
            style,
            weight=1.2,
            layer="arrows" if style == "yours" else "parts",
            name=f"{name} {i}{j}",
        )


def _middle(corners: Corners) -> Point:
    xs, ys = zip(*corners.values())
    return sum(xs) / 3, sum(ys) / 3


def _theirs(known: Mapping[str, float], answer: Answer, base: tuple[str, str, str]) -> Corners | None:
    """The triangle that a student's parts make together with the given ones; None where they make none."""
    have = {**known, **{part: value for part, value in answer.items() if part in (*SIDES, *ANGLES) and value > 0}}
    if not any(part in answer for part in have):
        return None
    found = _three_sides(have)
    if found is None:
        for angle in ANGLES:
            side, (p, q) = angle.lower(), [s for s in SIDES if s != angle.lower()]
            if angle in have and p in have and q in have and have[angle] < 180.0 and side not in have:
                square = have[p] ** 2 + have[q] ** 2 - 2 * have[p] * have[q] * math.cos(math.radians(have[angle]))
                found = _three_sides({**have, side: math.sqrt(max(square, 0.0))})
                break
    largest = max(known[s] for s in SIDES if s in known)
    if found is None or max(found[s] for s in SIDES) > 4.0 * largest:
        return None
    return _corners(found, base)


def _three_sides(have: Mapping[str, float]) -> dict[str, float] | None:
    if not all(side in have for side in SIDES):
        return None
    sides = {side: have[side] for side in SIDES}
    if 2 * max(sides.values()) >= sum(sides.values()) * (1 - 1e-9):
        return None
    found = dict(sides)
    for side in SIDES:
        p, q = (sides[s] for s in SIDES if s != side)
        cosine = (p * p + q * q - sides[side] ** 2) / (2 * p * q)
        found[side.upper()] = math.degrees(math.acos(max(-1.0, min(1.0, cosine))))
    return found
