"""The data of a problem, as the column Given holds them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from grader.errors import NotationError
from grader.notation.readings import POINT, BoxKind, Components, Conventions, Direction, Meaning, Polar, Quantity


@dataclass(frozen=True, slots=True)
class GivenVector:
    """One vector of a problem, as written: by magnitude and direction, or by components (also from two points).

    Exactly one of the pairs (magnitude, direction), (x, y) is present. ``tail`` and ``head`` are the two points where
    the vector was given by points.
    """

    text: str
    magnitude: Quantity | None = None
    direction: Direction | None = None
    x: Quantity | None = None
    y: Quantity | None = None
    tail: tuple[float, float] | None = None
    head: tuple[float, float] | None = None


@dataclass(frozen=True)
class GivenVectors:
    vectors: tuple[GivenVector, ...]


@dataclass(frozen=True)
class GivenTriangle:
    """Known parts of a triangle: sides a b c, angles A B C in degrees; angle A lies opposite side a."""

    parts: Mapping[str, Quantity]


@dataclass(frozen=True, slots=True)
class GivenHeading:
    """A craft that must hold a track through moving air or water.

    ``flow`` is the speed of the wind or current, and ``flow_direction`` the direction it is *named* by: a wind's by where it
    blows from (``flow_from`` True), a current's by where it sets toward.
    """

    medium: str  # "air" or "water"
    speed: Quantity
    flow: Quantity
    flow_direction: Direction
    flow_from: bool
    track: Direction


@dataclass(frozen=True, slots=True)
class GivenRamp:
    weight: Quantity
    incline: float  # degrees


@dataclass(frozen=True)
class GivenExpression:
    values: Mapping[str, Quantity]


Given = GivenVectors | GivenTriangle | GivenHeading | GivenRamp | GivenExpression

_VECTOR_EXAMPLES = "a vector such as 30 N at 20°, 12.0 m 20° W of N, (-4.0, 2.9) cm, 5i + 2j or (-8, 1) to (-2, -5)"

_TWO_POINTS = re.compile(
    r"(?P<tail>[(<\[].*[)>\]])\s*(?:to|→|->)\s*(?P<head>[(<\[].*[)>\]])\s*(?P<unit>[^()<>\[\]]*)", re.DOTALL
)

_SPEED = re.compile(
    r"""
    (?P<medium> air | still[ -]?air | plane | aircraft | drone | water | still[ -]?water | boat | ship | tug )?
    \s* (?: \b speed | \b velocity )? (?: \s+ in \s+ still \s+ (?: air | water ) )? \s* [:=]? \s*
    (?P<speed> .+ )
    """,
    re.VERBOSE | re.IGNORECASE,
)

_FLOW = re.compile(
    r"""
    (?P<flow> wind | current | stream | tide | river ) (?: \s+ speed )? \s* [:=]? \s*
    (?P<speed> .+? ) \s* ,? \s*
    \b (?P<way> from | toward | towards | to | setting | blowing \s+ from | blowing \s+ toward s? ) \s+ (?: the \s+ )?
    (?P<direction> .+ )
    """,
    re.VERBOSE | re.IGNORECASE,
)

_TRACK = re.compile(
    r"(?:track|course|desired track|ground track|to hold|hold)\s*[:=]?\s*(?P<direction>.+)", re.IGNORECASE
)
_RAMP = re.compile(
    r"(?P<weight>.+?)\s*(?:,|;)?\s*\b(?:on|at|up|incline|ramp)\b\s*(?:an?\s+)?(?:incline|ramp|slope)?\s*(?:of\s+)?(?P<incline>.+)",
    re.IGNORECASE,
)
_PART = re.compile(r"(?:angle|side|∠)?\s*(?P<name>[abcABCαβγ]|alpha|beta|gamma)\s*[=:]\s*(?P<value>.+)")
_NAMED = re.compile(r"(?P<name>[^\W\d]\w*)\s*[=:]\s*(?P<value>.+)")
_GREEK = {"α": "A", "alpha": "A", "β": "B", "beta": "B", "γ": "C", "gamma": "C"}

_AIR = ("air", "plane", "aircraft", "drone", "still air", "still-air", "stillair")


def read_given(find: str, text: str, direction_as: str = "any") -> Given:
    """Reads the column Given for what the column Find asks.

    NotationError names the piece that is wrong and says what is expected there. The same reader serves as for answers, and
    is stricter: what has two readings is refused, for a wrong key would judge the whole class. ``direction_as`` is the column
    Direction as; where it asks true bearings, ``12.4 km 062`` is a length and a bearing, and a heading problem must say which
    way its angles are counted.
    The text may begin with what Find asks and a colon, as the note on the column shows it (``triangle: a=12; …``).

    >>> read_given("triangle", "a=12; c=17; A=35°").parts["A"].number.value
    35.0
    """
    kind, colon, data = str(text).partition(":")
    if colon and kind.casefold().split() == find.casefold().split():
        text = data
    pieces = [piece.strip() for piece in str(text).split(";") if piece.strip()]
    if not pieces:
        raise NotationError(str(text), f"the column Given is empty; expected the data for “{find}”")
    kind = " ".join(find.lower().split())
    if kind == "triangle":
        return _triangle(pieces)
    if kind == "heading":
        return _heading(text, pieces, direction_as)
    if kind == "ramp":
        return _ramp(text)
    if kind == "expression":
        return _expression(pieces)
    vectors = tuple(_vector(piece, direction_as) for piece in pieces)
    _counted_alike(text, [vector.direction for vector in vectors if vector.direction is not None])
    return GivenVectors(vectors)


_SAYS_HOW = "bearing 100° (clockwise from north) or 100° counterclockwise from east"


def _counted_alike(text: str, directions: Sequence[Direction]) -> None:
    """All bare angles are counted one way: 045° from north beside 100° from east would be a silent guess."""
    bare = [direction for direction in directions if direction.form == "plain angle"]
    if bare and any(direction.form == "true bearing" for direction in directions):
        raise NotationError(
            text,
            f"one angle is a bearing, by its word or its three digits with a zero first, and {bare[0].written:g}° may be one or "
            f"may be counted from east; expected the word beside each, as in {_SAYS_HOW}",
        )


_BARE_LAST = re.compile(r"(?P<first>[^()<>\[\]=]*?[^\W\d_][^()<>\[\]=]*?)\s+(?P<last>\d+(?:[.,]\d+)?)\s*")
"""A length with its unit, and a number without one: ``12.4 km 062``."""
_THREE_DIGITS = re.compile(r"[0-2]\d\d|3[0-5]\d|360")
_ZERO_FIRST = re.compile(r"(?<![\d.,])0\d\d(?!\d|[.,]\d)")
_OPEN_PAIR = re.compile(r"\s*[\d.]+\s*[,\s]\s*(?P<last>\d+)\s*")


def _as_bearing(text: str, direction_as: str) -> str:
    """The text of a pair with the word for its second number, where that is a bearing; unchanged for plain components.

    NotationError where the number may be a component or an angle.
    """
    mixed = _BARE_LAST.fullmatch(text)
    if mixed is not None:
        first, last = mixed["first"].rstrip(" ,-–"), mixed["last"]
        if direction_as == "true bearing" and _THREE_DIGITS.fullmatch(last):
            return f"{first} bearing {last}"
        raise NotationError(
            text,
            f"{last} stands without a unit behind a length, so that it may be a component or an angle; "
            f"expected {first} bearing {last}, {first} at {last}°, or brackets around x and y",
        )
    pair = _OPEN_PAIR.fullmatch(text)
    bearings = direction_as == "true bearing" and pair is not None and _THREE_DIGITS.fullmatch(pair["last"])
    if bearings or _ZERO_FIRST.search(text):
        raise NotationError(
            text,
            "a number of three digits may be a bearing or a component; expected the word, as in 12.4 km bearing 062, "
            "or brackets around x and y, without zeros before a number",
        )
    return text


def _only(text: str, box: BoxKind, expected: str, conventions: Conventions = POINT) -> Meaning:
    """The one meaning of a text; NotationError if there is none, or more than one."""
    from grader.notation.read import read

    reading = read(text, box, conventions)
    if reading.doubtful:
        raise NotationError(text, f"it can be read in more than one way; expected {expected}")
    if not reading.senses:
        raise NotationError(text, f"{reading.reason or 'it is empty'}; expected {expected}")
    return reading.senses[0].meaning


def _vector(text: str, direction_as: str) -> GivenVector:
    points = _TWO_POINTS.fullmatch(text)
    if points is not None:
        return _between_points(text, points)
    meaning = _only(text, "components", _VECTOR_EXAMPLES)
    if isinstance(meaning, Components) and (said := _as_bearing(text, direction_as)) != text:
        meaning = _only(said, "components", _VECTOR_EXAMPLES)
    if isinstance(meaning, Polar) and meaning.magnitude is not None and meaning.direction is not None:
        _check_bare(text, meaning.direction, direction_as)
        return GivenVector(text, magnitude=meaning.magnitude, direction=meaning.direction)
    if isinstance(meaning, Components):
        x, y = meaning.x, meaning.y
        if x is not None and y is not None:
            return GivenVector(text, x=x, y=y)
        if (x or y) is not None:  # 5i: the other component is zero
            only = x if x is not None else y
            assert only is not None
            zero = Quantity(type(only.number)(0.0, None), only.unit)
            return GivenVector(text, x=x or zero, y=y or zero)
    raise NotationError(text, f"it is not a whole vector; expected {_VECTOR_EXAMPLES}")


def _check_bare(text: str, direction: Direction, direction_as: str) -> None:
    """Among bearings, three digits without a sign are a bearing to one teacher and an angle from east to another."""
    bare = direction.form == "plain angle" and not direction.sign
    if bare and direction_as == "true bearing" and _THREE_DIGITS.fullmatch(f"{direction.written:g}"):
        raise NotationError(
            text, f"directions are asked as true bearings, and {direction.written:g} may be one; expected {_SAYS_HOW}"
        )


def _between_points(text: str, match: re.Match[str]) -> GivenVector:
    from grader.notation.readings import Number
    from grader.notation.units import unit

    ends: list[tuple[Quantity, Quantity]] = []
    for name in ("tail", "head"):
        meaning = _only(match[name], "components", "a point such as (-8, 1)")
        if not isinstance(meaning, Components) or meaning.x is None or meaning.y is None:
            raise NotationError(match[name], "expected a point such as (-8, 1)")
        ends.append((meaning.x, meaning.y))
    (x1, y1), (x2, y2) = ends
    written = unit(match["unit"]) if match["unit"].strip() else x1.unit or x2.unit

    def step(start: Quantity, end: Quantity) -> Quantity:
        places = [one.number.place for one in (start, end) if one.number.place is not None]
        place = min(places) if len(places) == 2 else None
        return Quantity(Number(end.number.value - start.number.value, place, place), written)

    tail = (x1.number.value, y1.number.value)
    head = (x2.number.value, y2.number.value)
    return GivenVector(text, x=step(x1, x2), y=step(y1, y2), tail=tail, head=head)


def _quantity(text: str, expected: str, box: BoxKind = "quantity") -> Quantity:
    meaning = _only(text, box, expected)
    if not isinstance(meaning, Quantity):
        raise NotationError(text, f"expected {expected}")
    return meaning


def _number(text: str, expected: str) -> Quantity:
    """A number with a unit or none, or an angle."""
    try:
        return _quantity(text, expected)
    except NotationError:
        return _quantity(text, expected, "angle")


def _direction(text: str) -> Direction:
    expected = "a direction such as N 30° E, 20° W of N, bearing 140°, 310° or SW"
    meaning = _only(text, "direction", expected)
    if not isinstance(meaning, Direction):
        raise NotationError(text, f"expected {expected}")
    return meaning


def _triangle(pieces: list[str]) -> GivenTriangle:
    from grader.notation.units import unit

    expected = "known parts such as a=12; c=17; A=35° (angle A opposite side a)"
    parts: dict[str, Quantity] = {}
    for piece in (part for whole in pieces for part in re.split(r",\s*(?=[A-Ca-cαβγ]\s*=)", whole)):
        match = _PART.fullmatch(piece.strip())
        if match is None:
            raise NotationError(piece, f"expected {expected}")
        name = _GREEK.get(match["name"], match["name"])
        if name in parts:
            raise NotationError(piece, f"part {name} is given twice; expected each part once")
        value = _number(match["value"], f"a number after {name} =")
        if name in "ABC":
            if value.unit is None:
                value = Quantity(value.number, unit("deg"))
            elif value.unit.dimension != "angle":
                raise NotationError(piece, f"{name} is an angle; expected degrees, as in {name}=35°")
            if not 0 < value.number.value < 180:
                raise NotationError(piece, "an angle of a triangle lies between 0° and 180°")
        elif value.unit is not None and value.unit.dimension == "angle":
            raise NotationError(piece, f"{name} is a side; expected a length, as in {name}=12")
        elif value.number.value <= 0:
            raise NotationError(piece, "a side of a triangle is longer than zero")
        parts[name] = value
    if len(parts) != 3:
        raise NotationError("; ".join(pieces), f"{len(parts)} parts are given; expected three: {expected}")
    if not any(name in parts for name in "abc"):
        raise NotationError("; ".join(pieces), "three angles leave the size open; expected at least one side")
    return GivenTriangle(parts)


def _heading(text: str, pieces: list[str], direction_as: str) -> GivenHeading:
    expected = "air speed 550 km/h; wind 60 km/h from SW; track N (or water speed, current 2 kn toward E)"
    if len(pieces) != 3:
        raise NotationError(text, f"{len(pieces)} parts are given; expected three: {expected}")
    flow = track = speed = None
    for piece in pieces:
        if flow is None and re.match(r"(?:wind|current|stream|tide|river)\b", piece, re.IGNORECASE):
            flow = _FLOW.fullmatch(piece)
            if flow is None:
                raise NotationError(
                    piece, "expected a speed and a direction, as in wind 60 km/h from SW or current 2 kn toward E"
                )
        elif track is None and (match := _TRACK.fullmatch(piece)):
            track = match
        elif speed is None:
            speed = _SPEED.fullmatch(piece)
    if flow is None or track is None or speed is None:
        raise NotationError(text, f"expected {expected}")
    blows = flow["flow"].lower() == "wind"
    medium = (speed["medium"] or "").lower()
    flow_from = "from" in flow["way"].lower()
    flow_direction, track_direction = _direction(flow["direction"]), _direction(track["direction"])
    _counted_alike(text, (flow_direction, track_direction))
    for written, one in ((flow["direction"], flow_direction), (track["direction"], track_direction)):
        if direction_as == "true bearing" and one.form == "plain angle":
            raise NotationError(
                written,
                f"directions are asked as true bearings, and nothing says which way this angle is counted; expected {_SAYS_HOW}",
            )
    return GivenHeading(
        medium="air" if medium in _AIR or (not medium and blows) else "water",
        speed=_quantity(speed["speed"], "a speed such as 550 km/h"),
        flow=_quantity(flow["speed"], "a speed such as 60 km/h"),
        flow_direction=flow_direction,
        flow_from=flow_from,
        track=track_direction,
    )


def _ramp(text: str) -> GivenRamp:
    expected = "a weight and an incline, as in 50 lb on 19°"
    match = _RAMP.fullmatch(str(text).strip())
    if match is None:
        raise NotationError(text, f"expected {expected}")
    weight = _quantity(match["weight"], "a weight such as 50 lb")
    if weight.number.value <= 0:
        raise NotationError(match["weight"], "a weight is above zero")
    incline = _quantity(match["incline"], "an angle such as 19°", "angle")
    if incline.unit is not None and incline.unit.dimension != "angle":
        raise NotationError(match["incline"], "expected an angle such as 19°")
    if not 0 <= incline.number.value <= 90:
        raise NotationError(match["incline"], "an incline lies between 0° and 90°")
    return GivenRamp(weight, incline.number.value)


def _expression(pieces: list[str]) -> GivenExpression:
    values: dict[str, Quantity] = {}
    for piece in pieces:
        match = _NAMED.fullmatch(piece)
        if match is None:
            raise NotationError(piece, "expected a name and a value, as in v = 18 m/s")
        if match["name"] in values:
            raise NotationError(piece, f"{match['name']} is given twice; expected each name once")
        values[match["name"]] = _number(match["value"], f"a number after {match['name']} =")
    return GivenExpression(values)
