"""Marks read back, and the fingerprint of what a student is told."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from grader.errors import GraderError, InputFaults
from grader.exchange.csvfile import as_written, neutralised
from grader.homework import Marked
from grader.mail.compose import as_told
from grader.mail.marks import fingerprint, read_marks
from tests.mail.people import MARKS_HEADER, marks_text, row, rubric, some_rows, write_marks


def test_each_student_has_their_own_rows(tmp_path: Path) -> None:
    write_marks(tmp_path, marks_text(3))
    marks = read_marks(tmp_path / "marks.csv")
    assert [(each.student_id, each.name, each.section) for each in marks] == [
        ("H001", "Pilot 1", "A"),
        ("H002", "Pilot 2", "B"),
        ("H003", "Pilot 3", "A"),
    ]
    assert [each.rows[0].written for each in marks] == ["61.5 N", "62.5 N", "63.5 N"]
    assert marks[0].rows[0].points == 0.0


def test_blank_points_are_open(tmp_path: Path) -> None:
    write_marks(tmp_path, f"{MARKS_HEADER}\r\nH001,,,1,x,no idea,,1 N,needs a look,,2.0,,,,,,,,,\r\n")
    (student,) = read_marks(tmp_path / "marks.csv")
    assert math.isnan(student.rows[0].points)
    assert student.rows[0].open


def test_the_marks_that_the_program_writes_are_read_as_they_were(sample_marked: tuple[Marked, Path]) -> None:
    marked, folder = sample_marked
    students = read_marks(folder / "marks.csv")
    table = marked.marks
    flat = [(each.student_id, one) for each in students for one in each.rows]
    assert [student for student, _ in flat] == table["student_id"].tolist()
    for column in ("problem", "part", "written", "read_as", "expected", "verdict", "feedback"):
        assert [getattr(one, column) for _, one in flat] == [str(cell) for cell in table[column]], column


@pytest.mark.parametrize("text", ["=1+1", "+SUM(A1)", "-x", "@here", "'quoted", "-7.6", "77.8 kN", "", "'=1"])
def test_the_apostrophe_of_the_spreadsheet_is_taken_off(text: str) -> None:
    assert as_written(neutralised(text)) == text or text == "'=1"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("student_id,name\r\nH1,x\r\n", "no column section"),
        (marks_text(1).replace("0.0,2.0", "0.0,many"), "“many”; expected a number"),
        (marks_text(1).replace("0.0,2.0", "inf,2.0"), "“inf”; expected a number"),
    ],
)
def test_a_damaged_file_is_one_sentence(text: str, says: str, tmp_path: Path) -> None:
    write_marks(tmp_path, text)
    with pytest.raises(InputFaults, match=says):
        read_marks(tmp_path / "marks.csv")


def test_no_marks_yet(tmp_path: Path) -> None:
    with pytest.raises(GraderError, match="run grader mark"):
        read_marks(tmp_path / "marks.csv")
    (tmp_path / "marks.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(GraderError, match="cannot be read"):
        read_marks(tmp_path / "marks.csv")


def test_the_fingerprint_changes_with_what_is_told_and_with_nothing_else() -> None:
    rows, key = some_rows(), b"k" * 32
    first = fingerprint("H1", as_told(rows, rubric()), key)
    assert first == fingerprint("H1", as_told(rows, rubric()), key)
    assert first == fingerprint("H1", as_told((replace(rows[0], expected="78 kN"), *rows[1:]), rubric()), key)
    others = [
        fingerprint("H2", as_told(rows, rubric()), key),
        fingerprint("H1", as_told(rows, rubric()), b"other"),
        fingerprint("H1", as_told(rows, rubric(show_answers=True)), key),
        fingerprint("H1", as_told(rows[1:], rubric()), key),
        fingerprint("H1", as_told((row(points=1.0), *rows[1:]), rubric()), key),
        fingerprint("H1", as_told((row(feedback="Draw it."), *rows[1:]), rubric()), key),
    ]
    assert len({first, *others}) == 1 + len(others)
