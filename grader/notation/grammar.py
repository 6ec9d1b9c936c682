"""The forms of an answer, as patterns over parts of speech.

The scanner turns ``62.0 lb at S 83° E`` into tokens of kinds ``m @ S a E``; the patterns below are written over those
letters. What a text means depends on its kinds alone, so a class that writes 30 answers of one shape has it looked up once.

    n number          m number with unit    a angle with its sign (353°, 6.16 rad, 59°30')   u unit alone
    N north or newton H north in words, up  S south, down       s south or second      E east, right   W west, left
    C compass point   y by                  h above             l below                c, k (counter)clockwise
    o of, from        A an axis             V standard position b bearing              T true
    @ at, ∠           & and, +              v or                w so, therefore        = : equals
    R D X Y P L       labels: magnitude, direction, x, y, part of a triangle, another name
    i j unit vectors  ( ) < > brackets      , ; and new line    0 says that there is none     ? not known
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache

LONGEST_FORM = 40
"""No one value and no one vector has more parts, separators and all; the longest seen has half as many."""

LETTER = "[NHSsEW]"
MEASURE = "(?:m|nN|ns|n)"
ANGLE = "[na]"
POINT = f"(?:C|{LETTER}C|(?:C|{LETTER}{{1,2}})y{LETTER}|{LETTER}{{1,3}})"
GAP = r"[,;\n&/:]"
SPACER = rf"{GAP}*"
UNIT = r"(?:\(?(?P<unit>[uN])\)?)?"

DIRECTION_FORMS: tuple[tuple[str, str], ...] = (
    ("quadrant", rf"b?{LETTER},?(?:\({ANGLE}\)|{ANGLE}[,o@]?){LETTER}"),  # S 83° E, E 7° S
    ("from", rf"{ANGLE}(?:[,;\n]?{LETTER}[o&]{LETTER}|\({LETTER}o{LETTER}\))"),  # 83° E of S
    ("from", rf"{ANGLE},?[hl]o?[{LETTER[1:-1]}A]|{ANGLE}\([hl]o?[{LETTER[1:-1]}A]\)"),  # 7° below the positive x-axis
    ("from", rf"{ANGLE},?@?{LETTER}o?A"),  # 7° south of the x-axis
    ("from", rf"{ANGLE},?@{LETTER}o{LETTER}"),  # 83° toward east from south
    ("from side", rf"{ANGLE},?[hl]o?A[,&]?@?[EW]|@?[EW][,&]?@?{ANGLE}[hl]o?A"),  # 40° above the horizontal, to the left
    ("from first", rf"{ANGLE},?o{LETTER},?[@&]?{LETTER}"),  # 83° from south toward east
    ("from last", rf"{LETTER}o{LETTER}(?:[,:=@y]?{ANGLE}|\({ANGLE}\))"),  # south of east 7°
    ("from point", rf"a,?{LETTER}oC|b?C,?a@?{LETTER}|a,?oC@?{LETTER}"),  # 2 points north of NE
    ("turned", rf"{ANGLE},?\(?[ck][oh]?(?:{LETTER}|A)\)?"),  # 7° clockwise from east
    ("turned after", rf"{ANGLE},?o(?:{LETTER}|A),?[ck]"),  # 7° from east, clockwise
    ("turned before", rf"[ck]{ANGLE}o(?:{LETTER}|A)"),
    ("between sides", rf"(?:C|{LETTER}{LETTER}),?@?{ANGLE}o{LETTER}"),  # north-east, 40° from north
    ("between sides", rf"o?{LETTER}&{LETTER},?@?{ANGLE}o{LETTER}"),  # between south and west, 40° from south
    ("between sides", rf"{ANGLE}o{LETTER},?o?{LETTER}&{LETTER}"),
    ("from axis", rf"{ANGLE},?\(?(?:o|@|&o?)(?:{LETTER}|A)\)?|aA|a\(A\)"),  # 353° from the positive x-axis
    ("quarter", rf"b?{POINT}n{LETTER}"),  # SE by E 1/2 E
    ("true", rf"b[:=o]?{ANGLE}(?:T|\(T\))?H?(?:\(?c?o[NH]\)?)?"),  # bearing 097°
    ("true", rf"b[:=o]?{ANGLE},?o[NH],?c"),  # azimuth 97° from north, clockwise
    ("true", rf"{ANGLE},?\(?(?:bT?|TH?|T?b)\)?"),  # 097°T, 97° true
    ("true", rf"T[:=]?b?[:=]?{ANGLE}"),
    ("standard", rf"{ANGLE},?\(?o?V\)?|V[:=,]?{ANGLE}"),  # 353° standard position
    ("turned alone", rf"{ANGLE},?[ck]"),  # 353° counterclockwise
    ("point", rf"b?{POINT}"),  # NW, south-west, due west
    ("between", rf"{ANGLE}(?:C|{LETTER}{LETTER})|(?:C){ANGLE}"),  # 74 SE
    ("one letter", rf"{ANGLE}{LETTER}|{LETTER}{ANGLE}"),  # 7° S
    ("plain", ANGLE),
)
DIRECTION = "(?:" + "|".join(pattern for _, pattern in DIRECTION_FORMS) + ")"
SIGNED_DIRECTION = "(?!n(?![NHSsEWChlcko@bTV])|nN)" + DIRECTION
"""A direction that is more than a bare number."""


@cache
def _direction_patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple((name, re.compile(pattern)) for name, pattern in DIRECTION_FORMS)


_LEADS = rf"(?:(?:[D@(<]|b(?=[,:=]*{LETTER})|{GAP})[o=]*)"

FORMS: tuple[tuple[str, str], ...] = (
    # Vectors by components
    ("pair", r"[RL]?[=:]?<(?P<first>MEASURE)[,;\n&]+(?P<second>MEASURE)>?UNIT"),
    ("pair", r"[RL]?[=:]?<X?(?P<first>MEASURE)[,;\n&]*Y?(?P<second>MEASURE)>?UNIT"),
    ("round pair", r"[RL]?[=:]?\((?P<first>MEASURE)[,;\n&]+(?P<second>MEASURE)\)UNIT"),
    ("hats", r"[RL]?[=:]?\(?(?P<first>MEASURE)i[-,;&\n]*(?P<second>MEASURE)j\)?UNIT"),
    ("hats back", r"[RL]?[=:]?\(?(?P<second>MEASURE)j[-,;&\n]*(?P<first>MEASURE)i\)?UNIT"),
    ("hats", r"[RL]?[=:]?[<(](?P<first>MEASURE)i,?(?P<second>MEASURE)j>UNIT"),
    ("hats", r"[RL]?[=:]?\((?P<first>MEASURE)\)i[-,;&\n]*\((?P<second>MEASURE)\)jUNIT"),  # (-19.4 N)i + (31.7 N)j
    ("hats", r"[RL]?[=:]?\(?(?P<first>MEASURE)(?P<second>MEASURE)j\)?UNIT"),  # 61.57 - 7.59j
    ("one hat", r"[RL]?[=:]?\(?(?P<first>MEASURE)i\)?UNIT"),
    ("one hat", r"[RL]?[=:]?\(?(?P<second>MEASURE)j\)?UNIT"),
    ("labelled", r"[<(]?X[=:]*(?P<first>MEASURE)SPACERY[=:]*(?P<second>MEASURE)[>)]?UNIT"),
    ("labelled", r"[<(]?Y[=:]*(?P<second>MEASURE)SPACERX[=:]*(?P<first>MEASURE)[>)]?UNIT"),
    ("labelled", r"(?P<first>MEASURE)=?\(?X\)?SPACER(?P<second>MEASURE)=?\(?Y\)?"),
    ("labelled", r"(?P<second>MEASURE)\(?Y\)?SPACER(?P<first>MEASURE)\(?X\)?"),
    ("toward", r"[(<]?(?P<one>(?:m|n)@?)(?P<to1>[NHSsEW])[-,;&\n]+(?P<two>(?:m|n)@?)(?P<to2>[NHSsEW])[)>]?UNIT"),
    ("toward", r"(?P<one>m@?)(?P<to1>[NHSsEW])(?P<two>m@?)(?P<to2>[NHSsEW])"),
    ("toward bare", r"(?P<one>n)(?P<to1>[NHSsEW])(?P<two>n)(?P<to2>[NHSsEW])(?:\(?(?P<unit>u)\)?)?"),
    ("toward", r"(?P<to1>[NHSsEW])[:=]?(?P<one>(?:m|n))[-,;&\n]+(?P<to2>[NHSsEW])[:=]?(?P<two>(?:m|n))"),
    ("toward apart", r"(?P<to1>[NHSsEW])[:=]?(?P<one>(?:m|n))/?(?P<to2>[NHSsEW])[:=]?(?P<two>(?:m|n))"),
    ("toward named", r"X[=:]*(?P<one>[nm])@?(?P<to1>[EW])SPACERY[=:]*(?P<two>m@?(?=[NHSs])|n@?(?=[HSs]))(?P<to2>[NHSs])UNIT"),
    ("toward named", r"Y[=:]*(?P<one>m@?(?=[NHSs])|n@?(?=[HSs]))(?P<to1>[NHSs])SPACERX[=:]*(?P<two>[nm])@?(?P<to2>[EW])UNIT"),
    ("toward named", r"X[=:]*@?(?P<to1>[EW])[=:]?(?P<one>nN|[nm])SPACERY[=:]*@?(?P<to2>[HSs])[=:]?(?P<two>nN|[nm])"),
    ("toward", r"(?P<one>nN|[mn])\((?P<to1>LETTER)\)SPACER(?P<two>nN|[mn])\((?P<to2>LETTER)\)UNIT"),  # 19.4 N (west)
    ("toward named", r"X[=:]*(?P<one>nN|[nm])\((?P<to1>[EW])\)SPACERY[=:]*(?P<two>nN|[nm])\((?P<to2>[NHSs])\)UNIT"),
    ("toward named", r"Y[=:]*(?P<one>nN|[nm])\((?P<to1>[NHSs])\)SPACERX[=:]*(?P<two>nN|[nm])\((?P<to2>[EW])\)UNIT"),
    ("toward named", r"X[=:]*(?P<one>nN)@?(?P<to1>[EW])SPACERY[=:]*(?P<two>nN)@?(?P<to2>[HSs])"),
    ("toward named", r"Y[=:]*(?P<one>nN)@?(?P<to1>[HSs])SPACERX[=:]*(?P<two>nN)@?(?P<to2>[EW])"),
    ("toward", r"(?P<to1>[EW])[:=]?(?P<one>nN)[-,;&\n]+(?P<to2>[HSs])[:=]?(?P<two>nN)"),
    ("toward", r"(?P<to1>[HSs])[:=]?(?P<one>nN)[-,;&\n]+(?P<to2>[EW])[:=]?(?P<two>nN)"),
    ("toward axes", r"(?P<one>MEASURE)@?(?P<to1>A)[-,;&\n]*(?P<two>MEASURE)@?(?P<to2>A)UNIT"),
    ("toward units", r"(?P<one>nN)@?(?P<to1>[NHSEW])[-,;&\n]*(?P<two>nN)@?(?P<to2>[NHSEW])"),
    # A length and a direction
    ("polar bare", r"(?:[RL]=?)?[<(]?[RL]?[=:]?(?P<magnitude>n)(?P<direction>N[na][EW])[>)]?"),
    ("polar unit after", r"[<(]?[RL]?[=:]?(?P<magnitude>n)@(?P<direction>[na])[>)]?(?P<unit>[uN])"),  # 62.0∠353° N
    ("polar", r"(?:[RL]=?)?[<(]?[RL]?[=:]?(?P<magnitude>nN)\)?(?:LEADS)*(?P<direction>DIRECTION)[>)]*"),
    ("polar", r"(?:[RL]=?)?[<(]?[RL]?[=:]?(?P<magnitude>m)\)?(?:LEADS)*(?P<direction>DIRECTION)[>)]*"),
    ("polar", r"[<(]?R[=:]?(?P<magnitude>n)(?:LEADS)*(?P<direction>DIRECTION)[>)]*"),
    ("polar bare", r"(?:(?:[RL]=?)?[<(])?(?P<magnitude>n)(?:LEADS)*(?P<direction>DIRECTION)[>)]*"),
    ("polar back", r"[<(]?(?:[D@])?[=:]?(?P<direction>DIRECTION)(?:LEADS)*R[=:]?(?P<magnitude>MEASURE)[>)]?"),
    ("polar back", r"[<(]?[D@][=:]?(?P<direction>DIRECTION)(?:LEADS)*(?P<magnitude>m|nN)[>)]?"),
    ("polar back", r"[<(]?(?P<direction>SIGNED)(?:LEADS)*(?P<magnitude>m|nN)[>)]?"),
    ("polar back bare", r"(?:[D@])[=:]?(?P<direction>DIRECTION)(?:LEADS)+(?P<magnitude>n)"),
    ("polar", r"(?P<magnitude>m|nN|n)\(R\)SPACER(?P<direction>DIRECTION)\([D@]\)"),  # 36.2 kN (mag) 110.4° (dir)
    # One value
    ("two numbers", r"(?P<first>MEASURE)[,;\n&]*(?P<second>MEASURE)(?:\((?P<unit>[uN])\)?)?"),
    ("two numbers", r"(?P<first>a)(?:[,;\n&]+)(?P<second>a)"),
    ("two angles", r"(?P<first>n)(?:[,;\n&]+)(?P<second>a)"),  # 63.1 and 116.9°
)  # fmt: skip


def _expand(pattern: str) -> re.Pattern[str]:
    for name, body in (
        ("DIRECTION", DIRECTION),
        ("SIGNED", SIGNED_DIRECTION),
        ("LEADS", _LEADS),
        ("MEASURE", MEASURE),
        ("SPACER", SPACER),
        ("UNIT", UNIT),
        ("LETTER", LETTER),
    ):
        pattern = pattern.replace(name, body)
    return re.compile(pattern)


@cache
def _form_patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple((name, _expand(pattern)) for name, pattern in FORMS)


_DIRECTION_WHOLE = rf"(?:[D@o]|{GAP}|R(?=[@oD]*{SIGNED_DIRECTION}))*(?P<direction>{DIRECTION})"
_QUANTITY_WHOLE = re.compile(
    r"(?:[RXYDPL@o][=:\n]*)*(?P<value>m|nN|ns|n(?P<unit>u)|n\((?P<unit2>[uNs])\)|n|a)(?:[o]?[RXYD])?"
)


@dataclass(frozen=True, slots=True)
class Match:
    """A form that a sequence of kinds has, and where its parts stand (start, end) by name."""

    form: str
    spans: dict[str, tuple[int, int]]


@lru_cache(maxsize=8192)
def vector_forms(kinds: str) -> tuple[Match, ...]:
    """Every form of a whole vector that a sequence of kinds has, the likeliest first."""
    found = []
    for name, pattern in _form_patterns():
        match = pattern.fullmatch(kinds)
        if match is not None:
            spans = {part: match.span(part) for part, text in match.groupdict().items() if text is not None}
            found.append(Match(name, spans))
    return tuple(found)


@lru_cache(maxsize=8192)
def direction_form(kinds: str) -> str:
    """The form of a direction by its kinds; ``""`` if it is none."""
    for name, pattern in _direction_patterns():
        if pattern.fullmatch(kinds):
            return name
    return ""


@lru_cache(maxsize=8192)
def is_signed_direction(kinds: str) -> bool:
    """Whether the kinds are a direction and more than a bare number."""
    return re.fullmatch(SIGNED_DIRECTION, kinds) is not None


@lru_cache(maxsize=8192)
def direction_span(kinds: str) -> tuple[int, int] | None:
    """Where the direction stands in a text that is one direction, perhaps with words before it."""
    match = re.fullmatch(_DIRECTION_WHOLE, kinds)
    return match.span("direction") if match is not None else None


@lru_cache(maxsize=8192)
def quantity_span(kinds: str) -> tuple[int, int] | None:
    """Where the value stands in a text that is one value, perhaps with its label before it."""
    match = _QUANTITY_WHOLE.fullmatch(kinds)
    return match.span("value") if match is not None else None
