"""The column Given: every published problem is read, and what is wrong in one is named."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from grader.errors import NotationError
from grader.notation.given import (
    GivenExpression,
    GivenHeading,
    GivenRamp,
    GivenTriangle,
    GivenVectors,
    read_given,
)

# The data of worked examples and exercises of OpenStax College Physics 2e, Precalculus 2e and University Physics
# Volume 1 (CC BY 4.0), written as the column Given holds them.
PUBLISHED = list(csv.DictReader((Path(__file__).parent / "published_given.csv").open(encoding="utf-8")))


@pytest.mark.parametrize("row", PUBLISHED, ids=[row["id"] for row in PUBLISHED])
def test_published_problems_are_read(row: dict[str, str]) -> None:
    given = read_given(row["find"], row["given"])
    kinds = {"triangle": GivenTriangle, "heading": GivenHeading, "ramp": GivenRamp, "expression": GivenExpression}
    assert isinstance(given, kinds.get(row["find"], GivenVectors))
    if isinstance(given, GivenVectors):
        assert len(given.vectors) == len(row["given"].split(";"))
        for vector in given.vectors:
            assert (vector.magnitude is None) == (vector.direction is None)
            assert (vector.x is None) == (vector.y is None) == (vector.magnitude is not None)


def test_vectors() -> None:
    given = read_given(
        "resultant",
        "45 N at 20°; 12.0 m, 20° W of N; 45 N S 40° E; 200 km/h, 40° E of S; 18 m W; "
        "(-4.0, 2.9) cm; -5i - 3j; (-8, 1) to (-2, -5) m; 6i; 62.0∠-7°",
    )
    assert isinstance(given, GivenVectors)
    angles = [vector.direction.angle for vector in given.vectors if vector.direction]
    assert angles == [20.0, 110.0, 310.0, 310.0, 180.0, 353.0]
    components = [(vector.x.number.value, vector.y.number.value) for vector in given.vectors if vector.x and vector.y]
    assert components == [(-4.0, 2.9), (-5.0, -3.0), (6.0, -6.0), (6.0, 0.0)]
    points = given.vectors[7]
    assert (points.tail, points.head) == ((-8.0, 1.0), (-2.0, -5.0))
    assert points.x is not None
    assert points.x.unit is not None
    assert points.x.unit.symbol == "m"


def test_headings() -> None:
    plane = read_given("heading", "air speed 550 km/h; wind 60 km/h from SW; track N")
    assert isinstance(plane, GivenHeading)
    assert (plane.medium, plane.flow_from, plane.flow_direction.angle, plane.track.angle) == ("air", True, 225.0, 90.0)
    boat = read_given("heading", "water speed 6 kn; current 2 kn toward E; track N 30° E")
    assert isinstance(boat, GivenHeading)
    assert (boat.medium, boat.flow_from, boat.flow_direction.angle, boat.track.angle) == ("water", False, 0.0, 60.0)
    assert (boat.speed.number.value, boat.flow.number.value) == (6.0, 2.0)
    swapped = read_given("Heading", "track: bearing 045°; current: 2 kn setting 090; boat speed = 6 kn")
    assert isinstance(swapped, GivenHeading)
    assert (swapped.flow_direction.angle, swapped.track.angle) == (0.0, 45.0)


def test_other_kinds() -> None:
    triangle = read_given("triangle", "α=35°; C=73; c=20")
    assert isinstance(triangle, GivenTriangle)
    assert {name: part.number.value for name, part in triangle.parts.items()} == {"A": 35.0, "C": 73.0, "c": 20.0}
    assert all(
        part.unit is not None and part.unit.symbol == "deg" for name, part in triangle.parts.items() if name.isupper()
    )
    ramp = read_given("ramp", "50 lb on 19°")
    assert isinstance(ramp, GivenRamp)
    assert (ramp.weight.number.value, ramp.incline) == (50.0, 19.0)
    expression = read_given("expression", "v = 18 m/s; t = 2.5 s; θ = 30°; n = 3")
    assert isinstance(expression, GivenExpression)
    assert {
        name: (value.number.value, value.unit.symbol if value.unit else None)
        for name, value in expression.values.items()
    } == {"v": (18.0, "m/s"), "t": (2.5, "s"), "θ": (30.0, "deg"), "n": (3.0, None)}


@pytest.mark.parametrize(
    ("find", "text"),
    [
        ("triangle", "a=12; c=17; A=35°"),
        ("heading", "air speed 550 km/h; wind 60 km/h from SW; track N"),
        ("ramp", "50 lb on 19°"),
        ("expression", "v = 18 m/s; t = 2.5 s"),
        ("angle between", "3i; 4j"),
    ],
)
def test_the_data_may_begin_with_what_is_asked(find: str, text: str) -> None:
    for before in (f"{find}: ", f"{find.title()} :", f" {find}:\n"):
        assert read_given(find, before + text) == read_given(find, text)
    with pytest.raises(NotationError):
        read_given("triangle" if find == "ramp" else "ramp", f"{find}: {text}")


@pytest.mark.parametrize(
    ("find", "text", "said"),
    [
        ("resultant", "", "is empty"),
        ("resultant", "45 N at 20°; 30 furlongs", "“30 furlongs” cannot be read"),
        (
            "resultant",
            "45 N at 20°; 30 N",
            "“30 N” cannot be read: it is not a whole vector; expected a vector such as",
        ),
        ("resultant", "74° SE", "more than one way"),
        ("resultant", "(1, 2) to (x, y)", "expected a point such as (-8, 1)"),
        ("triangle", "a=12; c=17", "2 parts are given; expected three"),
        ("triangle", "A=35°; B=45°; C=100°", "at least one side"),
        ("triangle", "a=12; c=17; A=195°", "between 0° and 180°"),
        ("triangle", "a=12; a=17; A=35°", "given twice"),
        ("triangle", "a=-12; c=17; A=35°", "longer than zero"),
        ("triangle", "q=12; c=17; A=35°", "“q=12” cannot be read"),
        ("heading", "air speed 550 km/h; wind 60 km/h; track N", "expected a speed and a direction"),
        ("heading", "air speed 550 km/h; track N", "2 parts are given; expected three"),
        (
            "heading",
            "air speed 200 km/h; wind 20 km/h from 045°; track 100°",
            "bearing 100° (clockwise from north) or 100° counterclockwise from east",
        ),
        ("resultant", "5 N at 045°; 5 N at 100°", "100° may be one or may be counted from east"),
        ("ramp", "50 lb", "expected a weight and an incline"),
        ("ramp", "50 lb on 95°", "between 0° and 90°"),
        ("expression", "v 18", "expected a name and a value"),
        ("expression", "v = fast", "expected a number after v ="),
    ],
)
def test_errors_name_the_piece_and_what_is_expected(find: str, text: str, said: str) -> None:
    with pytest.raises(NotationError) as error:
        read_given(find, text)
    assert said in str(error.value)


@pytest.mark.parametrize(
    ("text", "direction_as"),
    [
        ("12.4 km 062; 8.7 km 155", "any"),
        ("12.4 km 155", "quadrant bearing"),
        ("12.4 km 62; 8.7 km 155", "true bearing"),
        ("12.4 km 062; 8.7 km at 155", "true bearing"),
        ("12.4 km, 155; 8.7 km at 341", "true bearing"),
        ("12.4, 155; 8.7, 341", "true bearing"),
        ("12.4 062", "any"),
        ("062, 12.4 km", "any"),
        ("5 km 30", "standard position"),
        ("45 N at bearing 140°; 30 N at 310°", "any"),
        ("45 N at 120°T; 30 N at 310°", "any"),
    ],
)
def test_a_vector_that_can_be_read_in_two_ways_is_refused(text: str, direction_as: str) -> None:
    """A wrong key judges the whole class, so that no reading is taken where a bearing, an angle or a component may be meant."""
    with pytest.raises(NotationError, match="expected"):
        read_given("resultant", text, direction_as)


def test_three_digits_behind_a_length_are_a_bearing_among_bearings() -> None:
    given = read_given("resultant", "12.4 km 062; 8.7 km 155; 15.2 km 341", "true bearing")
    assert isinstance(given, GivenVectors)
    assert [vector.direction.angle for vector in given.vectors if vector.direction] == [28.0, 295.0, 109.0]
    for pair in ("(12.4, 155) km", "<12, 34>", "3 km, 155 km", "6i - 200j"):
        plain = read_given("resultant", pair, "true bearing")
        assert isinstance(plain, GivenVectors)
        assert plain.vectors[0].direction is None


@pytest.mark.parametrize(
    ("wind", "course", "direction_as"),
    [
        ("from 310", "course 075", "any"),
        ("from 310°", "course 075°", "true bearing"),
        ("from bearing 310", "track 120", "any"),
        ("from 310", "track 120", "true bearing"),
        ("from 310°", "track 75°", "true bearing"),
        ("from SW", "track 120°", "true bearing"),
    ],
)
def test_a_heading_whose_angles_may_be_counted_two_ways_is_refused(wind: str, course: str, direction_as: str) -> None:
    with pytest.raises(
        NotationError, match=r"bearing 100° \(clockwise from north\) or 100° counterclockwise from east"
    ):
        read_given("heading", f"air speed 42 km/h; wind 13 km/h {wind}; {course}", direction_as)


def test_a_heading_that_says_how_its_angles_are_counted_is_read() -> None:
    text = "air speed 42 km/h; wind 13 km/h from {}; track {}"
    for wind, track in (
        ("bearing 310", "bearing 120"),
        ("310T", "120T"),
        ("140° counterclockwise from east", "bearing 120"),
    ):
        course = read_given("heading", text.format(wind, track), "true bearing")
        assert isinstance(course, GivenHeading)
        assert (course.flow_direction.angle, course.track.angle) == (140.0, 330.0)
