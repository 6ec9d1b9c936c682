"""What holds for every text: no exception, exact values, written places, notes, and what spreadsheets hand over."""

from __future__ import annotations

import datetime
import math
from typing import get_args

import numpy
import pandas
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.notation.decimal_marks import decimal_mark
from grader.notation.limits import MAX_LENGTH
from grader.notation.read import read
from grader.notation.readings import (
    COMMA,
    UNSETTLED,
    BoxKind,
    Components,
    Direction,
    Labelled,
    Polar,
    Quantity,
    Several,
)
from grader.notation.write import write_meaning

BOXES = get_args(BoxKind)

ALPHABET = (
    "0123456789.,-+*/^()<>[]{}=:;|&%$#@!?~_'\"\\ \n\tNSEWnsewxyijabcABCRθπ√°′″×·−–—½²⁻¹µéOlI∠⟨⟩±≈ødegradlbkmhtfo of"
)


def only(text: object, box: BoxKind = "quantity") -> object:
    (sense,) = read(text, box).senses
    return sense.meaning


@settings(max_examples=400, deadline=None)
@given(st.text(ALPHABET, max_size=40), st.sampled_from(BOXES))
def test_no_text_raises(text: str, box: BoxKind) -> None:
    reading = read(text, box)
    assert reading.text == text
    assert bool(reading.senses) + bool(reading.reason) + reading.blank == 1


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=600), st.sampled_from(BOXES))
def test_no_unicode_raises(text: str, box: BoxKind) -> None:
    reading = read(text, box, COMMA)
    assert bool(reading.senses) + bool(reading.reason) + reading.blank == 1


@settings(max_examples=300, deadline=None)
@given(st.decimals(min_value=-99999, max_value=99999, places=3), st.integers(0, 3))
def test_a_plain_number_is_exactly_its_digits(number: object, places: int) -> None:
    text = f"{number:.{places}f}"
    meaning = only(text)
    assert isinstance(meaning, Quantity)
    assert meaning.number.value == float(text)
    assert meaning.number.place == pytest.approx(10.0**-places)


@pytest.mark.parametrize(
    ("text", "value", "place", "coarsest"),
    [
        ("62", 62.0, 1.0, 1.0),
        ("62.", 62.0, 1.0, 1.0),
        ("62.0", 62.0, 0.1, 0.1),
        ("62.00", 62.0, 0.01, 0.01),
        ("6.20 × 10¹", 62.0, 0.1, 0.1),
        ("62e0", 62.0, 1.0, 1.0),
        # ASTM E29: 1270. and 32.00 have four significant digits each, 140 000 has two to six.
        ("1270.", 1270.0, 1.0, 1.0),
        ("32.00", 32.0, 0.01, 0.01),
        ("140 000", 140000.0, 1.0, 10000.0),
        ("230", 230.0, 1.0, 10.0),
        ("5√2", 5 * math.sqrt(2), None, None),
        ("45/2", 22.5, None, None),
    ],
)
def test_the_written_place_survives(text: str, value: float, place: float | None, coarsest: float | None) -> None:
    meaning = only(text)
    assert isinstance(meaning, Quantity)
    assert (meaning.number.value, meaning.number.place, meaning.number.coarsest) == (value, place, coarsest)


def test_degrees_and_minutes_differ_in_place_from_whole_degrees() -> None:
    whole, minutes = only("353°", "direction"), only("352°58'", "direction")
    assert isinstance(whole, Direction)
    assert isinstance(minutes, Direction)
    assert whole.place == 1.0
    assert minutes.place == pytest.approx(1 / 60)


@pytest.mark.parametrize(
    "nothing", ["", "   ", "\u00a0", None, math.nan, numpy.nan, pandas.NA, pandas.NaT, "-", "n/a", "<p></p>"]
)
def test_nothing_is_blank(nothing: object) -> None:
    assert read(nothing, "quantity").blank


def test_number_cells_are_read_as_they_would_be_typed() -> None:
    for cell, value, place in (
        (62, 62.0, 1.0),
        (62.0, 62.0, 1.0),
        (numpy.float64(61.57), 61.57, 0.01),
        (-7.5, -7.5, 0.1),
    ):
        meaning = only(cell)
        assert isinstance(meaning, Quantity)
        assert (meaning.number.value, meaning.number.place) == (value, place)


def test_the_last_digits_of_a_spreadsheet_are_cured_with_a_note() -> None:
    for cell in (353.00000000000006, "353.00000000000006"):
        (sense,) = read(cell, "quantity").senses
        assert isinstance(sense.meaning, Quantity)
        assert sense.meaning.number.value == 353.0
        assert "spreadsheet" in sense.notes[0]


@pytest.mark.parametrize(
    "cell",
    [
        datetime.datetime(2026, 1, 2),
        datetime.date(2026, 1, 2),
        pandas.Timestamp("2026-01-02"),
        "2026-01-02",
        "2026-01-02 00:00:00",
        "02.01.2026",
        "2-Jan",
        "2. Jan",
        "1/2/2026",
    ],
)
@pytest.mark.parametrize("box", BOXES)
def test_a_date_is_set_aside_with_what_may_have_stood_there(cell: object, box: BoxKind) -> None:
    reading = read(cell, box)
    assert not reading.senses
    assert reading.reason == "a spreadsheet turned it into a date; 1/2, 2/1, 1.2 or 2.1 may have stood there"


def test_the_first_of_a_month_may_have_been_a_month_and_a_year() -> None:
    for cell in (datetime.datetime(1961, 1, 1), "1961-01-01", "Jan-61"):
        assert "1.61" in read(cell, "quantity").reason


@pytest.mark.parametrize(
    ("text", "box", "reason"),
    [
        ("9.6° left", "direction", "left of what is not said"),
        ("9.6° to the right", "direction", "right of what is not said"),
        ("none", "direction", "says that there is no direction"),
        ("left", "direction", "“left” alone may be a direction, or a remark on another answer"),
        ("58.7°, obtuse", "angle", "the angle is not obtuse, as it is said to be"),
    ],
)
def test_the_reason_says_what_is_missing(text: str, box: BoxKind, reason: str) -> None:
    assert read(text, box).reason == reason


def test_what_is_said_of_an_angle_is_noted() -> None:
    (sense,) = read("121.3°, obtuse", "angle").senses
    assert sense.notes == ("said to be obtuse, and is",)
    degrees, gradians = read("65 Grad", "angle").senses
    assert "German" in degrees.notes[0]
    assert "gradians" in gradians.notes[0]


def test_other_cells_are_set_aside_with_a_reason() -> None:
    for cell in (True, datetime.time(1, 30), math.inf, object(), ["62"]):
        assert read(cell, "quantity").reason


@pytest.mark.parametrize("text", ["5(" * 200, "(62.0" * 80, "((62.0" * 70, "[" * 300, "<62.0," * 60])
def test_brackets_deep_inside_each_other_are_set_aside_unread(text: str) -> None:
    """Tried as products and as remarks, brackets that never close would take seconds, twice as long with each one."""
    assert "brackets inside each other" in read(text, "quantity").reason
    assert read("2*((5+3)*(2))", "quantity").senses


@pytest.mark.parametrize("text", ["1/2 " * 125, "1/" * 250, "-" * 500, "x=1," * 125])
def test_more_than_250_pieces_are_set_aside_unread(text: str) -> None:
    assert read(text, "quantity").reason.startswith("more than 250 numbers, words and signs")


def test_the_longest_honest_working_is_read() -> None:
    working = "sqrt(61.57^2+7.59^2)=62.04; " * 17 + "R=62.04 lb"
    (sense,) = read(working, "quantity").senses
    assert isinstance(sense.meaning, Quantity)
    assert sense.meaning.number.value == 62.04


def test_a_text_of_more_than_500_characters_is_set_aside_unread() -> None:
    assert "500" in read("62.0 " * 101, "quantity").reason
    assert read("62.0" + " " * (MAX_LENGTH - 4), "quantity").senses


@pytest.mark.parametrize(
    "text",
    [
        "(" * 499,
        "√" * 499,
        "-" * 499,
        "1/" * 249,
        "2^" * 249,
        "<" * 499,
        "{" * 499,
        "\\frac{" * 80,
        "<math>" * 80,
        "9" * 499,
        "1e" * 249,
        "°'" * 249,
        "or " * 160,
        "=" * 499,
        "R=" * 249,
        "N" * 499,
        "(1," * 160,
        "3849^097(1/2)",
        ".0001^-99",
        "10^99*10^99",
    ],
)
def test_bounded_nesting(text: str) -> None:
    for box in BOXES:
        read(text, box)


def test_the_box_settles_only_what_the_text_leaves_open() -> None:
    for box in BOXES:
        assert isinstance(only("62.0 lb at S 83° E", box), Polar) or box == "angle"
        assert isinstance(only("<61.6, -7.6>", box), Components)
        assert isinstance(only("61.6i - 7.6j", box), Components)
    assert isinstance(only("S 83° E", "quantity"), Direction)
    assert isinstance(only("62.0 lb", "direction"), Quantity)
    assert isinstance(only("353", "direction"), Direction)
    assert isinstance(only("353", "quantity"), Quantity)
    assert isinstance(only("62.0 353", "polar"), Polar)
    assert isinstance(only("61.6 -7.6", "components"), Components)


def test_two_triangles() -> None:
    text = "C = 54.3°, B = 90.7°, b = 20.9 or C = 125.7°, B = 19.3°, b = 6.9"
    meaning = only(text, "triangle")
    assert isinstance(meaning, Several)
    assert [type(one) for one in meaning.meanings] == [Labelled, Labelled]
    numbered = only("C1 = 54.3°, B1 = 90.7°, b1 = 20.9; C2 = 125.7°, B2 = 19.3°, b2 = 6.9", "triangle")
    assert numbered == meaning


def test_both_senses_of_a_comma_keep_their_power_of_ten() -> None:
    senses = read("1,234·10^3 km/h", "quantity", UNSETTLED).senses
    assert [sense.meaning.number.value for sense in senses if isinstance(sense.meaning, Quantity)] == [1234e3, 1234.0]


@pytest.mark.parametrize(("written", "meant"), [("62 newtos", "newtons"), ("83 degreis", "degrees")])
def test_a_misspelling_is_noted_by_the_usual_spelling(written: str, meant: str) -> None:
    """One of many spellings, and the same in every run: sets of words have no order that lasts."""
    (sense,) = read(written, "quantity").senses
    assert sense.notes == (f"read {written.split()[1]} as {meant}",)


def test_tolerated_slips_are_noted() -> None:
    for text, words in (
        ("2l.5", "21.5"),
        ("61,6", "decimal comma"),
        ("--7.6", "doubled sign"),
        ("61..57", "doubled point"),
        ("59.5*", "degree sign"),
    ):
        (sense,) = read(text, "quantity").senses
        assert any(words in note for note in sense.notes), sense.notes


@pytest.mark.parametrize(
    ("texts", "mark"),
    [
        (["61,6 N", "7,59", "1.234"], "comma"),
        (["61.6 N", "7.59"], "point"),
        (["1.234,5"], "comma"),
        (["1,234.5"], "point"),
        (["1.234", "1,234", "62", ""], None),
        (["(61,6)", "<6,5>"], None),
        (["61,6", "61.6"], None),
        (["61.6"] * 29 + ["61,6"], "point"),
        ([], None),
    ],
)
def test_class_evidence_for_the_decimal_mark(texts: list[str], mark: str | None) -> None:
    assert decimal_mark(texts) == mark


def test_the_sense_can_be_shown_in_words() -> None:
    assert write_meaning(only("62.0 lb @ s83e", "polar")) == "62.0 lb at S 83° E"  # type: ignore[arg-type]


@pytest.mark.parametrize("text", ["could not do this one", "couldn't do this problem, sorry", "bro i have no clue"])
def test_giving_up_in_any_words_is_no_answer(text: str) -> None:
    assert read(text, "quantity").given_up


def test_a_value_is_never_given_up() -> None:
    assert not read("the tug cannot do 12 kn", "quantity").given_up
