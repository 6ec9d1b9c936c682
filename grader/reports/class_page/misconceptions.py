"""What the class misunderstands, worked out from the marks: who made which mistake where, and what is worth teaching again.

One answer may fit several mistakes (`` / `` in the column ``mistake``). Of those, the one that also fits the student's
other answers is taken, else the first, which is the commonest; the others stay in view as *also possible*.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

from grader.reports.class_page.teaching import Kind, lessons
from grader.reports.statistics import Interval, wilson
from grader.reports.words import mistake_name

if TYPE_CHECKING:
    import pandas as pd

HABITS = ("rounded early", "rounded too far", "right, other form")
"""Verdicts that cost points without a mistake in the working."""
HABIT_NAMES = {
    "rounded early": "rounded too early on the way",
    "rounded too far": "final answer rounded too far",
    "right, other form": "unit or form of the answer not as asked",
}
_ANSWERED_NOTHING = "blank"


@dataclass(frozen=True, slots=True)
class Incident:
    """One student's mistake on one problem: how sure (0 to 1), how many points it cost, in which method (or blank)."""

    student: str
    problem: str
    chance: float
    lost: float
    method: str = ""

    @property
    def weight(self) -> float:
        return self.chance * self.lost


@dataclass(frozen=True, slots=True)
class Count:
    """So many of those who answered, of one problem or section (``of``)."""

    of: str
    count: int
    answered: int

    @property
    def share(self) -> float:
        return self.count / self.answered if self.answered else 0.0

    @property
    def interval(self) -> Interval:
        return wilson(self.count, self.answered)


@dataclass(frozen=True)
class Misconception:
    """A mistake of the class. ``also`` are mistakes that would give the same numbers, by how many answers they fit."""

    id: str
    name: str
    what: str
    kind: Kind
    incidents: tuple[Incident, ...]
    total: Count
    by_problem: tuple[Count, ...]
    by_section: tuple[Count, ...]
    also: tuple[str, ...] = ()

    @cached_property
    def students(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(incident.student for incident in self.incidents))

    @property
    def count(self) -> int:
        return self.total.count

    @cached_property
    def lost(self) -> float:
        """The points that it cost the class."""
        return math.fsum(incident.lost for incident in self.incidents)

    @cached_property
    def weight(self) -> float:
        """How teachable: how many students × how sure × how many points it cost, both of these per answer.

        Per answer, so that one student who does it everywhere does not outweigh three who do it once.
        """
        return self.count * math.fsum(incident.weight for incident in self.incidents) / len(self.incidents)

    @cached_property
    def sureness(self) -> float:
        """The mean chance of the diagnoses."""
        return math.fsum(incident.chance for incident in self.incidents) / len(self.incidents)

    @cached_property
    def problems_of(self) -> Mapping[str, tuple[str, ...]]:
        """Student → the problems in which the mistake shows."""
        found: dict[str, dict[str, None]] = defaultdict(dict)
        for incident in self.incidents:
            found[incident.student][incident.problem] = None
        return {student: tuple(problems) for student, problems in found.items()}

    def methods_in(self, problem: str) -> tuple[str, ...]:
        """The methods in which it was made on a problem, the most frequent first."""
        counts = Counter(i.method for i in self.incidents if i.problem == problem and i.method)
        return tuple(method for method, _ in counts.most_common())

    def on(self, problem: str, sections: Mapping[str, str]) -> Misconception:
        """The same as it shows on one problem alone."""
        incidents = tuple(incident for incident in self.incidents if incident.problem == problem)
        here = Counter(sections.get(student, "") for student in {incident.student for incident in incidents})
        count = next(each for each in self.by_problem if each.of == problem)
        by_section = tuple(Count(each.of, here[each.of], each.answered) for each in self.by_section)
        return replace(self, incidents=incidents, total=count, by_problem=(count,), by_section=by_section)

    def leads_in(self) -> str:
        """The problem that shows it in most students."""
        return max(self.by_problem, key=lambda each: each.count).of


@dataclass(frozen=True)
class Attribution:
    """The incidents of every mistake, and for each the other mistakes that its answers fit as well."""

    incidents: Mapping[str, tuple[Incident, ...]]
    also: Mapping[str, tuple[str, ...]]


@dataclass
class _Open:
    """A mistake on one problem of one student before it is settled which of several it was."""

    student: str
    problem: str
    candidates: tuple[str, ...]
    chance: float = 0.0
    lost: float = 0.0
    method: str = ""


@dataclass
class _Gathered:
    open: dict[tuple[str, str, tuple[str, ...]], _Open] = field(default_factory=dict)

    def add(
        self, student: str, problem: str, candidates: tuple[str, ...], chance: float, lost: float, method: str
    ) -> None:
        one = self.open.setdefault((student, problem, candidates), _Open(student, problem, candidates))
        one.chance = max(one.chance, chance)
        one.lost += lost
        one.method = one.method or method


def attribute(marks: pd.DataFrame) -> Attribution:
    """Every mistake and habit of the class, from marks with text columns free of gaps (``summary.as_text``)."""
    import pandas as pd

    gathered = _Gathered()
    methods = marks["method"].fillna("").tolist() if "method" in marks else [""] * len(marks)
    # Points that lateness took are no sign of how an answer was written.
    late = pd.to_numeric(marks["days_late"]).gt(0).tolist() if "days_late" in marks else [False] * len(marks)
    columns = [
        marks[name].tolist()
        for name in ("student_id", "problem", "verdict", "mistake", "mistake_chance", "points", "points_possible")
    ]
    for student, problem, verdict, mistake, chance, points, possible, method, is_late in zip(*columns, methods, late):
        lost = 0.0 if math.isnan(points) else max(0.0, possible - points)
        if mistake:
            sure = 1.0 if math.isnan(chance) else chance
            for acting in mistake.split(" + "):
                gathered.add(student, problem, tuple(acting.split(" / ")), sure, lost, method)
        elif verdict in HABITS and lost > 1e-9 and not is_late:
            gathered.add(student, problem, (verdict,), 1.0, lost, method)
    support: Counter[tuple[str, str]] = Counter()
    for fits in {(one.student, one.problem, id_) for one in gathered.open.values() for id_ in one.candidates}:
        support[fits[0], fits[2]] += 1
    incidents: dict[str, list[Incident]] = defaultdict(list)
    also: dict[str, Counter[str]] = defaultdict(Counter)
    for one in gathered.open.values():
        chosen = max(one.candidates, key=lambda id_: support[one.student, id_])
        incidents[chosen].append(Incident(one.student, one.problem, one.chance, one.lost, one.method))
        also[chosen].update(id_ for id_ in one.candidates if id_ != chosen)
    return Attribution(
        {id_: _once(found) for id_, found in incidents.items()},
        {id_: tuple(other for other, _ in also[id_].most_common()) for id_ in incidents},
    )


def _once(found: Sequence[Incident]) -> tuple[Incident, ...]:
    """One incident for each student and problem: two parts that point to one mistake in two ways are one wrong turn."""
    whole: dict[tuple[str, str], Incident] = {}
    for each in found:
        before = whole.get((each.student, each.problem))
        whole[each.student, each.problem] = (
            each
            if before is None
            else replace(each, chance=max(before.chance, each.chance), lost=before.lost + each.lost)
        )
    return tuple(whole.values())


def misconceptions(
    marks: pd.DataFrame, sections: Mapping[str, str], own_words: Mapping[str, str] | None = None
) -> tuple[Misconception, ...]:
    """The misconceptions of the class, the most teachable first, slips of the pen last.

    ``sections`` gives each student's section; ``own_words`` the feedback of mistakes that the teacher defined.
    """
    attribution = attribute(marks)
    answered = answered_by_problem(marks)
    names = list(dict.fromkeys(section for section in sections.values() if section))
    found = [
        _misconception(id_, incidents, attribution.also[id_], answered, sections, names, own_words or {})
        for id_, incidents in attribution.incidents.items()
    ]
    return tuple(sorted(found, key=lambda each: (each.kind == "slip", -each.weight, -each.count, each.id)))


def _misconception(
    id_: str,
    incidents: tuple[Incident, ...],
    also: tuple[str, ...],
    answered: Mapping[str, set[str]],
    sections: Mapping[str, str],
    names: Sequence[str],
    own_words: Mapping[str, str],
) -> Misconception:
    lesson = lessons().get(id_)
    where = dict.fromkeys(incident.problem for incident in incidents)
    students = {incident.student for incident in incidents}
    could = set().union(*(answered[problem] for problem in where))
    in_problem = Counter(problem for _, problem in {(i.student, i.problem) for i in incidents})
    here, all_here = _per_section(students, sections), _per_section(could, sections)
    return Misconception(
        id_,
        HABIT_NAMES.get(id_) or mistake_name(id_),
        lesson.what if lesson else own_words.get(id_, ""),
        lesson.kind if lesson else "mistake",
        incidents,
        Count("", len(students), len(could)),
        tuple(Count(problem, in_problem[problem], len(answered[problem])) for problem in answered if problem in where),
        tuple(Count(name, here[name], all_here[name]) for name in names),
        also,
    )


def _per_section(students: Iterable[str], sections: Mapping[str, str]) -> Counter[str]:
    return Counter(sections.get(student, "") for student in students)


def answered_by_problem(marks: pd.DataFrame) -> dict[str, set[str]]:
    """Problem → the students who wrote anything there, in the order of the marks."""
    found: dict[str, set[str]] = {str(problem): set() for problem in marks["problem"].unique()}
    for student, problem, verdict in zip(marks["student_id"], marks["problem"], marks["verdict"]):
        if verdict != _ANSWERED_NOTHING:
            found[problem].add(student)
    return found
