"""The verdict table, one problem at a time, with the design's own worked numbers: 45 N at 20° plus 30 N at 310° is
62.04 N at 352.97°, components 61.57 and −7.59 (checked with plain complex arithmetic below)."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import pytest

from grader.marking.definitions import MistakeRule, OwnMistake, Settings
from grader.marking.judge import PartMark, mark_answer
from grader.marking.prepared import Prepared
from grader.methods.problem import Problem, Rounding
from grader.methods.solve import solve_problem
from grader.notation.given import read_given
from grader.notation.units import unit

GIVEN = "45 N at 20°; 30 N at 310°"
POLAR = Problem(
    "1",
    "resultant",
    read_given("resultant", GIVEN),
    unit=unit("N"),
    magnitude_to=Rounding("place", 0.1),
    direction_to=Rounding("place", 1.0),
    direction_as="standard position",
    points=(2.0, 2.0),
)
SUM = cmath.rect(45, math.radians(20)) + cmath.rect(30, math.radians(310))


def marks(problem: Problem, *boxes: tuple[str, object], settings: Settings | None = None) -> dict[str, PartMark]:
    settings = settings or Settings()
    prepared = Prepared(solve_problem(problem, settings.carried_decimals), settings)
    return {mark.part: mark for mark in mark_answer(prepared, boxes)}


def verdicts(problem: Problem, *boxes: tuple[str, object], settings: Settings | None = None) -> tuple[str, ...]:
    return tuple(mark.verdict for mark in marks(problem, *boxes, settings=settings).values())


def test_the_numbers_of_this_file() -> None:
    assert abs(SUM) == pytest.approx(62.04, abs=0.005)
    assert math.degrees(cmath.phase(SUM)) % 360 == pytest.approx(352.97, abs=0.005)


@pytest.mark.parametrize(
    ("magnitude", "direction", "expected"),
    [
        ("62.0 N", "353°", ("right", "right")),
        ("62 N", "353", ("right", "right")),  # a dropped zero
        ("62.04 N", "352.97°", ("right", "right")),
        ("62.0", "353", ("right, other form", "right")),  # no unit where one was asked
        ("0.0620 kN", "353", ("right, other form", "right")),
        ("60 N", "350", ("rounded too far", "rounded too far")),
        ("62.0 N", "S 83° E", ("right", "right, other form")),
        ("62.0 N", "bearing 097°", ("right", "right, other form")),
        ("62.0 N", "-7°", ("right", "right")),
        ("62.0 N", "6.16 rad", ("right", "right, other form")),
        ("62.0 N", "7", ("right", "wrong")),
        ("62.0 m", "353", ("wrong", "right")),  # a length is no force
        ("", "353", ("blank", "right")),
        ("", "", ("blank", "blank")),
        ("no idea", "353", ("blank", "right")),
        ("62.0 N at 353°", "", ("right", "right")),  # everything in the first box
        ("353°", "62.0 N", ("right, other form", "right, other form")),  # in each other's box, and the signs say so
    ],
)
def test_magnitude_and_direction(magnitude: str, direction: str, expected: tuple[str, str]) -> None:
    assert verdicts(POLAR, ("magnitude", magnitude), ("direction", direction)) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("62.0 N at 353°", ("right", "right")),
        ("R = 62.0 N; θ = 353°", ("right", "right")),
        ("62.0 N @ S 83° E", ("right", "right, other form")),
        ("<61.6, -7.6> N", ("right, other form", "right, other form")),  # the same vector by components
        ("62.0 N", ("right", "blank")),
    ],
)
def test_one_box_for_the_whole(text: str, expected: tuple[str, str]) -> None:
    assert verdicts(POLAR, ("whole", text)) == expected


def test_dropped_zeros_can_be_strict() -> None:
    strict = Settings(dropped_zeros="strict")
    assert verdicts(POLAR, ("magnitude", "62 N"), ("direction", "353°"), settings=strict) == (
        "rounded too far",
        "right",
    )


@pytest.mark.parametrize(
    ("asked", "written", "verdict"),
    [
        ("quadrant bearing", "S 83° E", "right"),
        ("quadrant bearing", "83° E of S", "right"),
        ("quadrant bearing", "7° S of E", "right, other form"),
        ("quadrant bearing", "353°", "right, other form"),
        ("quadrant bearing", "83", "wrong"),
        ("true bearing", "097", "right"),
        ("true bearing", "97°", "right"),
        ("true bearing", "353", "wrong"),
        ("true bearing", "S 83° E", "right, other form"),
        ("from an axis", "7° S of E", "right"),
        ("from an axis", "83° E of S", "right"),
        ("from an axis", "353°", "right, other form"),
        ("any", "S 83° E", "right"),
        ("any", "353°", "right"),
        ("standard position", "097°T", "right, other form"),
    ],
)
def test_direction_forms(asked: str, written: str, verdict: str) -> None:
    problem = replace(POLAR, direction_as=asked)
    assert verdicts(problem, ("magnitude", "62.0 N"), ("direction", written))[1] == verdict


@pytest.mark.parametrize(
    ("asked", "written", "mistake"),
    [
        ("quadrant bearing", "83", "letters-left-out"),
        ("quadrant bearing", "S 7° E", "answer-from-wrong-axis"),
        ("quadrant bearing", "N 83° E", "answer-letters-wrong"),
        ("true bearing", "353", "standard-angle-given-as-bearing"),
        ("standard position", "97", "standard-angle-given-as-bearing"),
        ("standard position", "7", "reference-angle-only"),
        ("standard position", "173", "reversed"),
        ("standard position", "27", "inner-angle-only"),
        ("standard position", "301", ""),  # nothing in particular
    ],
)
def test_mistakes_in_the_direction(asked: str, written: str, mistake: str) -> None:
    problem = replace(POLAR, direction_as=asked)
    found = marks(problem, ("magnitude", "62.0 N"), ("direction", written))["direction"]
    assert mistake in found.mistake.split(" / "), found.mistake
    assert 0.5 <= found.mistake_chance <= 1 or not mistake
    assert found.points == 0


def test_follow_through_is_credited() -> None:
    """By plain trigonometry: sin θ = 30 · sin 110° / 55, laid off clockwise from 20°."""
    own = (20 - math.degrees(math.asin(30 * math.sin(math.radians(110)) / 55))) % 360
    found = marks(POLAR, ("magnitude", "55.0 N"), ("direction", f"{own:.0f}°"))
    assert found["magnitude"].verdict == "wrong"
    assert found["direction"].verdict == "follows on"
    assert found["direction"].points == 2.0
    assert "magnitude" in found["direction"].feedback


def test_early_rounding_names_the_decimals() -> None:
    """Components to whole numbers: x = 42 + 19, y = 15 − 23, so R = √(61² + 8²) = 61.52 and θ = 352.5°."""
    precise = replace(POLAR, direction_to=Rounding("place", 0.1))
    found = marks(precise, ("magnitude", "61.5 N"), ("direction", "352.5°"))
    assert [mark.verdict for mark in found.values()] == ["rounded early", "rounded early"]
    assert "whole numbers" in found["magnitude"].feedback
    assert found["magnitude"].points == 1.5


def test_exact_answers() -> None:
    """OpenStax Precalculus 2e, section 8.8: 7 at 135° has the components −7√2/2 and 7√2/2 (read)."""
    problem = Problem("1", "components", read_given("components", "7 at 135°"), answer_as="components",
                      magnitude_to=Rounding("exact"), points=(2.0,))  # fmt: skip
    assert verdicts(problem, ("x", "-7√2/2"), ("y", "7sqrt(2)/2")) == ("right", "right")
    assert verdicts(problem, ("x", "-4.95"), ("y", "4.9497")) == ("right", "right")
    assert verdicts(problem, ("x", "-4.9"), ("y", "5√2/2")) == ("rounded too far", "wrong")


def test_a_hedge_is_for_the_teacher() -> None:
    assert verdicts(POLAR, ("magnitude", "62.0 N or 41.3 N"), ("direction", "353°"))[0] == "needs a look"


def test_two_readings_with_one_verdict_need_no_look() -> None:
    """6 2.0 is 62.0 with a stray space, or two numbers; where every reading is wrong it is wrong."""
    assert verdicts(POLAR, ("magnitude", "7 1.0 N"), ("direction", "353°"))[0] in ("wrong", "needs a look")
    assert verdicts(POLAR, ("magnitude", "6 2.0 N"), ("direction", "353°"))[0] == "needs a look"


TRIANGLE = Problem("1", "triangle", read_given("triangle", "a=12; c=17; A=35°"), answer_as="triangle",
                   magnitude_to=Rounding("place", 0.1), direction_to=Rounding("place", 0.1), points=(3.0,))  # fmt: skip


def test_two_triangles() -> None:
    """OpenStax Precalculus 2e, section 8.1: C = 54.3°, B = 90.7°, b = 20.9, or C = 125.7°, B = 19.3°, b = 6.9 (read)."""
    both = (("b", "20.9 or 6.9"), ("B", "90.7 or 19.3"), ("C", "54.3° or 125.7°"))
    assert verdicts(TRIANGLE, *both) == ("right",) * 3
    one = marks(TRIANGLE, ("b", "6.9"), ("B", "19.3"), ("C", "125.7"))
    assert {mark.mistake for mark in one.values()} == {"second-triangle-missed"}
    enough = Settings(second_triangle="not needed")
    assert verdicts(TRIANGLE, ("b", "6.9"), ("B", "19.3"), ("C", "125.7"), settings=enough) == ("right",) * 3
    mixed = verdicts(TRIANGLE, ("b", "6.9"), ("B", "90.7"), ("C", "125.7"), settings=enough)
    assert mixed == ("right", "wrong", "right")


def test_no_triangle() -> None:
    """OpenStax Precalculus 2e, section 8.1: B = 119°, b = 8.2, a = 11.3 makes no triangle (read)."""
    problem = replace(TRIANGLE, given=read_given("triangle", "B=119°; b=8.2; a=11.3"))
    assert verdicts(problem, ("whole", "no triangle")) == ("right",)
    solved = marks(problem, ("whole", "A = 35°, C = 26°, c = 4.1"))["value"]
    assert solved.verdict == "wrong"
    assert solved.mistake == "impossible-triangle-solved"


def test_the_answer_is_told_only_where_the_settings_allow() -> None:
    boxes = (("magnitude", "99 N"), ("direction", "12°"))
    assert "62.0" not in marks(POLAR, *boxes)["magnitude"].feedback
    assert "62.0 N" in marks(POLAR, *boxes, settings=Settings(show_answers=True))["magnitude"].feedback


def test_the_teachers_own_words_and_mistakes() -> None:
    rules = (
        MistakeRule("reversed", feedback="You point at the quay, not at the sea."),
        MistakeRule("lengths-added", use=False),
    )
    own = (OwnMistake("mean-taken", "1", "(r1 + r2) / 2", "Do not average forces."),)
    prepared = Prepared(solve_problem(POLAR), Settings(), rules, own)

    def first(magnitude: str, direction: str) -> PartMark:
        found = mark_answer(prepared, (("magnitude", magnitude), ("direction", direction)))
        return next(mark for mark in found if mark.verdict != "right")

    assert "quay" in first("62.0 N", "173°").feedback
    assert first("75.0 N", "353°").mistake != "lengths-added"
    assert first("37.5 N", "353°").mistake == "mean-taken"
    assert "average" in first("37.5 N", "353°").feedback
