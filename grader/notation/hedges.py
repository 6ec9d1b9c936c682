"""What students say of their own answer: that they hope so, that they do not know the rest, which function they took.

Each is left out before the text is scanned. None of these words may say anything of a value: a remark with a number in it,
or one that may name a side (``right``), stays where it can matter.
"""

from __future__ import annotations

import re
from functools import cache

from grader.notation.readings import BoxKind
from grader.notation.tables import load_table

_STEM = re.compile(
    r"hop|same|\(|know|dunno|idk|unknown|forgot|no (?:idea|clue)|could|can'?t|didn|not |wrong|\?|with (?:that|it|this)",
    re.IGNORECASE,
)


@cache
def _closing() -> re.Pattern[str]:
    hopes = "|".join(load_table("words.toml")["working"]["hopes"])
    return re.compile(rf"(?:[\s,;.(]++|\?++ *+)(?:so |but )?(?:{hopes})[\s.!?)]*$", re.IGNORECASE)


_DOUBT = re.compile(
    r" ?\( *(?:(?:correct|maybe|i think|i hope|not sure|i guess|is (?:that|this|it) (?:right|correct)"
    r"|(?P<side>right)) *\?* *|\?+ *)\)",
    re.IGNORECASE,
)
_UNKNOWN = r"(?:dunno|idk|unknown|i ?don'?t know|i ?do not know|no (?:idea|clue)|not sure|\?++)"
_FORGOT = r"(?: *,? *\(?(?:sorry )?i? ?(?:forgot|couldn'?t|didn'?t|don'?t know|cant|can't)\b[^\d\n=:]{0,40})?"
_PART = re.compile(
    r"[\s,;.]++(?:and |but )?(?:the |my )?(?P<name>direction|angle|magnitude|length|theta|θ|x|y|[A-Ca-cRr]) *(?:=|:|\bis\b)? *"
    rf"{_UNKNOWN}{_FORGOT}[\s.!)]*$",
    re.IGNORECASE,
)
_REST = re.compile(
    r"[\s,;.(]++(?:and |but )?(?:the )?(?:rest|others?|other ones)\b,? *(?:of it )?"
    r"(?:dunno|idk|unknown|(?:i )?(?:don'?t know|do not know|couldn'?t (?:do|get|find)|have no idea|no idea))"
    r"(?: it| them| sorry| how)*[\s.!?)]*$",
    re.IGNORECASE,
)
_NOT_FOUND = re.compile(
    r"[\s,;.(]++(?:and |but |sorry )?(?:i )?(?:don'?t know|do not know|couldn'?t|could not|can'?t|didn'?t|forgot|not sure)\b"
    r"(?: (?:how|to|get|find|do|figure|work|out|calculate))* (?:the |my )?"
    r"(?:(?P<angle>direction|angles?)|(?P<length>magnitude|length|sides?)|(?P<part>[xyABCabc])|rest|others?|other ones)[\s.!)]*$",
    re.IGNORECASE,
)
_OF_ANGLES = re.compile(r"°|deg|\b[NSEW]\b|\b[ABC] ?=|direction|angle|bearing|course|heading|north|south|east|west")
_NOT_SURE = re.compile(
    r"^\W*(?:(?:i'?m |i am )?not (?:\w+ )?sure|idk|dunno),? *(?:but )?"
    r"(?:(?:maybe|i think|i guess|its|it's) )*(?=-?\d|[A-Za-zθ|] ?=)",
    re.IGNORECASE,
)
_ORDER = re.compile(
    r"[\s,;.(]++(?:sorry,? )?(?:(?:it'?s|that'?s|in) )?(?:the )?wrong (?:way (?:a?round)|order)[\s.!)]*$", re.IGNORECASE
)
_ANGLE_AND_LENGTH = re.compile(r"-?[\d.,]+ ?(?:°|deg(?:rees)?)[^\d°]*[\d.,]+ ?(?!deg)[A-Za-z][A-Za-z/]*", re.IGNORECASE)

_WHICH = re.compile(
    r"^(?:is it |is this |do i use |which one |)(?:sin|cos|tan)(?:e)? or (?:sin|cos|tan)(?:e)? ?\?+ *(?=[^\n]*\d)",
    re.IGNORECASE,
)
_WITH_IT = re.compile(r"\b(?:with|using) (?:the )?(?:sin|cos|tan)e? i? ?(?:get|got) (?=-?\d)", re.IGNORECASE)
_GOING = re.compile(
    r",? *(?:so )?(?:i'm|im|i am|i'll|ill|i will)? ?(?:go|going|stick|sticking) with (?:that|it|this)[\s.!]*$",
    re.IGNORECASE,
)


def without_hedges(text: str, box: BoxKind) -> str:
    """The text without what its student says of it.

    >>> without_hedges("12.5 N and 40° (i hope)", "polar"), without_hedges("R = 31 km, direction dunno", "polar")
    ('12.5 N and 40°', 'R = 31 km')
    >>> without_hedges("12 N (right?)", "components")
    '12 N (right?)'
    """
    if _STEM.search(text) is None:
        return text
    if not any(map(str.isalnum, text)):
        return text
    kept = _shorter(text, _closing())
    if "(" in kept:
        sided = box in ("direction", "components", "polar")
        kept = _DOUBT.sub(lambda match: match[0] if match["side"] and sided else "", kept)
    if box in ("polar", "components", "triangle"):
        kept = _without_not_found(_shorter(_shorter(kept, _REST), _PART))
    kept = _NOT_SURE.sub("", kept)
    if box == "polar" and "wrong" in kept and (match := _ORDER.search(kept)) is not None:
        front = kept[: match.start()]
        kept = front if _ANGLE_AND_LENGTH.fullmatch(front) else kept  # marked as what they are, in either order
    if box in ("quantity", "angle") and "?" in kept and (asked := _WHICH.match(kept)) is not None:
        kept = _WITH_IT.sub("", kept[asked.end() :])
    if "with" in kept:
        kept = _shorter(kept, _GOING)
    return kept


def _without_not_found(text: str) -> str:
    """``c = 61.3, couldn't get the angles``: not where what is stated is of the sort that was not found, or may be."""
    match = _NOT_FOUND.search(text)
    if match is None:
        return text
    kept = text[: match.start()]
    if match["part"] and re.search(rf"\b{match['part']}\b", kept) is not None:
        return text
    of_angles = _OF_ANGLES.search(kept) is not None
    stated = (
        any(map(str.isdigit, kept)) and not (match["angle"] and of_angles) and not (match["length"] and not of_angles)
    )
    return kept if stated else text


def _shorter(text: str, remark: re.Pattern[str]) -> str:
    """The text without a remark at its end, where something is left."""
    match = remark.search(text)
    return text[: match.start()] if match is not None and any(map(str.isalnum, text[: match.start()])) else text
