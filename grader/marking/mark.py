"""Mark a whole table of answers. Pure: the same rows in any order, or split in any way, get the same marks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from typing import TYPE_CHECKING

import numpy as np

from grader.errors import GraderError
from grader.marking.collect import Boxes
from grader.marking.definitions import Decision, Rubric
from grader.marking.evidence import ClassEvidence
from grader.marking.judge import BY_DEFAULT, PartMark, mark_answer, with_decision
from grader.marking.prepared import Prepared
from grader.methods.solution import Solution
from grader.methods.solve import Solved, solve_problem
from grader.notation.readings import COMMA, POINT, UNSETTLED, Conventions

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = (
    "student_id",
    "name",
    "section",
    "problem",
    "part",
    "written",
    "read_as",
    "expected",
    "verdict",
    "points",
    "points_possible",
    "mistake",
    "mistake_chance",
    "other_mistakes",
    "feedback",
    "note",
    "decided",
    "attempt",
    "value",
    "method",
    "line",
)
"""The columns of the marks table, in order."""

_OF_THE_MARK = tuple(field.name for field in fields(PartMark))
_OF_THE_STUDENT = ("student_id", "name", "section", "attempt")


def solve_all(rubric: Rubric) -> tuple[Solved, ...]:
    """Every problem of the rubric solved; see ``solve_problem`` for the errors."""
    return tuple(solve_problem(problem, rubric.settings.carried_decimals) for problem in rubric.problems)


def solve(rubric: Rubric) -> tuple[Solution, ...]:
    """The key: every problem of the rubric solved by each method that applies."""
    return tuple(solved.solution for solved in solve_all(rubric))


def prepare(rubric: Rubric) -> dict[str, Prepared]:
    """Every problem made ready for marking, by label."""
    solved = solve_all(rubric)
    return {
        one.problem.label: Prepared(
            one,
            rubric.settings,
            rubric.mistakes,
            rubric.own_mistakes,
            tuple(other for other in solved if other is not one),
        )
        for one in solved
    }


def conventions_for(rubric: Rubric, decimal_mark: str | None = None) -> Conventions:
    """How numbers are written: as the settings say, or else as the export as a whole shows (``point``, ``comma``, or None
    where it leaves that open: then 7,071 keeps both of its senses)."""
    setting = rubric.settings.decimal_mark
    mark = decimal_mark if setting == "as the export" else setting
    return COMMA if mark == "comma" else POINT if mark == "point" else UNSETTLED


def mark(
    rubric: Rubric,
    answers: pd.DataFrame,
    conventions: Conventions | None = None,
    evidence: ClassEvidence | None = None,
    progress: Callable[[int, int], None] | None = None,
    prepared: Mapping[str, Prepared] | None = None,
) -> pd.DataFrame:
    """The marks of a table of answers: a row per student, problem and part, with the columns ``COLUMNS``.

    ``answers`` has a row per student and problem, with at least the columns ``student_id``, ``problem`` and ``written`` (a tuple
    of (box, what stands in it) pairs; see ``read_export``). ``conventions`` carries what the export as a whole shows
    about its decimal mark, ``evidence`` what the class and each student's other answers show about likely mistakes
    (``class_evidence`` of a first marking). ``progress`` is told (distinct answers judged, distinct answers in all).
    ``prepared`` are the problems made ready, for who marks more than once (``prepare``); lateness, and which of several
    attempts counts, are for ``count_attempts`` after it.
    """
    import pandas as pd

    conventions = conventions or conventions_for(rubric)
    prepared = prepared or prepare(rubric)
    evidence = evidence or ClassEvidence()
    labels, boxes = answers["problem"].tolist(), answers["written"].tolist()
    unknown = sorted({str(label) for label in set(labels) if label not in prepared})
    if unknown:
        raise GraderError(f"The answers name problems that the rubric does not have: {', '.join(unknown)}.")
    # Distinct answers are judged once. Only what a student's other problems show makes equal answers differ.
    places: dict[tuple[str, Boxes, str], int] = {}
    keys = zip(labels, boxes, _own_evidence(evidence, answers, labels))
    which = np.fromiter((places.setdefault(key, len(places)) for key in keys), dtype=np.intp, count=len(labels))
    judged = []
    for done, (label, written, student) in enumerate(places, start=1):
        judged.append(mark_answer(prepared[label], written, conventions, evidence.weights(student, label)))
        if progress is not None:
            progress(done, len(places))
    table = pd.DataFrame(_spread_out(answers, labels, which, judged), columns=list(COLUMNS))
    return apply_decisions(table, rubric.decisions)


def _own_evidence(evidence: ClassEvidence, answers: pd.DataFrame, labels: list[str]) -> list[str]:
    """For each answer the student whose other problems say something about it, or an empty text."""
    if not evidence.of_student:
        return [""] * len(labels)
    pairs = zip(answers["student_id"].tolist(), labels)
    return [student if (student, label) in evidence.of_student else "" for student, label in pairs]


def _spread_out(
    answers: pd.DataFrame, labels: list[str], which: np.ndarray, judged: list[tuple[PartMark, ...]]
) -> dict[str, object]:
    """A row for each part of each answer, from the marks of the distinct answers."""
    counts = np.array([len(marks) for marks in judged], dtype=np.intp)
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]]) if len(counts) else np.zeros(0, dtype=np.intp)
    of_answer = counts[which] if len(which) else np.zeros(0, dtype=np.intp)
    row = np.repeat(np.arange(len(which)), of_answer)
    first = np.concatenate([[0], np.cumsum(of_answer)[:-1]]) if len(which) else np.zeros(0, dtype=np.intp)
    position = starts[which[row]] + (np.arange(len(row)) - first[row]) if len(row) else np.zeros(0, dtype=np.intp)
    table: dict[str, object] = {"problem": np.array(labels, dtype=object)[row]}
    for name in _OF_THE_STUDENT:
        column = answers[name].to_numpy(dtype=object) if name in answers else np.full(len(answers), "", dtype=object)
        table[name] = column[row]
    for name in _OF_THE_MARK:
        values = [getattr(one, name) for marks in judged for one in marks]
        numeric = name in ("points", "points_possible", "mistake_chance", "value")
        table[name] = np.array(values, dtype=float if numeric else object)[position]
    table["decided"] = np.full(len(row), "", dtype=object)
    return table


def apply_decisions(table: pd.DataFrame, decisions: tuple[Decision, ...]) -> pd.DataFrame:
    """The teacher's decisions put in place of the suggestions they are about; of several on one part the last holds."""
    if not decisions:
        return table
    students = {decision.student_id for decision in decisions}
    rows: dict[tuple[str, str], list[int]] = {}
    chosen = table.index[table["student_id"].isin(students)]
    for index in chosen:
        rows.setdefault((str(table.at[index, "student_id"]), str(table.at[index, "problem"])), []).append(index)
    suggested = {index: table.loc[index].to_dict() for found in rows.values() for index in found}
    for decision in decisions:
        found = rows.get((decision.student_id, decision.problem), [])
        if decision.part:
            found = [i for i in found if table.at[i, "part"] == decision.part]
        possible = float(table.loc[found, "points_possible"].sum()) if found else 0.0
        for index in found:
            # A decision on the whole problem is shared among its parts as their points are.
            row = suggested[index]
            own = float(row["points_possible"])
            points = (
                decision.points if decision.part else decision.points * (own / possible if possible else 1 / len(found))
            )
            after = with_decision(
                PartMark(**{name: row[name] for name in _OF_THE_MARK}), round(points, 6), decision.note, decision.alone
            )
            table.at[index, "points"] = after.points
            table.at[index, "feedback"] = after.feedback
            table.at[index, "verdict"] = after.verdict
            table.at[index, "decided"] = decision.note or BY_DEFAULT
    return table
