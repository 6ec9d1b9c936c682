"""Of all that a text states under names and without, what its box asks for."""

from __future__ import annotations

from grader.notation.meanings import kinds_of
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind
from grader.notation.stating import Statement

_SIGNS = frozenset("/+-*×·")


def is_of_two(statement: Statement) -> bool:
    """``a/sin A = 23.8``, ``A + B = 92.5``: of a part of a triangle and another, so of neither."""
    named = statement.label is not None and statement.label.kind == "P" and len(statement.tokens) > 1
    return named and statement.tokens[1].text in _SIGNS and any(token.kind == "=" for token in statement.tokens)


def key_of(label: Token | None) -> str:
    if label is None:
        return "value"
    if label.kind == "L":
        return "L" + label.value
    return "D" if label.kind == "b" else label.kind + (label.value if label.kind == "P" else "")


def chosen_of(kept: dict[str, list[Token]], box: BoxKind) -> list[list[Token]]:
    """Of all that is stated, what the box asks for."""
    if box == "components" and "X" in kept and "Y" in kept:
        return [kept["X"], kept["Y"]]
    last = next(reversed(kept))
    if box == "direction" and "D" in kept and last[0] == "L":
        values = [[token.text for token in kept[name] if token.kind in "na"] for name in ("D", last)]
        if values[0] != values[1]:
            return []  # angle = 34.4, total = 49.4
    if box == "direction" and "value" in kept and any(name[0] == "P" for name in kept):
        # B = 34.4, 15 + 34.4 = 49.4: an angle of the triangle, and the direction that comes of it
        return [kept["value"]] if last == "value" else []
    others = [name for name in kept if name[0] in "vL"]
    if "value" in kept and _comes_after(kept):
        return []  # θ = 28.9, 180 - 28.9 = 151: the name says one thing, the later result another
    if box == "quantity" and "R" in kept and last in ("X", "Y"):
        return []  # the distance is 840 m so x = -368.2 m: a length, and then a component
    if "R" in kept or "D" in kept:
        names = ["R", "D"] if "R" in kept else ["D", *others[-1:]]
        if "D" not in kept and box == "polar":  # R = 62.0 N, tan⁻¹(7.59/61.57) = 7.0°: an angle without its name
            names += [name for name in others if "a" in kinds_of(kept[name])]
        return [body for name, body in kept.items() if name in names]
    if others and (len(others) == len(kept) or (box == "quantity" and others[-1] == next(reversed(kept)))):
        if box == "components" and len(others) > 1:
            return []  # two results under names that do not say which is x
        return [kept[name] for name in others] if box == "polar" else [kept[others[-1]]]
    return [body for name, body in kept.items() if name not in others]


def _comes_after(kept: dict[str, list[Token]]) -> bool:
    """Whether a result without a name stands behind a named one that it may replace, and differs from it."""
    order = list(kept)
    body = kept["value"]
    kinds = kinds_of(body)
    for name, lengths in (("R", True), ("D", False)):
        of_its_sort = kinds == "n" or (kinds in ("m", "nN")) == lengths
        if name in kept and order.index(name) < order.index("value") and of_its_sort:
            earlier = [token for token in kept[name] if token.kind in "nma"]
            if not earlier or earlier[-1].text != body[0].text:
                return True
    return False
