"""What a letter says, and what it never says."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from grader.mail.compose import compose, words
from grader.mail.definitions import Drawing, Letter
from grader.marking.attempts import EXCUSED
from grader.marking.definitions import ColumnRule, Rubric, Student
from grader.marking.judge import VERDICTS
from grader.methods.problem import PARTS
from tests.mail.people import row, rubric, some_rows

ADA = Student("H001", "Ada Nilsson", "ada@example.org", "A")


class Page(HTMLParser):
    """The tags, attributes and visible text of a page."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.words: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs

    def handle_data(self, data: str) -> None:
        if self.tags and self.tags[-1] not in ("style", "title"):
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


def both(letter: Letter) -> list[str]:
    """The plain text and the visible text of the page, on one line each."""
    return [" ".join(letter.text.split()), Page(letter.html).text]


def test_it_says_for_each_part_what_was_written_read_judged_and_earned() -> None:
    letter = compose(ADA, some_rows(), rubric())
    assert letter.subject == "Feedback: Vectors in the harbour"
    text, page = both(letter)
    assert "PROBLEM 1: 2 of 4 points Two tugs pull a barge." in text
    assert "✓ Magnitude: right (2 of 2) You wrote: 77.8 kN ✗" in text
    assert "✗ Direction: wrong (0 of 2) You wrote: 81,5° Read as: 81.5° Two angles have this sine." in text
    assert "Problem 1 2 of 4 points Two tugs pull a barge." in page
    assert "Magnitude : ✓ right (2 of 2) You wrote 77.8 kN Direction" in page
    assert "Direction : ✗ wrong (0 of 2) You wrote 81,5° , read as 81.5° Two angles have this sine." in page
    for each in (text, page):
        assert "Hello Ada Nilsson" in each
        assert "4 of 8 points so far. Still open: 2; your teacher will look at it." in each
        assert "your teacher will look at it (? of 2)" in each
        assert "your teacher decided (2 of 2)" in each
        assert "Marks are suggestions; your teacher decides." in each
        assert "ask your teacher" in each
        assert "Accepted today." in each


def test_it_never_tells_chances_ids_of_mistakes_notes_or_anybody_else(tmp_path) -> None:  # type: ignore[no-untyped-def]
    from grader.mail.marks import read_marks
    from tests.mail.people import marks_text, write_marks

    write_marks(tmp_path, marks_text(5))
    marks = read_marks(tmp_path / "marks.csv")
    for each in marks:
        letter = compose(Student(each.student_id, each.name, "", each.section), each.rows, rubric())
        for text in (letter.text, letter.html, letter.subject):
            assert "0.9954" not in text
            assert "obtuse-missed" not in text
            assert "reversed" not in text
            assert "tide clerk" not in text
            for other in marks:
                if other is not each:
                    assert other.name not in text
                    assert other.student_id not in text
                    assert other.rows[0].written not in text


def test_the_right_answer_is_told_only_where_the_setting_says_so() -> None:
    rows = (row(feedback="Draw it. The answer is 77.8 kN."), row(part="direction", expected="142.5°"))
    for text in (silent := compose(ADA, rows, rubric())).text, silent.html:
        assert "77.8 kN" not in text
        assert "142.5" not in text
        assert "Draw it." in text
    for text in (open_ := compose(ADA, rows, rubric(show_answers=True))).text, open_.html:
        assert text.count("The answer is 77.8 kN.") == 1
        assert text.count("The answer is 142.5°.") == 1


@pytest.mark.parametrize(
    ("written", "read_as", "told"),
    [
        ("43.6kN", "43.6 kN", False),
        (" -28.9 º", "−28.9°", False),
        ("s 89° w", "S 89° W", False),
        ("S 89 W", "S 89° W", True),
        ("62", "62.0 N", True),
        ("7,6", "7.6", True),
    ],
)
def test_how_it_was_read_is_told_where_that_says_something_else(written: str, read_as: str, told: bool) -> None:
    letter = compose(ADA, (row(written=written, read_as=read_as),), rubric())
    assert ("Read as:" in letter.text) is told
    assert ("read as" in letter.html) is told


def test_the_parts_stand_as_the_boxes_do_and_else_as_the_question_names_them() -> None:
    asked = rubric()
    rows = (row(), row(part="direction"))

    def order(one: Rubric) -> bool:
        text = compose(ADA, rows, one).text
        return text.index("Magnitude:") < text.index("Direction:")

    assert order(asked)
    first, *others = asked.problems
    turned = replace(first, question="Give the direction and the magnitude.")
    assert not order(replace(asked, problems=(turned, *others)))
    boxes = (ColumnRule("Q1 a", "problem 1 magnitude"), ColumnRule("Q1 b", "problem 1 direction"))
    assert order(replace(asked, problems=(turned, *others), columns=boxes))
    assert not order(replace(asked, columns=boxes[::-1]))
    assert order(replace(asked, columns=boxes[1:]))


def test_the_same_feedback_is_said_once() -> None:
    letter = compose(ADA, (row(), row(part="direction")), rubric())
    assert letter.text.count("Two angles have this sine.") == 1
    assert "The same as above." in letter.text


def test_totals() -> None:
    assert "3.5 of 4 points\n" in compose(ADA, (row(points=1.5), row(part="direction", points=2.0)), rubric()).text
    thirds = tuple(row(part=part, points=1 / 3, points_possible=1 / 3) for part in ("x", "y", "value"))
    assert "1 of 1 points" in compose(ADA, thirds, rubric()).text
    left = compose(ADA, (row(points=math.nan, verdict="needs a look"),), rubric()).text
    assert "0 of 2 points so far. Still open: 2" in left


def test_every_verdict_and_part_has_its_words() -> None:
    assert set(words()["verdict"]) == set(VERDICTS)
    assert set(words()["part"]) == set(PARTS)
    for verdict in VERDICTS:
        assert words()["verdict"][verdict]["says"] in compose(ADA, (row(verdict=verdict),), rubric()).html


def test_a_problem_from_which_the_student_is_excused_is_neither_judged_nor_answered() -> None:
    told = "You are excused from this problem."
    excused = row("2a", "x", verdict="wrong", points=0.0, points_possible=0.0, feedback=told, decided=EXCUSED)
    letter = compose(ADA, (row(points=1.5), excused), rubric(show_answers=True))
    text, page = both(letter)
    assert "PROBLEM 2a: excused" in text
    assert text.partition("PROBLEM 2a")[2].startswith(
        ": excused The ebb sets through the mouth. – x component: excused You"
    )
    assert "x component : – excused You wrote" in page
    assert page.count("The answer is") == 1  # to problem 1
    for each in (text, page):
        assert told in each
        assert "1.5 of 2 points" in each
        assert "0 of 0" not in each
        assert "has looked" not in each


def test_a_verdict_or_part_of_a_later_version_stands_as_it_is() -> None:
    letter = compose(ADA, (row(part="depth", verdict="excused"),), rubric())
    assert "depth: excused" in letter.text


def test_a_picture_stands_in_its_problem_with_words_for_those_who_do_not_see_it() -> None:
    letter = compose(ADA, some_rows(), rubric(), {"2a": Drawing(b"\x89PNG", "your pull, 62.0 N at 353°")})
    (picture,) = letter.pictures
    assert picture.png == b"\x89PNG"
    assert f'src="cid:{picture.content_id}" alt="Drawing for problem 2a: your pull, 62.0 N at 353°"' in letter.html
    assert letter.html.index("Problem 2a") < letter.html.index("cid:") < letter.html.index("x component")


def test_nothing_is_fetched_and_nothing_runs() -> None:
    letter = compose(ADA, some_rows(), rubric(), {"1": Drawing(b"\x89PNG")})
    page = Page(letter.html)
    assert not re.search(r"https?:|//|url\(|@import|<script|javascript:|\bon\w+=", letter.html)
    assert not {"script", "link", "iframe", "form", "object", "base", "a", "table"} & set(page.tags)
    assert {value for name, value in page.attributes if name == "src"} == {"cid:drawing-1"}
    assert ("name", "color-scheme") in page.attributes
    assert "prefers-color-scheme: dark" in letter.html


HOSTILE = [
    "<script>alert(1)</script>",
    "</p><img src=x onerror=alert(1)>",
    '"><a href="https://example.org">prize</a>',
    "{{ 7*7 }}{% for x in y %}",
    "&lt;b&gt;&#x3c;script&#x3e;",
    "62 N\r\nBcc: pilot@example.org",
    "line\x00\x07\x1b[31m end",
    "\u202eN 0.26\u202c turned",
    "zero\u200bwidth\u200d",
    "--===============0==\r\nContent-Type: text/html",
    "<![CDATA[x]]><!--",
    "]]>'`${7*7}",
    "\ud800 alone",
    "a" * 100_000,
]


@pytest.mark.parametrize("text", HOSTILE, ids=lambda text: repr(text[:24]))
def test_whatever_is_written_is_shown_as_text(text: str) -> None:
    hostile = row(written=text, read_as=text, feedback=text, problem=text, part=text, verdict=text)
    letter = compose(Student("H1", text), (hostile,), rubric(title=text))
    kind = compose(Student("H1", "x"), (row(part="x", verdict="x", problem="x"),), rubric(title="x"))
    assert set(Page(letter.html).tags) == set(Page(kind.html).tags) | {"p"}
    assert {name for name, _ in Page(letter.html).attributes} == {name for name, _ in Page(kind.html).attributes}
    assert "49" not in letter.text.replace("7*7", "")
    for part in (letter.text, letter.html, letter.subject):
        assert not re.search(r"[\x00-\x08\x0b-\x1f\u202a-\u202e\u2066-\u2069\ud800-\udfff]", part)
    assert not re.search(r"[\r\n]", letter.subject)
    assert "\nBcc:" not in letter.text
    assert len(letter.subject) <= 150


def test_a_long_answer_is_cut_short() -> None:
    letter = compose(ADA, (row(written="7" * 5000),), rubric())
    assert "7" * 299 + "…" in letter.text
    assert "7" * 300 not in letter.text


def test_how_it_was_read_is_not_told_of_an_answer_that_the_teacher_decided() -> None:
    """61 / 119 read as 0.5126 is what the decision put right."""
    asked = {"written": "61 / 119", "read_as": "0.5126"}
    assert "0.5126" in compose(ADA, (row(**asked),), rubric()).text
    for each in both(compose(ADA, (row(**asked, points=2.0, decided="Both angles are right."),), rubric())):
        assert "0.5126" not in each
        assert "61 / 119" in each


@pytest.mark.parametrize(
    ("listed", "greeted"),
    [
        ("Nilsson, Ada", "Ada Nilsson"),
        ("de la Cruz, Ana Maria", "Ana Maria de la Cruz"),
        ("Ada Nilsson", "Ada Nilsson"),
        ("Ada Nilsson, Jr.", "Ada Nilsson, Jr."),
        ("Nilsson, Ada, Bo", "Nilsson, Ada, Bo"),
        ("Nilsson,", "Nilsson,"),
    ],
)
def test_a_name_from_a_list_is_turned_round_for_the_greeting(listed: str, greeted: str) -> None:
    for each in both(compose(Student("H001", listed, "", "A"), (row(),), rubric())):
        assert f"Hello {greeted}" in each
