"""The colours and strokes of the drawings, light and dark, as a stylesheet.

Every colour keeps the contrast that WCAG 2.2 AA asks against the paper: 4.5 to 1 for what is read, 3 to 1 for lines and marks.
Each role also has a stroke and an arrowhead of its own, so that the drawings say the same in grey.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

Theme = Literal["auto", "light", "dark", "page"]
"""``auto`` follows the reader's setting, ``light`` and ``dark`` are fixed, ``page`` leaves the stylesheet to the page around."""

LIGHT: Mapping[str, str] = {
    "paper": "#fcfbf7",
    "ink": "#1b2631",
    "muted": "#53606c",
    "axis": "#7a8590",
    "grid": "#e1e6ea",
    "given": "#24599c",
    "right": "#0b6650",
    "yours": "#a3226c",
    "wrong": "#8d3f0a",
}
DARK: Mapping[str, str] = {
    "paper": "#121a23",
    "ink": "#edf1f4",
    "muted": "#a9b5c0",
    "axis": "#8592a0",
    "grid": "#273341",
    "given": "#8fbbf3",
    "right": "#62d3ab",
    "yours": "#f49ac9",
    "wrong": "#f3ad75",
}
READ = ("ink", "muted", "given", "right", "yours", "wrong")
"""Colours that letters are written in."""
SEEN = ("axis",)
"""Colours of lines that carry meaning and hold no letters; the grid is decoration, like squared paper."""

FONT = "system-ui,'Segoe UI',Roboto,'Helvetica Neue',Arial,'Noto Sans','DejaVu Sans','Liberation Sans',sans-serif"

_RULES = """
.vd{background:<paper>;font-family:<font>}
.vd .sheet{fill:<paper>;stroke:none}
.vd .grid{stroke:<grid>;stroke-width:1;fill:none}
.vd .axis{stroke:<axis>;stroke-width:1.3;fill:none}
.vd .tick{stroke:<axis>;stroke-width:1;fill:none}
.vd .rose{stroke:<axis>;stroke-width:.8;fill:none}
.vd .axis-head,.vd .scale-on{fill:<axis>;stroke:<axis>;stroke-width:1}
.vd .scale-off{fill:<paper>;stroke:<axis>;stroke-width:1}
.vd .given{stroke:<given>;stroke-width:2.2;fill:none}
.vd .given-head{fill:<given>;stroke:none}
.vd .faint{stroke:<given>;stroke-width:1.5;fill:none}
.vd .faint-head{fill:<given>;stroke:none}
.vd .moved{stroke:<given>;stroke-width:1.4;stroke-dasharray:2 4;stroke-linecap:round;fill:none}
.vd .moved-head{fill:<paper>;stroke:<given>;stroke-width:1.4}
.vd .part{stroke:<muted>;stroke-width:1.3;stroke-dasharray:1.5 3.5;stroke-linecap:round;fill:none}
.vd .right-part{stroke:<right>;stroke-width:2.4;stroke-dasharray:.5 5;stroke-linecap:round;fill:none}
.vd .right{stroke:<right>;stroke-width:3.6;fill:none}
.vd .right-head{fill:<right>;stroke:none}
.vd .right-thin{stroke:<right>;stroke-width:1.6;fill:none}
.vd .yours{stroke:<yours>;stroke-width:2.4;stroke-dasharray:8 5;fill:none}
.vd .yours-head{fill:<paper>;stroke:<yours>;stroke-width:2}
.vd .yours-thin{stroke:<yours>;stroke-width:1.5;stroke-dasharray:4 3;fill:none}
.vd .ground{stroke:<ink>;stroke-width:1.6;fill:none}
.vd .body{fill:<grid>;stroke:<ink>;stroke-width:1.4}
.vd .point{fill:<ink>;stroke:none}
.vd .track{stroke:<muted>;stroke-width:1.6;stroke-dasharray:14 4 2 4;fill:none}
.vd .leader{stroke:<muted>;stroke-width:.9;fill:none}
.vd .dot-right{fill:<right>;fill-opacity:.28;stroke:<right>;stroke-width:2.4}
.vd .dot-near{fill:<right>;fill-opacity:.12;stroke:<right>;stroke-width:1.6;stroke-dasharray:3 2}
.vd .dot-wrong{fill:<wrong>;fill-opacity:.42;stroke:<wrong>;stroke-width:1.6}
.vd .dot-open{fill:<paper>;fill-opacity:.5;stroke:<muted>;stroke-width:1.5}
.vd .edge-wrong{fill:<wrong>;stroke:<wrong>;stroke-width:1}
.vd .edge-open{fill:<paper>;stroke:<muted>;stroke-width:1.5}
.vd text{fill:<ink>}
.vd .halo{paint-order:stroke;stroke:<paper>;stroke-width:3.5px;stroke-linejoin:round}
.vd .t-muted{fill:<muted>}
.vd .t-given{fill:<given>}
.vd .t-right{fill:<right>;font-weight:600}
.vd .t-yours{fill:<yours>;font-weight:600}
.vd .t-wrong{fill:<wrong>}
.vd .t-note,.vd .t-scale{fill:<muted>}
.vd .vd-dot:focus{outline:none}
.vd .vd-dot:focus .vd-mark,.vd .vd-dot:hover .vd-mark{stroke:<ink>;stroke-width:3.2}
@media print{.vd .vd-prompt{display:none}}
.vd .vd-who{opacity:0;pointer-events:none}
.vd .vd-dot:focus .vd-who,.vd .vd-dot:hover .vd-who{opacity:1}
""".strip()


def stylesheet(theme: Theme = "page") -> str:
    """The rules for all drawings on a page: with the colours themselves for ``light`` and ``dark``, else with custom properties.

    The properties are named ``--vd-paper``, ``--vd-ink`` ... and follow the reader's setting, or a ``data-theme`` of ``light`` or
    ``dark`` on an element around the drawing; paper always gets the light ones.
    """
    rules = _RULES.replace("<font>", FONT).replace("\n", "")
    fixed = {"light": LIGHT, "dark": DARK}.get(theme)
    for name in LIGHT:
        rules = rules.replace(f"<{name}>", fixed[name] if fixed else f"var(--vd-{name})")
    if fixed:
        return rules
    light, dark = (";".join(f"--vd-{name}:{colour}" for name, colour in table.items()) for table in (LIGHT, DARK))
    return (
        f".vd{{{light}}}@media (prefers-color-scheme:dark){{.vd{{{dark}}}}}"
        f"[data-theme=light] .vd{{{light}}}[data-theme=dark] .vd{{{dark}}}"
        f"@media print{{.vd,[data-theme] .vd{{{light}}}}}{rules}"
    )
