"""What a student says beside the answer: ``71.4 kN but don't quote me on that``, ``67.0 kN, 0.4 more than the book``.

Two kinds of clauses are none of the answer. Those with a number compare the answer with something (``less than 40 + 55 = 95``),
say what it would be under other conditions, or what somebody else has; they are cut before anything is read, for their
number is another. Those without one are remarks and questions; they are cut where the whole could not be read. The words
are in sentences.toml. Whether the answer may stand without what is cut is asked as of reasons (reasons.py).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

from grader.notation.clauses import Parted, has_number, sides
from grader.notation.leftovers import numbers_of
from grader.notation.manner import telling
from grader.notation.pieces import words
from grader.notation.readings import BoxKind, Direction, Meaning, NoSolution, Polar, Quantity, Sense, Several
from grader.notation.reasons import may_stand
from grader.notation.tables import load_table
from grader.notation.units import simple_unit

TALK_NOTE = "left out what is said beside the answer"
NOT_THE_ANSWER = "it is not clear what is the answer and what is said beside it"

MOST_CLAUSES = 24
"""A student's remarks have fewer clauses; more would take too long to weigh."""


class Talk(NamedTuple):
    """A text in two: what may state the answer, and the clauses beside it: those that hold a number of something else, and
    remarks without one.
    """

    kept: str
    other: tuple[str, ...]
    remarks: tuple[str, ...]


class _Patterns(NamedTuple):
    stem: re.Pattern[str]
    boundary: re.Pattern[str]
    compared: re.Pattern[str]
    supposed: re.Pattern[str]
    told: re.Pattern[str]
    safe: re.Pattern[str]
    asks: re.Pattern[str]
    fillers: re.Pattern[str]
    gates: frozenset[str]
    of_a_start: frozenset[str]


def _any_of(phrases: Sequence[str]) -> str:
    return "|".join(map(re.escape, sorted(phrases, key=len, reverse=True)))


_SIGNS = frozenset(("negative", "minus", "sign"))
"""What is said of a sign is held to the answer's own (reasons.py)."""


@cache
def _patterns() -> _Patterns:
    sentences = load_table("sentences.toml")
    table = sentences["talk"]
    heads, than = _any_of(table["heads"]), _any_of(sentences["clauses"]["compared"])
    degree = r"(?:(?:is|was|are|just|only|about|slightly|much|way|far|even|still|a|bit|little|lot|around|almost|nearly)\b ?){0,4}"
    amount = r"(?:-?\d[\d.,]*+ ?(?:°|%|[A-Za-z/]{1,7})? )?"
    others = _any_of(table["others"])
    return _Patterns(
        re.compile(
            r"\b(?:than|if|would|not|us(?:ed|ing)|round|rounded|basically|almost|nearly|roughly|practically"
            r"|g|pi|π|(?:is|was) the|each|half|other|third|second|remaining"
            rf"|{heads}|{others}|{_any_of(table['fillers'])})\b|\?|[.!]\s|'d\b",
            re.IGNORECASE,
        ),
        re.compile(
            r"(?P<stop>(?<=\S)[.!?]+(?=\s|$)|[\n;])|(?P<comma>,(?=\s)|(?<=[^\W\d_]\s)[-–—]+(?=\s))"
            r"|(?P<bracket>(?<=[\w°] )\([^()]{6,}\))"
            rf"|(?<![\w'’])(?P<head>{heads})(?![\w'’])",
            re.IGNORECASE,
        ),
        re.compile(
            rf"(?:(?:which|thats?|this|its?|so|and|but|they|these)\b(?:'s\b)? ?){{0,3}}{degree}"
            rf"(?:{amount}(?:{than})\b[^.;\n]*\b(?:than|then|compared)\b"
            r"|(?:exactly )?(?:half|twice|double|a third|a quarter) (?:of|as|the)\b"
            r"|(?:i )?(?:have )?round(?:ed|ing)?\b[^.;]{0,20}\bto (?:\d|one|two|three) (?:decimal|dp|d\.p|sig|s\.?f|place)"
            r"|(?:i )?(?:have )?(?:rounded|changed|corrected) (?:it |this )?(?:up |down )?from\b"
            r"|instead of\b|rather than\b|vs\b|versus\b|compared (?:to|with)\b)",
            re.IGNORECASE,
        ),
        re.compile(
            r"(?:\b(?:would|could|might|may)|(?<=[a-z])'d)(?:'ve| have)? (?:be|been|give|get|make|become)\b",
            re.IGNORECASE,
        ),
        re.compile(
            rf"\b(?:{others})\b(?:[^.;\n]*?\b(?:{_any_of(table['has'])})\b|\s*:)|\b(?:back|key|drawing|sketch) (?:is|was)\b",
            re.IGNORECASE,
        ),
        re.compile(rf"(?<![\w'’])(?:{_any_of(table['safe'])})(?![\w'’])", re.IGNORECASE),
        re.compile(rf"\W*(?:and |but |so )?(?:{_any_of(table['asks'])})\b", re.IGNORECASE),
        re.compile(rf"[\s,;(]*(?<![\w'’])(?:{_any_of(table['fillers'])})(?![\w'’])[)?]*", re.IGNORECASE),
        (telling() | frozenset(sentences["clauses"]["overturning"]) | frozenset(table["gates"])) - _SIGNS,
        frozenset(table["of_a_start"]),
    )


_VALUE = r"-?\d[\d.,]*+(?: ?(?:°|degrees|deg|[A-Za-z/]{1,4}\b))?"
_DENIED = re.compile(
    rf"\bnot {_VALUE},? (?:but|it'?s|it is) (?:rather )?(?=-?\d)"
    r"|[,;(]? ?(?:(?:i |we )?(?:used|using|with|where|taking|took|for|if) )?"
    r"\b(?:g|pi|π) ?(?:=|is|as|of|was) ?(?:9[.,]8\d*|10|3[.,]14\d*)"
    r"(?: ?m/s(?:\^?2|²)| ?N/kg)?\)?(?=\s*(?:[.;!,]|$))"
    rf"|(?<=[\w°]) (?:is|was) the (?:\w+ ){{1,2}}(?:of|between|for|from|when|with)\b[^.;,\n]*\d[^.;,\n]*"
    rf"|(?<=[\w°]),? (?:and )?\(?not {_VALUE}(?:\)|(?=\s*(?:[.;!,]|$)|\s+(?:because|since|bc)\b))",
    re.IGNORECASE,
)
"""``not 124.4 but 55.6°``, ``67.0 kN and not 90``: what the answer is not; ``using g = 9.8``; ``58.3 kN is the resultant of
30 kN and 50 kN``.
"""


_NEAR_A_SIDE = re.compile(
    r"(?<=[\w°])[,(]* ?\(?(?:(?:which|that|so|this|it)\b(?:'?s| is)? ?)*(?:basically|almost|nearly|roughly|practically"
    r"|pretty much|about"
    r"|virtually|just about|close to|approximately) (?:due |straight |exactly |to the |the )*"
    r"(?:north|south|east|west|up|down|vertical|horizontal|left|right|n|s|e|w)(?:[-]?(?:east|west))?\b\)?(?=\s*(?:[.;!]|$))",
    re.IGNORECASE,
)
"""``91.7° which is basically north``: the number is the answer, the side what it is near."""


class _Clause(NamedTuple):
    head: str  # "", "stop", "comma", "bracket" or the word in front
    start: int
    end: int
    closes: str  # the sign that ends its sentence


def _clauses(text: str) -> list[_Clause]:
    found: list[_Clause] = []
    head, start = "", 0
    for match in _patterns().boundary.finditer(text):
        kind = match.lastgroup or ""
        found.append(_Clause(head, start, match.start(), match[0][:1] if kind == "stop" else ""))
        if kind == "bracket":
            found.append(_Clause("bracket", match.start(), match.end(), ""))
            head, start = "after", match.end()
        elif kind == "head":
            head, start = match[0].lower(), match.start()
        else:
            head, start = kind, match.end()
    found.append(_Clause(head, start, len(text), ""))
    return [one for one in found if one.start < one.end and text[one.start : one.end].strip()]


_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?")
FEWEST_WORDS = 2


MOST_WORDS = 50
MOST_NUMBERS = 12
"""More is a page of working, not talk, and each piece of it would be read again and again."""
_NUMERALS = re.compile(r"\d[\d.,]*+")


def may_talk(text: str) -> bool:
    """Whether something may be said beside an answer: few answers are that long and have one of the words."""
    if not FEWEST_WORDS < text.count(" ") <= MOST_WORDS or len(_NUMERALS.findall(text)) > MOST_NUMBERS:
        return False
    return _patterns().stem.search(text) is not None


def without_talk(text: str, box: BoxKind, numbers_only: bool) -> Talk | None:
    """The text without what is said beside its answer; None where nothing is, or nothing would be left.

    >>> without_talk("78.9 kN, less than 40+55=95", "quantity", True)
    Talk(kept='78.9 kN', other=('less than 40+55=95',), remarks=())
    >>> without_talk("The tension is less than 47.3 lb", "quantity", True) is None
    True
    >>> without_talk("71.4 kN but don't quote me on that", "quantity", False).kept
    '71.4 kN'
    """
    patterns = _patterns()
    clauses = _clauses(text)
    if len(clauses) > MOST_CLAUSES:
        return None
    denied = _DENIED.search(text)
    if denied is None and box in ("direction", "polar"):
        denied = _NEAR_A_SIDE.search(text)
    if denied is not None:
        rest = f"{text[: denied.start()]} {text[denied.end() :]}".strip(" ,")
        return Talk(rest, (denied[0],), ()) if has_number(text[: denied.start()] or rest) else None
    spans: list[_Clause] = []
    other: list[str] = []
    remarks: list[str] = []
    valued = False
    leaving = False  # what is supposed goes on to the end of its sentence
    for clause in clauses:
        body = text[clause.start : clause.end].strip(" ()")
        if clause.head == "stop":
            leaving = False
        if leaving and clause.head != "but":
            spans.append(clause)
            other.append(body)
            continue
        leaving = False
        numbered = has_number(body)
        if numbered and _is_of_something_else(body, clause, text, box, valued):
            spans.append(clause)
            other.append(body)
            leaving = clause.head not in ("", "but") and _IF.match(body) is not None
            continue
        if not numbered and not numbers_only and _is_remark(body, clause):
            spans.append(clause)
            plain = _is_of_the_manner(body, clause) or patterns.compared.match(body) is not None
            remarks.append("" if plain else patterns.safe.sub(" ", body))
            continue
        valued = valued or numbered
    if not valued or not (other or remarks or (not numbers_only and patterns.fillers.search(text))):
        return None
    kept, start = [], 0
    for span in spans:
        kept.append(text[start : span.start])
        start = span.end
    kept.append(text[start:])
    rest = " ".join(kept)
    if not numbers_only:
        rest = patterns.fillers.sub(" ", rest)
    rest = (
        _LEADS_ON.sub("", _DANGLING.sub("", rest)).rstrip(" ,;:.\n!?-–—").lstrip(" ,;:.\n!?")
    )  # a dash in front is a sign
    return Talk(rest, tuple(other), tuple(remarks)) if rest else None


_LEADS_ON = re.compile(r"^[\s,]*(?:but|and)\b")
_DANGLING = re.compile(r"(?:[,;:!?-]|\b(?:and|but|so)\b)(?=\s*[.,;!?)]|\s*$)|^[\s.,;:!?]+")


def _is_of_something_else(body: str, clause: _Clause, text: str, box: BoxKind, valued: bool) -> bool:
    """Whether the number of a clause is said of something else than the answer, which stands in a clause before
    (``valued``) or, where it is told who else has the number, behind.
    """
    patterns = _patterns()
    if clause.head == "but":
        return valued and _BY_ANOTHER_WAY.match(body) is not None
    if patterns.told.search(body) is not None:
        return not _TRUSTED.search(text, clause.start)
    if clause.head == "" and _IF.match(body) is not None:
        return patterns.supposed.search(body) is not None
    if _USED.match(body) is not None and (valued or clause.head == ""):
        return _GETS.search(body) is None
    if not valued or clause.head in ("", "after"):
        return False
    if patterns.compared.match(body) is not None:
        return True
    if clause.head == "if" or _IF.match(body) is not None:
        return True
    if box in ("polar", "direction") and _TURNS.search(body) is not None:
        return True
    if box in ("quantity", "angle", "direction"):
        if _ANOTHER_ONE.match(body) is not None or _A_SHARE.match(body) is not None:
            return True
        if clause.head != "so" and patterns.supposed.search(body) is not None:
            return not any(
                words().kinds.get(word, ("",))[0] in tuple("RDXYPLw") for word in _WORD.findall(body.lower())
            )
    return False


_ANOTHER_ONE = re.compile(
    r"(?:and )?the (?:other|second|third|remaining|last) (?:one|angle|side|rope|tug|part|component|two)s?\b",
    re.IGNORECASE,
)
"""``66.1°, and the third one is 35.9°``."""

_A_SHARE = re.compile(
    r"(?:so |and )?(?:each|every|per|half|a half|a third|twice|double)\b(?! the\b)"
    r"(?: (?:one|of|it|that|them|tug|rope|cable|side)){0,3}"
    r" ?(?:is|are|=|would be|gets?|has|have|pulls?|takes?|carries)? ?-?\d",
    re.IGNORECASE,
)
"""``58.3 kN so each one 29.2``: which of the two is asked is not clear."""

_BY_ANOTHER_WAY = re.compile(
    r"but (?:with |by |using |from )?(?:the |my )?(?:(?:law of )?(?:co)?sines?|pythagoras|pythagorean|components?"
    r"|formula|other (?:way|method))\b[^\d.;]*\d",
    re.IGNORECASE,
)
"""``66.1° but cosine law gives 66.0``: two answers, of which none is chosen."""

_TURNS = re.compile(
    r"\b(?:turn|drift|deviate|veer|shift|swing|change|push|pushe|blow)(?:s|ed|d)?\b[^;\n]*?\d ?(?:°|deg(?:rees)?)?"
    r"(?: (?:to|toward|towards) (?:the |its )?(?:left|right|port|starboard)\b|\s*$)",
    re.IGNORECASE,
)
"""``so it turns 9.1° to the right``: a change of the direction, not the direction."""

_TRUSTED = re.compile(
    r"\b(?:so|put|use|trust|take|go|going|believe|right|correct|correcting|changed?|probably)\b", re.IGNORECASE
)
"""``12 N, the book says 13 so i'll put that``: the other number may be the answer."""


_NAMES = re.compile(r"^\W*or\b|(?<![\w'’])(?:[NSEWA-CRxy]|[NS][EW]|R?[xy])(?![\w'’])")
"""A side or a part in one letter; or another choice."""


def _is_remark(body: str, clause: _Clause) -> bool:
    """Whether a clause without a number says nothing of the value."""
    patterns = _patterns()
    said_at_all = _WORD.findall(body.lower())
    said = _WORD.findall(patterns.safe.sub(" ", body.lower()))
    if not said and said_at_all:
        return True
    if patterns.compared.match(body) is not None:
        return clause.head not in ("", "after")
    if len(said_at_all) < FEWEST_WORDS + (clause.head in ("", "comma", "bracket", "after")):
        return False
    if _NAMES.search(body) is not None:
        return False
    if (clause.closes == "?" or body.endswith("?")) and patterns.asks.match(body) is not None:
        return True
    if clause.head == "after":
        return False
    if _is_of_the_manner(body, clause):
        return not any(simple_unit(word) for word in said_at_all if len(word) > 2) and not sides(body)
    if said[:1] in (["but"], ["if"]):
        said = said[1:]
    if _SIGNS.issuperset(said):
        return False  # 55.6° but negative
    return patterns.gates.isdisjoint(_WORD.findall(_QUADRANT.sub(" ", " ".join(said))))


_QUADRANT = re.compile(r"\b(?:first|second|third|fourth) quadrant\b")


def stands(sense: Sense, talk: Talk, box: BoxKind) -> bool:
    """Whether the answer may stand without what was said beside it."""
    meaning = sense.meaning
    if isinstance(meaning, NoSolution) or sense.left_out:
        return False
    if isinstance(meaning, Quantity if box == "direction" else Direction) and box in ("quantity", "direction"):
        return False
    if any(_IF.match(one) and _patterns().supposed.search(" ".join(talk.other)) is None for one in talk.other):
        return False  # 110° if 0 is east
    if any(_A_SHARE.match(one) or _BY_ANOTHER_WAY.match(one) for one in talk.other):
        return False
    if box == "angle" and any(map(_ANOTHER_ONE.match, talk.other)) and _make_a_half_turn(meaning, talk):
        return False
    said = [word for remark in talk.remarks for word in _WORD.findall(remark.lower())]
    if _lacks_a_unit(sense) and any(len(word) > 2 and simple_unit(word) is not None for word in said):
        return False
    direction = meaning.direction if isinstance(meaning, Polar) else meaning
    plain = isinstance(direction, Direction) and direction.form == "plain angle"
    if plain and not _patterns().of_a_start.isdisjoint(said):
        return False
    remarks = tuple(_LEAD.sub("", remark) for remark in talk.remarks)
    return may_stand(sense, Parted(talk.kept, remarks), box)


def _is_of_the_manner(body: str, clause: _Clause) -> bool:
    """Whether a sentence begins with how the answer was found, or says how it would change: ``If the angle was smaller it
    would be more``.
    """
    if clause.head == "" and clause.closes and _USED.match(body) is not None:
        return True
    return (
        clause.head in ("stop", "if") and _IF.match(body) is not None and _patterns().supposed.search(body) is not None
    )


_USED = re.compile(r"\W*(?:i |we )?(?:first |just )?us(?:ed|ing)\b", re.IGNORECASE)
_GETS = re.compile(
    r"\b(?:get|got|gets|gives|gave|so|which|find|found|makes|made|is|was|comes|came|obtain|obtained)\b", re.IGNORECASE
)
_IF = re.compile(r"\W*(?:but |and )?if\b", re.IGNORECASE)
_LEAD = re.compile(r"^\W*(?:but|if)\b", re.IGNORECASE)


def _lacks_a_unit(sense: Sense) -> bool:
    meaning = sense.meaning
    if isinstance(meaning, Several):
        return False
    if isinstance(meaning, Polar):
        return meaning.magnitude is None or meaning.magnitude.unit is None
    if isinstance(meaning, Direction):
        return meaning.sign == "" and meaning.form == "plain angle"
    return isinstance(meaning, Quantity) and meaning.unit is None


_HALF_TURN = 180.0


def _make_a_half_turn(meaning: Meaning, talk: Talk) -> bool:
    """Whether another angle is what is left of a half turn: then both may be meant, one in either of two triangles."""
    numbers = [abs(number) for number in numbers_of(meaning)]
    return any(
        abs(number + float(other.replace(",", "")) - _HALF_TURN) < 1.0
        for number in numbers
        for other in _NUMERAL.findall(" ".join(talk.other))
    )


def is_of_the_talk(senses: Sequence[Sense], talk: Talk) -> bool:
    """Whether a number of a meaning stands only in what is said of something else."""
    said = " ".join(talk.other)
    apart = {abs(float(one.replace(",", ""))) for one in _NUMERAL.findall(said)}
    own = {abs(float(one.replace(",", ""))) for one in _NUMERAL.findall(talk.kept)}
    return any(abs(number) in apart - own for sense in senses for number in numbers_of(sense.meaning))


_NUMERAL = re.compile(r"\d[\d,]*(?:\.\d+)?")
