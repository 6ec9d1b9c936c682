"""Misspelt words: what a slip of the keyboard makes of a word is read as that word or not at all, and never as another."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from grader.notation.pieces import words
from grader.notation.read import read
from grader.notation.spelling import is_one_slip, meant_word, nearest_word, short_unit
from grader.notation.tables import load_table
from grader.notation.units import simple_unit, unit_words

TABLE = load_table("spelling.toml")
ORDINARY = TABLE["ordinary"]["words"]
SHORT = TABLE["short"]["words"]

ROWS = ("qwertyuiop", "asdfghjkl", "zxcvbnm")


def slips(word: str) -> Iterator[str]:
    """The word with a letter left out, struck twice or switched with the next, or its right neighbour's key struck."""
    for index, letter in enumerate(word):
        yield word[:index] + word[index + 1 :]
        yield word[:index] + letter + word[index:]
        yield word[:index] + word[index : index + 2][::-1] + word[index + 2 :]
        row = next(row for row in ROWS if letter in row)
        if letter != row[-1]:
            yield word[:index] + row[row.index(letter) + 1] + word[index + 1 :]


def meaning(word: str) -> object:
    return words().kinds.get(word) or words().operators.get(word) or simple_unit(word)


@pytest.mark.parametrize("word", [*SHORT, "newtons", "kilometres", "clockwise", "southeast", "direction", "negative"])
def test_a_slip_is_read_as_its_word_or_not_at_all(word: str) -> None:
    read_as_it = 0
    for slip in set(slips(word)) - {word}:
        if slip in words().kinds or slip in unit_words():
            continue
        meant = meant_word(slip)
        assert not meant or meaning(meant) == meaning(word), (slip, meant)
        read_as_it += bool(meant)
    assert read_as_it >= len(word) - 1


@pytest.mark.parametrize("word", ["counterclockwise", "perpendicular", "kilonewtons", "horizontal", "southwest"])
def test_two_slips_are_read_in_long_words(word: str) -> None:
    """The first and the last of a word's letters that a slip can touch."""
    for first in set(slips(word[:3])) - {word[:3]}:
        for last in set(slips(word[-3:])) - {word[-3:]}:
            meant = meant_word(first + word[3:-3] + last)
            assert not meant or meaning(meant) == meaning(word), (first, last, meant)
    assert meant_word(word[0] + word[2:-2] + word[-1] + word[-2]) == word


@pytest.mark.parametrize("word", ORDINARY)
def test_ordinary_words_would_be_read_as_others_and_are_not(word: str) -> None:
    """Each stands in the list for a reason, and in lower case once."""
    assert word == word.lower()
    assert nearest_word(word) or nearest_word(word, as_unit=True)
    assert meant_word(word, as_unit=True) == ""
    assert meant_word(word) == ""


def test_the_lists_hold_each_word_once_and_only_known_words() -> None:
    for name in TABLE:
        assert len(set(TABLE[name]["words"])) == len(TABLE[name]["words"])
    assert not set(ORDINARY) & {*words().kinds, *unit_words()}
    assert all(meaning(word) for word in SHORT)
    assert all(simple_unit(symbol) for symbol in TABLE["symbols"]["words"])


@pytest.mark.parametrize("symbol", TABLE["symbols"]["words"])
def test_a_letter_struck_twice_in_a_unit(symbol: str) -> None:
    """Read as that unit or not at all."""
    read_as_it = 0
    for index, letter in enumerate(symbol):
        written = symbol[:index] + letter + symbol[index:]
        meant = short_unit(written, box_of_angles=False)
        assert not meant or simple_unit(meant) == simple_unit(symbol)
        read_as_it += bool(meant)
    assert read_as_it or len(symbol) < 3


def test_other_symbols_are_no_slips() -> None:
    for symbol in TABLE["other_symbols"]["words"]:
        assert short_unit(symbol, box_of_angles=True) == ""


@pytest.mark.parametrize(
    ("written", "meant"), [("unrounded", "rounded"), ("lengthen", "length"), ("miles", "yards"), ("hard", "yards")]
)
def test_no_slips(written: str, meant: str) -> None:
    assert not is_one_slip(written, meant)
    assert meant_word(written) == ""


@pytest.mark.parametrize(
    "sentence",
    [
        "the barge fasts 47.3 m",
        "Mr Wesst said 47.3 m",
        "tug Nroth pulls 47.3",
        "a crew of poeple, esat",
        "the pier near Wets Harbour",
        "my freind the mles",
        "that fort 30",
    ],
)
def test_a_word_in_a_sentence_is_no_side_and_no_unit(sentence: str) -> None:
    for box in ("quantity", "direction", "polar", "components"):
        reading = read(sentence, box)
        notes = " ".join(note for sense in reading.senses for note in sense.notes)
        assert not re.search(r"as (west|east|north|miles)", notes), (box, notes)


def test_each_mended_word_is_noted() -> None:
    (sense,) = read("12.5 metrs per secnd, 30 dgerees nrth of eats", "polar").senses
    written = [note.split()[1] for note in sense.notes if note.startswith("read ")]
    assert sorted(written) == ["dgerees", "eats", "metrs", "nrth", "secnd"]
