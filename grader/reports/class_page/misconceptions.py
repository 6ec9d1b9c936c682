"""What the class misunderstands, worked out from the marks: who made which mistake where, and what is worth teaching again."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from grader.reports.attribution import Incident, answered_by_problem, attribute
from grader.reports.class_page.teaching import Kind, lessons
from grader.reports.statistics import Interval, wilson
from grader.reports.words import mistake_name

if TYPE_CHECKING:
    import pandas as pd

HABIT_NAMES = {
    "rounded early": "rounded too early on the way",
    "rounded too far": "final answer rounded too far",
    "right, other form": "unit or form of the answer not as asked",
}


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
    """A mistake of the class. ``what_on`` says what it is, in a sentence for each of its problems; ``also`` are mistakes that
    would give the same numbers, by how many answers they fit."""

    id: str
    name: str
    what_on: Mapping[str, str]
    kind: Kind
    incidents: tuple[Incident, ...]
    total: Count
    by_problem: tuple[Count, ...]
    by_section: tuple[Count, ...]
    also: tuple[str, ...] = ()

    @cached_property
    def what(self) -> str:
        """What it is: a sentence, or one for each kind of problem that it shows on."""
        return " ".join(dict.fromkeys(self.what_on[each.of] for each in self.by_problem))

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
        return self.count * math.fsum(round(incident.weight, 3) for incident in self.incidents) / len(self.incidents)

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


def misconceptions(
    marks: pd.DataFrame,
    sections: Mapping[str, str],
    own_words: Mapping[str, str] | None = None,
    kinds: Mapping[str, tuple[str, ...]] | None = None,
) -> tuple[Misconception, ...]:
    """The misconceptions of the class, the most teachable first, slips of the pen last.

    ``sections`` gives each student's section; ``own_words`` the feedback of mistakes that the teacher defined; ``kinds`` what
    kinds of problem each is of (``mistakes.kinds``).
    """
    attribution = attribute(marks)
    answered = answered_by_problem(marks)
    names = list(dict.fromkeys(section for section in sections.values() if section))
    found = [
        _misconception(id_, incidents, attribution.also[id_], answered, sections, names, own_words or {}, kinds or {})
        for id_, incidents in attribution.incidents.items()
    ]
    return tuple(sorted(found, key=lambda each: (each.kind == "slip", -round(each.weight, 6), -each.count, each.id)))


def _misconception(
    id_: str,
    incidents: tuple[Incident, ...],
    also: tuple[str, ...],
    answered: Mapping[str, set[str]],
    sections: Mapping[str, str],
    names: Sequence[str],
    own_words: Mapping[str, str],
    kinds: Mapping[str, tuple[str, ...]],
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
        {label: lesson.on(kinds.get(label, ())).what if lesson else own_words.get(id_, "") for label in where},
        lesson.kind if lesson else "mistake",
        incidents,
        Count("", len(students), len(could)),
        tuple(Count(problem, in_problem[problem], len(answered[problem])) for problem in answered if problem in where),
        tuple(Count(name, here[name], all_here[name]) for name in names),
        also,
    )


def _per_section(students: Iterable[str], sections: Mapping[str, str]) -> Counter[str]:
    return Counter(sections.get(student, "") for student in students)
