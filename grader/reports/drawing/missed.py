"""One student's own part: the problems that were missed, each with its picture, the answer as read, and what to do.

Nothing here knows of anyone else: the functions are given one student's rows.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol, cast

from grader.marking.judge import phrases
from grader.methods.part_names import part_name
from grader.methods.solution import Working
from grader.methods.solve import Solved
from grader.reports.class_page.teaching import board_line
from grader.reports.class_page.templating import environment
from grader.reports.drawing.answers import answer_from
from grader.reports.drawing.sheet import Picture
from grader.reports.drawing.theme import Theme
from grader.reports.drawing.vectors import problem_picture
from grader.reports.key import method_name
from grader.reports.summary import MarkRow, as_text, mark_rows
from grader.reports.words import amount, one_line, with_sign

if TYPE_CHECKING:
    import pandas as pd

_RIGHT = ("right", "right, other form")


class MarkedPart(Protocol):
    """What a drawing needs of a part's mark: which part of which problem, the verdict, and the number judged."""

    @property
    def problem(self) -> str: ...
    @property
    def part(self) -> str: ...
    @property
    def verdict(self) -> str: ...
    @property
    def value(self) -> float: ...


class _Row(MarkRow, Protocol):
    """A row of the marks with the number judged and the line at which the working was left."""

    @property
    def value(self) -> float: ...
    @property
    def line(self) -> str: ...


@dataclass(frozen=True)
class WorkingLine:
    """A line of the working; ``parted`` marks the one at which the student's way probably left it."""

    step: str
    text: str
    parted: bool


@dataclass(frozen=True)
class Missed:
    """A problem that a student missed, as the fragment shows it."""

    title: str
    question: str
    picture: Picture | None
    parts: tuple[dict[str, str], ...]
    method: str
    working: tuple[WorkingLine, ...]


def student_pictures(
    solved: Sequence[Solved], marks_of_student: pd.DataFrame, show_answers: bool, theme: Theme = "auto"
) -> dict[str, Picture]:
    """Problem label → the picture of a problem that this student missed, with their own vector in it.

    The right vector is in it only where ``show_answers`` allows. A problem with no number to draw has no picture, unless
    the right answer may be shown.
    """
    rows = _rows_by_problem(marks_of_student)
    return missed_pictures(solved, [row for here in rows.values() for row in here], show_answers, theme)


def missed_pictures(
    solved: Sequence[Solved], rows: Sequence[MarkedPart], show_answers: bool, theme: Theme = "auto"
) -> dict[str, Picture]:
    """The same from the rows of one student's marks, whatever holds them."""
    found = {}
    for one in solved:
        here = [row for row in rows if row.problem == one.problem.label]
        if not here or all(row.verdict in _RIGHT for row in here):
            continue
        answer = answer_from((row.part, row.value) for row in here)
        if answer or (show_answers and not one.solution.none):
            found[one.problem.label] = problem_picture(
                one, student=answer or None, show_right=show_answers, theme=theme
            )
    return found


def student_section(solved: Sequence[Solved], marks_of_student: pd.DataFrame, *, show_answers: bool) -> str:
    """The student's part as an HTML fragment (to stand in a page of this program's own, with ``drawing.theme.stylesheet``).

    For each missed problem the picture, what was written, how it was read, what probably happened and what to do; where
    ``show_answers`` allows, the expected answer and the working by the method asked, with the line marked at which the ways
    part. Blank where nothing was missed.
    """
    pictures = student_pictures(solved, marks_of_student, show_answers, "page")
    rows = _rows_by_problem(marks_of_student)
    missed = [
        _missed(one, rows[one.problem.label], pictures.get(one.problem.label), show_answers)
        for one in solved
        if any(row.verdict not in _RIGHT for row in rows.get(one.problem.label, []))
    ]
    return environment().get_template("student.html.j2").render(problems=missed) if missed else ""


def _rows_by_problem(marks: pd.DataFrame) -> dict[str, list[_Row]]:
    rows: dict[str, list[_Row]] = {}
    students = set()
    table = as_text(marks)
    if "line" not in table:
        table = table.assign(line="")
    for row in cast("Iterator[_Row]", mark_rows(table)):
        students.add(row.student_id)
        rows.setdefault(row.problem, []).append(row)
    if len(students) > 1:
        raise ValueError("a student's part is made from the marks of one student alone")
    return rows


def _missed(one: Solved, rows: Sequence[_Row], picture: Picture | None, show_answers: bool) -> Missed:
    said = [_part(one, row, show_answers) for row in rows]
    working = next((each for each in one.solution.workings if each.asked), None) if show_answers else None
    return Missed(
        f"Problem {one_line(one.problem.label)}",
        one_line(one.problem.question or one.problem.given_text),
        picture,
        tuple(said),
        method_name(working.method) if working else "",
        _working(one, working, rows) if working else (),
    )


def _part(one: Solved, row: _Row, show_answers: bool) -> dict[str, str]:
    answer = phrases()["answer"].format(answer=row.expected)
    points = "?" if row.points != row.points else amount(row.points)
    return {
        "part": part_name(one.problem.find, row.part),
        "verdict": with_sign(row.verdict),
        "points": f"{points} of {amount(row.points_possible)}",
        "written": one_line(row.written),
        "read_as": one_line(row.read_as),
        "feedback": "" if row.verdict in _RIGHT else one_line(row.feedback.replace(answer, "")),
        "expected": row.expected if show_answers and row.verdict != "right" else "",
    }


def _working(one: Solved, working: Working, rows: Sequence[_Row]) -> tuple[WorkingLine, ...]:
    """The lines of the working; the parting line is the one that marking found, else the first of the mistake's lesson."""
    texts = [line.text for line in working.lines]
    found = [row.line for row in rows if row.line]
    for mistake in (id_ for row in rows for id_ in row.mistake.replace(" + ", " / ").split(" / ") if id_):
        board = board_line(mistake, one.solution, (working.method,))
        found += [line.text for line in board.lines] if board is not None else []
    parting = next((text for text in found if text in texts), "")
    return tuple(WorkingLine(line.step, line.text, line.text == parting) for line in working.lines)
