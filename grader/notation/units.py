"""Units: the words people write for them, and their factors (see data/units.toml)."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from grader.errors import NotationError

STANDARD_GRAVITY = 9.80665
"""m/s², exact: what makes a mass a force in kilograms-force (NIST SP 811, B.8)."""

MAX_UNIT_LENGTH = 40

SHORTEST_PARTED = 5
"""A keyboard parts the prefix from a unit in full, ``kilo newtons``, not from a symbol."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as this program knows it.

    ``symbol`` is how it is printed (``lb``, ``km/h``); ``dimension`` is ``length``, ``speed``, ``force``, ``mass``,
    ``time``, ``angle`` or ``""``-joined products of those; ``factor`` times a value in this unit is the value in SI units.
    """

    symbol: str
    dimension: str
    factor: float


Exponents = tuple[int, int, int, int]  # of length, mass, time, angle

_BASES = ("length", "mass", "time", "angle")

_UNIT_PART = re.compile(
    r"""
    \s*
    (?P<join> / | \bper\b | \bp(?=\s*hour) | [·.*×⋅-] | \ban?(?=\s*(?:hour|second)) )?   # quotient, product
    \s*
    (?P<word> [^\W\d_]+ | [°\#] )
    \.?
    (?: (?: \s* (?:\^|\*\*) \s* | \s* (?=\(?[+-]) | (?=[(\d]) ) \(? (?P<power> [+-]?[1-4] (?![\w.]) ) \)? )?      # s^-1, s -1, m2
    """,
    re.VERBOSE,
)

_RUN_TOGETHER = re.compile(r"^(k?m)(s|h)(?=\^?\(?-[12])")
"""ms-1, kmh^-1: metres per second, not one over a millisecond."""

_RUN_TOGETHER_WORD = re.compile(r"k?m[sh]")
_LETTERS = re.compile(r"[^\W\d_]+")

_QUOTIENTS = frozenset(("/", "per", "p", "a", "an"))
_PRODUCTS = frozenset("·*×⋅")
_SEVERAL_WORDS = tuple(re.compile(rf"(?:[^\W\d_]+[ -]?){{{count}}}") for count in (3, 2))
_GOES_ON = re.compile(r"\s*(?:[/·*×⋅]|per\b)")
_SQUARE = re.compile(r"(?P<power>square|sq|cubic|cu)\.? (?P<rest>[A-Za-z]+)", re.IGNORECASE)
_POWERS = {"square": 2, "sq": 2, "cubic": 3, "cu": 3}

_RAISED = ("", "²", "³", "⁴")

_SUPERSCRIPTS = str.maketrans({"⁻": "-", "¹": "1", "²": "2", "³": "3", "⁴": "4", "−": "-", "μ": "µ"})


@dataclass(frozen=True)
class _Table:
    """The table of units, ready for look-up: by symbol as it stands, by word in any letter case, by dimension name."""

    symbols: Mapping[str, Unit]
    words: Mapping[str, Unit]
    dimensions: Mapping[str, Exponents]
    names: Mapping[Exponents, str]
    prefixes: frozenset[str]


@cache
def _table() -> _Table:
    from grader.notation.tables import load_table

    data = load_table("units.toml")
    dimensions = {name: tuple(exponents) for name, exponents in data["dimensions"].items()}
    symbols: dict[str, Unit] = {}
    words: dict[str, Unit] = {}
    for symbol, entry in data["units"].items():
        one = Unit(symbol, entry["of"], entry["factor"])
        symbols[symbol] = one
        for further in entry.get("symbols", ()):
            symbols[further] = one
        name = entry.get("name")
        for word in ((name, name + "s") if name else ()) + tuple(entry.get("words", ())):
            words.setdefault(word.lower(), one)
        if not name:
            continue
        for prefix in entry["si_prefixes"]:
            described = data["prefixes"][prefix]
            prefixed = Unit(prefix + symbol, one.dimension, float(f"1e{described['power']}") * one.factor)
            symbols[prefixed.symbol] = prefixed
            spellings = (name, name.replace("metre", "meter"))
            for spelling in spellings:
                words.setdefault(described["name"] + spelling, prefixed)
                words.setdefault(described["name"] + spelling + "s", prefixed)
            for spelling in (*spellings, *(each + "s" for each in spellings), *entry.get("words", ())):
                if len(spelling) >= SHORTEST_PARTED:
                    words.setdefault(f"{described['name']} {spelling}", prefixed)
                    words.setdefault(f"{described['name']}-{spelling}", prefixed)
    # Kilometres are written in more ways than the rest.
    for word in ("kms", "kilometer", "klm", "kilomters", "kilomiters", "kilometeres", "km"):
        words.setdefault(word, symbols["km"])
    names = {exponents: name for name, exponents in dimensions.items()}
    prefixes = frozenset(prefix["name"] for prefix in data["prefixes"].values())
    return _Table(symbols, words, dimensions, names, prefixes)


def find_unit(text: str) -> Unit | None:
    """The unit that a text names, in any common spelling, or None.

    >>> find_unit("km per hour").symbol
    'km/h'
    >>> find_unit("furlongs") is None
    True
    """
    return _find_unit(text) if len(text) <= MAX_UNIT_LENGTH else None


def unit(text: str) -> Unit:
    """The unit that a text names; NotationError when there is none of that name."""
    found = find_unit(text)
    if found is None:
        raise NotationError(text, "expected a unit such as N, lb, kg, m, km, mi, ft, km/h, mph, m/s, knots or deg")
    return found


def unit_words() -> Iterable[str]:
    """Every word, in lower case, that names a unit."""
    return _table().words.keys()


def simple_unit(word: str) -> Unit | None:
    """The unit of a single word or symbol, without products and quotients.

    >>> simple_unit("kN").symbol, simple_unit("kn").symbol, simple_unit("Knots").symbol
    ('kN', 'kn', 'kn')
    """
    table = _table()
    found = table.symbols.get(word)
    if found is None and len(word) > 1:
        # KN, Km: a capital where the symbol has none.
        found = table.symbols.get(word[0].lower() + word[1:])
    if found is None and word.endswith("'s") and len(word) > 3:
        return simple_unit(word[:-2])  # 62 kN's
    return found or table.words.get(word.lower()) or (table.symbols.get(word.lower()) if len(word) > 1 else None)


@cache
def _first_words() -> frozenset[str]:
    """Every word, in lower case, with which the spelling of a unit begins."""
    table = _table()
    beginnings = (_LETTERS.match(spelling.lower()) for spelling in (*table.symbols, *table.words, *_POWERS))
    return frozenset(match[0] for match in beginnings if match is not None)


@lru_cache(maxsize=4096)
def may_begin_unit(word: str) -> bool:
    """Whether a text that begins with this word may name a unit; a quick no for most words that are none.

    >>> may_begin_unit("nautical"), may_begin_unit("harbour")
    (True, False)
    """
    match = _LETTERS.match(word.translate(_SUPERSCRIPTS).lower())
    return match is None or match[0] in _first_words() or _RUN_TOGETHER_WORD.fullmatch(match[0]) is not None


@lru_cache(maxsize=4096)
def _find_unit(text: str) -> Unit | None:
    cleaned = " ".join(text.translate(_SUPERSCRIPTS).split()).strip(" .()[]")
    cleaned = _RUN_TOGETHER.sub(r"\1 \2", cleaned)
    if not cleaned:
        return None
    whole = simple_unit(cleaned)
    if whole is None and "." in cleaned:
        whole = simple_unit(cleaned.replace(".", "").replace(" ", ""))
    if whole is not None:
        return whole
    if (squared := _SQUARE.fullmatch(cleaned)) is not None:
        side = simple_unit(squared["rest"])
        if side is None or side.dimension != "length":
            return None
        return _product([(side.symbol, side, _POWERS[squared["power"].lower()])])
    parts: list[tuple[str, Unit, int]] = []
    position = 0
    below = is_prefix = beside = False
    while position < len(cleaned):
        match = _UNIT_PART.match(cleaned, position)
        if match is None or match.end() == position:
            return None
        join = (match["join"] or "").strip()
        if join and not parts:
            return None
        found, end = _longest_word(cleaned, match)
        if found is None and _is_joined(join, match["word"], cleaned[match.end() :], bool(parts)):
            found = _in_the_other_case(match["word"])
        if found is None or (parts and not join and is_prefix):
            return None  # kilo furlongs: no product of a kilogram
        is_prefix = match["word"].lower() in _table().prefixes
        below = below or join in _QUOTIENTS
        beside = beside or (bool(parts) and not join)
        power = int(match["power"] or 1) if end == match.end() else 1
        if parts and not join and power == 1 and not below and match.start() == match.start("word"):
            return None
        parts.append((found.symbol, found, -power if below else power))
        position = end
    if beside and len({symbol for symbol, _, _ in parts}) < len(parts):
        return None  # m m: a gap in mm, or one unit twice
    made = _product(parts)
    return None if made is not None and beside and not below and made.dimension not in _table().dimensions else made


def _longest_word(text: str, match: re.Match[str]) -> tuple[Unit | None, int]:
    """The unit of the words that begin here: ``nautical mile`` before ``nautical``; and where it ends."""
    start = match.start("word")
    for several in _SEVERAL_WORDS:
        pieces = several.match(text, start)
        if pieces is not None:
            spelling = pieces[0].strip()
            if spelling == match["word"]:
                continue
            found = _table().words.get(spelling.lower())
            if found is not None:
                return found, start + len(pieces[0].rstrip())
    return simple_unit(match["word"]), match.end()


def _is_joined(join: str, letter: str, rest: str, has_others: bool) -> bool:
    """Whether a letter stands in a quotient or a product; N and S after a product sign may begin a bearing."""
    if not has_others:
        return _GOES_ON.match(rest) is not None
    return join in _QUOTIENTS or (join in _PRODUCTS and letter.upper() not in ("N", "S"))


def _in_the_other_case(letter: str) -> Unit | None:
    """The unit of one letter in the wrong case, which is plain in a product or a quotient alone: ``M/S``, ``n/m``."""
    return _table().symbols.get(letter.swapcase()) if len(letter) == 1 else None


def _product(parts: list[tuple[str, Unit, int]]) -> Unit | None:
    table = _table()
    factor = 1.0
    exponents = [0, 0, 0, 0]
    above: list[str] = []
    under: list[str] = []
    powers: dict[str, int] = {}
    for symbol, one, power in parts:
        powers[symbol] = powers.get(symbol, 0) + power
        if one.dimension not in table.dimensions:
            return None
        factor = factor * one.factor**power if power > 0 else factor / one.factor**-power
        for index, exponent in enumerate(table.dimensions[one.dimension]):
            exponents[index] += exponent * power
    for symbol, power in powers.items():
        if not 0 < abs(power) <= len(_RAISED):
            return None
        (above if power > 0 else under).append(symbol + _RAISED[abs(power) - 1])
    if above == ["kn"] and under == ["h"]:
        return None  # a knot is a speed: km/h, or knots, but not knots per hour
    if above == ["nmi"] and under == ["h"]:
        return table.symbols["kn"]
    if under and not any(exponents):
        return None  # m/ft: one unit or the other, and no unit of anything
    symbol = "·".join(above) or "1"
    if under:
        below = "·".join(under)
        symbol += f"/{below}" if len(under) == 1 else f"/({below})"
    return _table().symbols.get(symbol) or _named(symbol) or Unit(symbol, _dimension_name(exponents), factor)


def _named(symbol: str) -> Unit | None:
    """The unit of its own name, if the product has one: mi/h is mph."""
    return _table().words.get(symbol)


def _dimension_name(exponents: list[int]) -> str:
    known = _table().names.get((exponents[0], exponents[1], exponents[2], exponents[3]))
    if known is not None:
        return known
    return "·".join(f"{base}^{power}" if power != 1 else base for base, power in zip(_BASES, exponents) if power)


def convert(value: float, from_unit: Unit, to_unit: Unit) -> float:
    """The same quantity in another unit.

    A mass becomes a force, and the reverse, as textbooks do it: 1 kg weighs 1 kgf = 9.80665 N. NotationError when the
    two units measure different things. Factors: NIST SP 811, B.8.

    >>> round(convert(1.0, unit("lbf"), unit("N")), 6)
    4.448222
    """
    if from_unit == to_unit or (from_unit.factor == to_unit.factor and from_unit.dimension == to_unit.dimension):
        return value
    ratio = from_unit.factor / to_unit.factor
    if from_unit.dimension == to_unit.dimension:
        return value * ratio
    pair = (from_unit.dimension, to_unit.dimension)
    if pair == ("mass", "force"):
        return value * ratio * STANDARD_GRAVITY
    if pair == ("force", "mass"):
        return value * ratio / STANDARD_GRAVITY
    raise NotationError(
        from_unit.symbol,
        f"a {from_unit.dimension} cannot be written in {to_unit.symbol}, which measures {to_unit.dimension}",
    )
