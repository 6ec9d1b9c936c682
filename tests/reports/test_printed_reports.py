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
from grader.methods.part_names import names_of_parts
from grader.methods.solution import PartKey, Solution, Working
from grader.reports import key
from grader.reports.key import print_key
from grader.reports.summary import common_mistakes, reconcile
from grader.reports.terminal import BY_SHEET, print_class, print_columns, print_columns_briefly
from grader.reports.words import VERDICT_SIGNS, mistake_name, why
from tests.posed import posed, solved


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


def test_columns_that_were_all_matched_take_one_line_before_the_results() -> None:
    sure = [("a.csv", "ID", "student id", "words"), ("a.csv", "", "ignored", "no heading")]
    open_ = [("b.xlsx", "ID", "student id", "words"), ("b.xlsx", "Mood", "ignored", "no word of it is known")]
    left_out = [("c.csv", "Mood", "ignored", BY_SHEET)]
    console = piped()
    print_columns_briefly(console, [*sure, *open_, *left_out])
    text = " ".join(said(console).split())
    assert "Every column was matched: a.csv (2 columns), c.csv (1 column). grader columns shows" in text
    assert "Columns of b.xlsx" in text
    assert "no word of it is known" in text
    assert "Columns of a.csv" not in text
    console = piped()
    print_columns_briefly(console, open_)
    assert "Every column" not in said(console)


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
        assert re.search(rf"{re.escape(VERDICT_SIGNS[str(verdict)])} {verdict} +{count} +\d+ %", text)
    assert "66 students × 6 problems: 792 parts, each marked once." in text
    assert "! H1009 is not in the roster." in text
    assert str(Path("out") / "feedback.xlsx") in text
    assert "Marks are suggestions; the teacher decides." in text


def test_the_three_most_common_mistakes_are_named_with_their_students(marks: pd.DataFrame) -> None:
    text = printed_class(marks, piped(120))
    top = common_mistakes(marks)[:3]
    for each in top:
        assert f"{each.count} of {each.answered}" in text
        assert mistake_name(each.mistake).split(";")[0] in text
    more = marks.assign(mistake=[f"own mistake {i % 7}" for i in range(len(marks))], written="1")
    assert len(set(re.findall(r"own mistake \d", printed_class(more, piped())))) == 3


def test_answers_to_look_at_are_listed_and_a_long_list_is_cut(marks: pd.DataFrame) -> None:
    text = printed_class(marks, piped(120))
    waiting = marks[marks["points"].isna()]
    answers = len(waiting.drop_duplicates(["student_id", "problem"]))
    assert f"{len(waiting)} parts in {answers} answers need your eyes" in text
    assert f"… and {answers - 12} more answers" in text
    first = waiting.iloc[0]
    assert re.search(rf"{first.student_id} +{first.problem} {first.part} +{re.escape(first.written)}", text)


def test_a_vector_in_one_box_is_one_answer_to_look_at(marks: pd.DataFrame) -> None:
    one = marks.iloc[:2].assign(written="62 N ?? 353", points=float("nan"), note="why", verdict="needs a look")
    text = printed_class(one, piped())
    assert "2 parts in 1 answer need your eyes" in text
    assert len(re.findall(r"62 N \?\? 353 +why", text)) == 1


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
    ("part", "form", "remark"),
    [
        (PartKey("magnitude", 77.78512, 0.1, 0.0051, "77.8 N", 2), "any", "77.7851, asked to 0.1; accepted from 77.73 to 77.84"),
        (
            PartKey("direction", 352.97031, 1.0, 0.0, "353°", 2, circular=True),
            "any",
            "352.970° in standard position, asked to 1°; accepted from 352.5° to 353.5°",
        ),
        # By hand: the bearing is 90° − 59.557° = 30.443°, of which the standard angle is the complement.
        (
            PartKey("direction", 59.557, 1.0, 0.02, "030°", 2, circular=True),
            "true bearing",
            "030.443° as a true bearing, asked to 1°; accepted from 029.9° to 031.0°",
        ),
        (
            PartKey("direction", 342.802, 0.1, 0.0, "S 72.8° E", 2, circular=True),
            "quadrant bearing",
            "S 72.8020° E, asked to 0.1°; accepted from S 72.75° E to S 72.85° E",
        ),
        (PartKey("x", -7.59123, 0.01, 0.0, "−7.59 N", 2), "any", "−7.59123, asked to 0.01; accepted from −7.596 to −7.586"),
        (
            PartKey("A", 42.5, 0.1, 0.02, "42.5° or 137.5°", 2, others=(137.5,)),
            "any",
            "42.5000° or 137.5000°, asked to 0.1°; accepted from 42.43° to 42.57° or from 137.43° to 137.57°",
        ),
        (PartKey("value", 12345.6, 100.0, 0.0, "12300", 2), "any", "12345.600, asked to 100; accepted from 12295.6 to 12395.6"),
        (PartKey("value", float("nan"), 1.0, 0.0, "no triangle", 2), "any", ""),
    ],
)  # fmt: skip
def test_behind_each_answer_stand_its_exact_value_its_place_and_what_is_accepted(
    part: PartKey, form: str, remark: str
) -> None:
    problem = replace(harbour_class.solutions()[0].problem, direction_as=form)
    assert key.remark(part, problem) == remark


def test_the_key_of_a_problem_without_an_answer_shows_no_number(rubric: Rubric) -> None:
    console = piped(200)
    print_key(console, [solved("triangle", "a=3; c=17; A=35°").solution], rubric)
    assert "no triangle (" in said(console)
    assert "nan" not in said(console)
    assert "asked to" not in said(console)


@pytest.mark.parametrize(
    ("find", "given", "names"),
    [
        ("heading", "water speed 9 km/h; current 5 km/h toward E; track N", ("Ground speed", "Heading")),
        ("ramp", "50 lb on 19°", ("Along the ramp", "Into the ramp")),
    ],
)
def test_the_key_calls_parts_as_people_do(find: str, given: str, names: tuple[str, ...], rubric: Rubric) -> None:
    console = piped(200)
    print_key(console, [solved(find, given).solution], rubric)
    assert re.findall(r"Answer: ([A-Z][a-z ]+?)  ", said(console)) == list(names)


def test_the_list_of_answers_to_look_at_calls_parts_as_people_do_and_says_why(marks: pd.DataFrame) -> None:
    note = "cannot be read: says that there is no answer"
    one = marks.iloc[:1].assign(written="none", points=float("nan"), note=note, verdict="needs a look")
    problem = posed("heading", "water speed 9 km/h; current 5 km/h toward E; track N", label="1")
    text = printed_class(one, piped(120), part_names=names_of_parts([problem]))
    assert "1 part in 1 answer needs your eyes" in text
    assert re.search(r"1 Ground speed +none +the student says there is no answer", text)


def test_an_answer_that_needs_a_look_always_has_a_reason() -> None:
    assert why("") == why("  ") == "more than one way to take it"
    assert why("can be read as 62.0 or as 6 and 2.0") == "can be read as 62.0 or as 6 and 2.0"
    assert (
        why("cannot be read: says that there is no answer; attempt 2 needs a look")
        == "the student says there is no answer; attempt 2 needs a look"
    )


def test_two_workings_by_one_method_are_the_two_triangles() -> None:
    working = Working("sines and cosines", ())
    assert key.method_titles((working, working)) == (
        "The first triangle, by the laws of sines and cosines",
        "The second triangle, by the laws of sines and cosines",
    )
    assert key.method_titles((replace(working, asked=False),)) == (
        "By the laws of sines and cosines (not asked for: a check)",
    )


def test_one_point_is_not_points() -> None:
    (solution, *_) = harbour_class.solutions()
    assert key.heading(replace(solution.problem, points=(0.5, 0.5))) == "Problem 1 · resultant · 1 point"
    assert key.answer(PartKey("x", 1.0, 0.1, 0.0, "1.0 N", 1.0)) == "1.0 N (1 point)"
