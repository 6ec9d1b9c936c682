"""What a student's other problems say about one of them: which name comes first, and whether to name a mistake at all."""

from __future__ import annotations

import warnings

import pandas as pd
import pytest

from grader.homework import mark_class
from grader.marking.definitions import Rubric
from grader.marking.judge import mark_answer
from tests.posed import handed_in, posed, ready

SHEET = Rubric(
    (
        posed(
            "resultant", "73.5 N at 25°; 48.0 N at 140°", unit="N", direction_as="standard position", direction_to="1"
        ),
        posed(
            "resultant",
            "12.4 km bearing 062°; 8.7 km bearing 155°; 15.2 km bearing 341°",
            label="2",
            unit="km",
            direction_as="true bearing",
            direction_to="1",
        ),
        posed("components", "64.0 m/s at 218°", label="3", unit="m/s"),
        posed("dot product", "64 N at 20°; 7.5 m at 75°", label="4", unit="J", magnitude_to="1"),
        posed("triangle", "a=14.0 cm; b=19.0 cm; A=40°", label="5", unit="cm", direction_to="1"),
    )
)


def _marked(**answers: str) -> pd.DataFrame:
    """The marks of one student, whose answers are given by problem (``p1``)."""
    rows = [
        {"student_id": "s1", "problem": label[1:], "written": (("whole", text),)} for label, text in answers.items()
    ]
    return mark_class(SHEET, pd.DataFrame(rows)).set_index(["problem", "part"])


def test_who_swaps_sine_and_cosine_elsewhere_is_told_that_here() -> None:
    marks = _marked(p2="15.7 km, bearing 052°", p3="x = -39.4 m/s, y = -50.4 m/s", p4="393 J")
    direction = marks.loc["2", "direction"]
    assert direction["mistake"].startswith("sine-cosine-swapped / ")
    assert "sine and cosine" in direction["feedback"]
    alone = _marked(p2="15.7 km, bearing 052°").loc["2", "direction"]
    assert alone["mistake"].startswith("bearing-as-standard-angle / ")


def test_between_equal_names_the_own_work_goes_before_what_the_class_does() -> None:
    """Five swap sine and cosine everywhere. One has that right, and reads bearings as standard angles."""
    swapped = {"2": "15.7 km, bearing 052°", "3": "x = -39.4 m/s, y = -50.4 m/s", "4": "393 J"}
    one = {"1": "121.5 N at 64°", "2": "15.7 km, bearing 052°", "3": "x = -50.4 m/s, y = -39.4 m/s", "4": "275 J"}
    rows = [
        {"student_id": student, "problem": problem, "written": (("whole", text),)}
        for student, answers in (*((f"s{i}", swapped) for i in range(5)), ("t", one))
        for problem, text in answers.items()
    ]
    marks = mark_class(SHEET, pd.DataFrame(rows)).set_index(["student_id", "problem", "part"])["mistake"]
    assert marks["s0", "2", "direction"].startswith("sine-cosine-swapped / ")
    assert marks["t", "2", "direction"].startswith("bearing-as-standard-angle / ")


def test_who_puts_directions_into_the_wrong_quadrant_elsewhere_is_told_that_here() -> None:
    direction = _marked(p1="68.7 N at -64°", p2="15.7 km, bearing 142°").loc["2", "direction"]
    assert direction["mistake"].startswith("wrong-quadrant")
    assert "quadrant" in direction["feedback"]


def test_numbers_of_a_student_whom_nothing_explains_are_explained_less_readily() -> None:
    """16.5 km for 15.7 km, beside the right direction, may be a supplement not taken, or chance; 14.8 km at 214° two mistakes."""
    rest = {"p1": "92.8 N, 84°", "p3": "x = -0.6 m/s, y = -52.9 m/s", "p4": "652 J", "p5": "c=6.0, B=44, C=84"}
    for written in ("16.5 km, bearing 038°", "14.8 km, bearing 214°"):
        alone = _marked(p2=written).loc["2", "magnitude"]
        among = _marked(p2=written, **rest).loc["2", "magnitude"]
        assert alone["mistake_chance"] > 0.75
        assert among["mistake"] == "" or among["mistake_chance"] < alone["mistake_chance"] - 0.1
    assert _marked(p2="16.5 km, bearing 038°", **rest).loc["2", "magnitude"]["mistake"] == ""


def test_who_rounds_early_elsewhere_did_so_here_rather_than_cut_off() -> None:
    alone = _marked(p2="15.6 km, bearing 038°", p4="275 J").loc["2", "magnitude"]
    rest = {"p1": "68.5 N, 64°", "p3": "x = -50.6 m/s, y = -39.7 m/s", "p4": "274 J"}
    among = _marked(p2="15.6 km, bearing 038°", **rest).loc["2", "magnitude"]
    assert among["verdict"] == "rounded early"
    assert alone["verdict"] in ("rounded early", "wrong")


def test_a_calculator_in_radians_can_say_that_there_is_no_triangle() -> None:
    """19 · sin(40 rad) / 14 = 1.01: the calculator shows an error."""
    marks = handed_in(ready(SHEET.problem("5")), "no triangle")
    assert {mark.mistake for mark in marks.values()} == {"radian-mode"}
    assert "larger than 1" in marks["B"].feedback
    # 17 · sin(35 rad) / 12 = −0.61 stops nobody.
    marks = handed_in(ready(posed("triangle", "a=12; b=17; A=35°")), "no triangle")
    assert {mark.mistake for mark in marks.values()} == {""}


@pytest.mark.parametrize("written", ["5", "1e308", "1e-320", "9" * 400])
def test_no_answer_makes_the_arithmetic_overflow(written: str) -> None:
    """An angle of 0.49° that rounds to 0° under a fraction bar once made a room without end."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for problem in SHEET.problems:
            prepared = ready(problem)
            parts = [key.part for key in prepared.solved.solution.parts]
            mark_answer(prepared, tuple((part, written) for part in parts))


def test_a_degree_that_ends_in_a_zero_is_a_degree() -> None:
    """S 70° E is given and copied; S 65° W is asked. That the number is right and the letters wrong is not said."""
    problem = posed(
        "equilibrant", "120 lb N 35° E; 85 lb S 70° E", unit="lb", direction_as="quadrant bearing", direction_to="1"
    )
    marks = handed_in(ready(problem), {"magnitude": "205 lb", "direction": "S 70° E"})
    assert "answer-letters-wrong" not in marks["direction"].mistake
    # Sides and angles that are near a mistake's only when rounded to tens and hundreds: 9.7, 28 and 112.
    marks = handed_in(ready(SHEET.problem("5")), "c = 9.6 cm, B = 30°, C = 100°")
    assert {mark.mistake for mark in marks.values()} == {""}
