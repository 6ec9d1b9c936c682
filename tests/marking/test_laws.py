"""Laws of marking that hold for every problem and every answer."""

from __future__ import annotations

import copy
import math
import random
from collections.abc import Mapping
from dataclasses import replace
from decimal import ROUND_HALF_DOWN, ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from functools import cache

import pandas as pd
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from grader.marking.definitions import Decision, Rubric, Settings
from grader.marking.mark import COLUMNS, mark
from grader.marking.prepared import Prepared
from grader.methods.problem import Allowance
from grader.methods.solve import given_room
from grader.methods.steps import EXACT, Step, difference, round_to, run, spread_of
from tests.posed import handed_in, posed, ready

TIES = (ROUND_HALF_EVEN, ROUND_HALF_UP, ROUND_HALF_DOWN)
"""To the even digit and away from zero (ISO 80000-1, rules A and B, from memory), and toward zero."""

RUBRIC = Rubric(
    (
        posed("resultant", "45 N at 20°; 30 N at 310°", label="1", unit="N", direction_to="1", points=(2.0, 2.0)),
        posed("components", "18.5 km, 25° W of S", label="2", unit="km", points=(3.0,)),
        posed("equilibrant", "160 N S 40° E; 200 N N 60° E", label="3", direction_as="quadrant bearing", points=(4.0,)),
        posed("triangle", "a=12; c=17; A=35°", label="4", points=(6.0,)),
    )
)

SAID: Mapping[str, tuple[object, ...]] = {
    "1": (
        "62.0 N at 353°",
        "62.0 at 353",
        "62 N, S 83° E",
        "61.6i - 7.6j",
        "56.2 N at 290°",
        "",
        None,
        "4-5",
        62.0,
        "about 60",
    ),
    "2": ("<-7.8, -16.8>", "(-16.8, -7.8) km", "x = 7.8, y = -16.8", "?", "", "18.5 km at 245°", "-7.82 -16.77"),
    "3": ("239.5 N N 82° E", "S 85° W", "220 N", "180° or 20°", "none", "221.9 N at S 80.1° W", "1,5"),
    "4": ("C = 54.3° or 125.7°", "a = 1", "b = 20.9, B = 90.7, C = 54.3", "b = 6.9", ""),
}


def in_whole_boxes(rows: list[tuple[str, str, object]]) -> pd.DataFrame:
    """A table of answers: (student, problem, what stands in the box)."""
    return pd.DataFrame(
        {
            "student_id": [student for student, _, _ in rows],
            "problem": [label for _, label, _ in rows],
            "written": [(("whole", said),) for _, _, said in rows],
        }
    )


students = st.sampled_from([f"h{n}" for n in range(1, 9)])
answer_rows = st.sampled_from(sorted(SAID)).flatmap(
    lambda label: st.tuples(students, st.just(label), st.sampled_from(SAID[label]))
)
tables = st.lists(answer_rows, min_size=1, max_size=14, unique_by=lambda row: (row[0], row[1]))


def sorted_marks(*marks: pd.DataFrame) -> pd.DataFrame:
    together = pd.concat(marks, ignore_index=True)
    return together.sort_values(["student_id", "problem", "part"], ignore_index=True)


# ---- the table


@settings(max_examples=8, deadline=None)
@given(tables, st.randoms(use_true_random=False), st.integers(0, 14), st.integers(0, 14))
def test_marks_depend_on_no_order_and_no_split(
    rows: list[tuple[str, str, object]], dice: random.Random, first_cut: int, second_cut: int
) -> None:
    whole = mark(RUBRIC, in_whole_boxes(rows))
    shuffled = dice.sample(rows, len(rows))
    low, high = sorted((first_cut, second_cut))
    pieces = [piece for piece in (shuffled[:low], shuffled[low:high], shuffled[high:]) if piece]
    apart = [mark(RUBRIC, in_whole_boxes(piece)) for piece in pieces]
    pd.testing.assert_frame_equal(sorted_marks(whole), sorted_marks(*apart))


@settings(max_examples=8, deadline=None)
@given(tables)
def test_every_answer_gets_each_part_once_within_its_points(rows: list[tuple[str, str, object]]) -> None:
    marks = mark(RUBRIC, in_whole_boxes(rows))
    assert list(marks.columns)[: len(COLUMNS)] == list(COLUMNS)
    asked = {"1": {"magnitude", "direction"}, "2": {"x", "y"}, "3": {"magnitude", "direction"}, "4": {"b", "B", "C"}}
    expected = {(student, label, part) for student, label, _ in rows for part in asked[label]}
    found = list(zip(marks["student_id"], marks["problem"], marks["part"]))
    assert sorted(found) == sorted(expected)
    for row in marks.itertuples():
        if row.verdict == "needs a look":
            assert math.isnan(row.points)
        else:
            assert 0 <= row.points <= row.points_possible
        if row.verdict == "right":
            assert row.points == row.points_possible
        if row.verdict in ("wrong", "blank"):
            assert row.points == 0
    worth = {"1": 4.0, "2": 3.0, "3": 4.0, "4": 6.0}
    for (_, label), total in marks.groupby(["student_id", "problem"])["points_possible"].sum().items():
        assert total == pytest.approx(worth[label])


@settings(max_examples=5, deadline=None)
@given(tables)
def test_marking_changes_nothing_that_it_is_given(rows: list[tuple[str, str, object]]) -> None:
    answers = in_whole_boxes(rows)
    before, rubric_before = answers.copy(deep=True), copy.deepcopy(RUBRIC)
    first = mark(RUBRIC, answers)
    pd.testing.assert_frame_equal(answers, before)
    assert rubric_before == RUBRIC
    pd.testing.assert_frame_equal(first, mark(RUBRIC, answers))


@settings(max_examples=8, deadline=None)
@given(tables, st.lists(st.tuples(students, st.sampled_from("1234"), st.integers(0, 12)), max_size=6), st.booleans())
def test_the_teachers_decision_always_wins(
    rows: list[tuple[str, str, object]], decided: list[tuple[str, str, int]], on_a_part: bool
) -> None:
    first_part = {"1": "magnitude", "2": "x", "3": "magnitude", "4": "b"}
    decisions = {
        (student, label): Decision(
            student, label, first_part[label] if on_a_part else "", float(points), "seen in class"
        )
        for student, label, points in decided
    }
    rubric = Rubric(RUBRIC.problems, decisions=tuple(decisions.values()))
    answers = in_whole_boxes(rows)
    suggested, marks = mark(RUBRIC, answers), mark(rubric, answers)
    pd.testing.assert_frame_equal(marks, mark(rubric, answers))
    for index, row in marks.iterrows():
        decision = decisions.get((row["student_id"], row["problem"]))
        if decision is None or decision.part not in ("", row["part"]):
            pd.testing.assert_series_equal(row, suggested.loc[index])
        else:
            assert row["decided"] == "seen in class"
    for (student, label), decision in decisions.items():
        chosen = marks[(marks["student_id"] == student) & (marks["problem"] == label)]
        if on_a_part:
            chosen = chosen[chosen["part"] == decision.part]
        if len(chosen):
            assert chosen["points"].sum() == pytest.approx(decision.points, abs=1e-5)


# ---- one answer

lengths = st.integers(20, 9999).map(lambda n: n / 10)
angles = st.integers(0, 3599).map(lambda n: n / 10)


@cache
def problem_of(vectors: tuple[tuple[float, float], ...], find: str, form: str, steps: tuple[str, str]) -> Prepared:
    given_text = "; ".join(f"{length} N at {angle}°" for length, angle in vectors)
    magnitude_to, direction_to = steps
    return ready(
        posed(find, given_text, answer_as=form, unit="N", magnitude_to=magnitude_to, direction_to=direction_to)
    )


@st.composite
def problems(draw: st.DrawFn) -> Prepared:
    vectors = tuple(draw(st.lists(st.tuples(lengths, angles), min_size=2, max_size=3)))
    numbers = [complex(a * math.cos(math.radians(t)), a * math.sin(math.radians(t))) for a, t in vectors]
    longest = max(abs(number) for number in numbers)
    # Vectors that all but cancel leave a remainder of which honest rounding decides every digit.
    assume(abs(numbers[0] + numbers[1]) > 0.05 * longest and abs(sum(numbers)) > 0.05 * longest)
    find = draw(st.sampled_from(["resultant", "equilibrant"]))
    # A sum along an axis is a case of its own, with tests of its own.
    assume(abs(sum(numbers).real) > 1e-6 * longest)
    form = draw(st.sampled_from(["magnitude and direction", "components"]))
    steps = draw(st.sampled_from([("0.1", "0.1"), ("1", "1"), ("0.01", "0.1"), ("3 s.f.", "1")]))
    return problem_of(vectors, find, form, steps)


def written(value: float, step: float, tie: str = ROUND_HALF_UP) -> str:
    unit = Decimal(repr(step))
    rounded = (Decimal(repr(value)) / unit).quantize(Decimal(1), rounding=tie) * unit
    decimals = max(0, -Decimal(repr(step)).normalize().as_tuple().exponent)
    return f"{rounded:.{decimals}f}"


def answer_at(values: Mapping[str, float], steps: Mapping[str, float], tie: str = ROUND_HALF_UP) -> dict[str, str]:
    """Every part as a student writes it: rounded, with its unit."""
    return {
        part: written(value, steps[part], tie) + ("°" if part == "direction" else " N")
        for part, value in values.items()
    }


def exact_values(prepared: Prepared) -> dict[str, float]:
    """The answer by complex numbers, apart from the engine."""
    total = 0j
    for vector in prepared.problem.given.vectors:  # type: ignore[union-attr]
        angle = math.radians(vector.direction.angle)
        total += vector.magnitude.number.value * complex(math.cos(angle), math.sin(angle))
    if prepared.problem.find == "equilibrant":
        total = -total
    if prepared.problem.answer_as == "components":
        return {"x": total.real, "y": total.imag}
    return {"magnitude": abs(total), "direction": math.degrees(math.atan2(total.imag, total.real)) % 360}


def places_of(prepared: Prepared) -> dict[str, float]:
    return {key.part: key.place for key in prepared.solved.solution.parts}


@settings(max_examples=60, deadline=None)
@given(problems(), st.sampled_from(TIES))
def test_a_right_answer_rounded_as_asked_is_right(prepared: Prepared, tie: str) -> None:
    answer = answer_at(exact_values(prepared), places_of(prepared), tie)
    marks = handed_in(prepared, answer)
    assert {part: mark.verdict for part, mark in marks.items()} == dict.fromkeys(answer, "right")


@settings(max_examples=40, deadline=None)
@given(problems(), st.integers(1, 3), st.sampled_from(TIES))
def test_a_right_answer_written_more_finely_is_right(prepared: Prepared, finer: int, tie: str) -> None:
    steps = {part: float(f"{step * 10.0**-finer:.6g}") for part, step in places_of(prepared).items()}
    marks = handed_in(prepared, answer_at(exact_values(prepared), steps, tie))
    assert {mark.verdict for mark in marks.values()} == {"right"}


@settings(max_examples=40, deadline=None)
@given(problems(), st.sampled_from(TIES))
def test_a_right_answer_rounded_more_coarsely_is_right_or_rounded_too_far(prepared: Prepared, tie: str) -> None:
    steps = {part: step * 10 for part, step in places_of(prepared).items()}
    values = exact_values(prepared)
    assume(all(abs(value) > steps[part] for part, value in values.items()))
    marks = handed_in(prepared, answer_at(values, steps, tie))
    assert {mark.verdict for mark in marks.values()} <= {"right", "rounded too far"}


@settings(max_examples=60, deadline=None)
@given(problems(), st.randoms(use_true_random=False), st.sampled_from(TIES))
def test_honest_working_is_right(prepared: Prepared, dice: random.Random, tie: str) -> None:
    """By either method, any of the results on the way rounded to the four decimals that are asked to be carried; sines and
    cosines are keyed, not carried."""
    for method in given_room(prepared.problem, prepared.solved.methods):

        def carry(position: int, step: Step, result):  # type: ignore[no-untyped-def]
            return result if step.kind in (*EXACT, "function") or dice.random() < 0.5 else round_to(result, 4)

        reached = {part: float(value) for part, value in run(method, carry).answers.items()}
        marks = handed_in(prepared, answer_at(reached, places_of(prepared), tie))
        assert {mark.verdict for mark in marks.values()} == {"right"}, (method.name, reached)


@settings(max_examples=60, deadline=None)
@given(problems(), st.randoms(use_true_random=False))
def test_honest_working_by_hand_is_right(prepared: Prepared, dice: random.Random) -> None:
    """Components by plain arithmetic, each result kept to four decimals or not, the length perhaps as written down."""

    def kept(value: float) -> float:
        return round(value, 4) if dice.random() < 0.7 else value

    x = y = 0.0
    for vector in prepared.problem.given.vectors:  # type: ignore[union-attr]
        length, angle = vector.magnitude.number.value, math.radians(vector.direction.angle)
        x += kept(length * math.cos(angle))
        y += kept(length * math.sin(angle))
    x, y = kept(x), kept(y)
    if prepared.problem.find == "equilibrant":
        x, y = -x, -y
    reached = {"x": x, "y": y}
    if prepared.problem.answer_as != "components":
        angle = kept(math.degrees(math.atan(kept(y / x)))) if x else math.copysign(90, y)
        reached = {"magnitude": math.sqrt(kept(x * x + y * y)), "direction": (angle + (180 if x < 0 else 0)) % 360}
    marks = handed_in(prepared, answer_at(reached, places_of(prepared)))
    assert {mark.verdict for mark in marks.values()} == {"right"}, reached


@settings(max_examples=25, deadline=None)
@given(problems(), st.data())
def test_an_answer_outside_every_band_is_never_right(prepared: Prepared, data: st.DataObject) -> None:
    """Off by more than the place asked and the room for honest working, and written finely enough to be held to it."""
    values = exact_values(prepared)
    steps = {part: step / 100 for part, step in places_of(prepared).items()}
    off: dict[str, float] = {}
    for key in prepared.solved.solution.parts:
        room = 1.01 * key.place + key.spread
        furthest = 175.0 if key.part == "direction" else 3 * abs(values[key.part]) + 10 * room
        assume(room < furthest)
        away = data.draw(st.floats(room, furthest)) * data.draw(st.sampled_from([-1, 1]))
        off[key.part] = values[key.part] + away
        assume(key.part != "magnitude" or off[key.part] > 0)
    if "direction" in off:
        off["direction"] %= 360
    marks = handed_in(prepared, answer_at(off, steps))
    for part, one in marks.items():
        assert one.verdict not in ("right", "right, other form", "rounded too far"), (part, off)
        assert one.verdict in ("wrong", "rounded early", "follows on")


@settings(max_examples=40, deadline=None)
@given(lengths, lengths, st.integers(0, 11).map(lambda n: 30 * n + 7), st.integers(1, 5))
def test_the_room_of_a_sum_of_components_is_half_a_last_decimal_for_each(
    first: float, second: float, angle: int, kept: int
) -> None:
    """X = r₁ cos θ₁ + r₂ cos θ₂: each product may be off by half of its last decimal; a cosine is keyed, not carried, and
    the sum itself is the answer. One vector's components are answers at once and leave no room."""
    settings_ = Settings(carried_decimals=kept)
    given_ = f"{first} N at {angle}°; {second} N at {angle + 43}°"
    summed = ready(posed("resultant", given_, answer_as="components", method="components"), settings_).solved
    alone = ready(posed("components", f"{first} N at {angle}°"), settings_).solved
    by_components = [spread_of(method, kept) for method in summed.methods if method.name == "components"]
    assert all(room == pytest.approx(10.0**-kept, rel=1e-6) for rooms in by_components for room in rooms.values())
    assert all(key.spread == pytest.approx(0.0, abs=1e-12) for key in alone.solution.parts)


def test_the_teachers_allowance_is_added_to_the_room() -> None:
    plain = posed("resultant", "45 N at 20°; 30 N at 310°", unit="N")
    allowed = replace(plain, allow=Allowance(amount=0.2, degrees=0.5))
    rooms = [{key.part: key.spread for key in ready(one).solved.solution.parts} for one in (plain, allowed)]
    assert rooms[1]["magnitude"] - rooms[0]["magnitude"] == pytest.approx(0.2)
    assert rooms[1]["direction"] - rooms[0]["direction"] == pytest.approx(0.5)
    # 62.04 + 0.05 + 0.2 is 62.29: 62.2 is inside, 62.4 is not.
    assert handed_in(ready(allowed), {"magnitude": "62.2 N"})["magnitude"].verdict == "right"
    assert handed_in(ready(plain), {"magnitude": "62.2 N"})["magnitude"].verdict == "wrong"
    assert handed_in(ready(allowed), {"magnitude": "62.4 N"})["magnitude"].verdict == "wrong"


@settings(max_examples=50, deadline=None)
@given(
    st.sampled_from(RUBRIC.problems[:3]), st.text(max_size=30) | st.floats(-1e12, 1e12) | st.integers(-(10**12), 10**12)
)
def test_no_text_breaks_marking(problem, said: object) -> None:  # type: ignore[no-untyped-def]
    prepared = _ready(problem.label)
    for one in handed_in(prepared, str(said)).values():
        assert math.isnan(one.points) or 0 <= one.points <= one.points_possible
        assert math.isnan(one.points) is (one.verdict == "needs a look")


@cache
def _ready(label: str) -> Prepared:
    return ready(RUBRIC.problem(label))


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_what_a_verdict_earns_is_a_setting(share: float) -> None:
    """The number of the verdict table: 62.0 without its unit, 353° as S 83° E, 60 N for 62.0 N."""
    one = posed("resultant", "45 N at 20°; 30 N at 310°", unit="N", direction_to="1", points=(2.0, 2.0))
    earning = Settings(credit_unit_missing=share, credit_rounded_too_far=share, credit_other_form=share)
    prepared = ready(one, earning)
    assert handed_in(prepared, {"magnitude": "62.0"})["magnitude"].points == 2 * share
    assert handed_in(prepared, {"magnitude": "60 N"})["magnitude"].points == 2 * share
    assert handed_in(prepared, {"magnitude": "0.0620 kN"})["magnitude"].points == 2 * share


def test_directions_are_compared_around_the_circle() -> None:
    """Just short of due east and just past it are one tenth apart, not 359.9."""
    north_of_east = ready(posed("resultant", "10 N E; 10 N at 0.1°", unit="N"))
    assert float(difference("direction", 0.05, north_of_east.solved.solution.part("direction").value)) == pytest.approx(
        0
    )
    for said in ("0.1°", "0.0°", "360.0°", "360.1°", "-0.0°"):
        assert handed_in(north_of_east, {"direction": said})["direction"].verdict == "right", said
    assert handed_in(north_of_east, {"direction": "359.9°"})["direction"].verdict == "wrong"
