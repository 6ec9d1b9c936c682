"""Which box says what: sides as signs, two answers where two triangles fit, words that say that nothing is answered.

A harbour's numbers: a buoy 310 m from the pier on bearing 214° lies 310 sin 214° = −173.35 m east and 310 cos 214° =
−257.00 m north of it; the triangle a = 18 m, b = 24 m, A = 42° is solved twice (B = 63.15° or 116.85°, by the law of sines).
"""

from __future__ import annotations

import pytest

from grader.marking.definitions import Settings
from tests.posed import handed_in, posed, ready

BUOY = ready(posed("components", "310 m, bearing 214°", unit="m"))
TWO = ready(posed("triangle", "a=18; b=24; A=42°", unit="m"))
FORCES = ready(posed("resultant", "36.0 kN at 72°; 51.0 kN at 195°", unit="kN", direction_to="1"))


@pytest.mark.parametrize(
    ("x", "y", "expected"),
    [
        ("173.3 m W", "257.0 m S", ("right", "right")),
        ("173.3 m west", "257.0 m south", ("right", "right")),
        ("173.3 m left", "257.0 m down", ("right", "right")),
        ("173.3 m to the west", "257.0 m to the south", ("right", "right")),
        ("W 173.3 m", "S 257.0 m", ("right", "right")),
        ("173.3 W", "257.0 S", ("right, other form", "right, other form")),  # without a unit
        ("173.3 m W", "", ("right", "blank")),
        ("173.3 m W", "-257.0 m", ("right", "right")),
        ("173.3 m E", "257.0 m S", ("wrong", "right")),
        ("173.3 m N", "257.0 m W", ("needs a look", "needs a look")),  # the sides of the other axis
        ("-173.3 m W", "-257.0 m", ("needs a look", "right")),  # a sign and a side: one of them, or both
        ("-173.3 m W", "257.0 m S", ("needs a look", "right")),
    ],
)
def test_a_side_is_the_sign_of_a_component(x: str, y: str, expected: tuple[str, str]) -> None:
    found = handed_in(BUOY, {"x": x, "y": y})
    assert tuple(mark.verdict for mark in found.values()) == expected


def test_a_north_that_may_be_newtons_is_for_the_teacher() -> None:
    ahead = ready(posed("components", "310 m, bearing 034°", unit="m"))
    assert handed_in(ahead, {"x": "173.3 m E", "y": "257.0 N"})["y"].verdict == "needs a look"
    assert handed_in(ahead, {"x": "173.3 m E", "y": "257.0 m N"})["y"].verdict == "right"
    pull = ready(posed("components", "310 N at 56°", unit="N"))
    assert handed_in(pull, {"x": "173.3 N", "y": "257.0 N"})["y"].verdict == "right"


def test_a_box_with_words_of_its_own_is_not_filled_from_another() -> None:
    found = handed_in(FORCES, {"magnitude": "43.6 kN at 151°", "direction": "over there"})
    assert [mark.verdict for mark in found.values()] == ["right", "needs a look"]
    found = handed_in(FORCES, {"magnitude": "43.6 kN at 151°", "direction": ""})
    assert [mark.verdict for mark in found.values()] == ["right", "right"]


@pytest.mark.parametrize(
    ("c", "B", "C", "expected"),
    [
        ("26.0 m or 9.7 m", "63.1° or 116.9°", "74.9° or 21.1°", ("right", "right", "right")),
        ("26.0, 9.7 m", "63.1°, 116.9°", "74.9°, 21.1°", ("right", "right", "right")),
        ("26.0 and 9.7 m", "63.1 and 116.9°", "74.9 and 21.1°", ("right", "right", "right")),
        ("26.0 and 9.7", "63.1 and 116.9", "74.9 and 21.1", ("right, other form", "right", "right")),
        ("9.7 m or 26.0 m", "63.1° or 116.9°", "21.1° or 74.9°", ("right", "right", "right")),
        ("26 m or 10 m", "63° or 117°", "75° or 21°", ("rounded too far",) * 3),
        ("26.0 m or 9.7 m", "63.1° or 126.9°", "74.9° or 11.1°", ("right", "wrong", "follows on")),
        ("26.0 m or 9.7 kN", "63.1° or 116.9°", "74.9° or 21.1°", ("wrong", "right", "right")),
        ("26.0 m or 9.7 m or 5 m", "63.1° or 116.9°", "74.9° or 21.1°", ("needs a look", "right", "right")),
        ("26.0 m", "63.1°", "74.9°", ("wrong",) * 3),
    ],
)
def test_each_of_two_answers_is_judged(c: str, B: str, C: str, expected: tuple[str, ...]) -> None:
    found = handed_in(TWO, {"c": c, "B": B, "C": C})
    assert tuple(found[part].verdict for part in ("c", "B", "C")) == expected


def test_where_two_are_given_none_is_called_missing() -> None:
    found = handed_in(TWO, {"c": "26.0 m or 9.7 m", "B": "63.1° or 126.9°", "C": "74.9°"})
    assert "second-triangle-missed" not in found["B"].mistake
    assert "Two answers" in found["B"].feedback
    assert found["C"].mistake == "second-triangle-missed"


def test_a_wrong_second_answer_where_one_would_do_is_a_hedge() -> None:
    enough = ready(posed("triangle", "a=18; b=24; A=42°", unit="m"), Settings(second_triangle="not needed"))
    answer = {"c": "26.0 m or 12.0 m", "B": "63.1°", "C": "74.9° or 21.1°"}
    found = handed_in(enough, answer)
    assert [found[part].verdict for part in ("c", "B", "C")] == ["needs a look", "right", "right"]


@pytest.mark.parametrize("text", ["idk", "dunno", "?", "??", "no clue", "No clue!", "help", "idk :(", "sorry, no idea"])
def test_words_that_give_no_answer_are_a_blank(text: str) -> None:
    for found in (handed_in(FORCES, text), handed_in(FORCES, {"magnitude": text, "direction": text})):
        for mark in found.values():
            assert (mark.verdict, mark.points, mark.written, mark.note) == ("blank", 0, text, "")
            assert "You wrote" in mark.feedback
    empty = handed_in(FORCES, "")["magnitude"]
    assert (empty.verdict, empty.feedback) == ("blank", "Nothing was written here.")


@pytest.mark.parametrize("text", ["#REF!", "idk 43.6 kN or 51 kN", "help 43.6 or 44.6", "no"])
def test_words_beside_a_value_and_faults_of_a_program_are_no_blank(text: str) -> None:
    assert handed_in(FORCES, {"magnitude": text, "direction": "151°"})["magnitude"].verdict != "blank"


def test_where_there_is_no_solution_the_teacher_reads_such_words() -> None:
    none = ready(posed("triangle", "B=119°; b=8.2; a=11.3"))
    assert handed_in(none, "can't do it")["value"].verdict == "needs a look"
    assert handed_in(none, "impossible")["value"].verdict == "right"


def test_a_giving_up_beside_an_answer_does_not_hide_it() -> None:
    found = handed_in(FORCES, {"magnitude": "43.6 kN at 151°", "direction": "idk"})
    assert [mark.verdict for mark in found.values()] == ["right", "right"]


def test_a_compass_point_is_shown_by_its_letters() -> None:
    assert handed_in(FORCES, "43.6 kN NW")["direction"].read_as == "NW"
    assert handed_in(FORCES, "43.6 kN WSW")["direction"].read_as == "WSW"


@pytest.mark.parametrize(
    ("magnitude", "direction"), [("S29°E", "43.6 kN"), ("S 29° E", "43.6"), ("299° true", "43.6 kN")]
)
def test_a_bearing_in_the_box_of_the_magnitude_is_put_back(magnitude: str, direction: str) -> None:
    found = handed_in(FORCES, {"magnitude": magnitude, "direction": direction})
    assert found["magnitude"].value == 43.6
    assert found["direction"].written == magnitude
    assert all("found in the other box" in mark.note for mark in found.values())


# Near 90° a last digit of the sine is a good part of a degree. In the triangle a = 47 m, b = 30 m, C = 57° (c = 39.66,
# A = 83.63°, B = 39.37° by the law of cosines) the law of sines with c as asked, 39.7, gives A = 83.16° and B = 39.84°.
TOUCHY = ready(posed("triangle", "a=47; b=30; C=57°", unit="m"))


@pytest.mark.parametrize(
    ("c", "angle_a", "angle_b", "expected"),
    [
        ("39.7 m", "83.2°", "39.8°", ("right", "right", "right")),
        ("39.66 m", "83.2°", "39.8°", ("right", "right", "right")),  # written finer, used as asked
        ("39.7 m", "83.6°", "39.4°", ("right", "right", "right")),
        ("39.7 m", "82.9°", "40.1°", ("right", "follows on", "wrong")),  # that no rounding of c leads to
        ("39.2 m", "83.2°", "39.8°", ("wrong", "follows on", "wrong")),
    ],
)
def test_an_angle_that_the_students_own_right_side_leads_to_is_right(
    c: str, angle_a: str, angle_b: str, expected: tuple[str, str, str]
) -> None:
    found = handed_in(TOUCHY, {"c": c, "A": angle_a, "B": angle_b})
    assert tuple(found[part].verdict for part in "cAB") == expected


@pytest.mark.parametrize(
    ("find", "given", "unit", "box", "text", "said"),
    [
        (
            "dot product",
            "64 N at 20°; 7.5 m at 75°",
            "J",
            "whole",
            "275 W",
            "a power (W), or a way to the west, where an energy in J",
        ),
        (
            "dot product",
            "64 N at 20°; 7.5 m at 75°",
            "J",
            "whole",
            "64 N at 20°",
            "a length with a direction, where an energy in J",
        ),
        ("dot product", "(3, 4); (5, 2)", "", "whole", "5 at 20°", "a length with a direction, where the value"),
        ("components", "64.0 m/s at 218°", "m/s", "whole", "64 m/s at 218°", "a length with a direction, where the x"),
    ],
)
def test_an_answer_of_another_kind_is_named(find: str, given: str, unit: str, box: str, text: str, said: str) -> None:
    first, *_ = handed_in(ready(posed(find, given, unit=unit)), {box: text}).values()
    assert first.verdict == "needs a look"
    assert f"{said} was asked" in first.note
