"""Which numbers of a text its meaning does not hold: no number that a student states may be lost in silence.

Steps that lead to a number are accounted for by it; a number that stands for itself is not. Who marks an answer that lacks a
part looks here before calling the part blank.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from grader.notation.closeness import are_close, are_one_direction
from grader.notation.meanings import kinds_of
from grader.notation.pieces import Token, is_function
from grader.notation.readings import BoxKind, Components, Direction, Labelled, Meaning, Polar, Quantity, Several
from grader.notation.stating import Statement, is_plain, is_ratio, statements, working_span


def left_out(tokens: Sequence[Token], meaning: Meaning) -> tuple[str, ...]:
    """The numbers, as written, that stand in the text for themselves and not in its meaning."""
    values = [token for token in tokens if token.kind in "nma"]
    held = list(numbers_of(meaning))
    if len(values) <= len(held) and all(_is_held(token, held) for token in values):
        return ()
    lost: list[Token] = []
    for statement in statements(tokens):
        lost += [token for token in _stated(statement) if not _is_held(token, held)]
    places = {id(token): place for place, token in enumerate(values)}
    worked_out = [(place, _numerals(token.text)) for place, token in enumerate(values) if not is_plain(token)]
    return tuple(token.text for token in lost if not _is_used(token, places[id(token)], worked_out))


def _stated(statement: Statement) -> list[Token]:
    """The numbers that a statement states, without the steps to them."""
    tokens = statement.tokens
    if len(tokens) > 1 and (tokens[1].text == "^" or is_ratio(tokens)):
        return []  # R² = 3849, tan θ = 0.123: a step on the way, under the name of one
    kept = list(tokens)
    stated: list[Token] = []
    while (working := working_span(kept)) is not None:
        start, end = working
        following = next((token for token in kept[end:] if token.kind in "nma"), None)
        stated += _apart_from(following, kept[start:end])
        kept = kept[:start] + kept[end + 1 :]
    return stated + [token for token in kept if token.kind in "nma"]


def _apart_from(result: Token | None, before: Sequence[Token]) -> list[Token]:
    """Of what stands before an equals sign, the values that are no steps to its result: 48.1 km/h in 48.1 km/h = 065."""
    steps = [token for token in before if token.kind in "nma"]
    with_unit = [token for token, after in pairwise(before) if token.kind == "n" and after.kind in "Nu"]
    if result is None:
        return [token for token in steps if is_plain(token)]
    numbers = [value_of(token)[0] for token in steps]
    place = max([value_of(token)[1] for token in (*steps, result)])
    total = abs(value_of(result)[0])
    sums = (abs(sum(numbers)), abs(sum(numbers[:1]) - sum(numbers[1:])))
    if any(are_close(one, total, place) for one in sums):
        return []  # 36 kN + 51 kN = 87 kN
    formula = len(steps) > 1 and any(token.kind == "?" for token in before)  # sin 57° / 36
    complete = [
        token for token in steps if is_plain(token) and (not formula or token.kind in "ma" or token in with_unit)
    ]
    return [token for token in complete if not is_same_number(token, result)]


def lost_part(tokens: Sequence[Token], meaning: Meaning, left: Sequence[str], box: BoxKind) -> str:
    """The first number that is stated as a result and that the meaning, the only one, does not hold; ``""`` if none is.

    ``left`` is what left_out found. A whole vector may follow its components, and the parts of a triangle their sines.
    """
    if not left:
        return ""
    if box in ("quantity", "angle", "direction"):
        return (
            _under_another_name(tokens, left)
            or _worked_out_apart(tokens, left)
            or _of_another_kind(tokens, left)
            or _beside_an_angle(tokens, left)
            or _beside_a_thing(tokens, left)
        )
    if isinstance(meaning, Polar):
        direction = meaning.direction
        if meaning.magnitude is None or direction is None:
            return left[0]
        bare = direction.sign == "" and direction.form == "plain angle"  # 54 N (54.1), 54°
        signed = [token.text for token in tokens if token.kind == "a" and is_plain(token) and token.text in left]
        return signed[0] if bare and signed else ""
    if box == "triangle" and not isinstance(meaning, Labelled | Several):
        return left[0]
    stated = statements(tokens)
    for statement, following in zip(stated, (*stated[1:], None), strict=True):
        result = statement.result() or statement.tokens
        kinds = kinds_of(result)
        corrected = following is not None and following.after == "w"
        if corrected or "?" in kinds or kinds.count("<") > kinds.count(">") or is_ratio(statement.tokens):
            continue  # x = 3 no wait x = 4; a formula; ⟨3.2 - 0.9, 4.0⟩ = ...: the bracket goes on
        for before, token in pairwise((result[0], *result)):
            if before.kind == "(" and token.kind in "nma" and _is_restated(token, meaning):
                continue
            if token.kind in "nma" and token.text in left and is_plain(token) and not _is_step(statement.tokens):
                return token.text
    return ""


def _beside_an_angle(tokens: Sequence[Token], left: Sequence[str]) -> str:
    """A length beside an angle that is worked out last: ``67.0 kN, tan⁻¹(50.9/43.6) = 49.4``."""
    last = statements(tokens)[-1].tokens
    said = " ".join(token.text.lower() for token in last)
    if last[-1].kind != "n" or _INVERSE.search(said) is None:
        return ""
    for token, after in pairwise(tokens):
        if (token.kind == "m" or (token.kind == "n" and after.kind == "N")) and token.text in left:
            return token.text
    return ""


def _beside_a_thing(tokens: Sequence[Token], left: Sequence[str]) -> str:
    """A value that is complete before the value of something with a name that is not known: ``55.6°. The dot product was 39``."""
    kinds = kinds_of(statements(tokens)[-1].tokens)
    if _OF_A_THING.match(kinds) is None:
        return ""
    named = [token for token in statements(tokens)[-1].tokens if token.kind == "?"]
    if not all(token.text.isalpha() and len(token.text) > 2 and not is_function(token.text) for token in named):
        return ""
    for token, after in pairwise(tokens):
        if (token.kind in "ma" or (token.kind == "n" and after.kind == "N")) and token.text in left and is_plain(token):
            return token.text
    return ""


_OF_A_THING = re.compile(r"\?+=n$")

_INVERSE = re.compile(r"arc|(?<![a-z])a?(?:tan|sin|cos)(?: ?\^? ?-1|(?<=a...))")

_EQUATED = re.compile(r"(?P<one>m|nN)[,&]?(?:\?\??n)?=(?P<other>m|nN)")


def _dimension(token: Token, kinds: str) -> str:
    return "force" if kinds == "nN" else token.unit.dimension if token.unit is not None else ""


_FACTORS = frozenset("×*/÷·")


def _are_to_scale(tokens: Sequence[Token], dimensions: Sequence[str]) -> bool:
    """``1 cm : 5 kN, 13.4 cm = 67 kN``: each of two kinds stands twice."""
    found = [token.unit.dimension for token in tokens if token.unit is not None]
    return all(found.count(dimension) > 1 for dimension in dimensions)


def _of_another_kind(tokens: Sequence[Token], left: Sequence[str]) -> str:
    """A value that is said to be one of another kind: ``8838 N = 900 kg``. The weight of a mass may follow it."""
    kinds = kinds_of(tokens)
    for match in _EQUATED.finditer(kinds):
        one, other = tokens[match.start()], tokens[match.end() - len(match["other"])]
        if one.text not in left or not is_plain(one) or not is_plain(other):
            continue
        if match.start() and (tokens[match.start() - 1].text in _FACTORS or kinds[match.start() - 1] == "m"):
            continue  # 13.4 cm × 5 kN/cm = 67.0 kN
        dimensions = [_dimension(token, kind) for token, kind in ((one, match["one"]), (other, match["other"]))]
        if dimensions[0] != dimensions[1] and dimensions != ["mass", "force"] and not _are_to_scale(tokens, dimensions):
            return one.text
    return ""


def _is_restated(token: Token, meaning: Meaning) -> bool:
    """``48.9 (48.86)``: a number in brackets that is one of the meaning's, to other digits."""
    value, place = value_of(token)
    return any(are_close(value, number, place, 0.1 if place < 0.1 else place) for number in numbers_of(meaning))


_NAMED = re.compile(r"[?RDTLP]n?=[nma]")


_OF_THE_WHOLE = frozenset(("r", "|r|", "resultant", "fr", "fnet", "net", "total"))


def _under_another_name(tokens: Sequence[Token], left: Sequence[str]) -> str:
    """Of two values under two names, the earlier, where it is left out: ``F1 = 30 N, F2 = 40 N``."""
    kinds = kinds_of(tokens)
    found = list(_NAMED.finditer(kinds)) if kinds.count("=") > 1 else []
    if found and any(token.text.lower() in _OF_THE_WHOLE for token in tokens[found[-1].end() :]):
        return ""  # F1 = 52 kN, F2 = 38 kN, R = 67.0 kN: what is added, and the sum
    for one, other in pairwise(found):
        names = ["".join(token.text for token in tokens[match.start() : match.end() - 2]) for match in (one, other)]
        value = tokens[one.end() - 1]
        plain = is_plain(value) and is_plain(tokens[other.end() - 1])
        apart = names[0] != names[1] and "w" not in kinds[one.end() : other.start()]
        if plain and apart and value.text in left and all(map(_is_name, names)):
            return value.text
    return ""


def _worked_out_apart(tokens: Sequence[Token], left: Sequence[str]) -> str:
    """Of two results that are worked out side by side, the earlier, where it is left out and nothing goes on with it:
    ``50 sin 19 = 16.3, 50 cos 19 = 47.3``.
    """
    if kinds_of(tokens).count("=") < 2:
        return ""
    stated = statements(tokens)
    for one, other in pairwise(stated):
        if other.after == "w" or one.label is not None or other.label is not None:
            continue
        if not _begins_alike(one.tokens, other.tokens):
            continue
        result = one.result()
        if kinds_of(result) in ("n", "m", "nN", "a") and is_plain(result[0]) and result[0].text in left:
            return result[0].text
    return ""


def _begins_alike(one: Sequence[Token], other: Sequence[Token]) -> bool:
    """Whether two calculations begin with one number and then part: 50 sin 19 and 50 cos 19."""
    first, second = (_numerals(tokens[0].text)[:1] if tokens[0].kind in "nma" else [] for tokens in (one, other))
    return bool(first) and first == second and not is_plain(one[0]) and not is_plain(other[0])


def _is_name(text: str) -> bool:
    return text.isalnum() and not is_function(text)


def _is_step(tokens: Sequence[Token]) -> bool:
    """Whether a statement is of a sine, a cosine or a square: ``sin B = 16.2 sin 38.0° / 11.7 = 0.8525``."""
    name = tokens[0].text
    named = (
        tokens[0].kind == "?" and name.isalpha() and len(name) > 2 and not is_function(name)
    )  # what is left is C = 82.8°
    return (tokens[0].kind == "?" and not named) or (len(tokens) > 1 and tokens[1].text == "^")


def gainsays(statement: Statement) -> bool:
    """Whether a statement gives one thing two values in one unit: ``48.1 km/h = 13 km/h``."""
    tokens = statement.tokens
    kinds = kinds_of(tokens)
    for index in range(1, len(tokens) - 1):
        before, after = tokens[index - 1], tokens[index + 1]
        if kinds[index] != "=" or before.kind not in "ma" or after.kind != before.kind:
            continue
        if index > 1 and kinds[index - 2] not in "=RXYDPL":
            continue  # the end of a longer sum
        same_unit = before.unit == after.unit and before.sign == after.sign
        if same_unit and is_plain(before) and is_plain(after) and not is_same_number(before, after):
            return True
    return False


def value_of(token: Token) -> tuple[float, float]:
    """The number of a token in the unit it is written in (degrees for an angle), and its place."""
    if token.kind == "a":
        return token.degrees, token.place or 0.0
    assert token.number is not None
    return token.number.value, token.number.place or 0.0


def is_same_number(one: Token, other: Token) -> bool:
    """Whether two values are one, as far as their places can tell."""
    (first, place), (second, other_place) = value_of(one), value_of(other)
    same = are_one_direction if one.kind == other.kind == "a" else are_close  # 353° = -7°
    return same(first, second, place, other_place)


def _is_held(token: Token, held: Sequence[float]) -> bool:
    value = value_of(token)[0]
    turned = value > 0 or token.text.startswith("- ")  # 7.6 down is -7.6; C - 54.3° is no negative angle
    return any(
        math.isclose(value, number, rel_tol=1e-9, abs_tol=1e-12)
        or (turned and math.isclose(value, -number, rel_tol=1e-9, abs_tol=1e-12))
        or (token.of_pi and math.isclose(math.degrees(value), number, rel_tol=1e-9))
        for number in held
    )


def _is_used(token: Token, place: int, worked_out: Sequence[tuple[int, Sequence[str]]]) -> bool:
    """Whether a later calculation, by its place and its numerals, goes on with a number: the 3849 of √3849."""
    numeral = next(iter(_numerals(token.text)), None)
    return any(later > place and numeral in numerals for later, numerals in worked_out)


def _numerals(text: str) -> list[str]:
    return [numeral.rstrip(".,") for numeral in re.findall(r"\d[\d.,]*", text)]


def numbers_of(meaning: Meaning | None) -> Iterator[float]:
    """Every number that a meaning holds, as it was written."""
    match meaning:
        case Quantity():
            yield meaning.number.value
        case Direction():
            yield meaning.written
        case Polar():
            yield from numbers_of(meaning.magnitude)
            yield from numbers_of(meaning.direction)
        case Components():
            yield from numbers_of(meaning.x)
            yield from numbers_of(meaning.y)
        case Labelled():
            for part in meaning.parts.values():
                yield from numbers_of(part)
        case Several():
            for one in meaning.meanings:
                yield from numbers_of(one)
