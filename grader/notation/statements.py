"""Texts of more than one statement: working before the result, labelled parts, alternatives, one answer in two forms."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from grader.notation.meanings import kinds_of, quantity, shared_unit
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind, Components, Direction, Labelled, Meaning, Number, Polar, Quantity, Several
from grader.notation.units import Unit
from grader.notation.values import Noted, whole

WORKING_NOTE = "working left out: the last stated result counts"
TWICE_NOTE = "written in more than one form"

MAX_DEPTH = 3
"""Brackets, alternatives and repetitions inside one another; answers need two."""

_LABELS = "RDXYPLb"
_VALUES = "nmaCNHSsEW"


def meanings(tokens: Sequence[Token], box: BoxKind, depth: int = 0) -> list[Noted]:
    """Every meaning of the tokens, the likeliest first; empty when they say nothing that is known."""
    tokens = trimmed(tokens)
    if depth > MAX_DEPTH or not tokens:
        return []
    kinds = kinds_of(tokens)
    if "v" in kinds:
        return _alternatives(tokens, box, depth)
    if "±" in kinds:
        return _either_sign(tokens, box, depth)
    found = whole(tokens, kinds, box)
    if found:
        return found
    if "P" in kinds and (labelled := _labelled(tokens)):
        return labelled
    if "=" in kinds or "w" in kinds:
        return _last_results(tokens, box, depth)
    return _said_twice(tokens, kinds, box, depth)


def trimmed(tokens: Sequence[Token]) -> Sequence[Token]:
    """Without separators and little words at the ends, and without brackets that have no partner."""
    start, end = 0, len(tokens)
    while start < end and tokens[start].kind in ",;\n&=:w/-vo":
        start += 1
    while end > start and (tokens[end - 1].kind in ",;\n&=:w@oy/-v" or tokens[end - 1].kind in ")>" and _unmatched(tokens[start:end])):
        end -= 1
    return tokens[start:end] if end - start < len(tokens) else tokens


def _unmatched(tokens: Sequence[Token]) -> bool:
    kinds = kinds_of(tokens)
    return kinds.count(")") + kinds.count(">") > kinds.count("(") + kinds.count("<")


# ------------------------------------------------------------------------------- alternatives


def _alternatives(tokens: Sequence[Token], box: BoxKind, depth: int) -> list[Noted]:
    """``54.3° or 125.7°``: several answers on purpose, or one answer in two forms."""
    pieces: list[list[Token]] = [[]]
    for token in tokens:
        if token.kind == "v":
            pieces.append([])
        else:
            pieces[-1].append(token)
    label = pieces[0][0] if pieces[0] and pieces[0][0].kind in "PD" else None
    found: list[Meaning] = []
    notes: tuple[str, ...] = ()
    for piece in map(trimmed, pieces):
        if not piece:
            continue
        if label is not None and piece[0].kind in "na":
            piece = [label, *piece]
        one = meanings(piece, box, depth + 1)
        if len(one) != 1:
            return []
        found.append(one[0][0])
        notes += one[0][1]
    if not found:
        return []
    if len(found) == 1 or all(same(found[0], other) for other in found[1:]):
        return [(found[0], notes + ((TWICE_NOTE,) if len(found) > 1 else ()))]
    last = found[-1]
    if isinstance(last, Quantity) and last.unit is not None:
        found = [_with_unit(meaning, last.unit) for meaning in found]
    return [(Several(tuple(found)), notes)]


def _either_sign(tokens: Sequence[Token], box: BoxKind, depth: int) -> list[Noted]:
    """``±7.59``: both signs."""
    found = whole(tokens[1:], kinds_of(tokens[1:]), box) if tokens[0].kind == "±" else []
    if len(found) != 1 or not isinstance(found[0][0], Quantity):
        return []
    value = found[0][0]
    other = Quantity(Number(-value.number.value, value.number.place, value.number.coarsest), value.unit)
    return [(Several((value, other)), found[0][1])]


def same(one: Meaning | None, other: Meaning | None) -> bool:
    """Whether two meanings state one answer, as far as the places in which they are written can tell."""
    if one is None or other is None:
        return one is other
    if isinstance(one, Direction) and isinstance(other, Direction):
        gap = abs((one.angle - other.angle + 180.0) % 360.0 - 180.0)
        return gap <= max(one.place or 0.0, other.place or 0.0) * 0.51 + 1e-9
    if isinstance(one, Quantity) and isinstance(other, Quantity):
        if one.unit is not None and other.unit is not None and one.unit != other.unit:
            return False
        place = max(one.number.place or 0.0, other.number.place or 0.0)
        return abs(one.number.value - other.number.value) <= place * 0.51 + 1e-9
    if isinstance(one, Polar) and isinstance(other, Polar):
        return same(one.magnitude, other.magnitude) and same(one.direction, other.direction)
    return one == other


# ------------------------------------------------------------------------------- the last stated result


@dataclass(slots=True)
class _Statement:
    """``label = working = result``; ``after`` is what parts it from the one before."""

    after: str
    tokens: list[Token]

    @property
    def label(self) -> Token | None:
        return self.tokens[0] if self.tokens[0].kind in _LABELS else None

    def result(self) -> list[Token]:
        """What follows the last equals sign, or the label."""
        body = self.tokens[1:] if self.label is not None and self.tokens[0].kind != "b" else self.tokens
        for index in range(len(body) - 1, -1, -1):
            if body[index].kind == "=":
                return body[index + 1 :]
        return body

    @property
    def stated(self) -> bool:
        return self.label is not None or any(token.kind == "=" for token in self.tokens)


def _statements(tokens: Sequence[Token]) -> list[_Statement]:
    """The tokens parted where one statement ends and the next begins."""
    statements: list[_Statement] = []
    current: list[Token] = []
    after = ""
    for token in tokens:
        kind = token.kind
        parts = kind in ";\nw" or kind in ",&" and any(one.kind in "=RDXYPL" for one in current)
        opens = kind in "RDXYPL" and any(one.kind in "nma" for one in current)
        if parts or opens:
            if current:
                statements.append(_Statement(after, current))
                current, after = [], kind if parts else ","
            elif parts and kind == "w":
                after = "w"
            if parts:
                continue
        current.append(token)
    if current:
        statements.append(_Statement(after, current))
    return statements


def _last_results(tokens: Sequence[Token], box: BoxKind, depth: int) -> list[Noted]:
    """Leaves out the working: in ``R² = 3849 so R = 62.04`` the last stated result counts.

    Nothing that names an answer (x = ...) may be left out unless the same name follows again.
    """
    kept: dict[str, list[Token]] = {}
    lost: set[str] = set()
    statements = _statements(tokens)
    for index, statement in enumerate(statements):
        label, body = statement.label, statement.result()
        key = _key(label)
        readable = body and not any(token.kind in "?0" for token in body) and any(token.kind in _VALUES for token in body)
        if not readable:
            if key != "value" or index == len(statements) - 1 and any(token.kind in "nma" for token in statement.tokens):
                lost.add(key)
            continue
        lost.discard(key)
        if statement.after == "w":
            kept.pop("value", None)
        if key == "value" and not statement.stated and statement.after != "w" and kept:
            last = next(reversed(kept))
            kept[last] = [*kept[last], Token(",", ","), *body]
            continue
        kept.pop(key, None)
        kept[key] = [label, *body] if label is not None and label.kind not in "Lb" else body
    if lost or not kept:
        return []
    chosen = _chosen(kept, box)
    result: list[Token] = []
    for body in chosen:
        result = [*result, Token(",", ","), *body] if result else [*body]
    if len(result) >= len(tokens):
        return _said_twice(tokens, kinds_of(tokens), box, depth)
    return [(meaning, (*notes, WORKING_NOTE)) for meaning, notes in meanings(result, box, depth + 1)]


def _key(label: Token | None) -> str:
    if label is None or label.kind == "L":
        return "value"
    return "D" if label.kind == "b" else label.kind + (label.value if label.kind == "P" else "")


def _chosen(kept: dict[str, list[Token]], box: BoxKind) -> list[list[Token]]:
    """Of all that is stated, what the box asks for."""
    if box == "components" and "X" in kept and "Y" in kept:
        return [kept["X"], kept["Y"]]
    if "R" in kept or "D" in kept:
        names = [name for name in kept if name in ("R", "D")]
        if "R" not in kept and "value" in kept:
            names.append("value")
        return [kept[name] for name in kept if name in names]
    named = [body for name, body in kept.items() if name != "value"]
    return named or [kept["value"]]


# ------------------------------------------------------------------------------- labelled parts


def _labelled(tokens: Sequence[Token]) -> list[Noted]:
    """``C = 54.3°, B = 90.7°, b = 20.9``; a part that comes twice, or is numbered, begins a second triangle."""
    groups: list[dict[str, Quantity]] = [{}]
    notes: tuple[str, ...] = ()
    numbered = False
    for statement in _statements(tokens):
        body = [token for token in trimmed(statement.tokens) if token.kind not in "@D:"]
        if len(body) < 2 or body[0].kind != "P":
            return []
        equals = [index for index, token in enumerate(body) if token.kind == "="]
        rest = body[equals[-1] + 1 :] if equals else body[1:]
        if len(equals) > 1 or len(equals) == 1 and equals[0] > 1:
            notes = (WORKING_NOTE,)
        if kinds_of(rest) not in ("n", "m", "a", "nN"):
            return []
        name, value = body[0].value, quantity(rest)
        index = int(body[0].digits or 0)
        numbered = numbered or bool(index)
        if index:
            while len(groups) < index:
                groups.append({})
            group = groups[index - 1]
        else:
            group = groups[-1]
        if name in group and group[name] != value:
            earlier = group[name]
            if not numbered and name.isupper() and name.lower() not in group and earlier.unit is not None and value.unit is None:
                name, notes = name.lower(), (*notes, f"took the second {name} for side {name.lower()}")
            elif numbered or len(groups) > 1 and name not in groups[0]:
                return []
            else:
                group = {}
                groups.append(group)
        group[name] = value
    full = [Labelled(group) for group in groups if group]
    if not full or any(group.keys() != groups[0].keys() for group in groups):
        return []
    return [(full[0] if len(full) == 1 else Several(tuple(full)), notes)]


# ------------------------------------------------------------------------------- one answer in two forms


def _said_twice(tokens: Sequence[Token], kinds: str, box: BoxKind, depth: int) -> list[Noted]:
    """``353° (S 83° E)``, or the same thing on two lines; parts of one answer; or a doubt."""
    cut = _cut(kinds)
    if cut is None:
        return []
    first_tokens, second_tokens = tokens[: cut[0]], tokens[cut[1] : len(tokens) - cut[2]]
    if not first_tokens:
        inside = second_tokens[-1:]
        return meanings(second_tokens, box, depth + 1) if inside and inside[0].kind not in ",;" else []
    if not second_tokens:
        return meanings(first_tokens, box, depth + 1)
    first = meanings(first_tokens, box, depth + 1)
    if first and kinds_of(second_tokens) in ("u", "N") and isinstance(first[0][0], Quantity | Components | Polar):
        unit = second_tokens[0].unit or quantity([Token("n", "", Number(0.0, None)), second_tokens[0]]).unit
        return [(_with_unit(meaning, unit), notes) for meaning, notes in first]
    second = meanings(second_tokens, box, depth + 1)
    if not first or not second:
        return []
    for one, others in ((first, second), (second, first)):
        if len(one) == 1 and any(same(one[0][0], meaning) for meaning, _ in others):
            return [(one[0][0], (*one[0][1], TWICE_NOTE))]
    joined = _join(first[0][0], second[0][0]) if len(first) == len(second) == 1 else None
    if joined is not None:
        return [(joined, first[0][1] + second[0][1])]
    return first + second


def _cut(kinds: str) -> tuple[int, int, int] | None:
    """Where a text falls into two: end of the first part, start of the second, tokens to leave at the end."""
    if kinds[-1] == ")" and "(" in kinds:
        start = kinds.rindex("(")
        return start, start + 1, 1
    for separators in ("\n", ";", "=", "w", ",", "/"):
        index = kinds.find(separators)
        if index > 0:
            return index, index + 1, 0
    return None


def _join(one: Meaning, other: Meaning) -> Meaning | None:
    """A length and a direction that stand side by side are one vector."""
    for length, direction in ((one, other), (other, one)):
        if isinstance(length, Polar) and isinstance(direction, Polar):
            if length.direction is None and direction.magnitude is None:
                return Polar(length.magnitude, direction.direction)
        elif isinstance(length, Quantity) and isinstance(direction, Direction) and length.number.value >= 0:
            if length is one or length.unit is not None:
                return Polar(length, direction)
    return None


def _with_unit(meaning: Meaning, unit: Unit | None) -> Meaning:
    if isinstance(meaning, Quantity) and meaning.unit is None:
        return Quantity(meaning.number, unit)
    if isinstance(meaning, Components):
        return shared_unit(meaning, unit)
    if isinstance(meaning, Polar) and meaning.magnitude is not None and meaning.magnitude.unit is None:
        return Polar(Quantity(meaning.magnitude.number, unit), meaning.direction)
    return meaning
