"""Working on lines of bare values: ``900 + 1600``, ``2500``, ``√2500``, ``50 N``. Where each line follows from the one above it,
the last line counts."""

from __future__ import annotations

import re
from collections.abc import Sequence

from grader.notation.closeness import are_close
from grader.notation.leftovers import is_same_number
from grader.notation.meanings import kinds_of, quantity
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind
from grader.notation.sameness import carried_unit, is_exact_form
from grader.notation.stating import is_plain
from grader.notation.units import convert

_LINE = re.compile(r"(?:[RDLP][=:]*)?(?:n|a|m|nN|nu)(?:=(?:n|a|m|nN|nu))*")
_BARE = re.compile(r"(?:n|m|nN)(?:\(?(?:n|m|nN)\)?)?")


def last_of_lines(tokens: Sequence[Token], box: BoxKind) -> list[Token]:
    """The last of two lines or more, each one value, where they are steps to it: they are all called by one name, or there is
    a calculation among them, or each says the same; empty where they may be several answers.

    A unit that stands on a line above with the same number is taken over.
    """
    if box not in ("quantity", "angle", "direction"):
        return []
    lines = _lines(tokens)
    if len(lines) < 2 or not all(_LINE.fullmatch(kinds_of(line)) for line in lines):
        return []
    values = [next(token for token in reversed(line) if token.kind in "nma") for line in lines]
    names = {(line[0].kind, line[0].text) for line in lines if line[0].kind not in "nma"}
    if len({name for name in names if name[0] == "P"}) > 1 or (
        any(kind == "D" for kind, _ in names) and box == "quantity"
    ):
        return []  # B = 54.1 and C = 90.9; R = 62 and below it θ = 353
    one_name = len(names) == 1 and all(line[0].kind not in "nma" for line in lines)
    worked_out = any(not is_plain(token) for line in lines[:-1] for token in line if token.kind in "nma")
    told = all(_say_the_same(one, values[-1]) for one in values[:-1])
    if not (one_name or worked_out or told):
        return []
    last = _result(lines[-1])
    if len(values) == 2 and is_exact_form(values[0]) and is_same_number(values[0], values[-1]):
        return []  # F = 5√2, and 7.07 below it: the exact form is an answer in itself
    named = last[:1] if last[0].kind not in "nma" else []
    return [*named, *carried_unit(list(last[len(named) :]), [token for line in lines[:-1] for token in line])]


def are_steps_to_components(tokens: Sequence[Token]) -> bool:
    """Whether lines of bare values work out two components one below the other, so that it is not said which are the answer."""
    lines = _lines(tokens)
    single = len(lines) > 1 and all(_BARE.fullmatch(kinds_of(line)) for line in lines)
    values = [token for token in tokens if token.kind in "nm"]
    many = len(values) > 2 or (len(values) == 2 and is_same_number(*values))
    return single and many and any(not is_plain(token) for token in tokens if token.kind in "nm")


def _lines(tokens: Sequence[Token]) -> list[list[Token]]:
    lines: list[list[Token]] = [[]]
    for token in tokens:
        if token.kind == "\n":
            lines.append([])
        else:
            lines[-1].append(token)
    return [line for line in lines if line]


def _result(line: Sequence[Token]) -> list[Token]:
    """A line without the steps of its chain: the name and the last value."""
    end = max((index for index, token in enumerate(line) if token.kind == "="), default=-1)
    if end <= 1:
        return [token for token in line if token.kind not in "=:"]
    name = [line[0]] if line[0].kind not in "nma" else []
    return [*name, *line[end + 1 :]]


def _say_the_same(one: Token, other: Token) -> bool:
    """Whether two values are one as far as their places tell, also in two units of one kind: ``0.25 h`` and ``15 min``."""
    if one.unit is None or other.unit is None or one.unit == other.unit:
        return is_same_number(one, other)
    if one.unit.dimension != other.unit.dimension:
        return False
    first, second = quantity([one]), quantity([other])
    value = convert(first.number.value, one.unit, other.unit)
    place = max(convert(first.number.place or 0.0, one.unit, other.unit), second.number.place or 0.0)
    return are_close(value, second.number.value, place)
