"""One student's letter: what they wrote, how it was read, what it earned and what to do. A pure function of values."""

from __future__ import annotations

import math
import tomllib
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from grader.mail.definitions import Drawing, Letter, PartRow, Picture
from grader.mail.order import boxes_of, in_order
from grader.marking.definitions import Rubric, Student
from grader.marking.feedback import phrases
from grader.methods.part_names import names_of_parts
from grader.reports.words import NEEDS_A_LOOK, VERDICT_SIGNS, amount, as_spoken, one_line

if TYPE_CHECKING:
    from jinja2 import Environment

_LONGEST_ANSWER = 300  # signs of an answer that are repeated to its writer
_LONGEST_SUBJECT = 150
_MINUS = str.maketrans(dict.fromkeys("−–‐‑", "-"))
_SAID_BY_THE_VERDICT = ("right", "blank", "needs-a-look")  # sentences that only repeat the word beside them


@dataclass(frozen=True, slots=True)
class _Part:
    """A part as the templates show it."""

    name: str
    sign: str
    verdict: str
    tone: str
    points: str
    written: str
    read_as: str
    feedback: str


@dataclass(frozen=True, slots=True)
class _Problem:
    """A problem as the templates show it."""

    label: str
    question: str
    score: str
    parts: tuple[_Part, ...]
    picture: Picture | None


def compose(
    student: Student, rows: Sequence[PartRow], rubric: Rubric, pictures: Mapping[str, Drawing] | None = None
) -> Letter:
    """The letter to one student about their own rows.

    ``pictures`` maps labels of problems to PNG drawings, which stand inside the message; whoever draws them keeps back
    what the setting ``show answers`` keeps back here. Chances, other mistakes and notes for the teacher are never told.
    """
    said, title = words()["said"], one_line(rubric.settings.title)
    told, boxes = as_told(rows, rubric), boxes_of(rubric)
    problems = tuple(
        _problem(
            number,
            label,
            in_order([row for row in told if row.problem == label], rubric, boxes),
            rubric,
            (pictures or {}).get(label),
        )
        for number, label in enumerate(dict.fromkeys(row.problem for row in told), start=1)
    )
    content = {
        "title": title or said["untitled"].capitalize(),
        "name": as_spoken(one_line(student.name)),
        "total": _total(told),
        "problems": problems,
        "caution": said["caution"],
        "private": said["private"],
    }
    return Letter(
        student_id=student.student_id,
        # An encoded word (RFC 2047) that stands in a title would be decoded on its way, whatever it holds.
        subject=said["subject"].format(title=title or said["untitled"]).replace("=?", "= ?")[:_LONGEST_SUBJECT],
        text=_templates().get_template("message.txt").render(content),
        html=_templates().get_template("message.html").render(content),
        pictures=tuple(problem.picture for problem in problems if problem.picture),
    )


def as_told(rows: Sequence[PartRow], rubric: Rubric) -> tuple[PartRow, ...]:
    """The rows with what a student may know alone: the right answer only where the setting ``show answers`` says so."""
    return tuple(
        replace(
            row,
            feedback=_feedback(row, rubric),
            expected=row.expected if rubric.settings.show_answers and not row.excused else "",
        )
        for row in rows
    )


@lru_cache(maxsize=1)
def words() -> dict[str, Any]:
    """The words of a letter (data/words.toml)."""
    return tomllib.loads(files("grader.mail").joinpath("data/words.toml").read_text(encoding="utf-8"))


def _feedback(row: PartRow, rubric: Rubric) -> str:
    feedback = row.feedback
    earned_by_decision = bool(row.decided) and row.points >= row.points_possible
    if row.excused:
        return feedback
    answer = phrases()["answer"].format(answer=row.expected)
    if not rubric.settings.show_answers:
        feedback = feedback.replace(answer, "").replace("  ", " ").strip()
    elif (
        row.expected
        and row.verdict not in ("right", NEEDS_A_LOOK)
        and not earned_by_decision
        and answer not in feedback
    ):
        feedback = f"{feedback} {answer}"
    return feedback


def _problem(number: int, label: str, rows: Sequence[PartRow], rubric: Rubric, drawing: Drawing | None) -> _Problem:
    own = names_of_parts(rubric.problems)
    questions = {problem.label: problem.question or problem.given_text for problem in rubric.problems}
    alt = words()["said"]["alt"].format(problem=one_line(label))
    if drawing is not None and drawing.says:
        alt = f"{alt}: {one_line(drawing.says)}"
    return _Problem(
        label=one_line(label),
        question=one_line(questions.get(label, "")),
        score=_score(rows),
        parts=tuple(_part(row, before, own.get((row.problem, row.part))) for before, row in zip((None, *rows), rows)),
        picture=Picture(f"drawing-{number}", drawing.png, alt) if drawing else None,
    )


def _part(row: PartRow, before: PartRow | None, name: str | None) -> _Part:
    table = words()
    feedback = one_line(row.feedback)
    if row.feedback in {phrases()[phrase] for phrase in _SAID_BY_THE_VERDICT}:
        feedback = ""
    elif feedback and before is not None and row.feedback == before.feedback:
        feedback = table["said"]["same"]
    look = table["verdict"].get(row.verdict, {"says": one_line(row.verdict), "tone": "open"})
    says, tone, sign = look["says"], look["tone"], VERDICT_SIGNS.get(row.verdict, "·")
    points = table["said"]["points"].format(
        points="?" if row.open else amount(row.points), possible=amount(row.points_possible)
    )
    if row.excused:
        says, tone, sign, points = table["said"]["excused"], "open", "–", ""
    elif row.decided and not row.open:
        says = table["said"]["decided"]
        share = row.points / row.points_possible if row.points_possible else 1.0
        tone, sign = ("good", "✓") if share >= 1 else ("nearly", "≈") if share > 0 else ("off", "✗")
    return _Part(
        name=name or table["part"].get(row.part, one_line(row.part)),
        sign=sign,
        verdict=says,
        tone=tone,
        points=points,
        written=_shortened(row.written),
        # Where the teacher decided, how the program read the answer no longer counts, and may be what it got wrong.
        read_as="" if row.decided or _bare(row.read_as) == _bare(row.written) else _shortened(row.read_as),
        feedback=feedback,
    )


def _bare(text: str) -> str:
    """An answer without what says nothing else when it is left out or written otherwise: spaces, widths, kinds of minus."""
    signs = unicodedata.normalize("NFKC", text.replace("º", "°").replace("˚", "°")).translate(_MINUS)
    return "".join(signs.split()).casefold()


def _shortened(text: str) -> str:
    line = one_line(text)
    return line if len(line) <= _LONGEST_ANSWER else line[: _LONGEST_ANSWER - 1] + "…"


def _score(rows: Sequence[PartRow]) -> str:
    if all(row.excused for row in rows):
        return str(words()["said"]["excused"])
    points = "?" if any(row.open for row in rows) else amount(math.fsum(row.points for row in rows))
    possible = amount(math.fsum(row.points_possible for row in rows))
    return str(words()["said"]["score"].format(points=points, possible=possible))


def _total(rows: Sequence[PartRow]) -> str:
    still_open = [row.points_possible for row in rows if row.open]
    points = amount(math.fsum(row.points for row in rows if not row.open))
    possible = amount(math.fsum(row.points_possible for row in rows))
    said = words()["said"]["so_far" if still_open else "score"]
    return str(said.format(points=points, possible=possible, open=amount(math.fsum(still_open))))


@lru_cache(maxsize=1)
def _templates() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("grader.mail", "templates"),
        autoescape=lambda name: name is not None and name.endswith(".html"),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
