"""Steps in brackets behind the value that they lead to: ``B = 54.1 (sin B = 0.81), C = 90.9``."""

from __future__ import annotations

import re
from collections.abc import Sequence

from grader.notation.leftovers import is_same_number
from grader.notation.meanings import kinds_of
from grader.notation.pieces import Token, is_function
from grader.notation.readings import BoxKind, Direction, Meaning
from grader.notation.stating import is_of_a_function, is_plain

_OPEN, _CLOSE = "(<", ")>"
_VALUES = frozenset("nmaN")


def without_steps(tokens: Sequence[Token], box: BoxKind) -> Sequence[Token]:
    """The tokens without brackets that stand behind a value and hold an equation of a sine, a cosine, a tangent or a square;
    where several parts are asked, also without those that only round the value, or have more of its digits.
    """
    kinds = kinds_of(tokens)
    if not any(sign in kinds for sign in _OPEN):
        return tokens
    parts = box in ("polar", "components", "triangle") and sum(map(kinds.count, "nma")) > 2
    if not parts and "=" not in kinds:
        return tokens
    kept: list[Token] = []
    index = 0
    while index < len(tokens):
        if kinds[index] in _OPEN and kept and kept[-1].kind in _VALUES:
            end = _closing(kinds, index)
            inside = tokens[index + 1 : end]
            if end and any(token.kind == "=" for token in inside) and _is_step(inside):
                index = end + 1
                continue
            if end and parts and _is_restated(kept, inside):
                index = end + 1
                continue
        kept.append(tokens[index])
        index += 1
    return kept if len(kept) < len(tokens) else tokens


def _closing(kinds: str, start: int) -> int:
    """Where the bracket that opens here closes; 0 if it does not."""
    depth = 0
    for index in range(start, len(kinds)):
        depth += (kinds[index] in _OPEN) - (kinds[index] in _CLOSE)
        if not depth:
            return index
    return 0


def _is_restated(kept: Sequence[Token], inside: Sequence[Token]) -> bool:
    """``54 N (54.1), 54° (53.7)``: the same value, to other digits."""
    if kinds_of(inside) not in ("n", "m", "nN", "a"):
        return False
    value = kept[-2] if kept[-1].kind == "N" and len(kept) > 1 else kept[-1]
    if value.kind not in "nma" or not is_plain(value) or not is_plain(inside[0]):
        return False
    alike = inside[0].sign in ("", value.sign) or value.kind != "a"  # 2.42 rad (138.9°) is said more closely
    return alike and is_same_number(value, inside[0]) and (inside[0].unit is None or inside[0].unit == value.unit)


def _is_step(inside: Sequence[Token]) -> bool:
    return is_of_a_function(inside) or (len(inside) > 1 and inside[1].text == "^")


_NAMED_AT_END = re.compile(r"(?<=[mN])\((?:(?:[?][=:]+|L[=:]*)[nma]N?[,;]?)+\)$")


def without_named_at_end(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens without a last bracket that tells another quantity by its name: ``≈ 31.4 kN (g = 9.81)``."""
    if not tokens or tokens[-1].kind != ")":
        return tokens
    match = _NAMED_AT_END.search(kinds_of(tokens))
    return tokens if match is None else tokens[: match.start()]


def turns_on(bracket: Sequence[Token], found: Sequence[Meaning]) -> bool:
    """Whether a bracket turns what stands before it into another angle: ``40.2° (add 180 = 220.2°)``."""
    value = next((token for token in reversed(bracket) if token.kind in "na"), None)
    if value is None or value.number is None or any(token.kind == "?" and is_function(token.text) for token in bracket):
        return False
    last = value.degrees if value.kind == "a" else value.number.value
    for meaning in found:
        if isinstance(meaning, Direction) and meaning.form == "plain angle":
            gap, total = abs(last - meaning.written), last + meaning.written
            if gap > 1e-6 and any(abs(one - turn) < 1e-6 for one in (gap, total) for turn in (180.0, 360.0)):
                return True
    return False
