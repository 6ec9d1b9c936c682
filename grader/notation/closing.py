"""How a text of working closes: with the end of a chain of equals signs, or with a whole answer on its last line."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache

from grader.notation.leftovers import is_same_number
from grader.notation.meanings import kinds_of
from grader.notation.parts import WORKING_NOTE
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind, Components, Direction, Meaning, Polar, Quantity
from grader.notation.stating import is_plain, statements, trimmed
from grader.notation.tables import load_table
from grader.notation.values import Noted, whole


@cache
def _called() -> re.Pattern[str]:
    words = "|".join(load_table("words.toml")["fillers"]["answer"])
    return re.compile(rf"\n[^\w\n]*+(?:(?:my|the|so|final)\s+)*(?:{words})\b(?:\s+is\b)?[\s:=]*(?=\S)", re.IGNORECASE)


def called_the_answer(text: str) -> str:
    """What stands behind ``Answer:`` at the start of the last line that has it, with lines of working before; else empty.

    >>> called_the_answer("p = 14.98\\nANS 15.0 lb")
    '15.0 lb'
    """
    if "\n" not in text:
        return ""
    *_, last = [0, *(match.end() for match in _called().finditer(text))]
    return text[last:] if last and "\n" not in text[last:] else ""


def is_complete(meaning: Meaning, box: BoxKind) -> bool:
    """Whether a meaning is all that a box of this kind asks for."""
    if isinstance(meaning, Polar):
        return meaning.magnitude is not None and meaning.direction is not None
    if isinstance(meaning, Components):
        return meaning.x is not None and meaning.y is not None
    return box in ("quantity", "angle", "direction")


def _is_in_one_piece(kinds: str) -> bool:
    """Whether every bracket is closed and no comma stands outside of them."""
    depth = 0
    for kind in kinds:
        depth += (kind in "(<") - (kind in ")>")
        if depth < 0 or (kind == "," and not depth):
            return False
    return not depth


def _are_same(values: Sequence[Token], others: Sequence[Token]) -> bool:
    """Whether two rows of numbers are the same."""
    numbers = [[token.number.value for token in row if token.number is not None] for row in (values, others)]
    return numbers[0] == numbers[1]


_STATED = re.compile(r"[RXYDPb][=:]*[nma]")


def last_of_chain(tokens: Sequence[Token], kinds: str, box: BoxKind) -> list[Noted]:
    """``A + B = (14.2 - 31.7)i + (-8.6 + 20.1)j = -17.5i + 11.5j km``: one chain of equals, its end a whole answer.

    Only where what stands before the end is worked out, and neither states another value by its name nor ends.
    """
    end = kinds.rfind("=")
    front = kinds[: max(end, 0)]
    start = front.find("=") + 1 or int(front[:1] in tuple("RLPD"))
    steps, result, said = tokens[start:end], tokens[end + 1 :], front[start:]
    apart = not set(";\nvw0").isdisjoint(front) or _STATED.search(said) or _STATED.search(front[1:start])
    if not steps or apart or not _is_in_one_piece(said):
        return []
    values = [token for token in steps if token.kind in "nma"]
    held = [token for token in result if token.kind in "nma"]
    if not values or (len(values) <= len(held) and all(map(is_plain, values)) and not _are_same(values, held)):
        return []
    found = whole(result, kinds_of(result), box)
    if len(found) != 1:
        return []
    (meaning, notes), *_ = found
    vector = isinstance(meaning, Components) and meaning.x is not None and meaning.y is not None
    length = isinstance(meaning, Quantity) and box == "quantity" and "?" in kinds_of(steps)
    return [(meaning, (*notes, WORKING_NOTE))] if vector or length else []


_OF_WORKING = frozenset("=RDXYPL")
"""A line with one of these, an equals sign or a name, may be working."""

LAST_LINE_NOTE = "took the answer from the last line"

_ANSWERS_OWN = frozenset(("x", "y", "r", "|r|", "rx", "ry", "mag", "magnitude", "resultant"))
"""Names of the answer itself; Ax and Bx are parts of what is added."""


def is_own_name(label: Token) -> bool:
    """Whether a label names the answer, not one of the vectors that lead to it."""
    return label.text.lower() in _ANSWERS_OWN


def last_lines(tokens: Sequence[Token], kinds: str, box: BoxKind) -> Iterator[tuple[Sequence[Token], Noted]]:
    """Where the last line (for a vector also what follows the last semicolon or ``so``) is a whole answer for its box:
    the working before it, and the answer.

    Not where the working gives the answer, by its own name, another value.
    """
    if box not in ("polar", "components", "direction", "angle"):
        return
    for joint in "\n;w" if box in ("polar", "components") else "\n":
        end = kinds.rfind(joint)
        if end < 0 or not _OF_WORKING.intersection(kinds[:end]):
            continue
        front, last = tokens[:end], trimmed(tokens[end + 1 :])
        found = whole(last, kinds_of(last), box) if last and last[0].kind not in "PL" else []
        if len(found) == 1 and _closes(found[0][0], box) and not _is_gainsaid(front, last, box):
            yield front, found[0]


def _closes(meaning: Meaning, box: BoxKind) -> bool:
    if box in ("direction", "angle"):
        return isinstance(meaning, Direction) or (isinstance(meaning, Quantity) and meaning.unit is not None)
    return isinstance(meaning, Polar | Components) and is_complete(meaning, box)


def _is_gainsaid(front: Sequence[Token], last: Sequence[Token], box: BoxKind) -> bool:
    """Whether the working states a value under the answer's own name that the last line does not repeat.

    No angle is named by the letters of a vector: x = -4, y = 9 are given where a direction is asked.
    """
    if box in ("direction", "angle"):
        return False
    values = [token for token in last if token.kind in "nma"]
    stated: dict[str, Token] = {}
    for statement in statements(front):
        label, result = statement.label, statement.result()
        if box == "polar" and label is not None and label.kind in "XY":
            continue  # a whole vector may follow its components
        squared = len(statement.tokens) > 1 and statement.tokens[1].text == "^"
        if label is None or not is_own_name(label) or squared or kinds_of(result) not in ("n", "m", "nN"):
            continue
        stated[label.text.lower()] = result[0]
    return any(not any(is_same_number(one, value) for value in values) for one in stated.values())
