"""Workbooks of this program's own, known by their sheets, where an export of answers was expected."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from grader.errors import GraderError
from grader.exchange.cells import Row, fold, trimmed
from grader.exchange.workbook import read_workbook

_FEEDBACK_SHEETS = frozenset({"to look at", "scores", "feedback"})
_PROBLEMS = "problems"
_PROBLEM_HEADINGS = frozenset({"problem", "find", "given"})
_ROWS_ABOVE_HEADINGS = 20


def refuse_own_workbook(path: Path) -> None:
    """Raise GraderError, one sentence, where a workbook is the feedback this program wrote, or a rubric."""
    names = sheet_names(path)
    if is_feedback(names):
        raise GraderError(
            f"{path.name} is the feedback that this program wrote, no export of answers; give the export that it was made from."
        )
    if _PROBLEMS in names:
        rows = next(each.rows for each in read_workbook(path, _is_problems) if _is_problems(each.sheet))
        if asks_problems(rows):
            raise GraderError(
                f"{path.name} is a rubric, no export of answers; give the rubric first and the exports after it."
            )


def sheet_names(path: Path) -> frozenset[str]:
    """The names of a workbook's sheets as they are compared."""
    return frozenset(fold(each.sheet) for each in read_workbook(path, lambda _: False))


def is_feedback(names: Iterable[str]) -> bool:
    """Whether sheets of these names are those of a feedback workbook."""
    return {*names} >= _FEEDBACK_SHEETS


def asks_problems(rows: Iterable[Row]) -> bool:
    """Whether these are the rows of a rubric's sheet Problems."""
    top = [row for row, _ in zip(rows, range(_ROWS_ABOVE_HEADINGS))]
    return any({fold(trimmed(cell)) for cell in row} >= _PROBLEM_HEADINGS for row in top)


def _is_problems(name: str) -> bool:
    return fold(name) == _PROBLEMS
