"""One law over the forms of export: a table, a row for each answer, a workbook and QTI results give the same answers."""

from __future__ import annotations

import csv
import io
import zipfile
from pathlib import Path
from xml.sax.saxutils import escape

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.exchange.export import read_exports
from grader.exchange.workbook import workbook_bytes
from grader.marking.definitions import Rubric
from grader.methods.problem import Problem
from grader.notation.given import GivenVectors

# Text that every form can hold to the last space: XML has no control characters, and a delimited file no NUL.
TEXT = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), min_size=1, max_size=12).filter(
    lambda text: text == text.strip() and not text.startswith("=")
)
ANSWERS = st.dictionaries(
    st.integers(min_value=100, max_value=999).map(str), st.tuples(TEXT, TEXT, TEXT, TEXT), min_size=1, max_size=5
)
RUBRIC = Rubric(
    (
        Problem("1", "resultant", GivenVectors(()), answer_as="magnitude and direction"),
        Problem("2a", "components", GivenVectors(()), answer_as="components"),
    )
)
COLUMNS = (("Q1", "magnitude"), ("Q1", "direction"), ("Q2a", "x"), ("Q2a", "y"))


def text(rows: list[list[str]]) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n").writerows(rows)
    return out.getvalue().encode("utf-8")


def session(student: str, answers: tuple[str, ...]) -> str:
    items: dict[str, str] = {}
    for (item, part), answer in zip(COLUMNS, answers):
        items[item] = items.get(item, "") + (
            f'<responseVariable identifier="{part}" cardinality="single"><candidateResponse>'
            f"<value>{escape(answer)}</value></candidateResponse></responseVariable>"
        )
    results = "".join(f'<itemResult identifier="{item}">{inner}</itemResult>' for item, inner in items.items())
    return f'<assessmentResult><context sourcedId="{student}"/>{results}</assessmentResult>'


def forms(answers: dict[str, tuple[str, ...]]) -> dict[str, bytes]:
    """The same answers in each form, by file name."""
    wide = [["ID", *(" ".join(column) for column in COLUMNS)], *([student, *own] for student, own in answers.items())]
    long = [["ID", "Question", "Part", "Response"]]
    for student, own in answers.items():
        long += [[student, *column, answer] for column, answer in zip(COLUMNS, own)]
    sessions = io.BytesIO()
    with zipfile.ZipFile(sessions, "w") as archive:
        for student, own in answers.items():
            archive.writestr(f"{student}.xml", session(student, own))
    return {
        "wide.csv": text(wide),
        "long.csv": text(long),
        "wide.xlsx": workbook_bytes({"S": wide}),
        "long.xlsx": workbook_bytes({"S": long}),
        "sessions.zip": sessions.getvalue(),
    }


@given(answers=ANSWERS)
def test_every_form_gives_the_same_answers(
    tmp_path_factory: pytest.TempPathFactory, answers: dict[str, tuple[str, ...]]
) -> None:
    folder: Path = tmp_path_factory.mktemp("forms")
    for name, content in forms(answers).items():
        (folder / name).write_bytes(content)
        read = read_exports(folder / name, RUBRIC)
        found = {
            (student, problem, box): cell
            for student, problem, boxes in zip(*(read.answers[each] for each in ("student_id", "problem", "written")))
            for box, cell in boxes
        }
        assert found == {
            (student, item[1:].lower(), part): answer
            for student, own in answers.items()
            for (item, part), answer in zip(COLUMNS, own)
        }, name
        assert read.set_aside == ()
