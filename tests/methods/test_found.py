"""Printed answers and (near-)cancelling vectors at the edges of what the methods bear."""

from __future__ import annotations

import pytest

from grader.errors import GraderError, NotationError
from grader.notation.given import GivenHeading, read_given
from tests.methods.test_published import ROWS, pose, printed, with_unit
from tests.posed import handed_in, ready, solved


@pytest.mark.parametrize(("id_", "part"), [("P09", "magnitude"), ("P13", "y"), ("P14", "direction")])
def test_components_rounded_to_tenths_are_rounded_early(id_: str, part: str) -> None:
    """158.1 N for 158.155, 3.1 cm for 3.158, 21° for 20.43°: the book rounded the components to tenths first."""
    row = ROWS[id_]
    (answer,) = printed(row)
    marks = handed_in(ready(pose(row)), {name: with_unit(name, text, row) for name, text in answer.items()})
    assert marks[part].verdict == "rounded early"


def test_an_angle_by_the_sum_of_the_two_others_as_rounded_is_right() -> None:
    """P32: C = 180° − 37.8° − 43.8° = 98.4°, where 98.32° is exact; A and B were asked for, and go on as rounded."""
    marks = handed_in(ready(pose(ROWS["P32"])), printed(ROWS["P32"])[0])
    assert {part: mark.verdict for part, mark in marks.items()} == {"A": "right", "B": "right", "C": "right"}


def test_a_direction_gets_no_more_room_than_the_length_as_rounded_gives() -> None:
    """P07: R = 15.977 goes on as 16.0, which turns the direction by less than 0.35°; 36.3° lies 0.74° away."""
    marks = handed_in(ready(pose(ROWS["P07"])), {"magnitude": "16.0 m/s", "direction": "36.3° S of W"})
    assert marks["direction"].verdict != "right"


def test_vectors_that_all_but_cancel_are_solved() -> None:
    key = solved("resultant", "9 N at 15°; 9 N at 195.01°").solution
    # 2 · 9 · sin 0.005°, at right angles to both: the bisector of 15° and 195.01°.
    assert key.part("magnitude").value == pytest.approx(0.0015707963, rel=1e-6)
    assert key.part("direction").value == pytest.approx(285.005, abs=1e-3)


@pytest.mark.parametrize(
    ("find", "given_text", "length", "direction"),
    [
        ("resultant", "5 N E; 5 N W; 3 N N", 3.0, 90.0),
        ("difference", "5 N E; 5 N E; 3 N S", 3.0, 90.0),
    ],
)
def test_vectors_of_which_the_first_two_cancel_are_solved(
    find: str, given_text: str, length: float, direction: float
) -> None:
    key = solved(find, given_text).solution
    assert key.part("magnitude").value == pytest.approx(length)
    assert key.part("direction").value == pytest.approx(direction)


def test_the_work_of_a_force_is_a_dot_product() -> None:
    """Force and displacement have different units; the dot product is asked for them more than for anything else."""
    value = solved("dot product", "10 N at 60°; 3 m at 0°").solution.part("value").value
    assert value == pytest.approx(15.0)


def test_a_weight_is_above_zero() -> None:
    with pytest.raises(GraderError, match="above zero"):
        solved("ramp", "-50 lb on 10°")


def test_a_current_across_the_track_is_not_said_to_be_against_it() -> None:
    """All of the craft's speed goes into holding its place: nothing is left to go along the track."""
    reason = solved("heading", "water speed 5 km/h; current 5 km/h toward E; track N").solution.none
    assert reason.startswith("cannot hold that track")
    assert "against" not in reason


def test_a_track_and_a_wind_written_alike_are_read_alike() -> None:
    """045° and 100° are both courses; one counted from north and the other from east is a silent guess."""
    given_text = "air speed 200 km/h; wind 20 km/h from 045°; track 100°"
    try:
        course = read_given("heading", given_text)
    except NotationError:
        return
    assert isinstance(course, GivenHeading)
    assert course.flow_direction.form == course.track.form
