"""What stands around an answer: remarks that say nothing of it, and phrases that take it away.

The files in phrases/ have one phrase a line, X for the answer; adding a line adds a test. The laws:
a remark never changes what is read, and around a plain answer it is passed over; an estranging phrase never leaves the answer
standing as if it were not there; and of two values with a joint of phrases/joints.txt between them, X and Y, none is read alone.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from grader.notation.pieces import words
from grader.notation.read import read
from grader.notation.readings import BoxKind
from grader.notation.tables import load_table
from grader.notation.units import simple_unit
from tests.notation.expectations import described

PHRASES = Path(__file__).parent / "phrases"

ANSWERS: dict[BoxKind, tuple[str, ...]] = {
    "quantity": ("62.0 N", "67 kN", "R = 62.0 N", "45.3", "the resultant is 12.7 kn"),
    "angle": ("55.6°", "55.6 degrees", "angle = 66.1 deg", "66"),
    "direction": ("353°", "S 83° E", "bearing 097", "7° south of east", "49.4 degrees", "theta = 91.7", "NW"),
    "polar": ("62.0 N at 353°", "12.7 kn, N 49.6° E", "R = 5.2 km, bearing 311"),
    "components": ("<61.6, -7.6>", "x = -7.2, y = -17.0", "61.6i - 7.6j N"),
    "triangle": ("B = 55.3°, C = 87.7°, c = 86.3 m", "c = 86.3 m"),
}
PLAIN: tuple[BoxKind, ...] = ("quantity", "direction")
"""Kinds of box in which the first answer has to be read whatever remark stands beside it."""


def phrases(name: str) -> list[str]:
    lines = (PHRASES / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    return [line.replace("\\n", "\n") for line in lines if line and not line.startswith("#")]


def senses(text: str, box: BoxKind) -> list[Any]:
    return [described(sense.meaning) for sense in read(text, box).senses]


@pytest.mark.parametrize("phrase", phrases("remarks"))
def test_a_remark_changes_nothing(phrase: str) -> None:
    for box, answers in ANSWERS.items():
        for place, answer in enumerate(answers):
            (meant,) = senses(answer, box)
            found = senses(phrase.replace("X", answer), box)
            assert not found or meant in found, (box, answer)
            if box in PLAIN and not place:
                assert found[:1] == [meant], (box, answer)


@pytest.mark.parametrize("phrase", phrases("estranging"))
def test_an_estranging_phrase_is_not_passed_over(phrase: str) -> None:
    for box, answers in ANSWERS.items():
        for answer in answers:
            assert senses(phrase.replace("X", answer), box) != senses(answer, box), (box, answer)


PAIRS: dict[BoxKind, tuple[tuple[str, str], ...]] = {
    "quantity": (("62.0 N", "40 N"), ("62.0 N", "40"), ("62.0 N", "40°"), ("62.0 N", "40 m"), ("62.0", "40")),
    "direction": (("353°", "40°"), ("353°", "12 N"), ("S 83° E", "N 40° E"), ("S 83° E", "40"), ("bearing 097", "40°")),
    "angle": (("55.6°", "40°"), ("55.6°", "12 N"), ("55.6", "40")),
    "polar": (("62.0 N at 353°", "40 N at 20°"), ("62.0 N at 353°", "40 N"), ("62.0 N at 353°", "40°")),
    "components": (("<61.6, -7.6>", "<3, 4>"), ("x = -7.2, y = -17.0", "40"), ("<61.6, -7.6>", "40 N")),
}


@pytest.mark.parametrize("phrase", phrases("joints"))
def test_of_two_values_none_is_lost(phrase: str) -> None:
    for box, pairs in PAIRS.items():
        for one, other in pairs:
            found = senses(phrase.replace("X", one).replace("Y", other), box)
            assert found not in (senses(one, box), senses(other, box)), (box, one, other)


MEANT_OTHERWISE = frozenset(("fr", "ty", "of", "hour", "while", "makes", "going"))
"""Idle words that name a part, a unit or a joint elsewhere: behind a value and its unit, and before them, they do not."""


def test_no_idle_word_means_something() -> None:
    idle, telling = load_table("idle.toml"), load_table("words.toml")["telling"]["words"]
    for word in idle["words"]:
        assert word not in words().operators, word
        kind = words().kinds.get(word, ("", ""))[0]
        assert word in MEANT_OTHERWISE or (kind == "" and simple_unit(word) is None), word
    shared = set(idle["words"]).intersection(telling)
    assert not shared, shared
    assert set(idle["only_behind"]).union(idle["never_alone"]) <= {*idle["words"], *idle["joining"]}
