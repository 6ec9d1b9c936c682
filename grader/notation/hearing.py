"""What voice typing hears in place of what was said: ``why`` for y, ``ate point four`` for 8.4; and a decimal comma said aloud.

A word is taken for another only where its own sense has no place: ``why equals``, never ``that is why``.
"""

from __future__ import annotations

import re
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from grader.notation.readings import BoxKind, DecimalMark
from grader.notation.spoken import decimal_digits, number_run, whole_digits
from grader.notation.tables import load_table
from grader.notation.units import unit_words

_ONE_VALUE = frozenset(("quantity", "angle", "direction"))
_EQUALS = r" ?(?:equals?\b|is\b|=)"


def _words(section: str) -> dict[str, str]:
    table: dict[str, dict[str, str]] = load_table("words.toml")["misheard"]
    return table[section]


@cache
def _number_patterns() -> tuple[re.Pattern[str], re.Pattern[str]]:
    """Number words misheard before ``point`` and its digits: at the start, or behind a word that a number must follow."""
    numbers = "|".join(load_table("words.toml")["number_words"])
    start, inside = "|".join(_words("numbers")), "|".join(_words("numbers_inside"))
    before = "|".join(load_table("words.toml")["misheard"]["before_a_number"])
    point = rf"(?= point (?:(?:{numbers})\b|\d))"
    return (
        re.compile(rf"^(?:{start}){point}", re.IGNORECASE),
        re.compile(rf"\b((?:{before}) )({inside}){point}", re.IGNORECASE),
    )


@cache
def _name_patterns() -> tuple[re.Pattern[str], re.Pattern[str]]:
    """Names of components, and those of a triangle's sides, before what they are said to equal."""
    axes, sides = "|".join(_words("axes")), "|".join(_words("sides"))
    return (
        re.compile(rf"\b(?:{axes})(?=[ -](?:component|coordinate|direction|value|axis)\b|{_EQUALS})", re.IGNORECASE),
        re.compile(rf"\b(?:{sides})(?={_EQUALS})", re.IGNORECASE),
    )


@cache
def _behind_tens() -> re.Pattern[str]:
    """``sixty to newtons``, ``south eighty for east``: a digit heard as a little word behind tens, before a unit or a side."""
    tens = "|".join(("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety", "hundred"))
    return re.compile(
        rf"\b((?:{tens})[ -])(to|too|for|fore)(?= (?:newton|pound|kilo|met|mile|knot|f[eo][eo]t|degree|north|south|east|west))",
        re.IGNORECASE,
    )


@cache
def _tens_before_a_digit() -> re.Pattern[str]:
    """``sixty 6.1``, ``three hundred 11.1``: tens or hundreds in words, and the rest in digits."""
    numbers: dict[str, int] = load_table("words.toml")["number_words"]
    tens = "|".join(word for word, value in numbers.items() if 20 <= value < 100 and value % 10 == 0)
    ones = "|".join(word for word, value in numbers.items() if 1 <= value < 10)
    rest = r"(?:\.\d+)?(?![\d.,/:'°]*\d)"
    return re.compile(
        rf"\b(?:(?P<hundreds>{ones}) hundred (?:and )?(?P<below>[1-9]\d?{rest})|(?P<tens>{tens})[ -](?P<ones>[1-9]{rest}))",
        re.IGNORECASE,
    )


def _added(match: re.Match[str]) -> str:
    numbers: dict[str, int] = load_table("words.toml")["number_words"]
    if match["tens"]:
        return f"{numbers[match['tens'].lower()] // 10}{match['ones']}"
    whole, point, decimals = match["below"].partition(".")
    return f"{numbers[match['hundreds'].lower()]}{whole:0>2}{point}{decimals}"


@cache
def _letter_o() -> re.Pattern[str]:
    """``o four nine``: a zero before the other digits of a bearing."""
    digits = "|".join(word for word, value in load_table("words.toml")["number_words"].items() if value < 10)
    return re.compile(rf"(?<![\w.])o(?= (?:{digits}|o)\b)", re.IGNORECASE)


def as_said(text: str, box: BoxKind) -> str:
    """The text with the words that were misheard put right.

    >>> as_said("The force is ate point four Newtons", "quantity")
    'The force is eight point four Newtons'
    >>> as_said("ex equals 3 and why equals 4", "components"), as_said("bee equals 9 feet", "triangle")
    ('x equals 3 and y equals 4', 'b equals 9 feet')
    """
    if " point " in text:
        start, inside = _number_patterns()
        if box not in ("direction", "polar") or text[:3].lower() != "to ":  # to point 45° west of north
            text = start.sub(lambda match: _words("numbers")[match[0].lower()], text)
        text = inside.sub(lambda match: match[1] + _words("numbers_inside")[match[2].lower()], text)
    lower = text.lower()
    if "o " in lower and box in ("direction", "polar"):
        text = _letter_o().sub("zero", text)
    if "ty " in lower or "hundred " in lower:
        text = _behind_tens().sub(lambda match: match[1] + _words("numbers")[match[2].lower()], text)
        text = _tens_before_a_digit().sub(_added, text)
    if "why" in lower or "ex" in lower:
        text = _name_patterns()[0].sub(lambda match: _words("axes")[match[0].lower()], text)
    if box == "triangle" and ("be" in lower or "se" in lower):
        text = _name_patterns()[1].sub(_side, text)
    return text


_AFTER = frozenset(("and", "comma", "side", "then"))
"""Words behind which a name can stand."""


def _side(match: re.Match[str]) -> str:
    """The name of a side, where a name can stand: at the start, behind a value or behind a joint; not in ``should be = 5``."""
    front = match.string[: match.start()].rstrip()
    begins = not front or front[-1] in ",;.(" or "\n" in match.string[len(front) : match.start()] or front[-1].isdigit()
    word = front[front.rfind(" ") + 1 :].lower()
    return _words("sides")[match[0].lower()] if begins or word in _AFTER or word in unit_words() else match[0]


# ------------------------------------------------------------------------------- commas said aloud


class Commas(NamedTuple):
    """A text with commas said aloud between whole numbers: as it is read, and another way, which counts where the first
    gives nothing or both may be meant."""

    text: str
    other: str
    both: bool


def spoken_commas(text: str, box: BoxKind, mark: DecimalMark) -> Commas | None:
    """How commas that are said between whole numbers can be taken; None where they say nothing of their own.

    In a class that writes decimal commas, ``27 comma 5`` is 27.5 where one value is asked; elsewhere both may be meant.
    In any other class they part two numbers first. Of four numbers in a row the outer commas are decimal; of three, it
    is not clear which is.

    >>> spoken_commas("twenty seven comma five degrees", "direction", "comma").text
    '27,5 degrees'
    """
    runs = list(number_run().finditer(text))
    joints = [
        index
        for index, (one, other) in enumerate(pairwise(runs))
        if text[one.end() : other.start()].lower() == " comma "
        and not (one["decimals"] or other["decimals"] or _goes_on(text, one.start(), other.end()))
    ]
    chosen = [index for index in joints if index - 1 not in joints and index + 1 not in joints]
    if len(joints) == 3 and joints[0] + 2 == joints[2] and mark == "comma":
        chosen = [joints[0], joints[2]]
    elif not chosen or len(chosen) < len(joints):
        return None
    first, second = runs[chosen[0]], runs[chosen[0] + 1]
    if box == "angle" and len(chosen) == 1 and _add_up(first[0], second[0]):
        return Commas(text.replace(" comma ", " or "), "", False)
    decimal, end = "", 0
    for index in chosen:
        one, other = runs[index], runs[index + 1]
        whole, decimals = whole_digits(one[0]), decimal_digits(other[0])
        if whole is None or decimals is None:
            return None
        decimal += text[end : one.start()] + whole + ("," if mark == "comma" else ".") + decimals
        end = other.end()
    decimal += text[end:]
    one_value = box in _ONE_VALUE
    if mark == "comma":
        return Commas(decimal, "" if one_value else text, not one_value)
    return Commas(text, decimal, one_value)


def _goes_on(text: str, start: int, end: int) -> bool:
    """Whether the numbers around a comma go on on either side: 3.5 comma 2.5, 1/2 comma 3."""
    return text[start - 1 : start] in tuple(".,/√") or _MORE.match(text, end) is not None


_MORE = re.compile(r"[.,]\d| ?/| point\b")


def _add_up(one: str, other: str) -> bool:
    """Whether two whole numbers make 180 together, as the two angles with one sine do."""
    return one.isdigit() and other.isdigit() and int(one) + int(other) == 180
