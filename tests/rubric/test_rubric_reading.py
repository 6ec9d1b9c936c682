"""The rubric workbook is read as a teacher fills it in, and every fault is reported at once with its place."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from grader.errors import GraderError, InputFaults
from grader.marking.definitions import ColumnRule, Decision, MistakeRule, OwnMistake, Settings, Student
from grader.methods.problem import Allowance, Rounding
from grader.notation.given import GivenTriangle, GivenVectors
from grader.rubric import read_rubric

Book = Callable[..., Path]

TUGS: dict[str, Any] = {"Problem": "1", "Find": "resultant", "Given": "52 N at 15°; 38 N at 300°"}
DOT = {"Problem": "2a", "Find": "dot product", "Given": "<6, 5>; -5i - 3j"}
BANK = {"Problem": "3", "Find": "triangle", "Given": "a=12; c=17; A=35°"}


def faults_of(path: Path, known: tuple[str, ...] | None = None) -> list[str]:
    with pytest.raises(InputFaults) as refusal:
        read_rubric(path, known)
    return [str(fault) for fault in refusal.value.faults]


def test_a_full_row_of_problems(book: Book) -> None:
    row = {
        "POINTS": "2 + 2",
        "allow": "0.2; 0.5°",
        "Direction to": 0.1,
        "Magnitude to": "3 s.f.",
        "unit": "N",
        "Method": "Parallelogram",
        "Direction as": "quadrant bearing",
        "Answer as": "magnitude and direction",
        "Given": "52 N at 15°; 38 N at 300°",
        "Find": "Resultant",
        "Question": "How hard do the tugs pull?",
        "problem": 1.0,
    }
    (problem,) = read_rubric(book(Problems=[row])).problems
    assert (problem.label, problem.find, problem.method) == ("1", "resultant", "parallelogram")
    assert (problem.answer_as, problem.direction_as) == ("magnitude and direction", "quadrant bearing")
    assert isinstance(problem.given, GivenVectors)
    assert problem.unit is not None
    assert problem.unit.symbol == "N"
    assert (problem.magnitude_to, problem.direction_to) == (Rounding("figures", 3), Rounding("place", 0.1))
    assert problem.allow == Allowance(amount=0.2, degrees=0.5)
    assert problem.points == (2.0, 2.0)
    assert (problem.question, problem.given_text, problem.row) == (row["Question"], row["Given"], 2)


@pytest.mark.parametrize(
    ("find", "given", "answer_as"),
    [
        ("resultant", "(1, 2); (3, 4)", "magnitude and direction"),
        ("equilibrant", "(1, 2); (3, 4)", "magnitude and direction"),
        ("difference", "(1, 2); (3, 4)", "magnitude and direction"),
        ("components", "3 N at 20°", "components"),
        ("magnitude and direction", "(3, 4)", "magnitude and direction"),
        ("angle between", "(1, 2); (3, 4)", "number"),
        ("dot product", "(1, 2); (3, 4)", "number"),
        ("unit vector", "(3, 4)", "components"),
        ("heading", "air speed 550 km/h; wind 60 km/h from SW; track N", "magnitude and direction"),
        ("ramp", "50 lb on 19°", "components"),
        ("triangle", "a=12; c=17; A=35°", "triangle"),
        ("expression", "v = 18 m/s; t = 2.5 s", "number"),
    ],
)
def test_blank_cells_mean_the_usual(book: Book, find: str, given: str, answer_as: str) -> None:
    row = {"Problem": "1", "Find": find, "Given": given, "Points": 1, "Answer": "v*t" if find == "expression" else None}
    rubric = read_rubric(book(Problems=[row]))
    (problem,) = rubric.problems
    assert problem.answer_as == answer_as
    assert (problem.direction_as, problem.method, problem.unit) == ("any", "either", None)
    assert (problem.magnitude_to, problem.direction_to) == (Rounding("figures", 3), Rounding("place", 1.0))
    assert (problem.allow, problem.points) == (Allowance(), (1.0,))
    assert problem.formula == ("v*t" if find == "expression" else "")
    assert rubric.warnings == ()


FAULTY_PROBLEMS: list[tuple[dict[str, Any], str]] = [
    ({"Find": "resultent"}, "column Find: found “resultent”; expected “resultant”, "),
    ({"Find": "resultent"}, "Did you mean “resultant”?"),
    ({"Find": None}, "column Find: found nothing; expected what is to be found"),
    ({"Given": None}, "column Given: found nothing; expected the data"),
    ({"Given": "52 N at 15°; 38 N at"}, "column Given: found “38 N at"),
    ({"Given": "52 N at 15°"}, "column Given: found 1 vector for Find “resultant”; expected at least 2 vectors."),
    ({"Find": "dot product", "Given": "(1, 2); (3, 4); (5, 6)"}, "found 3 vectors for Find “dot product”; expected 2"),
    ({"Find": "components"}, "expected 1 vector. For the sum of several vectors use Find “resultant”."),
    ({"Answer as": "bearing"}, "column Answer as: found “bearing”; expected “magnitude and direction”, "),
    (
        {"Answer as": "number"},
        "found “number” with Find “resultant”; expected “magnitude and direction” or “components”",
    ),
    ({"Direction as": "true baring"}, "Did you mean “true bearing”?"),
    ({"Method": "paralelogram"}, "column Method: found “paralelogram”"),
    ({"Unit": "florps"}, "column Unit: found “florps”; expected a unit such as N"),
    ({"Magnitude to": "0.5"}, "column Magnitude to: found “0.5”; expected 0.1, 1, 3 s.f. or exact. A place is a power"),
    ({"Direction to": "close"}, "column Direction to: found “close”"),
    ({"Allow": "some"}, "column Allow: found “some”; expected an allowance such as"),
    (
        {"Points": -2},
        "column Points: found “-2”; expected points such as 4, or 2 + 2 for the parts. Points cannot be neg",
    ),
    (
        {"Points": "1 + 1 + 1"},
        "found points for 3 parts; expected one number, or 2 with + between, for magnitude and dir",
    ),
    ({**BANK, "Points": "2 + 2"}, "expected one number, or 3 with + between, for the parts not given (b, B and C)"),
    (
        {"Problem": datetime(2026, 2, 1)},
        "column Problem: found the date or time “2026-02-01”; expected text or a number",
    ),
    ({"Problem": None}, "column Problem: found nothing; expected a label such as 1 or 2a."),
    ({"Find": "expression", "Given": "v = 18 m/s"}, "column Answer: found nothing; expected the formula"),
    ({"Find": "expression", "Given": "v = 18 m/s", "Answer": "v*"}, "column Answer: found “v*”"),
    ({"Find": "expression", "Given": "v = 18 m/s", "Answer": "v*t"}, "found “v*t”, in which t has no value"),
    ({**BANK, "Given": "a=12; c=17"}, "column Given: found “a=12; c=17” (2 parts are given); expected three: "),
    ({**BANK, "Given": "a=12; c=17; A=200°"}, "(an angle of a triangle lies between 0° and 180°)"),
]


@pytest.mark.parametrize(("changes", "sentence"), FAULTY_PROBLEMS)
def test_a_faulty_problem(book: Book, changes: dict[str, Any], sentence: str) -> None:
    faults = faults_of(book(Problems=[{**TUGS, **changes}]))
    assert len(faults) == 1
    assert faults[0].startswith("rubric.xlsx, sheet Problems, row 2, column ")
    assert sentence in faults[0]


def test_every_fault_of_the_workbook_comes_at_once(book: Book) -> None:
    path = book(
        Problems=[TUGS, {**TUGS, "Points": "-1", "Unit": "florps"}, {**DOT, "Find": "dot"}],
        Settings=[{"Setting": "Carried decimals", "Value": "four"}],
        Columns=[
            {"Column in the export": "Q9", "Holds": "problem 9"},
            {"Column in the export": "Q2a", "Holds": "problem 2a"},
        ],
        Students=[{"Student ID": 1, "Email": "ana at example.org"}, {"Student ID": 1}],
        Mistakes=[{"Mistake": "radian-mod"}],
        Decisions=[{"Student ID": 1, "Problem": "7", "Points": 1}],
    )
    faults = faults_of(path, ("radian-mode", "sign-lost"))
    assert [fault.split(":")[0].removeprefix("rubric.xlsx, sheet ") for fault in faults] == [
        "Problems, row 3, column Problem",
        "Problems, row 3, column Points",
        "Problems, row 3, column Unit",
        "Problems, row 4, column Find",
        "Settings, row 2, column Value",
        "Columns, row 2, column Holds",
        "Students, row 2, column Email",
        "Students, row 3, column Student ID",
        "Mistakes, row 2, column Mistake",
        "Decisions, row 2, column Problem",
    ]
    assert "each label once; row 2 has it" in faults[0]
    assert "Did you mean “radian-mode”?" in faults[8]


def test_lines_above_the_headings_and_blank_rows_are_skipped(tmp_path: Path) -> None:
    from openpyxl import Workbook

    workbook = Workbook()
    sheet = workbook.worksheets[0]
    sheet.title = "PROBLEMS "
    rows = [
        ["Homework in the harbour"],
        [],
        ["Find", "Given", "Problem"],
        [],
        ["dot product", "(1, 2); (3, 4)", 1],
        [None, " "],
    ]
    for row in rows:
        sheet.append(row)
    workbook.save(tmp_path / "rubric.xlsx")
    (problem,) = read_rubric(tmp_path / "rubric.xlsx").problems
    assert problem.row == 5


def test_settings(book: Book) -> None:
    rows: list[dict[str, Any]] = [
        {"Setting": "CARRIED  decimals", "Value": 3},
        {"Setting": "decimal_mark", "Value": "Comma"},
        {"Setting": "show answers", "Value": "yes"},
        {"Setting": "credit rounded early", "Value": "60 %"},
        {"Setting": "credit follows on", "Value": 0.5},
        {"Setting": "title", "Value": None},
        {"Setting": "colour", "Value": "blue"},
    ]
    rubric = read_rubric(book(Settings=rows))
    assert rubric.settings == Settings(
        carried_decimals=3, decimal_mark="comma", show_answers=True, credit_rounded_early=0.6, credit_follows_on=0.5
    )
    assert rubric.warnings == (
        "rubric.xlsx, sheet Settings, row 8: the setting “colour” is not known and has no effect.",
    )


@pytest.mark.parametrize(
    ("setting", "value", "sentence"),
    [
        ("carried decimals", "2.5", "found “2.5”; expected a whole number from 0 to 12"),
        ("carried decimals", 40, "found “40”; expected a whole number from 0 to 12"),
        ("decimal mark", "coma", "expected “point”, “comma” or “as the export”. Did you mean “comma”?"),
        ("show answers", "perhaps", "found “perhaps”; expected yes or no"),
        ("credit right", "150 %", "expected a share such as 75 % or 0.75, from 0 % to 100 %"),
        ("credit right", 75, "found “75”; expected a share such as 75 % or 0.75, from 0 % to 100 %. Write 75 % if"),
    ],
)
def test_a_faulty_setting(book: Book, setting: str, value: Any, sentence: str) -> None:
    (fault,) = faults_of(book(Settings=[{"Setting": setting, "Value": value}]))
    assert sentence in fault


def test_a_share_in_a_cell_formatted_as_percent(book: Book) -> None:
    from openpyxl import load_workbook

    path = book(Settings=[{"Setting": "credit right", "Value": 0.9}], Problems=[{**TUGS, "Allow": 0.01}])
    workbook = load_workbook(path)
    workbook["Settings"]["B2"].number_format = "0%"
    workbook["Problems"]["D2"].number_format = "0.0%"
    workbook.save(path)
    rubric = read_rubric(path)
    assert rubric.settings.credit_right == 0.9
    assert rubric.problems[0].allow == Allowance(share=0.01)


def test_columns_students_mistakes_decisions(book: Book) -> None:
    path = book(
        Problems=[{**each, "Points": 3} for each in (TUGS, DOT, BANK)],
        Columns=[
            {"Column in the export": "Tugs", "Holds": "Problem 1"},
            {"Column in the export": 4, "Holds": "ignore"},
        ],
        Students=[
            {"Student ID": 101, "Name": "Ana Reyes", "Email": "ana@example.org", "Section": 2},
            {"Student ID": "007"},
        ],
        Mistakes=[
            {"Mistake": "radian-mode", "Use": "no"},
            {"Mistake": "sign-lost", "Feedback": "Mind the sign."},
            {"Mistake": "tugs-added", "Problem": 1, "Formula": "52 + 38; 15", "Feedback": "Not lengths alone."},
            {"Mistake": "unused", "Use": "no", "Problem": "2A", "Formula": "1"},
        ],
        Decisions=[
            {"Student ID": 101, "Problem": "3", "Part": "B", "Points": 0.75, "Note": "Seen on paper."},
            {"Student ID": "999", "Problem": 1, "Part": "Direction", "Points": "0"},
        ],
    )
    rubric = read_rubric(path, ("radian-mode", "sign-lost"))
    assert rubric.columns == (ColumnRule("Tugs", "Problem 1"), ColumnRule("4", "ignore"))
    assert rubric.students == (Student("101", "Ana Reyes", "ana@example.org", "2"), Student("007"))
    assert rubric.mistakes == (MistakeRule("radian-mode", False), MistakeRule("sign-lost", True, "Mind the sign."))
    assert rubric.own_mistakes == (OwnMistake("tugs-added", "1", "52 + 38; 15", "Not lengths alone.", 4),)
    assert rubric.decisions == (
        Decision("101", "3", "B", 0.75, "Seen on paper."),
        Decision("999", "1", "direction", 0.0),
    )
    assert rubric.warnings == ("rubric.xlsx, sheet Decisions, row 3: student 999 is not in the sheet Students.",)
    assert isinstance(rubric.problem("3").given, GivenTriangle)


def test_mistakes_are_checked_against_the_catalogue_without_being_told_to(book: Book) -> None:
    (fault,) = faults_of(book(Mistakes=[{"Mistake": "radian-mod", "Use": "no"}]))
    assert "radian-mod" in fault
    assert "Did you mean “radian-mode”?" in fault


FAULTY_SHEETS: list[tuple[str, list[dict[str, Any]], str]] = [
    ("Columns", [{"Column in the export": "Q1", "Holds": "problem 1 magnitud"}], "Did you mean “problem 1 magnitude”?"),
    ("Columns", [{"Column in the export": "Q1", "Holds": "problem 1 x"}], "column Holds: found “problem 1 x”"),
    ("Columns", [{"Column in the export": "Q1", "Holds": None}], "column Holds: found nothing"),
    ("Columns", [{"Column in the export": "Q1", "Holds": "name"}, {"Column in the export": "q1", "Holds": "ignore"}],
     "row 3, column Column in the export: found “q1” again; expected each once; row 2 has it"),
    ("Students", [{"Student ID": None, "Name": "Ana"}], "column Student ID: found nothing"),
    ("Students", [{"Student ID": 1, "Email": "a@x.org, b@x.org"}], "expected one address such as name@example.org"),
    ("Mistakes", [{"Mistake": "mine", "Problem": "1", "Formula": None}], "column Formula: found nothing"),
    ("Mistakes", [{"Mistake": "mine", "Problem": "1", "Formula": "2 +"}], "column Formula: found “2 +”"),
    ("Mistakes", [{"Mistake": "mine", "Problem": "1", "Formula": "1; 2; 3"}], "one for each part with ; between"),
    ("Mistakes", [{"Mistake": "mine", "Problem": "8", "Formula": "1"}], "expected a label of the sheet Problems"),
    ("Mistakes", [{"Mistake": "sign-lost", "Problem": "1", "Formula": "1"}], "a known mistake, with a problem or form"),
    ("Mistakes", [{"Mistake": "mine"}], "A mistake of your own needs a problem and a formula too."),
    ("Mistakes", [{"Mistake": "sign-lost"}, {"Mistake": "sign-lost"}], "expected each mistake once; row 2 has it"),
    ("Mistakes", [{"Mistake": "sign-lost", "Use": "maybe"}], "column Use: found “maybe”; expected yes or no"),
    ("Decisions", [{"Student ID": 1, "Problem": "1", "Part": "x", "Points": 1}], "a part of problem 1: magnitude, dir"),
    ("Decisions", [{"Student ID": 1, "Problem": "1", "Points": -1}], "Points cannot be negative"),
    ("Decisions", [{"Student ID": 1, "Problem": "1", "Points": None}], "column Points: found nothing"),
    ("Decisions", [{"Student ID": 1, "Problem": "1", "Points": 1}, {"Student ID": 1, "Problem": "1", "Points": 2}],
     "found a second decision on the same answer; expected one; row 2 has it"),
    ("Settings", [{"Setting": "title", "Value": "A"}, {"Setting": "Title", "Value": "B"}], "expected each setting once"),
    ("Settings", [{"Setting": "title", "Worth": "A"}], "found no heading “Value”"),
]  # fmt: skip


@pytest.mark.parametrize(("sheet", "rows", "sentence"), FAULTY_SHEETS)
def test_a_faulty_row_of_another_sheet(book: Book, sheet: str, rows: list[dict[str, Any]], sentence: str) -> None:
    (fault,) = faults_of(book(**{sheet: rows}), ("radian-mode", "sign-lost"))
    assert fault.startswith(f"rubric.xlsx, sheet {sheet}, row ")
    assert sentence in fault


def test_unknown_headings_and_sheets_are_warned_of(book: Book) -> None:
    rubric = read_rubric(
        book(Problems=[{**TUGS, "Points": 4, "Ponits": 4}], Setings=[{"Setting": "title"}], Notes=[{"Mine": 1}])
    )
    assert rubric.warnings == (
        "rubric.xlsx: the sheet “Setings” is not read. Did you mean “Settings”?",
        "rubric.xlsx, sheet Problems: the heading “Ponits” is not known and its column is not read. "
        "Did you mean “Points”?",
    )


def test_a_formula_left_for_another_find_is_warned_of(book: Book) -> None:
    assert "the column Answer is read only where" in read_rubric(book(Problems=[{**TUGS, "Answer": "v*t"}])).warnings[0]


def test_a_heading_twice_is_a_fault(tmp_path: Path) -> None:
    from openpyxl import Workbook

    workbook = Workbook()
    sheet = workbook.worksheets[0]
    sheet.title = "Problems"
    sheet.append(["Problem", "Find", "Given", "given"])
    workbook.save(tmp_path / "rubric.xlsx")
    assert faults_of(tmp_path / "rubric.xlsx")[0].startswith(
        "rubric.xlsx, sheet Problems, row 1, column Given: found the heading “given” twice"
    )


def test_a_workbook_without_problems(book: Book, tmp_path: Path) -> None:
    from openpyxl import load_workbook

    path = book()
    workbook = load_workbook(path)
    workbook["Problems"].title = "Problem list"
    workbook.save(path)
    (fault,) = faults_of(path)
    assert fault == (
        "rubric.xlsx: found no sheet “Problems” among “Problem list”; expected a rubric workbook with a sheet “Problems”. "
        "Rename the sheet “Problem list”."
    )
    (fault,) = faults_of(book(Problems=[]))
    assert "sheet Problems" in fault


def test_a_sheet_of_problems_with_headings_only(book: Book) -> None:
    (fault,) = faults_of(book(Problems=[{"Problem": None, "Find": None, "Given": None}]))
    assert fault == "rubric.xlsx, sheet Problems: found no problem; expected a row for each problem below the headings."


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("rubric.csv", b"Problem,Find\n", "is a text file; a rubric is an .xlsx workbook"),
        ("rubric.xlsx", b"", "rubric.xlsx is empty"),
        ("rubric.xlsx", b"Problem,Find\n", "is not an .xlsx workbook"),
        ("rubric.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "old .xls workbook or locked with a password"),
    ],
)
def test_a_file_that_is_no_workbook(tmp_path: Path, name: str, content: bytes, sentence: str) -> None:
    (tmp_path / name).write_bytes(content)
    with pytest.raises(GraderError, match=sentence):
        read_rubric(tmp_path / name)


def test_a_file_that_does_not_exist(tmp_path: Path) -> None:
    with pytest.raises(GraderError, match="does not exist"):
        read_rubric(tmp_path / "rubric.xlsx")


def test_a_damaged_workbook(book: Book) -> None:
    path = book()
    data = bytearray(path.read_bytes())
    middle = data.index(b"PK\x01\x02") // 2
    data[middle : middle + 200] = bytes(200)
    path.write_bytes(bytes(data))
    with pytest.raises(GraderError, match="damaged"):
        read_rubric(path)


def test_reading_leaves_the_workbook_as_it_was(book: Book) -> None:
    path = book()
    before = (hashlib.sha256(path.read_bytes()).hexdigest(), path.stat().st_mtime_ns)
    read_rubric(path)
    assert (hashlib.sha256(path.read_bytes()).hexdigest(), path.stat().st_mtime_ns) == before


@pytest.mark.parametrize(
    ("rows", "said"),
    [([TUGS], "row 2"), ([{**TUGS, "Points": 4}, DOT, BANK], "rows 3 and 4"), ([{**TUGS, "Points": " "}], "row 2")],
)
def test_points_left_blank_are_warned_of(book: Book, rows: list[dict[str, Any]], said: str) -> None:
    (warning,) = read_rubric(book(Problems=rows)).warnings
    assert warning == f"rubric.xlsx, sheet Problems: no points are given in {said}; 1 point for each problem there."


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("52 N at 15°; 38 at 300°", "“38 at 300°” in the column Given has no unit, where another vector has N"),
        ("5 at 15°; 38 kN at 300°; (1, 2)", "“5 at 15°” and “(1, 2)” in the column Given have no unit"),
        ("5 at 15°; (1, 2)", ""),
        ("52 N at 15°; 38 N at 300°", ""),
    ],
)
def test_units_beside_some_vectors_only_are_warned_of(book: Book, given: str, said: str) -> None:
    warnings = read_rubric(book(Problems=[{**TUGS, "Given": given, "Points": 4}])).warnings
    assert len(warnings) == bool(said)
    assert said in " ".join(warnings)


@pytest.mark.parametrize(("cell", "alone"), [("120° ", "°"), ("5 N", "N"), ("-2,5 km/h", "km/h")])
def test_a_unit_with_a_number_is_to_stand_alone(book: Book, cell: str, alone: str) -> None:
    (fault,) = faults_of(book(Problems=[{**TUGS, "Unit": cell}]))
    assert fault.endswith(f"expected a unit without a number. Write the unit alone: {alone}")


def test_three_digits_behind_a_length_are_read_as_the_column_direction_as_says(book: Book) -> None:
    """12.4 km 062 is no pair of components: among bearings it is a bearing, and elsewhere the teacher is asked."""
    row = {"Problem": "1", "Find": "resultant", "Given": "12.4 km 062; 8.7 km 155", "Direction as": "true bearing"}
    (problem,) = read_rubric(book(Problems=[row])).problems
    assert isinstance(problem.given, GivenVectors)
    assert [vector.direction.angle for vector in problem.given.vectors if vector.direction] == [28.0, 295.0]
    (fault,) = faults_of(book(Problems=[{**row, "Direction as": ""}]))
    assert "row 2, column Given: found “12.4 km 062” (062 stands without a unit" in fault
    assert "expected 12.4 km bearing 062, 12.4 km at 062°, or brackets around x and y" in fault
