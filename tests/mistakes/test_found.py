"""Wrong answers whose cause the diagnosis does not yet see, and wrong parts that vouch for each other."""

from __future__ import annotations

from tests.posed import handed_in, ids_of, posed, ready

TUGS = ("resultant", "45 N at 20°; 30 N at 310°")


def test_three_wrong_angles_do_not_follow_on_from_each_other() -> None:
    """A calculator in radians gives A = 0.32 and C = 2.22 for 18.4° and 127.2°, and B = 180° − A − C. One of them is where
    the error lies, and earns nothing."""
    marks = handed_in(ready(posed("triangle", "a=9.0; b=16.1; c=22.7")), {"A": "0.32°", "B": "177.46°", "C": "2.22°"})
    assert "wrong" in {mark.verdict for mark in marks.values()}
    assert sum(mark.points for mark in marks.values()) < sum(mark.points_possible for mark in marks.values())


def test_what_follows_on_is_evidence_for_the_mistake_it_follows_from() -> None:
    """+ 2ab cos for − 2ab cos, and the law of sines after it: 348.92 at 131.83° for 715.94 at 60.70°. Many mistakes reach
    the length; one reaches the length and the direction."""
    problem = posed(
        "difference", "284.2 N at bearing 058°; 486.2 N at bearing 193°", unit="N", direction_as="standard position"
    )
    marks = handed_in(ready(problem), {"magnitude": "348.92 N", "direction": "131.83°"})
    assert "cosine-sign-flipped" in ids_of(marks["magnitude"])


def test_a_right_number_with_a_unit_of_another_kind_is_named() -> None:
    """62.0 m for 62.0 N. A mistake that leaves the length right does not explain a wrong length."""
    marks = handed_in(
        ready(posed(*TUGS, unit="N", direction_as="standard position")), {"magnitude": "62.0 m", "direction": "352.97°"}
    )
    assert marks["magnitude"].mistake == "wrong-unit"


def test_a_number_with_none_of_the_digits_asked_is_not_on_the_right_track() -> None:
    """100 N for 62.04 N is no rounding that anyone makes: to hundreds, nothing of 62 is left."""
    marks = handed_in(ready(posed(*TUGS, unit="N")), {"magnitude": "100 N"})
    assert marks["magnitude"].verdict == "wrong"
