"""Whether a student says, in whatever words, that no answer is given: ``bro i have no clue``."""

from __future__ import annotations

import re
from functools import cache

from grader.notation.tables import load_table

_A_SIDE = frozenset("NHSsEWC")


@cache
def _patterns() -> tuple[re.Pattern[str], re.Pattern[str]]:
    """What gives up, and what says that there is no answer to be had: anything but the lone ``no`` of ``no clue``."""
    phrases = sorted(load_table("sentences.toml")["giving_up"]["phrases"], key=len, reverse=True)
    none = [phrase for phrase in load_table("words.toml")["none"]["phrases"] if phrase != "no"]
    return _any_of(phrases), _any_of(sorted(none, key=len, reverse=True))


def _any_of(phrases: list[str]) -> re.Pattern[str]:
    return re.compile(r"(?<![^\W\d_])(?:" + "|".join(map(re.escape, phrases)) + r")(?![^\W\d_])", re.IGNORECASE)


def gives_up(text: str, kinds: str) -> bool:
    """Whether a text without a value or a side, by the kinds of its tokens, says that no answer is given.

    One that says as well that there is none is an answer: ``no clue why but there is no triangle``.

    >>> gives_up("bro i have no clue", "?0?"), gives_up("no clue why, no triangle", "0??,0"), gives_up("no luck", "0?")
    (True, False, False)
    """
    if any(kind in "nma" for kind in kinds) or not _A_SIDE.isdisjoint(kinds) or any(map(str.isdigit, text)):
        return False
    giving_up, none = _patterns()
    rest = giving_up.sub("", text)
    return rest != text and none.search(rest) is None
