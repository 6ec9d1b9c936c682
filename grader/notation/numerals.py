"""One numeral as written: its value, its place, and what the decimal mark leaves open."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from grader.notation.readings import DecimalMark, Number

NUMERAL = r"""
    (?: [0-9]++ (?! [ '][0-9]{3} )                                  # whole part with no group after it
      | [0-9]{1,3} (?: [ ] [0-9]{3} )+ (?! [0-9] | [.,][0-9]{3} | \s?/ )     #   or in groups: 1 234
      | [0-9]{1,3} (?: ' [0-9]{3} )+ (?! [0-9'"″′] )                     #   or 1'234
      | [0-9]+                                                        #   or beside three digits: 62 353
      | (?= [.][0-9] ) )                                              #   or none: .5
    (?: [.,] [0-9]+ )*                                                # groups and decimals: ,234.5
    (?: [.] (?! [0-9.] ) )?                                         # 62.
    (?: [eE] [+-]? [0-9]{1,3} (?! [0-9.°] | \s*° )                     # e-2
      | [eE] (?: [+] [0-9]{1,2} | -0[0-9] ) (?! [0-9.] )              #   E+02 °, as programs print it
      | e [0-9]{1,2} (?= \s*° (?! \s*[NSns] ) ) )?                     #   e2°, but not E 7° S
"""

_GROUPED_BY_COMMA = re.compile(r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d*)?")
_GROUPED_IN_INDIA = re.compile(r"[1-9]\d?(?:,\d{2})+,\d{3}(?:\.\d*)?")
_GROUPED_BY_POINT = re.compile(r"[1-9]\d{0,2}(?:\.\d{3})+(?:,\d*)?")


LONGEST = 40
"""A numeral of more characters is no answer; it keeps values finite and places above zero."""

LARGEST_POWER = 60


@dataclass(frozen=True, slots=True)
class Numeral:
    """A numeral and the number it stands for; ``other`` is its second sense where the decimal mark leaves one."""

    number: Number
    digits: str  # as float() reads it
    note: str = ""
    other: Number | None = None
    other_digits: str = ""
    other_note: str = ""


def plain_number(digits: str) -> Number:
    """The number of a plain decimal numeral (``62.0``, ``.5``, ``6.2e1``); its value is exactly ``float(digits)``."""
    value = float(digits)
    mantissa, _, exponent = digits.lower().partition("e")
    power = int(exponent) if exponent else 0
    whole, point, decimals = mantissa.partition(".")
    place = float(f"1e{power - len(decimals)}")
    if point or exponent:
        return Number(value, place, place)
    zeros = len(whole) - len(whole.rstrip("0")) if whole.strip("0") else 0
    return Number(value, place, float(f"1e{zeros}"))


@lru_cache(maxsize=16384)
def numeral(text: str, mark: DecimalMark = "point") -> Numeral | None:
    """The number that a numeral stands for, under a decimal point or a decimal comma; None if it is no numeral.

    >>> numeral("1,234.5").number.value, numeral("61,6").number.value, numeral("1.234", "comma").number.value
    (1234.5, 61.6, 1234.0)
    """
    compact = text.replace(" ", "").replace("'", "")
    if len(compact) > LONGEST or ("e" in compact.lower() and abs(int(re.split("[eE]", compact)[1])) > LARGEST_POWER):
        return None
    points, commas = compact.count("."), compact.count(",")
    if not commas and points <= 1:
        if mark == "comma" and _GROUPED_BY_POINT.fullmatch(compact):
            return _either(text, compact.replace(".", ""), "a point between thousands", compact, "with a decimal point")
        return _with_point(text, compact, mark)
    if not commas or (points and compact.rindex(",") > compact.rindex(".")):
        return _joined(compact.replace(".", "").replace(",", ".")) if _GROUPED_BY_POINT.fullmatch(compact) else None
    if _GROUPED_BY_COMMA.fullmatch(compact) and (points or commas > 1 or (mark != "comma" and " " not in text)):
        joined = compact.replace(",", "")
        if mark == "unsettled" and commas == 1 and not points:
            as_decimal = compact.replace(",", ".")
            return _either(text, joined, "a comma between thousands", as_decimal, "with a decimal comma")
        return _joined(joined)
    if points or commas > 1:
        if _GROUPED_IN_INDIA.fullmatch(compact):
            joined = compact.replace(",", "")
            return _joined(joined, f"read {text} as {joined}: grouped as in India")
        return None
    digits = compact.replace(",", ".")
    return _joined(digits, "" if mark == "comma" or " " in text else f"read {text} with a decimal comma")


def _joined(digits: str, note: str = "") -> Numeral:
    return Numeral(plain_number(digits), digits, note)


def _either(text: str, joined: str, why: str, other: str, other_why: str) -> Numeral:
    """Two senses, between which the decimal mark does not decide."""
    note, other_note = f"read {text} as {joined}: {why}", f"read {text} {other_why}"
    return Numeral(plain_number(joined), joined, note, plain_number(other), other, other_note)


def _with_point(text: str, compact: str, mark: DecimalMark) -> Numeral:
    note = ""
    if len(compact) >= 16 and "e" not in compact.lower():
        cured = f"{float(compact):.12g}"
        if "e" not in cured and len(cured) <= 11:
            return Numeral(plain_number(cured), cured, f"read {text} as {cured}: the last digits are a spreadsheet's")
    if mark == "comma" and "." in compact.rstrip("."):
        note = f"read {text} with a decimal point"
    return Numeral(plain_number(compact), compact, note)
