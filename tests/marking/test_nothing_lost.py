"""No number that a student states is lost in silence: it goes to a part, or the answer is looked at with a note.

The texts put stated values side by side as people do: with names or without, with working before them, with remarks.
"""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.marking.judge import PartMark
from grader.marking.prepared import Prepared
from tests.posed import handed_in, posed, ready

FORCES = ready(posed("resultant", "36.0 kN at 72°; 51.0 kN at 195°", unit="kN", direction_to="1"))
HEADING = ready(
    posed(
        "heading",
        "air speed 42 km/h; wind 13 km/h from NW; track 080°",
        unit="km/h",
        direction_to="1",
        direction_as="true bearing",
    )
)
DIFFERENCE = ready(
    posed("difference", "9.4 m/s at 40°; 6.5 m/s at 155°", answer_as="components", magnitude_to="0.01", unit="m/s")
)
TWO = ready(posed("triangle", "a=18; b=24; A=42°", unit="m"))

NUMBERS = st.integers(110, 990).map(lambda tenths: f"{tenths / 10:.1f}")
NAMES = st.sampled_from(
    ["", "", "", "R = ", "θ = ", "x = ", "y=", "h=", "v = ", "m=", "d = ", "magnitude ", "direction: ", "α = ", "east="]
)
UNITS = st.sampled_from(["", " kN", "°", " kN", "°", " m", " N"])
STEPS = st.sampled_from(["", "", "", "+"])
JOINTS = st.sampled_from([", ", "; ", " ", " at ", " and ", "\n", " so ", " or ", " = "])


@st.composite
def stated_values(draw: st.DrawFn) -> tuple[str, list[str]]:
    """A text, and the numbers that it states as results."""
    text, numbers = "", draw(st.lists(NUMBERS, min_size=2, max_size=4, unique=True))
    for index, number in enumerate(numbers):
        working = ""
        if draw(STEPS):
            first = float(number) / 3
            working = f"{first:.2f}+{float(number) - round(first, 2):.2f} = "
        text += (draw(JOINTS) if index else "") + draw(NAMES) + working + number + draw(UNITS)
    if draw(st.booleans()) and draw(st.booleans()):
        text += f" (tan^-1({numbers[0]}/7) = 12.3)"
    return text, numbers


def _taken(mark: PartMark) -> set[float]:
    return {abs(float(found)) for found in re.findall(r"\d+(?:\.\d+)?", mark.read_as)}


@settings(max_examples=1200, deadline=None)
@given(stated_values(), st.sampled_from([FORCES, DIFFERENCE, TWO]))
def test_every_stated_number_is_taken_or_looked_at(stated: tuple[str, list[str]], prepared: Prepared) -> None:
    text, numbers = stated
    marks = handed_in(prepared, text)
    taken = set().union(*map(_taken, marks.values()))
    lost = [number for number in numbers if not any(math.isclose(float(number), one, abs_tol=1e-6) for one in taken)]
    for mark in marks.values():
        if mark.verdict == "needs a look":
            assert mark.note
        elif lost:
            assert mark.verdict != "blank", (text, lost)
            assert mark.note, (text, lost)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("43.6 kN, 180-28.9 = 151°", ("right", "right")),
        ("43.6 kN at 180-28.9=151°", ("right", "right")),
        ("m=43.6 kN d=151°", ("right", "right")),
        ("Rx=-38.1, Ry=21.0, R=43.6 kN, θ=151°", ("right", "right")),
        ("43.6 kN, 151° (tan^-1(21.0/38.1)=28.9)", ("right", "right")),
        ("36+51 = 87 kN", ("wrong", "blank")),  # the steps to a number are accounted for by it
        ("36²+51²=3897, √3897=62.4 kN", ("wrong", "blank")),
        ("R² = 1897 so R = 43.6 kN", ("right", "blank")),
        ("43.6 kN", ("right", "blank")),
        ("R = 62 kN so 43.6 kN", ("needs a look", "needs a look")),
        ("151° = 43.6 kN", ("needs a look", "needs a look")),
        ("43.6 kN or 151°", ("needs a look", "needs a look")),
        ("x: -38.1; y: 21.0; so 43.6 kN", ("needs a look", "needs a look")),
        ("θ = 28.9°, 180-28.9 = 151°, R = 43.6 kN", ("needs a look", "needs a look")),
        ("R = 51 kN = 43.6 kN, 151°", ("needs a look", "needs a look")),
    ],
)
def test_a_vector_in_one_box(text: str, expected: tuple[str, str]) -> None:
    found = handed_in(FORCES, text)
    assert tuple(mark.verdict for mark in found.values()) == expected
    assert all(mark.note for mark in found.values() if mark.verdict == "needs a look")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("h=65° v=48.1", ("right, other form", "right")),  # the unit is missing
        ("heading=065 v=48.1 km/h", ("right", "right")),
        ("HDG 065 GS 48.1", ("right, other form", "right")),
        ("θ=65° v=48.1 km/h", ("right", "right")),
        ("steer 065°, speed 48.1 km/h", ("right", "right")),
        ("h=80-14.7=65.3° v=40.6+7.5=48.1 km/h", ("right", "right")),
        ("v=48.1 km/h w=13 km/h h=065", ("needs a look", "needs a look")),  # two speeds
    ],
)
def test_letters_name_heading_and_speed(text: str, expected: tuple[str, str]) -> None:
    found = handed_in(HEADING, text)
    assert (found["magnitude"].verdict, found["direction"].verdict) == expected


def test_a_ground_speed_in_its_own_box() -> None:
    found = handed_in(HEADING, {"direction": "heading 065°", "magnitude": "GS 48.1 km/h"})
    assert {mark.verdict for mark in found.values()} == {"right"}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("east=13.09 m/s north=3.30 m/s", ("right", "right")),
        ("u-v = <13.09, 3.30> m/s", ("right", "right")),
        ("x=13.09 m/s to the right, y=3.30 m/s up", ("right", "right")),
        ("13.09E 3.30N", ("right, other form", "right, other form")),
        ("13.09 / 3.30 m/s", ("needs a look", "needs a look")),  # no quotient
        ("9.4-6.5=2.9 m/s", ("wrong", "blank")),
    ],
)
def test_components_in_one_box(text: str, expected: tuple[str, str]) -> None:
    assert tuple(mark.verdict for mark in handed_in(DIFFERENCE, text).values()) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("B = 63.1° or B = 116.9°; C = 74.9° or C = 21.1°; c = 26.0 m or c = 9.7 m", ("right",) * 3),
        ("c = 26.0 m or c = 9.7 m; B = 63.1° or 116.9°; C = 74.9° or 21.1°", ("right",) * 3),
        ("B = 63.1° or B = 116.9°", ("blank", "right", "blank")),
        ("c = 26.0 m or 9.7 m", ("right", "blank", "blank")),
        ("B = 63.1° or B = 116.9°; C = 74.9°; c = 26.0 m", ("needs a look",) * 3),
        ("63.1°", ("needs a look",) * 3),  # which angle is not said
        ("two triangles. B 63.1, C 74.9, c 26.0 m. B 116.9, C 21.1, c 9.7 m", ("right",) * 3),
    ],
)
def test_two_triangles_in_one_box(text: str, expected: tuple[str, ...]) -> None:
    found = handed_in(TWO, text)
    assert tuple(found[part].verdict for part in ("c", "B", "C")) == expected
    assert not any("read the words" in mark.feedback for mark in found.values())


def test_a_product_with_raised_points_is_no_decimal() -> None:
    found = handed_in(FORCES, {"magnitude": "√(36²+51²-2·36·51·cos57)=43.6 kN", "direction": "151°"})["magnitude"]
    assert (found.verdict, found.feedback) == ("right", "Right.")
    assert handed_in(FORCES, {"magnitude": "43·6 kN", "direction": "151°"})["magnitude"].verdict == "needs a look"
