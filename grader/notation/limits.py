"""How long and how deep an answer may be: what is beyond is set aside unread."""

from __future__ import annotations

MAX_LENGTH = 500
"""Longer texts are essays, not answers: they are set aside unread."""

MAX_PIECES = 250
"""Numbers, words and signs. Working of 500 characters has some 230; more are signs without sense."""

MAX_EQUALS = 20
"""Equals signs. A page of working has a dozen; each is looked at as the end of what stands before it."""

LONGEST_LOOKED_AT_TWICE = 250
"""A longer text in which nothing is found is not taken another way: it has more doubts than one."""


def nests_deeper(text: str, limit: int) -> bool:
    """Whether more brackets than the limit ever stand open at once."""
    if text.count("(") + text.count("[") + text.count("{") + text.count("<") <= limit:
        return False
    standing = 0
    for sign in text:
        if sign in "([{<":
            standing += 1
            if standing > limit:
                return True
        elif sign in ")]}>" and standing:
            standing -= 1
    return False
