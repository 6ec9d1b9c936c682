"""Cells of the rubric as values: roundings, allowances, points, shares, words.

Each function takes a cell as written and raises CellError, which says what was expected; the caller adds the place.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from grader.exchange.cells import Cell, did_you_mean, fold, listed, quoted, trimmed
from grader.exchange.moments import end_of_day, read_moment, read_zone
from grader.marking.definitions import ALL_PROBLEMS, Deduction
from grader.methods.problem import Allowance, Rounding

_NUMBER = re.compile(r"[+\-−]?(?:\d+(?:[.,]\d*)?|[.,]\d+)")
_FIGURES = re.compile(
    r"(\d+)\s*(?:s\.?\s*f\.?|s\.?\s*d\.?|sig(?:nificant)?\.?\s*(?:fig(?:ure)?s?|digits?)\.?)", re.IGNORECASE
)
_DECIMALS = re.compile(r"(\d+)\s*(?:d\.?\s*p\.?|decimals?|decimal\s+places?|places?)", re.IGNORECASE)
_DEGREE = re.compile(r"\s*(?:°|º|˚|deg(?:rees?)?\.?)\Z", re.IGNORECASE)
_DURATION = re.compile(
    r"(?P<count>\d+(?:[.,]\d+)?)\s*(?P<unit>w|weeks?|d|days?|h|hrs?|hours?|min|mins|minutes?)\.?", re.IGNORECASE
)
_HOURS = {"w": 168.0, "d": 24.0, "h": 1.0, "m": 1 / 60}
_MOST_EXTRA = timedelta(days=400)
_ERRORS = re.compile(r"#(REF|NAME|VALUE|DIV/0|N/A|NULL|NUM)[!?]?", re.IGNORECASE)


class CellError(Exception):
    """A cell that does not hold what it should; ``expected`` and ``remedy`` are worded for a Fault."""

    def __init__(self, expected: str, remedy: str = "", found: str = "") -> None:
        super().__init__(expected)
        self.expected = expected
        self.remedy = remedy
        self.found = found


def text(cell: Cell) -> str:
    """The text of a cell; a number as one would write it. Dates and error values are spreadsheet damage."""
    if isinstance(cell, datetime | date | time | timedelta):
        raise CellError(
            "text or a number",
            "The spreadsheet program took what was typed for a date; format the cell as Text and type it again.",
            f"the date or time {quoted(cell)}",
        )
    said = trimmed(cell)
    if isinstance(cell, str) and _ERRORS.fullmatch(said):
        raise CellError("a value", "The formula in this cell failed; type the value itself.", f"the error {said}")
    return said


def number(cell: Cell) -> float:
    """A plain number, with a decimal point or a decimal comma."""
    if isinstance(cell, int | float) and not isinstance(cell, bool) and math.isfinite(cell):
        return float(cell)
    said = text(cell)
    if not _NUMBER.fullmatch(said):
        raise CellError("a number")
    return float(said.replace(",", ".").replace("−", "-"))


def points(cell: Cell) -> tuple[float, ...]:
    """``4``, or the points of each part: ``2 + 2``. None may be negative."""
    expected = "points such as 4, or 2 + 2 for the parts"
    parts = [part.strip() for part in text(cell).split("+")]
    try:
        values = tuple(number(part) for part in parts)
    except CellError as error:
        raise CellError(expected) from error
    if min(values) < 0:
        raise CellError(expected, "Points cannot be negative.")
    return values


def rounding(cell: Cell) -> Rounding:
    """``0.1``, ``1``, ``1°``, ``3 s.f.``, ``2 decimals``, ``exact``."""
    expected = "0.1, 1, 3 s.f. or exact"
    said = text(cell)
    if fold(said) == "exact":
        return Rounding("exact")
    if figures := _FIGURES.fullmatch(said):
        count = int(figures.group(1))
        if not 1 <= count <= 12:
            raise CellError(expected, "Significant figures are counted from 1 to 12.")
        return Rounding("figures", float(count))
    if decimals := _DECIMALS.fullmatch(said):
        if int(decimals.group(1)) > 12:
            raise CellError(expected, "At most 12 decimals can be asked for.")
        return Rounding("place", float(f"1e-{decimals.group(1)}"))
    try:
        value = number(_DEGREE.sub("", said))
    except CellError as error:
        raise CellError(expected) from error
    if not 1e-12 <= value <= 1e12:
        raise CellError(expected, "The place must be above zero.")
    power = round(math.log10(value))
    if not math.isclose(value, 10.0**power, rel_tol=1e-9):
        raise CellError(expected, "A place is a power of ten: 0.01, 0.1, 1, 10. For more room use the column Allow.")
    return Rounding("place", float(f"1e{power}"))


def allowance(cell: Cell) -> Allowance:
    """``0.2``, ``1%``, ``0.5°``, or two of them with ``;`` between."""
    expected = "an allowance such as 0.2, 1%, 0.5° or 0.2; 0.5°"
    found: dict[str, float] = {}
    for part in text(cell).split(";"):
        said = part.strip()
        bare = _DEGREE.sub("", said)
        kind = "degrees" if bare != said else "share" if said.endswith("%") else "amount"
        try:
            value = number(bare.removesuffix("%").strip())
        except CellError as error:
            raise CellError(expected) from error
        if value < 0:
            raise CellError(expected, "An allowance cannot be negative.")
        if kind in found:
            raise CellError(expected, "One allowance for lengths and one with ° for directions is all there can be.")
        found[kind] = value / 100 if kind == "share" else value
    return Allowance(**found)


def share(cell: Cell) -> float:
    """``75 %``, ``75%`` or ``0.75``, between nothing and all."""
    expected = "a share such as 75 % or 0.75"
    said = text(cell)
    percent = said.endswith("%")
    try:
        value = number(said.removesuffix("%").strip())
    except CellError as error:
        raise CellError(expected) from error
    value = value / 100 if percent else value
    if not 0 <= value <= 1:
        remedy = f"Write {value:g} % if that is meant." if 1 < value <= 100 and not percent else ""
        raise CellError(f"{expected}, from 0 % to 100 %", remedy)
    return value


def yes_or_no(cell: Cell) -> bool:
    said = fold(text(cell))
    if said in ("yes", "y", "true", "on", "1", "x"):
        return True
    if said in ("no", "n", "false", "off", "0"):
        return False
    raise CellError("yes or no")


def word(cell: Cell, words: Sequence[str], what: str = "") -> str:
    """One of the fixed words, letter case aside; a near miss is named in the remedy."""
    said = text(cell)
    for each in words:
        if fold(each) == fold(said):
            return each
    raise CellError(f"{what}{listed([f'“{each}”' for each in words])}", did_you_mean(said, words))


def moment(cell: Cell) -> datetime:
    """A due time, such as 2026-03-11 23:59; a date alone is the end of that day."""
    dated = read_moment(cell)
    if dated is None:
        raise CellError("a date and time such as 2026-03-11 23:59")
    due = end_of_day(dated)
    if due is None:
        raise CellError("a date and time such as 2026-03-11 23:59", "It can be read in two ways; write the year first.")
    if due.tzinfo is not None:
        raise CellError("a date and time without a zone", "Name the zone in the setting “time zone”.")
    return due


def time_zone(cell: Cell) -> str:
    said = text(cell)
    if read_zone(said) is None:
        raise CellError("a time zone such as +02:00, UTC or Europe/Lisbon")
    return said


def deduction(cell: Cell) -> Deduction:
    """``10 %`` of the points earned, or ``0.5`` or ``0.5 points`` off the homework."""
    expected = "a deduction such as 10 % or 0.5 points"
    said = fold(text(cell))
    bare = re.sub(r"\s*(points?|pts?\.?)\Z", "", said)
    try:
        if bare.endswith("%"):
            return Deduction(share(bare), "share")
        amount = number(bare)
    except CellError as error:
        raise CellError(expected, error.remedy) from error
    if amount < 0:
        raise CellError(expected, "A deduction cannot be negative.")
    return Deduction(amount, "points")


def duration(cell: Cell) -> timedelta:
    """``2 days``, ``36 hours``, ``1 week and 2 days``."""
    expected = "a time such as 2 days, 36 hours or 1 week"
    if isinstance(cell, timedelta):
        return cell
    said = text(cell)
    pieces = [each for each in re.split(r"\s*(?:(?<!\d),|,\s|\+|;|\band\b)\s*", said) if each]
    total = timedelta()
    for piece in pieces:
        match = _DURATION.fullmatch(piece)
        if match is None:
            bare = bool(_NUMBER.fullmatch(piece))
            raise CellError(expected, f"Say {piece} of what: {piece} days or {piece} hours." if bare else "")
        total += timedelta(hours=float(match["count"].replace(",", ".")) * _HOURS[match["unit"][0].casefold()])
    if total > _MOST_EXTRA:
        raise CellError(expected, "More than a year is taken for a slip.")
    return total


def excused(cell: Cell, labels: Sequence[str]) -> tuple[str, ...]:
    """``yes`` for the whole homework, or labels of problems with ``;`` or ``,`` between."""
    said = text(cell)
    if fold(said) not in map(fold, labels):  # 1 is the problem of that label before it is a yes
        if fold(said) in (ALL_PROBLEMS, "excused"):
            return (ALL_PROBLEMS,)
        try:
            return (ALL_PROBLEMS,) if yes_or_no(said) else ()
        except CellError:
            pass
    return tuple(word(each, labels, "yes, no, or ") for each in re.split(r"\s*[;,]\s*", said) if each)
