"""The blank workbook: reads as it stands, explains itself, and is never written over another."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest

from grader.errors import GraderError
from grader.marking.definitions import Settings
from grader.methods.problem import FINDS
from grader.methods.solve import solve_problem
from grader.rubric import layout, read_rubric, write_blank

IDS = tuple(f"mistake-number-{number}" for number in range(40))


def test_the_blank_workbook_reads_without_faults_and_its_examples_can_be_solved(tmp_path: Path) -> None:
    rubric = read_rubric(write_blank(tmp_path / "rubric.xlsx", IDS), IDS)
    assert rubric.settings == Settings()
    assert [problem.label for problem in rubric.problems] == ["1", "2"]
    assert all("this is still the example" in warning for warning in rubric.warnings)
    assert len(rubric.warnings) == 2
    for problem in rubric.problems:
        assert solve_problem(problem).solution.parts


def test_it_explains_itself(tmp_path: Path) -> None:
    from openpyxl import load_workbook

    workbook = load_workbook(write_blank(tmp_path / "rubric.xlsx", IDS))
    for each in layout.sheets():
        sheet = workbook[each.name]
        assert sheet["A1"].value == each.purpose
        assert sheet.freeze_panes
        for index, column in enumerate(each.columns, start=1):
            heading = sheet.cell(2, index)
            assert heading.value == column.heading
            assert heading.comment.text == column.note
    offered = {
        sheet.title: {
            str(rule.sqref).split(":")[0].rstrip("0123456789") for rule in sheet.data_validations.dataValidation
        }
        for sheet in workbook.worksheets
    }
    assert offered["Problems"] == set("CEFGIJ")
    assert offered["Mistakes"] == set("ABC")
    assert offered["Decisions"] == set("BC")
    shown = {row[0].value: row[1].value for row in workbook["Settings"].iter_rows(min_row=3) if row[0].value}
    assert shown == {setting.name: setting.shown() or None for setting in layout.settings()}


def test_every_drop_down_of_fixed_words_holds_them_all(tmp_path: Path) -> None:
    from openpyxl import load_workbook

    workbook = load_workbook(write_blank(tmp_path / "rubric.xlsx", IDS))
    rules = {str(rule.sqref)[0]: rule.formula1 for rule in workbook["Problems"].data_validations.dataValidation}
    assert rules["C"] == f'"{",".join(FINDS)}"'
    assert all(len(rule) <= 257 for rule in rules.values())  # ECMA-376: 255 characters between the quotation marks
    (mistakes,) = (
        rule for rule in workbook["Mistakes"].data_validations.dataValidation if str(rule.sqref).startswith("A")
    )
    assert mistakes.formula1 == "Lists!$A$1:$A$40"
    assert tuple(cell.value for cell in workbook["Lists"]["A"]) == IDS


def test_every_setting_and_every_word_of_find_is_in_the_tables() -> None:
    assert [setting.field for setting in layout.settings()] == [each.name for each in fields(Settings)]
    assert all(setting.name == setting.field.replace("_", " ") for setting in layout.settings())
    assert all(setting.explanation.endswith(".") for setting in layout.settings())
    assert tuple(layout.find_facts()) == FINDS


def test_an_existing_file_is_left_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "rubric.xlsx").write_bytes(b"a year's work")
    with pytest.raises(GraderError, match="exists already and was left as it is"):
        write_blank(tmp_path / "rubric.xlsx")
    assert (tmp_path / "rubric.xlsx").read_bytes() == b"a year's work"


def test_a_name_that_no_spreadsheet_program_opens_is_refused(tmp_path: Path) -> None:
    with pytest.raises(GraderError, match=r"ends in \.xlsx"):
        write_blank(tmp_path / "rubric.csv")
