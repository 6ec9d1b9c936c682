"""From tokens of a known form to meanings: quantities, directions, vectors."""

from __future__ import annotations

import math
from collections.abc import Sequence

from grader.notation.directions import AXES, compass_point, turn, wrapped
from grader.notation.grammar import direction_form
from grader.notation.pieces import Token
from grader.notation.readings import Components, Direction, Form, Number, Quantity
from grader.notation.units import Unit, simple_unit

Noted = tuple[Direction, tuple[str, ...]]

_SIDES = {"h": "N", "l": "S"}
_NEXT = {"E": "N", "N": "W", "W": "S", "S": "E"}  # counterclockwise
_BACK = {"N": "E", "E": "S", "S": "W", "W": "N"}  # clockwise

DEGREES_PER = {
    "deg": 1.0, "rad": 180.0 / math.pi, "mrad": 0.18 / math.pi, "µrad": 1.8e-4 / math.pi, "grad": 0.9,
    "arcmin": 1 / 60, "arcsec": 1 / 3600,
}  # fmt: skip
"""Degrees in one of each unit of an angle."""

ANGLE_SIGNS = {"mrad": "rad", "µrad": "rad", "arcmin": "dms", "arcsec": "dms"}
"""The units of which these are a part, as Direction.sign has them."""


def kinds_of(tokens: Sequence[Token]) -> str:
    return "".join([token.kind for token in tokens])


def degrees_unit() -> Unit:
    found = simple_unit("deg")
    assert found is not None
    return found


def quantity(tokens: Sequence[Token], unit: Unit | None = None) -> Quantity:
    """A number and its unit; angles in degrees."""
    token = tokens[0]
    if token.kind == "a":
        return Quantity(Number(token.degrees, token.place, token.coarsest), degrees_unit())
    assert token.number is not None
    following = next((one for one in tokens[1:] if one.kind in "uNs"), None)  # 62.0 (N)
    if following is not None:
        unit = following.unit or simple_unit("N" if following.value == "N" else "s")
    return Quantity(token.number, token.unit or unit)


def _angle(token: Token) -> tuple[float, float | None, str, float | None]:
    if token.kind == "a":
        return token.degrees, token.place, token.sign, token.coarsest
    assert token.number is not None
    if token.of_pi:
        return round(math.degrees(token.number.value), 10), None, "rad", None
    return token.number.value, token.number.place, "", token.number.coarsest


def _direction(angle: float, token: Token, form: Form, letters: tuple[str, str] | None = None) -> Direction:
    written, place, sign, coarsest = _angle(token)
    standard = wrapped(angle)
    if standard != written:
        standard = wrapped(round(standard, 10))  # 90 - 355.6 is 94.4, not 94.39999999999998
    return Direction(standard, written, place, form, letters, sign, coarsest)


def is_three_digit_bearing(token: Token) -> bool:
    """097, 045.5, 049°36': three digits before the mark, the first a zero."""
    whole = token.digits.partition(".")[0]
    return token.sign in ("", "deg", "dms") and len(whole) == 3 and whole[0] == "0" and whole.isdigit()


_WITH_A_SIDE = frozenset(("quadrant", "from", "from first", "from side", "from last", "between", "one letter"))


def directions(tokens: Sequence[Token]) -> list[Noted]:
    """What a direction's tokens can mean; empty when the letters do not go together (N 30° S)."""
    form = direction_form(kinds_of(tokens))
    by_kind = {token.kind: token for token in tokens}
    angle_token = by_kind.get("a") or by_kind.get("n")
    letters = [_SIDES.get(token.kind, token.value) for token in tokens if token.kind in "NHSsEWhlA"]
    if form == "point":
        return _point(tokens)
    assert angle_token is not None
    degrees = _angle(angle_token)[0]
    if degrees < 0 and (form in _WITH_A_SIDE or form.startswith("turned")):
        return []  # -20° S of E: turned twice, or once?
    if form == "plain":
        return _plain_or_raised(angle_token)
    if form == "true":
        return [(_direction(90.0 - degrees, angle_token, "true bearing"), ())]
    if form == "standard" or form == "turned alone":
        signed = -degrees if "c" in by_kind else degrees
        return [(_direction(signed, angle_token, "standard position"), ())]
    if form == "quarter" or (form == "quadrant" and _is_quarter(angle_token)):
        return _quarter_point(tokens, angle_token)
    if form == "quadrant" and "o" in by_kind:
        return _counted_either_way(tokens[0], letters, angle_token)
    if form == "quadrant":
        return _between(letters[0], letters[1], angle_token)
    if form == "from" and len(letters) == 2 and any(one.kind == "&" for one in tokens):
        return _two_letters("".join(letters), angle_token)  # 40° north and east
    if form == "from":
        return _from(letters[1], letters[0], angle_token)
    if form == "from side":
        return _from_side(tokens, angle_token)
    if form == "from first" and any(token.text.lower() == "between" for token in tokens):
        return _two_letters("".join(letters), angle_token)  # 40° between south and west: from either
    if form == "from first":
        return _from(letters[0], letters[1], angle_token)
    if form == "from last":
        return _from(letters[1], letters[0], angle_token)
    if form == "from point":
        return _from_point(by_kind["C"].value, letters[0], angle_token)
    if form == "between sides":
        within = [*by_kind["C"].value, *letters] if "C" in by_kind else letters
        return _between_sides(within, angle_token, tokens[0] is angle_token) if len(within) == 3 else []
    if form.startswith("turned"):
        return _turned(letters[0].rstrip("?"), "c" in by_kind, angle_token)
    if form == "from axis":
        return _from_axis(letters[0], "A" in by_kind, angle_token)
    if form == "between":
        pair = by_kind["C"].value if "C" in by_kind else "".join(letters)
        return _two_letters(pair, angle_token)
    return _one_letter(letters[0], angle_token)


def _plain(token: Token) -> Noted:
    degrees, _, _, _ = _angle(token)
    if is_three_digit_bearing(token):
        return _direction(90.0 - degrees, token, "true bearing"), ()
    return _direction(degrees, token, "plain angle"), ()


def _plain_or_raised(token: Token) -> list[Noted]:
    """3530: more than a circle, so perhaps 353 with the degree sign taken for a 0."""
    found = [_plain(token)]
    if (
        token.kind == "n"
        and token.digits.isdigit()
        and len(token.digits) > 2
        and token.digits.endswith("0")
        and 360 < int(token.digits) <= 3600
    ):
        fewer = float(token.digits[:-1])
        found.append(
            (
                Direction(wrapped(fewer), fewer, 1.0, "plain angle", None, "deg", 1.0),
                ("read the last 0 as a degree sign",),
            )
        )
    return found


def _point(tokens: Sequence[Token]) -> list[Noted]:
    letters = ""
    for token in tokens:
        letters += "b" if token.kind == "y" else "" if token.kind == "b" else token.value
    if len(letters) == 1:
        return [(Direction(AXES[letters], 0.0, None, "compass point", (letters, letters)), ())]
    found = compass_point(letters)
    return [(found, ())] if found is not None else []


def _is_quarter(token: Token) -> bool:
    """½ between two letters is half a point of the compass, not half a degree."""
    return (
        token.kind == "n"
        and token.number is not None
        and token.number.place is None
        and token.number.value in (0.25, 0.5, 0.75)
    )


POINT_DEGREES = 11.25
"""One point of the compass (Bowditch): the 32nd part of the circle."""


def _quarter_point(tokens: Sequence[Token], token: Token) -> list[Noted]:
    """``E ½ S``, ``SE by E 1/2 E``: a fraction of a point from a compass point toward a letter."""
    if not _is_quarter(token) or token.number is None:
        return []
    start = _point(tokens[: list(tokens).index(token)])
    if not start:
        return []
    base, goal = start[0][0].angle, AXES[tokens[-1].value]
    gap = (goal - base + 180.0) % 360.0 - 180.0
    step = token.number.value * POINT_DEGREES
    angle = wrapped(base + (step if gap > 0 else -step))
    return [(Direction(angle, token.number.value, None, "compass point"), ())]


def _from_point(point: str, letter: str, token: Token) -> list[Noted]:
    """``2 points north of NE``: from one of the 32 points toward one of the four directions, and no further than to it.

    Points alone, which are exact: nobody counts degrees from there.
    """
    start = compass_point(point)
    if start is None or token.place is not None:
        return []
    gap = (AXES[letter] - start.angle + 180.0) % 360.0 - 180.0
    degrees = _angle(token)[0]
    if not 0 <= degrees <= abs(gap) <= 90:
        return []
    return [(_direction(start.angle + math.copysign(degrees, gap), token, "compass point"), ())]


def _between_sides(letters: Sequence[str], token: Token, first: bool) -> list[Noted]:
    """``between south and west, 40° from south``: from one of the two sides that are named toward the other."""
    start, *sides = letters if first else (letters[2], *letters[:2])
    within = start in sides and 0 <= _angle(token)[0] <= 90
    return _from(start, sides[start == sides[0]], token) if within else []


def _between(first: str, second: str, token: Token) -> list[Noted]:
    """``S 83° E`` or ``E 7° S``."""
    degrees = _angle(token)[0]
    angle = turn(first, second, degrees)
    if angle is None:
        return []
    form: Form = "quadrant bearing" if first in "NS" else "from an axis"
    return [(_direction(angle, token, form, (first, second)), _range_note(degrees))]


def _counted_either_way(first: Token, letters: Sequence[str], token: Token) -> list[Noted]:
    """``down 40° from west``: from the side behind ``from``; ``south 40° from west`` may be a bearing, too."""
    found = _from(letters[1], letters[0], token)
    if first.text.lower().startswith(("up", "down")):
        return found
    return found + [
        one for one in _between(letters[0], letters[1], token) if found and one[0].angle != found[0][0].angle
    ]


def _from(start: str, toward: str, token: Token) -> list[Noted]:
    """``83° E of S``; an axis of unknown side (``below the horizontal``) has two senses."""
    if start.endswith("?"):
        return _from("E", toward, token) + _from("W", toward, token) if start[0] == "E" else _from("N", toward, token)
    degrees = _angle(token)[0]
    angle = turn(start, toward, degrees)
    if angle is None:
        return []
    return [(_direction(angle, token, "from an axis", (start, toward)), _range_note(degrees))]


def _from_side(tokens: Sequence[Token], token: Token) -> list[Noted]:
    """``40° above the horizontal, to the left``: the words of a side say which end of the axis is meant."""
    axis = next(one.value for one in tokens if one.kind == "A")
    side = next(one.value for one in tokens if one.kind in "EW")
    toward = next(_SIDES[one.kind] for one in tokens if one.kind in "hl")
    sure = axis == "W" or (axis == "E" and any("+" in one.text or "pos" in one.text.lower() for one in tokens))
    if axis[0] not in "EW" or (sure and axis != side):
        return []
    return _from(side, toward, token)


def _range_note(degrees: float) -> tuple[str, ...]:
    return () if 0 <= degrees <= 90 else ("an angle between two directions is counted from 0° to 90°",)


def _turned(start: str, clockwise: bool, token: Token) -> list[Noted]:
    degrees = _angle(token)[0]
    if start == "N" and clockwise:
        return [(_direction(90.0 - degrees, token, "true bearing"), ())]
    if start == "E" and not clockwise:
        return [(_direction(degrees, token, "standard position"), ())]
    toward = (_BACK if clockwise else _NEXT)[start]
    signed = -degrees if clockwise else degrees
    return [(_direction(AXES[start] + signed, token, "from an axis", (start, toward)), ())]


def _from_axis(start: str, named_axis: bool, token: Token) -> list[Noted]:
    """``353° from the positive x-axis``; ``7° from east`` does not say to which side."""
    degrees = _angle(token)[0]
    base = start.rstrip("?")
    if base == "E" and (named_axis or degrees > 90 or degrees < 0):
        return [(_direction(degrees, token, "standard position"), ())]
    if base == "N" and (degrees > 90 or is_three_digit_bearing(token)):
        return [(_direction(90.0 - degrees, token, "true bearing"), ())]
    sides = [_NEXT[base], _BACK[base]]
    return [noted for side in sides for noted in _from(base, side, token)]


def _two_letters(pair: str, token: Token) -> list[Noted]:
    """``74 SE``: from south toward east, or from east toward south."""
    if len(pair) != 2 or pair[0] == pair[1] or not 0 <= _angle(token)[0] <= 90:
        return []
    one = _between(pair[0], pair[1], token)
    other = _from(pair[1], pair[0], token)
    if one and other and one[0][0].angle == other[0][0].angle:
        return one
    return one + other


def _one_letter(letter: str, token: Token) -> list[Noted]:
    """``7° S``: of east or of west."""
    sides = ("E", "W") if letter in "NS" else ("N", "S")
    if not 0 <= _angle(token)[0] <= 90:
        return []
    return [noted for side in sides for noted in _from(side, letter, token)]


def toward(one: Quantity, letter: str, other: Quantity, other_letter: str) -> Components | None:
    """``61.6 E, 7.6 S`` as x and y; None when the two letters lie on one axis."""
    axis = {"E": ("x", 1.0), "W": ("x", -1.0), "N": ("y", 1.0), "S": ("y", -1.0)}
    parts: dict[str, Quantity] = {}
    for value, name in ((one, letter), (other, other_letter)):
        which, sign = axis[name]
        number = value.number
        parts[which] = Quantity(Number(sign * number.value, number.place, number.coarsest), value.unit)
    if len(parts) < 2:
        return None
    return shared_unit(Components(parts["x"], parts["y"]))


def shared_unit(pair: Components, unit: Unit | None = None) -> Components:
    """A unit written once holds for both components."""
    x, y = pair.x, pair.y
    common = unit or (x.unit if x else None) or (y.unit if y else None)
    if common is None:
        return pair
    if x is not None and x.unit is None:
        x = Quantity(x.number, common)
    if y is not None and y.unit is None:
        y = Quantity(y.number, common)
    return Components(x, y)
