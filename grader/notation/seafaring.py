"""The words of people who sail, in the words of the grammar: points of the compass, set and drift, westing and d.lat.

A point of the compass is the 32nd part of a circle, 11.25° (Bowditch, American Practical Navigator, from memory). A course,
a set and a COG are bearings from north; a wind is named by where it comes from, a current by where it goes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import cache

from grader.notation.meanings import POINT_DEGREES
from grader.notation.pieces import Token
from grader.notation.readings import BoxKind
from grader.notation.tables import compass_points

_SIDE = r"(?:north|south|east|west|[nsew])(?:wards?)?(?![a-z])"
_WORD = r"(?:(?:north|south)(?:east|west)?|east|west|[nsew]{1,3}|[nsew]{1,2}b[nsew])(?:wards?)?(?![a-z])"
_POINT = rf"{_WORD}(?:[- ](?:by[- ])?{_WORD})*+"

# ------------------------------------------------------------------------------- points of the compass


_POINTS = re.compile(
    r"""
    (?<![\w.,/°-])
    (?: (?P<whole> \d++ | one | (?: ^ | (?<=[,;]\ ) ) a | a (?=\ points?\ +1/2) )
        (?P<decimals> [.,]\d++ )? (?: \s* (?P<and> [13]/[24] ) )?
      | (?P<part> half | [13]/[24] ) (?: \s+ of )? (?: \s+ an? )? )
    \s* (?: compass \s+ )? (?: points? | pts?\b\.? ) (?![a-z])
    (?: \s+ of \s+ the \s+ compass )?
    (?: \s+ (?P<then> [13]/[24] ) )?
    """,
    re.VERBOSE | re.IGNORECASE,
)
_FROM = re.compile(
    rf"""
    [\s,]* (?: (?:on|to|towards?) \s+ )? (?: the \s+ )?
    (?: (?P<side> {_SIDE} ) \s+ (?:of|from) \s+ (?: (?:due|true|the) \s+ )? {_POINT}
      | (?:from|off) \s+ (?: (?:due|true|the) \s+ )? {_POINT} ,? \s+ (?:to|towards?) \s+ (?: the \s+ )? {_SIDE} )
    """,
    re.VERBOSE | re.IGNORECASE,
)
_BEFORE = re.compile(rf"(?<![a-z]){_POINT}[\s,]*$", re.IGNORECASE)
_TOWARD = re.compile(rf"[\s,]*(?:to(?:wards?)?\s+)?(?:the\s+)?{_SIDE}", re.IGNORECASE)
_STATED = re.compile(r"\s*(?:$|[.,;=(\n]|⇒|or\b|is\b|so\b)", re.IGNORECASE)
_THE = re.compile(r"\b(?:the|these|those|both|between)\s*$", re.IGNORECASE)
_VERB = re.compile(rf"\s*{_POINT}\W*\d", re.IGNORECASE)

_IN_TWO_WORDS = re.compile(r"\b(north|south)[ -](east|west)\b", re.IGNORECASE)

QUARTER_TURN = 8
"""Points: nobody counts more of them from one chief direction toward the next."""

WHOLE_TURN = 32

LONGEST_POINT = 40
"""Letters of a compass point in words, and the blanks behind it."""


def in_degrees(text: str, box: BoxKind, notes: list[str]) -> str:
    """The text with points of the compass in degrees, exact, where they are counted from one direction toward another.

    >>> in_degrees("2 points west of north", "direction", []), in_degrees("4 points", "angle", [])
    ('22 1/2° west of north', '90/2°')
    >>> in_degrees("2 points on the bow", "direction", [])
    '2 points on the bow'
    """

    def written(match: re.Match[str]) -> str:
        text, count = match.string, _count(match)
        if count is None or not (_is_counted_from(match) if count <= QUARTER_TURN else False):
            stated = box == "angle" and _STATED.match(text, match.end()) and not _THE.search(text[: match.start()])
            if count is None or count > WHOLE_TURN or not stated:
                return match[0]
        degrees = count * Fraction(POINT_DEGREES)
        notes.append(f"read {' '.join(match[0].split())} as {float(degrees):g}°")
        whole, rest = divmod(degrees, 1)
        mixed = f"{whole} {rest}°" if rest else f"{2 * whole}/2°"  # a fraction is exact, as no numeral is
        return mixed + " " * text[match.end() : match.end() + 1].isalnum()

    return _POINTS.sub(written, _IN_TWO_WORDS.sub(r"\1\2", text) if _POINTS.search(text) else text)


def _is_counted_from(match: re.Match[str]) -> bool:
    """Whether the words around points say from where, and toward where, they are counted."""
    text, end = match.string, match.end()
    if _FROM.match(text, end) is not None:
        return True
    return (
        _TOWARD.match(text, end) is not None
        and _BEFORE.search(text[max(match.start() - LONGEST_POINT, 0) : match.start()]) is not None
    )


def _count(match: re.Match[str]) -> Fraction | None:
    """How many points; None where they are not whole, halves or quarters."""
    if match["part"]:
        return Fraction("1/2" if match["part"].lower() == "half" else match["part"])
    whole = match["whole"]
    count = Fraction(whole if whole.isdigit() else 1)
    if match["decimals"]:
        count = Fraction(whole + match["decimals"].replace(",", ".")) if whole.isdigit() else count
    for more in (match["and"], match["then"]):
        count += Fraction(more) if more else 0
    return count if (count * 4).denominator == 1 else None


def points_from_nowhere(text: str, box: BoxKind) -> str:
    """A reason why points that are still in a text say nothing sure; ``""`` where there are none."""
    if len(text) < SHORTEST or ("pt" not in (lower := text.lower()) and "point" not in lower):
        return ""
    for match in _POINTS.finditer(text):
        count = _count(match)
        if not (match["whole"] or "").isdigit() and not match["part"]:
            continue
        small = count is not None and count <= WHOLE_TURN
        alone = box in ("quantity", "angle") and not any(map(str.isdigit, text[: match.start()] + text[match.end() :]))
        lone = box == "polar" and small and not _VERB.match(text, match.end())
        if alone or lone or (box == "direction" and (small or count is None)):
            return f"it is not clear from where “{match[0].strip()}” are counted"
    return ""


# ------------------------------------------------------------------------------- other words


def _reversed(match: re.Match[str]) -> str:
    """``westing 2.5`` as ``easting -2.5``."""
    name = "easting" if match["name"].lower() == "westing" else "northing"
    return f"{name} = -{match['value']}"


def _goal(match: re.Match[str]) -> str:
    """``from the SW to the NE``: the goal says it all, where it lies opposite to the source."""
    start, goal = (compass_points().get(_letters(match[part])) for part in ("start", "goal"))
    opposite = start is not None and goal is not None and abs(start - goal) == 180.0
    return f"toward {match['goal']}" if opposite else match[0]


def _letters(words: str) -> str:
    """The letters of a compass point: ``north-east`` is NE."""
    return "".join(
        "b" if word == "by" else _INITIALS.sub("", word).upper() for word in re.split(r"[- ]", words.lower())
    )


_INITIALS = re.compile(r"(?<=[nsew])(?:orth|outh|ast|est)(?:wards?)?")
_VALUE = rf"(?=\d|{_WORD})"

# The boxes where it holds, what a text must have for it, what is looked for, and what it becomes.
_PHRASES: tuple[tuple[str, str, str, str | Callable[[re.Match[str]], str]], ...] = (
    (
        "direction polar",
        "set",
        rf"\b(?:the )?set(?:s|ting)?\b(?: ?[:=]| is| to(?:wards?)?)? ?(?:the )?{_VALUE}",
        "course ",
    ),
    ("polar quantity", "drift", r"\bdrift(?: ?[:=]| is| of)? ?(?=\d)", "speed = "),
    (
        "angle",
        "crab drift leeway",
        r"\b(?:crab|drift|leeway)(?: angle)?(?: ?[:=]| is| of)? ?(?=\d)",
        "angle = ",
    ),
    (
        "angle",
        "to",
        r"(?<=[°es\d]) ?\(?\b(?:in)?to (?:the )?(?:tide|wind|current|stream|port|starboard|windward|leeward)\b\)?",
        "",
    ),
    (
        "angle",
        "between",
        r"\bbetween (?:the |these |those |both |our |their )?(?:2 )?(?:courses|headings|bearings|tracks|legs|paths)\b",
        "",
    ),
    ("components", "d", r"\bd ?[.'’]? ?lat\b\.?", "lat"),
    (
        "components",
        "westing southing",
        r"\b(?P<name>westing|southing)\b(?: ?[:=]| is| of)? ?(?P<value>\d)",
        _reversed,
    ),
    (
        "direction polar",
        "from",
        rf"(?:\b(?:blowing|coming|flowing|setting) )?\bfrom (?:the )?(?P<start>{_POINT}),?(?: (?:and|so|then|it|it's|is|pushes|"
        r"pushing|blows|blowing|goes|going|flows|flowing|sets|setting|drives|driving|me|us|the boat)){0,4}"
        rf" (?:to|towards?|into) (?:the )?(?P<goal>{_POINT})(?=\W*$)",
        _goal,
    ),
)


@cache
def _phrases() -> tuple[
    tuple[frozenset[str], tuple[str, ...], re.Pattern[str], str | Callable[[re.Match[str]], str]], ...
]:
    return tuple(
        (frozenset(boxes.split()), tuple(stems.split()), re.compile(pattern, re.IGNORECASE), written)
        for boxes, stems, pattern, written in _PHRASES
    )


SHORTEST = 4
"""Letters of the shortest text with something to mend here: ``2 pts``."""
_STEMS = ("pt", "point", "set", "drift", "crab", "leeway", "lat", "westing", "southing", "from", "between", "to ")
"""One of these is in every text with something to mend here."""


def as_sailed(text: str, box: BoxKind, notes: list[str]) -> str:
    """The text with the words of sailing in those of the grammar.

    >>> as_sailed("set SSW, drift 2.0 knots", "polar", []), as_sailed("westing 2.5 NM", "components", [])
    ('course SSW, speed = 2.0 knots', 'easting = -2.5 NM')
    """
    if len(text) < SHORTEST:
        return text
    lower = text.lower()
    for stem in _STEMS:
        if stem in lower:
            break
    else:
        return text
    if "pt" in lower or "point" in lower:
        text = in_degrees(text, box, notes)
    for boxes, stems, pattern, written in _phrases():
        if box in boxes and any(stem in lower for stem in stems):
            text = pattern.sub(written, text)
    return text


_SOURCE = re.compile(r"@?o(?:C|[NHSsEW]|b?[=:]?[na]T?)")
_STEM = r"(?:north|south|east|west|[nsew])"
_COMPASS = rf"{_STEM}(?:[- ]?{_STEM}){{0,2}}(?:erly|ern)?"
_WIND = re.compile(
    rf"(?<![\d°][ -])(?<![\d°a-z]){_COMPASS}[- ](?:wind|breeze)\b"  # SW wind, but not N 30° E, wind
    rf"|^\W*(?:the )?wind(?:'s| is|:)? (?:(?:an? |the )|\d[\d.,]* ?[a-z/]{{0,5}},? )?{_COMPASS}\W*$"
    r"|\bwinds?:? (?:is |from )?\d{3}(?: ?°| degrees)? ?T?,? ?(?:at|@|/) ?\d",  # wind 230 at 12
    re.IGNORECASE,
)
_RELATIVE = re.compile(
    r"\brel(?:ative|\.)? (?:bearing|brg|heading)"
    r"|\b(?:relative to|with respect to|wrt|off|from) (?:the |its |our |my |her |his )?"
    r"(?:[a-z]+'s |boat |ship |barge |plane |ferry |tug )?"
    r"(?:heading|course|track|bow|hdg)\b(?! ?(?:of|is|=|:))(?! \d[^\n]*[-+=])",
    re.IGNORECASE,
)
_RELATED = re.compile(r"rel|resp|wrt|off|from")
_FROM_TO = re.compile(
    rf"\bfrom (?:the )?{_POINT}[^\d\n]{{1,40}}?\b(?:to|towards?|into) (?:the )?{_POINT}(?=\W*$)", re.IGNORECASE
)


def unsaid_at_sea(text: str, tokens: Sequence[Token], kinds: str, box: BoxKind) -> str:
    """What leaves a direction open, as a reason; ``""`` where nothing does.

    A wind is named by where it comes from (``from the SW``, ``SW wind``), a relative bearing counts from the bow.
    """
    if box not in ("direction", "polar") or len(text) < SHORTEST:
        return ""
    lower = text.lower()
    if _RELATED.search(lower) is not None and _RELATIVE.search(text):
        return "a relative bearing counts from where the bow points, which is not said"
    source = "o" in kinds and _SOURCE.fullmatch(kinds) is not None and tokens[kinds.index("o")].text.lower() == "from"
    wind = ("wind" in lower or "breeze" in lower) and _WIND.search(text) is not None
    apart = "from" in lower and not any(map(str.isdigit, text)) and _FROM_TO.search(text) is not None
    if source or wind or apart:
        return "it may be said where the wind or current comes from, not where it goes"
    return ""
