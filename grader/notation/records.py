"""Answers as a program keeps them: ``{"x": -12.75, "y": 6.1, "unit": "km"}``, ``"3,5";"-2,0"``, ``62.0  # N``."""

from __future__ import annotations

import re

from grader.notation.pieces import words
from grader.notation.units import find_unit

_NUMBER = r"[-+−]?\d+(?:\.\d+)?(?:[eE][-+]?\d{1,2})?"
_RECORD = re.compile(r"(?:[A-Za-z]\w* ?= ?)?\{([^{}]+)\}")
_ENTRY = re.compile(
    rf"""
    \s* (?P<mark> ["']? ) (?P<key> [^\W\d_][^"':,;{{}}]* ) (?P=mark) \s* : \s*
    (?: (?P<number> {_NUMBER} ) | "(?P<text> [^"\n]+ )" | '(?P<other> [^'\n]+ )' )
    \s* (?: , | $ )
    """,
    re.VERBOSE,
)
_VALUE_IN_A_RECORD = re.compile(
    rf"""\{{\s*["']val(?:ue)?["']\s*:\s*({_NUMBER})\s*,\s*["']units?["']\s*:\s*["']([^"'{{}}]+)["']\s*\}}"""
)
_LIST = re.compile(
    r"""\s*[\[(]?\s*(?:"[^"\n]+"(?: *[,;\t] *"[^"\n]+")+|'[^'\n]+'(?: *[,;\t] *'[^'\n]+')+)\s*[\])]?\s*"""
)
_SINGLE = re.compile(r"""\[ *(?:"([^"\n]*\d[^"\n]*)"|'([^'\n]*\d[^'\n]*)') *\]""")
_QUOTED = re.compile(r"\"([^\"\n]+)\"|'([^'\n]+)'")
_COMMENT = re.compile(r"(?P<front>[^#\n]*[\d)\]}])(?P<gap>\s+)(?:#|//)\s*(?P<unit>[A-Za-z°][\w°/·*^.-]*)\s*")
_NUMERALS = re.compile(r"\d[\d.,]*")
_COMPONENT = re.compile(r"[A-Za-z]{1,2}_?[xyXY]")

_ANSWER = frozenset(("value", "val", "answer", "ans", "result"))
_UNIT = frozenset(("unit", "units"))


def from_record(text: str) -> str:
    """The text as a student would write it; as it stands where a key is not a name that is known.

    >>> from_record('{"x": 6.13, "y": -5.14, "unit": "km"}'), from_record('"3,5";"-2,0"'), from_record("62.0  # kN")
    ('x = 6.13 km; y = -5.14 km', '3,5; -2,0', '62.0 kN')
    """
    unit = ""
    front = text
    if ("#" in text or "//" in text) and (comment := _COMMENT.fullmatch(text)) is not None:
        said = comment["unit"]
        known = find_unit(said) is not None and (said != "N" or len(comment["gap"]) > 1)  # 62 # N: pounds, to the north
        front, unit = (comment["front"], said) if known else (text, "")
    if "{" in front and (entries := _entries(front)) is not None:
        return _written(entries, unit) or text
    of_angles = bool(unit) and unit[0].isalpha() and _is_angle(unit)
    if unit and ((front[-1] in ")]" and not of_angles) or len(_NUMERALS.findall(front)) == 1):
        return f"{front} {unit}"
    if front[:1] == "[" and (single := _SINGLE.fullmatch(front)) is not None:
        return single[1] or single[2]
    if front[:1] in "\"'[(" and _LIST.fullmatch(front) is not None:
        items = [(one or other).strip() for one, other in _QUOTED.findall(front)]
        if all(any(map(str.isdigit, item)) for item in items):
            return "; ".join(items)
    return text


def _is_angle(unit: str) -> bool:
    found = find_unit(unit)
    return found is not None and found.dimension == "angle"


def _entries(text: str) -> list[tuple[str, str]] | None:
    """The keys and the values of a record with quoted keys or values; None for anything else."""
    if '"' not in text and "'" not in text:
        return None
    record = _RECORD.fullmatch(_VALUE_IN_A_RECORD.sub(r'"\1 \2"', text.strip()))
    if record is None:
        return None
    inside = record[1]
    entries: list[tuple[str, str]] = []
    position = 0
    while position < len(inside.rstrip()):
        entry = _ENTRY.match(inside, position)
        if entry is None:
            return None
        entries.append((entry["key"].strip(), (entry["number"] or entry["text"] or entry["other"]).strip()))
        position = entry.end()
    return entries


def _written(entries: list[tuple[str, str]], unit: str) -> str:
    """Names with their values; ``""`` where a name or what the unit belongs to is not known."""
    units = [value for key, value in entries if key.lower() in _UNIT]
    named = [(key, value) for key, value in entries if key.lower() not in _UNIT]
    if len(units) + bool(unit) > 1 or not named or len({key for key, _ in named}) < len(named):
        return ""
    if units and find_unit(units[0]) is None:
        return ""
    unit = unit or (units[0] if units else "")
    if len(named) == 1 and named[0][0].lower() in _ANSWER:
        return f"{named[0][1]} {unit}".strip()
    sorts = [sort_of_name(key) for key, _ in named]
    if not all(sorts):
        return ""
    takes = "angle" if unit and _is_angle(unit) else "length"
    if unit and takes not in sorts:
        return ""
    parts = []
    for (key, value), sort in zip(named, sorts, strict=True):
        base, _, tail = key.rpartition("_")
        if base and tail.lower() in ("deg", "degrees", "rad", "radians"):
            key, value = base, f"{value} {tail.lower()}"
        elif unit and sort == takes:
            if not value[-1].isdigit():
                return ""  # the value has a unit already
            value = f"{value} {unit}"
        parts.append(f"{key} = {value}")
    return "; ".join(parts)


def sort_of_name(name: str) -> str:
    """Whether a name is that of a length or of an angle; ``""`` where it is not known.

    >>> sort_of_name("magnitude"), sort_of_name("A"), sort_of_name("angle_deg"), sort_of_name("id")
    ('length', 'angle', 'angle', '')
    """
    base, _, tail = name.rpartition("_")
    if base and tail.lower() in ("deg", "degrees", "rad", "radians"):
        name = base
    if len(name) == 1 and name in "abcABC":
        return "angle" if name.isupper() else "length"
    kind = words().kinds.get(name.lower().replace("_", ""), ("",))[0]
    if kind and kind in "RXYHSEW":
        return "length"
    if kind and kind in "DPb":
        return "angle"
    return "length" if _COMPONENT.fullmatch(name) else ""
