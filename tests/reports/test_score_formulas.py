"""The live formulas of the sheet Scores, worked out by an independent spreadsheet program and compared with pandas."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest
from harbour_class import LABELS
from openpyxl import Workbook, load_workbook

from grader.marking.definitions import Rubric
from grader.methods.solution import Solution
from grader.reports.workbook import feedback_workbook

SOFFICE = shutil.which("soffice") or shutil.which("libreoffice")
needs_a_spreadsheet_program = pytest.mark.skipif(SOFFICE is None, reason="no spreadsheet program on this machine")

Recalculated = tuple[pd.DataFrame, dict[tuple[str, str], list[object]]]
HEADINGS = [f"Problem {label}" for label in LABELS]


@pytest.fixture
def recalculate(tmp_path: Path) -> Callable[[Workbook], Recalculated]:
    """Save a workbook, let the spreadsheet program work it out, and return its scores and its rows of averages."""

    def run(book: Workbook) -> Recalculated:
        source, out = tmp_path / "feedback.xlsx", tmp_path / "out"
        book.save(source)
        assert SOFFICE is not None
        home = f"-env:UserInstallation=file://{tmp_path}/profile"
        command = [SOFFICE, home, "--headless", "--convert-to", "xlsx", "--outdir", str(out), str(source)]
        subprocess.run(command, check=True, capture_output=True, timeout=120)
        sheet = load_workbook(out / "feedback.xlsx", data_only=True)["Scores"]
        rows = [list(row) for row in sheet.iter_rows(values_only=True)]
        head = next(i for i, row in enumerate(rows) if row[0] == "Student ID")
        table = pd.DataFrame(rows[head + 1 :], columns=rows[head]).set_index("Student ID").replace({"": None})
        averages = {(str(row[1]), str(row[2] or "")): row[3:] for row in rows[:head] if row[1]}
        return table, averages

    return run


def expected_scores(marks: pd.DataFrame) -> pd.DataFrame:
    """Points by student and problem; nan where a part has none."""
    grouped = marks.groupby(["student_id", "problem"])["points"]
    sums = grouped.sum().where(grouped.count() == grouped.size()).unstack()[list(LABELS)]
    return sums.assign(total=sums.sum(axis=1, skipna=False))


def assert_scores(table: pd.DataFrame, averages: dict[tuple[str, str], list[object]], marks: pd.DataFrame) -> None:
    expected = expected_scores(marks).loc[table.index]
    found = table[[*HEADINGS, "Total"]].astype(float)
    assert found.to_numpy() == pytest.approx(expected.to_numpy(), nan_ok=True)
    assert table["Percent"].astype(float).to_numpy() == pytest.approx((expected["total"] / 23).to_numpy(), nan_ok=True)
    section = marks.drop_duplicates("student_id").set_index("student_id")["section"]
    for (label, name), values in averages.items():
        if label == "Points possible":
            assert values[: len(LABELS) + 1] == [4, 4, 4, 4, 3, 4, 23]
            continue
        part = expected[section.loc[expected.index] == name] if name else expected
        wanted = [*part.mean(), part["total"].mean() / 23]
        assert [float(str(value)) for value in values[: len(wanted)]] == pytest.approx(wanted)


@needs_a_spreadsheet_program
def test_totals_percents_and_averages_agree_with_pandas(
    marks: pd.DataFrame,
    solutions: tuple[Solution, ...],
    rubric: Rubric,
    recalculate: Callable[[Workbook], Recalculated],
) -> None:
    table, averages = recalculate(feedback_workbook(marks, solutions, rubric))
    assert list(averages) == [
        ("Points possible", ""),
        ("Class average", ""),
        ("Section average", "A"),
        ("Section average", "B"),
    ]
    assert_scores(table, averages, marks)
    waiting = marks[marks["points"].isna()].groupby("student_id").size()
    assert len(waiting) > 5
    opened = table["To look at"].fillna(0).astype(int)
    assert opened[opened > 0].to_dict() == waiting.to_dict()
    assert table.loc["7", HEADINGS].notna().all()  # “007” has an answer to look at, and “7” is somebody else
    assert table.loc["007", HEADINGS].isna().any()


@needs_a_spreadsheet_program
def test_scores_follow_the_points_that_the_teacher_types_even_after_sorting(
    marks: pd.DataFrame,
    solutions: tuple[Solution, ...],
    rubric: Rubric,
    recalculate: Callable[[Workbook], Recalculated],
) -> None:
    book = feedback_workbook(marks, solutions, rubric)
    sheet = book["To look at"]
    head = next(row for row in range(1, 9) if sheet.cell(row, 1).value == "Student ID")
    rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=head + 1)]
    rows = [[*row[:11], 1.25, *row[12:]] for row in rows]
    for number, row in enumerate(reversed(rows), start=head + 1):  # as if sorted from the bottom up
        for column, value in enumerate(row, start=1):
            cell = sheet.cell(number, column)
            cell.value = value
            if isinstance(value, str):
                cell.data_type = "s"
    table, averages = recalculate(book)
    assert_scores(table, averages, marks.assign(points=marks["points"].fillna(1.25)))
    assert table[[*HEADINGS, "Total", "Percent"]].notna().all(axis=None)
    assert not table["To look at"].fillna(0).astype(int).any()


@needs_a_spreadsheet_program
def test_a_percent_is_of_what_the_student_could_earn(
    marks: pd.DataFrame,
    solutions: tuple[Solution, ...],
    rubric: Rubric,
    recalculate: Callable[[Workbook], Recalculated],
) -> None:
    # As where the student is excused from problems 3 and 10 (4 points each): those rows are not among the marks that count.
    student = next(id_ for id_, points in marks.groupby("student_id")["points"] if points.notna().all())
    excused = marks["student_id"].eq(student) & marks["problem"].isin(["3", "10"])
    table, averages = recalculate(feedback_workbook(marks[~excused].reset_index(drop=True), solutions, rubric))
    total = marks.loc[marks["student_id"].eq(student) & ~excused, "points"].sum()
    assert total > 0
    assert table.loc[student, "Total"] == pytest.approx(total)
    assert table.loc[student, "Percent"] == pytest.approx(total / (23 - 8))
    assert averages["Points possible", ""][len(LABELS)] == 23
    others = table.drop(index=student)
    assert others["Percent"].astype(float).to_numpy() == pytest.approx(
        (others["Total"].astype(float) / 23).to_numpy(), nan_ok=True
    )


def test_every_total_is_a_formula(marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric) -> None:
    sheet = feedback_workbook(marks, solutions, rubric)["Scores"]
    head = next(row for row in range(1, 12) if sheet.cell(row, 1).value == "Student ID")
    headings = [cell.value for cell in sheet[head]]
    for name in ("Total", "Percent"):
        column = headings.index(name) + 1
        assert all(sheet.cell(row, column).data_type == "f" for row in range(head + 1, sheet.max_row + 1))
    waiting = set(marks[marks["points"].isna()][["student_id", "problem"]].itertuples(index=False, name=None))
    for row in range(head + 1, sheet.max_row + 1):
        for column, label in enumerate(LABELS, start=4):
            if (sheet.cell(row, 1).value, label) in waiting:
                assert sheet.cell(row, column).data_type == "f"


def test_a_score_without_points_is_shaded_by_a_rule(
    marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric
) -> None:
    sheet = feedback_workbook(marks, solutions, rubric)["Scores"]
    ((area, (rule,)),) = ((str(each.sqref), each.rules) for each in sheet.conditional_formatting)
    assert area == f"D9:K{sheet.max_row}"
    assert rule.formula == ["LEN(D9)=0"]
