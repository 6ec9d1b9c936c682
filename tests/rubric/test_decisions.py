"""The teacher's decisions: read back from the feedback workbook, kept for ever, shown as the teacher's, never in silence."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from grader.errors import GraderError, InputFaults
from grader.exchange.csvfile import as_written, neutralised
from grader.homework import Marked, mark_homework, read_homework
from grader.rubric import read_rubric

Book = Callable[..., Path]

PROBLEM = {"Problem": "1", "Find": "resultant", "Given": "30 N at 0°; 40 N at 90°", "Unit": "N", "Points": "2 + 2"}
ANSWERS = {"101": "a gull pulled 50 N", "102": "a  GULL pulled 50 N ", "103": "50 N at 53°", "104": "steep gull"}
WRITTEN = "a gull pulled 50 N"


class Homework:
    """A homework of one problem about two tugs, marked again and again into one folder."""

    def __init__(self, book: Book, folder: Path) -> None:
        self._book, self.folder, self.out = book, folder, folder / "results"
        self.rubric = book("rubric.xlsx", Problems=[PROBLEM])

    def decide_in_rubric(self, *decisions: dict[str, Any]) -> None:
        self.rubric = self._book("rubric.xlsx", Problems=[PROBLEM], Decisions=list(decisions))

    def mark(self, answers: dict[str, str] = ANSWERS) -> Marked:
        export = self.folder / "answers.csv"
        with export.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows([("ID", "Q1"), *answers.items()])
        rubric, read = read_homework(self.rubric, [export])
        # Results never go beside an input, and this test has one folder for both.
        return mark_homework(rubric, read, self.out)

    def decide(self, student: str, part: str = "magnitude", **cells: object) -> None:
        """Type into the first sheet of the feedback workbook, as a teacher would."""
        self._type("To look at", student, part, cells)

    def change(self, student: str, part: str = "magnitude", **cells: object) -> None:
        """Type into the sheet Feedback, where what is decided can still be changed."""
        self._type("Feedback", student, part, cells)

    def _type(self, name: str, student: str, part: str, cells: dict[str, object]) -> None:
        from openpyxl import load_workbook

        workbook = load_workbook(self.out / "feedback.xlsx")
        sheet = workbook[name]
        rows = list(sheet.iter_rows())
        head = next(row for row in rows if row[0].value == "Student ID")
        place = {str(cell.value): cell.column for cell in head}
        (row,) = (row for row in rows if (row[0].value, row[place["Part"] - 1].value) == (student, part))
        for heading, value in cells.items():
            (column,) = (place[each] for each in place if each.startswith(heading.replace("_", " ")))
            sheet.cell(row[0].row, column).value = value
        workbook.save(self.out / "feedback.xlsx")

    def kept(self) -> list[dict[str, str]]:
        path = self.out / "decisions.csv"
        if not path.exists():
            return []
        with path.open(encoding="utf-8-sig", newline="") as file:
            return list(csv.DictReader(file))


@pytest.fixture
def homework(book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Homework:
    monkeypatch.setattr(
        "grader.homework.page_of", lambda *_: b""
    )  # the page of the class takes long and is not looked at
    return Homework(book, tmp_path)


def points(marked: Marked, part: str = "magnitude") -> dict[str, float]:
    rows = marked.marks[marked.marks["part"] == part]
    return dict(zip(rows["student_id"], rows["points"]))


def decided(marked: Marked, student: str, part: str = "magnitude") -> str:
    rows = marked.marks[(marked.marks["student_id"] == student) & (marked.marks["part"] == part)]
    return str(rows["decided"].item())


def test_a_decision_typed_into_the_feedback_is_kept_for_ever(homework: Homework) -> None:
    first = homework.mark()
    assert pd.isna(points(first)["101"])
    assert homework.kept() == []
    homework.decide("101", Your_points=1.5, Your_note="fair enough")
    for _ in range(3):
        again = homework.mark()
        assert points(again)["101"] == 1.5
        assert pd.isna(points(again)["102"])
        assert decided(again, "101") == "fair enough"
        assert again.marks.loc[again.marks["part"] == "magnitude", "feedback"].tolist()[0] == "fair enough"
        assert [(row["student_id"], row["part"], row["points"], row["written"]) for row in homework.kept()] == [
            ("101", "magnitude", "1.5", WRITTEN)
        ]
    (homework.out / "feedback.xlsx").unlink()
    assert points(homework.mark())["101"] == 1.5


@pytest.mark.parametrize(
    ("typed", "earns"),
    [(2, 2.0), ("1,5", 1.5), ("50%", 1.0), ("right", 2.0), ("Rounded early", 1.5), ("wrong", 0.0), (0, 0.0)],
)
def test_points_percentages_and_verdicts(homework: Homework, typed: object, earns: float) -> None:
    homework.mark()
    homework.decide("101", Your_points=typed)
    again = homework.mark()
    assert points(again)["101"] == earns
    assert decided(again, "101") == "decided by the teacher"


@pytest.mark.parametrize(("typed", "sentence"), [("much", "found “much”; expected points"), (-1, "cannot be negative")])
def test_what_cannot_be_read_stops_the_run_before_anything_is_lost(
    homework: Homework, typed: object, sentence: str
) -> None:
    homework.mark()
    homework.decide("101", Your_points=typed)
    before = {path.name: path.read_bytes() for path in homework.out.iterdir()}
    with pytest.raises(InputFaults, match=r"feedback\.xlsx, sheet To look at, row \d+, column Your points") as fault:
        homework.mark()
    assert sentence in str(fault.value)
    assert {path.name: path.read_bytes() for path in homework.out.iterdir()} == before


def test_a_damaged_feedback_workbook_is_not_written_over(homework: Homework) -> None:
    homework.mark()
    (homework.out / "feedback.xlsx").write_bytes(b"PK half a workbook")
    with pytest.raises(GraderError, match=r"feedback\.xlsx"):
        homework.mark()
    assert (homework.out / "feedback.xlsx").read_bytes() == b"PK half a workbook"


def test_a_feedback_workbook_without_its_first_sheet_is_not_written_over(homework: Homework) -> None:
    from openpyxl import load_workbook

    homework.mark()
    workbook = load_workbook(homework.out / "feedback.xlsx")
    workbook["To look at"].title = "Done"
    workbook.save(homework.out / "feedback.xlsx")
    with pytest.raises(GraderError, match="has no sheet “To look at”, in which your decisions would stand"):
        homework.mark()


def test_a_fault_in_the_kept_decisions_is_named(homework: Homework) -> None:
    homework.mark()
    homework.decide("101", Your_points=1)
    homework.mark()
    path = homework.out / "decisions.csv"
    path.write_text(path.read_text(encoding="utf-8-sig").replace("magnitude,1,", "magnitude,much,"), encoding="utf-8")
    with pytest.raises(InputFaults, match=r"decisions\.csv, row 2, column points: found “much”; expected a number"):
        homework.mark()


def test_a_foreign_file_in_the_place_of_the_marks_is_not_written_over(homework: Homework) -> None:
    homework.out.mkdir()
    (homework.out / "marks.csv").write_text("my own notes\n", encoding="utf-8")
    with pytest.raises(GraderError, match="is not a table of marks as this program writes it"):
        homework.mark()
    assert (homework.out / "marks.csv").read_text(encoding="utf-8") == "my own notes\n"


def test_a_note_without_points_is_said_to_decide_nothing(homework: Homework) -> None:
    homework.mark()
    homework.decide("101", Your_note="ask her")
    assert "a note without points decides nothing" in " ".join(homework.mark().notes)


def test_a_decision_made_for_another_answer_still_counts_and_is_reported(homework: Homework) -> None:
    homework.mark()
    homework.decide("101", Your_points=1)
    homework.mark()
    again = homework.mark({**ANSWERS, "101": "two gulls pulled 50 N"})
    assert points(again)["101"] == 1
    assert "The answer of student 101 to problem 1 magnitude has changed since it was decided on" in " ".join(
        again.notes
    )
    row = again.marks[(again.marks["student_id"] == "101") & (again.marks["part"] == "magnitude")]
    assert f"decided for “{WRITTEN}”; the answer has changed since" in row["note"].item()
    assert WRITTEN not in " ".join(again.notes)
    back = homework.mark()
    assert "has changed" not in " ".join(back.notes)


def test_the_same_for_everyone_who_wrote_the_same(homework: Homework) -> None:
    homework.mark()
    homework.decide("101", Your_points="right", Your_note="accepted", Same_for_all="yes")
    for _ in range(2):
        again = homework.mark()
        assert points(again)["101"] == points(again)["102"] == 2
        assert pd.isna(points(again)["104"])
        assert decided(again, "102") == "accepted"
        assert "also counts for 1 more who wrote the same" in " ".join(again.notes)
        assert len(homework.kept()) == 1
    homework.change("101", Points=1)
    again = homework.mark()
    assert points(again)["101"] == points(again)["102"] == 1
    homework.change("102", Points=0.5)
    again = homework.mark()
    assert (points(again)["101"], points(again)["102"]) == (1, 0.5)
    assert len(homework.kept()) == 2


def test_extending_an_earlier_decision_to_everyone(homework: Homework) -> None:
    homework.mark()
    homework.decide("101", Your_points=2)
    homework.mark()
    path = homework.out / "decisions.csv"
    path.write_text(path.read_text(encoding="utf-8-sig").replace(",,feedback", ",yes,feedback"), encoding="utf-8")
    assert points(homework.mark())["102"] == 2


def test_a_decision_on_several_parts_of_one_answer_is_told_once(homework: Homework) -> None:
    answers = dict.fromkeys(("101", "102", "103"), "see paper")
    homework.mark(answers)
    for part in ("magnitude", "direction"):
        homework.decide("101", part, Your_points=0, Same_for_all="yes")
    notes = [note for note in homework.mark(answers).notes if "also counts" in note]
    assert notes == [
        "The decision on problem 1 magnitude and direction of student 101 also counts for 2 more who wrote the same."
    ]


def test_the_rubric_wins(homework: Homework) -> None:
    homework.mark()
    homework.decide("101", Your_points=1, Your_note="once")
    homework.mark()
    decision = {"Student ID": "101", "Problem": "1", "Part": "magnitude", "Points": 2, "Note": "at last"}
    homework.decide_in_rubric(decision)
    again = homework.mark()
    assert points(again)["101"] == 2
    assert again.marks["feedback"].tolist()[0] == "at last"
    assert [(row["points"], row["source"]) for row in homework.kept()] == [("2", "rubric")]
    homework.decide_in_rubric(decision | {"Student ID": "104"})
    again = homework.mark()
    assert pd.isna(points(again)["101"])  # what the rubric said went with its row
    assert points(again)["104"] == 2


def test_a_rubric_decision_whose_answer_changed_is_reported(homework: Homework) -> None:
    homework.decide_in_rubric({"Student ID": "103", "Problem": "1", "Points": "wrong"})
    first = homework.mark()
    assert points(first)["103"] == points(first, "direction")["103"] == 0
    again = homework.mark({**ANSWERS, "103": "49 N at 53°"})
    assert points(again)["103"] == 0
    assert "The answer of student 103 to problem 1 has changed" in " ".join(again.notes)


def test_a_decision_for_somebody_who_is_not_there_is_kept_and_said(homework: Homework) -> None:
    homework.mark()
    homework.decide("104", Your_points=1)
    homework.mark()
    rest = {student: text for student, text in ANSWERS.items() if student != "104"}
    assert "A decision is kept for student 104, problem 1 magnitude, of which" in " ".join(homework.mark(rest).notes)
    assert points(homework.mark())["104"] == 1


def test_hostile_answers_survive_the_files_they_are_kept_in(homework: Homework) -> None:
    answers = {"101": '=HYPERLINK("x")', "102": "+cmd|' /C calc'!A0", "103": "'=1+", "104": "a\x0bb\x7f\u202e"}
    homework.mark(answers)
    for student in answers:
        homework.decide(student, Your_points=1)
    again = homework.mark(answers)
    assert set(points(again).values()) == {1.0}
    assert "has changed" not in " ".join(homework.mark(answers).notes)
    for row in homework.kept():
        assert all(neutralised(as_written(cell)) == cell for cell in row.values())


@pytest.mark.parametrize(
    ("points", "part", "earns"), [("right", "", 4.0), ("right", "direction", 2.0), ("50 %", "", 2.0), (1.25, "", 1.25)]
)
def test_verdicts_in_the_sheet_decisions(book: Book, points: object, part: str, earns: float) -> None:
    decision = {"Student ID": "1", "Problem": "1", "Part": part, "Points": points}
    (read,) = read_rubric(book(Problems=[PROBLEM], Decisions=[decision])).decisions
    assert read.points == earns


def test_what_changed_is_written_down(homework: Homework) -> None:
    homework.mark()
    assert not (homework.out / "changes.csv").exists()
    homework.decide("101", Your_points=1)
    again = homework.mark({**ANSWERS, "103": "50 N at 54°", "105": "50 N at 53°"})
    assert "5 parts of 3 students changed: 2 gain points, 1 loses points" in " ".join(again.notes)
    with (homework.out / "changes.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = {(row["student_id"], row["part"]): row for row in csv.DictReader(file)}
    assert (rows["101", "magnitude"]["points_before"], rows["101", "magnitude"]["points"]) == ("", "1")
    assert rows["103", "direction"]["change"] == "points"
    assert rows["103", "direction"]["written_before"] != rows["103", "direction"]["written"]
    assert rows["105", "magnitude"]["change"] == "new"
    assert ("102", "magnitude") not in rows
    homework.mark({**ANSWERS, "103": "50 N at 54°", "105": "50 N at 53°"})
    assert len((homework.out / "changes.csv").read_text(encoding="utf-8-sig").splitlines()) == 1


def test_points_above_what_there_is_are_refused_wherever_they_stand(homework: Homework) -> None:
    homework.mark()
    homework.decide("101", Your_points=5)
    with pytest.raises(InputFaults) as fault:
        homework.mark()
    assert re.search(
        r"feedback\.xlsx, sheet To look at, row \d+, column Your points: found “5”; expected at most 2, the points there are",
        str(fault.value),
    )
    homework.decide("101", Your_points=2)
    homework.decide_in_rubric({"Student ID": "103", "Problem": "1", "Points": 4.5})
    with pytest.raises(InputFaults, match=r"sheet Decisions, row 2, column Points: found “4.5”; expected at most 4"):
        homework.mark()
    homework.decide_in_rubric()
    homework.mark()
    path = homework.out / "decisions.csv"
    path.write_text(path.read_text(encoding="utf-8-sig").replace("magnitude,2,", "magnitude,3,"), encoding="utf-8")
    with pytest.raises(InputFaults, match=r"decisions\.csv, row 2, column points: found 3; expected at most 2"):
        homework.mark()
    homework.change("101", Points=1)  # what is typed on the sheet takes the place of what is kept
    assert points(homework.mark())["101"] == 1


def test_the_heading_of_the_note_says_who_reads_it_and_its_old_name_is_read(homework: Homework) -> None:
    from openpyxl import load_workbook

    homework.mark()
    homework.decide("101", Your_points=1, Your_note="seen")
    workbook = load_workbook(homework.out / "feedback.xlsx")
    (cell,) = (
        cell
        for row in workbook["To look at"].iter_rows()
        for cell in row
        if cell.value == "Your note (the student reads it)"
    )
    cell.value = "Your note"
    workbook.save(homework.out / "feedback.xlsx")
    again = homework.mark()
    assert again.marks.loc[again.marks["part"] == "magnitude", "feedback"].tolist()[0] == "seen"
