"""A file given in the place of another is told by one sentence."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest

from grader.errors import GraderError
from grader.exchange.export import read_exports
from grader.homework import mark_homework, read_homework
from grader.marking.definitions import Rubric
from grader.reports.workbook import feedback_workbook
from grader.rubric import read_rubric, write_blank

Write = Callable[..., Path]


@pytest.fixture
def feedback(tmp_path: Path, sample_rubric: Path, sample_exports: tuple[Path, ...]) -> Path:
    rubric, export = read_homework(sample_rubric, sample_exports[:1])
    students = list(dict.fromkeys(export.answers["student_id"]))[:2]
    export.answers.drop(export.answers.index[~export.answers["student_id"].isin(students)], inplace=True)
    marked = mark_homework(rubric, export)
    content = io.BytesIO()
    feedback_workbook(marked.marks, marked.solutions, rubric).save(content)
    path = tmp_path / "feedback.xlsx"
    path.write_bytes(content.getvalue())
    return path


def refusal(path: Path, read: Callable[[Path], object]) -> str:
    with pytest.raises(GraderError) as error:
        read(path)
    assert "\n" not in str(error.value)
    return str(error.value)


def test_the_feedback_is_neither_export_nor_rubric(feedback: Path, two: Rubric) -> None:
    said = refusal(feedback, lambda path: read_exports(path, two))
    assert said.startswith("feedback.xlsx is the feedback that this program wrote, no export of answers;")
    assert refusal(feedback, read_rubric).startswith(
        "feedback.xlsx is the feedback that this program wrote, no rubric;"
    )


def test_a_rubric_is_no_export(tmp_path: Path, sample_rubric: Path, two: Rubric) -> None:
    for path in (sample_rubric, write_blank(tmp_path / "blank.xlsx")):
        said = refusal(path, lambda path: read_exports(path, two))
        assert said == f"{path.name} is a rubric, no export of answers; give the rubric first and the exports after it."


def test_an_export_is_no_rubric(sample_exports: tuple[Path, ...]) -> None:
    text, workbook = sample_exports
    assert "it looks like an export of answers, no rubric" in refusal(workbook, read_rubric)
    assert "a rubric is an .xlsx workbook, and is named before the exports" in refusal(text, read_rubric)


def test_an_export_may_have_a_sheet_of_that_name(workbook: Write, two: Rubric) -> None:
    rows: list[list[object]] = [["ID", "Q1 magnitude", "Q1 direction", "2a"], ["101", "62", "353", "(1, 2)"]]
    assert len(read_exports(workbook({"Problems": rows, "Feedback": []}), two).answers) == 2
