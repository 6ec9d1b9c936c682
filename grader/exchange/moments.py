"""Dates and times as exports write them; two readings of one are kept until the export as a whole decides."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo

from grader.exchange.cells import Cell, is_blank, trimmed

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAY = r"(?P<day>\d{1,2})(?:st|nd|rd|th)?"
_MONTH = r"(?P<name>jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?"
_YEAR = r"(?P<year>\d{4})"
_DATES = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        rf"{_YEAR}[-/.](?P<month>\d{{1,2}})[-/.](?P<day>\d{{1,2}})",  # ISO 8601 and its relatives
        r"(?P<year>\d{4})(?P<month>\d{2})(?P<day>\d{2})(?=\Z|T)",  # the basic format of ISO 8601
        rf"{_DAY}[-\s./]*(?:of\s+)?{_MONTH}[-\s,./]*{_YEAR}",
        rf"{_MONTH}[-\s./]*{_DAY}[-\s,./]+{_YEAR}",
        r"(?P<first>\d{1,2})[-/.](?P<second>\d{1,2})[-/.](?P<year>\d{4}|\d{2})(?!\d)",
    )
)
_WEEKDAY = re.compile(r"\A(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+", re.IGNORECASE)
_TIME = re.compile(
    r"""[\s,T]* (?:at\s+)?
        (?P<hour>\d{1,2}) (?: [:.h] (?P<minute>\d{2}) (?: [:.] (?P<second>\d{2}) (?: [.,]\d+ )? )? )?
        \s* (?P<half>[ap]\.?m\.?)?
        \s* (?P<zone> Z | UTC | GMT | (?:UTC|GMT)?[+\-−]\d{1,2}(?::?\d{2})? )? \s*""",
    re.VERBOSE | re.IGNORECASE,
)
_OFFSET = re.compile(r"(?:UTC|GMT)?\s*(?P<sign>[+\-−])(?P<hours>\d{1,2})(?::?(?P<minutes>\d{2}))?", re.IGNORECASE)
_END_OF_DAY = time(23, 59, 59)
_LONGEST = 60
_SMALLEST_PLAIN_YEAR = 1900


@dataclass(frozen=True, slots=True)
class Dated:
    """A cell that was read as a moment: its reading with the day first, and with the month first; mostly the same.

    A reading that the calendar does not allow is None. A moment that named its zone carries it (``tzinfo``).
    ``with_time`` is false for a bare date; ``dotted`` is true for 03.04.2026, whose day is first by custom.
    """

    day_first: datetime | None
    month_first: datetime | None
    with_time: bool = True
    dotted: bool = False

    @property
    def certain(self) -> datetime | None:
        """The one reading there is; None where there are two. Numbers with dots are day, month and year (DIN 5008)."""
        if self.dotted or self.day_first is None or self.month_first is None:
            return self.day_first or self.month_first
        return self.day_first if self.day_first == self.month_first else None


def read_moment(cell: Cell) -> Dated | None:
    """A date with or without a time, as a spreadsheet keeps it or as people and programs write it; else None.

    >>> read_moment("11 March 2026, 9:05 pm").certain
    datetime.datetime(2026, 3, 11, 21, 5)
    """
    if isinstance(cell, datetime):
        return Dated(cell, cell, cell.time() != time())
    if isinstance(cell, date):
        whole = datetime.combine(cell, time())
        return Dated(whole, whole, with_time=False)
    text = _WEEKDAY.sub("", trimmed(cell)) if isinstance(cell, str) else ""
    if not text or len(text) > _LONGEST:
        return None
    for pattern in _DATES:
        match = pattern.match(text)
        if match is not None:
            clock = _clock(text[match.end() :])
            return None if clock is None else _dated(match, *clock)
    return None


def _dated(match: re.Match[str], clock: time, with_time: bool) -> Dated | None:
    parts = match.groupdict()
    year = int(parts["year"])
    year += 2000 if year < 100 else 0
    if year < _SMALLEST_PLAIN_YEAR:
        return None
    if "first" in parts:
        first, second = int(parts["first"]), int(parts["second"])
        readings = (_moment(year, second, first, clock), _moment(year, first, second, clock))
    else:
        name = parts.get("name")
        month = _MONTHS.index(name[:3].casefold()) + 1 if name else int(parts["month"])
        readings = (_moment(year, month, int(parts["day"]), clock),) * 2
    dotted = "first" in parts and match.group().count(".") == 2
    return None if readings == (None, None) else Dated(*readings, with_time=with_time, dotted=dotted)


def _moment(year: int, month: int, day: int, clock: time) -> datetime | None:
    try:
        return datetime.combine(date(year, month, day), clock)
    except ValueError:
        return None


def _clock(text: str) -> tuple[time, bool] | None:
    """The time of day behind a date, and whether one was given; None for a text that is none."""
    if not text.strip():
        return time(), False
    match = _TIME.fullmatch(text)
    if match is None:
        return None
    hour, minute, second = (int(match[part] or 0) for part in ("hour", "minute", "second"))
    if match["half"]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if match["half"][0] in "pP" else 0)
    elif match["minute"] is None:
        return None
    try:
        return time(hour, minute, second, tzinfo=read_zone(match["zone"]) if match["zone"] else None), True
    except ValueError:
        return None


def read_zone(text: str) -> tzinfo | None:
    """A time zone written as an offset (``+02:00``, ``UTC-5``), ``Z`` or ``UTC``, or by a name of the tz database.

    None where it is none of these.
    """
    said = text.strip()
    if said.casefold() in ("z", "utc", "gmt"):
        return UTC
    match = _OFFSET.fullmatch(said)
    if match:
        size = timedelta(hours=int(match["hours"]), minutes=int(match["minutes"] or 0))
        return timezone(size if match["sign"] == "+" else -size) if size < timedelta(hours=24) else None
    from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

    try:
        return ZoneInfo(said)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


def in_zone(moment: datetime, zone: tzinfo | None) -> datetime:
    """The moment on the clock of a zone, without its zone; one that names none is on that clock already."""
    if moment.tzinfo is None:
        return moment
    return (moment.astimezone(zone) if zone else moment).replace(tzinfo=None)


def end_of_day(dated: Dated) -> datetime | None:
    """A due time: where only a date was given, the end of that day."""
    moment = dated.certain
    if moment is None or dated.with_time:
        return moment
    return datetime.combine(moment.date(), _END_OF_DAY)


@dataclass(frozen=True, slots=True)
class Moments:
    """The cells of one column as moments on the homework's clock; ``doubtful`` and ``unread`` hold indices of cells.

    ``zoned`` tells whether some of them named a zone while the settings name none.
    """

    moments: tuple[datetime | None, ...]
    doubtful: tuple[int, ...] = ()
    unread: tuple[int, ...] = ()
    zoned: bool = False


def read_moments(cells: Sequence[Cell], date_order: str, time_zone: str) -> Moments:
    """Read a column of times together: a 23/04/2026 among them tells that 03/04/2026 has its day first too.

    ``date_order`` is ``day first``, ``month first`` or ``as the export``; ``time_zone`` as in the settings.
    """
    zone = read_zone(time_zone) if time_zone else None
    dated = [read_moment(cell) for cell in cells]
    order = date_order if date_order != "as the export" else _order_of(dated)
    moments: list[datetime | None] = []
    doubtful, unread = [], []
    zoned = False
    for index, (cell, each) in enumerate(zip(cells, dated)):
        moment = None
        if each is None:
            if not is_blank(cell):
                unread.append(index)
        else:
            moment = each.certain
            if order and (moment is None or date_order == order):
                moment = (each.day_first if order == "day first" else each.month_first) or moment
            if moment is None:
                doubtful.append(index)
        zoned = zoned or (moment is not None and moment.tzinfo is not None and zone is None)
        moments.append(None if moment is None else in_zone(moment, zone))
    return Moments(tuple(moments), tuple(doubtful), tuple(unread), zoned)


def _order_of(dated: Sequence[Dated | None]) -> str:
    """What the dates that can be read one way only say about the others; blank where they say nothing, or both."""
    day = any(each is not None and each.month_first is None for each in dated)
    month = any(each is not None and each.day_first is None for each in dated)
    return "" if day == month else "day first" if day else "month first"
