"""A number line, for answers that are one number."""

from __future__ import annotations

from collections.abc import Sequence

from grader.methods.solve import Solved
from grader.reports.drawing.answers import Answer, said, said_answer
from grader.reports.drawing.geometry import Box, Frame, Point, nice_step, ticks
from grader.reports.drawing.labels import text_width
from grader.reports.drawing.sheet import Picture, Sheet
from grader.reports.drawing.sheet import number as coordinate
from grader.reports.drawing.theme import Theme
from grader.reports.drawing.words import sentence, title_of

WIDTH = 520.0


def scaled(values: Sequence[float], left: float, right: float) -> tuple[float, float]:
    """A scale and offset that show all the values, and zero among them.

    Screen x = offset + scale · value.
    """
    low, high = min((0.0, *values)), max((0.0, *values))
    room = (high - low) or max(abs(high), 1.0)
    scale = (right - left) / (1.16 * room)
    return scale, (left + right) / 2 - scale * (low + high) / 2


def line(sheet: Sheet, y: float, left: float, right: float, scale: float, offset: float) -> None:
    """The line itself, with ticks at round numbers."""
    sheet.raw("frame", f'<path class="axis" d="M{coordinate(left)} {coordinate(y)}H{coordinate(right)}"/>')
    low, high = (left - offset) / scale, (right - offset) / scale
    step = nice_step(high - low, 6)
    decimals = max(0, -int(f"{step:e}".partition("e")[2]))
    for value in ticks(low, high, step):
        x = offset + scale * value
        if left + 2 <= x <= right - 2:
            sheet.raw("frame", f'<path class="tick" d="M{coordinate(x)} {coordinate(y - 4)}v8"/>')
            words = f"{value:.{decimals}f}".replace("-", "−")
            if left + 4 * len(words) <= x <= right - 4 * len(words):
                sheet.fixed(words, (x, y + 21))


def number_picture(solved: Solved, answer: Answer, show_right: bool, theme: Theme) -> Picture:
    """The right number and the student's on a line."""
    area = Box(14.0, 12.0, WIDTH - 14.0, 132.0)
    sheet = Sheet(Frame(area, (14.0, 92.0), 1.0), WIDTH)
    key = solved.solution.part("value")
    values = [key.value] if show_right else []
    values += [answer["value"]] if "value" in answer else []
    scale, offset = scaled(values or [1.0], area.left, area.right)
    y = 92.0
    if values:
        line(sheet, y, area.left, area.right, scale, offset)
    else:
        sheet.note("No number was written, and the right one is not shown.")
    if show_right:
        x = offset + scale * key.value
        sheet.raw(
            "arrows", f'<path class="right-head" data-of="right mark" d="M{coordinate(x)} {coordinate(y)}l-7 -14h14Z"/>'
        )
        sheet.blocks((x - 7, y - 7), (x + 7, y - 7), 5.0)
        _above(sheet, f"right: {key.shown}", (x, y - 15), "right")
    if "value" in answer:
        x = offset + scale * answer["value"]
        sheet.raw(
            "dots",
            f'<path class="yours-head" data-of="yours" d="M{coordinate(x)} {coordinate(y - 7)}l6 7l-6 7l-6 -7Z"/>',
        )
        sheet.blocks((x - 6, y), (x + 6, y), 5.0)
        _above(sheet, f"yours: {said(solved, 'value', answer['value'])}", (x, y - 15), "yours")
    pieces = ["A number line"] if values else ["Nothing to draw"]
    if show_right:
        pieces.append(f"The right answer: {key.shown}")
    if answer:
        pieces.append(f"Yours: {said_answer(solved, answer)}")
    return sheet.picture(title_of(solved), sentence(pieces), theme)


def _above(sheet: Sheet, words: str, p: Point, kind: str) -> None:
    """A label over a mark of the line, higher where another label is in the way."""
    width = text_width(words, 13.5, bold=True)
    lifts, shifts = (10.0, 28.0, 46.0), (0.0, 0.3, -0.3, 0.55, -0.55)
    sheet.label((words,), p, [(p[0] + shift * width, p[1] - lift) for lift in lifts for shift in shifts], kind)
