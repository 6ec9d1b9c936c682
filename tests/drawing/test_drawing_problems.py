"""The pictures of problems: every angle as computed, nothing outside, no two labels on each other, nothing given away."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.errors import GraderError
from grader.methods.solve import Solved, solve_problem
from grader.methods.steps import run
from grader.reports.drawing import problem_picture
from tests.drawing.seen import Seen, numbers_in, overlapping, points
from tests.posed import posed, solved

BY_COMPONENTS = {"method": "components"}

PROBLEMS: dict[str, tuple[Solved, Any]] = {
    "parallelogram": (
        solved("resultant", "52.0 kN at 25°; 41.0 kN at 318°", direction_as="standard position", method="parallelogram"),
        (48.6, -18.7),
    ),
    "obtuse": (
        solved("resultant", "200 lb at 22°; 470 lb at 164°", direction_as="standard position"),
        {"magnitude": 639.6, "direction": 48.9},
    ),
    "components": (solved("components", "3.40 knots at 213°", magnitude_to="0.01"), (-1.85, -2.85)),
    "two points": (
        solved("magnitude and direction", "(4.5, -1.5) to (-2.9, 2.6)", direction_as="standard position", unit="km"),
        {"magnitude": 8.46, "direction": 331.0},
    ),
    "three bearings": (
        solved("resultant", "185 N N 42° E; 240 N S 66° E; 140 N S 22° W", direction_as="quadrant bearing", method="components"),
        {"magnitude": 304.2, "direction": 287.2},
    ),
    "equilibrant": (
        solved("equilibrant", "34.0 kN at bearing 073°; 22.5 kN at bearing 155°", direction_as="true bearing", **BY_COMPONENTS),
        {"magnitude": 43.3, "direction": 346.0},
    ),
    "difference": (solved("difference", "45 N at 20°; 30 N at 310°", direction_as="standard position"), (61.6, -7.6)),
    "heading": (
        solved("heading", "air speed 550 km/h; wind 60 km/h from SW; track N", direction_as="true bearing"),
        {"magnitude": 590.0, "direction": 85.0},
    ),
    "current": (
        solved("heading", "water speed 12 kn; current 4 kn toward E; track N 40° E", direction_as="true bearing"),
        {"magnitude": 14.0, "direction": 60.0},
    ),
    "no heading": (solved("heading", "water speed 3 kn; current 4 kn toward E; track N", direction_as="true bearing"), None),
    "ramp": (solved("ramp", "50 lb on 19°"), {"x": 47.3, "y": 16.3}),
    "two triangles": (solved("triangle", "a=12; c=17; A=35°"), {"C": 54.3, "B": 90.7, "b": 20.9}),
    "triangle": (solved("triangle", "a=8 m; b=11 m; C=57°"), {"c": 12.0, "A": 40.0, "B": 83.0}),
    "right triangle": (solved("triangle", "a=3; b=4; c=5"), {"A": 36.9, "B": 53.1, "C": 90.0}),
    "no triangle": (solved("triangle", "a=5; b=12; A=60°"), None),
    "three sides too short": (solved("triangle", "a=5; b=12; c=30"), None),
    "angle between": (solved("angle between", "<6, 5>; -5i - 3j"), {"value": 8.8}),
    "dot product": (solved("dot product", "45 N at 20°; 30 N at 310°"), {"value": 1268.0}),
    "unit vector": (solved("unit vector", "<5, -12>", magnitude_to="0.001"), (0.4, -0.9)),
    "expression": (solved("expression", "v = 18 m/s; t = 2.5 s", formula="v*t"), {"value": 7.2}),
    "four vectors": (
        solved("resultant", "12.0 m, 20° W of N; 20.0 m, 40.0° S of W; 18 m NE; 9 m due south", direction_as="from an axis"),
        {"direction": 200.0},
    ),
    "pairs": (solved("resultant", "(-4.0, 2.9) cm; (5.5, 1.0) cm", answer_as="components"), (9.5, 1.9)),
    "far out": (solved("resultant", "45 N at 20°; 30 N at 310°"), {"magnitude": 3848.0, "direction": 352.97}),
    "length only": (solved("resultant", "45 N at 20°; 30 N at 310°"), {"magnitude": 52.0}),
    "one component": (solved("components", "45 N at 20°"), {"x": 42.3}),
    "nothing": (solved("resultant", "45 N at 20°; 30 N at 310°"), {}),
}  # fmt: skip


def close(a: float, b: float, within: float = 0.4) -> bool:
    return abs((a - b + 180.0) % 360.0 - 180.0) <= within


@pytest.mark.parametrize("shown", [True, False], ids=["right answer shown", "right answer hidden"])
@pytest.mark.parametrize("name", PROBLEMS)
def test_a_picture_keeps_inside_its_edges_and_no_two_texts_touch(name: str, shown: bool) -> None:
    one, student = PROBLEMS[name]
    seen = Seen(problem_picture(one, student=student, show_right=shown).svg)
    left, top, right, bottom = seen.reach()
    assert left >= 0
    assert top >= 0
    assert right <= seen.width
    assert bottom <= seen.height
    assert overlapping(seen.texts()) == []


def test_given_vectors_and_their_angles_are_drawn_as_given() -> None:
    seen = Seen(problem_picture(PROBLEMS["parallelogram"][0], show_right=True).svg)
    assert close(seen.direction("given 1"), 25.0)
    assert close(seen.direction("given 2"), 318.0)
    assert seen.length("given 1") / seen.length("given 2") == pytest.approx(52.0 / 41.0, rel=0.01)
    start, sweep = seen.arc("direction 1")
    assert (round(start) % 360, sweep) == (0, pytest.approx(25.0, abs=0.4))
    start, sweep = seen.arc("direction 2")
    assert (round(start) % 360, sweep) == (0, pytest.approx(318.0, abs=0.4))


def test_bearings_are_marked_from_the_line_they_are_counted_from() -> None:
    seen = Seen(problem_picture(PROBLEMS["three bearings"][0], show_right=True).svg)
    for name, start, sweep in (("1", 90.0, -42.0), ("2", 270.0, 66.0), ("3", 270.0, -22.0)):
        found = seen.arc(f"direction {name}")
        assert found == (pytest.approx(start, abs=0.4), pytest.approx(sweep, abs=0.4))
    seen = Seen(problem_picture(PROBLEMS["equilibrant"][0], show_right=True).svg)
    assert seen.arc("direction 1") == (pytest.approx(90.0, abs=0.4), pytest.approx(-73.0, abs=0.4))
    assert seen.arc("direction right") == (pytest.approx(90.0, abs=0.4), pytest.approx(-284.0, abs=0.4))


def test_tip_to_tail_ends_where_the_resultant_ends() -> None:
    seen = Seen(problem_picture(PROBLEMS["three bearings"][0], show_right=True, method="components").svg)
    for k in (1, 2):
        assert seen.arrow(f"given {k}")[1] == pytest.approx(seen.arrow(f"given {k + 1}")[0], abs=0.1)
    assert seen.arrow("given 3")[1] == pytest.approx(seen.arrow("right")[1], abs=0.1)


def test_the_parallelogram_closes_at_the_resultant() -> None:
    seen = Seen(problem_picture(PROBLEMS["parallelogram"][0], show_right=True).svg)
    for side in ("side 1", "side 2"):
        (element,) = seen.named(side)
        assert points(element.attrib["d"])[-1] == pytest.approx(seen.arrow("right")[1], abs=0.2)


def test_a_wind_triangle_closes_on_the_track() -> None:
    one = PROBLEMS["current"][0]
    seen = Seen(problem_picture(one, show_right=True).svg)
    assert seen.arrow("right")[1] == pytest.approx(seen.arrow("flow")[0], abs=0.1)
    assert seen.arrow("flow")[1] == pytest.approx(seen.arrow("ground")[1], abs=0.1)
    assert close(seen.direction("ground"), 50.0)
    assert close(seen.direction("right"), one.solution.part("direction").value)


def test_a_students_heading_shows_where_it_leads() -> None:
    one, student = PROBLEMS["heading"]
    seen = Seen(problem_picture(one, student=student).svg)
    assert close(seen.direction("yours"), 85.0)
    assert seen.arrow("flow from yours")[0] == pytest.approx(seen.arrow("yours")[1], abs=0.1)
    assert close(seen.direction("flow from yours"), 45.0)


@pytest.mark.parametrize("name", ["two triangles", "triangle", "right triangle"])
def test_triangles_have_the_computed_angles(name: str) -> None:
    one = PROBLEMS[name][0]
    seen = Seen(problem_picture(one, show_right=True).svg)
    quantities = run(one.methods[0]).quantities
    for corner in "ABC":
        angle = float(quantities[corner])  # type: ignore[arg-type]
        if abs(angle - 90.0) < 1e-6:
            (element,) = seen.named(f"angle {corner}")
            assert element.attrib["d"].count("L") == 2, "a right angle is marked by a square"
        else:
            assert abs(seen.arc(f"angle {corner}")[1]) == pytest.approx(angle, abs=0.8)


def test_the_ramp_and_the_parts_of_the_weight() -> None:
    seen = Seen(problem_picture(PROBLEMS["ramp"][0], show_right=True).svg)
    assert seen.arc("direction incline")[1] == pytest.approx(19.0, abs=0.4)
    assert close(seen.direction("given 1"), 270.0)
    assert close(seen.direction("right x"), 199.0)
    assert close(seen.direction("right y"), 289.0)
    assert seen.length("right x") / seen.length("given 1") == pytest.approx(math.sin(math.radians(19)), abs=0.01)


def test_the_angle_between_is_drawn_the_short_way_round() -> None:
    one = solved("angle between", "10 N at 350°; 5 N at 20°")
    assert Seen(problem_picture(one, show_right=True).svg).arc("between") == (
        pytest.approx(350.0, abs=0.4),
        pytest.approx(30.0, abs=0.4),
    )


def test_a_vector_too_long_for_the_picture_is_cut_and_said_to_go_on() -> None:
    one, student = PROBLEMS["far out"]
    picture = problem_picture(one, student=student)
    seen = Seen(picture.svg)
    assert close(seen.direction("yours"), 352.97)
    assert "(goes on)" in [text.text for text in seen.texts()]


def test_half_an_answer_is_drawn_as_a_ray_or_a_circle() -> None:
    one, student = PROBLEMS["four vectors"]
    assert Seen(problem_picture(one, student=student).svg).named("yours ray")
    one, student = PROBLEMS["length only"]
    assert Seen(problem_picture(one, student=student).svg).named("yours circle")


@pytest.mark.parametrize("name", PROBLEMS)
def test_the_text_says_the_numbers_of_the_picture(name: str) -> None:
    one, student = PROBLEMS[name]
    picture = problem_picture(one, student=student, show_right=True)
    for key in one.solution.parts:
        if math.isfinite(key.value):
            assert numbers_in(key.shown) <= numbers_in(picture.text), key.part
    seen = Seen(picture.svg)
    (described,) = (element.text for element in seen.root if element.tag.endswith("desc"))
    assert described == picture.text
    if student and not isinstance(student, tuple):
        for part, value in student.items():
            if part != "direction":
                assert f"{value:g}" in numbers_in(picture.text)


@pytest.mark.parametrize("name", [name for name, (one, _) in PROBLEMS.items() if not one.solution.none])
def test_the_right_answer_is_nowhere_unless_it_may_be_shown(name: str) -> None:
    one, _ = PROBLEMS[name]
    hidden = problem_picture(one, show_right=False)
    given_numbers = numbers_in(one.problem.given_text)
    for key in one.solution.parts:
        for number in numbers_in(key.shown) - given_numbers:
            assert number not in numbers_in(hidden.text)
            assert not any(number in numbers_in(t.text) for t in Seen(hidden.svg).texts() if "t-scale" not in t.kind)
    seen = Seen(hidden.svg)
    assert not [e for e in seen.root.iter() if (e.get("data-of") or "").startswith("right")]
    assert not [e for e in seen.root.iter() if (e.get("class") or "").startswith("right")]


def test_an_impossible_triangle_is_not_given_away_either() -> None:
    hidden = problem_picture(PROBLEMS["no triangle"][0], show_right=False)
    assert "no triangle" not in hidden.svg.lower()
    assert "not to scale" in hidden.text


def test_the_same_problem_gives_the_same_picture() -> None:
    for one, student in PROBLEMS.values():
        assert problem_picture(one, student=student, show_right=True) == problem_picture(
            one, student=student, show_right=True
        )


HOSTILE = '1"><script>alert(1)</script>\u202e&\x00\ud800'


def test_hostile_labels_are_text_and_nothing_else() -> None:
    one = solve_problem(posed("resultant", "45 N at 20°; 30 N at 310°", label=HOSTILE))
    svg = problem_picture(one, student=(1.0, 2.0), show_right=True).svg
    seen = Seen(svg)
    assert {element.tag.partition("}")[2] for element in seen.root.iter()} <= {
        "svg", "title", "desc", "style", "rect", "path", "circle", "text", "g",
    }  # fmt: skip
    assert "<script" not in svg
    assert "\u202e" not in svg
    svg.encode("utf-8")


def test_a_picture_has_no_script_and_fetches_nothing() -> None:
    svg = problem_picture(PROBLEMS["parallelogram"][0], show_right=True).svg
    for word in ("<script", "href", "url(", "@import", "onload", "id="):
        assert word not in svg


directions = st.integers(0, 359).map(lambda d: f"{d}°")
sizes = st.integers(5, 400).map(lambda m: f"{m / 10:.1f} kN")
vectors = st.tuples(sizes, directions).map(" at ".join)
bearings = st.tuples(sizes, st.sampled_from("NS"), st.integers(1, 89), st.sampled_from("EW")).map(
    lambda v: f"{v[0]}, {v[1]} {v[2]}° {v[3]}"
)
answers = st.one_of(
    st.none(),
    st.fixed_dictionaries({"magnitude": st.floats(0.1, 900), "direction": st.floats(0, 359.9)}),
    st.fixed_dictionaries({"direction": st.floats(0, 359.9)}),
    st.fixed_dictionaries({"magnitude": st.floats(0.1, 900)}),
)


@settings(max_examples=150, deadline=None)
@given(
    st.one_of(st.lists(vectors, min_size=2, max_size=4), st.lists(bearings, min_size=2, max_size=4)),
    st.sampled_from(["resultant", "equilibrant", "difference"]),
    st.sampled_from(["standard position", "quadrant bearing", "true bearing", "from an axis"]),
    st.sampled_from(["", "parallelogram", "components"]),
    answers,
    st.booleans(),
)
def test_any_sum_of_vectors_is_drawn_truly_and_readably(
    given_vectors: list[str], find: str, form: str, method: str, student: Any, shown: bool
) -> None:
    try:
        one = solved(find, "; ".join(given_vectors), direction_as=form)
    except GraderError:  # they cancel: there is no such problem to draw
        return
    if student:
        student = {part: round(value, 1) for part, value in student.items()}
    seen = Seen(problem_picture(one, student=student, show_right=shown, method=method).svg)
    left, top, right, bottom = seen.reach()
    assert min(left, top) >= 0
    assert right <= seen.width
    assert bottom <= seen.height
    assert overlapping(seen.texts()) == []
    if shown and seen.length("right") > 12:
        within = 0.4 + math.degrees(0.02 / seen.length("right"))
        assert close(seen.direction("right"), one.solution.part("direction").value, within)


@settings(max_examples=100, deadline=None)
@given(
    st.integers(3, 60), st.integers(3, 60), st.integers(5, 170),
    st.sampled_from(["a={};b={};C={}°", "a={};c={};A={}°", "b={};c={};C={}°"]), st.booleans(),
)  # fmt: skip
def test_any_triangle_is_drawn_readably(first: int, second: int, angle: int, form: str, shown: bool) -> None:
    one = solved("triangle", form.format(first, second, angle).replace(";", "; "))
    student = {key.part: round(key.value * 1.2, 1) for key in one.solution.parts if key.part in "abcABC"}
    seen = Seen(problem_picture(one, student=student, show_right=shown).svg)
    left, top, right, bottom = seen.reach()
    assert min(left, top) >= 0
    assert right <= seen.width
    assert bottom <= seen.height
    assert overlapping(seen.texts()) == []


@settings(max_examples=80, deadline=None)
@given(
    st.integers(20, 600),
    st.integers(1, 120),
    st.integers(0, 359),
    st.integers(0, 359),
    st.booleans(),
    st.integers(0, 359),
)
def test_any_course_is_drawn_readably(speed: int, flow: int, way: int, track: int, shown: bool, steered: int) -> None:
    text = f"air speed {speed} km/h; wind {flow} km/h from bearing {way}°; track bearing {track}°"
    one = solved("heading", text, direction_as="true bearing")
    seen = Seen(problem_picture(one, student={"direction": float(steered), "magnitude": 100.0}, show_right=shown).svg)
    left, top, right, bottom = seen.reach()
    assert min(left, top) >= 0
    assert right <= seen.width
    assert bottom <= seen.height
    assert overlapping(seen.texts()) == []
    if shown and not one.solution.none:
        assert close(seen.direction("ground"), (90 - track) % 360, 1.0)


@pytest.mark.parametrize("name", ["parallelogram", "three bearings", "current"])
def test_the_unit_of_the_axes_is_not_taken_for_a_point_of_the_compass(name: str) -> None:
    one, _ = PROBLEMS[name]
    assert one.unit is not None
    texts = [each.text for each in Seen(problem_picture(one).svg).texts()]
    assert f"in {one.unit.symbol}" in texts
    assert texts.count("N") == (1 if name != "parallelogram" else 0)


def test_the_parts_of_a_ramp_are_called_by_name() -> None:
    one, _ = PROBLEMS["ramp"]
    picture = problem_picture(one, student={"x": 47.3, "y": 16.3})
    assert "along the ramp 47.3 lb, into the ramp 16.3 lb" in picture.svg
    assert "x =" not in picture.svg
