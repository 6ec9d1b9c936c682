"""Formulas of teachers, against sympy's own parser and plain arithmetic."""

from __future__ import annotations

import math

import numpy
import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from grader.errors import NotationError
from grader.notation.formula import parse_formula


@pytest.mark.parametrize(
    ("formula", "values", "expected"),
    [
        ("sqrt(a^2 + b^2 - 2·a·b·cos(φ))", {"a": 45.0, "b": 30.0, "φ": 110.0}, 62.0359),
        ("√(a² + b²)", {"a": 3.0, "b": 4.0}, 5.0),
        ("v·t", {"v": 18.0, "t": 2.5}, 45.0),
        ("v t", {"v": 18.0, "t": 2.5}, 45.0),
        ("d = v·t", {"v": 18.0, "t": 2.5}, 45.0),
        ("2v sin θ / 9.81", {"v": 9.81, "θ": 30.0}, 1.0),
        ("v² sin 2θ / g", {"v": 10.0, "θ": 15.0, "g": 10.0}, 5.0),
        ("v^2*sin(2*θ)/g", {"v": 10.0, "θ": 15.0, "g": 10.0}, 5.0),
        ("sin⁻¹(0.5)", {}, 30.0),
        ("arcsin 0.5", {}, 30.0),
        ("tan^-1(y/x)", {"x": 1.0, "y": -1.0}, -45.0),
        ("sin²(30) + cos^2(30)", {}, 1.0),
        ("-2^2", {}, -4.0),
        ("2^3^2", {}, 512.0),
        ("2^-1", {}, 0.5),
        ("6 ÷ 3 × 2", {}, 4.0),
        ("1/2a", {"a": 4.0}, 2.0),
        ("|−5| + abs(-2)", {}, 7.0),
        ("ln(exp(2)) + log(100)", {}, 4.0),
        ("3π/4", {}, 3 * math.pi / 4),
        ("F1 + F_2", {"F1": 1.0, "F_2": 2.0}, 3.0),
        ("10 cos 60° ", {}, 5.0),
        ("\\frac{a}{b}", {"a": 1.0, "b": 4.0}, 0.25),
        ("\\sqrt{a}", {"a": 16.0}, 4.0),
        ("(a + b)(a - b)", {"a": 3.0, "b": 2.0}, 5.0),
    ],
)
def test_value(formula: str, values: dict[str, float], expected: float) -> None:
    assert parse_formula(formula).evaluate(values) == pytest.approx(expected, rel=1e-6)


def test_names() -> None:
    assert parse_formula("sqrt(a^2 + b_1^2) cos(θ) + π").names == {"a", "b_1", "θ"}


def test_radians() -> None:
    assert parse_formula("sin(x)").evaluate({"x": math.pi / 6}, angle_unit="rad") == pytest.approx(0.5)
    assert parse_formula("asin(x)").evaluate({"x": 0.5}, angle_unit="rad") == pytest.approx(math.pi / 6)


def test_arrays() -> None:
    values = {"a": numpy.array([3.0, 5.0]), "b": numpy.array([4.0, 12.0])}
    assert parse_formula("√(a² + b²)").evaluate(values).tolist() == [5.0, 13.0]
    assert numpy.isnan(parse_formula("asin(a)").evaluate(values)).all()


def test_outside_the_domain_is_nan() -> None:
    for formula in ("1/0", "sqrt(-1)", "asin(2)", "ln(0)", "(-8)^(1/3)", "9^9^9^9"):
        assert math.isnan(parse_formula(formula).evaluate({}))


@pytest.mark.parametrize(
    ("formula", "said"),
    [
        ("2 +", "position 4, at the end, expected a number"),
        ("(3", "expected a closing )"),
        ("a ? b", "position 3, before “? b”"),
        ("3 4", "expected a sign between the two"),
        ("sin", "expected a number, a name or a bracket"),
        ("", "expected a formula such as"),
        (")", "expected a number"),
        ("a)", "the end of the formula"),
        ("(" * 60 + "1", "brackets inside one another"),
        ("1+" * 300, "at most 500 characters"),
        ("2-----3", "a number after the signs"),
        ("__import__('os')", "expected"),
    ],
)
def test_errors_say_where_and_what(formula: str, said: str) -> None:
    with pytest.raises(NotationError) as error:
        parse_formula(formula)
    assert said in str(error.value)


def test_a_missing_value_is_named() -> None:
    with pytest.raises(NotationError, match="no value was given for b"):
        parse_formula("a + b").evaluate({"a": 1.0})


NUMBERS = st.integers(1, 9).map(str)
NAMES = st.sampled_from(["a", "b", "c"])
EXPRESSIONS = st.recursive(
    NUMBERS | NAMES,
    lambda inner: (
        st.tuples(inner, st.sampled_from([" + ", " - ", "*", "/"]), inner).map(
            lambda parts: f"({parts[0]}{parts[1]}{parts[2]})"
        )
        | inner.map(lambda text: f"sqrt({text})")
        | inner.map(lambda text: f"(-{text})")
        | inner.map(lambda text: f"({text})^2")
    ),
    max_leaves=8,
)


@given(EXPRESSIONS)
def test_agrees_with_sympy(text: str) -> None:
    values = {"a": 1.25, "b": 2.5, "c": 0.75}
    ours = parse_formula(text).evaluate(values)
    theirs = sympy.sympify(text.replace("^", "**")).subs(values).evalf(18)
    if theirs.is_real and abs(theirs) < 1e12:
        assert math.isnan(ours) or ours == pytest.approx(float(theirs), rel=1e-6, abs=1e-6)


@given(st.text("abcθ0123456789.+-*/^()|√ sincotaqrt²π⁻¹", max_size=60))
def test_no_other_exception(text: str) -> None:
    try:
        formula = parse_formula(text)
        formula.evaluate(dict.fromkeys(formula.names, 1.0))
    except NotationError:
        pass
