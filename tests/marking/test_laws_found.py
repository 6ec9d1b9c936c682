"""Answers that stop the marking of a whole class, and sums along an axis."""

from __future__ import annotations

import pytest

from tests.posed import handed_in, posed, ready, solved


def test_no_triangle_where_there_are_two_is_wrong() -> None:
    """One such answer in an export must not stop the marking of all the others."""
    marks = handed_in(ready(posed("triangle", "a=12; c=17; A=35°")), "no triangle")
    assert {mark.verdict for mark in marks.values()} == {"wrong"}


@pytest.mark.parametrize("said", ["1e30", "1" * 40, "1e400", "9" * 400, "-1e99 N at 3°"])
def test_a_number_beyond_all_bounds_is_only_a_wrong_number(said: str) -> None:
    """A key held down, or an exponent typed by mistake: wrong, or for the teacher to look at, never an end of the run."""
    marks = handed_in(ready(posed("resultant", "45 N at 20°; 30 N at 310°", unit="N")), said)
    assert marks["magnitude"].verdict in ("wrong", "needs a look")


@pytest.mark.parametrize(
    ("given_text", "direction"),
    [("10 N S; 5 N S", 90.0), ("10 N at 30°; 10 N at 150°", 270.0), ("10 N N; 4 N S", 270.0)],
)
def test_an_equilibrant_along_the_axis_points_the_right_way(given_text: str, direction: float) -> None:
    """The x-component is zero, and its reversal must not become a negative zero that turns the tangent round."""
    assert solved("equilibrant", given_text).solution.part("direction").value == pytest.approx(direction)
