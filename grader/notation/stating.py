"""A text parted where one statement ends and the next begins: ``R² = 3849 so R = 62.0`` states two things."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from grader.notation.meanings import kinds_of
from grader.notation.pieces import Token

_LABELS = "RDXYPLb"


def trimmed(tokens: Sequence[Token]) -> Sequence[Token]:
    """Without separators and little words at the ends, and without brackets that have no partner."""
    start, end = 0, len(tokens)
    while start < end and tokens[start].kind in ",;\n&=:w/-vo":
        start += 1
    while end > start and (
        tokens[end - 1].kind in ",;\n&=:w@oy/-v(<" or (tokens[end - 1].kind in ")>" and _unmatched(tokens[start:end]))
    ):
        end -= 1
    return tokens[start:end] if end - start < len(tokens) else tokens


def _unmatched(tokens: Sequence[Token]) -> bool:
    kinds = kinds_of(tokens)
    return kinds.count(")") + kinds.count(">") > kinds.count("(") + kinds.count("<")


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
    after = ""
    for token in tokens:
        kind = token.kind
        parts = kind in ";\nw" or (kind in ",&" and any(one.kind in "=RDXYPL" for one in current))
        opens = kind in "RDXYPL" and any(one.kind in "nma" for one in current)
        if parts or opens:
            if current:
                found.append(Statement(after, current))
                current, after = [], kind if parts else ","
            elif parts and kind == "w":
                after = "w"
            if parts:
                continue
        current.append(token)
    if current:
        found.append(Statement(after, current))
    return found
