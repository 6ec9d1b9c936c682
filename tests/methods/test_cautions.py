"""What the key says of numbers that make an unfair question and of units that do not fit."""

from __future__ import annotations

import pytest

from grader.errors import ProblemError
from tests.posed import solved

WORK = "64 N at 20°; 7.5 m at 75°"


@pytest.mark.parametrize(
    ("find", "given", "unit", "said"),
    [
        (
            "resultant",
            "10 N at 0°; 10.02 N at 180.5°",
            "N",
            "The resultant, 0.1 N, is small beside the vectors, 20 N long",
        ),
        (
            "equilibrant",
            "12 km at 0°; 13 km at 120°; 12.5 km at 242°",
            "km",
            "beside the vectors, 37.5 km long together",
        ),
        ("difference", "(30, 4) m; (30, 5) m", "m", "The difference, 1.0 m, is small"),
        ("dot product", WORK, "N", "The column Unit has N, which measures force; N times m is J (N·m)"),
        ("dot product", "3 m at 20°; 4 m at 50°", "m", "m times m is m²"),
        ("resultant", "45 N at 20°; 30 N at 310°", "kg", "kg is a unit of mass and N one of force"),
        ("ramp", "50 lb on 19°", "kg", "kg is a unit of mass and lb one of force"),
        ("unit vector", "(3, 4) m", "m", "A unit vector has no unit"),
        ("angle between", "(3, 4); (5, 2)", "N", "in degrees"),
    ],
)
def test_the_key_warns(find: str, given: str, unit: str, said: str) -> None:
    (warning,) = solved(find, given, unit=unit).solution.warnings
    assert said in warning


@pytest.mark.parametrize(
    ("find", "given", "unit"),
    [
        ("resultant", "45 N at 20°; 30 N at 310°", "N"),
        ("resultant", "45 N at 20°; 30 N at 310°", "lb"),
        ("resultant", "45 kg at 20°; 30 kg at 310°", "kg"),
        ("difference", "(30, 4) m; (20, 5) m", "m"),
        ("dot product", WORK, "J"),
        ("dot product", "64 lb at 20°; 7.5 ft at 75°", "ft lb"),
        ("dot product", "300 cm at 20°; 4 m at 50°", "cm2"),
        ("dot product", "(3, 4); (5, 2)", ""),
        ("unit vector", "(3, 4) m", ""),
    ],
)
def test_a_sound_problem_gets_no_warning(find: str, given: str, unit: str) -> None:
    assert solved(find, given, unit=unit).solution.warnings == ()


@pytest.mark.parametrize("unit", ["kJ", "ft lb"])
def test_a_dot_product_is_not_labelled_with_a_unit_to_which_it_is_not_converted(unit: str) -> None:
    with pytest.raises(ProblemError, match=r"is J \(N·m\) and not"):
        solved("dot product", WORK, unit=unit)


def test_bare_angles_are_said_to_be_counted_from_east() -> None:
    """The working and a warning both say it, so that a teacher who means bearings sees it before the class does."""
    text = "air speed 42 km/h; wind 13 km/h from 310°; track 120°"
    solution = solved("heading", text).solution
    lines = [line.text for line in solution.workings[0].lines]
    assert "the wind blows from: 310°, counted counterclockwise from east" in lines
    assert "the track: 120°, counted counterclockwise from east" in lines
    assert "how 310° and 120° are counted" in solution.warnings[0]
    assert solved("heading", text, direction_as="standard position").solution.warnings == ()
    vectors = "12.4 km at 62°; 8.7 km at 155°"
    assert "62° and 155°" in solved("resultant", vectors, direction_as="true bearing").solution.warnings[0]
    assert solved("resultant", vectors, direction_as="quadrant bearing").solution.warnings == ()
