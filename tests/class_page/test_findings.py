"""What the class page says, checked against counts made by hand and by pandas, with no browser."""

from __future__ import annotations

import html
import math
from collections.abc import Sequence
from dataclasses import replace
from html.parser import HTMLParser

import pandas as pd
import pytest

from grader.homework import Marked
from grader.marking.definitions import Rubric
from grader.marking.mark import COLUMNS, solve_all
from grader.mistakes.catalogue import known_mistakes
from grader.reports.attribution import HABITS, attribute
from grader.reports.class_page import sentences
from grader.reports.class_page.misconceptions import misconceptions
from grader.reports.class_page.page import class_page
from grader.reports.class_page.problems import ProblemFigures, problem_figures
from grader.reports.class_page.students import student_lines
from grader.reports.class_page.teaching import board_line, lessons
from grader.reports.class_page.turns import people, turns_of
from grader.reports.sheets.class_mistakes import NAME, write_class_mistakes
from grader.reports.sheets.page import Book
from grader.reports.summary import as_text
from tests.posed import solved

Row = tuple[str, str, str, str, float, str, float]
"""Student, section, problem, verdict, points, mistake, chance."""


def _marks(rows: Sequence[Row]) -> pd.DataFrame:
    """A marks table of one part of 4 points for each student and problem."""
    made = [
        dict.fromkeys(COLUMNS, "")
        | {
            "student_id": student,
            "name": f"Name of {student}",
            "section": section,
            "problem": problem,
            "part": "value",
            "verdict": verdict,
            "points": points,
            "points_possible": 4.0,
            "mistake": mistake,
            "mistake_chance": chance,
            "value": math.nan,
        }
        for student, section, problem, verdict, points, mistake, chance in rows
    ]
    return as_text(pd.DataFrame(made, columns=list(COLUMNS)))


NAN = math.nan
CLASS: tuple[Row, ...] = (
    ("s1", "A", "1", "wrong", 0, "radian-mode", 0.9),
    ("s1", "A", "2", "wrong", 0, "radian-mode / wrong-quadrant", 0.8),
    ("s2", "A", "1", "right", 4, "", NAN),
    ("s2", "A", "2", "wrong", 0, "wrong-quadrant / radian-mode", 0.8),
    ("s3", "B", "1", "blank", 0, "", NAN),
    ("s3", "B", "2", "wrong", 0, "one-sign-lost + cut-off", 0.6),
    ("s4", "B", "1", "rounded early", 3, "", NAN),
    ("s4", "B", "2", "needs a look", NAN, "", NAN),
    ("s5", "B", "1", "right, other form", 4, "", NAN),
    ("s5", "B", "2", "right", 4, "", NAN),
)
SECTIONS = {row[0]: row[1] for row in CLASS}


def test_of_mistakes_with_one_answer_the_first_is_taken_as_in_the_words_to_the_student() -> None:
    found = attribute(_marks(CLASS)).incidents
    assert {(i.student, i.problem) for i in found["radian-mode"]} == {("s1", "1"), ("s1", "2")}
    assert {(i.student, i.problem) for i in found["wrong-quadrant"]} == {("s2", "2")}
    assert attribute(_marks(CLASS)).also["radian-mode"] == ("wrong-quadrant",)


def test_mistakes_acting_together_count_each() -> None:
    found = attribute(_marks(CLASS)).incidents
    assert [i.student for i in found["one-sign-lost"]] == ["s3"]
    assert [i.student for i in found["cut-off"]] == ["s3"]


def test_points_lost_by_a_way_of_writing_are_a_habit_and_those_that_cost_nothing_are_not() -> None:
    found = attribute(_marks(CLASS)).incidents
    assert [(i.student, i.lost) for i in found["rounded early"]] == [("s4", 1.0)]
    assert "right, other form" not in found


def test_counts_are_of_those_who_answered() -> None:
    found = {each.id: each for each in misconceptions(_marks(CLASS), SECTIONS)}
    radians = found["radian-mode"]
    assert (radians.count, radians.total.answered) == (1, 5)
    assert [(c.of, c.count, c.answered) for c in radians.by_problem] == [("1", 1, 4), ("2", 1, 5)]
    assert [(c.of, c.count, c.answered) for c in radians.by_section] == [("A", 1, 2), ("B", 0, 3)]
    assert (radians.lost, radians.sureness) == (8.0, pytest.approx(0.85))
    assert radians.weight == pytest.approx(1 * (0.9 * 4 + 0.8 * 4) / 2)


def test_the_most_teachable_stands_first_and_slips_of_the_pen_last() -> None:
    rows = [(f"s{i}", "A", "1", "wrong", 0.0, "cut-off", 1.0) for i in range(9)]
    rows += [(f"t{i}", "A", "1", "wrong", 0.0, "two-dropped", 0.9) for i in range(3)]
    rows += [(f"u{i}", "A", "1", "wrong", 2.0, "lengths-added", 0.9) for i in range(4)]
    order = [each.id for each in misconceptions(_marks(rows), {row[0]: "A" for row in rows})]
    assert order == ["two-dropped", "lengths-added", "cut-off"]  # 3 × 0.9 × 4 > 4 × 0.9 × 2; nothing to teach in a slip


def test_the_figures_of_a_problem_sort_every_student_once() -> None:
    figures = problem_figures(_marks(CLASS))
    first, second = figures.problems
    assert first.states == {"right": 2, "partly right": 1, "wrong": 1, "blank": 1, "to look at": 0}
    assert second.states == {"right": 1, "partly right": 0, "wrong": 3, "blank": 0, "to look at": 1}
    assert first.difficulty == pytest.approx(11 / 20)
    assert figures.complete == 4


def _odd_problem(students: int) -> ProblemFigures:
    """The last of four problems, which the weaker half of so many students gets right and the stronger half wrong."""
    rows: list[Row] = []
    for i in range(students):
        strong = i < students // 2
        rows += [(f"s{i:02}", "A", str(n), "right" if strong else "wrong", 4.0 * strong, "", NAN) for n in (1, 2, 3)]
        rows.append((f"s{i:02}", "A", "4", "wrong" if strong else "right", 4.0 * (not strong), "", NAN))
    return problem_figures(_marks(rows)).problems[3]


def test_a_problem_that_the_best_fail_is_named() -> None:
    odd = _odd_problem(40)
    assert (odd.top_right, odd.top_size) == (0, 11)
    assert odd.concerns() == (
        "Weaker students did better on it than strong ones: check the key and the wording.",
        "Only 0 of your best 11 got this one: check the wording.",
    )


def test_of_a_few_finished_students_nothing_is_said_about_strong_and_weak() -> None:
    odd = _odd_problem(28)
    assert odd.discrimination == pytest.approx(-1)
    assert odd.concerns() == ()
    assert odd.reading() == "Too few finished students to say whether it tells strong from weak."


@pytest.mark.parametrize("students", [40, 400])
@pytest.mark.parametrize("r", [-0.2, 0.1, 0.14, 0.2, 0.45])
def test_a_correlation_that_chance_explains_is_not_spoken_of(students: int, r: float) -> None:
    figures = replace(_odd_problem(40), discrimination=r, complete=students, difficulty=0.6, top_right=11)
    # Two-sided 95 % limit of |r| by Fisher's z: tanh(1.96 / √(n − 3)).
    if abs(r) < math.tanh(1.96 / math.sqrt(students - 3)):
        assert figures.concerns() == ()
        assert figures.reading() == "These marks do not show whether it tells strong from weak."
        assert "Too few" in replace(figures, complete=20).reading()
    else:
        assert "Too few" not in figures.reading()
        assert ("Weaker students" in figures.reading()) == (r < 0)
        assert ("luck or a trap" in figures.reading()) == (0 < r < 0.15)
        assert ("separates well" in figures.reading()) == (r >= 0.4)


@pytest.mark.parametrize(
    ("in_a", "in_b", "said"),
    [(5, 0, "all in section A"), (5, 1, "mostly section A"), (3, 3, ""), (2, 1, ""), (1, 5, "mostly section B")],
)
def test_a_section_is_named_only_where_that_says_something(in_a: int, in_b: int, said: str) -> None:
    rows = [
        (f"a{i}", "A", "1", "wrong" if i < in_a else "right", 0.0, "two-dropped" if i < in_a else "", 1.0)
        for i in range(10)
    ]
    rows += [
        (f"b{i}", "B", "1", "wrong" if i < in_b else "right", 0.0, "two-dropped" if i < in_b else "", 1.0)
        for i in range(10)
    ]
    sections = {row[0]: row[1] for row in rows}
    (turn,) = misconceptions(_marks(rows), sections)
    assert sentences.where(turn, {"A": 10, "B": 10}) == said


def test_the_sentence_about_a_problem() -> None:
    marks = _marks(CLASS)
    turn = next(each for each in misconceptions(marks, SECTIONS) if each.id == "radian-mode")
    figures = problem_figures(marks).problems[0]
    assert sentences.of_problem(figures, None, {}) == "2 of 5 got problem 1 right."
    assert "No two students share a wrong turn here." in sentences.of_problem(figures, turn, {})


def test_every_mistake_of_the_catalogue_has_a_lesson() -> None:
    assert set(known_mistakes()) <= set(lessons())
    assert set(HABITS) <= set(lessons())
    for id_, lesson in lessons().items():
        assert lesson.what.endswith("."), id_
        assert lesson.lines or lesson.kind in ("slip", "habit"), id_


def test_the_sample_class_gets_a_line_for_the_board_wherever_a_mistake_can_be_taught(marked: Marked) -> None:
    solutions = {one.problem.label: one for one in marked.solutions}
    table = as_text(marked.marks)
    _, sections = people(table)
    without = [
        (each.id, count.of)
        for each in misconceptions(table, sections)
        if each.kind in ("mistake", "setting") and each.id in known_mistakes()
        for count in each.by_problem
        if board_line(each.id, solutions[count.of], each.methods_in(count.of)) is None
    ]
    assert without == []


def test_the_line_for_the_board_is_the_step_that_goes_wrong(marked: Marked) -> None:
    solutions = {one.problem.label: one for one in marked.solutions}
    found = board_line("supplement-not-taken", solutions["1"])
    assert found is not None
    assert [line.step for line in found.lines] == ["triangle angle"]
    assert "180° − 67° = 113°" in found.lines[0].text
    components = board_line("sine-cosine-swapped", solutions["5"])
    assert components is not None
    assert (components.method, [line.step for line in components.lines]) == (
        "components",
        ["x-component", "y-component"],
    )
    answer = board_line("answer-from-wrong-axis", solutions["5"])
    assert answer is not None
    assert answer.lines[-1].text.endswith("S 72.8° E")


def test_a_missed_second_triangle_puts_both_angles_on_the_board() -> None:
    found = board_line("second-triangle-missed", solved("triangle", "a=12; c=17; A=35°").solution)
    assert found is not None
    assert found.by == "by the laws of sines and cosines"
    # By hand: sin C = 17 sin 35° / 12 = 0.8126, so C = 54.3475° or 180° − 54.3475° = 125.6525°.
    assert [line.text for line in found.lines[:2]] == [
        "C = sin⁻¹(0.8126) = 54.3475°",
        "C = 180° − sin⁻¹(0.8126) = 125.6525°",
    ]


def test_the_page_counts_what_waits_in_the_words_of_the_other_reports(marked: Marked, page: str) -> None:
    waiting = marked.marks[marked.marks["points"].isna()]
    answers = waiting.groupby(["student_id", "problem"]).ngroups
    assert f"{len(waiting)} parts in {answers} answers need your eyes, on the first sheet of feedback.xlsx." in page


class _Texts(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.links: list[str] = []
        self.ids: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        found = dict(attrs)
        self.ids += [found["id"]] if found.get("id") else []  # type: ignore[list-item]
        self.links += [str(found[name]) for name in ("href", "src") if found.get(name)]


def test_the_page_fetches_nothing_and_every_link_leads_somewhere(page: str) -> None:
    found = _Texts()
    found.feed(page)
    assert not {"img", "link", "iframe", "object", "embed", "base"} & set(found.tags)
    assert all(link.startswith("#") for link in found.links)
    assert {link[1:] for link in found.links} <= set(found.ids)
    assert len(found.ids) == len(set(found.ids))


def test_the_same_marks_give_the_same_page_byte_for_byte(marked: Marked, page: str) -> None:
    assert class_page(marked.marks, solve_all(marked.rubric), marked.rubric) == page


def _structure(marked: Marked, said: str) -> list[tuple[str, tuple[str, ...]]]:
    """Every tag with the names of its attributes, on a page where everything that people write is ``said``."""
    marks = marked.marks.copy()
    for column in ("name", "section", "written"):
        marks[column] = said
    settings = replace(marked.rubric.settings, title=said)
    problems = [replace(one, problem=replace(one.problem, question=said)) for one in solve_all(marked.rubric)]
    text = class_page(marks, problems, replace(marked.rubric, settings=settings))
    found: list[tuple[str, tuple[str, ...]]] = []

    class Structure(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            found.append((tag, tuple(name for name, _ in attrs)))

    Structure().feed(text)
    assert "7006652" not in text
    assert "\u202e" not in text
    return found


@pytest.fixture(scope="module")
def plain(marked: Marked) -> list[tuple[str, tuple[str, ...]]]:
    return _structure(marked, "plain")


@pytest.mark.parametrize(
    "said",
    [
        "<script>alert(1)</script>",
        '" onfocus="alert(1)',
        "' onfocus='alert(1)",
        "</title><b>",
        "</script><b>",
        "]]><svg>",
        "{{ 1234*5678 }}",
        "O'Neill & Sons &lt;b&gt;",
        "\u202ereversed",
    ],
)
def test_what_people_wrote_is_text_and_nothing_else(
    marked: Marked, plain: list[tuple[str, tuple[str, ...]]], said: str
) -> None:
    def elements(found: list[tuple[str, tuple[str, ...]]]) -> list[tuple[str, tuple[str, ...]]]:
        # A drawing breaks a long text into lines: as many elements as it needs.
        return [each for each in found if each[0] != "text"]

    assert elements(_structure(marked, said)) == elements(plain)


def test_an_empty_class_has_a_page_too(marked: Marked) -> None:
    text = class_page(marked.marks.iloc[:0], solve_all(marked.rubric), marked.rubric)
    assert "No wrong turn was recognised" in text


def test_what_a_mistake_is_is_said_for_the_kind_of_problem_it_shows_on() -> None:
    rows = [
        ("s1", "A", "1", "wrong", 0, "supplement-not-taken", 0.9),
        ("s1", "A", "2", "wrong", 0, "supplement-not-taken", 0.9),
    ]
    kinds = {"1": ("angle between",), "2": ("resultant",)}
    (turn,) = misconceptions(_marks(rows), {"s1": "A"}, kinds=kinds)
    lesson = lessons()["supplement-not-taken"]
    assert turn.on("1", {"s1": "A"}).what == lesson.on(kinds["1"]).what != lesson.what
    assert turn.on("2", {"s1": "A"}).what == lesson.what
    assert "triangle" not in turn.on("1", {"s1": "A"}).what
    assert turn.what == f"{lesson.on(kinds['1']).what} {lesson.what}"


def test_a_word_at_the_desk_needs_more_than_one_part_of_one_problem() -> None:
    rows = [
        ("s1", "A", "1", "wrong", 0, "radian-mode", 0.9),
        ("s2", "A", "1", "wrong", 0, "radian-mode", 0.9),
        ("s2", "A", "2", "wrong", 0, "radian-mode", 0.9),
    ]
    table, sections = _marks(rows), {"s1": "A", "s2": "A"}
    (turn,) = turns_of(misconceptions(table, sections), table, {"s1": "Ada", "s2": "Bo"}, sections, [], {"A": 2})
    assert [member.name for group in turn.groups for member in group.members] == ["Ada", "Bo"]
    assert [member.name for group in turn.at_the_desk().groups for member in group.members] == ["Bo"]


def test_the_board_shows_the_cosine_where_a_dot_product_took_the_sine() -> None:
    solution = solved("dot product", "42 N at 15°; 8.5 m at 68°").solution
    board = board_line("sine-cosine-swapped", solution, ["parallelogram"])
    assert board is not None
    assert "cos 53°" in board.lines[0].text


# ---- student by student


def test_the_students_with_wrong_turns_stand_by_their_points() -> None:
    table = _marks(CLASS)
    names, sections = people(table)
    solutions = [solved("dot product", "45 N at 20°; 30 N at 310°", label=label) for label in ("1", "2")]
    turns = turns_of(misconceptions(table, sections), table, names, sections, solutions, {"A": 2, "B": 2})
    lines = student_lines(table, names, sections, turns)
    told = [(one.name, one.section, one.points, one.waiting, one.problems) for one in lines]
    assert told[:3] == [
        ("Name of s1", "A", "0 of 8", 0, ("1", "2")),
        ("Name of s3", "B", "0 of 8", 0, ("2",)),
        ("Name of s4", "B", "3 of 8", 1, ("1",)),
    ]
    assert [turn.found.id for turn, _ in lines[0].turns] == ["radian-mode"]
    assert {turn.anchor for turn in turns} == {anchor for one in lines for anchor in one.anchors.split()}


def test_the_page_lists_the_students_of_the_sample_class(marked: Marked, page: str) -> None:
    marks = as_text(marked.marks)
    names, sections = people(marks)
    wrong = {student for each in misconceptions(marks, sections) for student in each.students}
    section = page.partition('<section id="students"')[2].partition("</section>")[0]
    listed = [html.unescape(row.partition("</th>")[0]) for row in section.split('<th scope="row">')[1:]]
    assert sorted(listed) == sorted(names[student] for student in wrong)
    assert f"{len(names) - len(wrong)} of {len(names)} took none that was recognised" in section


def _listed_page(names: dict[str, str]) -> tuple[str, str]:
    """The page of six students with radians, and the sheet's list of them, under these names."""
    rows = [(f"s{i}", "AB"[i % 2], "1", "wrong", 0.0, "radian-mode", 0.9) for i in range(6)]
    marks = _marks(rows)
    marks["name"] = [names[student] for student in marks["student_id"]]
    problem = solved("resultant", "45 N at 20°; 30 N at 310°")
    called, sections = people(marks)
    turns = turns_of(misconceptions(marks, sections), marks, called, sections, [problem], {"A": 3, "B": 3})
    book = Book()
    write_class_mistakes(book, marks)
    listed = [cell.value for row in book.workbook[NAME].iter_rows() for cell in row if "s0" in str(cell.value)]
    return sentences.at_the_desk(turns[0].groups), str(listed[0])


def test_names_that_hold_commas_are_parted_by_semicolons() -> None:
    desk, sheet = _listed_page({f"s{i}": f"Vega s{i}, Bo" for i in range(6)})
    assert desk == "Vega s0, Bo; Vega s2, Bo; Vega s4, Bo (A) · Vega s1, Bo; Vega s3, Bo; Vega s5, Bo (B)"
    assert sheet == "; ".join(f"Vega s{i}, Bo" for i in range(6))
    desk, sheet = _listed_page({f"s{i}": f"Bo s{i}" for i in range(6)})
    assert desk == "Bo s0, Bo s2, Bo s4 (A); Bo s1, Bo s3, Bo s5 (B)"
    assert sheet == ", ".join(f"Bo s{i}" for i in range(6))


def test_the_figures_that_order_the_lessons_are_shown() -> None:
    """Six who lost 5 points an answer stand before nine who lost 2: without the figures it looks like a mistake."""
    rows: list[Row] = [(f"t{i}", "A", "1", "wrong", 0.0, "two-dropped", 0.9) for i in range(3)]
    rows += [(f"u{i}", "A", "1", "wrong", 3.0, "lengths-added", 0.998) for i in range(9)]
    first, second = misconceptions(_marks(rows), {row[0]: "A" for row in rows})
    assert sentences.worth(first) == "An answer with it lost 4 points on average; the diagnosis is 90\u00a0% sure."
    assert sentences.worth(second).endswith("lost 1 point on average; the diagnosis is over 99\u00a0% sure.")
    problem = solved("resultant", "45 N at 20°; 30 N at 310°")
    page = class_page(_marks(rows), [problem], Rubric((problem.problem,)))
    assert "lost 4 points on average" in page
