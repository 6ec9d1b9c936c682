"""Sentences parted into clauses: what states the answer is kept; reasons, comparisons and remarks on it are left out.

``I got 212 miles, since it flew for 2.5 hours at 84.8 mph`` states 212 miles. Whether what is kept may stand alone is judged
by sentences.py, from what it says and from what was left out.
"""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from grader.notation.pieces import words
from grader.notation.tables import load_table


class Parted(NamedTuple):
    """A text in two: what states the answer, and the clauses left out, as written.

    ``lead`` tells whether the text begins with a clause left out, ``unknown`` whether one says that a part is not given,
    ``two`` whether one says that there are two answers.
    """

    kept: str
    left_out: tuple[str, ...]
    lead: bool = False
    unknown: bool = False
    two: bool = False


def _any_of(phrases: list[str]) -> str:
    return "|".join(map(re.escape, sorted(phrases, key=len, reverse=True)))


class _Patterns(NamedTuple):
    boundary: re.Pattern[str]
    compared: re.Pattern[str]
    comment: re.Pattern[str]
    announced: re.Pattern[str]
    unknown: re.Pattern[str]
    number: re.Pattern[str]
    telling: re.Pattern[str]


@cache
def _patterns() -> _Patterns:
    sentences, trade = load_table("sentences.toml"), load_table("words.toml")
    table = sentences["clauses"]
    telling = (
        *sentences["passing"]["telling"],
        *trade["telling"]["words"],
        *table["signs"],
        *trade["none"]["triggers"],
    )
    numbers = [word for word in trade["number_words"] if word not in ("one", "oh")]
    degree = r"(?:\w+ly |much |way |a lot |a bit |a little )?"
    compared = rf"which (?:is|was|seems|looks) {degree}(?:{_any_of(table['compared'])}) than\b"
    reason = rf"(?P<reason>(?:{_any_of(table['reason'])})(?![\w'’]))"
    stop = r"(?P<stop>(?<=[^\s.])[.!?](?=\s+[A-Z]|\s*$)|\n|;|:(?=\s))"
    return _Patterns(
        re.compile(
            rf"{stop}|(?P<comma>,)(?=\s)"
            rf"|(?<![\w'’])(?:{reason}|(?P<compared>{compared})"
            rf"|(?P<result>so|therefore|thus|hence|which (?:means|gives|makes)|that's why|that is why)(?![\w'’-]))",
            re.IGNORECASE,
        ),
        re.compile(compared, re.IGNORECASE),
        re.compile(rf"(?<![\w'’])(?:{_any_of(table['comments'])})(?![\w'’])", re.IGNORECASE),
        re.compile(
            rf"\s*there(?:'s| is| are| were| can be| would be) (?:only |just |exactly )?(?:(?P<two>two|2)|one|1) "
            rf"(?:\w+ )?(?:{_any_of(table['announced'])})(?: here| possible)?\s*",
            re.IGNORECASE,
        ),
        re.compile(rf"\s*(?:and |but )?(?:{_any_of(table['unknown'])})(?![\w'’])", re.IGNORECASE),
        re.compile(rf"\d|(?<![\w'’])(?:{_any_of(numbers)})(?![\w'’])", re.IGNORECASE),
        re.compile(rf"(?<![\w'’])(?:{_any_of(list(telling))})(?![\w'’])", re.IGNORECASE),
    )


def has_number(text: str) -> bool:
    """Whether a number stands in a text, in digits or in words."""
    return _patterns().number.search(text) is not None


_TURNS_OF_SPEECH = re.compile(
    r"\bright (?:mode|formula|method|units?|angled?|triangles?|along|away|answer)\b"
    r"|\b(?:that|it|this|which)(?:'s| is) right\b|\bright\?"
    r"|\bleft over\b|\bbreak(?:s|ing)? down\b",
    re.IGNORECASE,
)
"""Words of a side that tell of none."""

_VERB_WITH_UP = re.compile(
    r"\b((?:end|wind|wound|split|set|add|come|came|show|make|give|look|back|mix|use|draw|drew|sum)(?:s|ed|ting|ing|ding)?) up\b",
    re.IGNORECASE,
)


def without_up(text: str) -> str:
    """The text without the ``up`` of verbs that go nowhere.

    >>> without_up("they end up 25 mi from the dock")
    'they end 25 mi from the dock'
    """
    return _VERB_WITH_UP.sub(r"\1", text) if "up" in text else text


TURN = "turn"
"""Stands among the sides for a word of how an angle is counted: clockwise, a bearing."""

_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*")


SIGN_OF_AXIS = re.compile(
    r"\b(?P<axis>[xy])(?:[ -](?:component|value|part|coordinate))?(?:'s| is| was| are) (?:a )?"
    r"(?P<sign>neg|pos)(?:ative|itive)?\b",
    re.IGNORECASE,
)
"""``x is negative``: it goes to the west."""

_SIDE_OF_SIGN = {("x", "pos"): "E", ("x", "neg"): "W", ("y", "pos"): "N", ("y", "neg"): "S"}


def sides(text: str) -> frozenset[str]:
    """The letters of the sides that a text tells of: ``toward the east``, ``down``, ``northwest``, ``above``.

    >>> sorted(sides("it goes down and to the left")), sorted(sides("they meet at a right angle"))
    (['S', 'W'], [])
    """
    found: set[str] = set()
    known = words().kinds
    for word in _WORD.findall(_TURNS_OF_SPEECH.sub("", without_up(text.lower()))):
        kind, value = known.get(word, ("", ""))
        if kind and kind in "NHSsEWC" and len(word) > 1:
            found.update(letter for letter in value if letter in "NSEW")
        elif kind in ("h", "l"):
            found.add("N" if kind == "h" else "S")
        elif kind in ("c", "k") or word in ("bearing", "azimuth"):
            found.add(TURN)
    if "neg" in text or "pos" in text:
        found.update(_SIDE_OF_SIGN[one["axis"].lower(), one["sign"].lower()] for one in SIGN_OF_AXIS.finditer(text))
    return frozenset(found)


class _Clause(NamedTuple):
    """A clause as written, with what parts it from the one before."""

    before: str  # "", "stop", "comma", "reason", "compared", "result"
    mark: str
    text: str


def _clauses(text: str) -> list[_Clause]:
    found: list[_Clause] = []
    before, mark, start = "", "", 0
    for match in _patterns().boundary.finditer(text):
        found.append(_Clause(before, mark, text[start : match.start()]))
        before, mark = match.lastgroup or "", match[0]
        start = match.start() if before in ("reason", "compared", "result") else match.end()
    found.append(_Clause(before, mark, text[start:]))
    return [clause for clause in found if clause.text.strip() or clause.before == "stop"]


_GOES_ON = re.compile(r"\s*(?:and|or)\b", re.IGNORECASE)
_BUT = re.compile(r"\s*but\b", re.IGNORECASE)
_LEADING = re.compile(r"(?:[\s,]*\b(?:and|well|ok|okay)\b)*[\s,]*", re.IGNORECASE)
"""What may stand before a reason that leads its sentence."""


def parted(text: str) -> Parted:
    """What states the answer in a text of sentences, and what does not.

    >>> parted("I got 212 miles, since it flew for 2.5 hours.").kept
    'I got 212 miles'
    >>> parted("Because it rows 8 mph east, it moves at 8.6 mph").kept
    'it moves at 8.6 mph'
    """
    patterns = _patterns()
    kept: list[str] = []
    left_out: list[str] = []
    unknown = two = leads = False
    leaving = ""  # why the clauses before were left out: a leading reason ends with its comma, any other goes on
    sentence_empty = True
    for clause in _clauses(text):
        body = clause.text
        said = has_number(body) or bool(sides(patterns.comment.sub("", body)))
        if clause.before == "stop":
            leaving, sentence_empty = "", True
        goes_on = bool(leaving) and (
            (clause.before == "comma" and leaving == "leading" and _GOES_ON.match(body) is not None)
            or (clause.before in ("comma", "result") and leaving == "trailing" and not said and not _BUT.match(body))
        )
        reason = clause.before in ("reason", "compared")
        announced = patterns.announced.fullmatch(body)
        is_unknown = not said and patterns.unknown.match(body) is not None
        remark = announced is not None or is_unknown or (not said and patterns.comment.search(body) is not None)
        if clause.before == "result" and not said and has_number("".join(kept)):
            remark = remark or patterns.telling.search(body) is None  # 0, which means they are perpendicular
        if reason or goes_on or remark:
            left_out.append(body.strip())
            if not goes_on:
                leaving = "leading" if reason and sentence_empty else "trailing"
            leads = leads or (reason and not kept)
            unknown = unknown or is_unknown
            two = two or bool(announced and announced["two"])
            if announced:
                sentence_empty = True
            if clause.before == "stop" and clause.mark in ";\n" and kept:
                kept.append(clause.mark)
            continue
        if _LEADING.fullmatch(body) and clause.before != "result":
            continue  # and since ...
        joined = "" if not kept else ", " if clause.before in ("result", "comma") else clause.mark
        leaving, sentence_empty = "", False
        kept.append(joined + (body.strip() if clause.before in ("result", "comma") else body))
    rest = "".join(kept).strip(" ,;:\n")
    return Parted(rest, tuple(left_out), leads, unknown, two)
