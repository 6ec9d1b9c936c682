"""The number or letter of the question before an answer: ``1) 62.0 lb``, ``(b) 353°``, ``Q4: N 30° E``, ``Part A: 12 ft``."""

from __future__ import annotations

import re

from grader.notation.units import simple_unit

_SIGNED = re.compile(r"(?:[1-9a-h]\)|\([a-h]\))\s+(?=[-+−]?[\d.√]|[A-Z<(]|[a-zθαβγ] ?[=:])|[1-9]\.\s+(?=[-+−]?\d+\.\d)")
_CALLED = re.compile(
    r"""
    (?! q [ ]? [1-4] [^\n]* ° )                                           # Q2: 45° may be of a quadrant
    (?: (?: q | qn | question | prob(?:lem)?\.? | part | number | no\.? | nr\.? | exercise | ex\.? | task ) [ ]? \#? | \# )
    (?: \d{1,2} [ ]? [a-h]? | [a-h] ) [ ]? (?: [:.)] (?! \d ) | [ ] - (?= [ ] ) ) \s* (?=\S)
    | \# \d{1,2} \s+ (?=\S)
    """,
    re.VERBOSE | re.IGNORECASE,
)
_SHORT = re.compile(r"(?:[Pp#][1-9]\d?[a-h]?\)? ?[:)]|[1-9][a-h][):])\s*(?=[-+−]?[\d√]|[A-Z<(]|[a-z] ?=)")
"""``P1: 67.0 kN``, ``1a) 67.0 kN``"""

_BEFORE_A_NAME = re.compile(
    r"(?:[1-9]|[a-h])\.\s+(?P<name>[A-Za-z]{2,}(?=[^\n]*\d)|[A-Za-zθφαβγ|∠][^\n]{0,12}?[=:]|[NS] ?\d)"
)
_NUMERAL_BEHIND = re.compile(r"[1-9]\.\s+(?=\d+(?![\d.,]))")

_SECOND_SIGNS = frozenset(").abcdefgh")
_BEGINS_SHORT = frozenset("Pp#123456789")
_FIRST_LETTERS = frozenset("qQpPnNeEtT#")


def without_number(text: str) -> str:
    """The text without the number of its question.

    >>> without_number("Q1: 62.0 N"), without_number("1. x = 4"), without_number("5. N"), without_number("c. 5")
    ('62.0 N', 'x = 4', '5. N', 'c. 5')
    """
    if text[1:2] in _SECOND_SIGNS:
        match = _SIGNED.match(text)
        if match is not None:
            return text if _goes_on(text[match.end() :], match[0].strip()) else text[match.end() :]
        named = _BEFORE_A_NAME.match(text)
        if named is not None and simple_unit(named["name"]) is None:
            return text[named.start("name") :]
    if text[:1] in _FIRST_LETTERS and (match := _CALLED.match(text)) is not None:
        return text[match.end() :]
    if text[:1] in _BEGINS_SHORT and (match := _SHORT.match(text)) is not None:
        return text[match.end() :]
    return text


def _goes_on(text: str, first: str) -> bool:
    """Whether the next number or letter of a list stands further on: ``1) B = 55.3°  2) B = 124.7°``."""
    sign = next(one for one in first if one.isalnum())
    following = first.replace(sign, chr(ord(sign) + 1))
    return following in text and re.search(rf"(?:^|[\s,;.]){re.escape(following)}\s", text) is not None


def behind_number(text: str) -> str:
    """``1. 67 kN``: what follows where the number may be of the question, or belong to the value; ``""`` anywhere else."""
    match = _NUMERAL_BEHIND.match(text) if text[1:2] == "." else None
    return text[match.end() :] if match is not None else ""
