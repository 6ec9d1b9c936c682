"""What is written reads back: every value the key can print, in every form."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.errors import NotationError
from grader.notation.read import read
from grader.notation.readings import Direction, Polar, Quantity
from grader.notation.tables import load_table
from grader.notation.units import unit
from grader.notation.write import write_direction, write_exact, write_meaning, write_number, write_quantity

PLACES = st.sampled_from([10.0, 1.0, 0.1, 0.01, 0.001, 0.0001])
FORMS = ("standard position", "quadrant bearing", "true bearing", "from an axis", "any")
SYMBOLS = [symbol for symbol, entry in load_table("units.toml")["units"].items() if entry["of"] != "angle"]


def one(text: str, box: str) -> object:
    (sense,) = read(text, box).senses  # type: ignore[arg-type]
    return sense.meaning


@settings(max_examples=500)
@given(st.floats(-1e6, 1e6), PLACES)
def test_a_written_number_reads_back(value: float, place: float) -> None:
    text = write_number(value, place)
    meaning = one(text, "quantity")
    assert isinstance(meaning, Quantity)
    expected = float(
        (Decimal(repr(value)) / Decimal(repr(place))).quantize(Decimal(1), ROUND_HALF_UP) * Decimal(repr(place))
    )
    assert meaning.number.value == expected
    assert "−0" not in text or meaning.number.value < 0
    if place < 10:
        assert meaning.number.place == pytest.approx(place)


@given(st.floats(-1e9, 1e9).filter(lambda value: not 0 < abs(value) < 1e-12))
def test_the_shortest_form_is_exact(value: float) -> None:
    meaning = one(write_number(value, None), "quantity")
    assert isinstance(meaning, Quantity)
    assert meaning.number.value == value or len(write_number(value, None)) >= 16


@given(st.floats(-1e5, 1e5), PLACES, st.sampled_from(SYMBOLS))
def test_a_written_quantity_reads_back(value: float, place: float, symbol: str) -> None:
    meaning = one(write_quantity(value, place, unit(symbol)), "quantity")
    assert isinstance(meaning, Quantity)
    assert meaning.unit == unit(symbol)
    assert write_number(meaning.number.value, place) == write_number(value, place)


@settings(max_examples=1500)
@given(st.floats(0, 360, exclude_max=True), st.sampled_from([1.0, 0.1, 0.01, 0.001]), st.sampled_from(FORMS))
def test_a_written_direction_reads_back(angle: float, place: float, form: str) -> None:
    text = write_direction(angle, form, place)
    meaning = one(text, "direction")
    assert isinstance(meaning, Direction)
    # 297° says nothing of where it is counted from, so it is read as a plain angle; whoever asked for a bearing knows.
    read_as = 90.0 - meaning.written if form == "true bearing" else meaning.angle
    assert abs((read_as - angle + 180.0) % 360.0 - 180.0) <= place / 2 + 1e-9
    assert "360" not in text.split(".")[0]
    assert not text.startswith(("N 90", "S 90", "90° "))
    kinds = {
        "standard position": {"plain angle"},
        "any": {"plain angle"},
        "true bearing": {"true bearing"},
        "quadrant bearing": {"quadrant bearing", "compass point"},
        "from an axis": {"from an axis", "compass point"},
    }
    leading_zero = text[0] == "0" and len(text.split("°")[0].split(".")[0]) == 3
    assert meaning.form in kinds[form] or (
        form == "true bearing" and not leading_zero and meaning.form == "plain angle"
    )


def test_a_true_bearing_of_more_than_99_needs_its_word() -> None:
    """297° alone is a plain angle; with the word before it, it is a bearing."""
    meaning = one("bearing " + write_direction(153.0, "true bearing", 1.0), "direction")
    assert isinstance(meaning, Direction)
    assert (meaning.angle, meaning.form) == (153.0, "true bearing")


@given(st.floats(0.1, 1e4), st.floats(0, 360, exclude_max=True), st.sampled_from(FORMS))
def test_a_written_vector_reads_back(length: float, angle: float, form: str) -> None:
    word = "bearing " if form == "true bearing" else ""
    meaning = one(f"{write_quantity(length, 0.1, unit('lb'))} at {word}{write_direction(angle, form, 0.1)}", "polar")
    assert isinstance(meaning, Polar)
    assert meaning.magnitude is not None
    assert meaning.direction is not None
    assert write_number(meaning.magnitude.number.value, 0.1) == write_number(length, 0.1)
    assert abs((meaning.direction.angle - angle + 180.0) % 360.0 - 180.0) <= 0.05 + 1e-9


@given(st.integers(-30, 30), st.sampled_from([1, 2, 3, 5, 6, 7, 10, 13, 15]), st.integers(1, 12))
def test_a_school_form_reads_back(factor: int, radicand: int, denominator: int) -> None:
    value = factor * math.sqrt(radicand) / denominator
    text = write_exact(value)
    assert text is not None
    meaning = one(text, "quantity")
    assert isinstance(meaning, Quantity)
    assert meaning.number.value == pytest.approx(value, rel=1e-14)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (6 * math.sqrt(2), "6√2"),
        (-7 * math.sqrt(2) / 2, "−7√2/2"),
        (-5 / 13, "−5/13"),
        (12 / 13, "12/13"),
        (29.0, "29"),
        (0.0, "0"),
        (-0.0, "0"),
        (0.5, "1/2"),
        (math.sqrt(2), "√2"),
        (math.sqrt(3) / 2, "√3/2"),
        (math.pi, None),
        (62.0403, None),
        (1e300, None),
        (math.nan, None),
    ],
)
def test_school_forms(value: float, text: str | None) -> None:
    assert write_exact(value) == text


@pytest.mark.parametrize(
    ("value", "place", "text"),
    [
        (2.5, 1.0, "3"),
        (-2.5, 1.0, "−3"),
        (0.125, 0.01, "0.13"),
        (2.675, 0.01, "2.68"),
        (12.25, 0.1, "12.3"),
        (-0.04, 0.1, "0.0"),
        (230.0, 100.0, "200"),
        (1234567.0, None, "1234567"),
        (1e-7, None, "0.0000001"),
    ],
)
def test_ties_go_away_from_zero_on_the_decimal_digits(value: float, place: float | None, text: str) -> None:
    """ISO 80000-1 annex B, rule B (from memory): 12.25 at 0.1 is 12.3."""
    assert write_number(value, place) == text


@pytest.mark.parametrize(
    ("angle", "form", "place", "text"),
    [
        (353.0, "standard position", 1.0, "353°"),
        (359.96, "standard position", 0.1, "0.0°"),
        (-7.0, "any", 1.0, "353°"),
        (353.0, "quadrant bearing", 1.0, "S 83° E"),
        (89.96, "quadrant bearing", 0.1, "N"),
        (0.04, "quadrant bearing", 0.1, "E"),
        (180.0, "quadrant bearing", 0.1, "W"),
        (353.0, "true bearing", 1.0, "097°"),
        (353.0, "true bearing", 0.1, "097.0°"),
        (90.02, "true bearing", 0.1, "000.0°"),
        (90.4, "true bearing", 1.0, "000°"),
        (353.0, "from an axis", 1.0, "7° S of E"),
        (100.0, "from an axis", 1.0, "10° W of N"),
        (270.02, "from an axis", 0.1, "S"),
        (94.4, "from an axis", 0.1, "4.4° W of N"),
        (45.0, "from an axis", 1.0, "45° E of N"),
    ],
)
def test_rounding_happens_in_the_form(angle: float, form: str, place: float, text: str) -> None:
    assert write_direction(angle, form, place) == text


def test_an_unknown_form_is_an_error() -> None:
    with pytest.raises(NotationError, match="expected standard position"):
        write_direction(1.0, "by the stars", 1.0)


@pytest.mark.parametrize(
    ("text", "box", "shown"),
    [
        ("62.0 lb at 353", "polar", "62.0 lb at 353°"),
        ("s83e", "direction", "S 83° E"),
        ("97 true", "direction", "097° true"),
        ("5√2", "quantity", "5√2"),
        ("61.6i-7.6j km/h", "components", "⟨61.6, −7.6⟩ km/h"),
        ("x=61.6", "components", "x = 61.6"),
        ("C=54.3°, b=20.9", "triangle", "C = 54.3°, b = 20.9"),
        ("no triangle", "triangle", "no solution"),
        ("wsw", "direction", "WSW"),
        ("E ½ S", "direction", "354.375°"),
        ("353°ccw from east", "direction", "353° in standard position"),
    ],
)
def test_a_meaning_is_shown_in_the_notation_of_the_key(text: str, box: str, shown: str) -> None:
    assert write_meaning(one(text, box)) == shown  # type: ignore[arg-type]
