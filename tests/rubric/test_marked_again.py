"""Through the command line: a homework marked again with fewer exports, and score files that go back to their platform."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from grader.cli import main

Book = Callable[..., Path]

TUGS = {"Problem": "1", "Find": "resultant", "Given": "30 N at 0°; 40 N at 90°", "Answer as": "components", "Points": 4}
LINES = {"Problem": "2", "Find": "resultant", "Given": "30 N at 0°; 40 N at 90°", "Points": "2 + 2"}
BY_STUDENT = "ID,Q1,Q2\n1,30i + 40j,50 at 53°\n2,=30i,-50 at 53°\n"
BY_ANSWER = "ID;Item;Response;Points\n3;Q1;-30i + 40j;0\n3;Q2;50 at 53°;0\n4;Q1;30i + 40j;0\n4;Q2;gull at 53°;0\n"


@pytest.fixture
def homework(book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., str]:
    monkeypatch.setattr("grader.homework.page_of", lambda *_: b"")
    rubric = book("rubric.xlsx", Problems=[TUGS, LINES])
    (tmp_path / "day.csv").write_text(BY_STUDENT, encoding="utf-8")
    (tmp_path / "evening.csv").write_text(BY_ANSWER, encoding="utf-8")

    def run(*names: str) -> str:
        exports = [str(tmp_path / name) for name in names]
        done = CliRunner().invoke(main, ["mark", str(rubric), *exports, "--out", str(tmp_path / "results")])
        assert done.exit_code == 0, done.output
        return " ".join(done.output.split())

    return run


def rows(path: Path, delimiter: str = ",") -> list[list[str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.reader(file, delimiter=delimiter))


def test_students_of_an_export_that_is_left_out_lose_nothing_and_are_counted(
    homework: Callable[..., str], tmp_path: Path
) -> None:
    assert "from an earlier run" not in homework("day.csv", "evening.csv")
    before = (tmp_path / "results" / "evening-scores.csv").read_bytes()
    said = homework("day.csv")
    assert "2 students are in no export now, and nothing else has changed." in said
    assert "lose" not in said
    assert "evening-scores.csv in " in said
    assert "is from an earlier run and was left as it is; the export it belongs to was not marked this time" in said
    assert (tmp_path / "results" / "evening-scores.csv").read_bytes() == before
    assert "from an earlier run" not in homework("day.csv", "evening.csv")


def test_each_answer_of_an_export_by_answers_has_its_score(homework: Callable[..., str], tmp_path: Path) -> None:
    homework("evening.csv")
    assert rows(tmp_path / "results" / "evening-scores.csv", ";") == [
        ["ID", "Item", "Response", "Points", "Score", "Points possible", "Total score", "Total possible"],
        ["3", "Q1", "-30i + 40j", "0", "2", "4", "6", "8"],
        ["3", "Q2", "50 at 53°", "0", "4", "4", "6", "8"],
        ["4", "Q1", "30i + 40j", "0", "4", "4", "", "8"],
        ["4", "Q2", "gull at 53°", "0", "", "4", "", "8"],
    ]


def test_the_columns_of_the_export_come_back_by_the_letter(homework: Callable[..., str], tmp_path: Path) -> None:
    homework("day.csv")
    back = rows(tmp_path / "results" / "day-scores.csv")
    assert [row[:3] for row in back] == [line.split(",") for line in BY_STUDENT.splitlines()]
