"""Readings that are not what the box or the words around them speak of."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from itertools import pairwise

from grader.notation.closeness import apart, are_close
from grader.notation.closing import is_complete
from grader.notation.leftovers import numbers_of
from grader.notation.pieces import Token
from grader.notation.readings import (
    BoxKind,
    Components,
    Direction,
    Labelled,
    Meaning,
    NoSolution,
    Polar,
    Quantity,
    Several,
)
from grader.notation.sameness import has_unit

A_SIDE_ALONE = "a side is said of a number, and the number is not read"


def astray_reason(found: Sequence[Meaning], tokens: Sequence[Token], text: str, box: BoxKind) -> str:
    """Why what was found is not what the box or the words around it speak of; ``""`` where it may be."""
    if box == "angle" and "right angle" in text.lower() and not any(90.0 in numbers_of(meaning) for meaning in found):
        return "speaks of a right angle and gives another number"
    if box == "triangle" and _NAMES_A_PART.search(text) is not None and not any(map(_is_of_parts, found)):
        return "it is not clear which part is meant"
    if (
        box in ("quantity", "components")
        and (said := _SAYS_NEGATIVE.search(text))
        and not any(map(_is_negative, found))
    ):
        return f"“{said[0].strip()}” is said, and the number is positive"
    if box == "quantity" and all(map(_is_a_side, found)) and any(token.kind == "m" for token in tokens):
        return A_SIDE_ALONE
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


def is_beside_the_box(meaning: Meaning, left: Sequence[str], text: str, box: BoxKind, working: bool) -> bool:
    """Whether a meaning is not what the box asks for, or not all of it, while numbers of the text were left out.

    One of those may be the answer: ``-755.0 m so it is going south`` where a component is asked. A meaning of another kind
    may stand only where it holds every number.
    """
    if box == "direction" and isinstance(meaning, Polar) and working and _is_no_length(meaning, text):
        return True  # 90 − 40.46 = 49.54; course 050°: no length
    if box in ("quantity", "angle") and isinstance(meaning, Direction) and meaning.form == "compass point":
        return any(map(str.isdigit, text))  # 0.97 rad ... that I left it like that?
    if isinstance(meaning, Several) and _TAKES_BACK.search(text) is not None:
        return True
    last = _LAST_RESULT.search(text)
    if last is not None and box in ("direction", "quantity") and any(last[1] == one.strip(" °") for one in left):
        return True  # 35 + 14.5 = 049.5°
    if (
        last is not None
        and box == "direction"
        and _is_another(meaning, last[1])
        and _GIVES_A_REASON.search(text) is None
    ):
        return True
    if not left:
        return False
    if box == "direction" and isinstance(meaning, Direction) and meaning.form == "compass point":
        return _GIVES_A_REASON.search(text) is None and not _tells(left, meaning)  # 91.7, so straight up
    if box == "quantity" and isinstance(meaning, Quantity) and _is_of_other_sign(meaning, left, text):
        return True  # 755.0 m, so -755.0
    if box == "triangle" and isinstance(meaning, Labelled):
        return not _named_parts(text) <= {name.lower() for name in meaning.parts}
    asked = _ASKED[box]
    whole = meaning.meanings if isinstance(meaning, Several) else (meaning,)
    return not all(isinstance(one, asked) and (box == "quantity" or is_complete(one, box)) for one in whole)


_GIVES_A_REASON = re.compile(r"\b(?:check|because|cause|cuz|bc|since)\b", re.IGNORECASE)
_LAST_LETTERS = 24
_OF_A_FUNCTION = re.compile(r"(?:sin|cos|tan)(?! ?\^? ?-1)[^=]*$")


def _is_reason(text: str, equals: int) -> bool:
    """Whether what ends at the last equals sign is a check, a reason, or the value of a function."""
    front = text[max(0, equals - _LAST_LETTERS) : equals]
    return _GIVES_A_REASON.search(text) is not None or _OF_A_FUNCTION.search(front) is not None


def _is_another(meaning: Meaning, last: str) -> bool:
    """Whether the number behind the last equals sign is not the direction's, in whatever way an angle is written."""
    direction = meaning.direction if isinstance(meaning, Polar) else meaning
    if not isinstance(direction, Direction):
        return False
    length = meaning.magnitude.number.value if isinstance(meaning, Polar) and meaning.magnitude is not None else None
    number = float(last.rstrip(".,").replace(",", ".")) if last.count(",") + last.rstrip(".,").count(".") < 2 else None
    same = (direction.written, direction.angle, 90.0 - direction.angle, direction.angle / 0.9, direction.written / 0.9)
    turned = number is not None and any(apart(one, number) < 1.0 for one in same)
    return not (number is None or number == length or turned or abs(math.radians(direction.angle) - number) < 0.1)


_TAKES_BACK = re.compile(
    r"\b(?:no wait|wait no|wait|scratch that|oops|whoops|nvm|never ?mind|i mean|calculator (?:says|said|gave|gives|shows))\b",
    re.IGNORECASE,
)
"""Of two values beside one of these, one does not count; where it is not clear which, neither does."""

_OF_A_LENGTH = re.compile(r"\b(?:R|F|V|mag|magnitude|speed|size|length)\b *[=:|]", re.IGNORECASE)


def _tells(left: Sequence[str], point: Direction) -> bool:
    """Whether every number that was left out is the angle of a point of the compass: ``135°, aka NW``."""
    numbers = [float(match[0]) for one in left if (match := _NUMBER.search(one.replace(",", "."))) is not None]
    return all(min(apart(number, point.angle), apart(90.0 - number, point.angle)) < 1.0 for number in numbers)


_NUMBER = re.compile(r"\d+(?:\.\d+)?")


def _is_of_other_sign(meaning: Quantity, left: Sequence[str], text: str) -> bool:
    """Whether the same number was left out with a minus sign, behind the one that was read."""
    if meaning.number.value <= 0:
        return False
    for one in left:
        signed = one.replace(" ", "")
        if signed[:1] == "-" and (size := _NUMBER.search(signed.replace(",", "."))) is not None:
            same = abs(float(size[0]) - meaning.number.value) < 1e-9
            if same and text.rfind(signed) > text.find(signed[1:]):
                return True
    return False


def _is_no_length(meaning: Polar, text: str) -> bool:
    bare = meaning.magnitude is not None and meaning.magnitude.unit is None
    return bare and _OF_A_LENGTH.search(text) is None


_LAST_RESULT = re.compile(r"[=≈] ?([-+]?\d[\d.,]*)[ °]{0,2}[A-Za-z/]{0,6}[\s.!]*$")

_ASKED: dict[BoxKind, tuple[type, ...]] = {
    "quantity": (Quantity, NoSolution),
    "angle": (Quantity, Direction, NoSolution),
    "direction": (Direction, Quantity, NoSolution),
    "polar": (Polar, Components, NoSolution),
    "components": (Components, Polar, NoSolution),
    "triangle": (Labelled, NoSolution),
}

_VALUE_OF_A_PART = re.compile(r"(?<![\w/(^])([ABCabc]) ?= ?(?=[-+]?\d[\d.,]*+ ?°?(?:[ ,;\n]|$))")


def _named_parts(text: str) -> set[str]:
    return {name.lower() for name in _VALUE_OF_A_PART.findall(text)}


_SAYS_NEGATIVE = re.compile(
    r"\b(?:is|are|it's|its|both|so|also) negative\b(?! ?[xy\d(])|\bin the negative direction\b", re.IGNORECASE
)
"""``46.2 kN. The sign is negative``: said behind the number, or of it."""


def _is_a_side(meaning: Meaning) -> bool:
    return isinstance(meaning, Direction) and meaning.form == "compass point"


def _is_negative(meaning: Meaning) -> bool:
    return isinstance(meaning, Direction | Polar | NoSolution) or any(number < 0 for number in numbers_of(meaning))


_NAMES_A_PART = re.compile(r"\b[ABCabc](?:_?\{?[12]\}?)? ?=|(?:\b(?:[Aa]ngle|[Ss]ide) |∠ ?)[ABCabc]\b")


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
