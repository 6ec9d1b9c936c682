"""The key against what three textbooks print (published/worked-examples.csv: OpenStax, CC BY 4.0)."""

from __future__ import annotations

import csv
import math
import re
from pathlib import Path

import pytest

from grader.methods.solve import solve_problem
from grader.methods.steps import values_of
from tests.posed import handed_in, posed, ready

ROWS = {row["id"]: row for row in csv.DictReader((Path(__file__).parent / "published" / "worked-examples.csv").open())}

ROUNDED_EARLY = {("P09", "magnitude"), ("P13", "y"), ("P14", "direction")}
MISPRINTED = {("P23", "direction")}
FROM_ROUNDED_PARTS = {("P32", "C")}  # 180° − 37.8° − 43.8°, where 98.32° is exact
"""Printed values that the exact one does not round to."""

_PART = {"angle": "value", "parallel": "x", "perpendicular": "y"}
_AXIS = {"E": 0.0, "N": 90.0, "W": 180.0, "S": 270.0}


def pose(row: dict[str, str], method: str = "either"):
    return posed(
        row["find"],
        row["given"],
        answer_as=row["answer_as"],
        direction_as=row["direction_as"] or "any",
        magnitude_to=row["magnitude_to"] or "3 s.f.",
        direction_to=row["direction_to"] or "1",
        unit=row["unit"],
        method=method,
    )


def printed(row: dict[str, str]) -> list[dict[str, str]]:
    """Part → printed text, for each answer that the book gives (two for P28, none for P30)."""
    answers: list[dict[str, str]] = [{}]
    for piece in row["published"].split(";"):
        name, equals, text = piece.strip().partition("=")
        if name == "or":
            answers.append({})
        elif equals:
            answers[-1][_PART.get(name, name)] = text
    return answers if answers[0] else []


def plain(text: str, form: str) -> float:
    """A printed value as a number, directions in standard position; a reader of its own, for these 34 rows alone."""
    if match := re.fullmatch(r"([\d.]+)° (\w) of (\w)", text):
        return off_axis(match[3], float(match[1]), match[2])
    if match := re.fullmatch(r"(\w) ([\d.]+)° (\w)", text):
        return off_axis(match[1], float(match[2]), match[3])
    number = text.replace("°", "")
    if match := re.fullmatch(r"(-?\d*)√(\d+)(?:/(\d+))?", number):
        return float(match[1] or 1) * math.sqrt(float(match[2])) / float(match[3] or 1)
    if "/" in number:
        above, below = number.split("/")
        return float(above) / float(below)
    return (90.0 - float(number)) % 360 if form == "true bearing" and "°" in text else float(number)


def off_axis(start: str, angle: float, toward: str) -> float:
    return (_AXIS[start] + math.copysign(angle, (_AXIS[toward] - _AXIS[start] + 180) % 360 - 180)) % 360


def place_of(text: str) -> float:
    """The place of the last printed digit; for exact forms a hair."""
    if "√" in text or "/" in text:
        return 1e-9
    digits = re.search(r"[\d.]+", text)
    assert digits is not None
    return 10.0 ** -len(digits[0].partition(".")[2])


def apart(first: float, second: float, part: str) -> float:
    return abs((first - second + 180) % 360 - 180) if part == "direction" else abs(first - second)


def test_all_rows_are_there() -> None:
    assert list(ROWS) == [f"P{n:02}" for n in range(1, 35)]


SOLVABLE = [id_ for id_, row in ROWS.items() if printed(row)]


@pytest.mark.parametrize("id_", SOLVABLE)
def test_every_method_reaches_the_printed_value(id_: str) -> None:
    row = ROWS[id_]
    solved = solve_problem(pose(row))
    methods = (*solved.methods, *([solved.second] if solved.second else []))
    answers = printed(row)
    if solved.second is None:
        answers = answers * len(methods)
    assert len(answers) == len(methods)
    for method, answer in zip(methods, answers):
        values = values_of(method)
        assert set(answer) <= set(values)
        for part, text in answer.items():
            if (id_, part) in ROUNDED_EARLY | MISPRINTED | FROM_ROUNDED_PARTS:
                continue
            # P08 prints two significant figures, and P30 none.
            half = 5.0 if text == "230" else place_of(text) / 2
            assert apart(plain(text, row["direction_as"]), values[part], part) <= half * (1 + 1e-9), method.name


def test_both_methods_were_there_where_both_apply() -> None:
    for id_, row in ROWS.items():
        if row["find"] in ("resultant", "equilibrant", "difference", "heading"):
            names = {method.name for method in solve_problem(pose(row)).methods}
            assert names == {"components", "parallelogram"}, id_


def with_unit(part: str, text: str, row: dict[str, str]) -> str:
    angular = part in ("direction", "A", "B", "C") or row["find"] == "angle between"
    return text if angular or not row["unit"] else f"{text} {row['unit']}"


@pytest.mark.parametrize("method", ["parallelogram", "components"])
@pytest.mark.parametrize("id_", [id_ for id_ in SOLVABLE if id_ != "P28"])
def test_a_printed_answer_handed_in_is_right(id_: str, method: str) -> None:
    row = ROWS[id_]
    (answer,) = printed(row)
    marks = handed_in(ready(pose(row, method)), {part: with_unit(part, text, row) for part, text in answer.items()})
    for part in answer:
        if (id_, part) in ROUNDED_EARLY | FROM_ROUNDED_PARTS:
            continue
        assert marks[part].verdict == ("wrong" if (id_, part) in MISPRINTED else "right"), (part, marks[part])


def test_p28_has_two_triangles() -> None:
    first, second = printed(ROWS["P28"])
    problem = ready(pose(ROWS["P28"]))
    both = {part: f"{first[part]} or {second[part]}" for part in first}
    assert {mark.verdict for mark in handed_in(problem, both).values()} == {"right"}
    turned = {part: f"{second[part]} or {first[part]}" for part in first}
    assert {mark.verdict for mark in handed_in(problem, turned).values()} == {"right"}
    for alone in (first, second):
        marks = handed_in(problem, alone)
        assert {(mark.verdict, mark.mistake) for mark in marks.values()} == {("wrong", "second-triangle-missed")}


def test_p30_has_no_triangle() -> None:
    problem = ready(pose(ROWS["P30"]))
    assert problem.solved.solution.none.startswith("no triangle: sin A = ")
    (mark,) = handed_in(problem, "no triangle").values()
    assert mark.verdict == "right"
    (mark,) = handed_in(problem, "A = 61.0°, C = 5.0°, c = 0.8").values()
    assert (mark.verdict, mark.mistake) == ("wrong", "impossible-triangle-solved")
