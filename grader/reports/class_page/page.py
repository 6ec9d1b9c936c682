"""The class page: one file that opens from disk, prints on paper and tells the teacher what to do tomorrow.

Everything comes from the marks and the solved problems; the same marks give the same page, byte for byte.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from grader.marking.definitions import Rubric
from grader.methods.solve import Solved
from grader.reports.class_page import sentences
from grader.reports.class_page.misconceptions import Count, Misconception, answered_by_problem, misconceptions
from grader.reports.class_page.problems import STATES, ProblemFigures, SetFigures, problem_figures, state_table
from grader.reports.class_page.teaching import BoardLine, board_line
from grader.reports.drawing.clusters import cluster_picture, clusters_of
from grader.reports.drawing.sheet import Picture
from grader.reports.drawing.theme import stylesheet
from grader.reports.key import heading
from grader.reports.summary import as_text
from grader.reports.words import SUGGESTION, one_line

if TYPE_CHECKING:
    import pandas as pd
    from jinja2 import Environment

    from grader.history.progress import Progress

TO_TEACH = 3
"""How many lessons stand under “Tomorrow”: more does not fit into one."""
_SHOWN_AT_ONCE = 40  # names of a section that are listed without a fold


@dataclass(frozen=True)
class Member:
    """A student of a reteach group: what to call them, their section, the problems concerned, and the weight of it by problem."""

    name: str
    section: str
    problems: tuple[str, ...]
    weights: Mapping[str, float]


@dataclass(frozen=True)
class Group:
    """The members of a reteach group in one section (blank where the class has none)."""

    section: str
    members: tuple[Member, ...]

    @property
    def folded(self) -> bool:
        return len(self.members) > _SHOWN_AT_ONCE


@dataclass(frozen=True)
class Turn:
    """A wrong turn as the page shows it; ``place`` numbers it and names its anchor."""

    place: int
    found: Misconception
    where: str
    groups: tuple[Group, ...]
    board: BoardLine | None
    also: tuple[str, ...]

    @property
    def anchor(self) -> str:
        return f"turn-{self.place}"

    @property
    def data(self) -> str:
        """How many could have made it, by section and in all (under the empty name), for the filters."""
        sections = {each.of: each.answered for each in self.found.by_section}
        return json.dumps({"": self.found.total.answered, **sections}, ensure_ascii=False)


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


def class_page(
    marks: pd.DataFrame, solved: Sequence[Solved], rubric: Rubric, progress: Progress | None = None
) -> str:
    """The class page as HTML (UTF-8), complete in itself.

    ``marks`` is the marks table, ``solved`` the solved problems of the rubric; ``progress`` adds what earlier homeworks
    showed. Nothing is read from or sent to anywhere when it is opened.
    """
    table = as_text(marks)
    names, sections = people(table)
    own_words = {own.mistake: own.feedback for own in rubric.own_mistakes}
    figures = problem_figures(table)
    found = misconceptions(table, sections, own_words)
    sizes = Counter(section for section in sections.values() if section)
    turns = _turns(found, names, sections, solved, sizes)
    problems = _problems(table, solved, figures, turns, sections, sizes)
    teach = [
        turn for turn in turns if turn.found.kind == "mistake" and turn.found.count >= sentences.SHARED_BY
    ][:TO_TEACH]
    environment = _environment()
    return environment.get_template("page.html.j2").render(
        title=one_line(rubric.settings.title) or "Homework",
        suggestion=SUGGESTION,
        headline=_headline(figures, turns, sizes, table),
        figures=figures,
        turns=turns,
        teach=teach,
        problems=problems,
        sections=sizes,
        answered=_answered(table, sections),
        progress=progress,
        states=STATES,
        say=sentences,
        styles=(stylesheet(), _asset("page.css")),
        script=_asset("page.js"),
    )


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


def _turns(
    found: Sequence[Misconception],
    names: Mapping[str, str],
    sections: Mapping[str, str],
    solved: Sequence[Solved],
    sizes: Mapping[str, int],
) -> tuple[Turn, ...]:
    from grader.reports.words import mistake_name

    by_label = {one.problem.label: one.solution for one in solved}
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
        turns.append(Turn(place, each, sentences.where(each, sizes), _groups(each, names, sections), board, also))
    return tuple(turns)


def _groups(turn: Misconception, names: Mapping[str, str], sections: Mapping[str, str]) -> tuple[Group, ...]:
    weights: dict[str, Counter[str]] = {student: Counter() for student in turn.students}
    for incident in turn.incidents:
        weights[incident.student][incident.problem] += incident.weight  # type: ignore[assignment]
    members = [
        Member(names[student], sections[student], turn.problems_of[student], weights[student])
        for student in sorted(turn.students, key=lambda id_: names[id_].casefold())
    ]
    in_order = sorted({member.section for member in members})
    return tuple(Group(section, tuple(m for m in members if m.section == section)) for section in in_order)


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
            key=lambda pair: -pair[1].count,
        )
        leading = next((turn.found.on(each.label, sections) for turn, _ in here if turn.found.kind == "mistake"), None)
        picture = cluster_picture(one, clusters_of(rows[each.label], one))
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
    common = max((t.found for t in turns if t.found.kind == "mistake"), key=lambda each: each.count, default=None)
    if common is not None and common.count >= sentences.SHARED_BY:
        said.append(f"The commonest wrong turn: {sentences.wrong_turn(common, sizes)}.")
    open_answers = {
        (student, problem)
        for student, problem, points in zip(table["student_id"], table["problem"], table["points"])
        if points != points
    }
    said.append(sentences.waiting(len(open_answers)))
    return tuple(filter(None, said))


def _answered(table: pd.DataFrame, sections: Mapping[str, str]) -> str:
    """Problem → section → how many wrote an answer (in all under the empty name), for the filters."""
    counts = {}
    for label, students in answered_by_problem(table).items():
        here = Counter(sections[student] for student in students if sections[student])
        counts[label] = {"": len(students), **dict(sorted(here.items()))}
    return _in_script(counts)


def _in_script(value: object) -> str:
    """JSON that can stand inside a script element: no sign in it can end the element."""
    text = json.dumps(value, ensure_ascii=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


@lru_cache(maxsize=1)
def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup

    environment = Environment(
        loader=PackageLoader("grader.reports.class_page", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )

    def drawn(picture: Picture) -> Any:
        return Markup(picture.svg)  # noqa: S704  the drawing escapes what people wrote

    environment.filters["drawn"] = drawn
    environment.filters["percent"] = sentences.percent
    environment.filters["signed"] = sentences.signed
    environment.filters["capital"] = lambda text: text[:1].upper() + text[1:]
    environment.filters["as_is"] = Markup
    return environment


@lru_cache(maxsize=4)
def _asset(name: str) -> str:
    return files("grader.reports.class_page").joinpath("templates", name).read_text(encoding="utf-8")
