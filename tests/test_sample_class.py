"""The sample class, marked and compared with what its maker meant each student to have written (tests/samples/truth.csv).

The maker knows nothing of the engine: it has its own arithmetic and decides by hand who makes which mistake.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pandas as pd
import pytest

import grader
from grader.exchange.export import read_exports

ROOT = Path(__file__).resolve().parent
VERDICT = {
    "right": {"right"},
    "right other form": {"right, other form"},
    "unit missing": {"right, other form"},
    "rounded too far": {"rounded too far"},
    "follows on": {"follows on"},
    "blank": {"blank"},
    "unreadable": {"needs a look"},
    "gave up": {"needs a look", "blank", "wrong"},
    "random": {"wrong"},
}


@pytest.fixture(scope="module")
def marked(sample_rubric: Path, sample_exports: tuple[Path, ...]) -> pd.DataFrame:
    rubric = grader.read_rubric(sample_rubric)
    answers = read_exports(sample_exports, rubric).answers
    marks = grader.mark_class(rubric, answers)
    with (ROOT / "samples" / "truth.csv").open(encoding="utf-8", newline="") as file:
        truth = pd.DataFrame(list(csv.DictReader(file)))
    both = marks.merge(truth[["student_id", "problem", "part", "meant"]], how="outer", indicator=True)
    assert (both["_merge"] == "both").all(), "every part of every answer is marked exactly once"
    return both


def _kind(meant: str) -> str:
    return next((kind for kind in ("mistake", "slip", "rounded early") if meant.startswith(kind)), meant)


@pytest.mark.parametrize("kind", [kind for kind in VERDICT if kind != "unreadable"])
def test_verdicts_are_as_meant(marked: pd.DataFrame, kind: str) -> None:
    rows = marked[marked["meant"] == kind]
    assert len(rows)
    off = rows[~rows["verdict"].isin(VERDICT[kind] | {"needs a look"})]
    assert off.empty, off[["student_id", "problem", "part", "written", "verdict", "note"]].to_string()
    # An unread right answer costs the teacher a minute; more than one in fifty would cost the evening.
    assert (rows["verdict"] == "needs a look").sum() <= max(1, 0.02 * len(rows)) or kind == "gave up"


def test_no_wrong_answer_is_judged_right(marked: pd.DataFrame) -> None:
    wrong = marked[marked["meant"].map(_kind).isin(["mistake", "random"])]
    assert not wrong["verdict"].isin(["right", "right, other form"]).any()


def test_early_rounding_is_recognised(marked: pd.DataFrame) -> None:
    rows = marked[marked["meant"].map(_kind) == "rounded early"]
    assert (rows["verdict"] == "rounded early").mean() >= 0.95


def test_random_answers_get_no_cause(marked: pd.DataFrame) -> None:
    rows = marked[marked["meant"] == "random"]
    assert len(rows) >= 10
    assert (rows["mistake"] == "").all()


def test_mistakes_are_named(marked: pd.DataFrame) -> None:
    """A part that follows on from a mistaken one by right steps is right on its own account and needs no name."""
    rows = marked[(marked["meant"].map(_kind) == "mistake") & (marked["verdict"] == "wrong")]
    assert len(rows) >= 120

    def named(row: pd.Series) -> bool:
        meant = row["meant"].removeprefix("mistake ").split(" + ")
        said = row["mistake"].replace(" / ", " + ").split(" + ")
        return any(id_ in said for id_ in meant)

    share = rows.apply(named, axis=1)
    assert share.mean() >= 0.97, rows[~share][
        ["student_id", "problem", "part", "written", "meant", "mistake"]
    ].to_string()
