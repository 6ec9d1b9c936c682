"""Lines of working whose name is stated again below: ``C = 180 - 60 - 50`` above ``C = 70°``.

The later line counts. The earlier one is left out where it is a calculation: one that comes to the later value, or one with
letters, which comes to nothing by itself. Two plain values under one name may be two answers, and stay.
"""

from __future__ import annotations

import re

from grader.notation.digits import NotANumber
from grader.notation.leftovers import is_same_number
from grader.notation.meanings import kinds_of
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind, DecimalMark
from grader.notation.scanner import scan

_STATED = re.compile(r"\s*(\|?[A-Za-zα-ω]\w{0,3}\|?) ?=(?P<said>[^\n]*)$")
_WORKS = re.compile(r"sin|cos|tan|√|\d ?°?\)? ?[-+*/×·^(] ?\(?\d|\)\(")
_EQUATION = re.compile(r"\s*(?:\d++(?:\.\d++)? ?+°? ?+[-+] ?+)++(?P<unknown>[A-Za-zα-ω]) ?= ?\d+(?:\.\d+)? ?°?\s*")
"""``35° + 85° + C = 180°``: an equation for what a later line states."""


def is_stated_again(line: str, later: list[str], box: BoxKind, mark: DecimalMark) -> bool:
    """Whether a line works out what a later line states under the same name.

    >>> is_stated_again("C = 180 - 60 - 50", ["C = 70°"], "triangle", "point")
    True
    >>> is_stated_again("C = 180 - 60", ["C = 70°"], "triangle", "point")
    False
    """
    equation = _EQUATION.fullmatch(line)
    if equation is not None:
        return any(re.match(rf"\s*∠?{equation['unknown']} ?=", other) for other in later)
    match = _STATED.match(line)
    if match is None or "," in match["said"] or ";" in match["said"] or "⇒" in match["said"]:
        return False
    last = match["said"].rpartition("=")[2]
    if _WORKS.search(last) is None:
        return False
    again = [found["said"] for other in later if (found := _STATED.match(other)) is not None and found[1] == match[1]]
    if not again:
        return False
    value, result = _one_value(last, mark), _one_value(again[-1].rpartition("=")[2], mark)
    if value is None:
        return any(map(str.isalpha, re.sub(r"sin|cos|tan", "", last)))
    if box == "quantity" or (result is not None and value.kind == "m" and result.kind == "n"):
        return False  # F = 5√2 above F = 7.07 N: one answer in two forms
    return result is not None and is_same_number(value, result)


def _one_value(text: str, mark: DecimalMark) -> Token | None:
    """The number that a piece of text comes to, with or without its unit."""
    try:
        tokens = scan(text.strip(), "angle" if "°" in text else "quantity", mark).tokens
    except NotANumber:
        return None
    return tokens[0] if kinds_of(tokens) in ("n", "m", "nN", "nu", "a") else None
