"""Units: their words, and their factors against NIST SP 811 and against a units library with its own definitions (pint)."""

from __future__ import annotations

import math
from typing import Any

import pint
import pytest

from grader.errors import NotationError
from grader.notation.tables import load_table
from grader.notation.units import convert, find_unit, unit

# NIST SP 811 (2008), appendix B.8, factors to SI units (from memory; exact ones are exact in that table too).
NIST = {
    "lbf": 4.448222,
    "kgf": 9.80665,
    "kip": 4448.222,
    "tonf": 8896.443,
    "ozf": 0.2780139,
    "dyn": 1e-5,
    "mi": 1609.344,
    "nmi": 1852.0,
    "ft": 0.3048,
    "in": 0.0254,
    "yd": 0.9144,
    "mph": 0.44704,
    "kn": 0.5144444,
    "km/h": 0.2777778,
    "ft/s": 0.3048,
    "slug": 14.59390,
    "deg": 0.01745329,
    "min": 60.0,
    "h": 3600.0,
}

PINT_NAMES = {
    "lb": "force_pound",
    "lbf": "force_pound",
    "kip": "kip",
    "kgf": "force_kilogram",
    "tonf": "force_ton",
    "ozf": "force_ounce",
    "mph": "mile/hour",
    "kn": "knot",
    "nmi": "nautical_mile",
    "km/h": "kilometer/hour",
    "m/s": "meter/second",
    "ft/s": "foot/second",
    "in": "inch",
    "t": "metric_ton",
    "deg": "degree",
    "rad": "radian",
    "grad": "grad",
    "min": "minute",
    "dyn": "dyne",
}


@pytest.mark.parametrize(("symbol", "factor"), NIST.items())
def test_factor_agrees_with_nist(symbol: str, factor: float) -> None:
    assert unit(symbol).factor == pytest.approx(factor, rel=5e-7)


@pytest.mark.parametrize("symbol", load_table("units.toml")["units"])
def test_factor_agrees_with_pint(symbol: str) -> None:
    registry: Any = pint.UnitRegistry()
    theirs = registry.Quantity(1.0, PINT_NAMES.get(symbol, symbol)).to_base_units()
    assert unit(symbol).factor == pytest.approx(float(theirs.magnitude), rel=1e-12)


@pytest.mark.parametrize(
    ("written", "symbol"),
    [
        ("km per hour", "km/h"),
        ("kph", "km/h"),
        ("KM/H", "km/h"),
        ("kilometres per hour", "km/h"),
        ("km h-1", "km/h"),
        ("km·h⁻¹", "km/h"),
        ("miles per hour", "mph"),
        ("mi/hr", "mph"),
        ("m.p.h.", "mph"),
        ("ft·s⁻¹", "ft/s"),
        ("feet per second", "ft/s"),
        ("m s^-1", "m/s"),
        ("m/s/s", "m/s²"),
        ("m/s^2", "m/s²"),
        ("lbs", "lb"),
        ("lb.", "lb"),
        ("pounds", "lb"),
        ("punds", "lb"),
        ("pounds-force", "lbf"),
        ("pound of force", "lbf"),
        ("kgs", "kg"),
        ("kg force", "kgf"),
        ("Newtons", "N"),
        ("neutons", "N"),
        ("kN", "kN"),
        ("KN", "kN"),
        ("kilonewtons", "kN"),
        ("kn", "kn"),
        ("Knots", "kn"),
        ("kts", "kn"),
        ("nautical miles per hour", "kn"),
        ("nautical miles", "nmi"),
        ("nm", "nmi"),
        ("meters", "m"),
        ("metre", "m"),
        ("kilometers", "km"),
        ("cm", "cm"),
        ("°", "deg"),
        ("degress", "deg"),
        ("radians", "rad"),
        ("gon", "grad"),
        ("N·m", "N·m"),
        ("N m", "N·m"),
        ("lb-ft", "lb·ft"),
        ("N/m", "N/m"),
        ("sec", "s"),
        ("hrs", "h"),
    ],
)
def test_words(written: str, symbol: str) -> None:
    found = find_unit(written)
    assert found is not None
    assert found.symbol == symbol


@pytest.mark.parametrize(
    "written", ["", "furlong", "banana", "N N N N N N N N N N N N N N N N N N N N N", "/", "per", "m/", "5", "()", "²"]
)
def test_no_unit(written: str) -> None:
    assert find_unit(written) is None
    with pytest.raises(NotationError, match="expected a unit"):
        unit(written)


def test_every_prefixed_unit_is_a_power_of_ten_of_its_base() -> None:
    assert unit("kN").factor == 1000.0
    assert unit("mm").factor == 1e-3
    assert unit("MN").factor == 1e6
    assert unit("ms").factor == 1e-3


def test_conversion() -> None:
    assert convert(62.0, unit("lb"), unit("N")) == pytest.approx(275.78975, abs=1e-5)
    assert convert(1.0, unit("kg"), unit("N")) == pytest.approx(9.80665)
    assert convert(1.0, unit("kgf"), unit("lb")) == pytest.approx(2.2046226218, rel=1e-9)
    assert convert(9.80665, unit("N"), unit("kg")) == pytest.approx(1.0)
    assert convert(180.0, unit("deg"), unit("rad")) == pytest.approx(math.pi)
    assert convert(400.0, unit("grad"), unit("deg")) == pytest.approx(360.0)
    assert convert(61.57, unit("km/h"), unit("km/h")) == 61.57
    assert convert(61.57, unit("lb"), unit("lbf")) == 61.57


def test_another_dimension_is_an_error_that_names_both() -> None:
    with pytest.raises(NotationError, match=r"a length cannot be written in N, which measures force"):
        convert(1.0, unit("m"), unit("N"))
