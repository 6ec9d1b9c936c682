"""What the README promises: the files, the settings and the lines of Python are those of the program."""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from click.testing import CliRunner
from openpyxl import Workbook

import grader
from grader.cli import main
from grader.homework import mark_homework, read_homework
from grader.marking.definitions import Settings
from grader.rubric.layout import settings
from tests.conftest import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")


def after(marker: str) -> str:
    """What stands after a marker, up to the next blank line but one."""
    return README.partition(f"<!-- {marker} -->")[2].strip().partition("\n\n")[0]


def rows(marker: str) -> list[list[str]]:
    """The rows of the table after a marker, without its headings."""
    lines = after(marker).splitlines()
    return [[cell.strip() for cell in line.strip().strip("|").split("|")] for line in lines[2:]]


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("readme") / "results"
    done = CliRunner().invoke(main, ["demo", "--out", str(out)])
    assert done.exit_code == 0, done.output
    return out


def test_every_file_of_the_results_is_listed_and_no_other(results: Path) -> None:
    listed = {name for cell, _ in rows("files") for name in re.findall(r"`([^`]+)`", cell)}
    later = {"decisions.csv", "changes.csv"}  # no decision and no earlier run
    written = {re.sub(r".*(-scores\.\w+)\Z", r"…\1", path.name) for path in results.iterdir()}
    assert written == listed - later


def test_decisions_are_kept_from_the_first_run_and_changes_from_the_second(tmp_path: Path) -> None:
    rubric, export = _homework(tmp_path, {"Student ID": "7", "Problem": "1", "Part": "direction", "Points": 1})
    out = tmp_path / "out"
    for later in ({"decisions.csv"}, {"decisions.csv", "changes.csv"}):
        done = CliRunner().invoke(main, ["mark", str(rubric), str(export), "--out", str(out)])
        assert done.exit_code == 0, done.output
        assert {path.name for path in out.iterdir()} & {"decisions.csv", "changes.csv"} == later


def test_the_settings_are_listed_with_their_defaults_and_what_they_do() -> None:
    assert rows("settings") == [[each.name, each.shown() or "blank", each.explanation] for each in settings()]


def test_every_file_that_is_linked_is_there() -> None:
    for target in re.findall(r"\]\(([^)]+)\)", README):
        assert (ROOT / target).is_file(), target


# ---- from Python


def test_the_lines_of_python_give_the_marks_that_the_command_writes(
    results: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    code = README.partition("<!-- python -->")[2].partition("```python\n")[2].partition("```")[0]
    names: dict[str, Any] = {}
    exec(code, names)  # the README's own lines
    assert "right" in capsys.readouterr().out
    _same_marks(names["marks"], pd.read_csv(results / "marks.csv", dtype=str, keep_default_na=False))


def test_the_rules_of_a_homework_hold_from_python_too(tmp_path: Path) -> None:
    decision = {"Student ID": "7", "Problem": "1", "Part": "direction", "Points": 1, "Note": "seen"}
    rubric_path, export = _homework(tmp_path, decision)
    rubric, read = read_homework(rubric_path, [export])
    assert rubric.settings == Settings(due=datetime(2026, 3, 11, 23, 59), late_per_day=rubric.settings.late_per_day)
    marks = grader.mark_class(rubric, grader.read_export(export, rubric))
    pd.testing.assert_frame_equal(marks, mark_homework(rubric, read).marks)
    points = dict(zip(zip(marks["student_id"], marks["part"]), marks["points"]))
    assert points == {("7", "magnitude"): 2, ("7", "direction"): 1, ("8", "magnitude"): 1.8, ("8", "direction"): 1.8}
    assert marks["decided"].tolist()[1] == "seen"
    assert marks["days_late"].tolist() == [0, 0, 1, 1]


def test_a_table_of_ones_own_needs_three_columns(tmp_path: Path) -> None:
    rubric = grader.read_rubric(_homework(tmp_path)[0])
    written = [(("", "50 N at 53°"),), (("magnitude", "70"), ("direction", "53"))]
    answers = pd.DataFrame({"student_id": ["7", "8"], "problem": ["1", "1"], "written": written})
    marks = grader.mark_class(rubric, answers)
    assert marks["verdict"].tolist() == ["right", "right", "wrong", "right"]
    assert list(answers.columns) == ["student_id", "problem", "written"]
    back = grader.mark_class(rubric, answers.iloc[::-1]).sort_values(["student_id", "part"], ignore_index=True)
    pd.testing.assert_frame_equal(back, marks.sort_values(["student_id", "part"], ignore_index=True))


def _same_marks(marks: pd.DataFrame, written: pd.DataFrame) -> None:
    shared = [
        name for name in marks if name not in ("points", "points_possible", "mistake_chance", "value", "days_late")
    ]
    assert list(marks.columns) == list(written.columns)
    for name in shared:
        assert [each.lstrip("'") for each in written[name]] == [str(each).lstrip("'") for each in marks[name]], name
    for name in ("points", "mistake_chance"):
        assert written[name].replace("", "nan").astype(float).round(9).equals(marks[name].round(9)), name


def _homework(folder: Path, decision: dict[str, Any] | None = None) -> tuple[Path, Path]:
    """A rubric of one problem due on 11 March, 10 % off a day, and an export in which student 8 hands in a day late."""
    problem = {"Problem": "1", "Find": "resultant", "Given": "30 N at 0°; 40 N at 90°", "Unit": "N", "Points": "2 + 2"}
    sheets: dict[str, list[dict[str, Any]]] = {
        "Problems": [problem],
        "Settings": [
            {"Setting": "due", "Value": "2026-03-11 23:59"},
            {"Setting": "late per day", "Value": "10 %"},
        ],
    }
    if decision:
        sheets["Decisions"] = [decision]
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    for name, table in sheets.items():
        sheet = workbook.create_sheet(name)
        sheet.append(list(table[0]))
        for row in table:
            sheet.append(list(row.values()))
    workbook.save(folder / "rubric.xlsx")
    (folder / "answers.csv").write_text(
        "ID,Submitted,Q1\n7,2026-03-11 12:00,50 N at 53°\n8,2026-03-12 12:00,50 N at 53°\n", encoding="utf-8"
    )
    return folder / "rubric.xlsx", folder / "answers.csv"
