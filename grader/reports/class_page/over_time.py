"""A marked homework as a record for the history, and what the records say about the class of today."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from grader.history.progress import Progress, progress
from grader.history.records import Answer, Homework, WrongTurn
from grader.marking.prepared import Prepared
from grader.marking.reveal import reveal
from grader.reports.attribution import HABITS, attribute
from grader.reports.class_page.misconceptions import HABIT_NAMES
from grader.reports.class_page.teaching import lessons
from grader.reports.class_page.turns import people
from grader.reports.summary import as_text
from grader.reports.words import mistake_name

if TYPE_CHECKING:
    import pandas as pd


def homework_record(key: str, title: str, marks: pd.DataFrame, prepared: Mapping[str, Prepared]) -> Homework:
    """What the history keeps of a marked homework; ``prepared`` holds its problems by label."""
    table = as_text(marks)
    could_show = {(label, habit) for label in prepared for habit in HABITS}
    for label, one in prepared.items():
        shown = reveal(one)
        could_show |= {(label, mistake) for mistake in shown.told_apart}
        could_show |= {(label, mistake) for together in shown.alike for mistake in together}
    turns = tuple(
        WrongTurn(each.student, each.problem, mistake, each.chance, round(each.lost, 6))
        for mistake, found in attribute(table).incidents.items()
        for each in found
    )
    return Homework(key, title, frozenset(could_show), _answers(table), turns)


def class_progress(homeworks: Sequence[Homework], marks: pd.DataFrame) -> Progress | None:
    """What the homeworks say about the students of these marks; None where there is only one homework."""
    names, _ = people(as_text(marks))
    slips = frozenset(id_ for id_, lesson in lessons().items() if lesson.kind == "slip")
    return progress(homeworks, names, lambda id_: HABIT_NAMES.get(id_) or mistake_name(id_), slips)


def _answers(table: pd.DataFrame) -> tuple[Answer, ...]:
    cells: dict[tuple[str, str], list[tuple[str, float, float]]] = defaultdict(list)
    columns = (table[name].tolist() for name in ("student_id", "problem", "verdict", "points", "points_possible"))
    for student, problem, verdict, points, possible in zip(*columns):
        cells[student, problem].append((verdict, points, possible))
    found = []
    for (student, problem), parts in cells.items():
        points = math.fsum(each for _, each, _ in parts)
        answered = any(verdict != "blank" for verdict, *_ in parts)
        possible = round(math.fsum(each for *_, each in parts), 6)
        found.append(Answer(student, problem, answered, None if math.isnan(points) else round(points, 6), possible))
    return tuple(found)
