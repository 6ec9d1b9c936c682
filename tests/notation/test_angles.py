"""Angles and directions against outside references: astropy's Angle, the compass table, and plain geometry."""

from __future__ import annotations

import math

import pytest
from astropy.coordinates import Angle
from hypothesis import given
from hypothesis import strategies as st

from grader.notation.directions import AXES, turn, wrapped
from grader.notation.read import read
from grader.notation.readings import Direction, Quantity
from grader.notation.tables import compass_points


def direction(text: str) -> Direction:
    (sense,) = read(text, "direction").senses
    assert isinstance(sense.meaning, Direction)
    return sense.meaning


@given(
    st.integers(0, 359),
    st.integers(0, 59),
    st.integers(0, 59),
    st.sampled_from(["{}° {}' {}\"", "{}°{}′{}″", "{}d{}m{}s", "{} deg {} min {} sec"]),
)
def test_degrees_minutes_seconds_agree_with_astropy(degrees: int, minutes: int, seconds: int, form: str) -> None:
    theirs = Angle(f"{degrees}d{minutes}m{seconds}s").degree
    ours = direction(form.format(degrees, minutes, seconds))
    assert ours.written == pytest.approx(theirs, abs=1e-9)
    assert ours.place == pytest.approx(1 / 3600)
    assert ours.sign == "dms"


@given(st.integers(0, 359), st.decimals(0, 59, places=1))
def test_decimal_minutes_agree_with_astropy(degrees: int, minutes: object) -> None:
    assert direction(f"{degrees}° {minutes}'").written == pytest.approx(Angle(f"{degrees}d{minutes}m").degree, abs=1e-9)


@pytest.mark.parametrize("text", ["6.16 rad", "0.5 radians", "2.356rad"])
def test_radians_agree_with_astropy(text: str) -> None:
    number = text.rstrip("radins ")
    assert direction(text).written == pytest.approx(Angle(float(number), "rad").degree)


def test_the_compass_table_is_complete() -> None:
    """32 points, 11.25° apart (Bowditch, American Practical Navigator; from memory)."""
    bearings = list(compass_points().values())
    assert bearings == [index * 11.25 for index in range(32)]


@pytest.mark.parametrize(("letters", "bearing"), compass_points().items())
def test_every_compass_point_is_read(letters: str, bearing: float) -> None:
    assert direction(letters).angle == pytest.approx((90.0 - bearing) % 360.0)


@given(st.sampled_from("NSEW"), st.sampled_from("NSEW"), st.floats(0, 90))
def test_a_turn_is_a_rotation_of_one_axis_toward_the_other(start: str, toward: str, degrees: float) -> None:
    angle = turn(start, toward, degrees)
    apart = (AXES[start] - AXES[toward]) % 180.0 == 90.0
    assert (angle is not None) == apart
    if angle is not None:
        one, other, turned = (math.radians(axis) for axis in (AXES[start], AXES[toward], angle))
        assert math.cos(turned - one) == pytest.approx(math.cos(math.radians(degrees)), abs=1e-9)
        assert math.cos(turned - other) == pytest.approx(math.sin(math.radians(degrees)), abs=1e-9)


@given(st.floats(-1e6, 1e6))
def test_wrapped_lies_on_the_circle(degrees: float) -> None:
    angle = wrapped(degrees)
    assert 0.0 <= angle < 360.0
    assert math.cos(math.radians(angle)) == pytest.approx(math.cos(math.radians(degrees)), abs=1e-6)


@pytest.mark.parametrize(
    "text",
    [
        "353°",
        "S 83° E",
        "s83e",
        "83° E of S",
        "7° S of E",
        "E 7° S",
        "bearing 097°",
        "097",
        "97° true",
        "-7",
        "7° below the positive x-axis",
        "7° clockwise from east",
        "97° clockwise from north",
        "353° counterclockwise from east",
        "south 83 degrees east",
        "353 deg",
        "392 2/9 grad",
        "S 83°00' E",
        "S 83-00-00 E",
        "360 - 7 = 353",
        "7 degrees south of east",
        "83° from south toward east",
    ],
)
def test_many_ways_to_write_one_direction(text: str) -> None:
    assert direction(text).angle == pytest.approx(353.0, abs=1e-9)


def test_an_angle_box_keeps_the_size() -> None:
    (sense,) = read("-59.5°", "angle").senses
    assert isinstance(sense.meaning, Quantity)
    assert sense.meaning.number.value == -59.5
