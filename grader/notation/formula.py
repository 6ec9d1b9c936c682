"""Formulas that a teacher writes: ``sqrt(a^2 + b^2 - 2·a·b·cos(φ))``. Read once, worked out as often as needed.

Grammar (a name is a letter or word, perhaps with digits after it)::

    sum      = product { ("+" | "-") product }
    product  = signed { ("*" | "/" | nothing) signed }
    signed   = { "-" | "+" } power
    power    = primary [ "^" signed ]
    primary  = number | name | function [power] argument | "(" sum ")" | "|" sum "|" | "√" power
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from grader.errors import NotationError
from grader.notation.cleaning import plain

MAX_LENGTH = 500
MAX_NESTING = 20

AngleUnit = Literal["deg", "rad"]
Value = Any  # float or numpy array
Node = tuple[Any, ...]

_TOKEN = re.compile(
    r"""
    \s*
    (?: (?P<number> (?: \d+ (?:\.\d*)? | \.\d+ ) (?: [eE][+-]?\d+ )? )
      | (?P<name> [^\W\d_] [^\W\d_]* (?: _?\d+ | _[^\W_]+ )* )
      | (?P<symbol> \*\* | [-+*/^()|√·×°,] ) )
    """,
    re.VERBOSE,
)

_FUNCTIONS = {
    "sqrt": "sqrt", "abs": "abs", "ln": "log", "log": "log10", "exp": "exp",
    "sin": "sin", "cos": "cos", "tan": "tan", "asin": "asin", "acos": "acos", "atan": "atan",
    "arcsin": "asin", "arccos": "acos", "arctan": "atan",
}  # fmt: skip
_INVERSE = {"sin": "asin", "cos": "acos", "tan": "atan"}
_CONSTANTS = {"pi": math.pi, "π": math.pi}
_TAKES_ANGLE = frozenset(("sin", "cos", "tan"))
_GIVES_ANGLE = frozenset(("asin", "acos", "atan"))


@dataclass(frozen=True)
class Formula:
    """A formula that has been read.

    ``names`` are the quantities it needs. ``evaluate`` takes their values (numbers or numpy arrays of one shape) and
    gives a number or an array; trigonometric functions take, and their inverses give, ``angle_unit``.
    """

    text: str
    names: frozenset[str]
    _node: Node

    def evaluate(self, values: Mapping[str, Value], *, angle_unit: AngleUnit = "deg") -> Value:
        """The value of the formula; KeyError for a missing name. Outside a function's domain the result is nan."""
        missing = self.names - values.keys()
        if missing:
            raise NotationError(self.text, f"no value was given for {', '.join(sorted(missing))}")
        scalar = all(isinstance(values[name], int | float) for name in self.names)
        return _work_out(self._node, values, angle_unit, _scalar_functions() if scalar else _array_functions())


def parse_formula(text: str) -> Formula:
    """Reads a formula; NotationError says where it stops making sense and what was expected there.

    >>> parse_formula("√(a² + b²)").evaluate({"a": 3.0, "b": 4.0})
    5.0
    >>> parse_formula("2v sin θ").names == frozenset({"v", "θ"})
    True
    """
    if not isinstance(text, str) or not text.strip():
        raise NotationError(str(text), "expected a formula such as v·t or sqrt(a^2 + b^2)")
    if len(text) > MAX_LENGTH:
        raise NotationError(text[:40] + "…", f"a formula has at most {MAX_LENGTH} characters")
    return _Parser(text).formula()


class _Parser:
    def __init__(self, text: str) -> None:
        self.text = text
        cleaned = plain(text)
        head, equals, tail = cleaned.rpartition("=")
        if equals and re.fullmatch(r"\s*[^\W\d]\w*\s*(?:\([^()]*\))?\s*", head):
            cleaned = tail  # d = v·t: the name on the left is only a name
        self.source = cleaned
        self.tokens: list[tuple[str, str, int]] = []
        self.names: set[str] = set()
        self.index = 0
        self._split()

    def _split(self) -> None:
        position = 0
        source = self.source.rstrip()
        while position < len(source):
            match = _TOKEN.match(source, position)
            if match is None:
                position += len(source[position:]) - len(source[position:].lstrip())
                raise self._error(position, "a number, a name, a sign or a bracket")
            kind = match.lastgroup or "symbol"
            token = match[kind]
            start = match.start(kind)
            if kind == "name" and token not in _FUNCTIONS and token.lower() in _FUNCTIONS:
                token = token.lower()
            self.tokens.append((kind, token, start))
            position = match.end()
        self.tokens.append(("end", "", len(source)))

    def _error(self, position: int, expected: str) -> NotationError:
        found = self.source[position : position + 12].strip()
        where = f"at position {position + 1}" + (f", before “{found}”," if found else ", at the end,")
        return NotationError(self.text, f"{where} expected {expected}")

    @property
    def kind(self) -> str:
        return self.tokens[self.index][0]

    @property
    def token(self) -> str:
        return self.tokens[self.index][1]

    @property
    def position(self) -> int:
        return self.tokens[self.index][2]

    def _take(self, symbol: str) -> bool:
        if self.kind == "symbol" and self.token == symbol:
            self.index += 1
            return True
        return False

    def formula(self) -> Formula:
        node = self._sum(0)
        if self.kind != "end":
            raise self._error(self.position, "a sign such as + - · / or the end of the formula")
        return Formula(self.text, frozenset(self.names), node)

    def _sum(self, depth: int) -> Node:
        if depth > MAX_NESTING:
            raise self._error(self.position, f"at most {MAX_NESTING} brackets inside one another")
        node = self._product(depth)
        while self.kind == "symbol" and self.token in ("+", "-"):
            sign = self.token
            self.index += 1
            node = (sign, node, self._product(depth))
        return node

    def _product(self, depth: int) -> Node:
        node = self._signed(depth)
        while True:
            if self.kind == "symbol" and self.token in ("*", "·", "×", "/"):
                operator = "/" if self.token == "/" else "*"
                self.index += 1
                node = (operator, node, self._signed(depth))
            elif self.kind in ("name", "number") or (self.kind == "symbol" and self.token in ("(", "√")):
                if self.kind == "number":
                    raise self._error(self.position, "a sign between the two")
                node = ("*", node, self._power(depth))
            else:
                return node

    def _signed(self, depth: int) -> Node:
        signs = 0
        negative = False
        while self.kind == "symbol" and self.token in ("+", "-"):
            negative ^= self.token == "-"
            self.index += 1
            signs += 1
            if signs > 3:
                raise self._error(self.position, "a number after the signs")
        node = self._power(depth)
        return ("negative", node) if negative else node

    def _power(self, depth: int) -> Node:
        base = self._primary(depth)
        if self.kind == "symbol" and self.token in ("^", "**"):
            self.index += 1
            if depth > MAX_NESTING:
                raise self._error(self.position, f"at most {MAX_NESTING} powers of powers")
            return ("^", base, self._signed(depth + 1))
        return base

    def _primary(self, depth: int) -> Node:
        if depth > MAX_NESTING:
            raise self._error(self.position, f"at most {MAX_NESTING} brackets inside one another")
        kind, token, position = self.tokens[self.index]
        if kind == "number":
            self.index += 1
            self._take("°")
            return ("number", float(token))
        if kind == "name":
            self.index += 1
            return self._function(_FUNCTIONS[token], depth) if token in _FUNCTIONS else self._name(token)
        if self._take("("):
            return self._closed(")", depth)
        if self._take("|"):
            return ("call", "abs", self._closed("|", depth))
        if self._take("√"):
            return ("call", "sqrt", self._primary(depth + 1))
        raise self._error(position, "a number, a name or a bracket")

    def _closed(self, bracket: str, depth: int) -> Node:
        node = self._sum(depth + 1)
        if not self._take(bracket):
            raise self._error(self.position, f"a closing {bracket}")
        self._take("°")
        return node

    def _name(self, name: str) -> Node:
        if name in _CONSTANTS:
            return ("number", _CONSTANTS[name])
        self._take("°")
        self.names.add(name)
        return ("name", name)

    def _function(self, function: str, depth: int) -> Node:
        """An argument in brackets, or without them one factor: sin 30°, cos θ, sin⁻¹(x), sin² θ."""
        power: Node | None = None
        if self.kind == "symbol" and self.token in ("^", "**"):
            self.index += 1
            bracket = self._take("(")
            power = self._signed(depth + 1)
            if bracket and not self._take(")"):
                raise self._error(self.position, "a closing )")
        if power in (("negative", ("number", 1.0)), ("number", -1.0)) and function in _INVERSE:
            function, power = _INVERSE[function], None
        negative = self._take("-")
        argument = self._primary(depth + 1) if self.kind == "symbol" else self._power(depth + 1)
        if self.tokens[self.index - 1][1] not in (")", "|"):
            while self.kind == "name" and self.token not in _FUNCTIONS and self.tokens[self.index - 1][0] == "number":
                argument = ("*", argument, self._power(depth + 1))  # sin 2θ
        node: Node = ("call", function, ("negative", argument) if negative else argument)
        return ("^", node, power) if power is not None else node


def _work_out(
    node: Node, values: Mapping[str, Value], unit: AngleUnit, functions: Mapping[str, Callable[..., Value]]
) -> Value:
    kind = node[0]
    if kind == "number":
        return node[1]
    if kind == "name":
        return values[node[1]]
    if kind == "negative":
        return -_work_out(node[1], values, unit, functions)
    if kind == "call":
        name = node[1]
        argument = _work_out(node[2], values, unit, functions)
        if name in _TAKES_ANGLE and unit == "deg":
            argument = argument * (math.pi / 180.0)
        result = functions[name](argument)
        return result * (180.0 / math.pi) if name in _GIVES_ANGLE and unit == "deg" else result
    left = _work_out(node[1], values, unit, functions)
    right = _work_out(node[2], values, unit, functions)
    return functions[kind](left, right)


def _guarded(function: Callable[..., float]) -> Callable[..., float]:
    def guarded(*arguments: float) -> float:
        try:
            result = function(*arguments)
        except (ValueError, ZeroDivisionError, OverflowError):
            return math.nan
        return result if isinstance(result, int | float) else math.nan

    return guarded


def _scalar_functions() -> Mapping[str, Callable[..., Value]]:
    return _SCALAR


_SCALAR: Mapping[str, Callable[..., float]] = {
    "+": lambda left, right: left + right,
    "-": lambda left, right: left - right,
    "*": lambda left, right: left * right,
    "/": _guarded(lambda left, right: left / right),
    "^": _guarded(lambda left, right: left**right),
    "abs": abs,
    **{
        name: _guarded(getattr(math, name))
        for name in ("sqrt", "sin", "cos", "tan", "asin", "acos", "atan", "log", "log10", "exp")
    },
}


def _array_functions() -> Mapping[str, Callable[..., Value]]:
    import numpy

    def quiet(function: Callable[..., Value]) -> Callable[..., Value]:
        def quietly(*arguments: Value) -> Value:
            with numpy.errstate(all="ignore"):
                return function(*arguments)

        return quietly

    names = {
        "+": "add", "-": "subtract", "*": "multiply", "/": "divide", "abs": "abs", "sqrt": "sqrt", "exp": "exp",
        "sin": "sin", "cos": "cos", "tan": "tan", "asin": "arcsin", "acos": "arccos", "atan": "arctan",
        "log": "log", "log10": "log10",
    }  # fmt: skip
    functions = {name: quiet(getattr(numpy, theirs)) for name, theirs in names.items()}
    functions["^"] = quiet(lambda left, right: numpy.power(numpy.asarray(left, dtype=float), right))
    return functions
