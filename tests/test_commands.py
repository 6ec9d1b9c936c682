"""The command line from end to end, on real files."""

from __future__ import annotations

import csv
import os
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from click.testing import CliRunner, Result

from grader.cli import main
from grader.marking.mark import COLUMNS


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(a) for a in arguments])


def sentences(result: Result) -> str:
    """What a teacher reads: no traceback, and wrapping of the terminal undone."""
    assert "Traceback" not in result.output
    assert result.exception is None or isinstance(result.exception, SystemExit)
    return " ".join(result.output.split())


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    out = tmp_path_factory.mktemp("demo") / "results"
    result = run("demo", "--out", out)
    assert result.exit_code == 0, result.output
    return out, sentences(result)


def test_demo_writes_the_results(demo: tuple[Path, str]) -> None:
    out, said = demo
    names = {path.name for path in out.iterdir()}
    assert {"feedback.xlsx", "marks.csv", "section-a-scores.csv", "section-b-scores.xlsx"} <= names
    assert "64 students × 6 problems: 768 parts, each marked once" in said
    assert "Marks are suggestions" in said


def test_marks_have_the_agreed_columns(demo: tuple[Path, str]) -> None:
    marks = pd.read_csv(demo[0] / "marks.csv", dtype={"problem": str})
    agreed = [
        "student_id",
        "name",
        "section",
        "problem",
        "part",
        "written",
        "read_as",
        "expected",
        "verdict",
        "points",
        "points_possible",
        "mistake",
        "mistake_chance",
        "other_mistakes",
        "feedback",
    ]
    assert list(marks.columns)[: len(agreed)] == agreed
    assert list(marks.columns)[: len(COLUMNS)] == list(COLUMNS)
    assert len(marks) == 768
    assert not marks.duplicated(["student_id", "problem", "part"]).any()
    assert marks["points"].le(marks["points_possible"]).where(marks["points"].notna(), True).all()


def test_results_are_for_the_owner_alone(demo: tuple[Path, str]) -> None:
    for path in (demo[0], *demo[0].iterdir()):
        if path.is_file():
            assert stat.S_IMODE(path.stat().st_mode) == 0o600, path


def test_gradebook_keeps_the_exports_rows(demo: tuple[Path, str], sample_exports: tuple[Path, ...]) -> None:
    with sample_exports[0].open(encoding="utf-8-sig", newline="") as file:
        before = list(csv.reader(file))
    with (demo[0] / "section-a-scores.csv").open(encoding="utf-8-sig", newline="") as file:
        after = list(csv.reader(file))
    assert [row[0] for row in after] == [row[0] for row in before]
    assert after[0][-2:] == ["Score", "Points possible"]


def test_inputs_are_never_changed(sample_rubric: Path, sample_exports: tuple[Path, ...], tmp_path: Path) -> None:
    inputs = [Path(shutil.copy(path, tmp_path)) for path in (sample_rubric, *sample_exports)]
    before = [path.read_bytes() for path in inputs]
    assert run("mark", *inputs, "--out", tmp_path / "out").exit_code == 0
    assert [path.read_bytes() for path in inputs] == before


def test_marking_again_gives_the_same_marks(
    demo: tuple[Path, str], sample_rubric: Path, sample_exports: tuple[Path, ...], tmp_path: Path
) -> None:
    out = tmp_path / "again"
    for exports in (sample_exports, sample_exports[::-1]):
        assert run("mark", sample_rubric, *exports, "--out", out).exit_code == 0
        tables = [pd.read_csv(folder / "marks.csv", dtype=str).fillna("") for folder in (demo[0], out)]
        first, second = (t.sort_values(["student_id", "problem", "part"], ignore_index=True) for t in tables)
        pd.testing.assert_frame_equal(first, second)


def test_other_files_in_the_folder_stay(sample_rubric: Path, sample_exports: tuple[Path, ...], tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "my notes.txt").write_text("ask H1019", encoding="utf-8")
    assert run("mark", sample_rubric, *sample_exports, "--out", out).exit_code == 0
    assert (out / "my notes.txt").read_text(encoding="utf-8") == "ask H1019"


def test_new_writes_a_rubric_that_reads(tmp_path: Path) -> None:
    path = tmp_path / "rubric.xlsx"
    assert run("new", path).exit_code == 0
    result = run("key", path)
    assert result.exit_code == 0, result.output
    again = run("new", path)
    assert again.exit_code == 2
    assert "rubric.xlsx" in sentences(again)


@pytest.mark.parametrize("name", ["harbour-vectors.xlsx", "harbour-triangles.xlsx"])
def test_key_shows_the_working_of_each_method(name: str, sample_rubric: Path) -> None:
    result = run("key", sample_rubric.with_name(name))
    assert result.exit_code == 0, result.output
    said = sentences(result)
    assert "By" in said
    assert "=" in said


@pytest.mark.parametrize("command", ["", "new", "key", "mark", "demo"])
def test_every_help_has_an_example(command: str) -> None:
    result = run(*([command] if command else []), "--help")
    assert result.exit_code == 0
    assert "Example:" in result.output
    assert "grader " in result.output.partition("Example:")[2]


def test_piped_output_has_no_bar_and_no_colour(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "grader.cli", "demo", "--out", str(tmp_path / "out")],
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8", "COLUMNS": "80"},
        check=True,
        timeout=60,
    )
    assert "\x1b" not in done.stdout + done.stderr
    assert "Marking" not in done.stdout


def _rubric_without_problems(folder: Path) -> Path:
    book = openpyxl.Workbook()
    book.active.title = "Settings"  # type: ignore[union-attr]
    book.save(folder / "empty.xlsx")
    return folder / "empty.xlsx"


def test_a_workbook_without_problems(tmp_path: Path, sample_exports: tuple[Path, ...]) -> None:
    result = run("mark", _rubric_without_problems(tmp_path), *sample_exports, "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert "Problems" in sentences(result)
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "empty"),
        ("Student number,Name\nH1,Ada\n", "problem"),
        ("\0\0\0", "c.csv"),
    ],
)
def test_a_bad_export_is_one_sentence_and_nothing_is_written(
    content: str, says: str, tmp_path: Path, sample_rubric: Path
) -> None:
    export = tmp_path / "c.csv"
    export.write_text(content, encoding="utf-8")
    result = run("mark", sample_rubric, export, "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert says.lower() in sentences(result).lower()
    assert not (tmp_path / "out").exists()


def test_a_missing_file_is_named(tmp_path: Path, sample_rubric: Path) -> None:
    result = run("mark", sample_rubric, tmp_path / "absent.csv", "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert "absent.csv" in sentences(result)


def test_the_same_student_twice_is_a_fault(
    tmp_path: Path, sample_rubric: Path, sample_exports: tuple[Path, ...]
) -> None:
    lines = sample_exports[0].read_text(encoding="utf-8-sig").splitlines()
    export = tmp_path / "section-a.csv"
    other_answers = ",".join([*lines[1].split(",")[:5], *lines[2].split(",")[5:]])
    export.write_text("\n".join([*lines, other_answers]) + "\n", encoding="utf-8")
    result = run("mark", sample_rubric, export, sample_exports[1], "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert lines[1].split(",")[0] in sentences(result) or "H1" in sentences(result)
    assert not (tmp_path / "out").exists()


def test_a_file_where_the_folder_should_be(
    tmp_path: Path, sample_rubric: Path, sample_exports: tuple[Path, ...]
) -> None:
    out = tmp_path / "out"
    out.write_text("here already", encoding="utf-8")
    result = run("mark", sample_rubric, *sample_exports, "--out", out)
    assert result.exit_code == 2
    assert "is a file" in sentences(result)
    assert out.read_text(encoding="utf-8") == "here already"


def test_suggestions_stand_alone_and_say_where_nothing_better_was_found(tmp_path: Path) -> None:
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Problems"
    sheet.append(["Problem", "Find", "Given", "Answer"])
    sheet.append(["1", "resultant", "20 N at 45°; 21 N at 135°", None])
    sheet.append(["2", "expression", "v = 18 m/s; t = 2.5 s", "v*t"])
    book.save(tmp_path / "rubric.xlsx")
    done = run("key", str(tmp_path / "rubric.xlsx"), "--suggest")
    assert done.exit_code == 0, done.output
    said = sentences(done)
    assert "Problem 1 now 20 N at 45°; 21 N at 135° better " in said
    assert "told apart now" in said
    assert "For problem 2 no numbers near those given reveal more." in said
    assert "By components" not in said
    sheet.delete_rows(2)
    book.save(tmp_path / "rubric.xlsx")
    alone = sentences(run("key", str(tmp_path / "rubric.xlsx"), "--suggest"))
    assert alone.strip() == "No numbers near those given reveal more mistakes, in any problem."


def test_each_mistake_is_named_once_and_a_missed_triangle_is_among_them(tmp_path: Path) -> None:
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Problems"
    sheet.append(["Problem", "Find", "Given"])
    sheet.append(["1", "triangle", "triangle: a=12; c=17; A=35°"])
    sheet.append(["2", "resultant", "45 N at 20°; 30 N at 310°"])
    book.save(tmp_path / "rubric.xlsx")
    done = run("key", str(tmp_path / "rubric.xlsx"), "--mistakes")
    assert done.exit_code == 0, done.output
    first, second = (done.output.split(f"Problem {label}: where mistakes lead")[1] for label in "12")
    first = first.partition("Problem 2")[0]
    for table in (first, second):
        names = [line[:30] for line in table.splitlines()[2:] if line[:30].strip()]
        assert len(names) == len(set(names)) > 5
    assert "second triangle missed" in first
    assert "second triangle missed" not in second
    assert "second triangle missed" in " ".join(done.output.partition("Problem 2")[0].split())
