"""How the sheets look: one table of cell styles for the whole workbook.

Quiet colours on white, for the evening. Every pair of ink and ground keeps a contrast of at least 4.5 : 1 (WCAG 2.2,
success criterion 1.4.3), and no colour says what a word or sign beside it does not say as well.
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.styles.cell_style import StyleArray

FONT = "Calibri"
INK = "1F3A4D"
QUIET = "56666F"
PAPER = "FFFFFF"
LINE = "D5DDE1"
HARD_LINE = "8FA3AC"
OPEN_GROUND = "FFF6DB"
"""The ground of everything that waits for the teacher."""

_PREFIX = "grader "
# Centred, with room kept for the digits that are not there, so that the decimal points stand under each other.
_POINTS, _AVERAGE, _SHARE, _COUNT = "?0.0?", "?0.00", "??0%", "??0"
# No diagnosis is certain.
_CHANCE = '[>=0.995]"> 99%";??0%'


@dataclass(frozen=True, slots=True)
class Look:
    """How one kind of cell looks; ``lined`` draws a hair line under it."""

    ink: str = INK
    ground: str = PAPER
    size: int = 11
    bold: bool = False
    italic: bool = False
    across: Literal["left", "center"] = "left"
    upright: Literal["top", "center"] = "top"
    wrap: bool = True
    number: str = "General"
    lined: bool = True


LOOKS = {
    "title": Look(size=16, bold=True, upright="center", wrap=False, lined=False),
    "quiet": Look(ink=QUIET, italic=True, wrap=False, lined=False),
    "heading": Look(ink=PAPER, ground=INK, bold=True, upright="center", lined=False),
    "heading, number": Look(ink=PAPER, ground=INK, bold=True, across="center", upright="center", lined=False),
    "text": Look(),
    "points": Look(across="center", number=_POINTS),
    "share": Look(across="center", number=_SHARE),
    "chance": Look(across="center", number=_CHANCE),
    "count": Look(across="center", number=_COUNT),
    "open": Look(across="center", ink="6B4A00", number='0" open";;'),
    "entry": Look(ground=OPEN_GROUND),
    "entry, points": Look(ground=OPEN_GROUND, across="center", number=_POINTS),
    "foot": Look(bold=True, ground="EDF2F4"),
    "foot, points": Look(bold=True, ground="EDF2F4", across="center", number=_AVERAGE),
    "foot, share": Look(bold=True, ground="EDF2F4", across="center", number=_SHARE),
    "verdict right": Look(ink="1E5136", ground="EEF6F0"),
    "verdict partly": Look(ink="5A4600", ground="FAF5E4"),
    "verdict wrong": Look(ink="7E2A1C", ground="FBEFEC"),
    "verdict blank": Look(ink=QUIET, ground="F4F6F7"),
    "verdict look": Look(ink="6B4A00", ground=OPEN_GROUND, bold=True),
    "problem": Look(size=13, bold=True, upright="center", wrap=False, ground="EDF2F4", lined=False),
    "question": Look(lined=False),
    "label": Look(ink=QUIET, lined=False),
    "answer": Look(bold=True, lined=False, wrap=False),
    "answer, text": Look(bold=True, lined=False),
    "remark": Look(ink=QUIET, lined=False, wrap=False),
    "method": Look(bold=True, wrap=False, lined=False),
    "step": Look(ink=QUIET, lined=False),
    "line": Look(lined=False),
    "warning": Look(ink="7E2A1C", bold=True, lined=False),
}

VERDICT_LOOKS = {
    "right": "verdict right",
    "right, other form": "verdict right",
    "rounded too far": "verdict partly",
    "rounded early": "verdict partly",
    "follows on": "verdict partly",
    "wrong": "verdict wrong",
    "blank": "verdict blank",
    "needs a look": "verdict look",
    "decided": "text",
}


def register(workbook: Workbook) -> dict[tuple[str, bool], StyleArray]:
    """Make every look known to a workbook and return the formats, by look and by whether a firmer line stands above.

    The workbook lists the looks among its cell styles. A format is put into a cell as it is: to look a style up by name
    for each of thousands of cells takes longer than to write them.
    """
    from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Side

    hair, firm = Side(style="thin", color=f"FF{LINE}"), Side(style="thin", color=f"FF{HARD_LINE}")
    sheet = workbook.create_sheet()
    cell = sheet.cell(1, 1)
    formats = {}
    for name, look in LOOKS.items():
        for begins in (False, True):
            style = NamedStyle(f"{_PREFIX}{name}{', first' if begins else ''}")
            style.font = Font(name=FONT, size=look.size, bold=look.bold, italic=look.italic, color=f"FF{look.ink}")
            if look.ground != PAPER:
                style.fill = PatternFill("solid", start_color=f"FF{look.ground}")
            style.alignment = Alignment(horizontal=look.across, vertical=look.upright, wrap_text=look.wrap)
            style.border = Border(top=firm if begins else None, bottom=hair if look.lined else None)
            style.number_format = look.number
            cell.style = style
            formats[name, begins] = copy(cell._style)
    workbook.remove(sheet)
    return formats
