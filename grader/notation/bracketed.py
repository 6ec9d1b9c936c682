"""Steps in brackets behind the value that they lead to: ``B = 54.1 (sin B = 0.81), C = 90.9``."""

from __future__ import annotations

from collections.abc import Sequence

from grader.notation.leftovers import is_same_number
from grader.notation.meanings import kinds_of
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind
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
    return is_same_number(value, inside[0]) and (inside[0].unit is None or inside[0].unit == value.unit)


def _is_step(inside: Sequence[Token]) -> bool:
    return is_of_a_function(inside) or (len(inside) > 1 and inside[1].text == "^")
