"""Students who take something back: ``12.4 no wait 14.2 m``, ``N 35° W... no, sorry. N 35° E``, ``~~17 N~~ 71 N``.

What stands behind the last such word counts, alone, where it is all that the box asks for and says again all that it takes
back: a part of an answer that is not said again is not taken back either.
"""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from grader.notation.impossible import says_there_is_none
from grader.notation.readings import BoxKind, Components, Direction, Labelled, Meaning, Polar, Quantity
from grader.notation.sameness import with_unit
from grader.notation.tables import load_table
from grader.notation.units import simple_unit

CORRECTED_NOTE = "the student corrected it: what stands behind “{}” counts"
NOT_SAID_AGAIN = "a correction that does not say the whole answer again"
STRUCK_OUT = "all of it is crossed out"


MAX_CORRECTIONS = 4
"""The last words that may take something back are looked at; a text with more is no answer."""


class Correction(NamedTuple):
    """A text parted where its student takes something back."""

    before: str
    words: str
    after: str
    size: str = ""


@cache
def _marker() -> re.Pattern[str]:
    table = load_table("words.toml")["working"]
    heads, around, choices = ("|".join(table[name]) for name in ("corrects", "around_corrections", "chooses"))
    value = r"(?=[-+(<\[]?\.?\d|∠|[A-Za-zα-ω](?:_?[a-z])? ?[=:]|\|[A-Za-z]\||[NSEWnsew] ?\d|(?:NE|NW|SE|SW)\b)"
    gap = "[ ,.!:;?-]*+"
    taken_back = rf"(?:(?:{around})\b{gap})*+(?:{heads})\b(?:{gap}(?:{heads}|{around})\b)*+"
    of_a_name = r"(?:[ ,.!:;?-]*+(?:that'?s|that is|its|it'?s) [A-Ca-cxyR]\b[ .,;:]*+(?=[A-Za-z]))?"
    chosen = rf"(?:but |so )?(?:i|i'll|ill|i'd|im|i'm) (?:{choices})\b"
    plain_no = rf"(?:(?<=[.?!,;:\n°-])|(?<=[.?!,;:\n°-] ))(?:no|nope)[,.:!]*+ *+(?:(?:its|it's|it is) )?{value}"
    must = r"(?:it |but it |angle )?(?:must|has to|should) be (?:an )?(?P<size>obtuse|acute)(?: so|,)?"
    return re.compile(rf"(?<![^\W_])(?:{taken_back}{of_a_name}|{chosen}|{plain_no}|{must})", re.IGNORECASE)


_DOUBTED = re.compile(r"\?[^?]{0,60}\b(?:ok|okay)\b,?(?: so)?(?= )", re.IGNORECASE)
"""``1.05?? oh its in rad. ok 60.2°``: the last word after a doubt."""

_STRUCK = re.compile(r"~~(?! )(?:(?!~~).)+?(?<! )~~|<(?P<tag>s|del|strike)>.*?</(?P=tag)>", re.DOTALL | re.IGNORECASE)
_STEM = re.compile(
    r"[.?!,;:\n°-] ?nop?e?\b|no,? (?:wait|actually|sorry)|sorry|wait|oops|i mean|actual|scratch|correction|hold on|make that"
    r"|other way|swap|switch|my bad|mind|nvm|edit|forget|wrong|meant|mixed|obtuse|acute"
    r"|\bok|\b(?:say|go|going|pick|choose|take|stick)\b",
    re.IGNORECASE,
)


def without_struck(text: str, notes: list[str]) -> str | None:
    """The text without what is crossed out between double tildes; None where nothing else stands in it.

    >>> without_struck("~~17 N~~ 71 N", []), without_struck("~~17 N~~", []), without_struck("~17 N", [])
    ('71 N', None, '~17 N')
    """
    if "~~" not in text:
        return text
    kept = _STRUCK.sub(" ", text).strip()
    if kept == text.strip():
        return text
    if not any(map(str.isalnum, kept)):
        return None
    notes.append("left out what is crossed out")
    return kept


def may_correct(text: str) -> bool:
    """Whether a text may take something back: few do."""
    return _STEM.search(text) is not None


_SIDE = re.compile(r"\b(?:left|right|above|below|up|down|north|south|east|west)\b", re.IGNORECASE)


def tells_a_side(text: str) -> bool:
    """Whether a word for a side stands in a text."""
    return _SIDE.search(text) is not None


_UNIT_ALONE = re.compile(
    r"\d ?(?P<first>[^\W\d_]+)[ ,.;(]{1,3}"
    r"(?:(?:i think|i guess|maybe|i believe|about|or so|approx)[ ,.;(]{1,3})?"
    r"(?:(?:no wait|wait|sorry|oops|i mean|i meant|(?:it )?should be|make that|not)[ ,]{1,2}){1,3}"
    r"(?:in )?(?P<second>[^\W\d_]+(?:/[^\W\d_]+)?)\W*$",
    re.IGNORECASE,
)


def corrects_the_unit(text: str) -> bool:
    """Whether a unit alone is taken back: ``62 ft i mean m``, ``62 kg, should be N``.

    >>> corrects_the_unit("62 ft i mean m"), corrects_the_unit("67 kn i think no wait kN")
    (True, True)
    >>> corrects_the_unit("62 ft i mean m"), corrects_the_unit("62 N sorry"), corrects_the_unit("62 N, not sure")
    (True, False, False)
    """
    match = _UNIT_ALONE.search(text)
    return match is not None and simple_unit(match["first"]) is not None and simple_unit(match["second"]) is not None


def correction(text: str) -> Correction | None:
    """Where the text is taken back for the last time, with something of an answer before and behind.

    >>> correction("12.4 no wait 14.2 m")
    Correction(before='12.4', words='no wait', after='14.2 m', size='')
    >>> correction("12.4 m, no solution by hand") is None
    True
    """
    found: Correction | None = None
    for match in list(_marker().finditer(text))[-MAX_CORRECTIONS:]:
        before, after = text[: match.start()], text[match.end() :]
        word = match[0].strip().lower()
        if word == "sorry" and before.rstrip()[-1:].isdigit():
            continue  # 61.0 sorry 62.0: among bare numbers it may say anything
        if word == "wait" and before.rstrip()[-1:].isalnum() and after[:1] not in (",", ".", ":", "!", "-"):
            continue  # 12 N wait for it 13
        if (_states(before) or says_there_is_none(before)) and _states(after):
            found = Correction(
                before.rstrip(" ,;.(?!\n-"), match[0].strip(" .,:;!?-"), _trimmed(after), match["size"] or ""
            )
    if found is None and "?" in text and (doubted := _DOUBTED.search(text)) is not None:
        before, after = text[: doubted.start()], text[doubted.end() :]
        if _states(before) and _states(after):
            found = Correction(before.rstrip(), "ok", _trimmed(after))
    return found


_SAYS_A_SIDE = re.compile(r"\b(?:[NSEW]{1,3}|north|south|east|west)\b", re.IGNORECASE)


def _states(text: str) -> bool:
    """Whether a value or a side may be stated in a piece of text."""
    return any(map(str.isdigit, text)) or _SAYS_A_SIDE.search(text) is not None


def _trimmed(text: str) -> str:
    text = text.strip(" ,;:.\n!?")
    if text.count(")") > text.count("("):
        text = text.rstrip(") ")
    return text


# ------------------------------------------------------------------------------- how far it reaches


_TWO = re.compile(r"\d[^?]*\b(?:or|and)\b[^?]*\d|\d°?,\s+-?\d", re.IGNORECASE)
_NAMED = re.compile(r"(?<![A-Za-z])([A-Ca-c])(?![A-Za-z])(?= ?(?:[=:\d]|is\b))|∠ ?([A-Ca-c])")
_CHOSEN = re.compile(r"\b(?:say|go|going|pick|choose|take|stick|sticking)\b", re.IGNORECASE)
"""One of two is chosen: ``45 or 135, i choose 45``."""

_TOLD = re.compile(r" ([A-Ca-c])$")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_TELLS_THE_START = re.compile(r"\b(?:[NSEW]|north|south|east|west|bearing|true|axis|heading)\b|-axis", re.IGNORECASE)


def is_partial(said: Correction, box: BoxKind) -> bool:
    """Whether it is not clear what a correction, which is no whole answer, takes back: then nothing may be read.

    Where it says again a part by its name, that part alone is taken back: ``x = 3, y = 4 no wait y = -4``.
    """
    if box == "direction" or (says_there_is_none(said.before) and _states(said.after)):
        return True
    if box in ("quantity", "angle"):
        return _TWO.search(said.before) is not None and "?" not in said.before
    if box in ("polar", "components"):
        return "=" not in said.after and ":" not in said.after
    return _names(said.before + said.words).isdisjoint(_names(said.after))


def _names(text: str) -> set[str]:
    return {one or other for one, other in _NAMED.findall(text)}


def takes_back(said: Correction, meaning: Meaning, box: BoxKind) -> bool:
    """Whether a meaning says again all that its correction takes back."""
    if box == "triangle":
        if not isinstance(meaning, Labelled):
            return False
        if says_there_is_none(said.before):
            return True
        named = _names(said.before)
        told = _TOLD.search(said.words)  # C is 35° no sorry thats A
        also = {told[1]} if told is not None else set()
        return bool(named) and named | also <= set(meaning.parts) and len(_NUMBER.findall(said.before)) <= len(named)
    chosen = _CHOSEN.search(said.words) is not None
    if box in ("quantity", "angle", "direction") and _TWO.search(said.before) and "?" not in said.before and not chosen:
        return False  # 53° or 127°, no wait 54°
    if isinstance(meaning, Direction):
        if meaning.form == "plain angle":
            return _TELLS_THE_START.search(said.before) is None  # bearing 120, no wait 130
        return meaning.form != "compass point" or not any(map(str.isdigit, said.before))  # N 30° W, no wait E
    return True


def with_earlier_unit(meaning: Meaning, before: Meaning | None) -> Meaning:
    """A number that is put in place of one with a unit has that unit: ``12.4 m no wait 14.2``."""
    if isinstance(meaning, Quantity) and isinstance(before, Quantity):
        return with_unit(meaning, before.unit)
    if isinstance(meaning, Polar) and isinstance(before, Polar) and before.magnitude is not None:
        return with_unit(meaning, before.magnitude.unit)
    if isinstance(meaning, Components) and isinstance(before, Components) and before.x is not None:
        return with_unit(meaning, before.x.unit)
    return meaning
