"""Which attempt counts, what lateness costs, who is excused: worked by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.marking.attempts import EXCUSED, count_attempts
from grader.marking.definitions import ALL_PROBLEMS, Deduction, Rubric, Settings, Student
from grader.marking.mark import COLUMNS

NAN = math.nan
DUE = datetime(2026, 3, 11, 23, 59)


def marks(*rows: tuple[str, str, str, str, float], verdicts: dict[int, str] | None = None) -> pd.DataFrame:
    """Marks from (student, problem, part, attempt, points); each part can earn 2."""
    told = verdicts or {}
    table: list[dict[str, Any]] = []
    for number, (student, problem, part, attempt, points) in enumerate(rows):
        verdict = told.get(number, "needs a look" if math.isnan(points) else "right" if points == 2 else "wrong")
        table.append(
            dict.fromkeys(COLUMNS, "")
            | {"student_id": student, "problem": problem, "part": part, "attempt": attempt, "points": points}
            | {
                "points_possible": 2.0,
                "verdict": verdict,
                "written": f"row {number}",
                "mistake_chance": NAN,
                "value": NAN,
            }
        )
    return pd.DataFrame(table, columns=list(COLUMNS)).astype({"points": float, "points_possible": float})


def answers(*rows: tuple[str, str, str, datetime | None]) -> pd.DataFrame:
    """Answers from (student, problem, attempt, when)."""
    return pd.DataFrame(
        {
            name: pd.Series([row[place] for row in rows], dtype=object)
            for place, name in enumerate(("student_id", "problem", "attempt", "submitted_at"))
        }
    )


def rubric(*students: Student, **settings: Any) -> Rubric:
    return Rubric((), settings=Settings(**settings), students=students)


def counted(table: pd.DataFrame, **settings: Any) -> list[tuple[str, str, str, float]]:
    found = count_attempts(table, answers(), rubric(**settings))
    names = ("problem", "part", "attempt", "points")
    return list(zip(*(found[name].tolist() for name in names)))


TWO_TRIES = marks(
    ("A", "1", "x", "1", 2),
    ("A", "1", "y", "1", 0),
    ("A", "2", "x", "1", 0),
    ("A", "2", "y", "1", 2),
    ("A", "1", "x", "2", 0),
    ("A", "1", "y", "2", 2),
    ("A", "2", "x", "2", 0),
    ("A", "2", "y", "2", 0),
    verdicts={6: "blank", 7: "blank"},
)
"""Both attempts at problem 1 are half right; problem 2 is half right at first, and left blank the second time."""


@pytest.mark.parametrize(
    ("counts", "by", "attempts", "points"),
    [
        ("last", "homework", "2222", [0, 2, 0, 0]),
        ("first", "homework", "1111", [2, 0, 0, 2]),
        ("best", "homework", "1111", [2, 0, 0, 2]),  # 4 of 8 against 2 of 8
        ("last", "problem", "2211", [0, 2, 0, 2]),  # a blank second try at problem 2 is passed over
        ("first", "problem", "1111", [2, 0, 0, 2]),
        ("best", "problem", "1111", [2, 0, 0, 2]),  # equal tries at problem 1: the earlier
        ("best", "part", "1211", [2, 2, 0, 2]),
        ("last", "part", "2211", [0, 2, 0, 2]),
    ],
)
def test_which_attempt_counts(counts: str, by: str, attempts: str, points: list[float]) -> None:
    found = counted(TWO_TRIES, attempt_that_counts=counts, attempts_by=by)
    assert [(row[0], row[1]) for row in found] == [("1", "x"), ("1", "y"), ("2", "x"), ("2", "y")]
    by_part = {(problem, part): (attempt, earned) for problem, part, attempt, earned in found}
    assert [by_part[key] for key in sorted(by_part)] == list(zip(attempts, points))


@pytest.mark.parametrize(
    ("by", "expected"),
    [
        ("homework", [1, 1, 0, 1]),  # blanks count as zero
        ("problem", [1, 1, 0, 2]),  # problem 2 has only one attempt with something in it
    ],
)
def test_the_average_of_attempts(by: str, expected: list[float]) -> None:
    found = counted(TWO_TRIES, attempt_that_counts="average", attempts_by=by)
    assert [points for *_, points in sorted(found)] == expected
    assert (found[0][0], found[0][2]) == ("1", "average of 1, 2")


def test_a_problem_not_handed_in_again_stands_as_it_was() -> None:
    table = marks(("A", "1", "value", "1", 0), ("A", "1", "value", "2", 2), ("A", "2", "value", "1", 2))
    assert [row[2:] for row in counted(table)] == [("2", 2), ("1", 2)]
    assert [row[2:] for row in counted(table, attempt_that_counts="first")] == [("1", 0), ("1", 2)]


@pytest.mark.parametrize(
    ("points", "attempt", "note"),
    [
        ((1, NAN), "2", "attempt 1 earns 1; this one could earn 2"),  # it could still win
        ((2, NAN), "1", ""),  # it cannot
        ((NAN, NAN), "1", ""),
    ],
)
def test_the_best_attempt_may_wait_for_the_teacher(points: tuple[float, ...], attempt: str, note: str) -> None:
    table = marks(*(("A", "1", "value", str(place), each) for place, each in enumerate(points, start=1)))
    found = count_attempts(table, answers(), rubric(attempt_that_counts="best"))
    assert found["attempt"].tolist() == [attempt]
    assert found["note"].tolist() == [note]


def test_an_average_waits_for_all_of_its_attempts() -> None:
    table = marks(("A", "1", "value", "1", NAN), ("A", "1", "value", "2", 2))
    found = count_attempts(table, answers(), rubric(attempt_that_counts="average"))
    assert math.isnan(found["points"][0])
    assert found["note"].tolist() == ["attempt 1 needs a look"]


LATE = [
    # (rule, floor, grace in hours, handed in after the due time by, days, of 2 points and 2 points is left)
    (Deduction(0.1), 0.0, 0.0, timedelta(0), 0, (2, 2)),
    (Deduction(0.1), 0.0, 0.0, timedelta(minutes=1), 1, (1.8, 1.8)),
    (Deduction(0.1), 0.0, 1.0, timedelta(minutes=59), 0, (2, 2)),
    (Deduction(0.1), 0.0, 1.0, timedelta(minutes=61), 1, (1.8, 1.8)),
    (Deduction(0.1), 0.0, 0.0, timedelta(days=1), 1, (1.8, 1.8)),
    (Deduction(0.1), 0.0, 0.0, timedelta(days=1, seconds=1), 2, (1.6, 1.6)),
    (Deduction(0.1), 0.5, 0.0, timedelta(days=30), 30, (1, 1)),
    (Deduction(1.0), 0.0, 0.0, timedelta(hours=1), 1, (0, 0)),
    (Deduction(1.0, "points"), 0.0, 0.0, timedelta(hours=1), 1, (1.5, 1.5)),  # 1 of 4 points, shared
    (Deduction(1.0, "points"), 0.0, 0.0, timedelta(days=9), 9, (0, 0)),
    (Deduction(1.0, "points"), 0.25, 0.0, timedelta(days=9), 9, (0.5, 0.5)),
    (Deduction(0.0), 0.0, 0.0, timedelta(days=9), 9, (2, 2)),
]


@pytest.mark.parametrize(("rule", "floor", "grace", "after", "days", "left"), LATE)
def test_lateness(
    rule: Deduction, floor: float, grace: float, after: timedelta, days: int, left: tuple[float, float]
) -> None:
    table = marks(("A", "1", "x", "", 2), ("A", "1", "y", "", 2))
    given_in = answers(("A", "1", "", DUE + after))
    settings = {"due": DUE, "late_per_day": rule, "late_floor": floor, "late_grace": grace}
    found = count_attempts(table, given_in, rubric(**settings))
    assert found["points"].tolist() == pytest.approx(list(left))
    assert found["days_late"].tolist() == [days] * 2
    assert ("late" in found["feedback"][0]) == (left != (2, 2))


@pytest.mark.parametrize(
    ("over", "said"),
    [
        (timedelta(seconds=20), "1 minute late (1 day begun)"),
        (timedelta(minutes=75), "75 minutes late (1 day begun)"),
        (timedelta(hours=2), "2 hours late (1 day begun)"),
        (timedelta(days=1), "1 day late"),
        (timedelta(hours=30), "30 hours late (2 days begun)"),
        (timedelta(days=3), "3 days late"),
        (timedelta(days=3, hours=1), "over 3 days late (4 days begun)"),
    ],
)
def test_how_late_is_said_beside_the_days_that_are_counted(over: timedelta, said: str) -> None:
    """75 minutes are no day; it is the setting that counts each day begun."""
    found = count_attempts(
        marks(("A", "1", "x", "", 2)), answers(("A", "1", "", DUE + over)), rubric(due=DUE, late_per_day=Deduction(0.1))
    )
    assert f"Handed in {said}: " in found["feedback"][0]


def test_extra_time_moves_the_due_time_for_one_student() -> None:
    table = marks(("A", "1", "x", "", 2), ("B", "1", "x", "", 2))
    at = DUE + timedelta(hours=47)
    found = count_attempts(
        table,
        answers(("A", "1", "", at), ("B", "1", "", at)),
        rubric(Student("A", extra_time=timedelta(days=2)), due=DUE, late_per_day=Deduction(0.25)),
    )
    assert found["points"].tolist() == [2, 1]


def test_lateness_is_taken_off_before_the_best_attempt_is_chosen() -> None:
    table = marks(("A", "1", "x", "1", 1.5), ("A", "1", "x", "2", 2))
    given_in = answers(("A", "1", "1", DUE), ("A", "1", "2", DUE + timedelta(days=1)))
    settings: dict[str, Any] = {"due": DUE, "attempt_that_counts": "best"}
    found = count_attempts(table, given_in, rubric(**settings, late_per_day=Deduction(0.3)))
    assert (found["attempt"][0], found["points"][0]) == ("1", 1.5)
    found = count_attempts(table, given_in, rubric(**settings, late_per_day=Deduction(0.2)))
    assert (found["attempt"][0], found["points"][0]) == ("2", 1.6)


def test_a_student_without_a_time_is_not_late() -> None:
    found = count_attempts(
        marks(("A", "1", "x", "", 2)), answers(("A", "1", "", None)), rubric(due=DUE, late_per_day=Deduction(0.5))
    )
    assert (found["points"][0], found["days_late"][0]) == (2, 0)


def test_excused_students() -> None:
    table = marks(("A", "1", "x", "", 2), ("A", "2", "x", "", NAN), ("B", "1", "x", "", 0), ("B", "2", "x", "", 0))
    found = count_attempts(
        table, answers(), rubric(Student("A", excused=("2",)), Student("B", excused=(ALL_PROBLEMS,)))
    )
    assert found["points"].tolist() == [2, 0, 0, 0]
    assert found["points_possible"].tolist() == [2, 0, 0, 0]
    assert found["decided"].tolist() == ["", EXCUSED, EXCUSED, EXCUSED]


def test_points_for_lateness_are_taken_from_what_a_student_is_not_excused_from() -> None:
    table = marks(("A", "1", "x", "", 2), ("A", "2", "x", "", 2))
    found = count_attempts(
        table,
        answers(("A", "1", "", DUE + timedelta(hours=1)), ("A", "2", "", DUE + timedelta(hours=1))),
        rubric(Student("A", excused=("2",)), due=DUE, late_per_day=Deduction(1.0, "points")),
    )
    assert found["points"].tolist() == [1, 0]


def test_marks_that_went_in_are_not_changed() -> None:
    table = TWO_TRIES.copy(deep=True)
    counted(table, attempt_that_counts="average")
    pd.testing.assert_frame_equal(table, TWO_TRIES)


POINTS = st.sampled_from([0.0, 0.5, 1.0, 2.0])


@given(
    tries=st.lists(st.tuples(POINTS, POINTS), min_size=1, max_size=4),
    order=st.randoms(use_true_random=False),
    counts=st.sampled_from(["last", "first", "best", "average"]),
    by=st.sampled_from(["homework", "problem", "part"]),
)
def test_the_order_of_the_rows_does_not_matter(
    tries: list[tuple[float, float]], order: Any, counts: str, by: str
) -> None:
    rows = [("A", "1", part, str(n), p) for n, pair in enumerate(tries, start=1) for part, p in zip("xy", pair)]
    attempts = [rows[place : place + 2] for place in range(0, len(rows), 2)]
    order.shuffle(attempts)
    settings = {"attempt_that_counts": counts, "attempts_by": by}
    whole = sorted(counted(marks(*rows), **settings))
    assert sorted(counted(marks(*(row for pair in attempts for row in pair)), **settings)) == whole
    assert [row[1] for row in whole] == ["x", "y"]
    if counts == "best":
        possible = [sum(pair) for pair in tries]
        assert sum(row[3] for row in whole) >= max(possible)


def test_roster_settings_are_kept() -> None:
    assert replace(Student("A"), excused=("1",)).excused_from("1")
    assert not Student("A", excused=("1",)).excused_from("2")
