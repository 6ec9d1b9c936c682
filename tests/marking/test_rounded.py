"""Numbers rounded too far, too early, cut off, or in radians of more than a turn: what is said of them.

The tow: 73.5 N at 25° and 48.0 N at 140°. x = 66.613 − 36.770 = 29.843, y = 31.062 + 30.854 = 61.916, so R = 68.73 N at
64.27°. The crossing: 420 km/h through the air, wind of 65 km/h from 310°, track 075°: 453.9 km/h.
"""

from __future__ import annotations

import math

import pandas as pd
import pytest

from grader.marking.evidence import ROUNDED_EARLY, class_evidence
from grader.marking.judge import PartMark, mark_answer
from tests.posed import handed_in, posed, ready

TOW = ready(
    posed("resultant", "73.5 N at 25°; 48.0 N at 140°", unit="N", direction_to="1", direction_as="standard position")
)
CROSSING = ready(
    posed(
        "heading",
        "airspeed 420 km/h; wind 65 km/h from bearing 310°; track bearing 075°",
        unit="km/h",
        magnitude_to="1",
        direction_to="1",
        direction_as="true bearing",
    )
)
PULL = ready(posed("dot product", "64 N at 20°; 7.5 m at 75°", unit="J", magnitude_to="1"))


def tow(magnitude: str, direction: str) -> dict[str, PartMark]:
    return handed_in(TOW, {"magnitude": magnitude, "direction": direction})


@pytest.mark.parametrize(
    ("written", "verdict"),
    [
        ("64 rad", "needs a look"),  # degrees with the wrong unit, most likely
        ("60 rad", "needs a look"),  # and so for what would be rounded too far in degrees
        ("70 rad", "wrong"),  # neither
        ("7 rad", "wrong"),  # 401° is not 64° rounded to the nearest radian
        ("1.12 rad", "right, other form"),
        ("7.405 rad", "right, other form"),  # once around and 64.3°
    ],
)
def test_radians_of_more_than_a_turn_are_never_rounded_too_far(written: str, verdict: str) -> None:
    mark = tow("68.7 N", written)["direction"]
    assert mark.verdict == verdict
    assert verdict != "needs a look" or "more than a turn" in mark.note


def test_the_numbers_of_the_tow_and_the_crossing() -> None:
    x = 73.5 * math.cos(math.radians(25)) + 48 * math.cos(math.radians(140))
    y = 73.5 * math.sin(math.radians(25)) + 48 * math.sin(math.radians(140))
    assert (math.hypot(x, y), math.degrees(math.atan2(y, x))) == pytest.approx((68.73, 64.27), abs=0.01)
    across = math.asin(65 * math.sin(math.radians(55)) / 420)
    assert 420 * math.cos(across) + 65 * math.cos(math.radians(55)) == pytest.approx(453.9, abs=0.05)


def test_where_early_rounding_gives_a_cut_digit_too_the_student_has_the_benefit() -> None:
    """With sines and cosines to 2 decimals: 420 · 0.99 + 65 · 0.57 = 452.9, and 453 is also 453.9 cut off."""
    assert pytest.approx(452.85) == 420 * 0.99 + 65 * 0.57
    mark = handed_in(CROSSING, {"magnitude": "453 km/h", "direction": "068°"})["magnitude"]
    assert (mark.verdict, mark.mistake) == ("rounded early", "")


def test_a_cut_digit_that_no_early_rounding_gives_is_still_named() -> None:
    """y = −18.5 sin 53° = −14.775; with the sine to 3, 2 or 1 decimals it is −14.78, −14.8 and −14.8."""
    mark = handed_in(ready(posed("components", "18.5 km at 233°", unit="km")), {"x": "-11.1 km", "y": "-14.7 km"})["y"]
    assert mark.mistake == "cut-off"


def test_rounding_early_speaks_for_itself_in_a_students_other_answers() -> None:
    """Who rounded early in three problems has probably done so in the fourth; nobody else is thought more likely to."""
    rows = [("t1", p, "rounded early", "", math.nan) for p in "123"] + [("t1", "4", "wrong", "cut-off", 0.9)]
    rows += [("t2", p, "right", "", math.nan) for p in "123"] + [("t2", "4", "wrong", "cut-off", 0.9)]
    marks = pd.DataFrame(rows, columns=["student_id", "problem", "verdict", "mistake", "mistake_chance"])
    evidence = class_evidence(marks)
    rounder, other = evidence.weights("t1", "4"), evidence.weights("t2", "4")
    assert rounder[ROUNDED_EARLY] > 3 > other[ROUNDED_EARLY]
    assert rounder["cut-off"] < other["cut-off"]


def test_the_evidence_raises_early_rounding_over_a_slip() -> None:
    """68.8 N is one digit off 68.7 N, and early rounding gives it as well."""
    boxes = (("magnitude", "68.8 N"), ("direction", "64°"))
    doubtful = mark_answer(TOW, boxes, weights={ROUNDED_EARLY: 1e-6})
    assert doubtful[0].verdict == "wrong"
    assert mark_answer(TOW, boxes, weights={ROUNDED_EARLY: 5.0})[0].verdict == "rounded early"


def test_the_decimals_kept_are_told_only_where_no_other_number_of_them_fits() -> None:
    """68.8 N comes of 1 decimal, and of sines and cosines to 3; 68.5 N of 2 alone: x = 66.89 − 36.96, y = 30.87 + 30.72."""
    assert math.hypot(73.5 * 0.91 - 48 * 0.77, 73.5 * 0.42 + 48 * 0.64) == pytest.approx(68.48, abs=0.005)
    assert math.hypot(73.5 * 0.906 - 48 * 0.766, 73.5 * 0.423 + 48 * 0.643) == pytest.approx(68.75, abs=0.01)
    several, one = tow("68.8 N", "64°")["magnitude"], tow("68.5 N", "64°")["magnitude"]
    assert several.verdict == one.verdict == "rounded early"
    assert "rounded too soon" in several.feedback
    assert "2 decimals" in one.feedback


@pytest.mark.parametrize("direction", ["63°", "65°"])
def test_early_rounding_must_give_the_right_parts_too(direction: str) -> None:
    """cos 65° to 1 decimal turns the direction to 63.2°, but makes 69.9 N of 68.7 N."""
    marks = tow("68.7 N", direction)
    assert [mark.verdict for mark in marks.values()] == ["right", "wrong"]


@pytest.mark.parametrize(
    ("direction", "said"), [("60°", "right to the nearest 10."), ("64°", "Right."), ("353°", "Not right yet")]
)
def test_a_whole_number_is_not_told_to_be_a_whole_number(direction: str, said: str) -> None:
    assert said in tow("68.7 N", direction)["direction"].feedback


def test_hundreds_are_named_as_hundreds() -> None:
    """64 · 7.5 · cos 55° = 275.3 J."""
    assert "right to the nearest 100. Give it to the nearest whole number" in handed_in(PULL, "300 J")["value"].feedback
