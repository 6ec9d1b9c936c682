"""Rounding against standards: ISO 80000-1 annex B, ASTM E29, and equalRounded of QTI response processing."""

from __future__ import annotations

import pytest

from grader.marking.rounding import Written, outcome, roundings, same_when_rounded
from grader.methods.problem import Rounding
from grader.methods.solution import PartKey
from grader.notation.read import read
from grader.notation.readings import Quantity
from tests.posed import handed_in, place, posed, ready

ISO_ONE_WAY = [
    # ISO 80000-1:2009, annex B (from memory): value, place, what it rounds to
    (12.223, 0.1, 12.2),
    (12.251, 0.1, 12.3),
    (12.275, 0.1, 12.3),
    (1222.3, 10.0, 1220.0),
    (1225.1, 10.0, 1230.0),
    (1227.5, 10.0, 1230.0),
    # and in one step, not in two: 12.254 by way of 12.25 would end at 12.2 under rule A
    (12.254, 0.1, 12.3),
]

ISO_TIES = [
    # ISO 80000-1:2009, annex B (from memory): value, place, by rule A (to the even digit), by rule B (upward)
    (12.25, 0.1, 12.2, 12.3),
    (12.35, 0.1, 12.4, 12.4),
    (1225.0, 10.0, 1220.0, 1230.0),
    (1235.0, 10.0, 1240.0, 1240.0),
]


@pytest.mark.parametrize(("value", "step", "expected"), ISO_ONE_WAY)
def test_iso_rounds_one_way(value: float, step: float, expected: float) -> None:
    assert roundings(value, step) == (expected,)
    assert roundings(-value, step) == (-expected,)


@pytest.mark.parametrize(("value", "step", "to_even", "upward"), ISO_TIES)
def test_iso_ties_by_either_rule(value: float, step: float, to_even: float, upward: float) -> None:
    assert {to_even, upward} <= set(roundings(value, step))
    assert len(roundings(value, step)) == 2


@pytest.mark.parametrize(("value", "step", "to_even", "upward"), ISO_TIES)
def test_an_answer_by_either_rule_is_right(value: float, step: float, to_even: float, upward: float) -> None:
    """Through the whole of marking: a quantity that is a tie, answered by rule A and by rule B."""
    problem = ready(posed("expression", f"v = {value}", formula="v", magnitude_to=str(step)))
    for answer in (to_even, upward):
        (mark,) = handed_in(problem, {"value": f"{answer:g}"}).values()
        assert mark.verdict == "right", answer
    for beyond in (value - 1.6 * step, value + 1.6 * step):
        (mark,) = handed_in(problem, {"value": f"{beyond:.3f}"}).values()
        assert mark.verdict == "wrong", beyond


@pytest.mark.parametrize(
    ("value", "answer", "verdict"),
    [
        ("12.251", "12.3", "right"),
        ("12.26", "12.2", "wrong"),
        ("12.249", "12.2", "right"),
        ("12.24", "12.3", "wrong"),
        ("12.251", "12.25", "right"),
        ("12.251", "12", "rounded too far"),
        ("61.57", "62", "rounded too far"),
        ("61.57", "61", "wrong"),
        ("62.04", "62", "right"),
        ("62.04", "62.0", "right"),
        ("62.04", "60", "rounded too far"),
        ("-12.25", "-12.2", "right"),
        ("-12.25", "-12.3", "right"),
        ("-12.25", "12.3", "wrong"),
    ],
)
def test_tenths_were_asked(value: str, answer: str, verdict: str) -> None:
    """Rules 1 and 2 of when an answer is right, at a place of 0.1."""
    (mark,) = handed_in(ready(posed("expression", f"v = {value}", formula="v", magnitude_to="0.1")), answer).values()
    assert mark.verdict == verdict


@pytest.mark.parametrize(
    ("text", "last", "coarsest"),
    [
        # ASTM E29: zeros after the point count, those before it may or may not (140 000 has two to six digits).
        ("1270.", 1.0, 1.0),
        ("32.00", 0.01, 0.01),
        ("140000", 1.0, 10000.0),
        ("230", 1.0, 10.0),
    ],
)
def test_significant_digits_as_astm_e29_counts_them(text: str, last: float, coarsest: float) -> None:
    (sense,) = read(text, "quantity").senses
    assert isinstance(sense.meaning, Quantity)
    assert sense.meaning.number.place == pytest.approx(last)
    assert (sense.meaning.number.coarsest or sense.meaning.number.place) == pytest.approx(coarsest)


@pytest.mark.parametrize(
    ("value", "figures", "step"),
    [
        # Figures are counted from the first digit that is not zero (common practice).
        (227.426, 2, 10.0),
        (62.04, 3, 0.1),
        (0.012345, 3, 0.0001),
        (-0.38461, 2, 0.01),
        (999.4, 3, 1.0),
        (999.6, 3, 10.0),
        (99.96, 3, 1.0),
        (1.0, 1, 1.0),
        (140000.0, 2, 10000.0),
    ],
)
def test_the_place_of_significant_figures(value: float, figures: int, step: float) -> None:
    assert Rounding("figures", figures).place_for(value) == pytest.approx(step)


@pytest.mark.parametrize(
    ("one", "other", "figures", "equal"),
    [
        # QTI response processing, equalRounded with significantFigures (from memory)
        (1.56, 1.6, 2, True),
        (3.175, 3.183, 3, True),
        (3.175, 3.1749, 3, False),
    ],
)
def test_equal_when_rounded_as_in_qti(one: float, other: float, figures: int, equal: bool) -> None:
    """QTI rounds a tie up; of the two roundings that a tie has here, that is the larger."""
    step = Rounding("figures", figures).place_for(one)
    assert (max(roundings(one, step)) == max(roundings(other, step))) is equal
    # A tie rounds either way here, so what QTI calls equal is always equal.
    assert same_when_rounded(one, other, step) or not equal


@pytest.mark.parametrize(
    ("value", "step", "both"),
    [(2.675, 0.01, (2.67, 2.68)), (1.005, 0.01, (1.0, 1.01)), (61.65, 0.1, (61.6, 61.7)), (0.285, 0.01, (0.28, 0.29))],
)
def test_ties_that_binary_fractions_hide(value: float, step: float, both: tuple[float, float]) -> None:
    """2.675 is stored as 2.67499999…: on paper it is a tie all the same."""
    assert roundings(value, step) == both


@pytest.mark.parametrize(
    ("written", "right"), [(359.96, True), (0.0, True), (360.0, True), (0.1, False), (359.8, False)]
)
def test_due_east_is_one_direction_around_the_circle(written: float, right: bool) -> None:
    key = PartKey("direction", 359.97, 0.1, 0.0, "0.0°", 1.0, circular=True)
    assert (outcome(Written(written, 0.1, 0.1), key, place("0.1")) == "right") is right


def test_a_dropped_zero_can_be_made_strict() -> None:
    key = PartKey("x", 62.04, 0.1, 0.0, "62.0", 1.0)
    sixty_two = Written(62.0, 1.0, 1.0)
    assert outcome(sixty_two, key, place("0.1")) == "right"
    assert outcome(sixty_two, key, place("0.1"), dropped_zeros=False) == "rounded too far"


def test_an_exact_form_is_right_only_if_exact() -> None:
    """5√2 for √50; 7.07 to three figures; 7.1 to two is too coarse."""
    key = PartKey("magnitude", 50**0.5, 0.01, 0.0, "5√2", 1.0)
    exact = Rounding("exact")
    assert outcome(Written(5 * 2**0.5, 0.0, 0.0, True), key, exact) == "right"
    assert outcome(Written(4 * 3**0.5, 0.0, 0.0, True), key, exact) == "wrong"
    assert outcome(Written(7.07, 0.01, 0.01), key, exact) == "right"
    assert outcome(Written(7.0711, 0.0001, 0.0001), key, exact) == "right"
    assert outcome(Written(7.1, 0.1, 0.1), key, exact) == "rounded too far"
