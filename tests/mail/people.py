"""Invented students of the harbour and their marks, for the tests of mail."""

from __future__ import annotations

import math
from pathlib import Path

from grader.mail.definitions import MailAddress, PartRow
from grader.mail.deliver import Message
from grader.marking.definitions import Rubric, Settings, Student
from grader.methods.problem import Problem
from grader.notation.given import GivenVectors

YOU = MailAddress("teacher@example.org", "Ms Vega")


def rubric(
    *, show_answers: bool = False, title: str = "Vectors in the harbour", students: tuple[Student, ...] = ()
) -> Rubric:
    problems = (
        Problem("1", "resultant", GivenVectors(()), question="Two tugs pull a barge."),
        Problem("2a", "components", GivenVectors(()), question="The ebb sets through the mouth."),
    )
    return Rubric(problems, settings=Settings(title=title, show_answers=show_answers), students=students)


def row(problem: str = "1", part: str = "magnitude", **said: object) -> PartRow:
    told: dict[str, object] = {
        "written": "62.0 N",
        "read_as": "62.0 N",
        "expected": "77.8 kN",
        "verdict": "wrong",
        "points": 0.0,
        "points_possible": 2.0,
        "feedback": "Two angles have this sine.",
    }
    return PartRow(problem, part, **(told | said))  # type: ignore[arg-type]


def some_rows() -> tuple[PartRow, ...]:
    """One part of each kind: right, wrong, to look at, decided."""
    return (
        row(written="77.8 kN", read_as="77.8 kN", verdict="right", points=2.0, feedback="Right."),
        row(part="direction", written="81,5°", read_as="81.5°", expected="142.5°"),
        row(
            "2a",
            "x",
            written="no idea",
            read_as="",
            verdict="needs a look",
            points=math.nan,
            feedback="Your teacher will look at this answer.",
        ),
        row(
            "2a",
            "y",
            written="−1.8",
            verdict="wrong",
            points=2.0,
            feedback="Accepted today.",
            decided="Accepted today.",
        ),
    )


MARKS_HEADER = (
    "student_id,name,section,problem,part,written,read_as,expected,verdict,points,points_possible,mistake,"
    "mistake_chance,other_mistakes,feedback,note,decided,attempt,value,method"
)


def marks_text(count: int = 3, feedback: str = "Look at your drawing again.") -> str:
    """A marks file of so many students: H001 and on, in the sections A and B in turn."""
    lines = [MARKS_HEADER]
    for number in range(1, count + 1):
        who = f"H{number:03d},Pilot {number},{'AB'[number % 2 == 0]}"
        lines.append(
            f"{who},1,magnitude,{60 + number}.5 N,{60 + number}.5 N,77.8 kN,wrong,0.0,2.0,obtuse-missed,0.9954,"
            f"reversed,{feedback},read by the tide clerk,,,1.0,parallelogram"
        )
        lines.append(f"{who},1,direction,356°,356°,356°,right,2.0,2.0,,,,Right.,,,,356.0,")
    return "\r\n".join([*lines, ""])


def roster(count: int = 3) -> tuple[Student, ...]:
    return tuple(
        Student(f"H{number:03d}", f"Pilot {number}", f"pilot{number}@example.org", "AB"[number % 2 == 0])
        for number in range(1, count + 1)
    )


def message(number: int) -> Message:
    """A short message to the student of that number."""
    data = f"From: {YOU.spec}\r\nTo: pilot{number}@example.org\r\n\r\n.Your feedback\r\n..and more\r\n".encode()
    return Message(f"H{number:03d}", "fp", f"<{number}@example.org>", MailAddress(f"pilot{number}@example.org"), data)


def write_marks(folder: Path, text: str) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "marks.csv").write_bytes(text.encode("utf-8"))
