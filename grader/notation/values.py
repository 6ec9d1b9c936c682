"""One value or one vector from tokens that hold nothing else."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from grader.notation import grammar
from grader.notation.closeness import are_close, are_one_direction
from grader.notation.grammar import direction_form
from grader.notation.meanings import (
    degrees_unit,
    directions,
    is_three_digit_bearing,
    kinds_of,
    quantity,
    shared_unit,
    toward,
)
from grader.notation.pieces import Token
from grader.notation.readings import (
    BoxKind,
    Components,
    Direction,
    Labelled,
    Meaning,
    Number,
    Polar,
    Quantity,
    Several,
)
from grader.notation.units import Unit

Noted = tuple[Meaning, tuple[str, ...]]

HALF_A_TURN = 180.0

TWICE_NOTE = "written in more than one form"

PI_NOTE = "π without a unit: read as radians"

_QUANTITY_FIRST = frozenset(("n", "N", "s", "nE", "nW", "nS", "nN", "ns", "nH", "nC"))
"""Kinds that are a quantity or a vector before they are a direction, unless the box asks for a direction."""

_DIRECTION_WORDS = frozenset("oTbhlckVA")


_UNIT_APART = re.compile(r"[(<]?(?P<value>n)(?:(?P<unit>[Ns])[)>]|[,\n(<]+(?P<apart>[Nu])[)>]*)")
"""``(62 N)``, ``62.0, N``: newtons where a length is asked, no compass point."""


def whole(tokens: Sequence[Token], kinds: str, box: BoxKind) -> list[Noted]:
    """Every meaning of the tokens as one value or one vector; empty when they are neither."""
    if "?" in kinds or "0" in kinds or not 0 < len(kinds) <= grammar.LONGEST_FORM:
        return []
    bare = kinds.lstrip("RXYDPL=:@\n")
    one_value = bare in ("n", "a", "m", "nN", "nu")
    if box not in ("quantity", "angle") and one_value and is_two_in_one(tokens[-len(bare)], box, kinds == "n"):
        return []
    if box == "quantity" and kinds in ("(m", "(m)", "(m))", "<m>", "<m", "<n>") and tokens[0].text != "<":
        return whole([tokens[1]], kinds[1], box)  # (62.0 lb), [62.0 lb]
    if box == "quantity" and kinds.endswith("nNN"):
        return whole(tokens[:-1], kinds[:-1], box)  # 88.1 N N
    if box == "quantity" and (within := _UNIT_APART.fullmatch(kinds)) is not None:
        unit = tokens[within.start("unit" if within["unit"] else "apart")]
        return whole([tokens[within.start("value")], unit], "n" + unit.kind, box)
    if kinds in ("<nN>", "(nN)") or (kinds[0] == "<" and kinds[-1] == ">" and grammar.is_signed_direction(kinds[1:-1])):
        return whole(tokens[1:-1], kinds[1:-1], box)  # [N 45° W], [62.0 N]
    span = grammar.quantity_span(kinds)
    if span is not None:
        found = _single(tokens, kinds, span, box)
        if found:
            return found
    span = grammar.direction_span(kinds)
    if span is not None and (box in ("direction", "angle") or not _is_vector_first(kinds[span[0] : span[1]], box)):
        built = directions(tokens[span[0] : span[1]])
        if kinds == "nT" and box in ("quantity", "components") and not is_three_digit_bearing(tokens[0]):
            return []  # 45 T: hardly a true bearing here
        found = [_boxed(direction, notes, box) for direction, notes in built]
        if kinds == "nN":
            # 62.0 N in a direction box: newtons in the wrong box, or a bearing that lacks a letter.
            return [(quantity(tokens), ()), *found]
        if found:
            return found
    if (kinds == "mm" or (kinds in ("m&m", "m,m") and box == "quantity")) and (
        compound := _compound([token for token in tokens if token.kind == "m"])
    ):
        return compound
    if kinds in ("n&n", "n&m") and box in ("quantity", "angle") and (mixed := _mixed(tokens[0], tokens[2])):
        return mixed
    for match in grammar.vector_forms(kinds):
        vectors = _vector(tokens, match, box)
        if box in ("polar", "components"):
            vectors = [one for one in vectors if not _has_two_dimensions(one[0])]
        if vectors:
            return vectors
    if span is not None and box != "direction" and kinds[span[0] : span[1]] not in _QUANTITY_FIRST:
        return [_boxed(direction, notes, box) for direction, notes in directions(tokens[span[0] : span[1]])]
    return []


def _has_two_dimensions(meaning: Meaning) -> bool:
    """``12.7 kt 050M``: a speed and a length are no components of one vector."""
    if not isinstance(meaning, Components) or meaning.x is None or meaning.y is None:
        return False
    units = (meaning.x.unit, meaning.y.unit)
    return units[0] is not None and units[1] is not None and units[0].dimension != units[1].dimension


def _is_vector_first(kinds: str, box: BoxKind) -> bool:
    if kinds in _QUANTITY_FIRST:
        return True
    return kinds[0] == "n" and box in ("polar", "quantity", "components") and not _DIRECTION_WORDS.intersection(kinds)


def _boxed(direction: Direction, notes: tuple[str, ...], box: BoxKind) -> Noted:
    return (Polar(None, direction) if box == "polar" else direction), notes


# ------------------------------------------------------------------------------- one value


def _single(tokens: Sequence[Token], kinds: str, span: tuple[int, int], box: BoxKind) -> list[Noted]:
    """One number with perhaps a unit and a label."""
    value = tokens[span[0] : span[1]]
    first = value[0]
    written = kinds[span[0] : span[1]]
    label = next((token for token in tokens if token.kind in "RXYDP"), None)
    if box == "triangle" and label is not None and label.kind == "D" and kinds.count("P") == 1:
        label = tokens[kinds.index("P")]  # angle A is 40°
    labelled = label.kind if label is not None else ""
    if box == "components" and {"X", "Y"} <= {token.kind for token in tokens}:
        both = quantity(value)
        return [(Components(both, both), ())]  # Rx = Ry = 5.0 N
    if labelled == "D" and box not in ("angle", "triangle"):
        return _angles(first, box) if first.kind in "na" and len(value) == 1 else []
    read_as = quantity(value)
    if labelled == "P" and label is not None and box == "triangle":
        return [(Labelled({label.value: read_as}), ())]
    if box == "angle" and first.kind == "n" and first.of_pi:
        return [(_angle_of_pi(first), (PI_NOTE,))]
    if written == "n" and box in ("angle", "quantity") and (two := either_side_of_a_slash(first)) is not None:
        # No angle is written as a quotient by so large a number; a length may be.
        return [(two, ())] if box == "angle" else [(read_as, ()), (two, ())]
    if box == "direction":
        if first.kind in "na" and len(value) == 1:
            return _angles(first, box)
        if written in ("nN", "ns"):
            return []
    if first.kind == "a" and box not in ("angle", "triangle"):
        return _angles(first, box)
    if labelled and labelled in "XY" and box == "components":
        return [(Components(read_as, None) if labelled == "X" else Components(None, read_as), ())]
    if box == "polar":
        if written == "n" and not labelled and is_three_digit_bearing(first):
            return _angles(first, box)
        return [(Polar(read_as, None), ())] if written != "ns" else []
    return [(read_as, ())]


def _mixed(one: Token, other: Token) -> list[Noted]:
    """``2 and 1/2 miles``: a whole number and a proper fraction."""
    assert one.number is not None
    assert other.number is not None
    fraction = "/" in other.text and other.number.place is None and 0 < other.number.value < 1
    if not fraction or not one.digits.isdigit():
        return []
    return [(Quantity(Number(one.number.value + other.number.value, None), other.unit), ())]


def is_rounding_of(one: Quantity, other: Quantity) -> bool:
    """Whether a value is another one, rounded: ``c = 14.817`` and then ``c = 14.8 ft``."""
    if one.unit is not None and other.unit is not None and one.unit != other.unit:
        return False
    place = other.number.place or 0.0
    return place > (one.number.place or 0.0) and are_close(one.number.value, other.number.value, place)


def in_two_units(one: Quantity, other: Quantity) -> Quantity | None:
    """Of one value in two units of a kind, the one with the finer place."""
    if one.unit is None or other.unit is None or one.unit == other.unit or one.unit.dimension != other.unit.dimension:
        return None
    factors = (one.unit.factor, other.unit.factor)
    places = [(value.number.place or 0.0) * factor for value, factor in zip((one, other), factors, strict=True)]
    if not are_close(one.number.value * factors[0], other.number.value * factors[1], *places):
        return None
    return other if places[1] < places[0] else one


_LARGEST_DIVISOR = 20
"""Of a fraction in an answer: 45/2, 12/13."""


def either_side_of_a_slash(token: Token) -> Several | None:
    """``61 / 119``, ``79/21``: two whole numbers that are hardly a fraction."""
    above, slash, below = token.text.partition("/")
    if not slash or not above.strip().isdigit() or not below.strip().isdigit() or int(below) <= _LARGEST_DIVISOR:
        return None
    return Several(tuple(Quantity(Number(float(one), 1.0, 1.0)) for one in (above, below)))


def _compound(tokens: Sequence[Token]) -> list[Noted]:
    """``5 ft 3 in``, ``5 ft and 3 in``: a whole number of a greater unit and a rest in a smaller one."""
    greater, smaller = quantity(tokens[:1]), quantity(tokens[1:])
    one, other = greater.unit, smaller.unit
    if one is None or other is None or one.dimension != other.dimension or one.factor <= other.factor:
        return []
    ratio = other.factor / one.factor
    rest = smaller.number.value * ratio
    if greater.number.value != int(greater.number.value) or greater.number.value < 0 or not 0 <= rest < 1:
        return []
    place = None if smaller.number.place is None else smaller.number.place * ratio
    value = Quantity(Number(greater.number.value + rest, place, place), one)
    return [(value, (f"added {tokens[0].text} {one.symbol} and {tokens[1].text} {other.symbol}",))]


def is_two_in_one(token: Token, box: BoxKind, alone: bool) -> bool:
    """``61.57/-7.59``, ``353 / -7``, ``(61.57)(-7.59)``: two parts of an answer, or a calculation where none is asked."""
    if token.of_pi or token.number is None or token.number.place is not None:
        return False
    if box == "components" and "√" not in token.text and (")(" in token.text or "×" in token.text or "·" in token.text):
        return "." in token.text or "," in token.text
    if "/" not in token.text:
        return False
    above, _, below = token.text.partition("/")
    decimals = "." in token.text or "," in token.text or below.strip().startswith("-")
    return decimals or (box == "polar" and alone and above.strip().isdigit())


def _angles(token: Token, box: BoxKind) -> list[Noted]:
    """The directions of a single angle or number."""
    note = (PI_NOTE,) if token.kind == "n" and token.of_pi else ()
    return [_boxed(direction, notes + note, box) for direction, notes in directions([token])]


def _angle_of_pi(token: Token) -> Quantity:
    assert token.number is not None
    return Quantity(Number(round(math.degrees(token.number.value), 10), None), degrees_unit())


# ------------------------------------------------------------------------------- one vector


def _vector(tokens: Sequence[Token], match: grammar.Match, box: BoxKind) -> list[Noted]:
    spans = match.spans

    def part(name: str) -> Sequence[Token]:
        start, end = spans.get(name, (0, 0))
        return tokens[start:end]

    form = match.form
    unit = unit_of(part("unit"))
    if form == "two angles" and box != "angle":
        return []
    if form.startswith("polar"):
        if kinds_of(tokens).count("<") > kinds_of(tokens).count(">"):
            return []  # <62.0 N: less than
        between = tokens[spans["magnitude"][1] : spans["direction"][0]]
        if form == "polar back bare" and "D" in kinds_of(tokens[spans["direction"][1] :]):
            return []  # theta: 45, direction 135
        parted = any(token.kind not in "/" for token in between)
        return _polar(part("magnitude"), part("direction"), form, box, unit, parted)
    if form == "pair" or form.startswith("hats") or form in ("labelled", "one hat"):
        first, second = part("first"), part("second")
        if form == "pair" and box == "polar" and _is_angle_of_pi(second):
            return _polar(first, second, "polar", box)
        pair = Components(quantity(first, unit) if first else None, quantity(second, unit) if second else None)
        if form == "pair" and box == "polar" and kinds_of(second) == "n" and 90 < quantity(second).number.value <= 360:
            return [(shared_unit(pair), ()), *_polar(first, second, "polar bare", box, unit)]
        return [(shared_unit(pair), ())]
    if form.startswith("toward"):
        return _toward(tokens, spans, form, box, unit)
    return _pair(part("first"), part("second"), unit, match, box)


def unit_of(tokens: Sequence[Token]) -> Unit | None:
    """The unit of a token that stands alone after a vector."""
    if not tokens:
        return None
    return tokens[0].unit or quantity([Token("n", "", Number(0.0, None)), tokens[0]]).unit


def _is_angle_of_pi(tokens: Sequence[Token]) -> bool:
    return len(tokens) == 1 and tokens[0].kind == "n" and tokens[0].of_pi


def _polar(
    length: Sequence[Token],
    direction: Sequence[Token],
    form: str,
    box: BoxKind,
    unit: Unit | None = None,
    parted: bool = True,
) -> list[Noted]:
    """A length and a direction; ``parted`` tells whether more than a slash stands between them."""
    value = quantity(length, unit)
    kinds = kinds_of(direction)
    if value.number.value < 0 or (box == "angle" and form.endswith("bare")):
        return []
    if form == "polar back" and kinds in tuple("NHSsEW") and kinds_of(length) == "nN":
        return []  # N 30 N
    if form == "polar back" and box != "polar" and kinds == "a" and direction[0].sign == "rad":
        return []  # 5 rad 2 m
    if form == "polar bare" and kinds == "n" and box != "polar":
        return []
    if form == "polar back bare" and box == "direction":
        return []  # angle = 34.4, total = 49.4
    if form.endswith("bare") and box == "direction" and direction_form(kinds) in ("point", "from last"):
        return []  # 583 E; 30 S of E, 330; NW at 30
    if box == "quantity" and direction_form(kinds) == "one letter" and "s" in kinds:
        return []  # 62 m, 2 s: seconds
    if box != "polar" and direction_form(kinds) == "one letter" and (form == "polar bare" or box == "components"):
        return []  # 5 83 E, 4.5 E 3; 61.57 N, 7.59 S
    if form == "polar" and not parted and (kinds == "nN" or (kinds == "n" and box != "polar")):
        return []  # 352h58, 62 m/2; 14.4 N / 6.1 N: newtons, not north
    built = directions(direction)
    if box == "direction" and kinds_of(length) in ("n", "a") and (one := _one_direction(length[0], built)) is not None:
        return [(one, (TWICE_NOTE,))]  # 110, N 20° W
    note = (PI_NOTE,) if _is_angle_of_pi(direction) else ()
    found: list[Noted] = [(Polar(value, one), notes + note) for one, notes in built]
    if form == "polar bare" and kinds == "n" and built and built[0][0].written < 0:
        found.append((Components(value, quantity(direction)), ()))
    return found


def _one_direction(token: Token, others: Sequence[tuple[Direction, tuple[str, ...]]]) -> Direction | None:
    """The direction that a number and what stands behind it both say, with its letters or in degrees; None if they do not."""
    for one, _ in directions([token]):
        for other, _ in others:
            if other.letters and are_one_direction(90.0 - one.written, other.angle, one.place, other.place):
                return other  # 139 (S 41° E): its bearing
            said_again = one.written == other.written and (
                other.letters or other.form == "true bearing"
            )  # 90 - 41 = 49, N 49° E
            if said_again or are_one_direction(one.angle, other.angle, one.place, other.place):
                return one if other.sign == "rad" else other
    return None


def _toward(
    tokens: Sequence[Token], spans: dict[str, tuple[int, int]], form: str, box: BoxKind, unit: Unit | None
) -> list[Noted]:
    """``61.6 E, 7.6 S``; without a comma ``N 45 W 62`` is a direction first, unless the box asks for components."""
    if form == "toward apart" and box != "components":
        return []
    explained = all(tokens[spans[name][0] - 1].kind == "(" for name in ("to1", "to2"))
    if (
        form == "toward named"
        and not explained
        and any(token.number is not None and token.number.value < 0 for token in tokens if token.kind in "nm")
    ):
        return []  # x = -173.3 m west
    one, other = (
        quantity([token for token in tokens[slice(*spans[name])] if token.kind != "@"]) for name in ("one", "two")
    )
    letters = [tokens[spans[name][0]].value.rstrip("?") for name in ("to1", "to2")]
    if form == "toward axes" and any(
        value.number.value < 0 and letter in "WS" for value, letter in zip((one, other), letters, strict=True)
    ):
        return []  # -9.4 N in the negative y direction
    if explained:
        one, other = (_without_sign(value, letter) for value, letter in zip((one, other), letters, strict=True))
    components = toward(one, letters[0], other, letters[1])
    found: list[Noted] = [(shared_unit(components, unit), ())] if components is not None else []
    if form == "toward bare" and box != "components":
        # 62.0 S 83 E: two components, or a length and a bearing without its degree sign.
        length, bearing = tokens[spans["one"][0] : spans["one"][1]], tokens[spans["to1"][0] : spans["to2"][1]]
        as_polar = _polar(length, bearing, "polar bare", box, unit)
        return as_polar if box == "polar" and as_polar else as_polar + found
    return found


def _without_sign(value: Quantity, letter: str) -> Quantity:
    """``-19.4 N (west)``: in brackets the side only says what the sign has said."""
    number = value.number
    if number.value >= 0 or letter not in ("W", "S"):
        return value
    return Quantity(Number(-number.value, number.place, number.coarsest), value.unit)


def _pair(
    first: Sequence[Token],
    second: Sequence[Token],
    unit: Unit | None,
    match: grammar.Match,
    box: BoxKind,
) -> list[Noted]:
    """Two numbers side by side: the box says what a bare pair is."""
    one, other = quantity(first, unit), quantity(second, unit)
    components = shared_unit(Components(one, other))
    apart = match.spans["second"][0] > match.spans["first"][1]  # something stands between them
    if first[0].kind == "a":
        if box == "angle" and are_one_direction(first[0].degrees, second[0].degrees, first[0].place, second[0].place):
            return [(other, (TWICE_NOTE,))]  # 5 points, 56°
        if box == "angle":
            return [(Several((one, other)), ())]
        angles = [_angles(token, "direction")[0][0] for token in (first[0], second[0])]
        return [(Several(tuple(angles)), ())]
    if box == "polar":
        if _is_angle_of_pi(second):
            return _polar(first, second, "polar", box)
        if one.unit is None and other.unit is not None and not apart:
            return []  # 62 353 N
        as_polar = _polar(first, second, "polar bare", box) if other.unit is None else []
        return as_polar or [(components, ())]
    if box == "components" or match.form == "round pair":
        return [(components, ())]
    if apart and one.unit is None:
        one = quantity(first, other.unit)  # 26.0 and 9.7 m
    if apart and box in ("quantity", "angle") and is_rounding_of(one, other):
        return [(Quantity(other.number, other.unit or one.unit), (TWICE_NOTE,))]  # 14.817 ft, 14.8 ft
    if one == other and (apart or one.unit is not None):  # 62.0 N 62.0 N
        return [(one, (TWICE_NOTE,))]
    if apart and box == "quantity" and (finer := in_two_units(one, other)) is not None:
        return [(finer, (TWICE_NOTE,))]  # 0.368 km, 368.2 m
    if box == "direction" and apart and abs(one.number.value - other.number.value) == HALF_A_TURN:
        return []  # 67, 247: an angle and the one opposite, of which one is working
    several = Several((one, other))
    if box in ("angle", "direction"):
        return [(several, ())] if apart else []
    return [(several, ()), (components, ())]
