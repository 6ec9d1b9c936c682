"""A text parted where one statement ends and the next begins: ``R² = 3849 so R = 62.0`` states two things."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from grader.notation.meanings import kinds_of
from grader.notation.pieces import Token

_LABELS = "RDXYPLb"


_LOOSE = frozenset(",;\n&=:w@oy/-v(<>)")
"""Kinds that may be cut off at an end."""


def trimmed(tokens: Sequence[Token]) -> Sequence[Token]:
    """Without separators and little words at the ends, and without brackets that have no partner."""
    if not tokens or (tokens[0].kind not in _LOOSE and tokens[-1].kind not in _LOOSE):
        return tokens
    kinds = kinds_of(tokens)
    start, end = len(kinds) - len(kinds.lstrip(",;\n&=:w/-vo")), len(kinds)
    unmatched: int | None = None  # closing brackets without an opening one
    while end > start:
        kind = kinds[end - 1]
        if kind in ")>":
            if unmatched is None:
                unmatched = sum(map(kinds.count, ")>")) - sum(map(kinds[start:end].count, "(<"))
            if unmatched <= 0:
                break
            unmatched -= 1
        elif kind in "(<":
            unmatched = None if unmatched is None else unmatched + 1
        elif kind not in ",;\n&=:w@oy/-v":
            break
        end -= 1
    return tokens[start:end] if end - start < len(tokens) else tokens


@dataclass(slots=True)
class Statement:
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


def statements(tokens: Sequence[Token]) -> list[Statement]:
    """The tokens parted where one statement ends and the next begins."""
    found: list[Statement] = []
    current: list[Token] = []
    named = valued = False  # what the current statement holds so far
    after = ""
    for token in tokens:
        kind = token.kind
        parts = kind in ";\nw" or (named and kind in ",&")
        opens = valued and kind in "RDXYPL"
        if parts or opens:
            if current:
                found.append(Statement(after, current))
                current, after = [], kind if parts else ","
                named = valued = False
            elif parts and kind == "w":
                after = "w"
            if parts:
                continue
        current.append(token)
        named = named or kind in "=RDXYPL"
        valued = valued or kind in "nma"
    if current:
        found.append(Statement(after, current))
    return found
