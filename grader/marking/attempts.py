"""Which of several attempts counts, what lateness costs, and who is excused: rules on marks that are already made.

Pure: a marks table and the table of answers it was made from go in, a marks table with one row for each student, problem
and part comes out.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Literal, TypeAlias

from grader.marking.definitions import Decision, Rubric, Settings, Student

if TYPE_CHECKING:
    import pandas as pd

EXCUSED = "excused"
"""What the column ``decided`` says of a part from which the student is excused."""

_DAY = timedelta(days=1)
_ON_TIME = timedelta()
_RECORD = ("student_id", "problem", "attempt")

Rows: TypeAlias = list[int]
"""Places of rows in the marks table."""


@dataclass(frozen=True)
class _Columns:
    """The columns of a marks table that change, as lists."""

    points: list[float]
    possible: list[float]
    verdict: list[str]
    attempt: list[str]
    note: list[str]
    feedback: list[str]
    decided: list[str]


def count_attempts(marks: pd.DataFrame, answers: pd.DataFrame, rubric: Rubric) -> pd.DataFrame:
    """The marks that count, each saying by its ``attempt`` which attempt it is from, with lateness taken off.

    ``marks`` are the marks of ``answers``, which may hold several attempts of a student, told apart by their column
    ``attempt`` (a whole number as text), each with its time in ``submitted_at``. The result has one row for each student,
    problem and part, in the order of ``marks``, and one more column ``days_late``. See the settings for the rules;
    where the mark that counts may change with an answer that needs a look, ``note`` says so.
    """
    import pandas as pd

    late = how_late(answers, rubric)
    records = [tuple(map(str, key)) for key in zip(*(marks[name].tolist() for name in _RECORD))]
    table = marks.assign(days_late=[_days_begun(late.get(key, _ON_TIME)) for key in records])
    columns = _Columns(
        points=table["points"].tolist(),
        possible=table["points_possible"].tolist(),
        verdict=table["verdict"].tolist(),
        attempt=table["attempt"].tolist(),
        note=table["note"].tolist(),
        feedback=table["feedback"].tolist(),
        decided=table["decided"].tolist(),
    )
    _excuse(columns, records, rubric)
    _take_off_lateness(columns, records, late, rubric.settings)
    kept = _counting(columns, records, table["part"].tolist(), rubric.settings)
    for name, values in (
        ("points", columns.points),
        ("points_possible", columns.possible),
        ("attempt", columns.attempt),
        ("note", columns.note),
        ("feedback", columns.feedback),
        ("decided", columns.decided),
    ):
        table[name] = pd.Series(values, index=table.index, dtype=float if name.startswith("points") else object)
    return table.iloc[kept].reset_index(drop=True)


def how_late(answers: pd.DataFrame, rubric: Rubric) -> dict[tuple[str, ...], timedelta]:
    """(student, problem, attempt) → time after the student's own due time, for the answers that count as late."""
    settings = rubric.settings
    if settings.due is None or "submitted_at" not in answers:
        return {}
    extra = {student.student_id: student.extra_time for student in rubric.students}
    late = {}
    for *key, moment in zip(*(answers[name].tolist() for name in (*_RECORD, "submitted_at"))):
        over = _over(moment, settings, extra.get(str(key[0]), _ON_TIME))
        if over:
            late[tuple(map(str, key))] = over
    return late


def _over(moment: object, settings: Settings, extra: timedelta) -> timedelta:
    if not isinstance(moment, datetime) or moment != moment or settings.due is None:
        return _ON_TIME
    over = moment - (settings.due + extra)
    return over if over > timedelta(hours=settings.late_grace) else _ON_TIME


def _days_begun(over: timedelta) -> int:
    return math.ceil(over / _DAY)


def late_in_words(over: timedelta) -> str:
    """How late, and the days begun that the setting ``late per day`` counts: ``75 minutes late (1 day begun)``.

    >>> late_in_words(timedelta(hours=30))
    '30 hours late (2 days begun)'
    >>> late_in_words(timedelta(days=2))
    '2 days late'
    """
    begun = _many(_days_begun(over), "day")
    if not over % _DAY:
        return f"{begun} late"
    if over < timedelta(hours=2):
        said = _many(max(1, over // timedelta(minutes=1)), "minute")
    elif over < 2 * _DAY:
        said = _many(over // timedelta(hours=1), "hour")
    else:
        said = f"over {_many(over // _DAY, 'day')}"
    return f"{said} late ({begun} begun)"


def _many(number: int, noun: str) -> str:
    return f"{number} {noun if number == 1 else noun + 's'}"


def _take_off_lateness(
    columns: _Columns,
    records: Sequence[tuple[str, ...]],
    late: Mapping[tuple[str, ...], timedelta],
    settings: Settings,
) -> None:
    """Take the deduction off every late part; points off the homework are shared in proportion to what was earned."""
    rule = settings.late_per_day
    if not rule.amount or not late:
        return
    earned: dict[tuple[str, str], float] = {}
    for (student, _, attempt), points in zip(records, columns.points):
        if not math.isnan(points):
            earned[student, attempt] = earned.get((student, attempt), 0.0) + points
    for row, key in enumerate(records):
        student, _, attempt = key
        points, over = columns.points[row], late.get(key)
        if over is None or not points > 0:
            continue
        lost = rule.amount if rule.of == "share" else rule.amount / earned[student, attempt]
        kept = max(1 - lost * _days_begun(over), settings.late_floor, 0.0)
        if kept < 1:
            columns.points[row] = round(points * kept, 6)
            told = f"Handed in {late_in_words(over)}: {1 - kept:.0%} off."
            columns.feedback[row] = f"{columns.feedback[row]} {told}".strip()


@dataclass(frozen=True)
class _Candidate:
    """One way in which a part, a problem or the homework could count: the attempt's number and its rows."""

    number: int
    rows: Rows


def _counting(
    columns: _Columns, records: Sequence[tuple[str, ...]], parts: Sequence[str], settings: Settings
) -> list[int]:
    """The places of the rows that count; the columns of those are changed where several attempts make one mark."""
    by_student: dict[str, dict[str, dict[int, Rows]]] = {}
    for row, (student, problem, attempt) in enumerate(records):
        by_student.setdefault(student, {}).setdefault(problem, {}).setdefault(_number(attempt), []).append(row)
    kept: Rows = []
    for problems in by_student.values():
        if all(len(attempts) == 1 for attempts in problems.values()):
            kept += (row for attempts in problems.values() for rows in attempts.values() for row in rows)
            continue
        for candidates in _units(problems, parts, columns, settings.attempts_by):
            kept += _settle(candidates, columns, settings.attempt_that_counts)
    # A part stands where its first attempt stood, so that problems keep their order whichever attempts count.
    keys = [(student, problem, part) for (student, problem, _), part in zip(records, parts)]
    place: dict[tuple[str, str, str], int] = {}
    for row, key in enumerate(keys):
        place.setdefault(key, row)
    return sorted(kept, key=lambda row: place[keys[row]])


def _number(attempt: str) -> int:
    return int(attempt) if attempt.isdecimal() else 0


def _units(
    problems: Mapping[str, Mapping[int, Rows]],
    parts: Sequence[str],
    columns: _Columns,
    by: Literal["homework", "problem", "part"],
) -> Iterable[list[_Candidate]]:
    """What is chosen by itself: the whole homework, each problem, or each part, with its candidates in their order."""
    if by == "homework":
        yield _states(problems)
        return
    for attempts in problems.values():
        candidates = [_Candidate(number, attempts[number]) for number in sorted(attempts)]
        if by == "problem":
            yield _written(candidates, columns)
            continue
        for part in dict.fromkeys(parts[row] for each in candidates for row in each.rows):
            of_part = [_Candidate(each.number, [row for row in each.rows if parts[row] == part]) for each in candidates]
            yield _written([each for each in of_part if each.rows], columns)


def _states(problems: Mapping[str, Mapping[int, Rows]]) -> list[_Candidate]:
    """The homework as it stood after each attempt. A problem not handed in again stands as it was before."""
    numbers = sorted({number for attempts in problems.values() for number in attempts})
    states = []
    for number in numbers:
        rows: Rows = []
        for attempts in problems.values():
            so_far = [each for each in attempts if each <= number]
            rows += attempts[max(so_far) if so_far else min(attempts)]
        states.append(_Candidate(number, rows))
    return states


def _written(candidates: list[_Candidate], columns: _Columns) -> list[_Candidate]:
    """The candidates in which something is written; the last one where there is none."""
    written = [each for each in candidates if any(columns.verdict[row] != "blank" for row in each.rows)]
    return written or candidates[-1:]


def _settle(candidates: list[_Candidate], columns: _Columns, counts: str) -> Rows:
    if len(candidates) == 1 or counts in ("last", "first"):
        return candidates[0 if counts == "first" else -1].rows
    if counts == "best":
        return _best(candidates, columns)
    return _average(candidates, columns)


def _best(candidates: list[_Candidate], columns: _Columns) -> Rows:
    """The attempt with the most points, the earlier of equals. One that could still overtake it goes to the teacher."""

    def at_most(each: _Candidate) -> float:
        return math.fsum(
            columns.possible[row] if math.isnan(columns.points[row]) else columns.points[row] for row in each.rows
        )

    known = [each for each in candidates if not any(math.isnan(columns.points[row]) for row in each.rows)]
    best = max(known, key=at_most) if known else None
    open_ones = [each for each in candidates if each not in known]
    hopeful = max(open_ones, key=at_most, default=None)
    if hopeful is None:
        return max(known, key=at_most).rows
    if best is None:
        return hopeful.rows
    if at_most(hopeful) <= at_most(best):
        return best.rows
    for row in hopeful.rows:
        if math.isnan(columns.points[row]):
            says = f"attempt {best.number} earns {at_most(best):g}; this one could earn {at_most(hopeful):g}"
            columns.note[row] = _joined(columns.note[row], says)
    return hopeful.rows


def _average(candidates: list[_Candidate], columns: _Columns) -> Rows:
    """The rows of the last attempt, with the mean of the points that each part earned in all of them."""
    last = candidates[-1].rows
    numbers = ", ".join(str(each.number) for each in candidates)
    # Every attempt has the same parts in the same order: column by column they are one part's points.
    of_parts = list(zip(*([columns.points[row] for row in each.rows] for each in candidates)))
    for row, points in zip(last, of_parts):
        waiting = [str(each.number) for each, value in zip(candidates, points) if math.isnan(value)]
        if waiting and not math.isnan(columns.points[row]):
            columns.note[row] = _joined(columns.note[row], f"attempt {' and '.join(waiting)} needs a look")
        columns.points[row] = round(math.fsum(points) / len(points), 6)
        columns.attempt[row] = f"average of {numbers}"
    return last


def _excuse(columns: _Columns, records: Sequence[tuple[str, ...]], rubric: Rubric) -> None:
    """Nothing is possible and nothing missing where a student is excused, unless the teacher has decided otherwise."""
    excused: dict[str, Student] = {each.student_id: each for each in rubric.students if each.excused}
    if not excused:
        return
    decided = {(each.student_id, each.problem) for each in rubric.decisions}
    for row, (student, problem, _) in enumerate(records):
        if student in excused and excused[student].excused_from(problem) and (student, problem) not in decided:
            columns.points[row] = columns.possible[row] = 0.0
            columns.decided[row] = EXCUSED
            columns.feedback[row] = "You are excused from this problem."


def _joined(*texts: str) -> str:
    return "; ".join(filter(None, texts))


def decide(marks: pd.DataFrame, decisions: Sequence[Decision]) -> pd.DataFrame:
    """The marks with the teacher's decisions in place of the suggestions they are about; later ones win."""
    from grader.marking.mark import apply_decisions

    return apply_decisions(marks.copy(), tuple(decisions))
