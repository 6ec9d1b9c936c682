"""``grader class``: folders of several homeworks in, one page over time out; a history that cannot be kept is a note."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from click.testing import CliRunner

from grader.cli import main
from grader.course import class_over_time
from grader.errors import GraderError
from grader.exchange.marksfile import read_marks
from grader.history.store import history_path, read
from grader.homework import SAMPLE_EXPORTS, SAMPLE_RUBRIC, mark_homework, read_homework, sample


@pytest.fixture(scope="module")
def term(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A term of two homeworks with the same students: in the second, nobody misses the obtuse angle any more."""
    home = tmp_path_factory.mktemp("term")
    for week in (1, 2):
        rubric = home / f"week{week}.xlsx"
        shutil.copy(sample(SAMPLE_RUBRIC), rubric)
        book = openpyxl.load_workbook(rubric)
        for row in book["Settings"].iter_rows(min_row=1):
            if str(row[0].value).strip().casefold() == "title":
                row[1].value = f"Week {week}"
        book.save(rubric)
        exports = [sample(name) for name in SAMPLE_EXPORTS]
        mark_homework(*read_homework(rubric, exports), home / f"out{week}", (rubric, *exports))
    path = home / "out2" / "marks.csv"
    table = pd.read_csv(path, dtype=str, keep_default_na=False)
    better = table["mistake"].str.contains("obtuse-missed")
    assert better.any()
    table.loc[better, ["verdict", "mistake", "mistake_chance"]] = ["right", "", ""]
    table.loc[better, "points"] = table.loc[better, "points_possible"]
    table.to_csv(path, index=False)
    return home


def _copy(term: Path, to: Path) -> Path:
    shutil.copytree(term, to / "term")
    return to / "term"


def _run(*arguments: object) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["class", *map(str, arguments)])
    return result.exit_code, result.output


def test_marking_alone_begins_no_history(term: Path) -> None:
    assert not list(term.glob("*.sqlite"))
    assert "Over time" not in (term / "out1" / "class.html").read_text(encoding="utf-8")


def test_the_page_says_what_fades(term: Path, tmp_path: Path) -> None:
    home = _copy(term, tmp_path)
    code, said = _run(home / "out1", home / "out2")
    assert code == 0, said
    text = (home / "out2" / "class.html").read_text(encoding="utf-8")
    assert "Over 2 homeworks" in text
    row = text[text.index('<section id="progress"') :]
    row = row[row.index("Obtuse angle missed") :]
    assert row[: row.index("</tr>")].endswith("<td>gone</td>")
    assert (home / "week2.history.sqlite").exists()


def test_later_the_newest_folder_is_enough_and_nothing_is_doubled(term: Path, tmp_path: Path) -> None:
    home = _copy(term, tmp_path)
    for folders in (["out1", "out2"], ["out2"], ["out1", "out2"], ["out2"]):
        class_over_time([home / folder for folder in folders])
    kept = read(history_path(home / "week2.xlsx"))
    assert [each.title for each in kept] == ["Week 1", "Week 2"]
    assert all(len({(a.student, a.problem) for a in each.answers}) == len(each.answers) == 64 * 6 for each in kept)
    assert "Over 2 homeworks" in (home / "out2" / "class.html").read_text(encoding="utf-8")


def test_marking_again_brings_an_existing_history_up_to_date(term: Path, tmp_path: Path) -> None:
    home = _copy(term, tmp_path)
    class_over_time([home / "out1", home / "out2"])

    def obtuse() -> int:
        return sum(turn.mistake == "obtuse-missed" for turn in read(history_path(home / "week2.xlsx"))[1].turns)

    assert obtuse() == 0
    rubric, exports = home / "week2.xlsx", [sample(name) for name in SAMPLE_EXPORTS]
    marked = mark_homework(*read_homework(rubric, exports), home / "out2", (rubric, *exports))
    assert not any("history" in note for note in marked.notes)
    assert obtuse() > 0
    assert "Over 2 homeworks" in (home / "out2" / "class.html").read_text(encoding="utf-8")


def test_a_history_that_cannot_be_kept_is_a_note_and_no_failure(term: Path, tmp_path: Path) -> None:
    home = _copy(term, tmp_path)
    (home / "week2.history.sqlite").mkdir()  # stands in the way, whoever runs this
    course = class_over_time([home / "out1", home / "out2"])
    assert any("could not be" in note for note in course.notes)
    assert "Over 2 homeworks" in course.page.read_text(encoding="utf-8")
    code, said = _run(home / "out1", home / "out2")
    assert code == 0
    assert "The page and the marks are not concerned." in said


def test_a_folder_of_the_same_homework_is_joined_to_it(term: Path, tmp_path: Path) -> None:
    """Two sections marked into two folders by one rubric are one class."""
    home = _copy(term, tmp_path)
    rubric = home / "week1.xlsx"
    for name, export in zip("ab", SAMPLE_EXPORTS):
        mark_homework(*read_homework(rubric, [sample(export)]), home / name, (rubric, sample(export)))
    course = class_over_time([home / "a", home / "b"], out=home / "together")
    assert course.homeworks == ("Week 1",)
    assert "64 students" in (home / "together" / "class.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("folders", "said"),
    [(["nowhere"], "is not a folder"), (["out1", "empty"], "holds no marks.csv"), (["bare"], "--rubric RUBRIC.xlsx")],
)
def test_what_cannot_be_used_gets_one_sentence(term: Path, tmp_path: Path, folders: Sequence[str], said: str) -> None:
    home = _copy(term, tmp_path)
    (home / "empty").mkdir()
    (home / "bare").mkdir()
    shutil.copy(home / "out1" / "marks.csv", home / "bare" / "marks.csv")
    with pytest.raises(GraderError, match=said):
        class_over_time([home / folder for folder in folders])
    code, output = _run(*(home / folder for folder in folders))
    assert code == 2
    assert "Traceback" not in output
    assert not list(home.glob("*.sqlite"))


def test_a_rubric_that_has_moved_can_be_named(term: Path, tmp_path: Path) -> None:
    home = _copy(term, tmp_path)
    (home / "week2.xlsx").rename(home / "moved.xlsx")
    with pytest.raises(GraderError, match="is not there"):
        class_over_time([home / "out2"])
    code, said = _run(home / "out1", home / "out2", "--rubric", home / "moved.xlsx")
    assert code == 0, said
    assert (home / "moved.history.sqlite").exists()


def test_the_marks_file_reads_back_as_the_marks(tmp_path: Path) -> None:
    rubric, exports = sample(SAMPLE_RUBRIC), [sample(name) for name in SAMPLE_EXPORTS]
    marked = mark_homework(*read_homework(rubric, exports), tmp_path / "out", (rubric, *exports))
    back = read_marks(tmp_path / "out" / "marks.csv")
    assert back is not None
    assert list(back.columns) == list(marked.marks.columns)
    for column in back.columns:
        if column in ("points", "points_possible", "mistake_chance", "value"):
            pd.testing.assert_series_equal(back[column], marked.marks[column].astype(float), check_dtype=False)
        else:
            assert back[column].tolist() == marked.marks[column].fillna("").astype(str).tolist(), column
