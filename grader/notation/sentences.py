"""Answers in whole sentences, with reasons: ``I got 212 miles, since it flew for 2.5 hours at 84.8 mph``.

The clauses that state the answer are read (clauses.py parts them from the rest), words that say nothing of it may be passed
over. Whether the answer may stand without what was left out is told by reasons.py.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache, lru_cache
from itertools import pairwise
from typing import NamedTuple

from grader.notation.clauses import Parted, parted, without_up
from grader.notation.meanings import degrees_unit, kinds_of
from grader.notation.pieces import OF_A_THING, Token, is_function
from grader.notation.readings import BoxKind, Number, Quantity, Sense
from grader.notation.spelling import is_one_slip, may_be_a_number
from grader.notation.tables import load_table
from grader.notation.units import simple_unit

FEWEST_BLANKS = 4
"""A sentence has five words or more; a shorter text is an answer with a remark."""

FEWEST_LETTERS = 12
_REASON = re.compile(r"\b(?:because|since|cuz|bc)\b", re.IGNORECASE)
"""``14 kN because 52-38``: a sentence, if a short one."""

SENTENCE_NOTE = "took the answer from a sentence"


MOST_NUMBERS = 16
MOST_CLAUSES = 16
"""Numbers, and what parts clauses: a student's sentences have fewer, and more would take too long to weigh."""

_PARTING = re.compile(r"[,;.:\n]\s|\b(?:so|since|because|thus|hence)\b", re.IGNORECASE)
_NUMBERS = re.compile(r"\d[\d.,]*+")


MOST_WORDS, MOST_SIGNS = 90, 30
"""Of a text of 500 characters that a student wrote; more are no sentences, and each would be looked at again and again."""
_SIGNS = re.compile(r"[^\w\s.,;:'’()°-]")


def is_sentence(text: str) -> bool:
    """Whether a text may be whole sentences, by its length, its words and its numbers alone."""
    reason = _REASON.search(text) is not None
    if text.count(" ") < FEWEST_BLANKS - 2 * reason or sum(map(str.islower, text)) < FEWEST_LETTERS - 4 * reason:
        return False
    if len(_WORD.findall(text)) > MOST_WORDS or len(_SIGNS.findall(text)) > MOST_SIGNS:
        return False
    return len(_NUMBERS.findall(text)) <= MOST_NUMBERS and len(_PARTING.findall(text)) <= MOST_CLAUSES


# ------------------------------------------------------------------------------- what is stated


_OF_THE_QUESTION = re.compile(
    r"^\W*(?:for|on|in)? ?(?:the )?(?:number|question|problem|exercise|part|no\.|#) ?(?:\d{1,2} ?[a-h]?|[a-h])\s*[,:]\s*",
    re.IGNORECASE,
)
_COUNTED = re.compile(r"\b(the|these|those|both|my|our) (?:two|three|2|3) (?P<what>[a-z]{3,}s)\b", re.IGNORECASE)
_THE_SAME = re.compile(
    r",? which is (?:just |really |also )?(?:the same (?:thing )?(?:as|angle as|direction as)|equivalent to|equal to)\b"
)
_GOES_ON_TO_VALUE = re.compile(r", which (?:is|was|equals) (?=-?[\d√(])")
_A_HUNDRED = re.compile(r"(?<!half )\ba (?=(?:hundred|thousand)\b)", re.IGNORECASE)
_TRUE = re.compile(r"\btrue (?=(?:course|heading|bearing|track|direction)(?: is| of| =|:)* [NS] ?\d)", re.IGNORECASE)
_NEITHER_WAY = re.compile(
    r"(?<![\d.,])(0(?:\.0*)? ?[A-Za-z/]{0,8} ?)(?:to the )?\b(?:(up) or down|(down) or up|(left) or right|(right) or left"
    r"|(north) or south|(south) or north|(east) or west|(west) or east)\b",
    re.IGNORECASE,
)
"""Nought to either of two opposite sides is nought to the first."""
_WORKED_OUT = re.compile(
    r"\b(?:that's why |that is why |first,? )?(?:i|we) (?:added|subtracted|took|divided|multiplied|squared|used|plugged|typed) "
    r"[^;\n]{0,80}?\b(?:and (?:got|get)|to get|(?:which|and that|and it) (?:gave|gives) (?:me|us)) (?=-?\d)",
    re.IGNORECASE,
)
_NOT_ANOTHER = re.compile(
    r"(?<=[\w°]),? (?:and |but )?not -?\d[\d.]*+ ?(?:°|degrees|[A-Za-z/]{1,4})?(?=\s*(?:[,.;!]|$))", re.IGNORECASE
)
"""``118° and not 62°``: what the answer is not."""
_SAYS = re.compile(
    r"\b(?:i|we)(?:'d| would) (?:say|go with)\b(?: that\b)?|\bsteer(?:s|ing)? (?:a |the )?(?=(?:bearing|course)\b)",
    re.IGNORECASE,
)
_KIND_OF_TRIANGLE = re.compile(
    r"^(?:it's|it is|this is|that's) (?:just |really )?an? \d{1,2}(?:-\d{1,2}){2} (?:right )?triangle\b[^,\d]*,?"
    r" (?:so|which means) ",
    re.IGNORECASE,
)
_IN_A_FORM = re.compile(
    r"\bin (?:terms of i and j|(?:component|vector|polar|rectangular|unit vector|i[- ]j) (?:form|notation))\b,?|\ball together\b",
    re.IGNORECASE,
)
_BY_A_LAW = re.compile(
    r"\b(?:and )?(?:then )?(?:i used |using |by |from )?the (?:law of (?:sines|cosines)|pythagorean theorem)"
    r"(?: (?:to get|gave me|gives me|gives|gave|says)| and (?:(?:it|that) (?:says|gives|gave me)|i got|got))\b",
    re.IGNORECASE,
)
_FIRST_I_FOUND = re.compile(r"^\W*first(?:,| of all,)? (?:i|we) (?:found|got|worked out|calculated) ", re.IGNORECASE)
_THE_FIRST = re.compile(r"\bin the first(?: one| triangle| case)?\b,?", re.IGNORECASE)
_THE_SECOND = re.compile(r"[;.,]?\s*(?:and )?\bin the second(?: one| triangle| case)?\b,?", re.IGNORECASE)


def stated(text: str, box: BoxKind) -> Parted:
    """The clauses that state the answer, in words that the reader knows, and what was left out."""
    parts = parted(text)
    kept = _OF_THE_QUESTION.sub("", parts.kept)
    kept = _COUNTED.sub(lambda match: match[0] if simple_unit(match["what"]) else f"{match[1]} {match['what']}", kept)
    kept = _GOES_ON_TO_VALUE.sub(" = ", _THE_SAME.sub("; ", kept))
    kept = without_up(_IN_A_FORM.sub("", kept))
    for phrase, written in ((_A_HUNDRED, "one "), (_TRUE, ""), (_NEITHER_WAY, _first_way)):
        kept = phrase.sub(written, kept)
    for phrase in (_WORKED_OUT, _NOT_ANOTHER, _SAYS):
        kept = phrase.sub("", kept)
    kept = _BY_A_LAW.sub("and" if box == "triangle" else "", kept)
    if box == "triangle":
        kept = _KIND_OF_TRIANGLE.sub("", kept)
        kept = _FIRST_I_FOUND.sub("", kept)
        if parts.two and len(_THE_FIRST.findall(kept)) == len(_THE_SECOND.findall(kept)) == 1:
            kept = _THE_FIRST.sub("", _THE_SECOND.sub(" or ", kept))
    return parts._replace(kept=kept.strip())


def _first_way(match: re.Match[str]) -> str:
    return match[1] + next(side for side in match.groups()[1:] if side)


_RIGHT_ANGLE = re.compile(
    r"""
    (?: (?:so|it|it's|its|this|that|that's|is|be|must|has|have|to|would|will|should|the|angle|between|of|them|vectors|forces
          |ropes|sides|lines|tugs|boats|legs|two|both|which|make|makes|form|forms|they|are|meet|cross|intersect|pull|pulls
          |pulling|act|acting|comes|out|turns|each|other|perfect|exactly) [ ] )*+
    (?: (?:at\ )?+ an?\  (?:perfect\ |exact\ )? right[ -]angle | at\ right\ angles (?:\ to\ each\ other)? ) [\s.!]*
    """,
    re.VERBOSE | re.IGNORECASE,
)


def right_angle(parts: Parted, box: BoxKind) -> Sense | None:
    """``It must be a right angle``: 90° exactly, where an angle is asked and nothing else is stated."""
    if box != "angle" or "right" not in parts.kept.lower() or _RIGHT_ANGLE.fullmatch(parts.kept) is None:
        return None
    return Sense(Quantity(Number(90.0, None, None), degrees_unit()), ("read a right angle as 90°",))


# ------------------------------------------------------------------------------- words passed over


class _Words(NamedTuple):
    passing: frozenset[str]
    telling: frozenset[str]
    numbers: frozenset[str]
    leads: frozenset[str]


@cache
def _words() -> _Words:
    passing, trade = load_table("sentences.toml")["passing"], load_table("words.toml")
    numbers = frozenset(word for name in ("number_words", "ordinals", "misheard") for word in trade[name])
    telling = frozenset(passing["telling"]) | frozenset(trade["telling"]["words"])
    return _Words(frozenset(passing["words"]), telling, numbers - {"to"}, frozenset(passing["leads"]))


SHORTEST_PASSED = 4
"""Shorter words that are not known may be units, names or signs."""
_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?")
_VALUES = frozenset("nma")
_OUT_OF_REACH = re.compile(r"[(<][^)>]*\?|[anNHSsEWCA][ohlck@y]+\?|^[^na]*[NHSsEWC]\?|(?<![naNHSsEWCA])o[NHSsEWC]")
"""A word in brackets, or one that an angle or a side is counted from: ``40° from the wall``, ``12° north of wesst``; or one
behind a side alone, which may be its own: ``along the northeast pier``; or a side that something comes out of.
"""
_OF_A_DIRECTION = frozenset("NHSsEWCAhlckoV")


def without_passed(text: str, tokens: Sequence[Token], box: BoxKind) -> tuple[list[Token], str]:
    """The tokens without words that are not known and say nothing of the answer, and a note; no tokens where one might.

    None may stand between a value and its side (``35° shy of north``), none may tell of size, side or sign, and a bare
    number needs its name or an equals sign before it.
    """
    unknown = [token.text.lower() for token in tokens if token.kind == "?"]
    if any(token.value == OF_A_THING for token in tokens):
        return [], ""
    known = _words()
    leads = box == "polar" and kinds_of(tokens[:2]) == "@m"  # it goes at 212 mph toward N 8° E
    if not (unknown or leads) or not known.telling.isdisjoint(_WORD.findall(text.lower())):
        return [], ""
    if not known.numbers.isdisjoint(unknown) or not _may_be_passed(text.lower(), frozenset(unknown)):
        return [], ""
    kinds = kinds_of(tokens)
    valued = next((index for index, kind in enumerate(kinds) if kind in _VALUES), 0)
    if (
        (box == "triangle" and "?" in kinds[valued:])
        or (box == "polar" and " then " in text)
        or _OUT_OF_REACH.search(kinds)
    ):
        return [], ""  # C = 75.3 wibble side a = 10.1: it may name another side
    kept = [(index, token) for index, token in enumerate(tokens) if token.kind != "?"]
    for (here, one), (there, other) in pairwise(kept):
        within = one.kind in _VALUES or one.kind in _OF_A_DIRECTION
        away = one.kind == "m" and other.kind == "o"  # 340 m away from the pier
        if there - here > 1 and within and other.kind in _OF_A_DIRECTION and not away:
            return [], ""
    if any(_WITHIN.match(token.text.lower()) is None for token in _behind_an_equals_sign(tokens)):
        return [], ""  # it is supplementary to 40°
    for token, following in pairwise(tokens):
        if token.kind in _VALUES and following.kind == "?" and following.text.lower().endswith(("er", "est")):
            return [], ""  # 12 ft deeper
    rest = [token for _, token in kept]
    if box == "polar" and kinds_of(rest[:2]) in ("@m", "om"):
        rest = rest[1:]
    if box in ("quantity", "angle", "direction") and not _is_one_value(rest, box):
        return [], ""
    return rest, f"passed over the words: {', '.join(dict.fromkeys(unknown))}" if unknown else ""


_WITHIN = re.compile(r"\w+(?:ing|ly)$|now$")


def _behind_an_equals_sign(tokens: Sequence[Token]) -> list[Token]:
    """The words that are not known between ``is`` and a value."""
    found: list[Token] = []
    behind: list[Token] | None = None
    for token in tokens:
        if token.kind == "=":
            behind = []
        elif token.kind in _VALUES:
            found += behind or []
            behind = None
        elif token.kind == "?" and behind is not None:
            behind.append(token)
    return found


_BEFORE_DIGITS = re.compile(r"([^\W\d_]+)[ -](?=\d)")


def _may_be_passed(text: str, unknown: frozenset[str]) -> bool:
    """Whether every word that is not known is in the table, or stands as a noun right behind ``the``: ``the crate``."""
    known = _words()
    led = False
    if any(match[1] in unknown and may_be_a_number(match[1]) for match in _BEFORE_DIGITS.finditer(text)):
        return False  # sixtey two N
    for word in _WORD.findall(text):
        if word in unknown and word not in known.passing and not (led and _is_harmless(word)):
            return False
        led = word in known.leads
    return unknown.issubset(_WORD.findall(text))


def _is_harmless(word: str) -> bool:
    plain = word.removesuffix("'s")
    return len(plain) >= SHORTEST_PASSED and plain.isalpha() and not is_function(plain) and not _is_near_a_side(plain)


@lru_cache(maxsize=1024)
def _is_near_a_side(word: str) -> bool:
    """Whether a word may be a misspelling of a side or a sign: ``wesst``, ``dwon``."""
    trade = load_table("words.toml")
    kinds, operators = trade["kinds"], trade["operators"]
    known = (*trade["letters"].values(), *(kinds[kind] for kind in "hlck"), operators["-"], operators["+"])
    return any(is_one_slip(word, side) for spellings in known for side in spellings if len(side) >= SHORTEST_PASSED)


def _is_one_value(tokens: Sequence[Token], box: BoxKind) -> bool:
    kinds = kinds_of(tokens)
    values = [index for index, kind in enumerate(kinds) if kind in _VALUES]
    if len(values) != 1 and not ("mm" in kinds and len(values) == 2) and "v" not in kinds and box != "direction":
        return False
    return all(
        kinds[index] != "n"
        or kinds[index + 1 : index + 2] in tuple("NS")
        or kinds[index - 1 : index] in tuple("=RDXYPLb")
        for index in values
    )
