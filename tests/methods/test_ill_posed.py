"""Problems without an answer of the kind asked: one clear sentence each, and no number."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.errors import GraderError, NotationError, ProblemError
from tests.posed import handed_in, posed, ready, solved

SENTENCES = [
    ("resultant", "10 N E", "at least two vectors; found 1 vector"),
    ("equilibrant", "10 N E", "at least two vectors; found 1 vector"),
    ("difference", "10 N E", "at least two vectors; found 1 vector"),
    ("angle between", "<1, 2>", "needs 2 vectors; found 1 vector"),
    ("dot product", "<1, 2>; <3, 4>; <5, 6>", "needs 2 vectors; found 3 vectors"),
    ("unit vector", "10 N E; 5 N N", "needs 1 vector; found 2 vectors"),
    ("components", "10 N E; 5 N N", "needs 1 vector; found 2 vectors"),
    ("resultant", "10 N E; 0 N W", "vector 2 (“0 N W”) has no length"),
    ("resultant", "<0, 0>; <1, 2>", "vector 1 (“<0, 0>”) has no length"),
    ("unit vector", "<0, 0>", "has no length"),
    ("angle between", "10 N E; 0 N N", "has no length"),
    ("magnitude and direction", "(2, 3) to (2, 3)", "has no length"),
    ("resultant", "10 N E; 10 N W", "the resultant is zero and has no direction"),
    ("resultant", "<3, 4>; <-3, -4>", "the resultant is zero and has no direction"),
    ("equilibrant", "10 N at 0°; 10 N at 120°; 10 N at 240°", "the equilibrant is zero and has no direction"),
    ("difference", "10 N at 30°; 10 N at 30°", "the difference is zero and has no direction"),
    ("components", "<3, 4>", "already given by components"),
    ("magnitude and direction", "10 N at 30°", "already given by magnitude and direction"),
    ("triangle", "A=100°; B=80°; c=5", "add up to 180°; in a triangle they stay below 180°"),
    ("triangle", "A=100°; B=90°; c=5", "add up to 190°; in a triangle they stay below 180°"),
    ("heading", "water speed 0 km/h; current 5 km/h toward S; track N", "expected a speed above zero"),
    ("heading", "water speed 5 km/h; current -5 km/h toward S; track N", "expected zero or more"),
]


@pytest.mark.parametrize(("find", "given_text", "says"), SENTENCES)
def test_one_clear_sentence(find: str, given_text: str, says: str) -> None:
    with pytest.raises(ProblemError) as raised:
        solved(find, given_text)
    sentence = str(raised.value)
    assert says in sentence
    assert "\n" not in sentence
    assert sentence.endswith(".")


@pytest.mark.parametrize(
    ("find", "given_text", "says"),
    [
        ("triangle", "A=50°; B=60°; C=70°", "at least one side"),
        ("triangle", "a=1; b=2", "expected three"),
        ("triangle", "a=0; b=2; c=2", "longer than zero"),
        ("triangle", "A=180°; b=2; c=2", "between 0° and 180°"),
        ("ramp", "50 lb on 95°", "between 0° and 90°"),
        ("resultant", "10 N E; 5 m W", "a length cannot be written in N"),
    ],
)
def test_data_of_another_kind_are_refused_as_written(find: str, given_text: str, says: str) -> None:
    with pytest.raises(NotationError, match=says):
        solved(find, given_text)


NO_ANSWER = [
    ("triangle", "a=1; b=2; c=4", "no triangle: c = 4 is not shorter than a + b = 3"),
    ("triangle", "a=1; b=2; c=3", "no triangle: c = 3 is not shorter than a + b = 3"),
    ("triangle", "a=5; b=8; A=60°", "no triangle: sin B = 8 · sin 60° / 5 = 1.3856, more than 1"),
    ("triangle", "a=5; b=8; A=100°", "no triangle: sin B = "),
    ("triangle", "a=8; b=8; A=95°", "no triangle: B and A would add up to "),
    (
        "heading",
        "air speed 50 km/h; wind 60 km/h from W; track N",
        "cannot hold that track: the wind pushes across it at 60",
    ),
    ("heading", "air speed 50 km/h; wind 60 km/h from N; track N", "cannot hold that track: the wind against it"),
    (
        "heading",
        "water speed 5 km/h; current 5 km/h toward S; track N",
        "cannot hold that track: the current against it",
    ),
]


@pytest.mark.parametrize(("find", "given_text", "says"), NO_ANSWER)
def test_the_answer_is_that_there_is_none(find: str, given_text: str, says: str) -> None:
    problem = ready(posed(find, given_text, points=(4.0,)))
    solution = problem.solved.solution
    assert solution.none.startswith(says)
    (key,) = solution.parts
    assert (key.part, key.points) == ("value", 4.0)
    assert math.isnan(key.value)
    (right,) = handed_in(problem, says.partition(":")[0]).values()
    assert (right.verdict, right.points) == ("right", 4.0)
    (wrong,) = handed_in(problem, "12.3").values()
    assert (wrong.verdict, wrong.points) == ("wrong", 0.0)
    (blank,) = handed_in(problem, "").values()
    assert blank.verdict == "blank"


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 999), st.integers(0, 359)), min_size=1, max_size=4))
def test_vectors_that_cancel_have_no_direction(vectors: list[tuple[int, int]]) -> None:
    """Any vectors with their opposites after them: the triangles never close on the way, and close at the end."""
    there = [f"{length} N at {angle}°" for length, angle in vectors]
    back = [f"{length} N at {(angle + 180) % 360}°" for length, angle in vectors]
    with pytest.raises(ProblemError, match="the vectors cancel"):
        solved("resultant", "; ".join(there + back))


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 300), st.integers(1, 300), st.integers(1, 300))
def test_sides_make_a_triangle_exactly_when_each_is_shorter_than_the_others_together(a: int, b: int, c: int) -> None:
    solution = solved("triangle", f"a={a}; b={b}; c={c}").solution
    closes = max(a, b, c) < a + b + c - max(a, b, c)
    assert bool(solution.none) is not closes
    assert len(solution.parts) == (3 if closes else 1)


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 60), st.integers(0, 120), st.integers(0, 359), st.integers(0, 359))
def test_a_track_is_held_or_the_reason_is_said(speed: int, wind: int, toward: int, track: int) -> None:
    """It is held when the flow across is slower than the craft and the sum along the track is forward."""
    turn = math.radians(toward - track)
    across, along = wind * abs(math.sin(turn)), wind * math.cos(turn)
    forward = along + math.sqrt(max(0.0, speed**2 - across**2))
    if abs(across - speed) < 1e-6 or abs(forward) < 1e-6:
        return
    given_text = (
        f"water speed {speed} km/h; current {wind} km/h toward bearing {toward:03d}°; track bearing {track:03d}°"
    )
    solution = solved("heading", given_text).solution
    assert bool(solution.none) is not (across < speed and forward > 0)


def test_a_formula_without_a_value_is_a_problem_of_the_teacher() -> None:
    with pytest.raises(GraderError, match="check the numbers"):
        solved("expression", "v=3; t=0", formula="v/t")
