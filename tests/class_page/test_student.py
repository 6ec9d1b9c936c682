"""One student's own part: what is in it, and what must never be."""

from __future__ import annotations

import pandas as pd
import pytest

from grader.homework import Marked
from grader.marking.mark import solve_all
from grader.reports.class_page.student import student_pictures, student_section
from tests.posed import solved as solve

RIGHT = ("right", "right, other form")


def _of(marked: Marked, student: str) -> pd.DataFrame:
    return marked.marks[marked.marks["student_id"] == student]


def _students(marked: Marked) -> list[str]:
    return list(dict.fromkeys(marked.marks["student_id"]))


def test_a_picture_for_every_missed_problem_with_a_number_and_for_no_other(marked: Marked) -> None:
    solved = solve_all(marked.rubric)
    for student in _students(marked):
        rows = _of(marked, student)
        missed = rows[~rows["verdict"].isin(RIGHT)]["problem"].unique()
        numbers = rows[rows["value"].notna()]["problem"].unique()
        assert set(student_pictures(solved, rows, False)) == set(missed) & set(numbers)


def test_nothing_of_anyone_else_is_in_it(marked: Marked) -> None:
    solved = solve_all(marked.rubric)
    people = marked.marks.drop_duplicates("student_id")
    for student in _students(marked)[::6]:
        text = student_section(solved, _of(marked, student), show_answers=True)
        for other, name in zip(people["student_id"], people["name"]):
            if other != student:
                assert other not in text
                assert name not in text


def test_rows_of_two_students_are_refused(marked: Marked) -> None:
    with pytest.raises(ValueError, match="one student alone"):
        student_section(solve_all(marked.rubric), marked.marks, show_answers=False)


def test_the_answer_is_kept_back_unless_it_may_be_shown(marked: Marked) -> None:
    """No text, attribute or drawing of the part gives an expected answer away that the student did not write."""
    solved = solve_all(marked.rubric)
    checked = 0
    for student in _students(marked):
        rows = _of(marked, student)
        text = student_section(solved, rows, show_answers=False)
        own = " ".join([*rows["written"], *rows["read_as"]])
        for expected, verdict in zip(rows["expected"], rows["verdict"]):
            number = expected.split()[0]
            if verdict == "wrong" and len(number) > 3 and number not in own:
                assert f">{expected}<" not in text
                assert f"R = {expected}" not in text
                checked += 1
        assert "probably parted" not in text
    assert checked > 50


def test_the_working_is_shown_by_the_method_asked_with_the_parting_line(marked: Marked) -> None:
    rows = marked.marks[marked.marks["mistake"].eq("obtuse-missed")]
    student = rows["student_id"].iloc[0]
    mine = _of(marked, student)
    text = student_section(solve_all(marked.rubric), mine[mine["problem"] == "2"], show_answers=True)
    assert "The working by the parallelogram" in text
    marked_lines = [part.partition("</mark>")[0] for part in text.split("<mark>")[1:]]
    assert len(marked_lines) == 1
    assert marked_lines[0].startswith("θ = sin⁻¹")


def test_one_who_missed_nothing_has_no_part(marked: Marked) -> None:
    right = marked.marks.groupby("student_id")["verdict"].agg(lambda verdicts: verdicts.isin(RIGHT).all())
    best = right[right].index
    assert len(best)
    solved = solve_all(marked.rubric)
    assert student_section(solved, _of(marked, best[0]), show_answers=True) == ""
    assert student_pictures(solved, _of(marked, best[0]), True) == {}


def test_what_the_student_wrote_is_text(marked: Marked) -> None:
    rows = _of(marked, marked.marks[marked.marks["verdict"] == "wrong"]["student_id"].iloc[0]).copy()
    rows["written"] = "<b onclick=x>62</b>"
    text = student_section(solve_all(marked.rubric), rows, show_answers=False)
    assert "<b onclick" not in text
    assert "&lt;b onclick=x&gt;" in text


@pytest.mark.parametrize(
    ("find", "given", "parts", "names"),
    [
        (
            "heading",
            "water speed 9 km/h; current 5 km/h toward E; track N",
            ("magnitude", "direction"),
            ("Ground speed", "Heading"),
        ),
        ("ramp", "50 lb on 19°", ("x", "y"), ("Along the ramp", "Into the ramp")),
    ],
)
def test_parts_are_called_as_people_do(
    marked: Marked, find: str, given: str, parts: tuple[str, ...], names: tuple[str, ...]
) -> None:
    one = solve(find, given, label="1")
    rows = marked.marks.iloc[:2].assign(
        student_id="s", problem="1", part=list(parts), verdict="wrong", mistake="", value=[1.0, 2.0], line=""
    )
    text = student_section([one], rows, show_answers=True)
    for part, name in zip(parts, names):
        assert f'<th scope="row">{name}</th>' in text
        assert f'<th scope="row">{part}</th>' not in text


def test_the_working_of_a_triangle_is_by_the_laws_of_sines_and_cosines(marked: Marked) -> None:
    one = solve("triangle", "a=3; b=4; c=5", label="1")
    rows = marked.marks.iloc[:1].assign(problem="1", part="A", verdict="wrong", mistake="", value=[10.0], line="")
    text = student_section([one], rows, show_answers=True)
    assert "The working by the laws of sines and cosines" in text
    assert "parallelogram" not in text
