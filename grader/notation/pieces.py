"""The pieces of a text before they mean anything, the tokens they become, and the words that are known."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from grader.notation.numerals import NUMERAL
from grader.notation.readings import Number
from grader.notation.tables import load_table
from grader.notation.units import Unit

PIECE = re.compile(
    rf"""
    (?P<gap> [ ]*+ )
    (?: (?= [0-9.] ) (?P<numeral> {NUMERAL} )
      | (?P<word> [^\W\d_]+ (?: _ [^\W\d_]* | (?<=[a-zA-Z])'(?=(?:t|s|m|d|ll|east|west)\b) [^\W\d_]+ )* )
      | (?P<symbol> [^ *~=<'-] | \*\* | ~= | => | -> | <= | == | '' | [^ ] )
    )
    """,
    re.VERBOSE,
)


def is_function(word: str) -> bool:
    """Whether a word is a sine, a cosine or a tangent, alone or with what is glued to it: ``tanθ``."""
    return word.lower().startswith(("sin", "cos", "tan"))


class Token:
    """A piece of the text.

    ``kind`` is one letter of the grammar's alphabet: n number, m number with a unit, a angle with its sign, u unit alone,
    N H S s E W letters, C compass point, and so on (words.toml). Most kinds need no more than a ``value``; what else a
    number or an angle has is set where it is found.
    """

    sign = ""  # how an angle is marked: deg, rad, grad, dms
    degrees = 0.0
    place: float | None = None
    coarsest: float | None = None
    of_pi = False  # a multiple of π

    def __init__(
        self,
        kind: str,
        text: str,
        number: Number | None = None,
        unit: Unit | None = None,
        value: str = "",  # a letter, a label, an axis
        digits: str = "",  # of a plain unsigned numeral
    ) -> None:
        self.kind = kind
        self.text = text
        self.number = number
        self.unit = unit
        self.value = value
        self.digits = digits


@dataclass(slots=True)
class Scan:
    tokens: list[Token]
    notes: list[str]
    doubt: bool


@dataclass(frozen=True)
class Words:
    kinds: Mapping[str, tuple[str, str]]  # word -> (kind, value)
    operators: Mapping[str, str]
    absorbed: frozenset[str]


@cache
def words() -> Words:
    table = load_table("words.toml")
    kinds: dict[str, tuple[str, str]] = {}
    letter_kind = {"N": "H", "S": "S", "E": "E", "W": "W"}
    for word in (*table["fillers"]["words"], *table["fillers"]["answer"]):
        kinds[word] = ("", "")
    for kind, spellings in table["kinds"].items():
        for word in spellings:
            kinds[word] = (kind, kind)
    for label in "RDXY":
        for word in table["labels"][label]:
            kinds[word] = (label, label)
    for letter, spellings in table["letters"].items():
        for word in spellings:
            kinds[word] = (letter_kind[letter], letter)
    for points, spellings in table["points"].items():
        for word in spellings:
            kinds[word] = ("C", points)
    for part, spellings in table["parts"].items():
        for word in spellings:
            kinds[word] = ("P", part)
    for word in table["none"]["triggers"]:
        kinds[word] = ("0", word)
    operators = {word: operator for operator, spellings in table["operators"].items() for word in spellings}
    return Words(kinds, operators, frozenset(table["labels"]["absorbed"]))


SHORTEST_MISSPELLING = 6
"""Shorter words have too many neighbours to be corrected."""


@cache
def _neighbours() -> Mapping[str, tuple[str, ...]]:
    """Every known long word by what is left of it when one letter is dropped; the words in the order of their tables."""
    from grader.notation.units import unit_words

    found: dict[str, list[str]] = {}
    for word in (*words().kinds, *unit_words()):
        if len(word) >= SHORTEST_MISSPELLING and word.isalpha():
            for shorter in _shorter(word):
                found.setdefault(shorter, []).append(word)
    return {shorter: tuple(known) for shorter, known in found.items()}


@cache
def _order() -> Mapping[str, int]:
    """Where each known word stands in the tables, which list the usual spelling before the odd ones."""
    from grader.notation.units import unit_words

    return {word: place for place, word in enumerate(dict.fromkeys((*words().kinds, *unit_words())))}


def _shorter(word: str) -> set[str]:
    return {word, *(word[:index] + word[index + 1 :] for index in range(len(word)))}


@lru_cache(maxsize=4096)
def meant_word(written: str) -> str:
    """The one known word that a misspelling stands one letter away from, or ``""``.

    >>> meant_word("standrd"), meant_word("newotns"), meant_word("harbour")
    ('standard', 'newtons', '')
    """
    if len(written) < SHORTEST_MISSPELLING or len(written) > 16 or not written.isalpha():
        return ""
    near = _neighbours()
    candidates = [word for shorter in _shorter(written) for word in near.get(shorter, ()) if _one_slip(written, word)]
    from grader.notation.units import simple_unit

    known = words().kinds
    if written.endswith("s") and known.get(written[:-1], ("",))[0] in ("R", "D", "X", "Y"):
        return ""  # the lengths are 3 and 5: of more than one thing
    meanings = {known.get(word) or simple_unit(word) for word in candidates}
    order = _order()
    return max(candidates, key=lambda word: (len(word), -order[word])) if len(meanings) == 1 else ""


def _one_slip(one: str, other: str) -> bool:
    """Whether one letter more, less, other, or two exchanged make one word of the other."""
    if abs(len(one) - len(other)) > 1:
        return False
    start = 0
    while start < min(len(one), len(other)) and one[start] == other[start]:
        start += 1
    if len(one) == len(other):
        rest = one[start + 1 :] == other[start + 1 :]
        exchanged = one[start : start + 2] == other[start : start + 2][::-1] and one[start + 2 :] == other[start + 2 :]
        return rest or exchanged
    longer, less = (one, other) if len(one) > len(other) else (other, one)
    return longer[start + 1 :] == less[start:]


class Raw:
    """A piece of the text as it stands: a numeral, a word or a symbol, and the blanks before it."""

    __slots__ = ("gap", "lower", "numeral", "symbol", "text", "word")

    def __init__(self, gap: str, numeral: str, word: str, symbol: str) -> None:
        self.gap = gap
        self.numeral = numeral
        self.word = word
        self.symbol = symbol
        self.text = numeral or word or symbol
        self.lower = word and word.lower()
