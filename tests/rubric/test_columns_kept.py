"""``grader columns``: the match of an export is written into the rubric, where everything else stays as it was."""

from __future__ import annotations

import os
import resource
import stat
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from click.testing import CliRunner
from openpyxl import load_workbook
from openpyxl.styles import PatternFill
from openpyxl.worksheet.datavalidation import DataValidation

from grader.cli import main
from grader.errors import GraderError, InputFaults
from grader.exchange.export import read_exports
from grader.exchange.files import write_files
from grader.homework import keep_columns
from grader.rubric import read_rubric, write_blank

Book = Callable[..., Path]

TUGS = {"Problem": "1", "Find": "resultant", "Given": "52 N at 15°; 38 N at 300°"}
EXPORT = "Pupil no.,Who,Q1 answer,Q1 bearing,Remarks,Remarks\n7,Ana,62,353,x,y\n"


@pytest.fixture
def export(tmp_path: Path) -> Path:
    path = tmp_path / "answers.csv"
    path.write_text(EXPORT.replace("Pupil no.", "Student no."), encoding="utf-8")
    return path


def rules(path: Path) -> dict[str, str]:
    return {rule.heading: rule.holds for rule in read_rubric(path).columns}


FOUND = {
    "Student no.": "student id",
    "Who": "ignore",
    "Q1 answer": "problem 1",
    "Q1 bearing": "problem 1 direction",
    "Remarks": "ignore",
    "Remarks (2)": "ignore",
}


def test_what_was_matched_is_written_and_read_back(book: Book, export: Path) -> None:
    path = book(Problems=[TUGS], Columns=[{"Column in the export": "Old heading", "Holds": "ignore"}])
    before = read_exports(export, read_rubric(path)).answers
    kept = keep_columns(path, [export])
    assert kept.added == len(FOUND)
    assert [match.holds for match in kept.matches[0][1]][:2] == ["student id", "ignored"]
    assert rules(path) == {"Old heading": "ignore"} | FOUND
    after = read_exports(export, read_rubric(path))
    assert after.answers["written"].tolist() == before["written"].tolist()
    assert {match.how for match in after.matches["answers.csv"]} == {"sheet Columns"}
    assert keep_columns(path, [export]).added == 0


def test_the_rest_of_the_workbook_stays(tmp_path: Path, export: Path) -> None:
    path = write_blank(tmp_path / "rubric.xlsx", ("two-dropped",))
    workbook = load_workbook(path)
    sheet = workbook["Problems"]
    sheet["C3"].fill = PatternFill("solid", start_color="FFAA5500")
    sheet["D3"].value = "52.0 kN at 15°; 38.0 kN at 300°"
    extra = workbook.create_sheet("My notes")
    extra["A1"] = "=1+1"
    extra.column_dimensions["A"].width = 44
    extra.add_data_validation(DataValidation(type="list", formula1='"a,b"', sqref="B1"))
    sheet.delete_rows(4)
    workbook.save(path)
    path.chmod(0o640)
    old = load_workbook(path)
    keep_columns(path, [export])
    new = load_workbook(path)
    assert new.sheetnames == old.sheetnames
    for name in old.sheetnames:
        one, other = old[name], new[name]
        if name != "Columns":
            cells = [[cell.value for cell in row] for row in one.iter_rows()]
            assert [[cell.value for cell in row] for row in other.iter_rows()] == cells
        assert other.freeze_panes == one.freeze_panes
        assert len(other.data_validations.dataValidation) == len(one.data_validations.dataValidation)
        assert {key: each.width for key, each in other.column_dimensions.items()} == {
            key: each.width for key, each in one.column_dimensions.items()
        }
    assert new["Problems"]["C3"].fill.start_color.rgb == "FFAA5500"
    assert new["Problems"]["A2"].comment.text == old["Problems"]["A2"].comment.text
    assert new["Columns"]["A3"].value == "Student no."
    assert new["Columns"]["A3"].number_format == "@"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert [each.name for each in tmp_path.iterdir() if each.name.startswith(".")] == []


def test_a_sheet_that_is_missing_is_made(book: Book, export: Path) -> None:
    path = book(Problems=[TUGS])
    keep_columns(path, [export])
    assert rules(path) == FOUND


def test_headings_that_spreadsheets_would_run_stay_text(book: Book, tmp_path: Path) -> None:
    path = tmp_path / "answers.csv"
    path.write_text("ID,Q1,=1+1\n7,62,x\n", encoding="utf-8")
    rubric = book(Problems=[TUGS])
    keep_columns(rubric, [path])
    cell = load_workbook(rubric)["Columns"]["A4"]
    assert (cell.value, cell.data_type, bool(cell.quotePrefix)) == ("=1+1", "s", True)
    assert rules(rubric)["=1+1"] == "ignore"


def test_items_of_a_long_export_are_kept_too(book: Book, tmp_path: Path) -> None:
    path = tmp_path / "answers.csv"
    path.write_text("ID,Question,Part,Answer\n7,Q1,magnitude,62\n7,Q1,direction,353\n", encoding="utf-8")
    rubric = book(Problems=[TUGS])
    keep_columns(rubric, [path])
    assert rules(rubric) == {
        "ID": "student id",
        "Question": "item",
        "Part": "part",
        "Answer": "response",
        "Q1 magnitude": "problem 1 magnitude",
        "Q1 direction": "problem 1 direction",
    }
    assert len(read_exports(path, read_rubric(rubric)).answers) == 1


def test_a_fault_leaves_the_rubric_alone(book: Book, tmp_path: Path) -> None:
    path = tmp_path / "answers.csv"
    path.write_text("ID,Tug one\n7,62\n", encoding="utf-8")
    rubric = book(Problems=[TUGS])
    before = rubric.read_bytes()
    with pytest.raises(InputFaults, match="no column for problem 1"):
        keep_columns(rubric, [path])
    assert rubric.read_bytes() == before


def test_one_heading_with_two_meanings_cannot_be_kept(book: Book, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("ID,Student,Q1\n7,Ana,62\n", encoding="utf-8")
    (tmp_path / "b.csv").write_text("Student,Q1\n8,62\n", encoding="utf-8")
    rubric = book(Problems=[TUGS])
    before = rubric.read_bytes()
    with pytest.raises(InputFaults, match=r"found student id, where a\.csv has name under that heading"):
        keep_columns(rubric, [tmp_path / "a.csv", tmp_path / "b.csv"])
    assert rubric.read_bytes() == before


def test_the_command_shows_the_match(book: Book, export: Path) -> None:
    path = book(Problems=[TUGS])
    result = CliRunner().invoke(main, ["columns", str(path), str(export)])
    assert result.exit_code == 0, result.output
    said = " ".join(result.output.split())
    assert "Q1 bearing problem 1 direction" in said
    assert "Wrote 6 rows into the sheet Columns" in said
    assert "has all of this already" in CliRunner().invoke(main, ["columns", str(path), str(export)]).output


def test_the_command_shows_what_should_be_known_about_what_was_read(book: Book, export: Path, tmp_path: Path) -> None:
    """The same notes as when it is marked: a file named twice, a rule without its column, a sheet without students."""
    from openpyxl import Workbook

    workbook = Workbook()
    assert workbook.active is not None
    workbook.active.append(["ID", "Q1 answer", "Q1 bearing"])
    workbook.active.append([8, "62", "353"])
    workbook.create_sheet("About").append(["exported", "on a Tuesday"])
    workbook.save(tmp_path / "more.xlsx")
    path = book(Problems=[TUGS | {"Hint": "x"}], Columns=[{"Column in the export": "Old heading", "Holds": "ignore"}])
    files = [str(export), str(export), str(tmp_path / "more.xlsx")]
    result = CliRunner().invoke(main, ["columns", str(path), *files])
    assert result.exit_code == 0, result.output
    notes = [" ".join(each.split()) for each in result.output.split("! ")[1:]]
    marked = CliRunner().invoke(main, ["mark", str(path), *files, "--out", str(tmp_path / "out")])
    assert marked.exit_code == 0, marked.output
    said = " ".join(marked.output.split())
    for expected in (
        "rubric.xlsx, sheet Problems: the heading “Hint” is not known",
        "answers.csv was named twice and is read once.",
        "more.xlsx: the sheet “About” has no heading for a student id and was not read.",
        "rubric.xlsx, sheet Columns: no export has “Old heading”; that row has no effect here.",
    ):
        assert any(note.startswith(expected) for note in notes), (expected, notes)
        assert expected in said


# The disk.


@contextmanager
def files_no_larger_than(size: int) -> Iterator[None]:
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_disk_that_takes_no_more_leaves_the_rubric_whole(book: Book, export: Path) -> None:
    path = book(Problems=[TUGS])
    before = path.read_bytes()
    with (
        files_no_larger_than(len(before) // 2),
        pytest.raises(GraderError, match=r"rubric\.xlsx cannot be written: files of that size are not allowed there"),
    ):
        keep_columns(path, [export])
    assert path.read_bytes() == before
    assert sorted(each.name for each in path.parent.iterdir()) == ["answers.csv", "rubric.xlsx"]


def test_a_disk_that_takes_no_more_leaves_no_half_of_the_results(tmp_path: Path) -> None:
    (tmp_path / "old.csv").write_bytes(b"old")
    with files_no_larger_than(1000), pytest.raises(GraderError, match=r"big\.csv cannot be written") as refusal:
        write_files(tmp_path, {"old.csv": b"new", "big.csv": b"x" * 2000, "later.csv": b"y"})
    assert len(str(refusal.value).splitlines()) == 1
    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == {"old.csv": b"old"}


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="needs a file system that nobody can write to")
def test_a_place_where_nothing_can_be_written_gets_one_sentence() -> None:
    with pytest.raises(GraderError, match=r"/proc/results cannot be written") as refusal:
        write_files(Path("/proc/results"), {"marks.csv": b"x"})
    assert len(str(refusal.value).splitlines()) == 1


def test_a_disk_that_fills_up_at_any_write_leaves_everything_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same for each call that touches the disk, by its number."""
    files = {"a.csv": b"new a", "b.csv": b"new b", "c.csv": b"new c"}
    for name in ("open", "fsync", "replace", "link"):
        real = getattr(os, name)
        for number in range(1, 5):
            folder = tmp_path / f"{name}-{number}"
            folder.mkdir()
            for each in ("a.csv", "b.csv"):
                (folder / each).write_bytes(b"old")
            calls = {"made": 0}

            def full(*arguments: object, real=real, calls=calls, number=number, **options: object):  # type: ignore[no-untyped-def]
                calls["made"] += 1
                if calls["made"] == number:
                    raise OSError(28, "No space left on device")
                return real(*arguments, **options)

            with monkeypatch.context() as patched:
                patched.setattr(f"grader.exchange.files.os.{name}", full)
                told = ""
                try:
                    write_files(folder, files)
                except GraderError as error:
                    told = str(error)
            assert not told or "the disk is full" in told
            stands = {"a.csv": b"old", "b.csv": b"old"} if told else files
            assert {each.name: each.read_bytes() for each in folder.iterdir()} == stands
