"""The wrong turns as the page shows them: with the reteach group by name, the line for the board and what was written."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from grader.methods.solve import Solved
from grader.reports.class_page import sentences
from grader.reports.class_page.misconceptions import Misconception
from grader.reports.class_page.teaching import BoardLine, board_line
from grader.reports.words import mistake_name, one_line

if TYPE_CHECKING:
    import pandas as pd

_SHOWN_AT_ONCE = 60  # names that are listed without a fold
_LONGEST_EXAMPLE = 60  # signs


@dataclass(frozen=True)
class Member:
    """A student of a reteach group: what to call them, their section, the problems concerned, the weight of it by problem, and
    how many parts of answers show it."""

    name: str
    section: str
    problems: tuple[str, ...]
    weights: Mapping[str, float]
    parts: int = 1


@dataclass(frozen=True)
class Group:
    """The members of a reteach group in one section (blank where the class has none)."""

    section: str
    members: tuple[Member, ...]


@dataclass(frozen=True)
class Turn:
    """A wrong turn as the page shows it; ``place`` numbers it and names its anchor."""

    place: int
    found: Misconception
    where: str
    groups: tuple[Group, ...]
    board: BoardLine | None
    wrote: str
    also: tuple[str, ...]

    def at_the_desk(self) -> Turn:
        """The turn with those to whom a word is due: one part of one problem may show a setting by chance."""
        groups = (replace(group, members=tuple(m for m in group.members if m.parts > 1)) for group in self.groups)
        return replace(self, groups=tuple(group for group in groups if group.members))

    @property
    def anchor(self) -> str:
        return f"turn-{self.place}"

    @property
    def folded(self) -> bool:
        return self.found.count > _SHOWN_AT_ONCE

    @property
    def data(self) -> str:
        """How many could have made it, by section and in all (under the empty name), for the filters."""
        sections = {each.of: each.answered for each in self.found.by_section}
        return json.dumps({"": self.found.total.answered, **sections}, ensure_ascii=False)


def people(table: pd.DataFrame) -> tuple[dict[str, str], dict[str, str]]:
    """What to call each student (the id is added where two share a name), and each one's section."""
    firsts = table.drop_duplicates("student_id")
    often = Counter(firsts["name"])
    names, sections = {}, {}
    for student, name, section in zip(firsts["student_id"], firsts["name"], firsts["section"]):
        plain = one_line(name)
        names[student] = f"{plain} ({student})" if plain and often[name] > 1 else plain or student
        sections[student] = one_line(section)
    return names, sections


def as_one_counts(name: str) -> tuple[tuple[int, str], ...]:
    """Section 2 before section 10."""
    return tuple((int(piece), "") if piece.isdecimal() else (0, piece) for piece in re.split(r"(\d+)", name))


def turns_of(
    found: Sequence[Misconception],
    table: pd.DataFrame,
    names: Mapping[str, str],
    sections: Mapping[str, str],
    solved: Sequence[Solved],
    sizes: Mapping[str, int],
) -> tuple[Turn, ...]:
    """The wrong turns in the order in which they were found.

    ``table`` is the marks with texts free of gaps, ``names`` and ``sections`` are by student id, ``sizes`` those of the sections.
    """
    by_label = {one.problem.label: one.solution for one in solved}
    written = _written(table)
    turns = []
    for place, each in enumerate(found, start=1):
        # The problem that shows it in most students, and if its working has no such line, the next.
        for label in sorted((c.of for c in each.by_problem), key=lambda label: label != each.leads_in()):
            board = board_line(each.id, by_label[label], each.methods_in(label)) if label in by_label else None
            if board is not None:
                break
        else:
            board = None
        also = tuple(mistake_name(id_) for id_ in each.also)
        wrote = _example(each, board.problem, written) if board is not None else ""
        where = sentences.where(each, sizes)
        turns.append(Turn(place, each, where, _groups(each, names, sections), board, wrote, also))
    return tuple(turns)


def _written(table: pd.DataFrame) -> dict[tuple[str, str], str]:
    """(Student, problem) → the answer as it was read, its parts joined; those not read in every part are left out."""
    parts: dict[tuple[str, str], list[str]] = {}
    for student, problem, read_as in zip(table["student_id"], table["problem"], table["read_as"]):
        parts.setdefault((student, problem), []).append(one_line(read_as))
    return {key: "; ".join(dict.fromkeys(read)) for key, read in parts.items() if all(read)}


def _example(turn: Misconception, problem: str, written: Mapping[tuple[str, str], str]) -> str:
    """What most of those who took the turn on this problem wrote; of answers equally frequent the first."""
    counts = Counter(
        answer
        for student, problems in turn.problems_of.items()
        if problem in problems and (answer := written.get((student, problem), ""))
    )
    (answer, _), *_ = counts.most_common(1) or [("", 0)]
    return answer if len(answer) <= _LONGEST_EXAMPLE else ""


def _groups(turn: Misconception, names: Mapping[str, str], sections: Mapping[str, str]) -> tuple[Group, ...]:
    weights: dict[str, dict[str, float]] = {student: {} for student in turn.students}
    for incident in turn.incidents:
        before = weights[incident.student].get(incident.problem, 0.0)
        weights[incident.student][incident.problem] = round(before + incident.weight, 3)
    parts = Counter(dict.fromkeys(turn.students, 0))
    for incident in turn.incidents:
        parts[incident.student] += incident.parts
    members = [
        Member(names[student], sections[student], turn.problems_of[student], weights[student], parts[student])
        for student in sorted(turn.students, key=lambda id_: names[id_].casefold())
    ]
    in_order = sorted({member.section for member in members}, key=as_one_counts)
    return tuple(Group(section, tuple(m for m in members if m.section == section)) for section in in_order)
