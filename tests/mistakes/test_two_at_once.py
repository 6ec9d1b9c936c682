"""Two mistakes in one answer, and causes that its numbers cannot tell apart: each worked by hand with plain arithmetic."""

from __future__ import annotations

import math

import pytest

from grader.marking.collect import collect
from grader.marking.judge import PartMark
from grader.marking.slips import Judge, slips
from grader.notation.readings import POINT
from tests.posed import handed_in, posed, ready


def rows(find: str, given: str, answer: dict[str, str], **options: object) -> dict[str, PartMark]:
    return handed_in(ready(posed(find, given, **options)), answer)  # type: ignore[arg-type]


def names(mark: PartMark) -> set[str]:
    """The mistakes of the first cause."""
    return {id_ for name in mark.mistake.split(" / ") for id_ in name.split(" + ")}


# A drone flies 52 km S 34° W: x = −52 sin 34° = −29.08, y = −52 cos 34° = −43.11.
FLIGHT = {"find": "components", "given": "52 km S 34° W", "unit": "km"}


def km(value: float) -> str:
    return f"{value:.1f} km"


def test_a_bearing_by_its_own_angle_in_radians() -> None:
    """Who resolves S 34° W by the picture keys sin 34 and cos 34; in radians those are not the sines of 236°."""
    marks = rows(**FLIGHT, answer={"x": km(-52 * math.sin(34)), "y": km(-52 * math.cos(34))})
    assert names(marks["x"]) == {"radian-mode"} == names(marks["y"])


@pytest.mark.parametrize(
    ("x", "y", "second"),
    [
        (-52 * math.sin(56), -52 * math.cos(56), "bearing-from-wrong-axis"),  # W 34° S is S 56° W
        (-52 * math.sin(34), +52 * math.cos(34), "bearing-turned-wrong-way"),  # N 34° W
    ],
)
def test_a_misread_bearing_by_its_own_angle_in_radians(x: float, y: float, second: str) -> None:
    marks = rows(**FLIGHT, answer={"x": km(x), "y": km(y)})
    assert {"radian-mode", second} <= names(marks["x"])


def test_gradians_for_the_inverse_tangent_alone() -> None:
    """30 N at 20° and 25 N at 75°: the sums are right, tan⁻¹ shows gradians, and 180 has nothing to do in the first quadrant."""
    x = 30 * math.cos(math.radians(20)) + 25 * math.cos(math.radians(75))
    y = 30 * math.sin(math.radians(20)) + 25 * math.sin(math.radians(75))
    shown = math.degrees(math.atan(y / x)) / 0.9
    marks = rows(
        "resultant",
        "30 N at 20°; 25 N at 75°",
        {"magnitude": f"{math.hypot(x, y):.1f} N", "direction": f"{shown:.2f}°"},
        unit="N",
    )
    assert marks["magnitude"].verdict == "right"
    assert "gradian-mode" in names(marks["direction"])


def test_a_cause_that_shows_in_letters_alone_hides_no_other() -> None:
    """S 21° W and N 50° W, 9.6 and 7.4 km: the angle θ between the first and the sum is written as the direction and turned
    round. In letters θ + 180° could be θ put into the right quadrant; as a bare angle it cannot."""
    a, b, alpha, beta = 9.6, 7.4, 249.0, 140.0
    x = a * math.cos(math.radians(alpha)) + b * math.cos(math.radians(beta))
    y = a * math.sin(math.radians(alpha)) + b * math.sin(math.radians(beta))
    theta = alpha - math.degrees(math.atan2(y, x)) % 360
    marks = rows(
        "resultant",
        "9.6 km S 21° W; 7.4 km N 50° W",
        {"magnitude": f"{math.hypot(x, y):.2f} km", "direction": f"{theta + 180:.2f}°"},
        unit="km",
        magnitude_to="0.01",
    )
    assert names(marks["direction"]) == {"inner-angle-only", "reversed"}


def test_the_mistake_that_doubtful_pairs_share_is_named() -> None:
    """38.5 kN at 12° and 26.0 kN at 331°: the lengths added, and then an angle that three further mistakes give."""
    sine = 26.0 * math.sin(math.radians(139)) / 64.5
    marks = rows(
        "resultant",
        "38.5 kN at 12°; 26.0 kN at 331°",
        {"magnitude": "64.5 kN", "direction": f"{12 - math.asin(sine):.1f}°"},
        unit="kN",
    )
    assert marks["magnitude"].mistake == "lengths-added"
    assert "lengths-added + radian-mode-at-the-end" in marks["magnitude"].other_mistakes


def test_a_lost_sign_is_one_cause_with_the_mistake_that_turns_it_round() -> None:
    """46 N S 63° W has x = −40.99; written without its sign, it may be S 63° E as well."""
    marks = rows("components", "46 N S 63° W", {"x": "40.99 N", "y": "-20.88 N"}, unit="N")
    assert marks["x"].mistake_chance > 0.9
    assert {"sign-lost", "bearing-turned-wrong-way"} <= names(marks["x"])


@pytest.mark.parametrize(("given", "x", "ways"), [("46 N at 153°", "40.99 N", 1), ("46 N at 27°", "-40.99 N", 4)])
def test_an_added_sign_is_rarer_than_a_lost_one(given: str, x: str, ways: int) -> None:
    prepared = ready(posed("components", given, unit="N"))
    options = {
        part: entry.options[0] for part, entry in collect(prepared.solved, (("x", x),), POINT).items() if entry.text
    }
    found = [
        slip
        for slip in slips(Judge(prepared.solved, dropped_zeros=True), options, frozenset({"x"}), ())
        if slip.mistake == "sign-lost"
    ]
    assert [slip.ways for slip in found] == [ways]


def test_two_mistakes_with_a_length_that_goes_on_as_it_is_written() -> None:
    """19 kN at 72° and 33 kN at 164°: 92° for 88° and the factor 2 dropped give R = 38.37; with 38.4 in the law of sines the
    angle moves by nearly a tenth, and the answer by one in its last digit."""
    a, b, phi = 19.0, 33.0, 92.0
    length = math.sqrt(a * a + b * b - a * b * math.cos(math.radians(phi)))
    exact, carried = (
        72 + math.degrees(math.asin(b * math.sin(math.radians(phi)) / r)) for r in (length, round(length, 1))
    )
    assert f"{exact:.1f}" != f"{carried:.1f}"
    marks = rows(
        "resultant",
        "19 kN at 72°; 33 kN at 164°",
        {"magnitude": f"{length:.1f} kN", "direction": f"{carried:.1f}°"},
        unit="kN",
        method="parallelogram",
    )
    assert {"supplement-not-taken", "two-dropped"} == names(marks["magnitude"])


def test_a_converted_size_is_rounded_early_too() -> None:
    """5.4 km/h is 1.5 m/s, and 2 for who keeps whole numbers: x = 2 cos(−27°) = 1.78, kept as 2."""
    marks = rows(
        "components", "5.4 km/h at bearing 117°", {"x": "2.00 m/s", "y": "-1.00 m/s"}, unit="m/s", magnitude_to="0.01"
    )
    assert {mark.verdict for mark in marks.values()} == {"rounded early"}


def test_a_later_part_follows_from_the_one_that_it_is_worked_from() -> None:
    """a = 21, b = 37, C = 121° with c = 60.0 and A = 25.0° wrong each for itself: B = 180° − C − A comes from A, not from c."""
    marks = rows("triangle", "a=21; b=37; C=121°", {"c": "60.0", "A": "25.0°", "B": "34.0°"})
    assert marks["B"].verdict == "follows on"
    assert "from your A" in marks["B"].feedback


def test_a_wrong_unit_is_named_beside_another_mistake() -> None:
    """52 km at 236°: x = −29.08, y = −43.11."""
    marks = rows("components", "52 km at 236°", {"x": "-29.1 kg", "y": "43.1 km"}, unit="km")
    assert marks["x"].mistake == "wrong-unit"
    assert "sign-lost" in names(marks["y"])


def test_a_slip_in_the_second_triangle() -> None:
    """a = 7, b = 9, A = 40°: the second triangle has B = 124.27°, C = 15.73°, c = 2.95; two digits of 124.3 are switched."""
    marks = rows(
        "triangle", "a=7; b=9; A=40°", {"c": "3.0", "B": "142.3°", "C": "15.7°"}, magnitude_to="0.1", direction_to="0.1"
    )
    assert marks["B"].mistake == "digits-switched"


def test_the_line_shown_is_the_one_that_came_out_otherwise() -> None:
    """30 N at 20° and 25 N at 105°: x₂ taken as positive. The first component was right all along."""
    x = 30 * math.cos(math.radians(20)) - 25 * math.cos(math.radians(105))
    y = 30 * math.sin(math.radians(20)) + 25 * math.sin(math.radians(105))
    marks = rows(
        "resultant",
        "30 N at 20°; 25 N at 105°",
        {"magnitude": f"{math.hypot(x, y):.1f} N", "direction": f"{math.degrees(math.atan2(y, x)):.1f}°"},
        unit="N",
        method="components",
    )
    assert marks["magnitude"].line.startswith("x₂ = ")


@pytest.mark.parametrize("text", ["100 N", "500 N"])
def test_a_coarse_number_is_no_evidence(text: str) -> None:
    """385 N and 260 N: their difference is 125, which nobody calls 100."""
    marks = rows("resultant", "385 N at 12°; 260 N at 331°", {"magnitude": text}, unit="N")
    assert marks["magnitude"].mistake == ""


def test_a_coarse_number_that_the_same_mistake_leads_to_is_no_rounding() -> None:
    """85 lb N 25° E and 60 lb S 70° E make 108.4 lb on 059°; N 65° E and S 20° E, from the wrong axes, 99.7 lb on 102°."""
    options = {"unit": "lb", "direction_as": "true bearing", "magnitude_to": "1", "direction_to": "1"}
    given = "85 lb N 25° E; 60 lb S 70° E"
    both = rows("resultant", given, {"magnitude": "100 lb", "direction": "102°"}, **options)
    assert {mark.verdict for mark in both.values()} == {"wrong"}
    assert {mark.mistake for mark in both.values()} == {"bearing-from-wrong-axis"}
    alone = rows("resultant", given, {"magnitude": "100 lb", "direction": "059°"}, **options)
    assert [mark.verdict for mark in alone.values()] == ["rounded too far", "right"]


def test_digits_switched_in_another_unit_of_the_same_kind() -> None:
    """45 N and 30 N make 62.04 N, 13.95 lbf; its first two digits are switched."""
    marks = rows("resultant", "45 N at 20°; 30 N at 310°", {"magnitude": "31.95 lbf", "direction": "353.0°"}, unit="N")
    assert marks["magnitude"].mistake == "digits-switched"
