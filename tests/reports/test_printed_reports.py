"""What goes to the terminal: the key, how columns were matched, and how the class did."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from pathlib import Path

import harbour_class
import pandas as pd
import pytest
from harbour_class import LABELS, PARTS
from rich.cells import cell_len
from rich.console import Console

from grader.marking.definitions import Rubric
from grader.methods.solution import PartKey, Solution, Working
from grader.reports import key
from grader.reports.key import print_key
from grader.reports.summary import common_mistakes, reconcile
from grader.reports.terminal import print_class, print_columns
from grader.reports.words import VERDICT_SIGNS, mistake_name


def piped(width: int = 80) -> Console:
    """A console as it is where the output goes into a file or another program."""
    return Console(file=io.StringIO(), width=width)


def said(console: Console) -> str:
    assert isinstance(console.file, io.StringIO)
    return console.file.getvalue()


def words(text: str) -> str:
    return " ".join(text.split())


def printed_class(marks: pd.DataFrame, console: Console, **more: object) -> str:
    found = reconcile(marks, marks["student_id"].unique(), PARTS)
    print_class(console, marks, found, **more)  # type: ignore[arg-type]
    return said(console)


# ---- columns


def test_every_column_is_shown_with_what_it_was_taken_for() -> None:
    console = piped()
    print_columns(
        console,
        [
            ("a.csv", "Student number", "student id", "words of the heading"),
            ("a.csv", "P1 [size]", "problem 1 magnitude", "label and part"),
            ("b.xlsx", "", "ignored", "no heading"),
        ],
    )
    text = said(console)
    assert "Columns of a.csv" in text
    assert "Columns of b.xlsx" in text
    assert re.search(r"P1 \[size\] +problem 1 magnitude +label and part", text)
    assert "(no heading)" in text


# ---- the class


def test_the_class_is_summed_up(marks: pd.DataFrame) -> None:
    text = printed_class(marks, piped(), notes=["H1009 is not in the roster."], files=[Path("out") / "feedback.xlsx"])
    for verdict, count in marks["verdict"].value_counts().items():
        assert re.search(rf"{re.escape(VERDICT_SIGNS[str(verdict)])} {verdict} +{count} +\d+%", text)
    assert "66 students × 6 problems: 792 parts, each marked once." in text
    assert "! H1009 is not in the roster." in text
    assert str(Path("out") / "feedback.xlsx") in text
    assert "Marks are suggestions; the teacher decides." in text


def test_the_three_most_common_mistakes_are_named_with_their_students(marks: pd.DataFrame) -> None:
    text = printed_class(marks, piped(120))
    top = common_mistakes(marks)
    assert len(top) == 3
    for each in top:
        assert f"{each.count} of {each.answered}" in text
        assert mistake_name(each.mistake).split(";")[0] in text
    more = marks.assign(mistake=[f"own mistake {i % 7}" for i in range(len(marks))], written="1")
    assert len(set(re.findall(r"own mistake \d", printed_class(more, piped())))) == 3


def test_answers_to_look_at_are_listed_and_a_long_list_is_cut(marks: pd.DataFrame) -> None:
    text = printed_class(marks, piped(120))
    waiting = marks[marks["points"].isna()]
    answers = len(waiting.drop_duplicates(["student_id", "problem", "written", "note"]))
    assert f"{answers} answers to look at" in text
    assert f"… and {answers - 12} more" in text
    first = waiting.iloc[0]
    assert re.search(rf"{first.student_id} +{first.problem} {first.part} +{re.escape(first.written)}", text)


def test_a_vector_in_one_box_is_one_answer_to_look_at(marks: pd.DataFrame) -> None:
    one = marks.iloc[:2].assign(written="62 N ?? 353", points=float("nan"), note="why", verdict="needs a look")
    text = printed_class(one, piped())
    assert "1 answer to look at" in text


def test_a_class_without_questions_hears_so(marks: pd.DataFrame) -> None:
    fine = marks.assign(verdict="right", points=1.0, mistake="")
    text = printed_class(fine, piped())
    assert "✓ Nothing needs a look" in text
    assert "No mistake was recognised" in text


def test_marks_that_do_not_reconcile_are_said_so(marks: pd.DataFrame) -> None:
    console = piped()
    print_class(console, marks.iloc[1:], reconcile(marks.iloc[1:], marks["student_id"].unique(), PARTS))
    assert "1 part not marked (007 1 magnitude)" in words(said(console))


@pytest.mark.parametrize("width", [60, 80, 132])
def test_nothing_runs_over_the_edge(
    marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric, width: int
) -> None:
    marks.loc[marks["points"].isna(), "written"] = "x" * 300
    console = piped(width)
    print_key(console, solutions, rubric, {"1": ["A long sentence about what these numbers can reveal. " * 3]})
    text = said(console) + printed_class(marks, piped(width))
    assert max(map(cell_len, text.splitlines())) <= width


def test_a_path_is_never_broken_into_lines(marks: pd.DataFrame) -> None:
    path = Path("/home/teacher") / ("a-rather-long-folder-name-" * 6) / "feedback.xlsx"
    assert str(path) in printed_class(marks, piped(), files=[path])


def test_what_students_wrote_has_no_effect_on_the_terminal(marks: pd.DataFrame) -> None:
    waiting = marks.index[marks["points"].isna()]
    marks.loc[waiting, "written"] = "[red]\x1b[31m62\x07\u202e[/red]\r\n"
    console = Console(file=io.StringIO(), width=120, force_terminal=True, color_system="truecolor")
    text = printed_class(marks, console)
    assert "[red] [31m62 [/red]" in text
    assert "\x1b[31m62" not in text
    assert "\x07" not in text
    assert "\u202e" not in text


def test_piped_output_is_plain_text(marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric) -> None:
    console = piped()
    print_key(console, solutions, rubric)
    assert "\x1b" not in said(console) + printed_class(marks, piped())


# ---- the key


def test_the_key_shows_question_data_answer_and_every_line_of_the_working(
    solutions: tuple[Solution, ...], rubric: Rubric
) -> None:
    console = piped(200)
    print_key(console, solutions, rubric, {"3": ["Two mistakes give one and the same answer here."]})
    text = words(said(console))
    assert "Tugs & currents" in text
    assert "6 problems, 23 points." in text
    assert rubric.warnings[0] in text
    for solution in solutions:
        assert (
            f"Problem {solution.problem.label} · resultant · {'3' if solution.problem.label == '4' else '4'} points"
            in text
        )
        assert words(solution.problem.question) in text
        for part in solution.parts:
            assert f"Answer: {part.part} {part.shown} (" in text
        for working in solution.workings:
            for line in working.lines:
                assert f"{line.step} {words(line.text)}" in text
    assert "! The two forces are nearly at a right angle." in text
    assert text.count("What these numbers can reveal") == 1
    assert "• Two mistakes give one and the same answer here." in text
    assert text.count("By the parallelogram By components (not asked") == 0
    assert text.count("By components (not asked for: a check)") == len(LABELS)


def test_a_problem_without_an_answer_says_why(solutions: tuple[Solution, ...], rubric: Rubric) -> None:
    console = piped()
    none = Solution(solutions[0].problem, (), none="There is no such triangle: the side is too short to reach.")
    print_key(console, [none], rubric)
    assert "Answer There is no such triangle: the side is too short to reach." in words(said(console))


@pytest.mark.parametrize(
    ("part", "remark"),
    [
        (PartKey("magnitude", 62.04263, 0.1, 0.0031, "", 2), "62.0426, asked to 0.1; honest working may move it by 0.0031"),
        (
            PartKey("direction", 352.97031, 1.0, 0.0, "", 2, circular=True),
            "352.970° in standard position, asked to 1°",
        ),
        (PartKey("x", -7.59123, 0.01, 0.0, "", 2), "−7.59123, asked to 0.01"),
        (PartKey("A", 42.5, 0.1, 0.02, "", 2, others=(137.5,)), "42.5000° or 137.5000°, asked to 0.1°; honest working may move it by 0.02°"),  # noqa: E501
        (PartKey("value", 12345.6, 100.0, 0.0, "", 2), "12345.600, asked to 100"),
    ],
)  # fmt: skip
def test_behind_each_answer_stand_its_exact_value_its_place_and_its_room(part: PartKey, remark: str) -> None:
    assert key.remark(part) == remark


def test_two_workings_by_one_method_are_the_two_triangles() -> None:
    working = Working("sines and cosines", ())
    assert key.method_titles((working, working)) == (
        "The first triangle, by sines and cosines",
        "The second triangle, by sines and cosines",
    )
    assert key.method_titles((replace(working, asked=False),)) == ("By sines and cosines (not asked for: a check)",)


def test_one_point_is_not_points() -> None:
    (solution, *_) = harbour_class.solutions()
    assert key.heading(replace(solution.problem, points=(0.5, 0.5))) == "Problem 1 · resultant · 1 point"
    assert key.answer(PartKey("x", 1.0, 0.1, 0.0, "1.0 N", 1.0)) == "1.0 N (1 point)"
