"""What a second marking changed: each kind of change once, and nothing where nothing changed."""

from __future__ import annotations

import math
from pathlib import Path

import pandas as pd
import pytest

from grader.errors import GraderError
from grader.exchange.changes import CHANGE_COLUMNS, changes, changes_csv, summary_of
from grader.exchange.marksfile import marks_csv, read_marks

NAN = math.nan


def table(*rows: tuple[str, str, float, str, str]) -> pd.DataFrame:
    """Marks from (student, part, points, verdict, written)."""
    names = ("student_id", "part", "points", "verdict", "written")
    return pd.DataFrame({name: [row[place] for row in rows] for place, name in enumerate(names)}).assign(
        problem="1", decided=""
    )


BEFORE = table(
    ("A", "x", 2, "right", "61.6"),
    ("A", "y", NAN, "needs a look", "?"),
    ("B", "x", 0, "wrong", "9"),
    ("B", "y", 2, "right", "7.6"),
    ("C", "x", 2, "right", "-1"),
)
AFTER = table(
    ("D", "x", 1, "wrong", ""),
    ("B", "y", 2, "right", "7.60"),
    ("B", "x", 0, "follows on", "9"),
    ("A", "y", 1, "needs a look", "?"),
    ("A", "x", 2, "right", " 61.6 "),
)


def test_each_kind_of_change() -> None:
    found = changes(BEFORE, AFTER)
    assert tuple(found.columns) == CHANGE_COLUMNS
    names = ["student_id", "part", "change"]
    assert found[names].values.tolist() == [
        ["D", "x", "new"],
        ["B", "y", "answer"],
        ["B", "x", "verdict"],
        ["A", "y", "points"],
        ["C", "x", "gone"],
    ]


def test_who_is_in_no_export_any_more_is_said_by_itself() -> None:
    found = changes(BEFORE, AFTER)
    assert summary_of(found, {"A", "B", "D"}) == (
        "Compared with the marks that stood in this folder, 4 parts of 3 students changed: 2 gain points, 0 lose points. "
        "1 student is in no export now. changes.csv says what changed for whom."
    )
    left = changes(BEFORE, BEFORE[BEFORE["student_id"] == "A"])
    assert summary_of(left, {"A"}) == (
        "Compared with the marks that stood in this folder, 2 students are in no export now, and nothing else has changed."
    )


def test_nothing_changes_by_the_order_of_the_rows() -> None:
    found = changes(BEFORE, BEFORE.iloc[::-1])
    assert found.empty
    assert "nothing has changed" in summary_of(found, {"A", "B", "C"})


def test_the_file_says_it_without_formulas() -> None:
    after = BEFORE.assign(written=["=1+1", *BEFORE["written"][1:]])
    lines = changes_csv(changes(BEFORE, after)).decode("utf-8-sig").splitlines()
    assert lines == [",".join(CHANGE_COLUMNS), "A,1,x,answer,2,2,right,right,61.6,'=1+1"]


def test_marks_read_back_are_the_marks(tmp_path: Path) -> None:
    path = tmp_path / "marks.csv"
    hostile = BEFORE.assign(written=["=1+1", "", "-7.6 N", "@x", "62"])
    path.write_bytes(marks_csv(hostile))
    read = read_marks(path)
    assert read is not None
    assert changes(hostile, read).empty
    assert read["written"].tolist() == hostile["written"].tolist()
    path.write_text("student_id,problem\n1,2\n", encoding="utf-8")
    with pytest.raises(GraderError, match="is not a table of marks"):
        read_marks(path)
