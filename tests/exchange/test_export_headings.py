"""Columns known by the words of the trade, and by the sheet Columns."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from grader.exchange.columns import ColumnMatcher
from grader.exchange.meanings import IGNORE, Meaning, forms_of, read_holds, wordings
from grader.marking.definitions import ColumnRule, Rubric

with (Path(__file__).parent / "headings.csv").open(encoding="utf-8", newline="") as table:
    HEADINGS = [(row["heading"], row["holds"]) for row in csv.DictReader(table)]


@pytest.mark.parametrize(("heading", "holds"), HEADINGS, ids=[heading for heading, _ in HEADINGS])
def test_a_heading_is_known_by_its_words(rubric: Rubric, heading: str, holds: str) -> None:
    (match,) = ColumnMatcher(rubric).match([heading])
    assert match.holds == (holds or "ignored")
    assert match.how


@pytest.mark.parametrize(
    ("text", "meaning"),
    [
        ("Student ID", Meaning("student id")),
        ("IGNORE", IGNORE),
        ("problem 1", Meaning("answer", "1", "whole")),
        ("Problem 1 Magnitude", Meaning("answer", "1", "magnitude")),
        ("problem 2A x", Meaning("answer", "2a", "x")),
        ("problem 2b", Meaning("answer", "2b", "value")),
        ("problem 3 C", Meaning("answer", "3", "C")),
        ("problem 3 c", Meaning("answer", "3", "c")),
        ("problem 9", None),
        ("problem 1 x", None),
        ("problem 3 direction", None),
        ("1 magnitude", None),
        ("problem", None),
        ("", None),
    ],
)
def test_what_the_sheet_columns_says(rubric: Rubric, text: str, meaning: Meaning | None) -> None:
    assert read_holds(text, forms_of(rubric.problems)) == meaning


def test_every_wording_offered_is_read_and_is_what_is_shown(rubric: Rubric) -> None:
    forms = forms_of(rubric.problems)
    for wording in wordings(forms):
        meaning = read_holds(wording, forms)
        assert meaning is not None
        assert str(meaning) == wording


def holds(rubric: Rubric, *headings: str) -> list[str]:
    return [match.holds for match in ColumnMatcher(rubric).match(headings)]


def test_the_surest_column_is_taken_and_the_other_shown_with_the_reason(rubric: Rubric) -> None:
    assert holds(rubric, "ID", "Student ID", "Student") == ["ignored", "student id", "name"]
    assert holds(rubric, "Student", "Name") == ["student id", "name"]
    assert holds(rubric, "Name", "First name", "Last name") == ["name", "ignored", "ignored"]
    match = ColumnMatcher(rubric).match(["ID", "Student ID"])[0]
    assert match.how == "student id is taken from “Student ID”"


def test_the_sheet_columns_wins_over_words(rubric: Rubric) -> None:
    rules = (ColumnRule("Tug pull", "problem 1 magnitude"), ColumnRule("Q1 direction", "ignore"))
    ruled = replace(rubric, columns=rules)
    assert holds(ruled, "tug  PULL", "Q1 direction", "Q1 angle") == [
        "problem 1 magnitude",
        "ignored",
        "problem 1 direction",
    ]


def test_columns_stay_in_their_order_and_all_are_shown(rubric: Rubric) -> None:
    headings = ["Remarks", "", "Student ID", "Q1", "Lucky number"]
    matches = ColumnMatcher(rubric).match(headings)
    assert [match.heading for match in matches] == headings
    assert [match.index for match in matches] == [0, 1, 2, 3, 4]
    assert matches[1].how == "no heading"


def test_a_part_misspelt_beside_a_known_part_is_asked_about(rubric: Rubric) -> None:
    matcher = ColumnMatcher(rubric)
    (fault,) = matcher.unclear_parts(matcher.match(["ID", "P1 size", "P1 dirction"]), "answers.csv", "", 1)
    assert str(fault) == (
        "answers.csv, row 1, column C: found “P1 dirction”, of which the part of problem 1 is not clear, beside “P1 size” "
        "for problem 1 magnitude; expected the name of a part, or of something that is no answer. Did you mean direction? "
        "Say in the sheet Columns of the rubric what it holds: “problem 1 direction” or “ignore”."
    )
    (fault,) = matcher.unclear_parts(matcher.match(["ID", "P1 size", "P1 tug"]), "answers.csv", "", 1)
    assert fault.remedy.endswith("“problem 1 direction” or “ignore”.")
    items = matcher.match_items([("Q1", "size"), ("Q1 dirction", "")])
    assert [each.found for each in matcher.unclear_parts(items, "answers.csv")]


@pytest.mark.parametrize(
    "heading", ["P1", "P1 answer", "Problem 1 (4 points)", "P1: magnitude and direction", "P1 score"]
)
def test_a_whole_answer_beside_a_part_is_taken_as_it_says(rubric: Rubric, heading: str) -> None:
    matcher = ColumnMatcher(rubric)
    assert matcher.unclear_parts(matcher.match(["ID", "P1 size", heading]), "answers.csv", "", 1) == []


def test_parts_misspelt_with_no_known_part_beside_them_hold_the_problem(rubric: Rubric) -> None:
    matcher = ColumnMatcher(rubric)
    matches = matcher.match(["ID", "P1 dirction"])
    assert matches[1].holds == "problem 1"
    assert matcher.unclear_parts(matches, "answers.csv", "", 1) == []


def test_rules_for_headings_that_no_export_has_are_told(rubric: Rubric) -> None:
    rules = (ColumnRule("Tug pull", "ignore"), ColumnRule("column C", "name"), ColumnRule("id", "student id"))
    matcher = ColumnMatcher(replace(rubric, columns=rules))
    assert matcher.idle_rules({("a.csv", ""): matcher.match(["ID", "P1"])}) == ["Tug pull", "column C"]
    assert matcher.idle_rules({("a.csv", ""): matcher.match(["ID", "P1", "Q"])}) == ["Tug pull"]
