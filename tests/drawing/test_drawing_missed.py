"""One student's missed problems: which are drawn, and what must not be in the drawing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import grader
from grader.marking.definitions import Rubric
from grader.marking.mark import solve_all
from grader.reports.drawing.missed import missed_pictures
from tests.drawing.seen import Seen

RIGHT = ("right", "right, other form")


@pytest.fixture(scope="module")
def marked(sample_rubric: Path, sample_exports: tuple[Path, ...]) -> tuple[Rubric, pd.DataFrame]:
    rubric = grader.read_rubric(sample_rubric)
    return rubric, grader.mark_class(rubric, grader.read_export(sample_exports, rubric))


def by_student(marks: pd.DataFrame) -> Iterator[tuple[pd.DataFrame, list[Any]]]:
    for _, rows in marks.groupby("student_id", sort=False):
        yield rows, list(rows.itertuples(index=False))


def test_a_picture_for_every_missed_problem_with_a_number_and_for_no_other(marked: tuple[Rubric, pd.DataFrame]) -> None:
    rubric, marks = marked
    solved = solve_all(rubric)
    flawless = 0
    for table, rows in by_student(marks):
        missed = set(table[~table["verdict"].isin(RIGHT)]["problem"])
        numbers = set(table[table["value"].notna()]["problem"])
        assert set(missed_pictures(solved, rows, False)) == missed & numbers
        assert set(missed_pictures(solved, rows, True)) == missed
        flawless += not missed
    assert flawless


def test_the_right_vector_is_drawn_only_where_answers_may_be_shown(marked: tuple[Rubric, pd.DataFrame]) -> None:
    rubric, marks = marked
    solved = solve_all(rubric)
    checked = drawn = 0
    for _, rows in list(by_student(marks))[::8]:
        shown = missed_pictures(solved, rows, True)
        for label, picture in missed_pictures(solved, rows, False).items():
            assert not Seen(picture.svg).named("right")
            drawn += len(Seen(shown[label].svg).named("right"))
            own = " ".join(f"{row.written} {row.read_as}" for row in rows if row.problem == label)
            for row in rows:
                number = row.expected.split()[0]
                if row.problem == label and row.verdict == "wrong" and len(number) > 3 and number not in own:
                    assert number not in picture.svg + picture.text
                    checked += number in shown[label].svg + shown[label].text
    assert checked > 5
    assert drawn > 5
