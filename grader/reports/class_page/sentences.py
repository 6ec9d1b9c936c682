"""The sentences of the class page, put together from figures."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from grader.exchange import cells
from grader.exchange.cells import counted
from grader.reports.class_page.misconceptions import Count, Misconception
from grader.reports.class_page.problems import ProblemFigures, SetFigures
from grader.reports.summary import need_your_eyes
from grader.reports.words import amount, listed_names, percent, whole_percent

if TYPE_CHECKING:
    import pandas as pd

    from grader.reports.class_page.turns import Group

SHARED_BY = 2
"""A wrong turn that fewer students take is a matter for their own feedback, not for the lesson."""

_MOSTLY, _ENOUGH = 2 / 3, 4  # two of three students are no pattern
_WHOLE_CLASS = 1 / 3
_NAMED_AT_THE_DESK = 12
_ALL_BUT_SURE = 0.99  # no diagnosis is quite sure


def between(count: Count) -> str:
    """The interval of a share: ``8–26 %``."""
    interval = count.interval
    return f"{whole_percent(interval.low)}–{percent(interval.high)}"


def signed(value: float) -> str:
    """A correlation or a difference with its sign: ``0.42``, ``−0.10``; an en dash where there is no figure."""
    return "–" if math.isnan(value) else f"{value:.2f}".replace("-", "−")


def where(turn: Misconception, sections: Mapping[str, int]) -> str:
    """``mostly section B`` or ``all in section B``, where that says something; else an empty text.

    ``sections`` gives the size of every section of the class.
    """
    if len(sections) < 2 or turn.count < _ENOUGH:
        return ""
    whole = sum(sections.values())
    for each in turn.by_section:
        part = each.count / turn.count
        if part == 1:
            return f"all in section {each.of}"
        if part >= _MOSTLY and part >= 1.25 * sections[each.of] / whole:
            return f"mostly section {each.of}"
    return ""


def wrong_turn(turn: Misconception, sections: Mapping[str, int]) -> str:
    """``sine and cosine exchanged (9 students, mostly section B)``."""
    place = where(turn, sections)
    return f"{turn.name} ({counted(turn.count, 'student')}{', ' + place if place else ''})"


def of_problem(figures: ProblemFigures, turn: Misconception | None, sections: Mapping[str, int]) -> str:
    """``41 of 64 got problem 3 right. The commonest wrong turn: … (9 students, mostly section B).``

    ``turn`` is that wrong turn as it shows on this problem alone, None where there is none.
    """
    said = f"{figures.right} of {figures.students} got problem {figures.label} right."
    if turn is None:
        return said
    if turn.count < SHARED_BY:
        return f"{said} No two students share a wrong turn here."
    return f"{said} The commonest wrong turn: {wrong_turn(turn, sections)}."


def earned(figures: SetFigures) -> str:
    """``The class earned 71 % of the points.``"""
    if math.isnan(figures.earned):
        return "No answer is settled yet."
    return f"The class earned {percent(figures.earned)} of the points."


def hardest(figures: SetFigures) -> ProblemFigures | None:
    """The problem that fewest students got right."""
    return min(figures.problems, key=lambda each: (each.right, each.difficulty), default=None)


def waiting(marks: pd.DataFrame) -> str:
    """What still waits for the teacher's eyes, and where; an empty text where nothing does."""
    said = need_your_eyes(marks)
    return f"{said}, on the first sheet of feedback.xlsx." if said else ""


def for_whom(turn: Misconception) -> str:
    """Whether a wrong turn is a lesson for everyone or for a group."""
    if turn.total.share >= _WHOLE_CLASS:
        return f"For the whole class: {turn.count} of {turn.total.answered} did this."
    return f"For a group of {turn.count}, out of {turn.total.answered} who wrote an answer there."


def worth(turn: Misconception) -> str:
    """The figures by which lessons are put in order, beside the number of students: points lost by an answer, and sureness."""
    lost = amount(turn.lost / len(turn.incidents))
    points = "point" if lost == "1" else "points"
    sure = f"over {percent(_ALL_BUT_SURE)}" if turn.sureness > _ALL_BUT_SURE else percent(turn.sureness)
    return f"An answer with it lost {lost} {points} on average; the diagnosis is {sure} sure."


def at_the_desk(groups: Sequence[Group]) -> str:
    """The students of a wrong turn by section: ``Ana, Bo (A); Cy (B)``, with a dot between sections where names hold commas."""
    said = []
    for group in groups:
        names = listed_names([member.name for member in group.members[:_NAMED_AT_THE_DESK]])
        more = len(group.members) - _NAMED_AT_THE_DESK
        said.append(
            names + (f" and {more} more" if more > 0 else "") + (f" ({group.section})" if group.section else "")
        )
    return (" · " if any(";" in each for each in said) else "; ").join(said)


def tally(states: Mapping[str, int]) -> str:
    """``41 right · 6 partly right · 12 wrong · 4 blank · 1 to look at``, without what nobody did."""
    return " · ".join(f"{count} {state}".replace(" ", "\u00a0") for state, count in states.items() if count)


def listed(items: Sequence[str]) -> str:
    """``1``, ``1 and 3``, ``1, 3 and 5``."""
    return cells.listed(items, "and")
