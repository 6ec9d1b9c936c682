"""What else a text claims beside its answer: a range, a number said to be impossible, a unit taken back.

Each of these leaves the answer open, or says what is no part of it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from grader.notation.meanings import kinds_of
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind
from grader.notation.stating import is_of_a_function, statements

_RANGE = re.compile(
    r"^(?:(?:between|about|around|from|~) )?(?P<low>\d+(?:\.\d+)?)(?P<unit> ?(?!round)[^\W\d]+| ?°)? ?(?:-|to|and) ?"
    r"(?P<high>\d+(?:\.\d+)?)(?P=unit)?(?: ?[^\W\d]+| ?°)?$",
    re.IGNORECASE,
)
_WIDEST = 1.25
"""A range is of numbers that lie near each other; 17-24 is a difference."""


def is_range(text: str, box: BoxKind) -> bool:
    """Whether a text gives a range where one number is asked: ``60-62 N``, ``60 N to 62 N``, ``between 60 and 62``.

    >>> is_range("60-62 N", "quantity"), is_range("17-24", "quantity"), is_range("59-30", "angle")
    (True, False, False)
    """
    if box not in ("quantity", "angle", "direction"):
        return False
    match = _RANGE.match(text.replace("–", "-"))
    if match is None or (" and " in text and not text.lower().startswith("between")):
        return False
    low, high = float(match["low"]), float(match["high"])
    return low < high <= _WIDEST * low and len(match["low"].partition(".")[0]) == len(match["high"].partition(".")[0])


_BOUND = re.compile(
    r"(?<!round )(?<!rounded )(?<!rounds )(?<!it )\bup to (?:about |around |roughly )?-?\d", re.IGNORECASE
)


_THE_OTHER = re.compile(r"\d[^()\n]{0,80}\b(?:the |an)other\b[^()\n]{0,40}\d", re.IGNORECASE)


def tells_another(text: str) -> bool:
    """Whether a text goes on to another of two, outside of brackets.

    >>> tells_another("66.1° and the other is 35.9°"), tells_another("66.1° (the other is 35.9°)")
    (True, False)
    """
    return "other" in text and _THE_OTHER.search(text) is not None


def is_bound(text: str) -> bool:
    """Whether a number is a bound, not the answer itself.

    >>> is_bound("up to 67 kN"), is_bound("rounded up to 67 kN")
    (True, False)
    """
    return "up to" in text and _BOUND.search(text) is not None


def values_stated(tokens: Sequence[Token]) -> int:
    """How many values a text holds that are complete in themselves, beside words that something is impossible.

    Not those that are compared (``sin B = 1.27 > 1``) or are of a sine, a cosine or a tangent: they show why there is none.
    """
    count = 0
    open_ended = False
    for statement in statements(tokens):
        compared, open_ended = open_ended, statement.tokens[-1].text in _COMPARES
        if compared:
            continue  # h = 14.1 > a = 12.7
        stated = statement.tokens
        if any(token.text in _COMPARES for token in stated):
            bracket = next((index for index, token in enumerate(stated) if token.kind == "("), 0)
            stated = stated[:bracket]  # B = 55.3° (124.7° doesn't work, 124.7 + 57 > 180)
        if not any(token.text in _COMPARES for token in stated) and not is_of_a_function(stated):
            count += len(_COMPLETE.findall(kinds_of(stated)))
    return count


_COMPARES = frozenset(("<", ">", "≤", "≥"))
_COMPLETE = re.compile(r"m|a|n[Ns]|[PRDXY][=:]*n")
