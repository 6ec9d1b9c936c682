"""Texts of more than one statement: working before the result, labelled parts, alternatives, one answer in two forms."""

from __future__ import annotations

import re
from collections.abc import Sequence

from grader.notation.beside import are_one_vector, beside, restated
from grader.notation.bracketed import turns_on, without_steps
from grader.notation.choosing import chosen_of, is_of_two, key_of
from grader.notation.closing import (
    LAST_LINE_NOTE,
    is_complete,
    is_own_name,
    last_lines,
    last_of_chain,
)
from grader.notation.leftovers import gainsays, left_out, numbers_of
from grader.notation.lines import are_steps_to_components, last_of_lines
from grader.notation.meanings import kinds_of
from grader.notation.naming import with_axes_named, with_letters_named
from grader.notation.parts import (
    WORKING_NOTE,
    labelled_parts,
    listed_parts,
    numbered_parts,
    paired_parts,
    parts_after_values,
)
from grader.notation.pieces import Token, words
from grader.notation.readings import BoxKind, Components, Direction, Meaning, Number, Polar, Quantity, Several
from grader.notation.sameness import (
    carried_unit,
    clearer,
    is_bearing_of,
    is_repeated,
    is_said_on_two_lines,
    join,
    parted_by_slash,
    same,
    stated_first,
    told_more_closely,
    with_letters,
    with_unit,
)
from grader.notation.stating import (
    Statement,
    are_left_letters,
    go_together,
    has_function,
    is_of_a_function,
    is_ratio,
    statements,
    trimmed,
)
from grader.notation.values import TWICE_NOTE, Noted, unit_of, whole

MAX_DEPTH = 3
"""Brackets, alternatives and repetitions inside one another; answers need two."""

_VALUES = "nmaCNHSsEW"
_JOINTS = frozenset("\n;w")


def meanings(tokens: Sequence[Token], box: BoxKind, depth: int = 0) -> list[Noted]:
    """Every meaning of the tokens, the likeliest first; empty when they say nothing that is known."""
    if not depth and (plain := without_steps(tokens, box)) is not tokens:
        return [(meaning, tuple(dict.fromkeys((*notes, WORKING_NOTE)))) for meaning, notes in meanings(plain, box)]
    tokens = trimmed(tokens)
    if depth > MAX_DEPTH or not tokens:
        return []
    if box == "polar" and depth == 0:
        tokens = with_letters_named(tokens)
    kinds = kinds_of(tokens)
    if "RR" in kinds and not depth:
        tokens = [token for index, token in enumerate(tokens) if kinds[index : index + 2] != "RR"]
        kinds = kinds_of(tokens)  # the resultant force has a magnitude of
    if ("RX" in kinds or "RY" in kinds) and not depth:
        tokens = [token for index, token in enumerate(tokens) if kinds[index : index + 2] not in ("RX", "RY")]
        kinds = kinds_of(tokens)  # resultant x: 30 lb
    if "A" in kinds and not depth and box in ("components", "quantity"):
        tokens = with_axes_named(tokens, kinds, box)
        kinds = kinds_of(tokens)
    if box == "polar" and kinds.startswith(("@m", "@nN")):
        tokens, kinds = tokens[1:], kinds[1:]  # it is going 221.5 mph at 30°
    if box in ("polar", "components") and not depth and (again := restated(tokens, kinds, box, meanings)):
        return again
    if depth == 0 and "X" in kinds and (asked := beside(tokens, kinds, box, meanings)):
        return asked
    if depth == 0 and not _JOINTS.isdisjoint(kinds) and (closing := _last_line(tokens, kinds, box)):
        return closing
    if box == "triangle" and (numbered := numbered_parts(tokens, kinds)):
        return numbered
    if "v" in kinds:
        paired = paired_parts(tokens, box) if "P" in kinds else None
        return paired if paired is not None else _alternatives(tokens, box, depth)
    if "±" in kinds:
        return _either_sign(tokens, box)
    if box == "quantity" and kinds in ("n,N", "n;N"):
        return _said_twice(tokens, kinds, box, depth)  # 38.3, N: its unit
    if "\n" in kinds and box in ("quantity", "angle") and is_said_on_two_lines(tokens, kinds):
        return _said_twice(tokens, kinds, box, depth)
    if "\n" in kinds and not depth and box == "components" and are_steps_to_components(tokens):
        return []
    if "\n" in kinds and not depth and (last := last_of_lines(tokens, box)):
        again = meanings(last, box, depth + 1)
        return [(meaning, (*notes, WORKING_NOTE)) for meaning, notes in again]
    found = whole(tokens, kinds, box)
    if found:
        return found
    if "P" in kinds and (listed := listed_parts(tokens, kinds, box)):
        return listed
    if "P" in kinds and "0" not in kinds and (labelled := labelled_parts(tokens) or parts_after_values(tokens, kinds)):
        return labelled
    if "=" in kinds and kinds.endswith(")") and (answer := _without_remark(tokens, kinds, box, depth)):
        return answer
    if "=" in kinds or "w" in kinds:
        return last_of_chain(tokens, kinds, box) or _last_results(tokens, box, depth)
    if box == "polar" and not _COMPONENT_NAMES.isdisjoint(kinds) and not _VECTOR_NAMES.isdisjoint(kinds):
        return _last_results(tokens, box, depth) or _said_twice(tokens, kinds, box, depth)
    return _said_twice(tokens, kinds, box, depth)


# ------------------------------------------------------------------------------- alternatives


def _alternatives(tokens: Sequence[Token], box: BoxKind, depth: int) -> list[Noted]:
    """``54.3° or 125.7°``: several answers on purpose, or one answer in two forms."""
    pieces: list[list[Token]] = [[]]
    for token in tokens:
        if token.kind == "v":
            pieces.append([])
        else:
            pieces[-1].append(token)
    label = pieces[0][0] if pieces[0] and pieces[0][0].kind in "PDb" else None
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
    directions = [one for one in found if isinstance(one, Direction)]
    if len(found) == len(directions) == 2 and is_bearing_of(*directions):
        return [(next(one for one in directions if one.letters), (*notes, TWICE_NOTE))]
    if len(found) == 1 or all(same(found[0], other) for other in found[1:]):
        units = [one.unit for one in found if isinstance(one, Quantity) and one.unit is not None]
        return [
            (with_unit(found[0], units[0]) if units else found[0], notes + ((TWICE_NOTE,) if len(found) > 1 else ()))
        ]
    last = found[-1]
    if isinstance(last, Direction) and last.form == "compass point" and not isinstance(found[0], Direction):
        return []  # 10 lb up or down: a side, not a second answer
    if isinstance(last, Quantity) and last.unit is not None:
        found = [with_unit(meaning, last.unit) for meaning in found]
    return [(Several(tuple(found)), notes)]


def _either_sign(tokens: Sequence[Token], box: BoxKind) -> list[Noted]:
    """``±7.59``: both signs."""
    found = whole(tokens[1:], kinds_of(tokens[1:]), box) if tokens[0].kind == "±" else []
    if len(found) != 1 or not isinstance(found[0][0], Quantity):
        return []
    value = found[0][0]
    other = Quantity(Number(-value.number.value, value.number.place, value.number.coarsest), value.unit)
    return [(Several((value, other)), found[0][1])]


# ------------------------------------------------------------------------------- the last stated result


_NAMED_VALUE = re.compile(r"\?[XYP][=:]*[nma]")
"""A name with its value behind a word that is not known: what it states may not be lost."""

_COMPONENT_NAMES = frozenset("XY")
_VECTOR_NAMES = frozenset("RD")


def _without_remark(tokens: Sequence[Token], kinds: str, box: BoxKind, depth: int) -> list[Noted]:
    """``15.6 N, N 78° W (tan⁻¹(15.3/3.3) = 77.7)``: working in brackets behind an answer that is complete without it."""
    start, open_ = len(kinds) - 1, 0
    while start >= 0:
        open_ += (kinds[start] in ")>") - (kinds[start] in "(<")
        if not open_:
            break
        start -= 1
    inside = kinds[start + 1 : -1]
    if start < 1 or "=" not in inside or "=" in kinds[:start].lstrip("RDXYPLb=") or not _NAMES.isdisjoint(inside):
        return []
    found = meanings(tokens[:start], box, depth + 1)
    if box == "direction" and turns_on(tokens[start:], [one for one, _ in found]):
        return []
    if not found or not all(is_complete(meaning, box) for meaning, _ in found):
        return []
    return [(meaning, (*notes, WORKING_NOTE)) for meaning, notes in found]


_NAMES = frozenset("RXYP")
"""Names in a bracket that may state another part of the answer."""


def _last_line(tokens: Sequence[Token], kinds: str, box: BoxKind) -> list[Noted]:
    """The whole answer on the last line of working, unless what stands before is another whole answer."""
    for front, answer in last_lines(tokens, kinds, box):
        earlier = [] if is_of_a_function(front) else meanings(front, box, 1)
        meaning, notes = answer
        for one, _ in earlier:
            # v = 411.6, angle = 5.0°, and then 411.6 km/h, N 5.0° W
            restated = box == "polar" and set(numbers_of(one)) <= set(numbers_of(meaning))
            restated = restated or are_one_vector(one, meaning)
            if is_complete(one, box) and not same(one, meaning) and not restated and not left_out(front, one):
                return []
        return [(meaning, (*notes, WORKING_NOTE, LAST_LINE_NOTE))]
    return []


def _last_results(tokens: Sequence[Token], box: BoxKind, depth: int) -> list[Noted]:
    """Leaves out the working: in ``R² = 3849 so R = 62.04`` the last stated result counts.

    Nothing that names an answer (x = ...) may be left out unless the same name follows again.
    """
    kept: dict[str, list[Token]] = {}
    lost: set[str] = set()
    stated = statements(tokens)
    for index, statement in enumerate(stated):
        label, body = statement.label, statement.result()
        if body and box in ("quantity", "angle", "direction"):
            body = stated_first(statement.tokens, body)
            if not body:
                return []
        if box == "quantity" and body:
            body = carried_unit(body, tokens[: _place(tokens, body[0])])
        if is_ratio(statement.tokens) or is_of_two(statement):
            continue
        if gainsays(statement):
            return []
        key = key_of(label)
        if len(statement.tokens) > 1 and statement.tokens[1].text == "^":
            key = "L^" if is_of_a_function(statement.tokens) else "L²"  # R² is not R
        if label is not None and _is_of_another(statement.tokens):
            lost.add(key)
            continue
        said, kinds = kinds_of(statement.tokens), kinds_of(body)
        readable = "?" not in kinds and "0" not in said and any(kind in _VALUES for kind in kinds)
        if not readable:
            if are_left_letters(statement):
                return []
            followed = index + 1 < len(stated) and stated[index + 1].after == "w"
            if (
                box == "quantity"
                and followed
                and has_function(statement.tokens)
                and not any(kind in "nma0" for kind in said)
            ):
                continue  # Vx = V cos θ ⇒ V = 15.4 km/h: a formula
            if _NAMED_VALUE.search(said):
                lost.add("?")
            if key[0] not in "vL" or (index == len(stated) - 1 and any(kind in "nma" for kind in said)):
                lost.add(key)
            continue
        if key in kept and key[0] == "P" and statement.after != "w":
            return []  # two triangles, not yet told apart
        if box == "components" and _names_another_vector(label, kept.get(key)):
            lost.add(key)
        else:
            lost.discard(key)
        if statement.after == "w":
            for earlier in [name for name in kept if name[0] in "vL"]:
                del kept[earlier]
            if key == "value" and kept:  # R = 62.04, so 62.0 lb: the result of what was named before
                key, (first, *_) = kept.popitem()
                label = first if first.kind in "RDXYP" else None
                kept.clear()
        if key == "value" and "value" in kept and box == "components" and _is_sine_first(stated, index):
            return []  # 12.2 sin 305 = -10.0, 12.2 cos 305 = 7.0: which is x?
        if key == "value" and "value" in kept and statement.after != "w" and go_together(kept[key], body, box):
            kept[key] = [*kept[key], Token(",", ","), *body]
            continue
        if key == "value" and not statement.stated and statement.after != "w" and kept:
            last = next(reversed(kept))
            if box == "quantity" and is_repeated(kept[last], body):
                continue  # 50 sin 19 = 16.3, 16.3 N
            if statement.after == "\n" and (last == "L²" or (last == "value" and box in ("quantity", "angle"))):
                del kept[last]  # R² = 3852, 9 + 16 = 25: and on the next line what comes of it
                kept[key] = body
                continue
            kept[last] = [*kept[last], Token(",", ","), *body]
            continue
        kept.pop(key, None)
        kept[key] = [label, *body] if label is not None and label.kind not in "Lb" else body
    if len(kept) > 1:
        kept.pop("L²", None)  # 62.0 N, R² = 3849
    chosen = chosen_of(kept, box) if kept and not lost else []
    if not chosen:
        return []
    result: list[Token] = []
    for body in chosen:
        result = [*result, Token(",", ","), *body] if result else [*body]
    if len(result) >= len(tokens):
        return _said_twice(tokens, kinds_of(tokens), box, depth)
    return [(meaning, (*notes, WORKING_NOTE)) for meaning, notes in meanings(result, box, depth + 1)]


def _is_sine_first(stated: Sequence[Statement], index: int) -> bool:
    """Whether a cosine is worked out here and a sine just before, neither under a name of its own."""
    one, other = ("".join(token.text.lower() for token in stated[at].tokens) for at in (index - 1, index))
    return "sin" in one and "cos" not in one and "cos" in other and "sin" not in other


def _is_of_another(tokens: Sequence[Token]) -> bool:
    """``angle between = 120``, ``angle with 40 N = 23``, ``x (negative) = 7``: between a direction's or a component's name and
    its value stands what may make it another."""
    if len(tokens) < 3:
        return False
    end = next((index for index, token in enumerate(tokens) if token.kind in "=:"), 0)
    first, second = tokens[1:3]
    if tokens[0].kind == "D":
        of_others = first.kind == "?" and first.text.lower() in words().other_angles
        of_what = "nm?" if first.text.lower() in words().counted_from else "nm"  # the angle from the bank is 73°
        return of_others or (first.kind == "o" and any(token.kind in of_what for token in tokens[2:end]))
    return (
        tokens[0].kind in "XY" and first.kind == "(" and second.kind == "?" and second.text.lower() in words().operators
    )


def _place(tokens: Sequence[Token], one: Token) -> int:
    return next(index for index, token in enumerate(tokens) if token is one)


def _names_another_vector(label: Token | None, before: Sequence[Token] | None) -> bool:
    """Whether a component stands under a second name that is not the answer's own: Ax = 3, Bx = -9.2."""
    if label is None or label.kind not in "XY" or before is None or before[0].kind != label.kind:
        return False
    return label.text.lower() != before[0].text.lower() and not is_own_name(label) and len(label.text) < 4


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
    if all(token.kind in "RDXYL" for token in second_tokens):
        if tokens[cut[0]].kind == "/" or any(token.kind == "L" for token in second_tokens):
            return []  # 45 miles/hor, 62.0 ln :) – it may be a unit with a slip in it
        named = tuple(f"left out {token.text}, a name without a value" for token in second_tokens)
        return [(meaning, (*notes, *named)) for meaning, notes in meanings(first_tokens, box, depth + 1)]
    first = meanings(first_tokens, box, depth + 1)
    if first and kinds_of(second_tokens) in ("u", "N") and isinstance(first[0][0], Quantity | Components | Polar):
        unit = unit_of(second_tokens)
        return [(with_unit(meaning, unit), notes) for meaning, notes in first]
    second = meanings(second_tokens, box, depth + 1)
    if not first or not second:
        return []
    for one, others in ((first, second), (second, first)):
        if len(one) == 1 and any(same(one[0][0], meaning) for meaning, _ in others):
            meaning = (
                one[0][0]
                if one is second
                else clearer(first_tokens, second_tokens, one[0][0], second[0][0], tokens[cut[0]].kind in "\n=w")
            )
            return [(meaning, (*one[0][1], TWICE_NOTE))]
    if cut == (index := kinds.find("/"), index + 1, 0) and (
        parted := parted_by_slash(tokens, index, first, second, box)
    ):
        return parted
    apart = box == "direction" and kinds[cut[0]] in ",\n" and kinds[cut[1]] != "=" and len(first) == len(second) == 1
    if apart and (lettered := with_letters(first[0][0], second[0][0])):
        return [(lettered, (*first[0][1], *second[0][1], TWICE_NOTE))]
    if (
        box in ("direction", "polar")
        and kinds[cut[0]] in ",\n;("
        and kinds[cut[1]] != "="
        and len(first) == len(second) == 1
    ):
        closer = told_more_closely(first[0][0], second[0][0])
        if closer is not None:
            return [(closer, (*first[0][1], *second[0][1], TWICE_NOTE))]
    joined = join(first[0][0], second[0][0]) if len(first) == len(second) == 1 else None
    if joined is not None:
        return [(joined, first[0][1] + second[0][1])]
    if any(token.kind in "XYP" for token in tokens):
        return []  # a named part that is not clear
    if box == "polar" and sum(_is_whole(one) for one, _ in first + second) == 1:
        return []  # 12 km northeast, 40°: two directions of one length
    if _are_partial(first, box) or _are_partial(second, box):
        return []  # R: 221.5, α: 41.1, θ: 138.9: which is the direction?
    if tokens[cut[0]].kind == "/":
        return []  # 8838 N/91.7
    return first + second


def _is_whole(meaning: Meaning) -> bool:
    return isinstance(meaning, Polar) and is_complete(meaning, "polar")


def _are_partial(found: Sequence[Noted], box: BoxKind) -> bool:
    """Whether of a whole vector nothing but parts was found: two of them side by side are no two answers."""
    return box in ("polar", "components") and not any(is_complete(meaning, box) for meaning, _ in found)


def _cut(kinds: str) -> tuple[int, int, int] | None:
    """Where a text falls into two: end of the first part, start of the second, tokens to leave at the end."""
    if kinds[-1] == ")" and "(" in kinds:
        start = kinds.rindex("(")
        return start, start + 1, 1
    for separator in ("\n", ";", "=", "w", ",", "/"):
        index = kinds.find(separator)
        if index > 0:
            return (index, index + 1, 0) if separator != "," or kinds.count(",") == 1 else None
    return None
