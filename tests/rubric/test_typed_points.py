"""Points typed into the feedback workbook, through the command line: on both sheets, by the names that people use."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from grader.cli import main
from grader.methods.part_names import PART_NAMES, part_called
from grader.methods.problem import PARTS

Book = Callable[..., Path]

FERRY = {
    "Problem": "1",
    "Find": "heading",
    "Given": "water speed 9 km/h; current 5 km/h toward E; track N",
    "Points": "2 + 2",
}
TUGS = {"Problem": "2", "Find": "resultant", "Given": "30 N at 0°; 40 N at 90°", "Unit": "N", "Points": "2 + 2"}
ROWS = [("ID", "Q1", "Q2"), ("101", "a gull at 3 km/h", "50 N at 53°"), ("102", "7.5 km/h at 326°", "55 N at 53°")]
SPEED = ("101", "1", "Ground speed")
"""The part that needs a look; ``(102, 2, magnitude)`` is wrong and ``(101, 2, magnitude)`` right."""


class Term:
    """Two problems of a harbour, marked by the command into one folder."""

    def __init__(self, book: Book, folder: Path) -> None:
        self._book, self.out, self.export = book, folder / "results", folder / "answers.csv"
        with self.export.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(ROWS)
        self.decide_in_rubric()

    def decide_in_rubric(self, *decisions: dict[str, Any]) -> None:
        sheets = {"Decisions": list(decisions)} if decisions else {}
        self.rubric = self._book("rubric.xlsx", Problems=[FERRY, TUGS], **sheets)

    def run(self) -> Result:
        return CliRunner().invoke(main, ["mark", str(self.rubric), str(self.export), "--out", str(self.out)])

    def mark(self) -> str:
        result = self.run()
        assert result.exit_code == 0, result.output
        return " ".join(result.output.split())

    def refused(self) -> str:
        result = self.run()
        assert result.exit_code == 2, result.output
        return " ".join(result.output.split())

    def edit(self, change: Callable[[Workbook], None]) -> None:
        workbook = load_workbook(self.out / "feedback.xlsx")
        change(workbook)
        workbook.save(self.out / "feedback.xlsx")

    def type(self, sheet: str, answer: tuple[str, str, str], **cells: object) -> None:
        def change(workbook: Workbook) -> None:
            page, places, found = self._row(workbook, sheet, answer)
            for heading, value in cells.items():
                (column,) = (places[each] for each in places if each.startswith(heading.replace("_", " ")))
                page.cell(found, column).value = value

        self.edit(change)

    def shown(self, sheet: str, answer: tuple[str, str, str], heading: str) -> object:
        page, places, found = self._row(load_workbook(self.out / "feedback.xlsx"), sheet, answer)
        return page.cell(found, places[heading]).value

    def _row(
        self, workbook: Workbook, sheet: str, answer: tuple[str, str, str]
    ) -> tuple[Worksheet, dict[str, int], int]:
        page = workbook[sheet]
        rows = [[cell.value for cell in row] for row in page.iter_rows()]
        head = next(i for i, row in enumerate(rows) if row[0] == "Student ID")
        places = {str(heading): i for i, heading in enumerate(rows[head], start=1)}
        key = [places[name] - 1 for name in ("Student ID", "Problem", "Part")]
        (found,) = (i for i, row in enumerate(rows, start=1) if tuple(row[k] for k in key) == answer)
        return page, places, found

    def points(self, answer: tuple[str, str, str]) -> str:
        with (self.out / "marks.csv").open(encoding="utf-8-sig", newline="") as file:
            (row,) = (
                row
                for row in csv.DictReader(file)
                if (row["student_id"], row["problem"], row["part"]) == (*answer[:2], self._id(answer[2]))
            )
        return row["points"]

    def kept(self) -> dict[tuple[str, str, str], str]:
        with (self.out / "decisions.csv").open(encoding="utf-8-sig", newline="") as file:
            return {(row["student_id"], row["problem"], row["part"]): row["points"] for row in csv.DictReader(file)}

    @staticmethod
    def _id(name: str) -> str:
        return part_called("", name) or name


@pytest.fixture
def term(book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Term:
    monkeypatch.setattr("grader.homework.page_of", lambda *_: b"")
    return Term(book, tmp_path)


# ---- names of parts


def test_what_the_teacher_must_decide_is_called_as_a_teacher_says_it(term: Term) -> None:
    said = term.mark()
    assert term.points(SPEED) == ""
    assert term.shown("To look at", SPEED, "Points possible") == 2
    assert "magnitude" not in said
    term.type("To look at", SPEED, Your_points=1.5, Your_note="a gull, well")
    for _ in range(2):
        term.mark()
        assert term.points(SPEED) == "1.5"
        assert term.kept() == {("101", "1", "magnitude"): "1.5"}
        assert term.shown("Feedback", SPEED, "Points") == 1.5


@pytest.mark.parametrize("name", ["magnitude", "ground speed ", "Ground  Speed", "Magnitude"])
def test_names_and_ids_are_both_read(term: Term, name: str) -> None:
    term.mark()
    term.type("To look at", SPEED, Your_points=1, Part=name)
    term.mark()
    assert term.kept() == {("101", "1", "magnitude"): "1"}
    path = term.out / "decisions.csv"
    path.write_text(path.read_text(encoding="utf-8-sig").replace("magnitude", name), encoding="utf-8")
    term.mark()
    assert term.points(SPEED) == "1.0"
    assert term.kept() == {("101", "1", "magnitude"): "1"}
    term.decide_in_rubric({"Student ID": "101", "Problem": "1", "Part": name, "Points": 2})
    term.mark()
    assert term.points(SPEED) == "2.0"


def test_a_name_of_another_problem_is_no_name_of_this_one(term: Term) -> None:
    term.mark()
    term.type("To look at", SPEED, Your_points=1, Part="Along the ramp")
    assert "sheet To look at, row 6, column Part: found “Along the ramp”; expected Ground speed, Heading, or blank" in (
        term.refused()
    )
    term.type("To look at", ("101", "1", "Along the ramp"), Part="Ground speed")
    term.decide_in_rubric({"Student ID": "101", "Problem": "2", "Part": "Ground speed", "Points": 2})
    assert "sheet Decisions, row 2, column Part: found “Ground speed”" in term.refused()


def test_no_name_is_that_of_another_part() -> None:
    for find, names in PART_NAMES.items():
        for part, name in names.items():
            assert part_called(find, name) == part
            assert part_called("", name) == part
    for find in ("triangle", "heading", ""):
        assert [part_called(find, part) for part in PARTS] == list(PARTS)


def test_what_is_decided_leaves_the_list_and_the_counts_and_has_no_filler(term: Term) -> None:
    assert "2 parts in 1 answer need your eyes" in term.mark()
    term.type("To look at", SPEED, Your_points="right")
    said = term.mark()
    assert "1 part in 1 answer needs your eyes" in said
    assert "? needs a look 1 " in said
    assert "• decided 1 " in said
    with pytest.raises(ValueError, match="not enough values"):
        term.shown("To look at", SPEED, "Written")
    assert term.shown("Feedback", SPEED, "Verdict") == "• decided"
    assert str(term.shown("Feedback", SPEED, "Note for you")).splitlines()[0] == "Decided by you"
    workbook = load_workbook(term.out / "feedback.xlsx")
    cells = (cell.value for sheet in workbook for row in sheet.iter_rows() for cell in row)
    assert not any("decided by the teacher" in str(value) for value in cells)


# ---- points changed on the sheet Feedback

WRONG = ("102", "2", "magnitude")


def test_points_changed_on_the_sheet_feedback_are_kept(term: Term) -> None:
    term.mark()
    assert term.points(WRONG) == "0.0"
    term.type("Feedback", WRONG, Points=1.25)
    assert "1 gains points, 0 lose points" in term.mark()
    for _ in range(2):
        assert term.points(WRONG) == "1.25"
        assert term.kept() == {WRONG: "1.25"}
        assert term.shown("Feedback", WRONG, "Points") == 1.25
        assert "nothing has changed" in term.mark()
    term.type("Feedback", WRONG, Points="50 %")
    term.mark()
    assert term.points(WRONG) == "1.0"
    (term.out / "feedback.xlsx").unlink()
    term.mark()
    assert term.points(WRONG) == "1.0"


def test_a_decision_taken_out_of_the_kept_ones_is_gone(term: Term) -> None:
    term.mark()
    term.type("Feedback", WRONG, Points=1)
    term.mark()
    path = term.out / "decisions.csv"
    path.write_text(path.read_text(encoding="utf-8-sig").splitlines()[0] + "\n", encoding="utf-8")
    term.mark()
    assert term.points(WRONG) == "0.0"
    assert term.kept() == {}


def test_nothing_typed_is_no_decision(term: Term) -> None:
    for _ in range(2):
        term.mark()
        assert not (term.out / "decisions.csv").exists()


def test_what_is_no_number_stops_the_run_before_anything_is_lost(term: Term) -> None:
    term.mark()
    term.type("Feedback", WRONG, Points="much")
    before = {path.name: path.read_bytes() for path in term.out.iterdir()}
    assert "feedback.xlsx, sheet Feedback, row " in term.refused()
    assert "column Points: found “much”; expected points, a percentage of them, or a verdict" in term.refused()
    assert {path.name: path.read_bytes() for path in term.out.iterdir()} == before


def test_points_for_an_answer_to_look_at_can_be_given_on_either_sheet_and_not_otherwise_on_both(term: Term) -> None:
    term.mark()
    term.type("Feedback", SPEED, Points=1)
    term.type("To look at", SPEED, Your_points=2, Your_note="well seen")
    assert "column Points: found 1; expected 2, as you gave on the sheet To look at" in term.refused()
    term.type("Feedback", SPEED, Points="right")
    term.mark()
    assert (term.points(SPEED), term.shown("Feedback", SPEED, "Points")) == ("2.0", 2)
    term.type("Feedback", SPEED, Points=0.5)
    term.mark()
    assert (term.points(SPEED), term.shown("Feedback", SPEED, "Points")) == ("0.5", 0.5)
    assert str(term.shown("Feedback", SPEED, "Comment")) == "well seen"


def test_the_student_does_not_read_what_was_overruled(term: Term) -> None:
    term.mark()
    suggested = str(term.shown("Feedback", WRONG, "Comment"))
    assert suggested
    term.type("Feedback", WRONG, Points=1)
    term.mark()
    assert term.shown("Feedback", WRONG, "Comment") == "Your teacher has looked at this answer."
    decision = {"Student ID": "102", "Problem": "2", "Part": "magnitude", "Points": 2, "Note": "As on paper."}
    term.decide_in_rubric(decision)
    term.mark()
    assert term.shown("Feedback", WRONG, "Comment") == "As on paper."
    term.decide_in_rubric(decision | {"Points": 0})
    term.mark()
    assert term.shown("Feedback", WRONG, "Comment") == f"{suggested} As on paper."


def test_the_last_of_several_decisions_is_measured_by_the_suggestion(term: Term) -> None:
    term.mark()
    suggested = str(term.shown("Feedback", WRONG, "Comment"))
    term.decide_in_rubric(
        {"Student ID": "102", "Problem": "2", "Part": "", "Points": 4},
        {"Student ID": "102", "Problem": "2", "Part": "magnitude", "Points": 0, "Note": "No."},
    )
    term.mark()
    assert term.shown("Feedback", WRONG, "Comment") == f"{suggested} No."


# ---- comments changed there


def test_a_comment_typed_there_is_what_the_student_reads(term: Term) -> None:
    term.mark()
    term.type("Feedback", WRONG, Comment="Come and see me.")
    for _ in range(2):
        term.mark()
        assert term.shown("Feedback", WRONG, "Comment") == "Come and see me."
        assert (term.points(WRONG), term.kept()) == ("0.0", {WRONG: "0"})
    term.type("Feedback", WRONG, Comment="Half of it.", Points=1)
    term.mark()
    assert (term.shown("Feedback", WRONG, "Comment"), term.points(WRONG)) == ("Half of it.", "1.0")
    term.type("Feedback", WRONG, Points=2)
    term.mark()
    assert (term.shown("Feedback", WRONG, "Comment"), term.points(WRONG)) == ("Half of it.", "2.0")


def test_a_comment_that_decides_nothing_is_said(term: Term) -> None:
    term.mark()
    term.type("Feedback", SPEED, Comment="Which gull?")
    assert "a comment without points decides nothing and was not kept; give points too" in term.mark()
    term.type("Feedback", WRONG, Comment=None)
    assert "the comment was taken out, which decides nothing" in term.mark()
    term.type("To look at", SPEED, Your_points=1)
    term.type("Feedback", SPEED, Comment="Which gull?")
    term.mark()
    assert (term.points(SPEED), term.shown("Feedback", SPEED, "Comment")) == ("1.0", "Which gull?")


def test_a_comment_and_a_note_that_differ_are_asked_about(term: Term) -> None:
    term.mark()
    term.type("To look at", SPEED, Your_points=1, Your_note="Which gull?")
    term.type("Feedback", SPEED, Points=1, Comment="No gulls.")
    assert (
        "column Comment: found “No gulls.”; expected “Which gull?”, your note on the sheet To look at" in term.refused()
    )
    term.type("Feedback", SPEED, Points=None)
    assert "column Comment: found “No gulls.”" in term.refused()


def test_points_taken_out_decide_nothing_and_that_is_said(term: Term) -> None:
    term.mark()
    term.type("Feedback", ("101", "2", "magnitude"), Points=None)
    assert "the points were taken out, which decides nothing; type 0" in term.mark()
    assert term.points(("101", "2", "magnitude")) == "2.0"


def test_the_rubric_wins_and_that_is_said(term: Term) -> None:
    for part in ("magnitude", ""):
        term.decide_in_rubric({"Student ID": "102", "Problem": "2", "Part": part, "Points": 1})
        term.mark()
        ruled = term.points(WRONG)
        term.type("Feedback", WRONG, Points=2)
        assert "the sheet Decisions of the rubric decides this answer and wins" in term.mark()
        assert term.points(WRONG) == ruled == ("1.0" if part else "0.5")


def test_what_cannot_be_told_from_a_suggestion_is_not_written_over(term: Term) -> None:
    term.mark()
    term.type("Feedback", WRONG, Points=2)
    (term.out / "marks.csv").unlink()
    before = (term.out / "feedback.xlsx").read_bytes()
    assert "marks.csv is missing, so points that you changed on the sheet Feedback" in term.refused()
    assert (term.out / "feedback.xlsx").read_bytes() == before


def test_a_workbook_without_the_sheet_is_not_written_over(term: Term) -> None:
    term.mark()
    term.edit(lambda workbook: setattr(workbook["Feedback"], "title", "Done"))
    assert "has no sheet “Feedback”, in which your decisions would stand" in term.refused()


def test_the_sheets_say_where_points_are_changed_and_question_odd_ones(term: Term) -> None:
    term.mark()
    workbook = load_workbook(term.out / "feedback.xlsx")
    top = {
        name: " ".join(str(row[0].value) for row in workbook[name].iter_rows(max_row=4))
        for name in ("To look at", "Feedback")
    }
    assert "Any other mark, and what you have decided: change its points on the sheet Feedback." in top["To look at"]
    assert "Points and comments that you change here are kept" in top["Feedback"]
    page, places, first = term._row(workbook, "Feedback", ("101", "1", "Ground speed"))
    (check,) = page.data_validations.dataValidation
    letters = {heading: page.cell(first, place).column_letter for heading, place in places.items()}
    assert check.formula2 == f"${letters['Possible']}{first}"
    assert str(check.sqref) == f"{letters['Points']}{first}:{letters['Points']}{first + 7}"
