"""Whether ``in`` behind a number is inches or the little word: ``14.6 in, 30°`` is a length, ``14.6 in newtons`` is not."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from grader.notation.pieces import Raw
from grader.notation.tables import load_table

_EQUAL = frozenset(("=", ":", "≈"))
_CLOSES = frozenset((",", ";", ")", "]", "}", ">", "\n", "=", "≈", "&", "@", "∠", ".", "—", "!"))
"""Signs before which no ``in the x direction`` and no ``in newtons`` can go on."""


@cache
def _words() -> tuple[frozenset[str], frozenset[str]]:
    table = load_table("sentences.toml")["inches"]
    return frozenset(table["before"]), frozenset(table["never_before"])


def are_inches(pieces: Sequence[Raw], position: int, after_feet: bool) -> bool:
    """Whether the ``in`` at a position, right behind a number, is a unit by what follows it.

    Behind a whole number of feet it is, unless what follows is said of a direction: ``5 ft 8 in off the ground``.
    """
    following = pieces[position + 1] if position + 1 < len(pieces) else None
    if following is None or following.symbol in _CLOSES:
        return not _is_said_again(pieces, position + 2)
    before, never = _words()
    if not following.word:
        return False
    if position + 2 < len(pieces) and pieces[position + 2].symbol in _EQUAL and len(following.word) == 1:
        return True  # b = 14.6 in c = 9.1 in
    return following.lower in before or (after_feet and following.lower not in never)


def _is_said_again(pieces: Sequence[Raw], position: int) -> bool:
    """``14.6 in, lb``: a unit on its own behind the sign, which the number may be meant in."""
    from grader.notation.units import simple_unit

    if position >= len(pieces):
        return False
    word = pieces[position].word
    named = position + 1 < len(pieces) and pieces[position + 1].symbol in ("=", ":", "≈")
    return bool(word) and not named and simple_unit(word) is not None and word not in ("N", "S")
