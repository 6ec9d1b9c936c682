"""What a spreadsheet program hands over in place of a text: numbers, dates made of fractions, times, missing values."""

from __future__ import annotations

import datetime
import math
import numbers
import re

from grader.notation.readings import Number, Quantity, Sense

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

_DATES = re.compile(
    r"""
      (?P<year>\d{4}) - (?P<month>\d{2}) - (?P<day>\d{2}) (?: [ T] 00:00 (?: :00 (?:\.0+)? )? )?    # 2026-01-02 00:00:00
    | (?P<day2>\d{1,2}) [-. ] (?P<name>[a-z]{3}) [a-z]* (?: [-. ] (?: \d{4} | \d{2} ) )?            # 2-Jan, 02-Jan-26
    | (?P<name2>[a-z]{3}) [a-z]* [-. ] (?P<day3>\d{1,2}) (?: ,?[ ]\d{4} )?                          # Jan-02
    | (?P<month2>\d{1,2}) / (?P<day4>\d{1,2}) / (?: \d{4} | \d{2} ) (?: [ ] 0?0:00 (?: :00 )? )?                  # 1/2/2026
    """,
    re.VERBOSE | re.IGNORECASE,
)

LONGEST_DATE = 26


def is_missing(value: object) -> bool:
    """None, NaN, and the missing values of table libraries."""
    if value is None:
        return True
    try:
        return bool(value != value)
    except Exception:
        return str(value) == "<NA>"


def cell_text(value: object) -> tuple[str, str]:
    """A cell's content as it would be typed, and the reason if it cannot be an answer.

    A number cell keeps no trailing zeros, so 62.0 comes back as ``62``.
    """
    if isinstance(value, bool):
        return str(value), "a spreadsheet's true or false, not an answer"
    if isinstance(value, datetime.time | datetime.timedelta):
        return str(value), "a spreadsheet turned it into a time of day"
    if isinstance(value, numbers.Real):
        number = float(value)
        if math.isinf(number):
            return str(value), "an infinite number"
        text = str(int(value)) if isinstance(value, numbers.Integral) else repr(number)
        return text.removesuffix(".0"), ""
    try:
        return str(value), ""
    except Exception:
        return "", "not a text"


def date_senses(month: int, day: int) -> tuple[Sense, ...]:
    """1/2 typed into a spreadsheet becomes 2 January or 1 February: both fractions are kept."""
    senses: list[Sense] = []
    for above, below in dict.fromkeys(((month, day), (day, month))):
        if below:
            note = f"a spreadsheet turned it into a date; read as {above}/{below}"
            senses.append(Sense(Quantity(Number(above / below, None)), (note,)))
    return tuple(senses)


def date_in_text(text: str) -> tuple[Sense, ...]:
    """The senses of a date that a spreadsheet made of a fraction and exported as text; empty if it is no date."""
    if not 5 <= len(text) <= LONGEST_DATE:
        return ()
    match = _DATES.fullmatch(text)
    if match is None:
        return ()
    name = match["name"] or match["name2"]
    if name is not None:
        if name.lower() not in _MONTHS:
            return ()
        month = _MONTHS.index(name.lower()) + 1
    else:
        month = int(match["month"] or match["month2"])
    day = int(match["day"] or match["day2"] or match["day3"] or match["day4"])
    return date_senses(month, day) if max(month, day) <= 31 and min(month, day) <= 12 else ()
