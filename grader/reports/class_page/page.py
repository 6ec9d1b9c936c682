"""The class page: one file that opens from disk, prints on paper and tells the teacher what to do tomorrow.

Everything comes from the marks and the solved problems; the same marks give the same page, byte for byte.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from grader.marking.definitions import Rubric
from grader.methods.solve import Solved
from grader.mistakes.kinds import kinds_of
from grader.reports.attribution import answered_by_problem
from grader.reports.class_page import sentences
from grader.reports.class_page.misconceptions import Count, misconceptions
from grader.reports.class_page.problems import STATES, ProblemFigures, SetFigures, problem_figures, state_table
from grader.reports.class_page.students import student_lines
from grader.reports.class_page.templating import asset, environment, in_script
from grader.reports.class_page.turns import Turn, as_one_counts, people, turns_of
from grader.reports.drawing.clusters import cluster_picture, clusters_of, left_out
from grader.reports.drawing.sheet import Picture
from grader.reports.drawing.theme import stylesheet
from grader.reports.key import heading
from grader.reports.summary import as_text
from grader.reports.words import SUGGESTION, one_line

if TYPE_CHECKING:
    import pandas as pd

    from grader.history.progress import Progress

WRONG_TURNS = ("mistake", "setting")
"""Kinds that are a wrong turn in the working, and not only in the writing."""

TO_TEACH = 3
"""How many lessons stand under “Tomorrow”: more does not fit into one."""
_LESSON_FROM = 3  # students
_STUDENTS_AT_ONCE = 40  # students who are listed one by one without a fold


@dataclass(frozen=True)
class ProblemView:
    """A problem as the page shows it."""

    figures: ProblemFigures
    title: str
    question: str
    answer: str
    summary: str
    tally: str
    picture: Picture
    turns: tuple[tuple[Turn, Count], ...]
    by_section: Mapping[str, Mapping[str, int]]
    asked_method: str

    @property
    def data(self) -> str:
        return json.dumps(self.by_section, ensure_ascii=False)


def class_page(marks: pd.DataFrame, solved: Sequence[Solved], rubric: Rubric, progress: Progress | None = None) -> str:
    """The class page as HTML (UTF-8), complete in itself.

    ``marks`` is the marks table, ``solved`` the solved problems of the rubric; ``progress`` adds what earlier homeworks
    showed. Nothing is read from or sent to anywhere when it is opened.
    """
    table = as_text(marks)
    names, sections = people(table)
    own_words = {own.mistake: own.feedback for own in rubric.own_mistakes}
    figures = problem_figures(table)
    kinds = {one.problem.label: kinds_of(one.problem) for one in solved}
    found = misconceptions(table, sections, own_words, kinds)
    sizes = Counter(sorted(filter(None, sections.values()), key=as_one_counts))
    turns = turns_of(found, table, names, sections, solved, sizes)
    problems = _problems(table, solved, figures, turns, sections, sizes)
    teach = _to_teach(turns)
    shared = [turn for turn in turns if turn.found.count >= sentences.SHARED_BY]
    return (
        environment()
        .get_template("page.html.j2")
        .render(
            title=one_line(rubric.settings.title) or "Homework",
            suggestion=SUGGESTION,
            headline=_headline(figures, turns, sizes, table),
            figures=figures,
            turns=turns,
            shared=shared,
            single=[turn for turn in turns if turn not in shared],
            teach=teach,
            students=student_lines(table, names, sections, turns),
            students_at_once=_STUDENTS_AT_ONCE,
            desk=[turn.at_the_desk() for turn in turns if turn.found.kind == "setting" and turn.at_the_desk().groups],
            problems=problems,
            answers={each.figures.label: each.answer for each in problems},
            anchors={each.figures.label: f"problem-{place}" for place, each in enumerate(problems, start=1)},
            sections=sizes,
            answered=_answered(table, sections),
            progress=progress,
            states=STATES,
            say=sentences,
            styles=(stylesheet(), asset("page.css")),
            script=asset("page.js"),
        )
    )


def _to_teach(turns: Sequence[Turn]) -> list[Turn]:
    """The lessons for tomorrow: wrong turns of three students or more, or where there is none, of two."""
    for least in (_LESSON_FROM, sentences.SHARED_BY):
        found = [turn for turn in turns if turn.found.kind == "mistake" and turn.found.count >= least]
        if found:
            return found[:TO_TEACH]
    return []


def _problems(
    table: pd.DataFrame,
    solved: Sequence[Solved],
    figures: SetFigures,
    turns: Sequence[Turn],
    sections: Mapping[str, str],
    sizes: Mapping[str, int],
) -> tuple[ProblemView, ...]:
    by_label = {one.problem.label: one for one in solved}
    by_section = state_table(table, sections)
    rows = {str(label): rows for label, rows in table.groupby("problem", sort=False)}
    views = []
    for each in figures.problems:
        one = by_label[each.label]
        here = sorted(
            ((turn, count) for turn in turns for count in turn.found.by_problem if count.of == each.label),
            key=lambda pair: (pair[0].found.kind in ("habit", "slip"), -pair[1].count),
        )
        leading = next(
            (turn.found.on(each.label, sections) for turn, _ in here if turn.found.kind in WRONG_TURNS), None
        )
        picture = cluster_picture(
            one,
            clusters_of(rows[each.label], one),
            who=True,
            theme="page",
            absent=sum(left_out(rows[each.label], one).values()),
        )
        views.append(
            ProblemView(
                each,
                heading(one.problem),
                one_line(one.problem.question or one.problem.given_text),
                one.solution.none or "; ".join(key.shown for key in one.solution.parts),
                sentences.of_problem(each, leading, sizes),
                sentences.tally(each.states),
                picture,
                tuple(here),
                by_section[each.label],
                one.problem.method,
            )
        )
    return tuple(views)


def _headline(
    figures: SetFigures, turns: Sequence[Turn], sizes: Mapping[str, int], table: pd.DataFrame
) -> tuple[str, ...]:
    said = [sentences.earned(figures)]
    hard = sentences.hardest(figures)
    if hard is not None and len(figures.problems) > 1:
        said.append(f"{hard.right} of {hard.students} got problem {hard.label} right, the fewest of the set.")
    common = max((t.found for t in turns if t.found.kind in WRONG_TURNS), key=lambda each: each.count, default=None)
    if common is not None and common.count >= sentences.SHARED_BY:
        said.append(f"The commonest wrong turn: {sentences.wrong_turn(common, sizes)}.")
    said.append(sentences.waiting(table))
    return tuple(filter(None, said))


def _answered(table: pd.DataFrame, sections: Mapping[str, str]) -> str:
    """Problem → section → how many wrote an answer (in all under the empty name), for the filters."""
    counts = {}
    for label, students in answered_by_problem(table).items():
        here = Counter(sections[student] for student in students if sections[student])
        counts[label] = {"": len(students), **dict(sorted(here.items()))}
    return in_script(counts)
