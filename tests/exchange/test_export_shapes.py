"""Shapes in which exports come, as a table: each gives every answer of every student, or says exactly what was set aside."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from grader.exchange.export import Export, read_exports
from grader.marking.definitions import ColumnRule, Rubric, Student

Write = Callable[..., Path]

BOTH = {"1": (("magnitude", "62.0 lb"), ("direction", "353°")), "2a": (("x", "61.6"), ("y", "-7.6"))}
"""What student 101 wrote for the two problems; 102 wrote ``OTHER``."""
OTHER = {"1": (("magnitude", "60"), ("direction", "")), "2a": (("x", ""), ("y", "7"))}

HEAD = ("ID", "Name", "Q1 magnitude", "Q1 direction", "2a x", "2a y")
ANA = ("101", "Ana Reyes", "62.0 lb", "353°", "61.6", "-7.6")
BEN = ("102", "Ben Okafor", "60", "", "", "7")

LONG_HEAD = ("Student ID", "Question", "Part", "Response")
LONG = (
    ("101", "Q1", "magnitude", "62.0 lb"),
    ("101", "Q1", "direction", "353°"),
    ("101", "Q2a", "x", "61.6"),
    ("101", "Q2a", "y", "-7.6"),
    ("102", "Q1", "magnitude", "60"),
    ("102", "Q1", "direction", ""),
    ("102", "Q2a", "x", ""),
    ("102", "Q2a", "y", "7"),
)


def lines(*rows: tuple[str, ...], by: str = ",") -> str:
    return "".join(by.join(row) + "\n" for row in rows)


@dataclass(frozen=True)
class Shape:
    """An export: its text, or its sheets, and what is expected of it beside the answers of ``BOTH`` and ``OTHER``."""

    text: str = ""
    name: str = "answers.csv"
    encoding: str = "utf-8"
    sheets: dict[str, list[list[Any]]] = field(default_factory=dict)
    aside: tuple[tuple[int, str], ...] = ()
    note: str = ""
    rules: tuple[ColumnRule, ...] = ()
    roster: tuple[Student, ...] = ()
    answers: dict[str, dict[str, tuple[tuple[str, object], ...]]] = field(
        default_factory=lambda: {"101": BOTH, "102": OTHER}
    )


WIDE = lines(HEAD, ANA, BEN)
PLAIN = [list(HEAD), list(ANA), list(BEN)]
TUG = (Student("101", "Ana", "ana@example.org"), Student("102", "Ben", "ben@example.org"))


def page(rows: list[list[Any]], before: str = "<html><body>") -> str:
    cells = "".join("<tr>" + "".join(f"<td>{cell}</td>" for cell in row) + "</tr>" for row in rows)
    return f"{before}<table border=1>{cells}</table></body></html>"


def xml_workbook(rows: list[list[Any]]) -> str:
    body = "".join(
        "<Row>" + "".join(f'<Cell><Data ss:Type="String">{cell}</Data></Cell>' for cell in row) + "</Row>"
        for row in rows
    )
    return (
        '<?xml version="1.0"?><Workbook xmlns="urn:schemas-microsoft-com:office:spreadsheet" '
        'xmlns:ss="urn:schemas-microsoft-com:office:spreadsheet">'
        f'<Worksheet ss:Name="Answers"><Table>{body}</Table></Worksheet></Workbook>'
    )


SHAPES: dict[str, Shape] = {
    # The row of headings, and what stands around it.
    "plain": Shape(WIDE),
    "semicolons and title lines": Shape(
        "Harbour;;\nExported;11 March\n\n" + lines(HEAD, ANA, BEN, by=";"),
        aside=((1, "a line above the headings"), (2, "a line above the headings"), (3, "an empty row")),
    ),
    "UTF-16 with tabs": Shape(lines(HEAD, ANA, BEN, by="\t"), encoding="utf-16"),
    "Windows-1252": Shape(WIDE, encoding="cp1252", note="was read as Windows-1252"),
    "maximum points below the headings": Shape(
        lines(HEAD, ("", "Points possible", "2", "2", "2", "2"), ANA, BEN), aside=((2, "a row of maximum points"),)
    ),
    "maximum points in the first column": Shape(
        lines(HEAD, ("Max points", "", "2", "2", "2", "2"), ANA, BEN), aside=((2, "a row of maximum points"),)
    ),
    "averages and totals at the end": Shape(
        lines(HEAD, ANA, BEN, ("Average", "", "61", "", "", ""), ("", "Std. Dev.", "1", "", "", "")),
        aside=((4, "a row of totals"), (5, "a row of totals")),
    ),
    "a test student by name": Shape(
        lines(HEAD, ANA, ("9", "Test Student", "1", "1", "1", "1"), BEN), aside=((3, "a test student"),)
    ),
    "headings again on each page": Shape(
        lines(HEAD, ANA, HEAD, BEN, HEAD), aside=((3, "the headings again"), (5, "the headings again"))
    ),
    "headings again, and shorter": Shape(
        lines((*HEAD, "", ""), (*ANA, "", ""), HEAD, BEN), aside=((3, "the headings again"),)
    ),
    "headings over two lines": Shape(
        lines(
            ("ID", "Name", "Problem 1", "", "Problem 2a", ""), ("", "", "magnitude", "direction", "x", "y"), ANA, BEN
        ),
        aside=((1, "a line above the headings"),),
    ),
    "headings over two lines, each repeated": Shape(
        sheets={
            "S": [
                ["ID", "Name", "Problem 1", "Problem 1", "Problem 2a", "Problem 2a"],
                [None, None, "length", "bearing", "east", "north"],
                *PLAIN[1:],
            ]
        },
        name="answers.xlsx",
        aside=((1, "a line above the headings"),),
    ),
    # Columns.
    "scores, times and comments beside answers": Shape(
        lines(
            ("ID", "Name", "Q1 magnitude", "Q1 score", "Q1 direction", "Q1 time taken", "2a x", "2a y", "2a comments"),
            ("101", "Ana Reyes", "62.0 lb", "2", "353°", "80", "61.6", "-7.6", "ok"),
            ("102", "Ben Okafor", "60", "1", "", "9", "", "7", ""),
        )
    ),
    "identical headings, one empty": Shape(
        lines((*HEAD, "2a y"), (*ANA, ""), (*BEN, "")),
    ),
    "identical headings, the same cells": Shape(lines((*HEAD, "2a y"), (*ANA, "-7.6"), (*BEN, "7"))),
    "identical headings, each row in one of them": Shape(
        lines((*HEAD, "2a y"), ("101", "Ana Reyes", "62.0 lb", "353°", "61.6", "", "-7.6"), (*BEN, ""))
    ),
    "identical headings, the second one ruled out": Shape(
        lines((*HEAD, "2a y"), (*ANA, "3 points"), (*BEN, "0 points")), rules=(ColumnRule("2a y (2)", "ignore"),)
    ),
    "a column named by its letter": Shape(
        lines((*HEAD[:5], "???"), ANA, BEN), rules=(ColumnRule("column F", "problem 2a y"),)
    ),
    "question and response in columns of their own": Shape(
        lines(
            ("ID", "Question 1", "Response 1", "Question 2a", "Response 2a"),
            ("101", "How hard do the tugs pull?", "62.0 lb at 353°", "How far east and north?", "(61.6 -7.6)"),
            ("102", "How hard do the tugs pull?", "60", "How far east and north?", "7"),
        ),
        answers={
            "101": {"1": (("whole", "62.0 lb at 353°"),), "2a": (("whole", "(61.6 -7.6)"),)},
            "102": {"1": (("whole", "60"),), "2a": (("whole", "7"),)},
        },
    ),
    "columns all of one name, in order": Shape(
        lines(
            ("ID", "Answer", "Answer", "Answer", "Answer"),
            ("101", "62.0 lb", "353°", "61.6", "-7.6"),
            ("102", "60", "", "", "7"),
        )
    ),
    "a whole answer in one column": Shape(
        lines(("ID", "1", "2a x", "2a y"), ("101", "62.0 lb at 353°", "61.6", "-7.6"), ("102", "", "", "7")),
        answers={
            "101": {"1": (("whole", "62.0 lb at 353°"),), "2a": BOTH["2a"]},
            "102": {"1": (("whole", ""),), "2a": OTHER["2a"]},
        },
    ),
    "students known by their addresses": Shape(
        lines(
            ("Name", "Email", *HEAD[2:]),
            ("Ana", "ANA@example.org", *ANA[2:]),
            ("Ben", "ben@example.org", *BEN[2:]),
            ("Cy", "cy@example.org", "1", "2", "3", "4"),
        ),
        roster=TUG,
        aside=((4, "its address is not in the sheet Students"),),
    ),
    "ids that went through a table program": Shape(
        lines(HEAD, ("101.0", *ANA[1:]), ("102.0", *BEN[1:])), note="student ids such as 101.0 were read without"
    ),
    # Rows.
    "the same row twice": Shape(lines(HEAD, ANA, BEN, ANA), aside=((4, "the same as row 2"),)),
    "resubmissions told apart by their times": Shape(
        lines(
            (*HEAD, "Submitted"),
            ("101", "Ana Reyes", "1", "1", "1", "1", "2026-03-10 09:00"),
            (*ANA, "2026-03-11 10:00"),
            (*BEN, "2026-03-10 08:00"),
        ),
        aside=((2, "attempt 1; attempt 2 counts"),),
        note="101 stands in several rows, taken for attempts in the order of their times.",
    ),
    "attempts in words": Shape(
        lines(
            ("ID", "Name", "Attempt", *HEAD[2:]),
            ("101", "Ana Reyes", "Attempt 2 of 3", *ANA[2:]),
            ("101", "Ana Reyes", "Attempt 1 of 3", "1", "1", "1", "1"),
            ("102", "Ben Okafor", "Attempt 1 of 3", *BEN[2:]),
        ),
        aside=((3, "attempt 1; attempt 2 counts"),),
    ),
    "a row without a name tag": Shape(
        lines(HEAD, ANA, ("", "Cy", "1", "2", "3", "4"), BEN), aside=((3, "no student id"),)
    ),
    "an unquoted separator in an answer": Shape(
        lines(HEAD, ANA, BEN, ("103", "Cy", "(61.6", "-7.6)", "353", "1", "2")),
        aside=((4, "7 cells under 6 headings, so that answers may stand under the wrong heading"),),
    ),
    # Workbooks and what pretends to be one.
    "a workbook": Shape(sheets={"S": PLAIN}, name="answers.xlsx"),
    "a workbook named as text": Shape(sheets={"S": PLAIN}, name="answers.csv"),
    "text named as an old workbook": Shape(lines(HEAD, ANA, BEN, by="\t"), name="answers.xls"),
    "a web page named as an old workbook": Shape(page(PLAIN), name="answers.xls"),
    "a web page with entities and a title": Shape(
        page([["Harbour"], *PLAIN], '<!DOCTYPE html><meta charset="utf-8"><h1>Answers</h1>').replace("°", "&deg;"),
        name="answers.html",
        aside=((1, "a line above the headings"),),
    ),
    "a workbook as one XML file": Shape(xml_workbook(PLAIN), name="answers.xls"),
    "numbers, numbers as text, and dates where fractions were": Shape(
        sheets={
            "S": [
                list(HEAD),
                [101, "Ana Reyes", 62, "353", datetime(2026, 1, 2), -7.6],
                ["102", "Ben Okafor", "60", None, None, 7.0],
            ]
        },
        name="answers.xlsx",
        answers={
            "101": {
                "1": (("magnitude", 62), ("direction", "353")),
                "2a": (("x", datetime(2026, 1, 2)), ("y", -7.6)),
            },
            "102": {"1": (("magnitude", "60"), ("direction", "")), "2a": (("x", ""), ("y", 7))},
        },
    ),
    "answers on the second sheet": Shape(
        sheets={"Read me": [["Exported"]], "Answers": PLAIN},
        name="answers.xlsx",
        note="the sheet “Read me” has no heading for a student id",
    ),
    "a remark beyond the last heading": Shape(
        sheets={"S": [list(HEAD), [*ANA, None, "was ill"], list(BEN)]}, name="answers.xlsx"
    ),
    # A row for each answer.
    "long form": Shape(lines(LONG_HEAD, *LONG)),
    "long form, shuffled, with semicolons": Shape(lines(LONG_HEAD, *reversed(LONG), by=";")),
    "long form in a workbook, items as numbers": Shape(
        sheets={
            "S": [
                ["Pupil ID", "Item", "Field", "Answer"],
                *[[int(a), 1 if b == "Q1" else "2a", c, d or None] for a, b, c, d in LONG],
            ]
        },
        name="answers.xlsx",
    ),
    "long form, item and part in one cell": Shape(
        lines(("ID", "Item", "Answer"), *((a, f"{b}_{c}", d) for a, b, c, d in LONG))
    ),
    "long form, parts by number": Shape(
        lines(
            LONG_HEAD,
            *((a, b, "1" if c in ("magnitude", "x") else "2", d) for a, b, c, d in LONG if (a, c) != ("102", "x")),
        ),
        answers={"101": BOTH, "102": {"1": OTHER["1"], "2a": (("y", "7"),)}},
    ),
    "long form, items by the sheet Columns": Shape(
        lines(LONG_HEAD, *((a, {"Q1": "tugs", "Q2a": "ebb"}[b], c, d) for a, b, c, d in LONG)),
        rules=(ColumnRule("tugs", "problem 1"), ColumnRule("ebb", "problem 2a")),
    ),
    "long form, the question's wording": Shape(
        lines(
            LONG_HEAD,
            *((a, b.replace("Q1", "Two tugs pull a barge. Find the pull."), c, d) for a, b, c, d in LONG),
        )
    ),
    "long form with a survey question and totals": Shape(
        lines(
            LONG_HEAD,
            *LONG[:4],
            ("101", "How was it?", "", "fine"),
            *LONG[4:],
            ("Total", "", "", "8"),
        ),
        rules=(ColumnRule("How was it?", "ignore"),),
        aside=((6, "the item “How was it?” is no problem of the rubric"), (11, "a row of totals")),
    ),
    "long form, a problem that somebody skipped": Shape(
        lines(LONG_HEAD, *LONG[:4], *LONG[6:]),
        answers={"101": BOTH, "102": {"1": (("whole", ""),), "2a": OTHER["2a"]}},
    ),
    "long form, the same row twice": Shape(lines(LONG_HEAD, *LONG, LONG[3]), aside=((10, "the same as row 5"),)),
    "long form, last of several answers by time": Shape(
        lines(
            (*LONG_HEAD, "Time stamp"),
            *((*row, "2026-03-10T10:00:00Z") for row in LONG),
            ("101", "Q1", "magnitude", "1", "2026-03-10T09:00:00Z"),
        ),
        note="101 stands in several rows",
        answers={"101": BOTH, "102": OTHER},
    ),
}


def written(export: Export) -> dict[str, dict[str, object]]:
    found: dict[str, dict[str, object]] = {}
    for student, problem, boxes in zip(*(export.answers[name] for name in ("student_id", "problem", "written"))):
        found.setdefault(student, {})[problem] = boxes  # the last attempt's
    return found


def test_the_table_is_long_enough() -> None:
    assert len(SHAPES) >= 45


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES.keys())
def test_every_answer_is_kept_or_what_was_set_aside_is_said(
    two: Rubric, file: Write, workbook: Write, shape: Shape
) -> None:
    path = workbook(shape.sheets, shape.name) if shape.sheets else file(shape.text, shape.name, encoding=shape.encoding)
    export = read_exports(path, replace(two, columns=shape.rules, students=shape.roster))
    assert written(export) == shape.answers
    said = [(each.row, each.reason) for each in export.set_aside]
    assert [row for row, _ in said] == [row for row, _ in shape.aside]
    assert all(reason.startswith(expected) for (_, reason), (_, expected) in zip(said, shape.aside))
    assert shape.note in " ".join(export.notes)
    (table,) = export.tables
    rows = [table.header + 1, *table.students, *(row for row, _ in said)]
    assert sorted(rows) == list(range(1, len(table.rows) + 1))
