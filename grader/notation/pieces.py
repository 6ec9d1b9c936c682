"""The pieces of a text before they mean anything, the tokens they become, and the words that are known."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

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


OF_A_THING = "of a thing"
"""The value of a word that gives a number to something else than the answer; it may not be passed over."""


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
    counted_from: frozenset[str]
    other_angles: frozenset[str]
    things: frozenset[str]


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
    return Words(
        kinds,
        operators,
        frozenset(table["labels"]["absorbed"]),
        frozenset(table["angles"]["counted_from"]),
        frozenset(table["angles"]["of_others"]),
        frozenset(table["fillers"]["things"]),
    )


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
