"""Each mistake of the catalogue made by hand, with plain arithmetic, once: the engine must name it.

Every case states what a student who makes the mistake writes, worked out from its description alone.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass, field
from typing import Any

import pytest

from grader.marking.prepared import Prepared
from grader.methods.solve import solve_problem
from grader.mistakes.catalogue import known_mistakes
from tests.posed import handed_in, ids_of, posed, ready


def sin(degrees: float) -> float:
    return math.sin(math.radians(degrees))


def cos(degrees: float) -> float:
    return math.cos(math.radians(degrees))


def asin(ratio: float) -> float:
    return math.degrees(math.asin(ratio))


def atan(ratio: float) -> float:
    return math.degrees(math.atan(ratio))


def polar(length: float, degrees: float) -> complex:
    return cmath.rect(length, math.radians(degrees))


def angle(vector: complex) -> float:
    return math.degrees(cmath.phase(vector)) % 360


@dataclass(frozen=True)
class Case:
    mistake: str
    find: str
    given: str
    answer: dict[str, str] | str
    options: dict[str, Any] = field(default_factory=dict)

    def __str__(self) -> str:
        return f"{self.mistake}: {self.answer}"


def newtons(value: float) -> str:
    return f"{value:.2f} N"


def degrees(value: float) -> str:
    return f"{value:.2f}°"


def sized(magnitude: float, direction: float) -> dict[str, str]:
    return {"magnitude": newtons(magnitude), "direction": degrees(direction % 360)}


# Two tugs: a = 45 N at 20°, and b = 30 N at 310°, to the right of a; φ = 70°, R = 62.04 N at 352.97°.
TUGS = "45 N at 20°; 30 N at 310°"
A, B, PHI = 45.0, 30.0, 70.0
R = math.sqrt(A * A + B * B - 2 * A * B * cos(180 - PHI))
THETA = asin(B * sin(180 - PHI) / R)
X, Y = A * cos(20) + B * cos(310), A * sin(20) + B * sin(310)


def tugs(mistake: str, answer: dict[str, str] | str, **options: Any) -> Case:
    return Case(mistake, "resultant", TUGS, answer, {"unit": "N", "direction_as": "standard position", **options})


WRONG_R = math.sqrt(A * A + B * B - 2 * A * B * cos(PHI))
R_WITHOUT_TWO = math.sqrt(A * A + B * B - A * B * cos(180 - PHI))

BY_PARALLELOGRAM = [
    tugs("supplement-not-taken", sized(WRONG_R, 20 - asin(B * sin(PHI) / WRONG_R))),
    tugs("cosine-sign-flipped", sized(WRONG_R, 20 - asin(B * sin(180 - PHI) / WRONG_R))),
    tugs("root-not-taken", sized(R * R, 20 - THETA)),
    tugs("two-dropped", sized(R_WITHOUT_TWO, 20 - asin(B * sin(180 - PHI) / R_WITHOUT_TWO))),
    tugs("cosine-last", {"magnitude": newtons(math.sqrt(abs((A * A + B * B - 2 * A * B) * cos(180 - PHI))))}),
    tugs("right-angle-assumed", sized(math.hypot(A, B), 20 - atan(B / A))),
    tugs("lengths-added", sized(A + B, 20 - THETA)),
    tugs("lengths-subtracted", sized(A - B, 20 - THETA)),
    tugs("inner-angle-only", sized(R, THETA)),
    tugs("turned-wrong-way", sized(R, 20 + THETA)),
    tugs("angle-from-other-force", sized(R, 310 + THETA)),
]

# a = 20 N at 0° and b = 50 N at 150°: θ is obtuse.
BLUNT = math.sqrt(20**2 + 50**2 - 2 * 20 * 50 * cos(30))
BY_PARALLELOGRAM.append(
    Case(
        "obtuse-missed",
        "resultant",
        "20 N at 0°; 50 N at 150°",
        sized(BLUNT, asin(50 * sin(30) / BLUNT)),
        {"unit": "N"},
    )
)

# A drone: 18.5 km at 245°.
DRONE = "18.5 km at 245°"


def drone(mistake: str, x: float, y: float) -> Case:
    return Case(mistake, "components", DRONE, {"x": f"{x:.2f} km", "y": f"{y:.2f} km"}, {"unit": "km"})


# A buoy from its anchor: (−4, 3) m, 5 m at 143.13°.
BUOY = "(-4, 3) m"


def buoy(mistake: str, direction: float) -> Case:
    answer = {"magnitude": "5.00 m", "direction": f"{direction:.2f}°"}
    return Case(mistake, "magnitude and direction", BUOY, answer, {"unit": "m", "direction_as": "standard position"})


IN_RADIANS = A * cmath.rect(1, 20) + B * cmath.rect(1, 310)  # radians
TUGS_IN_GRADIANS = A * cmath.rect(1, 20 * math.pi / 200) + B * cmath.rect(1, 310 * math.pi / 200)
IN_GRADIANS = cmath.rect(18.5, 245 * math.pi / 200)
DIFFERENCE = polar(A, 20) - polar(B, 310)
ONE_AWAY = DIFFERENCE + polar(20, 100)

BY_COMPONENTS = [
    drone("sine-cosine-swapped", 18.5 * sin(245), 18.5 * cos(245)),
    drone("radian-mode", 18.5 * math.cos(245), 18.5 * math.sin(245)),
    tugs(
        "radian-mode",
        sized(abs(IN_RADIANS), math.atan(IN_RADIANS.imag / IN_RADIANS.real) + (180 if IN_RADIANS.real < 0 else 0)),
    ),
    tugs("radian-mode-at-the-end", sized(R, math.atan(Y / X))),
    tugs("radian-mode-at-the-end", {"magnitude": newtons(R), "direction": f"{abs(math.atan(Y / X)):.2f}°"}),
    drone("gradian-mode", IN_GRADIANS.real, IN_GRADIANS.imag),
    # Its inverse tangent shows gradians too: 20.35 for 18.31°.
    tugs("gradian-mode", sized(abs(TUGS_IN_GRADIANS), cmath.phase(TUGS_IN_GRADIANS) * 200 / math.pi)),
    drone("signs-dropped", abs(18.5 * cos(245)), abs(18.5 * sin(245))),
    drone("one-sign-lost", abs(18.5 * cos(245)), 18.5 * sin(245)),
    buoy("calculator-angle-kept", atan(3 / -4)),
    buoy("calculator-angle-kept", atan(3 / -4) + 360),
    buoy("reference-angle-only", abs(atan(3 / -4))),
    buoy("wrong-quadrant", 180 + abs(atan(3 / -4))),
    buoy("tangent-upside-down", atan(-4 / 3) + 180),
    Case(
        "components-swapped",
        "resultant",
        TUGS,
        {"x": newtons(Y), "y": newtons(X)},
        {"unit": "N", "answer_as": "components"},
    ),
    tugs("squares-not-taken", sized(math.sqrt(abs(X) + abs(Y)), 20 - THETA)),
    tugs("squares-not-taken", sized(abs(X) + abs(Y), 20 - THETA)),
    Case(
        "negative-square-lost",
        "magnitude and direction",
        BUOY,
        {"magnitude": f"{math.sqrt(4**2 - 3**2):.2f} m"},
        {"unit": "m"},
    ),
    tugs("one-vector-left-out", sized(A, 20)),
    tugs("one-vector-left-out", sized(B, 310)),
    tugs("subtracted-not-added", sized(abs(DIFFERENCE), angle(DIFFERENCE))),
    # The second of three taken away, the third added.
    Case(
        "subtracted-not-added",
        "resultant",
        f"{TUGS}; 20 N at 100°",
        sized(abs(ONE_AWAY), angle(ONE_AWAY)),
        {"unit": "N", "direction_as": "standard position"},
    ),
    Case("added-not-subtracted", "difference", TUGS, sized(R, 20 - THETA), {"unit": "N"}),
    Case("not-reversed", "equilibrant", TUGS, sized(R, 20 - THETA), {"unit": "N"}),
    tugs("reversed", sized(R, 200 - THETA)),
]

# Cranes: 160 N S 25° W and 200 N N 60° E; standard positions 245° and 30°.
CRANES = "160 N S 25° W; 200 N N 60° E"


def as_bearing(direction: float) -> tuple[str, float, str]:
    """A direction in standard position as (N or S, the angle from there, E or W)."""
    bearing = (90 - direction) % 360
    north, east = bearing < 90 or bearing > 270, bearing < 180
    return ("N" if north else "S"), min(bearing % 180, 180 - bearing % 180), ("E" if east else "W")


def cranes(mistake: str, vector: complex, direction: str = "") -> Case:
    start, off, toward = as_bearing(angle(vector))
    answer = {"magnitude": newtons(abs(vector)), "direction": direction or f"{start} {off:.2f}° {toward}"}
    return Case(mistake, "resultant", CRANES, answer, {"unit": "N", "direction_as": "quadrant bearing"})


PULL = polar(160, 245) + polar(200, 30)
START, OFF, TOWARD = as_bearing(angle(PULL))
OTHER = {"N": "S", "S": "N", "E": "W", "W": "E"}

# A ship of 200 km/h ... by true bearings 140° and 200°, in standard position 310° and 250°.
FERRY = "200 km/h at bearing 140°; 50 km/h at bearing 200°"


def ferry(mistake: str, magnitude: float, direction: float) -> Case:
    answer = {"magnitude": f"{magnitude:.2f} km/h", "direction": f"{direction % 360:06.2f}°"}
    return Case(mistake, "resultant", FERRY, answer, {"unit": "km/h", "direction_as": "true bearing"})


COURSE = polar(200, 310) + polar(50, 250)
UNTURNED = polar(200, 140) + polar(50, 200)

BEARINGS = [
    cranes("bearing-from-wrong-axis", polar(160, 205) + polar(200, 30)),
    cranes("bearing-turned-wrong-way", polar(160, 295) + polar(200, 30)),
    cranes("bearing-turned-wrong-way", polar(160, 245) + polar(200, 330)),
    ferry("bearing-as-standard-angle", abs(UNTURNED), 90 - angle(UNTURNED)),
    cranes("answer-from-wrong-axis", PULL, f"{START} {90 - OFF:.2f}° {TOWARD}"),
    cranes("answer-letters-wrong", PULL, f"{START} {OFF:.2f}° {OTHER[TOWARD]}"),
    cranes("answer-letters-wrong", PULL, f"{OTHER[START]} {OFF:.2f}° {TOWARD}"),
    cranes("letters-left-out", PULL, f"{OFF:.2f}°"),
    ferry("standard-angle-given-as-bearing", abs(COURSE), angle(COURSE)),
]

TRIANGLES = [
    Case("second-triangle-missed", "triangle", "a=12; c=17; A=35°", {"C": degrees(asin(17 * sin(35) / 12))}),
    Case("impossible-triangle-solved", "triangle", "B=119°; b=8.2; a=11.3", "A = 61.0°"),
    Case(
        "sines-upside-down",
        "triangle",
        "A=35°; B=72°; c=20",
        {"C": "73.0°", "a": f"{20 * sin(73) / sin(35):.2f}", "b": f"{20 * sin(73) / sin(72):.2f}"},
    ),
    Case("angles-sum-to-360", "triangle", "A=35°; B=72°; c=20", {"C": degrees(360 - 35 - 72)}),
    # B opposite the longer side is obtuse: the display shows its supplement.
    Case(
        "supplement-not-taken",
        "triangle",
        "c=5; A=30°; b=9",
        {"B": degrees(asin(9 * sin(30) / math.sqrt(106 - 90 * cos(30))))},
    ),
]

# 550 km/h through a wind of 60 km/h from the southwest, to hold a track due north.
FLIGHT = "air speed 550 km/h; wind 60 km/h from SW; track N"
KAPPA = asin(60 * sin(45) / 550)
DRIFTED = polar(550, 90) + polar(60, 45)


def flight(mistake: str, speed: float, direction: str) -> Case:
    answer = {"magnitude": f"{speed:.2f} km/h", "direction": direction}
    return Case(mistake, "heading", FLIGHT, answer, {"unit": "km/h", "direction_as": "quadrant bearing"})


WIND = [
    flight("wind-added", abs(DRIFTED), f"N {90 - angle(DRIFTED):.2f}° E"),
    flight("wind-direction-reversed", 550 * cos(KAPPA) - 60 * cos(45), f"N {KAPPA:.2f}° E"),
    flight("turned-wrong-way", 550 * cos(KAPPA) + 60 * cos(45), f"N {KAPPA:.2f}° E"),
]

# The angle between <−3, 4> and <5, 12>: the product 33, the lengths 5 and 13, the cosine 33/65.
BETWEEN = [
    Case("inverse-not-taken", "angle between", "<-3, 4>; <5, 12>", {"value": f"{33 / 65:.3f}"}),
    Case("dot-product-given", "angle between", "<-3, 4>; <5, 12>", {"value": "33"}),
    # A tug's pull along the quay: 42 · 8.5 · cos 53°.
    Case("cosine-left-out", "dot product", "42 N at 15°; 8.5 m at 68°", {"value": "357.0"}),
    Case("angles-added", "dot product", "42 N at 15°; 8.5 m at 68°", {"value": f"{42 * 8.5 * cos(15 + 68):.1f}"}),
]

SLIPS = [
    tugs("digits-switched", {"magnitude": "26.04 N", "direction": "352.97°"}),
    tugs("decimal-point-moved", {"magnitude": "620.4 N", "direction": "352.97°"}),
    tugs("digit-changed", {"magnitude": "82.04 N", "direction": "352.97°"}),
    tugs("parts-interchanged", {"magnitude": "352.97", "direction": "62.04"}),
    tugs("minutes-as-decimals", {"magnitude": "62.04 N", "direction": "352.58°"}),  # 352° 58′
    # −11.13 and −14.77: the last digit cut.
    Case("cut-off", "components", "18.5 km at 233°", {"x": "-11.1 km", "y": "-14.7 km"}, {"unit": "km"}),
    Case(
        "given-copied",
        "heading",
        "air speed 42 km/h; wind 13 km/h from NW; track 080°",
        {"magnitude": "42 km/h", "direction": "080°"},
        {"unit": "km/h", "direction_as": "true bearing"},
    ),
    tugs("wrong-unit", {"magnitude": "62.0 kN", "direction": "352.97°"}),
    Case("sign-lost", "components", DRONE, {"x": "7.82 km", "y": "-16.77 km"}, {"unit": "km"}),
    Case(
        "unit-not-converted",
        "resultant",
        "2 kN E; 450 lbf N",
        sized(math.hypot(2000, 450), atan(450 / 2000)),
        {"unit": "N"},
    ),
]

CASES = [*BY_PARALLELOGRAM, *BY_COMPONENTS, *BEARINGS, *TRIANGLES, *BETWEEN, *WIND, *SLIPS]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_the_mistake_made_by_hand_is_named(case: Case) -> None:
    """In every part that is wrong. Its equals are named with it; a mistake that leads to nearly the same may come first."""
    marks = handed_in(ready(posed(case.find, case.given, **case.options)), case.answer)
    wrong = [mark for mark in marks.values() if mark.verdict == "wrong"]
    assert wrong
    for mark in wrong:
        assert case.mistake in ids_of(mark), mark


def test_an_answer_to_another_problem_is_seen() -> None:
    problem = posed("resultant", TUGS, unit="N", label="1")
    other = solve_problem(posed("resultant", CRANES, unit="N", label="2"))
    prepared = Prepared(solve_problem(problem), siblings=(other,))
    marks = handed_in(prepared, sized(abs(PULL), angle(PULL)))
    assert {mark.mistake for mark in marks.values()} == {"other-problem"}


def test_every_mistake_of_the_catalogue_was_made() -> None:
    assert {case.mistake for case in CASES} | {"other-problem"} == set(known_mistakes())


def test_the_right_answers_were_right() -> None:
    """The numbers that the wrong ones start from, against the printed ones: 62.04 N at 352.97°, (61.57, −7.59)."""
    assert (round(R, 2), round((20 - THETA) % 360, 2), round(X, 2), round(Y, 2)) == (62.04, 352.97, 61.57, -7.59)
    for find, given_text, options, answer in [
        ("resultant", TUGS, {"unit": "N"}, sized(R, 20 - THETA)),
        ("resultant", CRANES, {"unit": "N", "direction_as": "quadrant bearing"}, cranes("", PULL).answer),
        (
            "resultant",
            FERRY,
            {"unit": "km/h", "direction_as": "true bearing"},
            ferry("", abs(COURSE), 90 - angle(COURSE)).answer,
        ),
        ("heading", FLIGHT, {"unit": "km/h", "direction_as": "quadrant bearing"}, {"direction": f"N {KAPPA:.2f}° W"}),
    ]:
        marks = handed_in(ready(posed(find, given_text, **options)), answer)
        assert {marks[part].verdict for part in answer} == {"right"}, given_text
