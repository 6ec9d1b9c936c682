"""Readings that are not what the box or the words around them speak of."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from grader.notation.closeness import are_close
from grader.notation.leftovers import numbers_of
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind, Components, Labelled, Meaning, NoSolution, Polar, Several
from grader.notation.sameness import has_unit


def astray_reason(found: Sequence[Meaning], tokens: Sequence[Token], text: str, box: BoxKind) -> str:
    """Why what was found is not what the box or the words around it speak of; ``""`` where it may be."""
    if box == "angle" and "right angle" in text.lower() and not any(90.0 in numbers_of(meaning) for meaning in found):
        return "speaks of a right angle and gives another number"
    if box == "triangle" and _NAMES_A_PART.search(text) is not None and not any(map(_is_of_parts, found)):
        return "it is not clear which part is meant"
    if box in ("quantity", "polar") and _is_square_alone(tokens, found):
        return "a square is a step to an answer, not one"
    if box in ("components", "polar") and _OF_BOTH.search(text) is not None and not any(map(_is_a_vector, found)):
        return "one value is said to hold for both"
    if (
        box == "triangle"
        and any(token.kind == "L" or token.text.lower() in _OF_SIDES for token in tokens)
        and not any(map(_is_of_parts, found))
    ):
        return "it is not clear which part is meant"
    units = [token.unit for token in tokens if token.kind == "u" and token.unit is not None]
    if any(unit.dimension != "angle" for unit in units) and not any(map(has_unit, found)):
        return "it is not clear what the unit belongs to"
    return ""


_NAMES_A_PART = re.compile(r"\b[ABCabc](?:_?\{?[12]\}?)? ?=")


_SQUARE = re.compile(r"\d+(?:\.\d+)? ?\^ ?2")


def _is_square_alone(tokens: Sequence[Token], found: Sequence[Meaning]) -> bool:
    """``54.1² = 32² + 43.6²``: an equation of squares; what they come to is no length."""
    for index, (token, following) in enumerate(pairwise(tokens)):
        begins = index == 0 or tokens[index - 1].kind in "\n;,"
        if not begins or following.kind != "=" or token.number is None or not _SQUARE.fullmatch(token.text):
            continue
        if any(are_close(token.number.value, one, 10.0) for meaning in found for one in numbers_of(meaning)):
            return True
    return False


_OF_SIDES = frozenset(("hyp", "hypotenuse"))
_OF_BOTH = re.compile(r"\b(?:both|each)\b", re.IGNORECASE)


def _is_a_vector(meaning: Meaning) -> bool:
    return isinstance(meaning, Polar) or (isinstance(meaning, Components) and None not in (meaning.x, meaning.y))


def _is_of_parts(meaning: Meaning) -> bool:
    several = isinstance(meaning, Several) and any(map(_is_of_parts, meaning.meanings))
    return several or isinstance(meaning, Labelled | NoSolution | Components | Polar)
