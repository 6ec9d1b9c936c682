"""Attempts, lateness and excuses as a teacher writes them into the rubric, from the workbook to the files."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from openpyxl import load_workbook

from grader.cli import main
from grader.errors import InputFaults
from grader.homework import mark_homework, read_homework, scores
from grader.marking.definitions import ALL_PROBLEMS, Deduction
from grader.rubric import cells, read_rubric
from grader.rubric.cells import CellError

Book = Callable[..., Path]

DURATIONS = {
    "2 days": timedelta(days=2),
    "36 hours": timedelta(hours=36),
    "1 week": timedelta(weeks=1),
    "1 day, 12 h": timedelta(hours=36),
    "1 week and 2 days": timedelta(days=9),
    "1,5 days": timedelta(hours=36),
    "90 min": timedelta(minutes=90),
}


@pytest.mark.parametrize(("written", "expected"), DURATIONS.items())
def test_extra_time(written: str, expected: timedelta) -> None:
    assert cells.duration(written) == expected


@pytest.mark.parametrize(
    ("written", "remedy"), [("2", "2 days or 2 hours"), ("soon", ""), ("9 years", ""), ("99 weeks", "")]
)
def test_extra_time_that_is_none(written: str, remedy: str) -> None:
    with pytest.raises(CellError) as error:
        cells.duration(written)
    assert remedy in error.value.remedy


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("10 %", Deduction(0.1)),
        ("10%", Deduction(0.1)),
        ("0.5", Deduction(0.5, "points")),
        (0.5, Deduction(0.5, "points")),
        ("0,5 points", Deduction(0.5, "points")),
        ("1 pt", Deduction(1.0, "points")),
    ],
)
def test_deductions(written: Any, expected: Deduction) -> None:
    assert cells.deduction(written) == expected


@pytest.mark.parametrize("written", ["-1", "much", "110 %", "-5 %"])
def test_deductions_that_are_none(written: str) -> None:
    with pytest.raises(CellError, match="a deduction such as"):
        cells.deduction(written)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("yes", (ALL_PROBLEMS,)),
        ("no", ()),
        ("all", (ALL_PROBLEMS,)),
        (True, (ALL_PROBLEMS,)),
        ("2A", ("2a",)),
        ("2a; 1", ("2a", "1")),
        (1, ("1",)),
    ],
)
def test_excused(written: Any, expected: tuple[str, ...]) -> None:
    assert cells.excused(written, ("1", "2a")) == expected


def test_excused_from_what_is_no_problem() -> None:
    with pytest.raises(CellError, match="yes, no, or"):
        cells.excused("9", ("1", "2a"))


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("2026-03-11 18:00", datetime(2026, 3, 11, 18)),
        ("2026-03-11", datetime(2026, 3, 11, 23, 59, 59)),
        (datetime(2026, 3, 11), datetime(2026, 3, 11, 23, 59, 59)),
        ("11 March 2026, 6 pm", datetime(2026, 3, 11, 18)),
    ],
)
def test_due(written: Any, expected: datetime) -> None:
    assert cells.moment(written) == expected


@pytest.mark.parametrize(
    ("written", "remedy"), [("03/04/2026", "write the year first"), ("Friday", ""), ("2026-03-11 18:00 Z", "time zone")]
)
def test_due_that_leaves_doubt(written: str, remedy: str) -> None:
    with pytest.raises(CellError) as error:
        cells.moment(written)
    assert remedy in error.value.remedy


def test_faults_of_the_rules_come_with_their_places(book: Book) -> None:
    with pytest.raises(InputFaults) as refusal:
        read_rubric(
            book(
                Settings=[{"Setting": "due", "Value": "Friday"}, {"Setting": "time zone", "Value": "Harbour"}],
                Students=[{"Student ID": "7", "Excused": "9", "Extra time": "2"}],
            )
        )
    assert [fault.place() for fault in refusal.value.faults] == [
        "rubric.xlsx, sheet Settings, row 2, column Value",
        "rubric.xlsx, sheet Settings, row 3, column Value",
        "rubric.xlsx, sheet Students, row 2, column Excused",
        "rubric.xlsx, sheet Students, row 2, column Extra time",
    ]


PROBLEMS = [
    {"Problem": "1", "Find": "magnitude and direction", "Given": "(3, 4) N", "Unit": "N", "Points": "1 + 1"},
    {"Problem": "2", "Find": "expression", "Given": "v = 18; t = 2", "Answer": "v*t", "Points": "2"},
]
SETTINGS = [
    {"Setting": "title", "Value": "Tugs"},
    {"Setting": "due", "Value": "2026-03-11 18:00"},
    {"Setting": "late per day", "Value": "25 %"},
    {"Setting": "attempt that counts", "Value": "best"},
    {"Setting": "attempts by", "Value": "problem"},
]
STUDENTS = [
    {"Student ID": "101", "Name": "Ana Reyes"},
    {"Student ID": "102", "Name": "Ben Okafor", "Extra time": "1 day"},
    {"Student ID": "103", "Name": "Cy Nakamura", "Excused": "2"},
    {"Student ID": "104", "Name": "Di Moreau", "Excused": "yes"},
]
EXPORT = """Student ID,Attempt,Submitted,Q1 magnitude,Q1 direction,Q2
101,1,2026-03-11 17:00,5 N,99°,36
101,2,2026-03-11 19:00,5 N,53°,9
102,1,2026-03-12 12:00,5 N,53°,36
103,1,2026-03-11 12:00,5 N,53°,
"""


def test_the_rules_from_the_workbook_to_the_files(book: Book, tmp_path: Path) -> None:
    rubric = book(Problems=PROBLEMS, Settings=SETTINGS, Students=STUDENTS)
    (tmp_path / "answers.csv").write_text(EXPORT, encoding="utf-8")
    out = tmp_path / "results"
    result = CliRunner().invoke(main, ["mark", str(rubric), str(tmp_path / "answers.csv"), "--out", str(out)])
    assert result.exit_code == 0, result.output
    said = " ".join(result.output.split())
    assert "3 students × 2 problems: 9 parts, each marked once." in said
    assert "Excused, from all or a part: 103." in said
    assert "in no export, and excused: 104" in said
    assert "1 student handed in late" in said
    with (out / "marks.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    found = {(row["student_id"], row["problem"], row["part"]): row for row in rows}
    assert {key: (row["attempt"], float(row["points"]), int(row["days_late"])) for key, row in found.items()} == {
        # Ana's second attempt at problem 1 is right and late: 75 % of 2 beats 1. Her first at problem 2 stands.
        ("101", "1", "magnitude"): ("2", 0.75, 1),
        ("101", "1", "direction"): ("2", 0.75, 1),
        ("101", "2", "value"): ("1", 2.0, 0),
        ("102", "1", "magnitude"): ("1", 1.0, 0),
        ("102", "1", "direction"): ("1", 1.0, 0),
        ("102", "2", "value"): ("1", 2.0, 0),
        ("103", "1", "magnitude"): ("1", 1.0, 0),
        ("103", "1", "direction"): ("1", 1.0, 0),
        ("103", "2", "value"): ("1", 0.0, 0),
    }
    assert found["103", "2", "value"]["points_possible"] == "0.0"
    assert found["101", "1", "magnitude"]["feedback"].endswith("Handed in 60 minutes late (1 day begun): 25% off.")
    with (out / "answers-scores.csv").open(encoding="utf-8-sig", newline="") as file:
        given_back = [(row["Score"], row["Points possible"]) for row in csv.DictReader(file)]
    assert given_back == [("", ""), ("3.5", "4"), ("4", "4"), ("2", "2")]
    with zipfile.ZipFile(out / "oneroster.zip") as archive:
        results = list(csv.DictReader(io.StringIO(archive.read("results.csv").decode("utf-8"))))
    assert [(row["studentSourcedId"], row["scoreStatus"], row["score"], row["late"]) for row in results] == [
        ("101", "fully graded", "3.5", "true"),
        ("102", "fully graded", "4", "false"),
        ("103", "fully graded", "4", "false"),
        ("104", "exempt", "", "false"),
    ]


def test_who_is_excused_from_everything_has_no_score(book: Book, tmp_path: Path) -> None:
    rubric = book(Problems=PROBLEMS, Settings=SETTINGS, Students=STUDENTS)
    (tmp_path / "answers.csv").write_text(f"{EXPORT}104,1,2026-03-11 12:00,5 N,,\n", encoding="utf-8")
    out = tmp_path / "results"
    result = CliRunner().invoke(main, ["mark", str(rubric), str(tmp_path / "answers.csv"), "--out", str(out)])
    assert result.exit_code == 0, result.output
    assert "Excused, from all or a part: 103 and 104." in " ".join(result.output.split())
    with (out / "answers-scores.csv").open(encoding="utf-8-sig", newline="") as file:
        given_back = {row["Student ID"]: (row["Score"], row["Points possible"]) for row in csv.DictReader(file)}
    # A 0 of 0 would be loaded into a gradebook as a score of nothing.
    assert given_back["104"] == ("", "")
    assert given_back["103"] == ("2", "2")
    scores_sheet = load_workbook(out / "feedback.xlsx")["Scores"]
    assert "104" not in {str(cell.value) for cell in scores_sheet["A"]}


def test_a_decision_whose_note_says_excused_is_a_mark(book: Book, tmp_path: Path) -> None:
    decision = {"Student ID": "101", "Problem": "2", "Points": 1, "Note": "excused"}
    rubric = book(Problems=PROBLEMS, Students=STUDENTS, Decisions=[decision])
    (tmp_path / "answers.csv").write_text(EXPORT, encoding="utf-8")
    read, export = read_homework(rubric, [tmp_path / "answers.csv"])
    marked = mark_homework(read, export)
    assert scores(marked.marks)["101"] == (3.0, 4.0)
    assert not any("101" in note for note in marked.notes)
