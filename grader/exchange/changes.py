"""What a second marking changed, and for whom."""

from __future__ import annotations

import math
from collections.abc import Collection
from typing import TYPE_CHECKING, Any

from grader.exchange.cells import counted
from grader.exchange.csvfile import csv_bytes

if TYPE_CHECKING:
    import pandas as pd

CHANGES_FILE = "changes.csv"

CHANGE_COLUMNS = (
    "student_id",
    "problem",
    "part",
    "change",
    "points_before",
    "points",
    "verdict_before",
    "verdict",
    "written_before",
    "written",
)
"""The columns of the table of changes. ``change`` is ``new``, ``gone``, ``points``, ``verdict`` or ``answer``."""

_KEY = ("student_id", "problem", "part")


def changes(before: pd.DataFrame, after: pd.DataFrame) -> pd.DataFrame:
    """The parts whose mark is another one after a second marking, with the columns ``CHANGE_COLUMNS``.

    Both tables have a row for each student, problem and part, as in marks.csv. A change of points is named before one
    of the verdict, and that before one of the answer alone; points are nan where an answer needs a look. Pure: rows may
    stand in any order, and the result follows that of ``after``, with what is gone at the end.
    """
    import pandas as pd

    old, new = _rows(before), _rows(after)
    found: list[dict[str, Any]] = []
    for key in (*new, *(key for key in old if key not in new)):
        was, now = old.get(key), new.get(key)
        kind = _kind(was, now)
        if kind:
            found.append(
                dict(zip(_KEY, key))
                | {"change": kind}
                | {f"{name}_before": was[name] if was else _nothing(name) for name in ("points", "verdict", "written")}
                | {name: now[name] if now else _nothing(name) for name in ("points", "verdict", "written")}
            )
    table = pd.DataFrame(found, columns=list(CHANGE_COLUMNS))
    return table.astype({"points": float, "points_before": float})


def _rows(marks: pd.DataFrame) -> dict[tuple[str, ...], dict[str, Any]]:
    columns = {name: marks[name].tolist() for name in (*_KEY, "points", "verdict", "written")}
    rows = (dict(zip(columns, row)) for row in zip(*columns.values()))
    return {tuple(str(row[name]) for name in _KEY): row | {"points": float(row["points"])} for row in rows}


def _nothing(name: str) -> float | str:
    return math.nan if name == "points" else ""


def _kind(was: dict[str, Any] | None, now: dict[str, Any] | None) -> str:
    if was is None or now is None:
        return "new" if was is None else "gone"
    one, other = was["points"], now["points"]
    if math.isnan(one) != math.isnan(other) or abs(one - other) > 1e-6:
        return "points"
    if was["verdict"] != now["verdict"]:
        return "verdict"
    return "answer" if _text(was["written"]) != _text(now["written"]) else ""


def _text(written: object) -> str:
    return " ".join(str(written).split())


def summary_of(found: pd.DataFrame, present: Collection[str]) -> str:
    """What a table of changes comes to: how many parts of how many students, and who gains or loses.

    ``present`` are the students who have marks now. Who has none any more loses nothing: they are counted by themselves.
    """
    if found.empty:
        return "Compared with the marks that stood in this folder, nothing has changed."
    gone = {str(student) for student in found.loc[found["change"] == "gone", "student_id"]} - set(present)
    left = f"{counted(len(gone), 'student')} {'is' if len(gone) == 1 else 'are'} in no export now" if gone else ""
    found = found[~found["student_id"].isin(gone)]
    if found.empty:
        return f"Compared with the marks that stood in this folder, {left}, and nothing else has changed."
    gain: dict[str, float] = {}
    for student, before, after in zip(*(found[name].tolist() for name in ("student_id", "points_before", "points"))):
        gain[student] = gain.get(student, 0.0) + sum(
            sign * points for sign, points in ((1, after), (-1, before)) if points == points
        )
    up, down = (sum(sign * points > 1e-6 for points in gain.values()) for sign in (1, -1))
    return (
        f"Compared with the marks that stood in this folder, {counted(len(found), 'part')} of "
        f"{counted(len(gain), 'student')} changed: {up} {'gains' if up == 1 else 'gain'} points, {down} "
        f"{'loses' if down == 1 else 'lose'} points.{f' {left}.' if left else ''} {CHANGES_FILE} says what changed for whom."
    )


def changes_csv(found: pd.DataFrame) -> bytes:
    """The table of changes as CSV (RFC 4180, UTF-8), nothing in it a formula."""
    rows = [
        tuple("" if isinstance(cell, float) and math.isnan(cell) else cell for cell in row)
        for row in found.itertuples(index=False, name=None)
    ]
    return csv_bytes([CHANGE_COLUMNS, *rows])
