"""The words of the reports: verdicts with their signs, mistakes by their plain names, numbers as a teacher writes them."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Sequence

from grader.exchange.cells import counted
from grader.marking.judge import BY_DEFAULT, DECIDED, VERDICTS
from grader.mistakes.catalogue import wordings

NEEDS_A_LOOK = VERDICTS[-1]

VERDICT_SIGNS = dict(zip((*VERDICTS, DECIDED), ("✓", "✓", "≈", "≈", "→", "✗", "–", "?", "•"), strict=True))
"""Every verdict, in the order of the reports, with the sign that says the same without colour."""

SUGGESTION = "Marks are suggestions; the teacher decides."

_NO_ANSWER = ("cannot be read: says that there is no answer", "the student says there is no answer")
_NO_REASON = "more than one way to take it"

_JOINS = re.compile(r"( \+ | / )")
_SPOKEN = {" + ": "; together with ", " / ": "; or "}

# What turns the direction of all text after it: one student's answer must not rearrange a teacher's screen.
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def with_sign(verdict: str) -> str:
    """``✓ right``; a verdict that is not in the list stands as it is."""
    sign = VERDICT_SIGNS.get(verdict)
    return f"{sign} {verdict}" if sign else verdict


def mistake_name(mistake: str) -> str:
    """The plain name of what the column ``mistake`` holds.

    Ids joined by `` / `` read “…; or …”, ids joined by `` + `` “…; together with …”. An id that the catalogue does not
    know is a mistake of the teacher's own and is its own name.
    """
    known = wordings()
    if mistake in known:
        return known[mistake].name
    pieces = _JOINS.split(mistake)
    return "".join(_SPOKEN.get(piece) or (known[piece].name if piece in known else piece) for piece in pieces)


def why(note: str) -> str:
    """Why an answer needs a look, from the note of its mark; never empty."""
    return note.replace(*_NO_ANSWER).strip() or _NO_REASON


def percent(share: float) -> str:
    """A share as every report shows it: ``14 %``, a half rounded up, as spreadsheets do; an en dash where there is none."""
    return "–" if share != share else f"{whole_percent(share)}\u00a0%"


def whole_percent(share: float) -> int:
    """A share in whole percent; 2.5 % is 3, and 14.5 % is 15 whatever binary fractions make of it."""
    return math.floor(round(share * 100, 9) + 0.5)


def with_others(name: str, others: Sequence[str]) -> str:
    """A mistake's name, and how many others the same answers would fit: ``sine and cosine exchanged (or 2 others)``."""
    return f"{name} (or {counted(len(others), 'other')})" if others else name


def decided_by_you(decided: str) -> str:
    """``Decided by you``, with the note if there is one; an empty text where nothing was decided."""
    if decided in ("", BY_DEFAULT):
        return "Decided by you" if decided else ""
    return f"Decided by you: {decided}"


def amount(points: float) -> str:
    """Points as one writes them: ``2``, ``1.5``, ``1.33``."""
    text = f"{points:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def enumerated(items: Sequence[str], at_most: int) -> str:
    """``a; b; c``, or ``a; b; and 4 more`` where the list is longer than ``at_most``."""
    if len(items) <= at_most:
        return "; ".join(items)
    return "; ".join([*items[:at_most], f"and {len(items) - at_most} more"])


_NO_FIRST_NAME = frozenset(("jr", "sr", "ii", "iii", "iv", "phd", "md"))


def as_spoken(name: str) -> str:
    """A name as one says it to its bearer: ``Vega, Bao`` in a list is ``Bao Vega`` in a greeting; other names stand as they are.

    >>> as_spoken("Vega, Bao"), as_spoken("Bao Vega"), as_spoken("Bao Vega, Jr.")
    ('Bao Vega', 'Bao Vega', 'Bao Vega, Jr.')
    """
    pieces = [piece.strip() for piece in name.split(",")]
    if len(pieces) != 2 or not all(pieces) or pieces[1].casefold().replace(".", "") in _NO_FIRST_NAME:
        return name
    return f"{pieces[1]} {pieces[0]}"


def listed_names(names: Sequence[str]) -> str:
    """Names with commas between, or with semicolons where a name holds a comma: ``Vega, Bao; Roux, Lior``."""
    return ("; " if any("," in name for name in names) else ", ").join(names)


def one_line(text: str) -> str:
    """Text that is safe and whole on one line of a terminal: no control characters, no turned direction, no line ends."""
    if text.isprintable():  # as nearly all are; none of what is left out below counts as printable
        return " ".join(text.split())
    kept = (
        " " if unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp") else sign for sign in text if sign not in _TURNING
    )
    return " ".join("".join(kept).split())
