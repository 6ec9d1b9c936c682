"""A small rubric of the harbour, and helpers that write exports of answers to it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from grader.marking.definitions import Rubric
from grader.methods.problem import Problem
from grader.notation.given import GivenExpression, GivenTriangle, GivenVectors
from grader.notation.readings import Number, Quantity


def problem(label: str, answer_as: str, question: str = "") -> Problem:
    length, angle = Quantity(Number(12.0, 1.0)), Quantity(Number(35.0, 1.0))
    given = {
        "number": GivenExpression({}),
        "triangle": GivenTriangle({"a": length, "c": length, "A": angle}),
    }.get(answer_as, GivenVectors(()))
    find = {"number": "expression", "triangle": "triangle", "components": "components"}.get(answer_as, "resultant")
    return Problem(label, find, given, question=question, answer_as=answer_as)


@pytest.fixture
def rubric() -> Rubric:
    """1 magnitude and direction, 2a components, 2b a number, 3 a triangle (a, c and A given)."""
    return Rubric(
        (
            problem("1", "magnitude and direction", "Two tugs pull a barge. Find the pull and its direction."),
            problem("2a", "components"),
            problem("2b", "number"),
            problem("3", "triangle"),
        )
    )


@pytest.fixture
def two() -> Rubric:
    """1 magnitude and direction, 2a components."""
    return Rubric(
        (
            problem("1", "magnitude and direction", "Two tugs pull a barge. Find the pull."),
            problem("2a", "components"),
        )
    )


@pytest.fixture
def tug() -> Rubric:
    """One problem: magnitude and direction."""
    return Rubric((problem("1", "magnitude and direction"),))


@pytest.fixture
def file(tmp_path: Path) -> Callable[..., Path]:
    """Write text (UTF-8 unless told otherwise) or bytes into a file and return its path."""

    def write(content: str | bytes, name: str = "answers.csv", encoding: str = "utf-8") -> Path:
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode(encoding))
        return path

    return write


@pytest.fixture
def workbook(tmp_path: Path) -> Callable[..., Path]:
    """Write sheets (name → rows) into a workbook and return its path."""

    def write(sheets: dict[str, list[list[object]]], name: str = "answers.xlsx") -> Path:
        from openpyxl import Workbook

        book = Workbook()
        book.remove(book.worksheets[0])
        for title, rows in sheets.items():
            sheet = book.create_sheet(title)
            for row in rows:
                sheet.append(row)
        book.save(tmp_path / name)
        return tmp_path / name

    return write
