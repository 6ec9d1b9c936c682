"""The gradebook package against OneRoster 1.2 CSV (1EdTech); headings as in public code that reads such files."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from datetime import date, datetime, timedelta

import pandas as pd
import pytest

from grader.exchange.oneroster import oneroster_package
from grader.marking.attempts import count_attempts
from grader.marking.definitions import ALL_PROBLEMS, Deduction, Rubric, Settings, Student

DUE = datetime(2026, 3, 11, 23, 59)
LINE_ITEMS = (
    "sourcedId,status,dateLastModified,title,description,assignDate,dueDate,classSourcedId,categorySourcedId,"
    "academicSessionSourcedId,resultValueMin,resultValueMax,schoolSourcedId"
)
RESULTS = (
    "sourcedId,status,dateLastModified,lineItemSourcedId,studentSourcedId,scoreStatus,score,scoreDate,comment,textScore,"
    "classSourcedId,inProgress,incomplete,late,missing"
)
RUBRIC = Rubric(
    (),
    settings=Settings(title="Tugs", due=DUE, late_per_day=Deduction(0.5)),
    students=(
        Student("007", "Ana", "ana@example.org", "A"),
        Student("8", "Ben", "ben@example.org", "A"),
        Student("9", "Cy", "cy@example.org", "B"),
        Student("10", "Di", "di@example.org", "B", excused=(ALL_PROBLEMS,)),
        Student("11", "Eb", "eb@example.org", "B", excused=("2",)),
        Student("12", "Flo", "flo@example.org", "B"),
        Student("13", "Gus", "gus@example.org", "B"),
    ),
)
POINTS = {  # student: points of problem 1 and problem 2, of 3 and 1
    "007": (3.0, 1.0),
    "8": (float("nan"), 1.0),
    "9": (float("nan"), float("nan")),
    "11": (1.5, 0.0),
    "12": (3.0, 1.0),
}


def made(rubric: Rubric = RUBRIC) -> bytes:
    rows = [(student, problem, number) for student, both in POINTS.items() for problem, number in zip("12", both)]
    marks = pd.DataFrame(
        {
            "student_id": [row[0] for row in rows],
            "section": ["A" if row[0] in ("007", "8") else "B" for row in rows],
            "problem": [row[1] for row in rows],
            "part": "value",
            "attempt": "",
            "points": [row[2] for row in rows],
            "points_possible": [3.0 if row[1] == "1" else 1.0 for row in rows],
            "verdict": "right",
            "note": "",
            "feedback": "",
            "decided": "",
        }
    )
    late = {"12": DUE + timedelta(hours=1)}
    answers = marks[["student_id", "problem", "attempt"]].assign(
        submitted_at=pd.Series([late.get(row[0], DUE) for row in rows], dtype=object)
    )
    return oneroster_package(count_attempts(marks, answers, rubric), rubric, date(2026, 3, 14))


def read(package: bytes) -> dict[str, pd.DataFrame]:
    with zipfile.ZipFile(io.BytesIO(package)) as archive:
        assert archive.testzip() is None
        return {
            name: pd.read_csv(io.BytesIO(archive.read(name)), dtype=str, keep_default_na=False)
            for name in archive.namelist()
        }


@pytest.fixture(scope="module")
def package() -> dict[str, pd.DataFrame]:
    return read(made())


def test_the_manifest_names_what_is_there(package: dict[str, pd.DataFrame]) -> None:
    manifest = dict(package["manifest.csv"].itertuples(index=False, name=None))
    assert manifest["oneroster.version"] == "1.2"
    assert {f"{key.removeprefix('file.')}.csv" for key, value in manifest.items() if value == "bulk"} == set(
        package
    ) - {"manifest.csv"}
    assert manifest["file.users"] == manifest["file.classes"] == "absent"


def test_headings_are_the_standards(package: dict[str, pd.DataFrame]) -> None:
    assert ",".join(package["manifest.csv"].columns) == "propertyName,value"
    assert ",".join(package["lineItems.csv"].columns) == LINE_ITEMS
    assert ",".join(package["results.csv"].columns) == RESULTS


def test_keys_are_unique_and_references_whole(package: dict[str, pd.DataFrame]) -> None:
    items, results = package["lineItems.csv"], package["results.csv"]
    assert items["sourcedId"].is_unique
    assert results["sourcedId"].is_unique
    assert not results.duplicated(["lineItemSourcedId", "studentSourcedId"]).any()
    joined = results.merge(items, left_on="lineItemSourcedId", right_on="sourcedId", how="left", validate="many_to_one")
    assert joined["title"].notna().all()
    assert joined["classSourcedId_x"].tolist() == joined["classSourcedId_y"].tolist()
    assert set(results["studentSourcedId"]) == {student.student_id for student in RUBRIC.students}


def test_what_each_student_got(package: dict[str, pd.DataFrame]) -> None:
    names = ["scoreStatus", "score", "late", "missing", "incomplete", "inProgress"]
    rows = package["results.csv"].set_index("studentSourcedId")[names]
    assert {student: " ".join(filter(None, row)) for student, row in zip(rows.index, rows.itertuples(index=False))} == {
        "007": "fully graded 4 false false false false",
        "8": "partially graded false false true true",
        "9": "submitted false false false true",
        "10": "exempt false false false false",
        "11": "fully graded 2 false false false false",  # 1.5 of the 3 points not excused, of 4
        "12": "fully graded 2 true false false false",
        "13": "not submitted false true false false",
    }
    comments = package["results.csv"].set_index("studentSourcedId")["comment"]
    assert comments["11"] == "1.5 of 3: excused from 2"
    assert set(package["results.csv"]["scoreDate"]) == {"2026-03-14"}
    assert set(package["lineItems.csv"]["resultValueMax"]) == {"4"}
    assert set(package["lineItems.csv"]["dueDate"]) == {"2026-03-11"}


# From memory of the standard.
def test_bulk_files_leave_status_and_date_blank(package: dict[str, pd.DataFrame]) -> None:
    for name in ("lineItems.csv", "results.csv"):
        assert set(package[name]["status"]) | set(package[name]["dateLastModified"]) == {""}


def test_no_name_or_address_leaves(package: dict[str, pd.DataFrame]) -> None:
    text = " ".join(table.to_csv() for table in package.values())
    assert not any(each.name in text or each.email in text for each in RUBRIC.students)


def test_the_same_marks_give_the_same_bytes_and_ids_outlive_a_new_title() -> None:
    assert made() == made()
    named = replace(RUBRIC, settings=replace(RUBRIC.settings, gradebook_id="tugs-2026"))
    renamed = replace(named, settings=replace(named.settings, title="Tugs and currents"))
    for table in ("lineItems.csv", "results.csv"):
        first, second, third = (read(made(rubric))[table]["sourcedId"].tolist() for rubric in (RUBRIC, named, renamed))
        assert second == third
        assert not set(first) & set(second)
