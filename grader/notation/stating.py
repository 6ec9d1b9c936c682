"""A text parted where one statement ends and the next begins: ``R² = 3849 so R = 62.0`` states two things."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from grader.notation.grammar import direction_form
from grader.notation.meanings import kinds_of
from grader.notation.pieces import Token, is_function
from grader.notation.readings import BoxKind

_LABELS = "RDXYPLb"


MAX_STEPS = 6
"""Equals signs of one statement behind which the working of a second value is looked for; answers have three."""

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
                said = body[index + 1 :]
                bearing = next((token for token in body[:index] if token.kind == "b"), None)
                # bearing is 232.4; back az. of 61°20' = 241°20'
                return (
                    [bearing, *said]
                    if bearing is not None and [token.kind for token in said] in (["n"], ["a"])
                    else said
                )
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
    for token, following in zip(tokens, (*tokens[1:], None), strict=True):
        kind = token.kind
        parts = kind in ";\nw" or (named and kind in ",&")
        opens = valued and (kind in "RDXYPL" or (kind == "?" and _names_something(token, following)))
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
    if any(token.kind == "=" for token in tokens):
        found = [parted for statement in found for parted in _parted(statement)]
    return found


def _names_something(token: Token, following: Token | None) -> bool:
    """``time is 4``: a word that is not known, before an equals sign, is a name of its own."""
    name = token.text.isalpha() and len(token.text) > 2 and not is_function(token.text)
    return name and following is not None and following.kind == "="


def _parted(statement: Statement) -> list[Statement]:
    """``108 lb, 58.5+180 = 238.5°``: what stands before the working of the next value is a statement of its own."""
    tokens = statement.tokens
    for equals in [index for index, token in enumerate(tokens) if token.kind == "="][:MAX_STEPS]:
        start, end = working_span(tokens, equals) or (0, equals)
        if start < 2:
            continue
        before, steps, result = tokens[: start - 1], tokens[start:end], tokens[end + 1 :]
        if not any(token.kind in "nma" for token in before) or not _is_one_value(kinds_of(result)):
            continue
        if is_calculation(steps):  # not in 43.6 kN at 151° = 2.64 rad
            return [Statement(statement.after, before), Statement(",", tokens[start:])]
    return [statement]


def _is_one_value(kinds: str) -> bool:
    return kinds in ("n", "m", "a", "nN") or bool(direction_form(kinds))


def working_span(tokens: Sequence[Token], equals: int | None = None) -> tuple[int, int] | None:
    """Where the working before an equals sign, the first if not told, stands.

    It begins behind the last joint (comma, ``at``, ``and``) before it, or in the bracket that opens before it.
    """
    kinds = kinds_of(tokens)
    end = kinds.find("=") if equals is None else equals
    if end < 1:
        return None
    start = end
    depth = 0
    while start > 0 and not (depth == 0 and kinds[start - 1] in "@,;&\n(<"):
        start -= 1
        depth += (kinds[start] in ")>") - (kinds[start] in "(<")
    return start, end


def is_calculation(tokens: Sequence[Token]) -> bool:
    """Whether something is worked out here: 58.5 + 180, √1897, cos 57°; not a number as it stands."""
    return len(tokens) > 1 or any(not is_plain(token) for token in tokens)


def is_plain(token: Token) -> bool:
    """Whether a value is one numeral."""
    return token.kind in "nma" and bool(token.digits or token.text.strip("-+ ").replace(".", "", 1).isdigit())


def is_ratio(tokens: Sequence[Token]) -> bool:
    """``tan θ = 0.123``: a step on the way to an angle, never an angle."""
    if len(tokens) < 2 or not is_of_a_function(tokens):
        return False
    following = tokens[1]
    return following.kind in "DP=" or (following.kind == "?" and following.text in tuple("ABCabc"))


def is_of_a_function(tokens: Sequence[Token]) -> bool:
    """Whether a text begins with a sine, a cosine or a tangent, so that it states no value of its own."""
    return bool(tokens) and tokens[0].kind == "?" and is_function(tokens[0].text)


def are_left_letters(statement: Statement) -> bool:
    """``38.3 ;b``: a letter or two behind the mark that parts it from the value may be a unit with a slip in it."""
    (first, *others) = statement.tokens
    return (
        first.kind == "?"
        and not others
        and statement.after in (";", ",")
        and len(first.text) < 4
        and first.text.isalpha()
    )


def go_together(before: Sequence[Token], after: Sequence[Token], box: BoxKind) -> bool:
    """Whether two results without names are the two parts of one vector, not the later in place of the earlier."""
    one, other = kinds_of(before), kinds_of(after)
    if box == "components":
        return one == other or (one, other) == ("n", "m")
    lengths = ("m", "nN")
    if box != "polar" or (one in lengths) == (other in lengths):
        return False
    return bool(direction_form(one if other in lengths else other)) and (one != "n" or other not in lengths)


def has_function(tokens: Sequence[Token]) -> bool:
    """Whether a sine, a cosine, a tangent or a root stands among the tokens."""
    return any(token.kind == "?" and (is_function(token.text) or token.text[:1] == "√") for token in tokens)
