"""Letters and axes that name a part where nothing else in the text does: ``h = 65°, v = 48.1 km/h``, ``x direction: -7.2``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache

from grader.notation.pieces import Token
from grader.notation.readings import BoxKind
from grader.notation.tables import load_table


@cache
def letters_of_vectors() -> dict[str, str]:
    """The letters that can name a magnitude (R) or a direction (D)."""
    labels = load_table("words.toml")["labels"]
    return {letter: kind for kind in "RD" for letter in labels[f"letters_for_{kind}"]}


def with_letters_named(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens with a letter as the label of a magnitude (R) or a direction (D), as its value or its custom says.

    Only where one letter alone claims to be that, and no word does.
    """
    if all(token.kind != "L" for token in tokens):
        return tokens
    taken = {"D" if token.kind == "b" else token.kind for token in tokens if token.kind in "RDb"}
    claims: dict[str, list[int]] = {"R": [], "D": []}
    for index, token in enumerate(tokens):
        kind = letters_of_vectors().get(token.value.lower()) if token.kind == "L" else None
        if kind is not None:
            claims[_by_value(tokens[index + 1 :]) or kind].append(index)
    named = list(tokens)
    for kind, found in claims.items():
        if len(found) == 1 and kind not in taken:
            letter = tokens[found[0]]
            named[found[0]] = Token(kind, letter.text, value=kind)
    return named


def _by_value(following: Sequence[Token]) -> str:
    """What the value after a label is: an angle with its sign is a direction, a number with another unit a length."""
    for index, token in enumerate(following):
        if token.kind in "am":
            return "D" if token.kind == "a" else "R"
        if token.kind == "n":
            return "R" if index + 1 < len(following) and following[index + 1].kind == "N" else ""
        if token.kind in "NHSsEWC":
            return "D"
        if token.kind in "RDXYPL,;\n":
            break
    return ""


_AXES = {"E": "X", "N": "Y"}
_AXIS_FIRST = re.compile(r"(?<![^,;&\n(])A(?=[:=]*[nm])")


def with_axes_named(tokens: Sequence[Token], kinds: str, box: BoxKind) -> Sequence[Token]:
    """``x direction: -7.2, y direction: -17.0``: an axis before a number names a component, where components are asked;
    ``43.6 kN in the x direction`` is one component by itself.
    """
    if box == "quantity":
        alone = kinds in ("mA", "nNA") and tokens[-1].value in _AXES
        return tokens[:-1] if alone else tokens
    places = [match.start() for match in _AXIS_FIRST.finditer(kinds)]
    values = [tokens[place].value for place in places]
    if len(places) != kinds.count("A") or sorted(values) != sorted(_AXES):
        return tokens
    named = list(tokens)
    for place, value in zip(places, values, strict=True):
        named[place] = Token(_AXES[value], tokens[place].text, value=_AXES[value])
    return named
