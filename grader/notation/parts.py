"""The named parts of one triangle or of two: ``C = 54.3°, B = 90.7°, b = 20.9``; ``c = 14.4, 6.1``."""

from __future__ import annotations

import re
from collections.abc import Sequence

from grader.notation.meanings import kinds_of, quantity
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind, Labelled, Number, Quantity, Several
from grader.notation.stating import is_of_a_function, statements, trimmed
from grader.notation.values import Noted, either_side_of_a_slash, is_rounding_of, is_two_in_one

WORKING_NOTE = "working left out: the last stated result counts"


def paired_parts(tokens: Sequence[Token], box: BoxKind) -> list[Noted] | None:
    """``C = 54.3° or 125.7°, B = 90.7° or 19.3°``: the first triangle has the first of each, the second the second.

    None when no part has two values; empty when some have and others have not.
    """
    columns: list[tuple[str, list[Quantity]]] = []
    paired = False
    for statement in statements(_named_once(tokens) if box == "triangle" else tokens):
        whole_body = [token for token in trimmed(statement.tokens) if token.kind not in "@D:"]
        body = _without_steps(whole_body)
        paired = paired or "v" in kinds_of(body)
        values = [token for token in body[1:] if token.kind != "v"]
        if not body or body[0].kind != "P" or any(token.kind not in "nma" for token in values):
            return [] if paired else None
        columns.append((body[0].value, [quantity([token], values[-1].unit) for token in values]))
    if not paired:
        return None
    count = len(columns[0][1])
    names = [name for name, _ in columns]
    if count < 2 or len(set(names)) < len(names) or any(len(values) != count for _, values in columns):
        return []
    triangles = [Labelled({name: values[index] for name, values in columns}) for index in range(count)]
    return [(Several(tuple(triangles)), ())]


def _without_steps(body: Sequence[Token]) -> list[Token]:
    """``B = 49.9° or 180 - 49.9 = 130.1°`` with the last value of each chain of equals signs alone."""
    kept: list[Token] = []
    for token in body:
        if token.kind == "=":
            while len(kept) > 1 and kept[-1].kind != "v":
                kept.pop()
        else:
            kept.append(token)
    return kept


def _named_once(tokens: Sequence[Token]) -> list[Token]:
    """``B = 62.8° or B = 117.2°`` as ``B = 62.8° or 117.2°``: the second name says what the first has said."""
    kept: list[Token] = []
    name, skipping = "", False
    for token in tokens:
        if token.kind == "P":
            skipping = bool(kept) and kept[-1].kind == "v" and token.value == name and not token.digits
            name = token.value
        if not (skipping and token.kind in "P=:"):
            kept.append(token)
            skipping = False if token.kind in "nma" else skipping
    return kept


_LISTED = re.compile(r"(?:P[=:]*(?:[an][,/&;]a|[nm][,/&;][nm])[,;&\n]*)+")


def listed_parts(tokens: Sequence[Token], kinds: str, box: BoxKind) -> list[Noted]:
    """``c = 14.4, 6.1``: two values under one name are the part in either of two triangles."""
    if not _LISTED.fullmatch(kinds) or box not in ("triangle", "quantity", "angle"):
        return []
    columns: dict[str, list[Token]] = {}
    for token in tokens:
        if token.kind == "P" and token.value in columns:
            return []
        if token.kind == "P":
            name = token.value
            columns[name] = []
        elif token.kind in "nma":
            columns[name].append(token)
    if box != "triangle":
        if len(columns) > 1:
            return []
        ((one, other),) = columns.values()
        return [(Several((quantity([one], other.unit), quantity([other]))), ())]
    triangles = [
        Labelled({name: quantity([pair[index]], pair[1].unit) for name, pair in columns.items()}) for index in (0, 1)
    ]
    return [(Several(tuple(triangles)), ())]


def labelled_parts(tokens: Sequence[Token]) -> list[Noted]:
    """``C = 54.3°, B = 90.7°, b = 20.9``; a part that comes twice, or is numbered, begins a second triangle."""
    groups: list[dict[str, Quantity]] = [{}]
    notes: tuple[str, ...] = ()
    numbered = False
    for statement in statements(tokens):
        body = [token for token in trimmed(statement.tokens) if token.kind not in "@D:"]
        if len(body) < 2 or body[0].kind != "P":
            return []
        if _is_equation(body):
            notes = (WORKING_NOTE,)
            continue
        equals = [index for index, token in enumerate(body) if token.kind == "="]
        rest = body[equals[-1] + 1 :] if equals else body[1:]
        if len(equals) > 1 or (len(equals) == 1 and equals[0] > 1):
            notes = (WORKING_NOTE,)
        if kinds_of(rest) not in ("n", "m", "a", "nN"):
            return []
        if is_two_in_one(rest[0], "triangle", False) or (
            body[0].value.isupper() and rest[0].kind == "n" and either_side_of_a_slash(rest[0]) is not None
        ):
            return []  # c = 14.4/6.1: a quotient, or the side in either triangle
        name, value = body[0].value, quantity(rest)
        if not equals and value.number.value < 0:  # C - 54.3°: no part of a triangle is negative
            number = value.number
            value = Quantity(Number(-number.value, number.place, number.coarsest), value.unit)
            notes = (*notes, "read the dash after a name as an equals sign")
        index = int(body[0].digits or 0)
        numbered = numbered or bool(index)
        if index:
            while len(groups) < index:
                groups.append({})
            group = groups[index - 1]
        else:
            group = groups[-1]
        if name in group and group[name] != value and not index and is_rounding_of(group[name], value):
            value = Quantity(value.number, value.unit or group[name].unit)
            notes = (*notes, WORKING_NOTE)
            group[name] = value
        if name in group and group[name] != value:
            earlier = group[name]
            if (
                not numbered
                and name.isupper()
                and name.lower() not in group
                and earlier.unit is not None
                and value.unit is None
            ):
                name, notes = name.lower(), (*notes, f"took the second {name} for side {name.lower()}")
            elif (
                not numbered
                and name.islower()
                and name.upper() not in group
                and _is_no_angle(earlier)
                and value.unit is not None
                and value.unit.dimension == "angle"
            ):
                name, notes = name.upper(), (*notes, f"took the second {name} for angle {name.upper()}")
            elif numbered or (len(groups) > 1 and name not in groups[0]):
                return []
            else:
                group = {}
                groups.append(group)
        group[name] = value
    full = [Labelled(group) for group in groups if group]
    if not full or any(group.keys() != groups[0].keys() for group in groups):
        return []
    return [(full[0] if len(full) == 1 else Several(tuple(full)), notes)]


def _is_equation(body: Sequence[Token]) -> bool:
    """``c² = 219``, ``a/sin A = 14.8``, ``B + 35 + 90.9 = 180``: a step that begins with the name of a part, not its value."""
    equals = next((index for index, token in enumerate(body) if token.kind == "="), 0)
    between = body[1:equals]
    if not between:
        return False
    first = between[0]
    return first.text in _SIGNS or (first.kind == "n" and first.text[:1] in ("+", "-"))


def _is_no_angle(value: Quantity) -> bool:
    return value.unit is None or value.unit.dimension != "angle"


_SIGNS = frozenset(("^", "/", "+", "-", "*", "×", "·"))


def numbered_parts(tokens: Sequence[Token], kinds: str) -> list[Noted]:
    """``B1 = 53.5°, c1 = 12.4 or B2 = 126.5°, c2 = 2.9``, perhaps with the sine they come from on a line before."""
    first = kinds.find("\n") + 1
    if first and is_of_a_function(tokens):
        tokens, kinds = tokens[first:], kinds[first:]
    elif "v" not in kinds:
        return []
    names = [token for token in tokens if token.kind == "P"]
    if not names or not all(token.digits for token in names):
        return []
    return labelled_parts([Token(";", ";") if token.kind == "v" else token for token in tokens])


_LABELS_AFTER = re.compile(r"(?:[nma]=P[,;&\n]*){2,}")


def parts_after_values(tokens: Sequence[Token], kinds: str) -> list[Noted]:
    """``54.3 = C, 90.7 = B``: each label behind its value."""
    if not _LABELS_AFTER.fullmatch(kinds):
        return []
    kept = [token for token in tokens if token.kind in "nmaP"]
    return labelled_parts([token for value, name in zip(kept[::2], kept[1::2]) for token in (name, value)])
