"""Answers where two triangles fit the data, judged against plain trigonometry (the law of sines, worked by hand below).

Two warps hold a buoy: a = 14.0 m, b = 19.0 m, A = 40°. sin B = 19 sin 40°/14 = 0.8724, so B = 60.74° or 119.26°,
C = 79.26° or 20.74°, c = 14 sin C/sin 40° = 21.40 or 7.71.
"""

from __future__ import annotations

import math

import pytest

from grader.marking.definitions import Settings
from grader.marking.judge import PartMark
from tests.posed import handed_in, posed, ready

WARPS = ready(posed("triangle", "a=14.0 m; b=19.0 m; A=40°", unit="m", direction_to="1", points=(6.0,)))


def judged(answer: dict[str, str] | str) -> dict[str, PartMark]:
    return handed_in(WARPS, answer)


def verdicts(answer: dict[str, str] | str) -> dict[str, str]:
    return {part: mark.verdict for part, mark in judged(answer).items()}


def test_the_numbers_of_this_file() -> None:
    angle = math.degrees(math.asin(19 * math.sin(math.radians(40)) / 14))
    assert angle == pytest.approx(60.74, abs=0.01)
    sides = [14 * math.sin(math.radians(140 - b)) / math.sin(math.radians(40)) for b in (angle, 180 - angle)]
    assert sides == pytest.approx([21.40, 7.71], abs=0.01)


@pytest.mark.parametrize(
    "answer",
    [
        "c = 21.4 m, B = 61°, C = 79° or c = 7.7 m, B = 119°, C = 21°",
        "c = 7.7 m, B = 119°, C = 21° or c = 21.4 m, B = 61°, C = 79°",
        "B1 = 61°, C1 = 79°, c1 = 21.4 m; B2 = 119°, C2 = 21°, c2 = 7.7 m",
        {"c": "7.7 or 21.4 m", "B": "61° or 119°", "C": "21° or 79°"},  # in boxes of their own the order says nothing
    ],
)
def test_either_triangle_may_come_first(answer: dict[str, str] | str) -> None:
    assert set(verdicts(answer).values()) == {"right"}


@pytest.mark.parametrize(
    ("answer", "crossed"),
    [
        ("c = 21.4 m, B = 119°, C = 79° or c = 7.7 m, B = 61°, C = 21°", "B"),
        ("c = 7.7 m, B = 61°, C = 79° or c = 21.4 m, B = 119°, C = 21°", "c"),
        ("c1 = 21.4 m, c2 = 7.7 m, B1 = 61°, B2 = 119°, C1 = 21°, C2 = 79°", "C"),
    ],
)
def test_triangles_given_as_wholes_are_judged_as_wholes(answer: str, crossed: str) -> None:
    """119° + 79° + 40° is no triangle, though each of the numbers is right in one of the two."""
    marks = judged(answer)
    assert marks[crossed].verdict == "wrong"
    assert marks[crossed].mistake == ""
    assert "other triangle" in marks[crossed].feedback
    assert {mark.verdict for part, mark in marks.items() if part != crossed} == {"right"}


def test_lists_that_cross_are_for_the_teacher() -> None:
    """Who lists the values of each part may not have meant the first of each to go together."""
    marks = judged("c = 21.4 m or 7.7 m, B = 119° or 61°, C = 79° or 21°")
    assert marks["B"].verdict == "needs a look"
    assert "B" in marks["B"].note
    assert marks["c"].verdict == marks["C"].verdict == "right"


@pytest.mark.parametrize("coarse", ["20 m", "21 m", "21.4 m", "8 m", "7.7 m"])
def test_one_of_two_triangles_earns_the_same_however_coarse(coarse: str) -> None:
    mark = judged({"c": coarse})["c"]
    assert (mark.verdict, mark.points, mark.mistake) == ("wrong", 0.0, "second-triangle-missed")


def test_one_triangle_rounded_early_or_followed_on_earns_no_more_than_an_exact_one() -> None:
    """sin B = 0.9 to 1 decimal: B = 64.16°, C = 75.84°, c = 21.1; and with B = 70°, C = 70°, c = 20.5."""
    early = judged("B = 64.16°, C = 75.84°, c = 21.12 m")
    assert {mark.verdict for mark in early.values()} == {"wrong"}
    followed = judged("B = 70°, C = 70°, c = 20.5 m")
    assert sum(mark.points for mark in followed.values()) == 0
    assert "follows from your B" in followed["C"].feedback
    both = judged("B = 70° or 110°, C = 70° or 30°, c = 20.5 m or 10.9 m")
    assert [both[part].verdict for part in "BCc"] == ["wrong", "follows on", "follows on"]
    enough = ready(WARPS.problem, Settings(second_triangle="not needed"))
    assert handed_in(enough, "B = 70°, C = 70°, c = 20.5 m")["C"].verdict == "follows on"


def test_a_random_number_in_a_wide_room_is_not_called_a_triangle() -> None:
    """Going on from B and C to the degree lets c lie between 7.5 and 8.0. Beside two wrong angles that shows nothing."""
    marks = judged("c = 7.9 m, B = 116°, C = 52°")
    assert [mark.mistake for mark in marks.values()] == ["", "", ""]
    assert judged("c = 7.9 m, B = 119°, C = 21°")["c"].mistake == "second-triangle-missed"


def test_a_side_follows_on_in_each_triangle_where_it_is_wrong() -> None:
    """14 sin 78°/sin 40° = 21.3, within the room of 21.4; 14 sin 22°/sin 40° = 8.2, which is not within that of 7.7."""
    found = verdicts("B = 62° or 118°, C = 78° or 22°, c = 21.3 m or 8.2 m")
    assert found == {"B": "wrong", "C": "follows on", "c": "follows on"}


def test_a_coarse_number_beside_a_wrong_one_is_not_called_right() -> None:
    assert "One of yours is right" in judged({"B": "61° or 137°"})["B"].feedback
    assert "One of yours is right" not in judged({"B": "60° or 137°"})["B"].feedback


def test_several_answers_of_a_wrong_kind_are_wrong() -> None:
    """Where one answer is asked, and where two are: minutes are no length, however many of them there are."""
    assert verdicts({"c": "21.4 min or 7.7 min or 3 min"})["c"] == "wrong"
    tugs = ready(posed("resultant", "45 N at 20°; 30 N at 310°", unit="N"))
    assert handed_in(tugs, {"magnitude": "62.0 m or 41.3 m or 50.0 m"})["magnitude"].verdict == "wrong"


def test_radians_for_degrees_in_two_triangles_are_for_the_teacher() -> None:
    assert verdicts({"B": "119 rad or 61 rad"})["B"] == "needs a look"
    assert verdicts({"B": "70 rad or 80 rad"})["B"] == "wrong"
    assert verdicts({"B": "1.06 rad or 2.08 rad"})["B"] == "right"
