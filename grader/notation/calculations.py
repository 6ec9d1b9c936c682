"""Formulas of a spreadsheet or a program that were left standing: ``=25*COS(RADIANS(40))`` is its value, exact.

Angles are in radians there, and each number is followed by whether it is an angle in radians: a sine is taken of nothing
else, and an angle in radians is no answer by itself. Whatever leaves a doubt stays as it stands.

    sum      = product { ("+" | "-") product }
    product  = signed { ("*" | "/" | "%") signed }
    signed   = { "-" | "+" } power
    power    = primary [ ("^" | "**") signed ]
    primary  = number | constant [ "(" ")" ] | function "(" [ sum { separator sum } ] ")" | "(" sum ")"
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

from grader.notation.readings import DecimalMark
from grader.notation.tables import load_table

_GLUED_AT_COMMA = re.compile(r"(?<=[a-z] )(\d+),(?=\d+ ?(?:sin|cos|tan))|(?<=[a-z(])(\d+\)?),(?=\d+ ?(?:sin|cos|tan))")


def parted_at_commas(text: str) -> str:
    """A pair of calculations parted where a comma ties two numbers: ``(20cos35,20sin35)``.

    >>> parted_at_commas("(20cos35,20sin35)"), parted_at_commas("20,5cos35")
    ('(20cos35, 20sin35)', '20,5cos35')
    """
    return _GLUED_AT_COMMA.sub(lambda match: f"{match[1] or match[2]}, ", text)


EXACT = "\ue000"
"""Stands before a numeral that is the value of a formula, and has no place: a sign that no keyboard has."""

MAX_NESTING = 12
LARGEST = 1e60
SMALLEST = 1e-12

_WORD = r"[^\W\d_]+(?:\d[^\W\d_]*)?"
_NAME = rf"{_WORD}(?:\.{_WORD}){{0,2}}"
_TOKEN = re.compile(rf"\s*(?:(?P<name>{_NAME})(?!\w)|(?P<symbol>\*\*|[-+*/%^(),;\[\]]))")
_NUMBER = {
    ".": re.compile(r"\s*(\d+(?:\.\d*)?(?:[eE][-+]?\d{1,2})?|\.\d+)(?![\w.])"),
    ",": re.compile(r"\s*(\d+(?:[.,]\d+)?(?:[eE][-+]?\d{1,2})?)(?![\w.])"),
}
_LEAD = re.compile(r"\s*'?(?P<label>[^\W\d]\w{0,11}\s*[=:]\s*)?(?P<equals>=\s*)?")
_REST = re.compile(r"[^\d=()\[\]<>]*")
_SPREADSHEET = re.compile(r"(?:^'?|[\n;,=(])\s*=[^\n=]*[A-Z]{2}\d?\(")


class _NotWorkedOut(Exception):
    """A formula that is none, or leaves a doubt."""


class _Value(NamedTuple):
    """A number, the power of the radian in it, and the decimals that it was rounded to."""

    number: float
    radians: int = 0
    decimals: int | None = None


@cache
def _functions() -> dict[str, str]:
    table = load_table("functions.toml")
    return {spelling: name for name, spellings in table["functions"].items() for spelling in spellings}


@cache
def _constants() -> frozenset[str]:
    return frozenset(load_table("functions.toml")["constants"]["pi"])


@cache
def _libraries() -> frozenset[str]:
    return frozenset(load_table("functions.toml")["libraries"]["names"])


@cache
def _of_a_program() -> re.Pattern[str]:
    table = load_table("functions.toml")
    names = "|".join(map(re.escape, table["program"]["names"]))
    libraries = "|".join(table["libraries"]["names"])
    return re.compile(rf"(?<![\w.])(?:(?:{libraries})\.[a-z]|(?:{names})(?![^\W_]))", re.IGNORECASE)


def worked_out(text: str, mark: DecimalMark, notes: list[str]) -> str:
    """The text with the value of each formula in its place; as it stands where one of them leaves a doubt.

    >>> worked_out("=25*COS(RADIANS(60))", "point", []).replace(EXACT, ""), worked_out("25 cos(40)", "point", [])
    ('12.5', '25 cos(40)')
    """
    if "(" not in text or (_of_a_program().search(text) is None and _SPREADSHEET.search(text) is None):
        return text
    try:
        found = _pieces(text, mark)
    except _NotWorkedOut:
        return text
    notes.append("worked out a formula that was left standing")
    return found


def _pieces(text: str, mark: DecimalMark) -> str:
    opening, inside, closing = _inside(text)
    parts = _parted(inside)
    return opening + "".join(part if part in ("\n", ";", ",") else _piece(part, mark) for part in parts) + closing


_BRACKETED = re.compile(r"(\s*[(\[])(.*)([)\]][^\d()\[\]=]*)", re.DOTALL)


def _inside(text: str) -> tuple[str, str, str]:
    """A bracket around the whole text, and what is in it: the two components of a vector."""
    match = _BRACKETED.fullmatch(text)
    if match is None:
        return "", text, ""
    depth = 0
    for sign in match[2]:
        depth += (sign in "([") - (sign in ")]")
        if depth < 0:
            return "", text, ""
    return (match[1], match[2], match[3]) if len(_parted(match[2])) > 1 else ("", text, "")


def _parted(text: str) -> list[str]:
    """The text in pieces at its lines, and at each comma and semicolon outside of brackets, with these between."""
    parts = [""]
    depth = 0
    for index, sign in enumerate(text):
        depth += (sign in "([") - (sign in ")]")
        glued = sign == "," and text[index + 1 : index + 2].isdigit()
        if depth <= 0 and sign in "\n;," and not glued:
            parts += [sign, ""]
        else:
            parts[-1] += sign
    return parts


def _piece(piece: str, mark: DecimalMark) -> str:
    """A label, a formula and a unit, with the value in the formula's place; a piece without a formula as it stands."""
    if "(" not in piece:
        if _of_a_program().search(piece) is not None:
            raise _NotWorkedOut
        return piece
    lead = _LEAD.match(piece)
    assert lead is not None
    spreadsheet = bool(lead["equals"])
    comma = mark == "comma" or ";" in piece
    parser = _Parser(piece, lead.end(), spreadsheet, "," if comma else ".", mark)
    value = parser.sum(0)
    if abs(value.number) < SMALLEST:
        value = value._replace(number=0.0)  # 20·cos 90°, in binary digits
    rest = piece[parser.position :]
    unit = rest.strip().lower()
    in_radians = unit in ("rad", "rads", "radians")
    if not _REST.fullmatch(rest) or value.radians != in_radians or not abs(value.number) < LARGEST:
        raise _NotWorkedOut
    if not parser.called:
        return piece
    if value.decimals is not None:
        numeral = f"{abs(value.number):.{value.decimals}f}"
        numeral = numeral.replace(".", ",") if mark == "comma" else numeral
    else:
        numeral = f"{EXACT}{abs(value.number):.13g}"
    sign = "-" if value.number < 0 else ""
    return f"{lead['label'] or ''}{sign}{numeral}{rest}"


class _Parser:
    def __init__(self, text: str, position: int, spreadsheet: bool, decimal: str, mark: DecimalMark) -> None:
        self.text = text
        self.position = position
        self.spreadsheet = spreadsheet
        self.decimal = decimal
        self.mark = mark
        self.called = False

    def _symbol(self, *wanted: str) -> str:
        match = _TOKEN.match(self.text, self.position)
        if match is None or match["symbol"] not in wanted:
            return ""
        self.position = match.end()
        return match["symbol"]

    def sum(self, depth: int) -> _Value:
        value = self._product(depth)
        while sign := self._symbol("+", "-"):
            other = self._product(depth)
            if value.radians != other.radians:
                raise _NotWorkedOut  # π − 40: an angle in radians and one in degrees
            value = _Value(value.number + (other.number if sign == "+" else -other.number), value.radians)
        return value

    def _product(self, depth: int) -> _Value:
        value = self._signed(depth)
        while sign := self._symbol("*", "/", "%"):
            other = self._signed(depth)
            if sign != "*" and not other.number:
                raise _NotWorkedOut
            if sign == "*":
                value = _Value(value.number * other.number, value.radians + other.radians)
            elif sign == "/":
                value = _Value(value.number / other.number, value.radians - other.radians)
            elif value.radians != other.radians or self.spreadsheet or other.number < 0:
                raise _NotWorkedOut  # a spreadsheet's % is per cent
            else:
                value = _Value(value.number % other.number, value.radians)
        return value

    def _signed(self, depth: int) -> _Value:
        sign = self._symbol("+", "-")
        start = self.position
        value = self._power(depth)
        if sign == "-" and re.search(r"[*^]", self.text[start : self.position].partition("(")[0]):
            raise _NotWorkedOut  # -3^2 is 9 in a spreadsheet and -9 elsewhere
        return _Value(-value.number, value.radians) if sign == "-" else value

    def _power(self, depth: int) -> _Value:
        base = self._primary(depth)
        if not self._symbol("^", "**"):
            return base
        return self._raised(base, self._signed(depth + 1))

    def _raised(self, base: _Value, exponent: _Value) -> _Value:
        if base.radians or exponent.radians or abs(exponent.number) > 9 or (base.number <= 0 and exponent.number != 2):
            raise _NotWorkedOut
        return _Value(base.number**exponent.number)

    def _primary(self, depth: int) -> _Value:
        if depth > MAX_NESTING:
            raise _NotWorkedOut
        number = _NUMBER[self.decimal].match(self.text, self.position)
        if number is not None:
            self.position = number.end()
            return _Value(float(number[1].replace(",", ".")))
        if self._symbol("("):
            value = self.sum(depth + 1)
            if not self._symbol(")"):
                raise _NotWorkedOut
            return value._replace(decimals=None)
        match = _TOKEN.match(self.text, self.position)
        if match is None or not match["name"]:
            raise _NotWorkedOut
        self.position = match.end()
        written = match["name"]
        library, _, name = written.rpartition(".")
        if library and not _libraries().issuperset(library.lower().split(".")):
            raise _NotWorkedOut
        if name.lower() in _constants():
            if self._symbol("(") and not self._symbol(")"):
                raise _NotWorkedOut
            return _Value(math.pi, 1)
        function = _functions().get(name.lower(), "")
        if not function or not self._symbol("("):
            raise _NotWorkedOut
        self.called = self.called or function != "round"  # rounding alone works nothing out
        return self._call(function, self._arguments(depth), name.isupper(), bool(library))

    def _arguments(self, depth: int) -> list[_Value]:
        """What stands in the brackets of a function; a list in them is that many arguments."""
        start = self.position
        bracketed = bool(self._symbol("["))
        found = [self.sum(depth + 1)]
        while self._symbol(";", ",") if self.decimal == "." or bracketed else self._symbol(";"):
            found.append(self.sum(depth + 1))
        if self.decimal == "," and len(found) == 1 and self._symbol(","):
            found.append(self.sum(depth + 1))  # 120, 50: a comma with a blank behind it parts the two
        if (bracketed and not self._symbol("]")) or not self._symbol(")"):
            raise _NotWorkedOut
        written = self.text[start : self.position]
        if self.mark != "point" and len(found) > 1 and ";" not in written and re.search(r"\d,\d", written):
            raise _NotWorkedOut  # hypot(3,4,5): decimal commas, or not
        return found

    def _call(self, function: str, arguments: Sequence[_Value], capitals: bool, of_a_library: bool) -> _Value:
        first = arguments[0]
        if function in ("hypot", "sumsq"):
            if len(arguments) < 2 or any(one.radians for one in arguments):
                raise _NotWorkedOut
            total = math.fsum(one.number**2 for one in arguments)
            return _Value(math.sqrt(total) if function == "hypot" else total)
        if function in _OF_TWO:
            if len(arguments) != 2:
                raise _NotWorkedOut
            return self._of_two(function, first, arguments[1], capitals)
        if len(arguments) != 1:
            raise _NotWorkedOut
        return _of_one(function, first, capitals or of_a_library)

    def _of_two(self, function: str, first: _Value, second: _Value, capitals: bool) -> _Value:
        if function == "power":
            return self._raised(first, second)
        if function == "round":
            decimals = second.number
            if first.radians or decimals not in range(9):
                raise _NotWorkedOut
            return _Value(round(first.number, int(decimals)), 0, int(decimals))
        if first.radians != second.radians:
            raise _NotWorkedOut
        if function == "mod":
            if second.number <= 0:
                raise _NotWorkedOut
            return _Value(first.number % second.number, first.radians)
        if self.spreadsheet != capitals or not (first.number or second.number):
            raise _NotWorkedOut  # a spreadsheet takes x before y, a program y before x
        x, y = (first, second) if self.spreadsheet else (second, first)
        return _Value(math.atan2(y.number, x.number), 1)


_OF_TWO = frozenset(("power", "round", "mod", "atan2"))


def _of_one(function: str, value: _Value, of_a_program: bool) -> _Value:
    number, radians = value.number, value.radians
    if function in ("sin", "cos", "tan"):
        small = of_a_program and not radians and abs(number) <= 2 * math.pi
        if radians != 1 and not small:
            raise _NotWorkedOut  # COS(40): degrees where radians were due, or so it seems
        return _Value(float(getattr(math, function)(number)))
    if function == "degrees" and radians in (0, 1):
        return _Value(math.degrees(number))
    if function == "abs":
        return _Value(abs(number), radians)
    if radians or (function == "sqrt" and number < 0) or (function in ("acos", "asin") and abs(number) > 1):
        raise _NotWorkedOut
    if function == "sqrt":
        return _Value(math.sqrt(number))
    if function == "radians":
        return _Value(math.radians(number), 1)
    return _Value(float(getattr(math, function)(number)), 1)
