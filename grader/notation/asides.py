"""What stands around an answer and is none of it: crossed-out words, ticks, hedges, steps, the box around a result."""

from __future__ import annotations

import re

from grader.notation.closeness import are_close
from grader.notation.corrections import STRUCK_OUT, without_struck
from grader.notation.hedges import without_hedges
from grader.notation.readings import BoxKind, DecimalMark
from grader.notation.steps import without_check, without_steps


def without_asides(text: str, written: str, box: BoxKind, mark: DecimalMark, notes: list[str]) -> tuple[str, str]:
    """The text, cleaned from what was ``written``, without what stands around its answer; or why nothing may be read."""
    kept = without_struck(text, notes)
    if kept is None:
        return "", STRUCK_OUT
    if _UNDECIDED.search(kept) is not None:
        return "", TWO_VALUES
    kept, reason = without_check(without_ticks(kept, written), box, notes)
    if reason:
        return "", reason
    kept = without_steps(without_hedges(kept, box), box, mark, notes)
    if box == "components" and "\n" in kept:
        added = added_up(kept, notes)
        if added is None:
            return "", NOT_THE_SUM
        kept = added
    return without_box(kept, box), ""


TWO_VALUES = "two values, of which none is chosen"
_UNDECIDED = re.compile(
    r"\d\D*(?:\b(?:but|or|though)|,) (?:it |maybe it )?(?:could|might|may) (?:also )?be\b\D*\d", re.IGNORECASE
)
"""``12.5 N but could be 13``: the later value is a doubt, not a correction."""

_TICKS = frozenset("✓✔☑✅")
_TICK = re.compile(r"(?:(?<=[\d°)\]A-Za-z])| ) ?√(?: ?√)*(?=\s*(?:[,;.)]|$))|^√+ +(?=\S)", re.MULTILINE)
_ROOT_OF_NOTHING = re.compile(r"(?<=\d)√")


def without_ticks(text: str, written: str) -> str:
    """The text without ticks at the ends of its lines; a tick between digits may be a root sign that was misread.

    >>> without_ticks("135° √", "135° ✓"), without_ticks("√ 13 N", "✓ 13 N"), without_ticks("5√2", "5✓2")
    ('135°', '13 N', '5√2')
    """
    if "√" not in text or _TICKS.isdisjoint(written):
        return text
    return _TICK.sub(lambda match: match[0] if _ROOT_OF_NOTHING.match(text, match.start()) else "", text).strip()


_HEADING = re.compile(r"\|? *x *[|,; ] *y *\|?", re.IGNORECASE)
_TOTAL = re.compile(
    r"[| ]*(?:Σ|sum|total|R|resultant) *[:|=]? *(-?\d+(?:\.\d+)?) *[|,; ] *(-?\d+(?:\.\d+)?) *\|?", re.IGNORECASE
)
_ROW = re.compile(r"[| ]*[A-Za-z]\w* *[:|=]? *(-?\d+(?:\.\d+)?) *[|,; ] *(-?\d+(?:\.\d+)?) *\|?")


NOT_THE_SUM = "the last row of the table is not the sum of the rows before it"


def added_up(text: str, notes: list[str]) -> str | None:
    """The last row of a table of components, where it is the sum of the rows before it; None where it is not.

    >>> added_up(" x | y\\nF1: 3 | -2\\nF2: -5 | 6\\nΣ: -2 | 4", [])
    '(-2, 4)'
    """
    heading, *rows = text.split("\n")
    if len(rows) < 3 or not _HEADING.fullmatch(heading.strip()):
        return text
    total = _TOTAL.fullmatch(rows[-1].strip())
    parts = [_ROW.fullmatch(row.strip()) for row in rows[:-1]]
    if total is None or None in parts:
        return text
    for column in (1, 2):
        sum_of_rows = sum(float(part[column]) for part in parts if part is not None)
        place = 10.0 ** -len(total[column].partition(".")[2])
        if not are_close(sum_of_rows, float(total[column]), place):
            return None
    notes.append("took the sum of the rows")
    return f"({total[1]}, {total[2]})"


_BOXED = re.compile(r"(?<=[=≈]) *\[ *([-+]?\d+(?:\.\d+)? ?(?:°|[A-Za-z][A-Za-z/·]{0,6})?) *\]")
_ROTATED = re.compile(
    r"(?P<size>[\d.√]+(?: ?[A-Za-z/]{1,4})?) ?[<(\[] ?cos ?\(?(?P<angle>-?[\d.]+ ?°?)\)?(?: ?,| ?i ?\+| ?i ?,) ?"
    r"sin ?\(?(?P=angle)\)?(?: ?j)? ?[>)\]]"
)


def without_box(text: str, box: BoxKind) -> str:
    """``F = [60.5] lb``: brackets around one number set it off as the result. ``4⟨cos 240°, sin 240°⟩`` is 4 at 240°.

    >>> without_box("F = [60.5] lb", "quantity"), without_box("[3]\\n[4]", "components")
    ('F = 60.5 lb', '[3]\\n[4]')
    """
    if "[" in text and box != "components" and text.count("[") == 1:
        text = _BOXED.sub(r" \1", text)
    if box == "polar" and "cos" in text:
        text = _ROTATED.sub(r"\g<size> ∠ \g<angle>", text)
    return text
