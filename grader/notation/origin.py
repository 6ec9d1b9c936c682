"""Where an angle is counted from, said as where zero lies: ``49.4° where east is 0``, ``041 (north = 0°)``.

The words are put in those of the grammar. From east an angle counts counterclockwise and from north clockwise, unless the
text says which way; from any other side it must say so. Left in, they would be taken for an answer of 0°, or for none.
"""

from __future__ import annotations

import re

_SIDES = {
    "n": "north",
    "s": "south",
    "e": "east",
    "w": "west",
    "r": "east",
    "x": "east",
    "y": "north",
    "+": "",
    "p": "",
}
_SIDE = (
    r"(?<![\w°])(?:the )?(?:due )?(?P<{0}>north|east|south|west|[NESW]|(?:the )?right|"
    r"(?:the )?(?:\+ ?|positive |pos )?[xy](?:[- ]?axis))\b"
)
_ZERO = r"(?<![\w.,])(?:0|zero)(?![.\d])(?: ?°| ?degrees?| ?deg)?"
_IS = r"(?: ?= ?| (?:is|as|at|being|equals|means|is at) )"
_TURN = r"\b(?P<{0}>(?:counter|anti)[- ]?clock(?:wise)?|ccw|acw|clockwise|cw)\b"
_ORIGIN = re.compile(
    rf"[ ,;]*(?P<lead>\(|\b(?:where|with|when|if|taking|using|assuming|for|counting|measured|measuring)\b)?[ (]*"
    rf"(?:\b(?:where|with|when|if|taking|using|assuming|as)\b )?"
    rf"(?:{_SIDE.format('one')}{_IS}{_ZERO}|{_ZERO}{_IS}{_SIDE.format('other')})"
    rf"(?:[ ,]*(?:and |then )?(?:going |goes |measured )?{_TURN.format('turn')})?(?P<close>\)?)",
    re.IGNORECASE,
)
_TURNS = re.compile(rf"[ ,(]*{_TURN.format('turn')}\)?", re.IGNORECASE)
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_SO = re.compile(r"^[\s,:;]*(?:(?:so|then|it'?s|it is|is)\b[\s,:;]*)*", re.IGNORECASE)

OPEN = "it is not said which way the angle counts from where zero lies"


def may_name_origin(text: str) -> bool:
    """Whether a text may say where zero lies."""
    return ("0" in text or "zero" in text.lower()) and _ORIGIN.search(text) is not None


def with_origin_named(text: str, box: str, notes: list[str]) -> tuple[str, str]:
    """The text with where zero lies in the words of the grammar; or why its angle is open.

    >>> with_origin_named("49.4 where 0 is east", "direction", [])
    ('49.4 standard position', '')
    >>> with_origin_named("110 clockwise (north = 0)", "direction", []), with_origin_named("0° = E", "direction", [])
    (('110 clockwise from north', ''), ('0° = E', ''))
    """
    match = _ORIGIN.search(text)
    if match is None:
        return text, ""
    before, after = text[: match.start()], text[match.end() :]
    others = len(_NUMBER.findall(before + after))
    if not others or (box == "polar" and match["lead"] is None and others < 2):
        return text, ""
    words = (match["one"] or match["other"]).lower().removeprefix("the ")
    side = _SIDES[words[0]] or ("east" if "x" in words else "north")
    turn = match["turn"]
    if turn is None and (found := _TURNS.search(before + after)) is not None:
        turn = found["turn"]
        before, after = _TURNS.sub("", before, count=1), _TURNS.sub("", after, count=1)
    if turn is None:
        if side not in ("east", "north"):
            return "", OPEN
        said = "standard position" if side == "east" else "clockwise from north"
    else:
        clockwise = turn.lower().startswith("c") and not turn.lower().startswith(("counter", "ccw"))
        said = f"{'clockwise' if clockwise else 'counterclockwise'} from {side}"
    notes.append(f"counted from {side}, where zero is said to lie")
    if not before.strip():
        if said != "standard position" or box == "polar":
            return f"{_SO.sub('', after).rstrip(' ,:;')} {said}", ""
        return f"{said}: {_SO.sub('', after).rstrip(' ,:;')}", ""
    rest = after.strip()
    return f"{before.rstrip(' ,(')} {said}{' ' if rest[:1].isalnum() else ''}{rest}".strip(), ""
