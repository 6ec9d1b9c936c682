"""Where things go: the frame, the steps of the squared paper, clipping, the width of words, and labels that keep clear."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, box

from grader.reports.drawing.answers import arc_as_asked
from grader.reports.drawing.geometry import Box, Paper, clipped, direction_of, fit, nice_step, polar, ticks
from grader.reports.drawing.labels import Label, Obstacles, around_point, place_labels, text_width, wrapped

coordinates = st.floats(-1000, 1000).map(lambda v: round(v, 3))
points = st.tuples(coordinates, coordinates)


@given(st.lists(points, min_size=1, max_size=8))
def test_a_frame_holds_all_points_with_room_for_their_labels(given_points: list[tuple[float, float]]) -> None:
    paper = Paper()
    frame = fit([(0.0, 0.0), *given_points], paper)
    inner = Box(
        frame.area.left + paper.beside,
        frame.area.top + paper.above,
        frame.area.right - paper.beside,
        frame.area.bottom - paper.above,
    )
    for point in given_points:
        assert inner.grown(0.01).holds(frame.at(point))
        assert frame.back(frame.at(point)) == pytest.approx(point, abs=1e-6 / frame.scale + 1e-6)


def test_a_frame_holds_a_disc_of_the_screen() -> None:
    frame = fit([(0.0, 0.0), (100.0, 5.0)], Paper(), ((0.0, 0.0), 80.0))
    x, y = frame.at((0.0, 0.0))
    assert frame.area.holds((x - 80.0, y - 80.0))
    assert frame.area.holds((x + 80.0, y + 80.0))


@given(st.floats(1e-6, 1e9))
def test_steps_are_one_two_or_five(range_: float) -> None:
    step = nice_step(range_, 6)
    mantissa = step / 10.0 ** math.floor(math.log10(step) + 1e-9)
    assert round(mantissa, 6) in (1.0, 2.0, 5.0)
    assert 2 <= range_ / step <= 6.0001


def test_ticks_are_round_numbers() -> None:
    assert ticks(-0.31, 0.3, 0.1) == (-0.3, -0.2, -0.1, 0.0, 0.1, 0.2, 0.3)


@given(points, points)
def test_clipping_agrees_with_a_geometry_library(a: tuple[float, float], b: tuple[float, float]) -> None:
    # Reference: shapely, a general-purpose geometry library.
    area = Box(-200.0, -150.0, 300.0, 250.0)
    mine = clipped(a, b, area)
    theirs = LineString([a, b]).intersection(box(area.left, area.top, area.right, area.bottom))
    length = math.dist(*mine) if mine else 0.0
    assert length == pytest.approx(theirs.length, abs=1e-6)


@given(points, points, points)
def test_how_much_of_a_line_a_label_covers_agrees_with_a_geometry_library(
    a: tuple[float, float], b: tuple[float, float], center: tuple[float, float]
) -> None:
    # Reference: shapely.
    covered = Obstacles.of([(a, b, 2.0)])
    x, y = center
    cost = covered.cost(np.array([[x - 40.0, y - 10.0, x + 40.0, y + 10.0]]))
    assert cost[0] == pytest.approx(
        2.0 * LineString([a, b]).intersection(box(x - 40, y - 10, x + 40, y + 10)).length, abs=1e-6
    )


def test_directions_turn_the_right_way() -> None:
    assert polar(2.0, 90.0) == (0.0, 2.0)
    assert polar(1.0, -1e-20) == (1.0, 0.0)
    assert direction_of(-1.0, -1.0) == pytest.approx(225.0)


@given(st.floats(0, 359.99), st.sampled_from(["standard position", "quadrant bearing", "true bearing", "from an axis"]))
def test_an_angle_as_asked_ends_in_its_direction(angle: float, form: str) -> None:
    marked = arc_as_asked(angle, form)
    if marked is None:
        return
    start, sweep = marked
    assert abs((start + sweep - angle + 180.0) % 360.0 - 180.0) < 1e-6
    limit = {"standard position": 360.0, "true bearing": 360.0, "quadrant bearing": 90.0, "from an axis": 45.0}[form]
    assert abs(sweep) <= limit + 1e-9
    assert start in {"standard position": (0.0,), "true bearing": (90.0,), "quadrant bearing": (90.0, 270.0)}.get(
        form, (0.0, 90.0, 180.0, 270.0)
    )


@given(st.text(alphabet="abc defg hij", max_size=120), st.integers(40, 200))
def test_wrapped_lines_fit_and_lose_no_word(text: str, width: int) -> None:
    lines = wrapped(text, 12.0, float(width))
    assert all(text_width(line, 12.0) <= width for line in lines)
    if not any("…" in line for line in lines):
        assert " ".join(lines).split() == text.split()


def test_wrapping_stops_at_a_number_of_lines() -> None:
    lines = wrapped("a vector left out of the sum of all the forces on the tug", 12.0, 90.0, 2)
    assert len(lines) == 2
    assert lines[-1].endswith("…")


@given(st.lists(points.map(lambda p: (200 + p[0] / 8, 150 + p[1] / 10)), min_size=1, max_size=12))
def test_labels_never_touch_and_stay_inside(anchors: list[tuple[float, float]]) -> None:
    area = Box(0.0, 0.0, 400.0, 300.0)
    labels = [Label(("some", f"label {k}"), p, around_point(p, 3.0, 50.0, 32.0)) for k, p in enumerate(anchors)]
    placed, left_over = place_labels(labels, Obstacles.of([]), area)
    assert len(placed) + len(left_over) == len(labels)
    for i, one in enumerate(placed):
        assert area.holds((one.box.left, one.box.top))
        assert area.holds((one.box.right, one.box.bottom))
        for other in placed[:i]:
            apart_x = one.box.left >= other.box.right or one.box.right <= other.box.left
            apart_y = one.box.top >= other.box.bottom or one.box.bottom <= other.box.top
            assert apart_x or apart_y


def test_a_label_without_any_room_is_handed_back() -> None:
    wide = Label(("a label far too wide for so small an area",), (10.0, 10.0), ((10.0, 10.0),))
    placed, left_over = place_labels([wide], Obstacles.of([]), Box(0.0, 0.0, 40.0, 40.0))
    assert placed == []
    assert left_over == [wide]


def test_a_label_keeps_off_a_line_when_it_can() -> None:
    line = ((0.0, 50.0), (200.0, 50.0), 2.0)
    label = Label(("word",), (100.0, 50.0), ((100.0, 50.0), (100.0, 30.0)))
    ((placed,), _) = place_labels([label], Obstacles.of([line]), Box(0.0, 0.0, 200.0, 100.0))
    assert placed.box.center == (100.0, 30.0)
