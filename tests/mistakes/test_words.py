"""What a student reads about a mistake is true of the problem at hand."""

from __future__ import annotations

import pytest

from grader.mistakes.catalogue import wordings
from grader.mistakes.kinds import NO_ANSWER, NO_BEARING, SEVERAL, TRUE_BEARINGS, kinds_of
from grader.reports.class_page.teaching import lessons
from grader.rubric.layout import FINDS
from tests.posed import handed_in, posed, ready

WORK = ("dot product", "42 N at 15°; 8.5 m at 68°")
ROUND_TRIP = ("resultant", "12.4 km bearing 062°; 8.7 km bearing 155°; 15.2 km bearing 341°")


def test_words_for_kinds_of_problem_are_for_kinds_that_there_are() -> None:
    kinds = {*FINDS, SEVERAL, TRUE_BEARINGS, NO_BEARING, NO_ANSWER}
    assert {kind for wording in wordings().values() for kind in wording.instead} <= kinds
    assert {kind for lesson in lessons().values() for kind in lesson.instead} <= kinds


@pytest.mark.parametrize("written", ["357.0", "285.1", "43.5", "354.3", "-214.8"])
def test_in_a_dot_product_nothing_is_said_about_resultants_axes_and_lengths(written: str) -> None:
    """Lengths multiplied; the sine for the cosine; the directions added; a component of one vector swapped; a sign too much."""
    (mark,) = handed_in(ready(posed(*WORK)), {"value": written}).values()
    assert mark.mistake
    for word in ("resultant", "x-axis", "y-component", "a length is"):
        assert word not in mark.feedback


def test_the_supplement_of_an_angle_between_vectors_needs_no_triangle() -> None:
    (mark,) = handed_in(ready(posed("angle between", "45 N at 20°; 30 N at 125°", direction_to="1")), "75°").values()
    assert mark.mistake == "supplement-not-taken"
    assert "supplement" in mark.feedback
    assert "triangle" not in mark.feedback


def test_of_three_lengths_not_two_were_added() -> None:
    mark = handed_in(ready(posed(*ROUND_TRIP, unit="km")), "36.3 km at 038.2°")["magnitude"]
    assert mark.mistake == "lengths-added"
    assert "two" not in mark.feedback


def test_where_no_bearing_is_the_complement_is_not_told_as_one() -> None:
    problem = posed(
        "resultant", "73.5 N at 25°; 48.0 N at 140°", unit="N", direction_as="standard position", direction_to="1"
    )
    mark = handed_in(ready(problem), "68.7 N at 26°")["direction"]
    assert "standard-angle-given-as-bearing" in mark.mistake
    assert "bearing" not in mark.feedback
    assert kinds_of(problem) == ("resultant", NO_BEARING)


def test_true_bearings_have_no_east_for_west() -> None:
    problem = posed(*ROUND_TRIP, unit="km", direction_as="true bearing", direction_to="1")
    mark = handed_in(ready(problem), "15.7 km 142°")["direction"]
    assert mark.mistake.startswith("bearing-turned-wrong-way")
    assert "east" not in mark.feedback
    assert kinds_of(problem) == ("resultant", SEVERAL, TRUE_BEARINGS)


def test_along_a_ramp_goes_the_sine() -> None:
    """50 lb on 19°: 16.3 along, 47.3 into; exchanged."""
    marks = handed_in(ready(posed("ramp", "50 lb on 19°", unit="lb")), {"x": "47.3 lb", "y": "16.3 lb"})
    assert marks["x"].mistake.startswith("sine-cosine-swapped")
    assert "x-axis" not in marks["x"].feedback
