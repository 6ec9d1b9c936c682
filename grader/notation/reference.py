"""What an angle is counted from, where it stands before the value: ``angle below the x-axis = 7``, ``Fx (left) = 7 N``.

A name, what it is counted from or points to, an equals sign, a value: put behind the value, the reference is read as it is
everywhere else. Left before it, it would be lost with the name.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from grader.notation.meanings import degrees_unit, kinds_of
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind
from grader.notation.units import Unit, convert, find_unit

_BEFORE_VALUE = re.compile(
    r"""
    (?P<name> [RDXYb] )
    (?P<open> \( )? (?P<reference> (?: [o@hlckbTVANHSsEWC] | (?<=[hlo])[XY] | (?<=[NHSsEWA]),(?=[ck]) )+ ) (?(open) \)? )
    (?: (?P<equals> [=:]+ ) (?P<value> [nma] ) (?P<unit> (?<=n)N(?![na]) )?
      | (?P<alone> [na] ) (?= $ | [,;\n&(] ) )
    """,
    re.VERBOSE,
)
_WITHOUT_NAME = re.compile(
    r"(?:^|(?<=[,;\n]))(?P<reference>[ck]o?(?:[NHSsEW]|A)|[NHSsEW]o[NHSsEW])[=:]+(?P<value>[na])(?=$|[,;\n])"
)
"""``clockwise from N = 110``: a reference in place of a name."""

_AT_THE_START = re.compile(
    r"D?(?P<reference>o(?:[NHSsEW]|A)(?:,?[ck])?|[ck]o(?:[NHSsEW]|A))[=:,]*(?P<value>[na])(?=(?:,?[ck])?(?:$|[,;\n]))"
)
"""``from north, 358.3 clockwise``, ``from the +x axis counterclockwise 135``."""

_OF_A_LENGTH = re.compile(r"[@o]*N")
"""``magnitude in N = 62.0``: the unit."""


_FROM_ANOTHER = re.compile(r"o[SsEW]")
"""``azimuth (from south, clockwise) = 45°``: no bearing from north."""

_AXIS_AT_END = re.compile(r"(?:A|o[NHSsEW])$")
"""``angle below the x-axis 7``: without an equals sign only where the reference is complete."""


_UNIT_BEFORE_VALUE = re.compile(
    r"(?P<name>[RXYDPL?]|^|(?<=[,;\n]))[@(<]*(?P<unit>u|(?<=\()[Ns](?=\)))[)>]?[=:]+(?P<value>n)(?![NuHSsEWna])"
)


_ANGLE_UNIT_BEHIND = re.compile(r"(?P<value>n)(?P<open>\(|,)?(?P<unit>u)(?(open)\)?)(?=$|[,;\n])")


def _with_angle_units_joined(tokens: Sequence[Token], kinds: str) -> list[Token]:
    """``0.97 (radians)``: the unit behind a number, in brackets or not, marks an angle."""
    joined, done = list[Token](), 0
    for match in _ANGLE_UNIT_BEHIND.finditer(kinds):
        value, unit = tokens[match.start("value")], tokens[match.start("unit")].unit
        if unit is not None and unit.dimension == "angle" and value.number is not None:
            joined += [*tokens[done : match.start()], in_unit(value, unit)]
            done = match.end()
    return [*joined, *tokens[done:]]


def with_units_behind(tokens: Sequence[Token]) -> Sequence[Token]:
    """``F (kN) = 6.2``, ``θ (rad) = 1.92``: the unit that stands before the equals sign belongs to the value."""
    kinds = kinds_of(tokens)
    if "u" not in kinds and "(" not in kinds:
        return tokens
    if "u" in kinds and _ANGLE_UNIT_BEHIND.search(kinds) is not None:
        tokens = _with_angle_units_joined(tokens, kinds)
        kinds = kinds_of(tokens)
    tokens = _with_angles_joined(tokens, kinds)
    kinds = kinds_of(tokens)
    moved, done = list[Token](), 0
    for match in _UNIT_BEFORE_VALUE.finditer(kinds):
        written, value = tokens[match.start("unit")], tokens[match.start("value")]
        unit = written.unit or find_unit(written.text)
        if unit is None or value.number is None:
            continue
        equals = [token for token in tokens[match.start("unit") : match.start("value")] if token.kind in "=:"]
        if match["name"] == "?" and all(token.kind == ":" for token in equals):
            equals = [Token("=", ":")]  # v (m/s): 6.5, as v (m/s) = 6.5
        moved += [*tokens[done : match.end("name")], *(equals if match["name"] else ()), in_unit(value, unit)]
        done = match.end("value")
    return [*moved, *tokens[done:]]


_UNIT_BEHIND = re.compile(r"n(?:\([@o]?u\)|[@o]?u)(?![na])")


def _with_angles_joined(tokens: Sequence[Token], kinds: str) -> Sequence[Token]:
    """``5.43 (radians)``: a number and the unit of an angle that stands apart from it."""
    for match in reversed(list(_UNIT_BEHIND.finditer(kinds))):
        unit = next(token.unit for token in tokens[match.start() : match.end()] if token.kind == "u")
        if unit is not None and unit.dimension == "angle" and tokens[match.start()].number is not None:
            tokens = [*tokens[: match.start()], in_unit(tokens[match.start()], unit), *tokens[match.end() :]]
    return tokens


def in_unit(value: Token, unit: Unit) -> Token:
    """A number with the unit that stands apart from it."""
    number = value.number
    assert number is not None
    if unit.dimension != "angle":
        return Token("m", value.text, number, unit)
    token = Token("a", value.text, number)
    degrees = convert(1.0, unit, degrees_unit())
    token.sign = unit.symbol
    token.degrees = number.value * degrees
    token.place = None if number.place is None else number.place * degrees
    token.coarsest = token.place
    return token


def with_references_behind(tokens: Sequence[Token], box: BoxKind = "direction") -> Sequence[Token]:
    """The tokens with each reference that stands between a name and its value put behind the value."""
    kinds = kinds_of(tokens)
    if box == "direction" and (match := _AT_THE_START.match(kinds)) is not None:
        start, end = match.span("reference")
        value = match.start("value")
        tokens = [*tokens[:start], tokens[value], *tokens[start:end], *tokens[value + 1 :]]
        kinds = kinds_of(tokens)
    if "=" in kinds or ":" in kinds:
        for match in reversed(list(_WITHOUT_NAME.finditer(kinds))):
            start, end = match.span("reference")
            value = match.start("value")
            tokens = [*tokens[:start], tokens[value], *tokens[start:end], *tokens[value + 1 :]]
        kinds = kinds_of(tokens)
    if not any(kind in kinds for kind in "RDXYb") or _BEFORE_VALUE.search(kinds) is None:
        return tokens
    moved: list[Token] = []
    done = 0
    for match in _BEFORE_VALUE.finditer(kinds):
        name = match["name"]
        from_another = name == "b" and _FROM_ANOTHER.search(match["reference"]) is not None
        if name == "b" and not from_another:
            continue
        start, end = match.span("reference")
        reference = list(tokens[start:end])
        while reference and reference[0].kind == "@":
            del reference[0]
        value = match.start("value") if match["value"] else match.start("alone")
        if match["alone"] and not (name == "D" and _AXIS_AT_END.search(match["reference"])):
            continue
        if name == "R" and not _OF_A_LENGTH.fullmatch(match["reference"]):
            continue
        if name in "RXY":
            reference = [token for token in reference if token.kind not in "o@"]
        moved += tokens[done : match.start() + (not from_another)]
        if match["equals"]:
            moved += tokens[match.start("equals") : match.end("equals")]
        moved += [tokens[value], *reference]
        done = value + 1
    return [*moved, *tokens[done:]]
