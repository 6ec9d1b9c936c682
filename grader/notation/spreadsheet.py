"""What a spreadsheet program hands over in place of a text: numbers, dates made of fractions, times, missing values."""

from __future__ import annotations

import datetime
import math
import numbers
import re

TIME_REASON = "a spreadsheet turned it into a time of day"

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

_DATES = re.compile(
    r"""
      (?P<year>\d{4}) - (?P<month>\d{2}) - (?P<day>\d{2}) (?: [ T] 00:00 (?: :00 (?:\.0+)? )? )?  # 2026-01-02 00:00:00
    | (?P<day2>\d{1,2}) (?: [-. ] | \.[ ] ) (?P<name>[a-z]{3}) [a-z]* (?: [-. ] (?: \d{4} | \d{2} ) )?  # 2-Jan, 02-Jan-26
    | (?!maybe)(?P<name2>[a-z]{3}) [a-z]* [-. ] (?P<day3>\d{1,2}) (?: ,?[ ]\d{4} )?  # Jan-02
    | (?P<day5>\d{1,2}) \. (?P<month3>\d{1,2}) \. (?P<year3> \d{4} | \d{2} ) (?: [ ] 0?0:00 (?: :00 )? )?  # 02.01.2026
    | (?P<day6>\d{2}) \. (?P<month4>\d{2}) \.  # 02.01., the day and the month alone
    | (?P<month2>\d{1,2}) / (?P<day4>\d{1,2}) / (?P<year4> \d{4} | \d{2} ) (?: [ ] 0?0:00 (?: :00 )? )?  # 1/2/2026
    """,
    re.VERBOSE | re.IGNORECASE,
)

_TIME_OF_DAY = re.compile(
    r"""
    (?P<date> (?: \d{4}-\d{2}-\d{2} | \d{1,2}[./]\d{1,2}[./](?:\d{4}|\d{2}) ) [ T] )?
    \d{1,2} : \d{2} (?: :\d{2} (?:\.\d+)? )? (?P<half> [ ]? [ap] \.? m \.? )?
    """,
    re.VERBOSE | re.IGNORECASE,
)
"""12:00:00 AM, 2026-01-02 13:45:00. Without a date or a half of the day, 83:00:00 is an angle as surveyors write it."""

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
        return str(value), TIME_REASON
    if isinstance(value, numbers.Real):
        number = float(value)
        if math.isinf(number):
            return str(value), "an infinite number"
        text = str(int(value)) if isinstance(value, numbers.Integral) else repr(number)
        return text.removesuffix(".0"), ""
    try:
        text = str(value)
        is_object = isinstance(value, list | tuple | dict | set) or " at 0x" in text
        return text, "not a text" if is_object and not isinstance(value, str) else ""
    except Exception:
        return "", "not a text"


def date_reason(month: int, day: int, year: int | None = None) -> str:
    """Why a date is no answer, with everything that may have been typed where it stands.

    A program takes 1/2 or 2.1 for a day of the year at hand, and 1.61 for the first day of January 1961.

    >>> date_reason(1, 2)
    'a spreadsheet turned it into a date; 1/2, 2/1, 1.2 or 2.1 may have stood there'
    """
    pairs = [(month, day), (day, month)]
    if day == 1 and year is not None:
        pairs.append((month, year % 100))
    return _reason(pairs)


def _reason(pairs: list[tuple[int, int]]) -> str:
    typed = [f"{one}/{other}" for one, other in pairs] + [f"{one}.{other}" for one, other in pairs]
    *others, last = dict.fromkeys(typed)
    return f"a spreadsheet turned it into a date; {', '.join(others)} or {last} may have stood there"


def date_in_text(text: str) -> str:
    """The reason to set aside a date or a time of day that a spreadsheet exported as text; ``""`` if it is neither."""
    if not 5 <= len(text) <= LONGEST_DATE:
        return ""
    match = _DATES.fullmatch(text)
    if match is None:
        timed = _TIME_OF_DAY.fullmatch(text) if ":" in text else None
        return TIME_REASON if timed is not None and (timed["date"] or timed["half"]) else ""
    name = match["name"] or match["name2"]
    if name is not None:
        if name.lower() not in _MONTHS:
            return ""
        month = _MONTHS.index(name.lower()) + 1
    else:
        month = int(match["month"] or match["month2"] or match["month3"] or match["month4"])
    day = int(match["day"] or match["day2"] or match["day3"] or match["day4"] or match["day5"] or match["day6"])
    year = int(match["year"] or match["year3"] or match["year4"] or 0) or None
    if name is not None and match["day3"] and day > 31:
        return _reason([(month, day)])  # Jan-61: the month and the year
    return date_reason(month, day, year) if 0 < max(month, day) <= 31 and 0 < min(month, day) <= 12 else ""
