"""A unit that stands apart from its number: behind it or before it, with a sign between, or another one than it has.

``kN 67.0`` and ``67.0 - kN`` are 67.0 kN; ``12.7 kN (knots)`` and ``68.5 m/ft`` say two things, and none is left out in silence.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from grader.notation.meanings import kinds_of
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind
from grader.notation.reference import in_unit

_BEFORE = re.compile(r"(?P<unit>u)[,:\n]?(?P<value>n)")
_BEHIND = re.compile(r"(?P<name>[RXYDP@]*[=:]*)(?P<value>n)[-:=]+(?P<unit>u)")
"""``67.0 - kN``, ``12.7 units: knots``."""

_ANGLE_AT_END = re.compile(r"[(<,]*(?P<unit>u)[)>]?$")
_ANGLE_AT_START = re.compile(r"^[(<]?(?P<unit>u)[)>]?(?=n)")
"""``2.356 (rad)``, ``N 49.6 E (degrees)``, ``degrees 49.4``: the unit of the one number without one."""

_OTHER = re.compile(r"(?P<value>m)[,;(<=:/-]+(?P<unit>u)|(?P<first>u)[)>]*[=:]+(?P<last>m)(?=[^nma]*$)")


def with_unit_joined(tokens: Sequence[Token], box: BoxKind) -> Sequence[Token]:
    """The tokens with a unit joined to the one number that there is."""
    if box in ("polar", "components"):
        tokens = _without_conversion(tokens)
    if box in ("direction", "angle", "polar"):
        return _with_angle_joined(tokens)
    if box != "quantity" or not 2 <= len(tokens) <= 8 or not any(token.kind == "u" for token in tokens):
        return tokens
    kinds = kinds_of(tokens)
    if kinds.endswith("mu") and tokens[-1].unit == tokens[-2].unit and len(tokens[-1].text) > 1:
        return tokens[:-1]  # 221.5 mph mph
    match = _BEFORE.fullmatch(kinds) or _BEHIND.fullmatch(kinds)
    if match is None:
        return tokens
    value, unit = tokens[match.start("value")], tokens[match.start("unit")].unit
    if value.number is None or unit is None or unit.dimension == "angle":
        return tokens
    return (
        [*tokens[: match.start("value")], Token("m", value.text, value.number, unit)]
        if match.re is _BEHIND
        else [Token("m", value.text, value.number, unit)]
    )


_CONVERTED = re.compile(r"(?P<first>m)[(]=*(?P<other>m)[)]")
_CONVERTS_TO = 0.02
"""How far a converted value, rounded, may be from the value itself, as a part of it."""


def _without_conversion(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens without a length again in another unit, in brackets: ``221.5 mph (= 99.0 m/s) at 138.9°``."""
    kept, done = list[Token](), 0
    for match in _CONVERTED.finditer(kinds_of(tokens)):
        one, other = tokens[match.start("first")], tokens[match.start("other")]
        if one.unit is None or other.unit is None or one.number is None or other.number is None:
            continue
        if one.unit == other.unit or one.unit.dimension != other.unit.dimension:
            continue
        value, again = one.number.value * one.unit.factor, other.number.value * other.unit.factor
        if abs(value - again) <= _CONVERTS_TO * abs(value):
            kept += tokens[done : match.start("first") + 1]
            done = match.end()
    return [*kept, *tokens[done:]] if done else tokens


def _with_angle_joined(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens with the unit at their end or start joined to the one number that has none."""
    kinds = kinds_of(tokens)
    if kinds.count("u") != 1 or kinds.count("n") != 1 or "a" in kinds:
        return tokens
    match = _ANGLE_AT_END.search(kinds) or _ANGLE_AT_START.search(kinds)
    if match is None:
        return tokens
    index, unit = kinds.index("n"), tokens[match.start("unit")].unit
    if unit is None or unit.dimension != "angle" or tokens[index].number is None:
        return tokens
    joined = [*tokens[:index], in_unit(tokens[index], unit), *tokens[index + 1 :]]
    return [*joined[: match.start()], *joined[match.end() :]]


def two_units(tokens: Sequence[Token], kinds: str, box: BoxKind) -> str:
    """Why a value with a unit of its own and another unit beside it may not be read; ``""`` if there is no such."""
    if box == "quantity" and kinds.endswith("ms") and tokens[-1].text == "s":
        length = tokens[-2].unit
        if length is not None and length.dimension == "length":
            return f"“{length.symbol} s” may have lost the slash of a speed"
    if "u" not in kinds or "m" not in kinds:
        return ""
    for match in _OTHER.finditer(kinds):
        value = tokens[match.start("value" if match["value"] else "last")]
        other = tokens[match.start("unit" if match["unit"] else "first")]
        if value.unit is None or other.unit is None or other.unit.dimension == "angle":
            continue
        if match["first"] and len(other.text) == 1:
            continue  # V(g) = 12.7 kn: over the ground
        if value.unit.dimension != other.unit.dimension or value.unit.factor != other.unit.factor:
            return f"“{value.text} {value.unit.symbol}” and beside it the unit “{other.text}”"
    return ""
