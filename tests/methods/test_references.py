"""The key against general-purpose libraries: numpy's complex numbers, shapely, sympy, astropy and pint."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pint
import pytest
import sympy
from astropy import units as astropy_units
from astropy.coordinates import Angle
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import LineString, Point

from grader.methods.steps import difference, values_of
from tests.posed import solved

lengths = st.integers(5, 9999).map(lambda n: n / 10)
angles = st.integers(0, 3599).map(lambda n: n / 10)
vectors = st.tuples(lengths, angles)
few = settings(max_examples=40, deadline=None)


def text_of(given_vectors: list[tuple[float, float]], unit: str = "N") -> str:
    return "; ".join(f"{length} {unit} at {angle}°" for length, angle in given_vectors)


def complex_of(vector: tuple[float, float]) -> complex:
    return complex(vector[0] * np.exp(1j * np.deg2rad(vector[1])))


# ---- vectors


@settings(max_examples=100, deadline=None)
@given(
    st.lists(vectors, min_size=2, max_size=6),
    st.sampled_from(["resultant", "equilibrant", "difference"]),
    st.booleans(),
)
def test_vectors_agree_with_complex_numbers(
    given_vectors: list[tuple[float, float]], find: str, by_components: bool
) -> None:
    numbers = [complex_of(v) for v in given_vectors]
    expected = sum(numbers)
    if find == "difference":
        expected = numbers[0] - sum(numbers[1:])
    elif find == "equilibrant":
        expected = -expected
    scale = sum(map(abs, numbers))
    signs = [1] + [-1 if find == "difference" else 1] * (len(numbers) - 1)
    on_the_way = np.abs(np.cumsum(np.multiply(signs, numbers))[1:])
    assume(min(on_the_way) > 1e-3 * scale)
    answer_as = "components" if by_components else "magnitude and direction"
    one = solved(find, text_of(given_vectors), answer_as=answer_as)
    assert len(one.methods) == 2
    for method in one.methods:
        values = values_of(method)
        if by_components:
            found = complex(values["x"], values["y"])
        else:
            assert 0 <= values["direction"] < 360 + 1e-9
            found = complex_of((values["magnitude"], values["direction"]))
        assert abs(found - expected) <= 1e-9 * scale, method.name


@few
@given(st.lists(st.tuples(st.integers(-99, 99), st.integers(-99, 99)), min_size=2, max_size=6))
def test_vectors_by_components_agree_with_complex_numbers(pairs: list[tuple[int, int]]) -> None:
    assume(all(pair != (0, 0) for pair in pairs) and (sum(x for x, _ in pairs), sum(y for _, y in pairs)) != (0, 0))
    key = solved("resultant", "; ".join(f"<{x}, {y}>" for x, y in pairs)).solution
    expected = complex(sum(x for x, _ in pairs), sum(y for _, y in pairs))
    assert key.part("magnitude").value == pytest.approx(abs(expected), rel=1e-9)
    turn = float(difference("direction", key.part("direction").value, np.angle(expected, deg=True)))
    assert abs(turn) < 1e-7


@few
@given(st.lists(vectors, min_size=2, max_size=5))
def test_tip_to_tail_agrees_with_shapely(given_vectors: list[tuple[float, float]]) -> None:
    """Each arrow an east-pointing line, turned and moved to the tip of the one before."""
    tip = Point(0, 0)
    for length, angle in given_vectors:
        arrow = affinity.rotate(LineString([(0, 0), (length, 0)]), angle, origin=(0, 0))
        tip = Point(affinity.translate(arrow, tip.x, tip.y).coords[1])
    assume(tip.distance(Point(0, 0)) > 1e-3 * sum(length for length, _ in given_vectors))
    values = {part.part: part.value for part in solved("resultant", text_of(given_vectors)).solution.parts}
    assert values["magnitude"] == pytest.approx(tip.distance(Point(0, 0)), rel=1e-9)
    assert abs(float(difference("direction", values["direction"], math.degrees(math.atan2(tip.y, tip.x))))) < 1e-7


@few
@given(vectors, vectors)
def test_products_agree_with_numpy(first: tuple[float, float], second: tuple[float, float]) -> None:
    u, v = complex_of(first), complex_of(second)
    dot = solved("dot product", text_of([first, second], "m")).solution.part("value").value
    assert dot == pytest.approx(np.dot([u.real, u.imag], [v.real, v.imag]), abs=1e-9 * abs(u) * abs(v))
    between = solved("angle between", text_of([first, second], "m")).solution.part("value").value
    assert between == pytest.approx(abs(np.angle(v / u, deg=True)), abs=1e-6)


@few
@given(st.integers(-99, 99), st.integers(-99, 99), st.integers(-99, 99), st.integers(-99, 99))
def test_a_vector_between_two_points_agrees_with_numpy(x0: int, y0: int, x1: int, y1: int) -> None:
    assume((x0, y0) != (x1, y1))
    key = solved("magnitude and direction", f"({x0}, {y0}) to ({x1}, {y1})").solution
    step = complex(x1 - x0, y1 - y0)
    assert key.part("magnitude").value == pytest.approx(np.linalg.norm([step.real, step.imag]), rel=1e-12)
    assert abs(float(difference("direction", key.part("direction").value, np.angle(step, deg=True)))) < 1e-9
    along = solved("unit vector", f"<{step.real:.0f}, {step.imag:.0f}>").solution
    assert complex(along.part("x").value, along.part("y").value) == pytest.approx(step / abs(step), rel=1e-12)


@few
@given(lengths, st.integers(1, 89))
def test_a_weight_on_a_ramp_agrees_with_shapely(weight: float, incline: int) -> None:
    """The weight, seen along the turned axes of the ramp."""
    turned = affinity.rotate(Point(0, -weight), -incline, origin=(0, 0))
    key = solved("ramp", f"{weight} N on {incline}°").solution
    assert key.part("x").value == pytest.approx(-turned.x, rel=1e-9)
    assert key.part("y").value == pytest.approx(-turned.y, rel=1e-9)


@few
@given(st.integers(200, 900), st.integers(1, 150), st.integers(0, 359), st.integers(0, 359))
def test_holding_a_track_agrees_with_shapely(speed: int, wind: int, from_bearing: int, track: int) -> None:
    """The wind triangle drawn: from the wind's tip, the track is met at the distance of the craft's own speed."""
    given_text = (
        f"air speed {speed} km/h; wind {wind} km/h from bearing {from_bearing:03d}°; track bearing {track:03d}°"
    )
    one = solved("heading", given_text, direction_as="true bearing")
    for method in one.methods:
        values = values_of(method)
        own = complex_of((speed, values["direction"]))
        blown = own + complex_of((wind, 90 - from_bearing + 180))
        line = affinity.rotate(LineString([(0, 0), (2000, 0)]), 90 - track, origin=(0, 0))
        assert line.distance(Point(blown.real, blown.imag)) < 1e-6
        assert abs(blown) == pytest.approx(values["magnitude"], rel=1e-9)


# ---- triangles

sides = st.integers(10, 400).map(lambda n: n / 10)


def ray(start: Point, angle: float, length: float = 1e5) -> LineString:
    """A line from a point at an angle to the x-axis."""
    return affinity.rotate(LineString([start, (start.x + length, start.y)]), angle, origin=start)


def measured(a: Point, b: Point, c: Point) -> dict[str, float]:
    """The sides and angles of a triangle drawn with the corners A, B, C; side a lies opposite A."""

    def angle(at: Point, one: Point, other: Point) -> float:
        arms = [complex(end.x - at.x, end.y - at.y) for end in (one, other)]
        return abs(float(np.angle(arms[1] / arms[0], deg=True)))

    return {
        "a": b.distance(c),
        "b": c.distance(a),
        "c": a.distance(b),
        "A": angle(a, b, c),
        "B": angle(b, c, a),
        "C": angle(c, a, b),
    }


def agrees(given_text: str, expected: dict[str, float]) -> None:
    for key in solved("triangle", given_text).solution.parts:
        assert key.value == pytest.approx(expected[key.part], rel=1e-7, abs=1e-6), key.part


@settings(max_examples=6, deadline=None)
@given(sides, sides, sides)
def test_three_sides_agree_with_sympy(a: float, b: float, c: float) -> None:
    longest = max(a, b, c)
    assume(a + b + c - longest > 1.01 * longest)
    # sympy lays the first side from P to Q, the second from Q to R, the third from R to P.
    triangle = sympy.Triangle(sss=(c, a, b))
    agrees(f"a={a}; b={b}; c={c}", measured(*(Point(float(p.x), float(p.y)) for p in triangle.vertices)))


@few
@given(sides, st.integers(5, 175), sides)
def test_two_sides_and_the_angle_between_agree_with_shapely(c: float, angle: int, b: float) -> None:
    corners = Point(0, 0), Point(c, 0), Point(ray(Point(0, 0), angle, b).coords[1])
    agrees(f"c={c}; A={angle}°; b={b}", measured(*corners))


@few
@given(sides, st.integers(5, 90), st.integers(5, 80))
def test_two_angles_and_a_side_agree_with_shapely(c: float, first: int, second: int) -> None:
    """The third corner lies where the two rays cross."""
    a, b = Point(0, 0), Point(c, 0)
    corner = ray(a, first).intersection(ray(b, 180 - second))
    assert isinstance(corner, Point)
    expected = measured(a, b, corner)
    agrees(f"A={first}°; c={c}; B={second}°", expected)
    # Angle, angle and a side that is not between them: the third angle in the place of one.
    agrees(f"A={first}°; c={c}; C={180 - first - second}°", expected)


@few
@given(sides, sides, st.integers(5, 170))
def test_two_sides_and_an_angle_opposite_agree_with_shapely(a: float, c: float, angle: int) -> None:
    """C lies on a ray from A, at the distance a from B: on either side of the foot of the perpendicular from B."""
    corner_a, corner_b = Point(0, 0), Point(c, 0)
    line = ray(corner_a, angle)
    whole_line = LineString([ray(corner_a, angle + 180).coords[1], line.coords[1]])
    height = whole_line.distance(corner_b)
    assume(abs(height - a) > 1e-3 and abs(a - c) > 1e-9)
    found = solved("triangle", f"a={a}; c={c}; A={angle}°")
    if height > a:
        assert found.solution.none
        return
    foot = complex(*whole_line.interpolate(whole_line.project(corner_b)).coords[0])
    along = complex_of((1.0, angle))
    half = math.sqrt(a * a - height * height)
    corners = [foot + half * along, foot - half * along]
    corners = [corner for corner in corners if (corner / along).real > 1e-9]
    if not corners:
        assert found.solution.none
        return
    for part in ("b", "B", "C"):
        key = found.solution.part(part)
        expected = [measured(corner_a, corner_b, Point(corner.real, corner.imag))[part] for corner in corners]
        assert [key.value, *key.others] == pytest.approx(expected, rel=1e-6), part


# ---- directions


def direction_of(given_text: str) -> float:
    """The standard-position angle behind the components of one given vector."""
    values = values_of(solved("components", given_text).methods[0])
    return math.degrees(math.atan2(values["y"], values["x"])) % 360


@few
@given(st.integers(0, 89), st.integers(0, 59), st.integers(0, 59), st.sampled_from(["NE", "SE", "SW", "NW"]))
def test_minutes_and_seconds_in_bearings_agree_with_astropy(
    minutes_of: int, minutes: int, seconds: int, quadrant: str
) -> None:
    angle = Angle(f"{minutes_of}d{minutes}m{seconds}s").deg
    assume(angle > 0)
    start, toward = quadrant
    found = direction_of(f"10 N {start} {minutes_of}°{minutes}'{seconds}\" {toward}")
    bearing = {"NE": angle, "SE": 180 - angle, "SW": 180 + angle, "NW": 360 - angle}[quadrant]
    assert abs(float(difference("direction", found, 90 - bearing))) < 1e-9


@few
@given(st.integers(0, 359), st.integers(0, 59))
def test_standard_angles_and_true_bearings_agree_with_astropy(whole: int, minutes: int) -> None:
    angle = Angle((whole + minutes / 60) * astropy_units.deg)
    standing = direction_of(f"10 N at {whole}°{minutes}'")
    assert abs(float(difference("direction", standing, angle.deg))) < 1e-9
    turned = direction_of(f"10 N at bearing {whole:03d}°{minutes}'")
    assert abs(float(difference("direction", turned, (Angle("90d") - angle).wrap_at("360d").deg))) < 1e-9


# ---- units

UNITS = pint.UnitRegistry()
# A mass given or asked as a force is that many kilograms-force, as textbooks have it.
SPOKEN = {
    "force": {
        "N": "newton",
        "kN": "kilonewton",
        "lbf": "force_pound",
        "kgf": "force_kilogram",
        "kg": "force_kilogram",
        "MN": "meganewton",
    },
    "length": {"m": "meter", "km": "kilometer", "mi": "mile", "ft": "foot", "nmi": "nautical_mile", "cm": "centimeter"},
    "speed": {"m/s": "meter/second", "km/h": "kilometer/hour", "mph": "mile/hour", "kn": "knot", "ft/s": "foot/second"},
}


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_mixed_units_agree_with_pint(data: st.DataObject) -> None:
    words = SPOKEN[data.draw(st.sampled_from(sorted(SPOKEN)))]
    one, other, asked = (data.draw(st.sampled_from(sorted(words))) for _ in range(3))
    first, second = data.draw(st.integers(1, 999)), data.draw(st.integers(1, 999))
    key = solved("resultant", f"{first} {one} E; {second} {other} N", unit=asked).solution
    east = UNITS.Quantity(first, words[one]).to(words[asked]).magnitude
    north = UNITS.Quantity(second, words[other]).to(words[asked]).magnitude
    # A handbook's factor has seven digits: 1 lbf = 4.448222 N.
    assert key.part("magnitude").value == pytest.approx(math.hypot(east, north), rel=1e-6)
    assert (
        abs(float(difference("direction", key.part("direction").value, math.degrees(math.atan2(north, east))))) < 1e-4
    )


@pytest.mark.parametrize("sides", ["1 N E; 43 MN N", "43 MN E; 1 N N", "1 N W; 43 MN N", "1 N at 5°; 43 MN at 96°"])
def test_forces_of_very_unlike_sizes(sides: str) -> None:
    """Both methods agree to the last digits, where the squares of the forces do not show the smaller one."""
    first, second = solved("resultant", sides, unit="MN").problem.given.vectors
    small, large = (v.magnitude.number.value * v.magnitude.unit.factor / 1e6 for v in (first, second))
    total = cmath.rect(small, math.radians(first.direction.angle)) + cmath.rect(
        large, math.radians(second.direction.angle)
    )
    found = solved("resultant", sides, unit="MN").solution.part("direction").value
    assert abs(float(difference("direction", found, math.degrees(cmath.phase(total))))) < 1e-9


def test_two_kilonewtons_and_450_pounds_force() -> None:
    """450 lbf = 2001.70 N (NIST SP 811, B.8, from memory: 1 lbf = 4.448222 N), so at right angles 2829.63 N."""
    key = solved("resultant", "2 kN at 0°; 450 lbf at 90°", unit="N").solution
    assert key.part("magnitude").value == pytest.approx(2829.63, abs=0.01)
    assert key.part("direction").value == pytest.approx(45.024, abs=0.001)
