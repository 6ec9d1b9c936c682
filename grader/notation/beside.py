"""A vector and its components in one text, each under its name: ``x = -19.4, y = 31.7, R = 37.2``.

Where they agree, the box says which of them is the answer; the others are a step to it, or what follows from it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from grader.notation.closeness import are_close, are_one_direction
from grader.notation.grammar import direction_form, is_signed_direction
from grader.notation.leftovers import value_of
from grader.notation.meanings import directions, kinds_of
from grader.notation.parts import WORKING_NOTE
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind, Components, Meaning, Polar
from grader.notation.sameness import same, unit_in, with_unit
from grader.notation.stating import is_plain, statements, trimmed
from grader.notation.units import simple_unit
from grader.notation.values import TWICE_NOTE, Noted, whole

Reader = Callable[[Sequence[Token], BoxKind, int], list[Noted]]
"""What reads the tokens of a part of a text."""

_WANTED = {"quantity": "R", "direction": "D", "components": "XY"}
_BRACKETS = "(),;&\n"
BESIDE_NOTE = "took what the box asks for of a vector and its components"


def beside(tokens: Sequence[Token], kinds: str, box: BoxKind, read: Reader) -> list[Noted]:
    """What the box asks for of a vector and its components, each under its name; with the unit of any of them."""
    asked = of_the_box(tokens, box)
    if not asked:
        return []
    found = read(asked, box, 1)
    if box == "quantity" and "(X" not in kinds:  # one of the components may be asked
        found = [*found, *read(of_the_box(tokens, "components"), "components", 1)]
    units = {token.unit for token in tokens if token.kind == "m"}
    unit = next(iter(units)) if len(units) == 1 else None
    if not units and "nN" in kinds:
        unit = simple_unit("N")
    return [(with_unit(meaning, unit), (*notes, WORKING_NOTE, BESIDE_NOTE)) for meaning, notes in found]


def of_the_box(tokens: Sequence[Token], box: BoxKind) -> list[Token]:
    """Of a vector and its components, the statements that the box asks for; empty where they disagree or are not all there."""
    wanted = _WANTED.get(box)
    kinds = kinds_of(tokens)
    if box == "components" and kinds.count("X") > 2 and kinds.count("Y") > 2:
        return _sums(tokens)
    if wanted is None or "X" not in kinds or "Y" not in kinds or not set("RDL").intersection(kinds):
        return []
    bodies: dict[str, list[Token]] = {}
    for statement in statements(tokens):
        label = statement.label
        body = [token for token in statement.result() if token.kind not in _BRACKETS]
        squared = len(statement.tokens) > 1 and statement.tokens[1].text == "^"
        if label is not None and label.kind == "D" and len(body) > 1 and is_signed_direction(kinds_of(body)):
            bodies["D"] = [label, *body]
            continue
        if label is None or squared or kinds_of(body) not in ("n", "m", "nN", "a"):
            return []
        if label.kind in "RD" and label.kind not in bodies and not is_plain(body[0]):
            continue  # R = √(32.0² + 43.6²), and then R = 54.1 N
        if not is_plain(body[0]):
            return []
        if label.kind == "L":  # Fx, Fy and F
            label = Token("R", label.text, value="R")
        if label.kind in bodies:
            return []
        bodies[label.kind] = [label, *body]
    if not set(bodies) <= set("XYRD") or not set(wanted) <= set(bodies) or not _agree(bodies):
        return []
    chosen: list[Token] = []
    for name in wanted:
        chosen += [*([Token(",", ",")] if chosen else []), *bodies[name]]
    return chosen


def _sums(tokens: Sequence[Token]) -> list[Token]:
    """``Ax = 3, Bx = -9.2, Rx = -6.2``, and the same for y: the last of each, where it is the sum of those before it."""
    columns: dict[str, list[list[Token]]] = {"X": [], "Y": []}
    for statement in statements(tokens):
        label = statement.label
        body = [token for token in statement.result() if token.kind not in _BRACKETS]
        if (
            label is None
            or label.kind not in columns
            or kinds_of(body) not in ("n", "m", "nN")
            or not is_plain(body[0])
        ):
            return []
        columns[label.kind].append([label, *body])
    for column in columns.values():
        *parts, (total, place) = (value_of(body[1]) for body in column)
        if len(parts) < 2 or not are_close(
            total, sum(value for value, _ in parts), place + sum(one for _, one in parts)
        ):
            return []
    return [*columns["X"][-1], Token(",", ","), *columns["Y"][-1]]


def _agree(bodies: dict[str, list[Token]]) -> bool:
    """Whether length and direction are those of the components, as far as the places tell."""
    if not {"X", "Y"} <= set(bodies):
        return False
    (x, x_place), (y, y_place) = (value_of(bodies[name][1]) for name in "XY")
    place = x_place + y_place
    length = math.hypot(x, y)
    if "R" in bodies:
        stated, stated_place = value_of(bodies["R"][1])
        if not are_close(stated, length, place + stated_place):
            return False
    if "D" in bodies and length > 0:
        stated, stated_place = value_of(bodies["D"][1]) if bodies["D"][1].kind in "na" else (0.0, 0.0)
        if len(bodies["D"]) > 2 or bodies["D"][1].kind not in "na":
            if not direction_form(kinds_of(bodies["D"][1:])):
                return False
            built = directions(bodies["D"][1:])
            if len(built) != 1:
                return False
            stated, stated_place = built[0][0].angle, built[0][0].place or 0.0
        found = math.degrees(math.atan2(y, x))
        if not are_one_direction(stated, found, math.degrees(place / length) + stated_place):
            return False
    return True


def are_one_vector(components: Meaning, polar: Meaning) -> bool:
    """Whether a vector by its components is the one by its length and direction, as far as the places tell."""
    if not isinstance(components, Components) or components.x is None or components.y is None:
        return False
    if not isinstance(polar, Polar) or polar.magnitude is None or polar.direction is None:
        return False
    x, y, length = components.x.number, components.y.number, polar.magnitude.number
    place = (x.place or 0.0) + (y.place or 0.0)
    found = math.hypot(x.value, y.value)
    return (
        found > 0
        and are_close(length.value, found, place + (length.place or 0.0))
        and are_one_direction(
            polar.direction.angle,
            math.degrees(math.atan2(y.value, x.value)),
            math.degrees(place / found) + (polar.direction.place or 0.0),
        )
    )


def restated(tokens: Sequence[Token], kinds: str, box: BoxKind, read: Reader) -> list[Noted]:
    """``48.2 m/s, -66.1° (so 293.9°)``, ``8.4 km, 47.4° so N 47.4° W``: a vector, and its direction in another form; or a
    vector by its components and by its length and direction, ``⟨-7.2, -17.0⟩ = 18.5 at 247``.

    The form with letters counts, also where the other is the same angle without them; of the whole vectors the one asked.
    """
    end = max(kinds.rfind("w"), kinds.rfind("="))
    last = [token for token in tokens[end + 1 :] if token.kind not in "()"]
    front = trimmed(tokens[:end])
    if end < 2 or not last or not front or front[-1].kind not in "naNHSsEW>)ij" + "(" * (")" in kinds[end:]):
        return []
    first = read([token for token in front if token.kind not in "()"], box, 1)
    second = (whole(last, kinds_of(last), box) or whole(last, kinds_of(last), "polar")) if len(first) == 1 else []
    if len(second) != 1:
        return []
    one, other = first[0][0], second[0][0]
    if are_one_vector(one, other) or are_one_vector(other, one):
        asked, rest = (one, other) if isinstance(one, Components) == (box == "components") else (other, one)
        return [(with_unit(asked, unit_in(rest)), (*first[0][1], TWICE_NOTE))]
    if (
        not isinstance(one, Polar)
        or not isinstance(other, Polar)
        or one.magnitude is None
        or other.magnitude is not None
    ):
        return []
    earlier, later = one.direction, other.direction
    if earlier is None or later is None:
        return []
    lettered = earlier.form == "plain angle" and later.letters is not None and earlier.written == later.written
    if not lettered and not same(earlier, later):
        return []
    direction = later if lettered or earlier.letters is None else earlier
    return [(Polar(one.magnitude, direction), (*first[0][1], TWICE_NOTE))]
