"""What takes a value away from the answer: ``it used to be 62 N``, ``the reverse of 353°``, ``62.0 N is too big``, ``62.0 ✗``.

Whoever writes one of these states a number that is not, or not yet, the answer. Such a text is set aside, unless what is left
of it was understood as a correction before.
"""

from __future__ import annotations

import re
from functools import cache

from grader.notation.impossible import says_so
from grader.notation.readings import BoxKind
from grader.notation.tables import load_table

DISOWNED = "may say that what is written is not the answer"

CROSSES = frozenset("✗✘❌☒✖")
"""Signs that a student sets behind what is wrong."""

_WORD = re.compile(r"[a-z]+")


@cache
def _patterns() -> tuple[frozenset[str], re.Pattern[str], re.Pattern[str]]:
    """Words without one of which no phrase stands in a text; the phrases; those of one of two answers."""
    table = load_table("disowned.toml")
    triggers = frozenset(word for group in table.values() for word in group["triggers"])
    phrases = [phrase for name, group in table.items() if name != "another" for phrase in group["phrases"]]
    return triggers, _any_of(phrases), _any_of(table["another"]["phrases"])


def _any_of(phrases: list[str]) -> re.Pattern[str]:
    return re.compile(r"(?<![^\W\d_])(?:" + "|".join(phrases) + r")(?![^\W\d_])", re.IGNORECASE)


def disowned_by(text: str, box: BoxKind) -> str:
    """The words or the sign by which a text takes its value away from the answer; ``""`` where there are none.

    >>> disowned_by("it used to be 62 N", "quantity"), disowned_by("62 N, as it should be", "quantity")
    ('used to be', '')
    """
    triggers, phrases, another = _patterns()
    if triggers.isdisjoint(_WORD.findall(text.lower())) or says_so(text):
        return ""
    reason = _REASON.search(text)
    said = text[: reason.start()] if reason is not None and any(map(str.isdigit, text[: reason.start()])) else text
    match = phrases.search(said)
    if match is None and box not in ("triangle", "angle", "polar"):
        match = another.search(said)  # where two are asked, the other triangle is an answer
    return match[0] if match is not None else ""


_REASON = re.compile(r"\b(?:because|becuase|bc|cuz|since)\b", re.IGNORECASE)
"""What follows may speak of what is not so: ``340 lb, because if it pulled less it would drift``."""


def is_crossed_out(text: str) -> bool:
    """Whether the last sign of a text is a cross.

    >>> is_crossed_out("62.0 N ✗"), is_crossed_out("6.2 ✖ 10")
    (True, False)
    """
    return text[-1:] in CROSSES or text.rstrip(" .)\ufe0f")[-1:] in CROSSES
