"""Figures of a whole class, worked out from the marks table alone.

Every function takes the marks as ``grader.mark`` returns them: a row per student, problem and part, with the columns
of marks.csv. None changes the table.
"""

from __future__ import annotations

import math
from collections import Counter, namedtuple
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol, cast

from grader.exchange.cells import counted
from grader.reports.attribution import HABITS, Incident, answered_by_problem, attribute
from grader.reports.words import VERDICT_SIGNS, enumerated

if TYPE_CHECKING:
    import pandas as pd

TEXT_COLUMNS = (
    *("student_id", "name", "section", "problem", "part", "written", "read_as", "expected", "verdict"),
    *("mistake", "other_mistakes", "feedback", "note", "decided", "attempt"),
)
_NAMED_AT_MOST = 5  # parts that a sentence of reconciliation names


class MarkRow(Protocol):
    """One row of the marks, as ``mark_rows`` gives them."""

    @property
    def student_id(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def section(self) -> str: ...
    @property
    def problem(self) -> str: ...
    @property
    def part(self) -> str: ...
    @property
    def written(self) -> str: ...
    @property
    def read_as(self) -> str: ...
    @property
    def expected(self) -> str: ...
    @property
    def verdict(self) -> str: ...
    @property
    def points(self) -> float: ...
    @property
    def points_possible(self) -> float: ...
    @property
    def mistake(self) -> str: ...
    @property
    def mistake_chance(self) -> float: ...
    @property
    def feedback(self) -> str: ...
    @property
    def note(self) -> str: ...
    @property
    def decided(self) -> str: ...


@dataclass(frozen=True, slots=True)
class VerdictCount:
    """How many parts were given a verdict; ``share`` is of all parts, between 0 and 1."""

    verdict: str
    count: int
    share: float


@dataclass(frozen=True, slots=True)
class MistakeCount:
    """A mistake (an id of the catalogue, or one of the teacher's own) and the students concerned, each once.

    ``problem`` and ``section`` say where it was counted; None means in all. ``answered`` is how many students wrote
    anything there, to the problems that show the mistake. ``also`` are mistakes that fit the same answers.
    """

    mistake: str
    problem: str | None
    section: str | None
    students: tuple[str, ...]
    answered: int
    also: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        return len(self.students)

    @property
    def share(self) -> float:
        """The share of those who answered, between 0 and 1."""
        return self.count / self.answered if self.answered else 0.0


@dataclass(frozen=True, slots=True)
class StudentScore:
    """A student's points by problem. A problem, and so the total, is None while one of its parts needs a look."""

    student_id: str
    name: str
    section: str
    points: Mapping[str, float | None]
    total: float | None
    possible: float
    to_look_at: int

    @property
    def share(self) -> float | None:
        """Points earned over points possible, between 0 and 1; None while an answer needs a look."""
        return self.total / self.possible if self.total is not None and self.possible else None


PartName = tuple[str, str, str]
"""A student's id, a problem's label and a part."""


@dataclass(frozen=True, slots=True)
class Reconciliation:
    """Whether every student × problem × part was marked exactly once, and what was not."""

    students: int
    problems: int
    parts: int
    missing: tuple[PartName, ...] = ()
    repeated: tuple[PartName, ...] = ()
    unexpected: tuple[PartName, ...] = ()

    @property
    def complete(self) -> bool:
        return not (self.missing or self.repeated or self.unexpected)

    def sentence(self) -> str:
        """``64 students × 6 problems: 768 parts, each marked once.``, or what is missing, double or not expected."""
        size = (
            f"{counted(self.students, 'student')} × {counted(self.problems, 'problem')}: {counted(self.parts, 'part')}"
        )
        if self.complete:
            return f"{size}, each marked once."
        clauses = [
            f"{counted(len(parts), 'part')} {what} ({enumerated([' '.join(part) for part in parts], _NAMED_AT_MOST)})"
            for parts, what in (
                (self.missing, "not marked"),
                (self.repeated, "marked more than once"),
                (self.unexpected, "marked and not expected"),
            )
            if parts
        ]
        return f"{size} expected, and the marks do not reconcile: {', '.join(clauses)}."


def as_text(marks: pd.DataFrame) -> pd.DataFrame:
    """The marks with every text column present and free of gaps (marks.csv read back has NaN for empty text)."""
    import pandas as pd

    empty = pd.Series("", index=marks.index, dtype=str)
    return marks.assign(**{name: _as_text(marks[name]) if name in marks else empty for name in TEXT_COLUMNS})


def _as_text(column: pd.Series[Any]) -> pd.Series[Any]:
    from pandas.api.types import is_string_dtype

    if is_string_dtype(column):
        return column.fillna("")
    return column.astype(object).where(column.notna(), "").astype(str)


def mark_rows(marks: pd.DataFrame) -> Iterator[MarkRow]:
    """The rows of a table that ``as_text`` made whole, one by one; missing numbers are nan."""
    row = namedtuple("row", marks.columns, rename=True)  # type: ignore[misc]  # the columns of marks.csv, and more
    # Column by column: pandas takes several times as long to hand out texts one by one.
    return cast("Iterator[MarkRow]", map(row._make, zip(*(marks[name].tolist() for name in marks))))


def verdict_counts(marks: pd.DataFrame) -> tuple[VerdictCount, ...]:
    """How many parts of each verdict, in the order of the reports, those that do not occur too."""
    counts = as_text(marks)["verdict"].value_counts()
    names = [*VERDICT_SIGNS, *(str(name) for name in counts.index if name not in VERDICT_SIGNS)]
    whole = max(len(marks), 1)
    return tuple(VerdictCount(name, int(counts.get(name, 0)), int(counts.get(name, 0)) / whole) for name in names)


def needing_a_look(marks: pd.DataFrame) -> pd.DataFrame:
    """The rows without points yet, in the order of the marks."""
    marks = as_text(marks)
    return marks[marks["points"].isna()]


def need_your_eyes(marks: pd.DataFrame) -> str:
    """``70 parts in 39 answers need your eyes``; an empty text where nothing waits.

    An answer is what one student answered to one problem. Every report says it with these words.
    """
    waiting = marks[marks["points"].isna()]
    if not len(waiting):
        return ""
    answers = len(waiting.drop_duplicates(["student_id", "problem"]))
    verb = "needs" if len(waiting) == 1 else "need"
    return f"{counted(len(waiting), 'part')} in {counted(answers, 'answer')} {verb} your eyes"


def reconcile(marks: pd.DataFrame, students: Iterable[str], parts: Mapping[str, Sequence[str]]) -> Reconciliation:
    """Compare the marks with what the export holds.

    ``students`` are the ids of the export, ``parts`` the parts of each problem by its label.
    """
    ids = dict.fromkeys(students)
    expected = {(student, label, part) for student in ids for label, names in parts.items() for part in names}
    table = as_text(marks)
    counts = Counter(zip(table["student_id"], table["problem"], table["part"]))
    return Reconciliation(
        students=len(ids),
        problems=len(parts),
        parts=len(expected),
        missing=tuple(sorted(expected - counts.keys())),
        repeated=tuple(part for part, count in counts.items() if count > 1),
        unexpected=tuple(part for part in counts if part not in expected),
    )


def common_mistakes(
    marks: pd.DataFrame, *, by_problem: bool = False, by_section: bool = False
) -> tuple[MistakeCount, ...]:
    """The mistakes of the class, the most common first within each problem and section, in the order of the marks.

    An answer that fits several mistakes counts as the one that ``attribute`` takes, as in every report. A student counts
    once, on however many parts the mistake shows. ``by_section`` gives each mistake for every section, also where nobody
    made it.
    """
    table = as_text(marks)
    section_of = dict(zip(table["student_id"], table["section"]))
    sections: list[str | None] = [*dict.fromkeys(section_of.values())] if by_section else [None]
    answered = answered_by_problem(table)
    problems = {problem: place for place, problem in enumerate(answered)}
    found: list[MistakeCount] = []
    for mistake, incidents in attribute(table).incidents.items():
        if mistake in HABITS:
            continue
        shows = sorted({each.problem for each in incidents}, key=problems.__getitem__)
        for within in [[problem] for problem in shows] if by_problem else [shows]:
            here = [each for each in incidents if each.problem in within]
            could = set().union(*(answered[problem] for problem in within))
            for section in sections:
                found.append(_counted(mistake, within[0] if by_problem else None, section, here, could, section_of))
    return tuple(
        sorted(
            found,
            key=lambda each: (
                problems.get(each.problem or "", 0),
                sections.index(each.section),
                -each.count,
                each.mistake,
            ),
        )
    )


def _counted(
    mistake: str,
    problem: str | None,
    section: str | None,
    incidents: Sequence[Incident],
    could: Iterable[str],
    section_of: Mapping[str, str],
) -> MistakeCount:
    """The count of a mistake in one section (None: in all), of those who ``could`` have made it."""

    def here(student: str) -> bool:
        return section is None or section_of[student] == section

    who = {each.student for each in incidents if here(each.student)}
    also = Counter(id_ for each in incidents if each.student in who for id_ in each.also)
    return MistakeCount(
        mistake,
        problem,
        section,
        tuple(student for student in section_of if student in who),
        sum(map(here, could)),
        tuple(id_ for id_, _ in also.most_common()),
    )


def student_scores(marks: pd.DataFrame) -> tuple[StudentScore, ...]:
    """Each student's points by problem and in all, students and problems in the order of the marks."""
    table = as_text(marks)
    people: dict[str, tuple[str, str]] = {}
    points: dict[str, dict[str, list[float]]] = {}
    possible: dict[str, float] = {}
    for each in mark_rows(table):
        student = each.student_id
        people.setdefault(student, (each.name, each.section))
        points.setdefault(student, {}).setdefault(each.problem, []).append(each.points)
        possible[student] = possible.get(student, 0.0) + each.points_possible
    return tuple(
        _score(student, name, section, points[student], possible[student])
        for student, (name, section) in people.items()
    )


def _score(student: str, name: str, section: str, points: Mapping[str, list[float]], possible: float) -> StudentScore:
    undecided = sum(math.isnan(each) for parts in points.values() for each in parts)
    by_problem = {
        label: None if any(map(math.isnan, parts)) else round(sum(parts), 6) for label, parts in points.items()
    }
    total = None if undecided else round(sum(each for parts in points.values() for each in parts), 6)
    return StudentScore(student, name, section, by_problem, total, round(possible, 6), undecided)
