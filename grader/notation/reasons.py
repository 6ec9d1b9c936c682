"""What is left out of an answer in sentences, and whether the answer may stand without it.

A reason is looked through for anything that could turn the answer: a side, a sign, a size, a correction, another value.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from functools import cache

from grader.notation.clauses import SIGN_OF_AXIS, TURN, Parted, has_number, sides
from grader.notation.closing import is_complete
from grader.notation.impossible import says_so
from grader.notation.leftovers import numbers_of
from grader.notation.readings import (
    BoxKind,
    Components,
    Direction,
    Labelled,
    Meaning,
    NoSolution,
    Polar,
    Quantity,
    Sense,
    Several,
)
from grader.notation.remarks import has_size, lies_in, named_quadrant
from grader.notation.tables import load_table


@cache
def _words() -> tuple[frozenset[str], frozenset[str]]:
    """The words that overturn what stands, and those of a sign."""
    table = load_table("sentences.toml")["clauses"]
    return frozenset(table["overturning"]), frozenset(table["signs"])


_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?")

_OR_A_VALUE = re.compile(r"\bor (?:maybe |else |about )?-?\d")


_STATES_A_PART = re.compile(r"(?<!sin )(?<!cos )(?<!tan )(?<![^\W\d_])[abc] ?(?:=|is) ?\d")


def may_stand(sense: Sense, parts: Parted, box: BoxKind) -> bool:
    """Whether nothing in the clauses left out can turn the answer that the others state, and no number is lost."""
    meaning = sense.meaning
    if sense.left_out:
        return False
    said = " ".join(parts.left_out).lower()
    written = set(_WORD.findall(said))
    overturning, signs = _words()
    if not overturning.isdisjoint(written) or _OR_A_VALUE.search(said):
        return False
    if isinstance(meaning, NoSolution):
        return True
    if not parts.unknown and not _is_whole(meaning, box):
        return False
    for size in ("obtuse", "acute"):
        if size in written and not has_size(meaning, size):
            return False
    quadrant = named_quadrant(said)
    if quadrant and not lies_in(meaning, quadrant):
        return False
    if box == "triangle":
        return _STATES_A_PART.search(said) is None and (isinstance(meaning, Several) or not parts.two)
    if box == "angle" and not isinstance(meaning, Direction):
        return isinstance(meaning, Several) or not parts.two
    signed = not signs.isdisjoint(_WORD.findall(SIGN_OF_AXIS.sub("", said)))
    return not (signed and not _bears_a_sign(meaning)) and _agrees(meaning, sides(said))


def _is_whole(meaning: Meaning, box: BoxKind) -> bool:
    if isinstance(meaning, Several):
        return all(_is_whole(one, box) for one in meaning.meanings)
    if box in ("polar", "components"):
        return isinstance(meaning, Polar | Components) and is_complete(meaning, box)
    if box == "triangle" or isinstance(meaning, Labelled):
        return isinstance(meaning, Labelled) and (box == "triangle" or (box == "angle" and len(meaning.parts) == 1))
    return isinstance(meaning, Quantity | Direction)


def _bears_a_sign(meaning: Meaning) -> bool:
    """Whether an answer says itself to which side it goes: by a minus sign, or by the letters of its direction."""
    if isinstance(meaning, Polar):
        return meaning.direction is None or _bears_a_sign(meaning.direction)
    if isinstance(meaning, Direction):
        return meaning.form != "plain angle"
    return any(number < 0 for number in numbers_of(meaning))


def _agrees(meaning: Meaning, told: frozenset[str]) -> bool:
    """Whether the sides told in a reason leave the answer as it is: those of components must be its own.

    A direction with its letters needs no more. An angle without them may be counted from anywhere, unless it is more than
    a quarter turn and lies where it is said to.
    """
    if not told:
        return True
    if isinstance(meaning, Polar):
        return meaning.direction is None or _agrees(meaning.direction, told)
    if isinstance(meaning, Direction):
        if meaning.form != "plain angle":
            return True
        x, y = math.cos(math.radians(meaning.angle)), math.sin(math.radians(meaning.angle))
        return meaning.written > 90.0 and TURN not in told and _lies_toward(told, x, y)
    if isinstance(meaning, Quantity):
        return (
            told <= _TOWARD_NEGATIVE if meaning.number.value < 0 else told <= _TOWARD_POSITIVE
        )  # -368 since it goes west
    if not isinstance(meaning, Components):
        return False
    x, y = (part.number.value if part is not None else 0.0 for part in (meaning.x, meaning.y))
    return _lies_toward(told - {TURN}, x, y)


_TOWARD_NEGATIVE, _TOWARD_POSITIVE = frozenset("SW"), frozenset("NE")


def _lies_toward(told: frozenset[str], x: float, y: float) -> bool:
    return all({"E": x >= 0, "W": x <= 0, "N": y >= 0, "S": y <= 0}[side] for side in told)


def has_telling_reason(parts: Parted) -> bool:
    """Whether a reason behind the answer holds a number or a side, which is no part of the answer."""
    return not parts.lead and any(has_number(one) or sides(one) or says_so(one) for one in parts.left_out)


_NUMERAL = re.compile(r"\d[\d,]*+(?:\.\d+)?")


def rests_on_a_reason(parts: Parted, senses: Sequence[Sense]) -> bool:
    """Whether a meaning was made of what stands in a reason alone, and passes by what the other clauses state.

    ``I know because the third is 140°``; ``it is a right angle because the dot product is 0``.
    """
    stands = {float(numeral.replace(",", "")) for numeral in _NUMERAL.findall(parts.kept)}
    for sense in senses:
        meaning = sense.meaning
        held = [abs(number) for number in numbers_of(meaning)]
        if isinstance(meaning, NoSolution):
            if has_number(parts.kept) and not says_so(parts.kept):
                return True
        elif isinstance(meaning, Direction) and meaning.form == "compass point":
            if not sides(parts.kept):
                return True
        elif not has_number(parts.kept):
            if held:
                return True
        elif stands and any(left in parts.kept for left in sense.left_out) and stands.isdisjoint(held):
            return True
    return False


_OR_ELSE = re.compile(
    r"\bbut (?:it |that |this )?(?:could|might|may) (?:also |just as well |well )?be\b", re.IGNORECASE
)


def leaves_a_choice(text: str) -> bool:
    """Whether a second answer is weighed against the first: ``but it could also be 16 miles``."""
    return "but" in text and _OR_ELSE.search(text) is not None


def is_another(found: Sequence[Sense], senses: Sequence[Sense], box: BoxKind) -> bool:
    """Whether a text without its reasons is a whole answer, so that what is read with them, or despite them, is none.

    Not where both say one thing and pass by another number: a correction, ``no wait, it's 16 miles``.
    """
    if not found or not all(_is_whole(sense.meaning, box) for sense in found) or holds_more(senses, found):
        return False
    corrected = any(sense.left_out for sense in found)
    return not corrected or [sense.meaning for sense in found] != [sense.meaning for sense in senses]


def holds_more(senses: Sequence[Sense], found: Sequence[Sense]) -> bool:
    """Whether the text as a whole states the same parts of a triangle as without its reasons, and more."""
    if len(senses) != 1 or len(found) != 1:
        return False
    whole, less = senses[0].meaning, found[0].meaning
    if not isinstance(whole, Labelled) or not isinstance(less, Labelled):
        return False
    return len(whole.parts) > len(less.parts) and all(
        whole.parts.get(name) == part for name, part in less.parts.items()
    )


def leaves_a_right_angle(parts: Parted, box: BoxKind, senses: Sequence[Sense]) -> bool:
    """Whether an angle is said to be a right one, or not, and the meaning is another: ``a right angle if it was 0``."""
    if box != "angle" or "right" not in parts.kept or _A_RIGHT_ANGLE.search(parts.kept) is None:
        return False
    return any(90.0 not in numbers_of(sense.meaning) for sense in senses)


_A_RIGHT_ANGLE = re.compile(r"\b(?:an?(?: \w+)? right[ -]angle|at right angles)\b(?! triangle|d)", re.IGNORECASE)
