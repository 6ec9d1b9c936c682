"""Words in which a text recogniser, or a hurried hand, left a 0 for an o and a 1 for an l or an i: ``N0 so1ution``.

A word is mended when it becomes one that is known; ``no`` is two letters long, and only before what there is none of.
"""

from __future__ import annotations

import re
from functools import cache

from grader.notation.pieces import words
from grader.notation.tables import load_table
from grader.notation.units import unit_words

SHORTEST_WORD = 4
"""Shorter words may be something else: N0W is a bearing. ``of`` is the one exception."""

_LETTERS = (str.maketrans("01|", "oll"), str.maketrans("01|", "oii"))
_MIXED = re.compile(r"(?<![\w.,|])(?:0[fF]|[A-Za-z](?=[A-Za-z]*[01|])[A-Za-z01|]{3,19})(?![\w|])")
_NO = re.compile(r"(?<![\w.,])[Nn]0(?= ([A-Za-z]+))")


@cache
def _none_words() -> frozenset[str]:
    """What follows ``no`` where something is said not to exist."""
    return frozenset(
        phrase.split()[1] for phrase in load_table("words.toml")["none"]["phrases"] if phrase.startswith("no ")
    )


@cache
def _known() -> frozenset[str]:
    said = (word for phrase in load_table("words.toml")["none"]["phrases"] for word in phrase.split())
    return frozenset(
        word for word in (*words().kinds, *unit_words(), *said) if len(word) >= SHORTEST_WORD or word == "of"
    )


def mended_words(text: str) -> str:
    """The text with a letter for the digit in every word that is then known.

    >>> mended_words("N0 so1ution"), mended_words("27.5° S 0f W"), mended_words("N0W")
    ('no solution', '27.5° S of W', 'N0W')
    """
    text = _MIXED.sub(_mended, text)
    return _NO.sub(lambda match: "no" if match[1].lower() in _none_words() else match[0], text)


def _mended(match: re.Match[str]) -> str:
    known = _known()
    for letters in _LETTERS:
        meant = match[0].lower().translate(letters)
        if meant in known:
            return meant
    return match[0]
