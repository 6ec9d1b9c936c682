"""Parts of a triangle named by its corners: the angle ABC lies at B, and the side AB opposite C."""

from __future__ import annotations

import re

_ANGLE = re.compile(r"(?:(?<![A-Za-z])m ?)?(?:∠|<|\b[Aa]ngle) ?(?P<letters>[ABC]{3})\b")
_SIDE = re.compile(
    r"(?:\b(?:[Ss]ide|[Ll]ength)(?: of)? )?(?<![A-Za-z∠<])\|?(?P<letters>[ABC]{2})\|?(?= ?(?:=|≈|:|is\b| \d|\d))"
)
_OPPOSITE = re.compile(
    r"\b(?P<what>side|angle) (?:that is |which is )?(?:opposite|across from|opp\.?) (?:of |to )?"
    r"(?P<of>(?:angle |side |∠ ?)?)(?P<letter>[ABCabc])\b",
    re.IGNORECASE,
)
_BRACKETS = re.compile(
    r"\((?=∠?[ABCabc] ?[=:])(?P<parts>[^()]*)\)(?:(?P<joint>[ \n]*(?:and|or|&|,|;)?[ \n]*)(?=\()|(?=\W*$))"
)


def with_parts_named(text: str) -> str:
    """The text with each part under its own letter, and each triangle in brackets on a line of its own.

    >>> with_parts_named("∠ABC = 62.5°, AB = 19.8"), with_parts_named("the side opposite C is 19.8")
    ('∠B = 62.5°, c = 19.8', 'the side c is 19.8')
    >>> with_parts_named("(B=62.5, c=19.8) and (B=117.5, c=7.5)")
    'B=62.5, c=19.8; B=117.5, c=7.5'
    """
    if "A" in text or "B" in text or "C" in text:
        text = _ANGLE.sub(lambda match: _angle(match[0], match["letters"]), text)
        text = _SIDE.sub(lambda match: _side(match[0], match["letters"]), text)
    if "opp" in text.lower() or "across" in text:
        text = _OPPOSITE.sub(_opposite, text)
    if text.count("(") > 1:
        parted, count = _BRACKETS.subn(lambda match: match["parts"] + ("" if match["joint"] is None else "; "), text)
        text = parted if count > 1 and "(" not in parted else text
    return text


def _angle(written: str, letters: str) -> str:
    return f"∠{letters[1]}" if len(set(letters)) == 3 else written


def _side(written: str, letters: str) -> str:
    (other,) = set("ABC") - set(letters) if len(set(letters)) == 2 else ("",)
    return other.lower() or written


def _opposite(match: re.Match[str]) -> str:
    """The side opposite an angle, or the angle opposite a side, by its letter; as it stands where both are of one sort."""
    side = match["what"].lower() == "side"
    named = match["of"].strip().lower()
    if (side and named == "side") or (not side and named in ("angle", "∠")):
        return match[0]
    if not named and match["letter"].isupper() != side:
        return match[0]
    return f"{match['what']} {match['letter'].lower() if side else match['letter'].upper()}"
