"""Who a student is: two of one name are never one student, and a column of names is no column of ids while another may be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from grader.errors import InputFaults
from grader.exchange.export import Export, read_exports
from grader.marking.definitions import ColumnRule, Rubric

Write = Callable[..., Path]

SMITHS = "1{0}Al Smith{0}1{0}50 N at 53°\n2{0}Al Smith{0}2{0}40 N at 50°\n"


def students(export: Export) -> list[tuple[str, str]]:
    return list(dict.fromkeys(zip(export.answers["student_id"], export.answers["name"])))


def fault_of(path: Path, rubric: Rubric) -> str:
    with pytest.raises(InputFaults) as refusal:
        read_exports(path, rubric)
    (fault,) = refusal.value.faults
    return str(fault)


@pytest.mark.parametrize(
    "heading",
    [
        *("Register no", "Register No.", "Register number", "Registration", "Index", "Index no", "Matricule"),
        *("Enrolment", "Enrollment no.", "Candidate number", "Please give your register number"),
    ],
)
@pytest.mark.parametrize("names", ["Pupil", "Student", "Learner"])
def test_two_of_one_name_are_two_students(tug: Rubric, file: Write, heading: str, names: str) -> None:
    export = read_exports(file(f"{heading};{names};Try;Q1\n" + SMITHS.format(";")), tug)
    assert students(export) == [("1", "Al Smith"), ("2", "Al Smith")]
    assert not export.set_aside


def test_a_column_not_understood_that_may_hold_the_ids_is_asked_about(tug: Rubric, file: Write) -> None:
    path = file("Locker,Pupil,Try,Q1\n" + SMITHS.format(","))
    said = fault_of(path, tug)
    assert "row 1, column B: found names under “Pupil”, where “Locker” may tell students of one name apart" in said
    assert "which one holds the “student id”: “Locker”, or “Pupil” if no two students have one name" in said
    settled = replace(tug, columns=(ColumnRule("Locker", "student id"),))
    assert students(read_exports(path, settled)) == [("1", "Al Smith"), ("2", "Al Smith")]
    for rule in (ColumnRule("Locker", "ignore"), ColumnRule("Pupil", "student id")):
        assert [each for each, _ in students(read_exports(path, replace(tug, columns=(rule,))))] == ["Al Smith"]


def test_two_addresses_under_one_name_are_asked_about(tug: Rubric, file: Write) -> None:
    text = "Pupil,Email,Try,Q1\nAl Smith,al@example.org,1,50\nAl Smith,{}@example.org,2,40\n"
    assert "“Email” may tell students of one name apart" in fault_of(file(text.format("al2")), tug)
    assert [each for each, _ in students(read_exports(file(text.format("AL")), tug))] == ["Al Smith"]


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("Remarks", ("late", "late")),  # one value twice
        ("Locker", ("7", "")),  # not in every row
        ("Started", ("2026-03-11 09:05", "2026-03-11 09:06")),
        ("Length of stay", ("12:30", "11:05")),
        ("Total score", ("3", "4")),
    ],
)
def test_names_serve_as_ids_where_nothing_else_can(
    tug: Rubric, file: Write, heading: str, cells: tuple[str, str]
) -> None:
    export = read_exports(file(f"Pupil,{heading},Q1\nAl Smith,{cells[0]},50\nBea Jones,{cells[1]},40\n"), tug)
    assert [each for each, _ in students(export)] == ["Al Smith", "Bea Jones"]


def test_a_count_of_the_rows_is_no_id_beside_a_column_of_numbers(tug: Rubric, file: Write) -> None:
    export = read_exports(file("No,Student,Try,Q1\n1,A107,1,50\n2,A107,2,40\n3,B22,1,30\n"), tug)
    assert [each for each, _ in students(export)] == ["A107", "B22"]
    (matches,) = export.matches.values()
    assert matches[0].how == "it counts the rows; student id is taken from “Student”"


def test_nobody_is_told_to_remove_a_row(tug: Rubric, file: Write) -> None:
    said = fault_of(file("Pupil,Q1\nAl Smith,50\nAl Smith,40\n"), tug)
    assert "give each an id of their own" in said
    assert "emove" not in said


@pytest.mark.parametrize("heading", ["ID", "Login", "Pupil"])
def test_names_with_spaces_are_asked_about_under_any_heading(tug: Rubric, file: Write, heading: str) -> None:
    path = file(f"Locker,{heading},Try,Q1\n" + SMITHS.format(","))
    assert "“Locker” may tell" in fault_of(path, tug)


def test_a_login_of_letters_is_an_id(tug: Rubric, file: Write) -> None:
    assert [each for each, _ in students(read_exports(file("Locker,Login,Q1\n1,asmith,50\n2,bjones,40\n"), tug))] == [
        "asmith",
        "bjones",
    ]


def test_where_every_row_is_one_answer_the_number_of_the_answer_is_no_id(tug: Rubric, file: Write) -> None:
    text = (
        "Locker,Pupil,Question,Part,Response\n{},Al Smith,Q1,size,50\n{},Al Smith,Q1,direction,53\n{},Bea,Q1,size,1\n"
    )
    assert [each for each, _ in students(read_exports(file(text.format(1, 2, 3)), tug))] == ["Al Smith", "Bea"]
    assert [each for each, _ in students(read_exports(file(text.format(1, 1, 2)), tug))] == ["Al Smith", "Bea"]
    two = text + "4,Al Smith,Q1,size,40\n4,Al Smith,Q1,direction,50\n"
    assert "“Locker” may tell" in fault_of(file(two.format(1, 1, 2)), tug)
