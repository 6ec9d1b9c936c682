"""What the words around an answer say: nothing at all, what a direction lacks, which quadrant; and which may be passed over."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from itertools import pairwise

from grader.notation.claims import is_bound, is_range
from grader.notation.closeness import apart
from grader.notation.impossible import says_none
from grader.notation.manner import telling
from grader.notation.meanings import kinds_of
from grader.notation.pieces import Token
from grader.notation.readings import GIVEN_UP, BoxKind, Components, Direction, Meaning, Polar, Quantity
from grader.notation.spelling import LIKE_A_BEARING, may_be_a_number
from grader.notation.tables import load_table

LONGEST_SILENCE = 40


@cache
def _silent() -> tuple[frozenset[str], frozenset[str], frozenset[str]]:
    table = load_table("words.toml")["silent"]
    return frozenset(table["blank"]), frozenset(table["given_up"]), frozenset(table["errors"])


_AROUND_WORDS = re.compile(r"^[^\w'’]+|[^\w'’]+$|^(?:sorry|um+|uh+|well)\b[\W]*|[\W]+(?:sorry|lol|sir|miss|tbh)\W*$")


def silence(text: str) -> str | None:
    """``""`` for a blank, a reason for words that say nothing is answered, None for anything else."""
    if not text:
        return ""
    if len(text) > LONGEST_SILENCE or text[0].isdigit():
        return None
    lower = text.lower()
    blank, given_up, errors = _silent()
    if lower in blank:
        return ""
    if lower[0] in "wh" and _ASKS.match(text):
        return "asks a question"
    if lower in errors:
        return "an error that a spreadsheet program put in place of the answer"
    if not lower.strip("? ") or _AROUND_WORDS.sub("", lower) in given_up:
        return GIVEN_UP
    return None


@cache
def _unfinished() -> re.Pattern[str]:
    phrases = "|".join(map(re.escape, load_table("words.toml")["silent"]["unfinished"]))
    return re.compile(
        rf"(?:^|[\s,;.(+=-])(?:i |we |but |sorry ){{0,3}}(?:{phrases})(?: yet| here| sorry| lol){{0,2}}[\s.!)]{{0,9}}$"
        rf"|^(?:{phrases})\s*[:,;-]",
        re.IGNORECASE,
    )


SHORTEST_REMARK = 11
"""A shorter text has no room for a value and a remark on it."""
_STEMS = (
    "time", "fini", "compl", "done", "stuck", "gave", "give", "know", "conti", "dunno", "bec", "bc", "cuz", "sinc",
    "as ", "like", "...", "so almost", "so nearly", "so basic", "so pretty", "so it",
)  # fmt: skip
"""One of these is in every text with a reason or a word of what is not finished, and in few answers."""


def may_remark(text: str) -> bool:
    """Whether a text may give a reason, or say that it is not finished."""
    if len(text) < SHORTEST_REMARK:
        return False
    lower = text.lower()
    for stem in _STEMS:  # noqa: SIM110  (a generator costs thrice as much here)
        if stem in lower:
            return True
    return False


_BREAKS_OFF = re.compile(r"[=+*/×·<(,∠@-]\s*\.\.\.+\s*$")
"""``R = 62.0, θ = ...``: dots in place of what was to come, not behind a digit that goes on."""


def is_unfinished(text: str) -> bool:
    """Whether a text says that its student did not come to the end.

    >>> is_unfinished("12^2 + 9^2 = 144 +\\nran out of time"), is_unfinished("R = 62.0, θ = ..."), is_unfinished("7.071...")
    (True, True, False)
    """
    return _unfinished().search(text) is not None or ("..." in text and _BREAKS_OFF.search(text) is not None)


_VALUES = frozenset("nma")
_SEMICOLON = re.compile(r"(?<![\d.,;(])\d+;\d+(?![.,;]?\d|\))")
"""``30;8``: the key beside the point; two answers would not be tied by it without a blank."""

_SAID_TO_BE_WRONG = re.compile(
    r"(?<!if this )(?<!if it )\b(?:is|was|are|got|it's|thats?|that's) (?:(?:all|probably|definitely|maybe|just) )?"
    r"(?:wrong|incorrect|false|mistaken|a mistake)\b",
    re.IGNORECASE,
)
_SIDE_ALONE = re.compile(r"\W*(?:(?:to|towards?|on) )?(?:the )?(left|right|up|down)\W*", re.IGNORECASE)
_NO_DIRECTION = re.compile(r"\W*(?:none|no|no direction)\W*", re.IGNORECASE)


def _beyond_the_card(tokens: Sequence[Token]) -> str:
    """A whole number of four digits or more behind the word bearing: 22115 may be 221.15, or 215."""
    for before, token in pairwise(tokens):
        if before.kind == "b" and token.kind in "na" and token.number is not None and token.number.value >= 1000:
            return token.text
    return ""


_ASKS = re.compile(
    r"\W*(?:why|how come) (?!component|coordinate|direction|equals?\b|is\b(?! (?:it|this|that|the|there|my)\b)|[=:\d-])",
    re.IGNORECASE,
)
"""``why is it 5``: a question, where ``why is 5`` is a y that voice typing misheard."""


def unsaid(text: str, tokens: Sequence[Token], kinds: str, box: BoxKind) -> str:
    """What the text leaves out that a direction needs, as a reason; ``""`` where nothing is missing.

    ``left`` may be a direction, or a remark on an answer in another box; ``9.6° left`` is left of nothing.
    """
    if kinds.endswith("w0") and tokens[-1].text == "Ø" and not says_none(text, tokens):
        return "it is not clear what “Ø” says of the value before it"
    if box in ("direction", "polar") and "o" in kinds and (start := _where_from(tokens)):
        return f"what comes from the {start} goes the other way"
    if (
        box in ("direction", "polar")
        and "?" in kinds
        and (like := next((token.text for token in tokens if token.value == LIKE_A_BEARING), ""))
    ):
        return f"“{like}” may be a word for a bearing"
    if ("-" in text or "to" in text or "and" in text) and is_range(text, box):
        return "a range, where one number is asked"
    if is_bound(text):
        return "a bound, where a number is asked"
    if _SAID_TO_BE_WRONG.search(text) is not None:
        return "something is said to be wrong, and it is not clear what"
    if "b" in kinds and (beyond := _beyond_the_card(tokens)):
        return f"a bearing is written with three digits, not as {beyond}"
    if box in ("quantity", "angle", "direction") and ";" in text and (parted := _SEMICOLON.search(text)) is not None:
        return f"the sign in “{parted[0]}” may be a slip for the decimal mark"
    if box in ("direction", "angle") and kinds[-2:] in ("nR", "aR") and tokens[-1].text.lower() in _MAY_BE_UNITS:
        return f"it is not clear what “{tokens[-1].text}” says of the angle"
    if (
        box in ("direction", "polar")
        and (last := kinds.rstrip(",;\n)(")).endswith("o")
        and tokens[len(last) - 1].text.lower() in _RELATIVE_TO_NOTHING
    ):
        return f"nothing follows “{tokens[len(last) - 1].text}”, from which the angle counts"
    if _VALUES.isdisjoint(kinds):
        if box in ("direction", "angle", "polar") and _DEGREES_OF_NOTHING.search(text) is not None:
            return "speaks of degrees, and the number is missing"
        if box == "direction" and _NO_DIRECTION.fullmatch(text):
            return "says that there is no direction"
        if (side := _SIDE_ALONE.fullmatch(text)) is not None:
            return f"“{side[1]}” alone may be a direction, or a remark on another answer"
        return ""
    if "E" not in kinds and "W" not in kinds:
        return ""
    said = [token for token in tokens if token.kind not in "@oD=:,;()"]
    sides = [token.text.lower() for token in said if token.kind in "EW" and token.text.lower() in ("left", "right")]
    angles = "na" if box in ("direction", "angle") else "a"
    if len(said) == 2 and len(sides) == 1 and any(token.kind in angles for token in said):
        return f"{sides[0]} of what is not said"
    return ""


_MAY_BE_UNITS = frozenset(("r", "mag", "magn"))
"""Behind an angle: radians, or degrees from magnetic north."""
_RELATIVE_TO_NOTHING = frozenset(("relative", "respect", "wrt"))
_DEGREES_OF_NOTHING = re.compile(r"\bdeg(?:ree)?s?\b|°", re.IGNORECASE)

_PARTS_NAMED = re.compile(
    r"(?<=\d[:-]\d\d) ?[(\[,]? ?(?:deg(?:rees?)?:min(?:utes?)?(?::sec(?:onds?)?)?|d{1,3}:mm?(?::ss?)?|dms)\b ?[)\]]?\s*$",
    re.IGNORECASE,
)


def without_parts_named(text: str) -> str:
    """The text without what its parts are called; not ``30.15 (dms)``, where a point stands for the degree sign.

    >>> without_parts_named("30:15:00 (deg:min:sec)"), without_parts_named("30.15 (dms)")
    ('30:15:00', '30.15 (dms)')
    """
    return _PARTS_NAMED.sub("", text) if ":" in text or "-" in text else text


_COMES = frozenset(("blowing", "blows", "coming", "comes", "come", "blown"))


def _where_from(tokens: Sequence[Token]) -> str:
    """The side behind a ``from`` that no angle is counted from: ``the wind comes from the north``."""
    for index, token in enumerate(tokens[:-1]):
        if token.text.lower() != "from":
            continue
        comes = index and tokens[index - 1].text.lower() in _COMES
        if comes or (tokens[index + 1].kind in "na" and not set("naDck").intersection(kinds_of(tokens[:index]))):
            return tokens[index + 1].text.lower()
        if tokens[index + 1].kind not in "NHSsEWC":
            continue
        before, after = kinds_of(tokens[max(index - 2, 0) : index]), kinds_of(tokens[index + 2 : index + 4])
        if not set("naNHSsEWCck").intersection(before) and not set("nack").intersection(after):
            return tokens[index + 1].text.lower()
    return ""


_SIZE = re.compile(
    r"[(\[,;]?\s*\b(?:(?:it )?is )?(?:an? |the )?(?P<size>obtuse|acute)(?: angle)?(?: is)?\s*[)\]]?\s*[:=,]?",
    re.IGNORECASE,
)
_ONE_ANGLE = re.compile(r"(?:[A-Za-zθα-γ]{1,5} ?[=:] ?)?[\d.,]+ ?(?:°|deg(?:rees?)?)?\.?", re.IGNORECASE)


def without_size(text: str) -> tuple[str, str]:
    """The text without the word that says what kind of angle its one value is, and that word.

    >>> without_size("121.3°, obtuse"), without_size("not obtuse: 58.7°")
    (('121.3°', 'obtuse'), ('not obtuse: 58.7°', ''))
    """
    lower = text.lower()
    if "obtuse" not in lower and "acute" not in lower:
        return text, ""
    match = _SIZE.search(text)
    if match is None:
        return text, ""
    rest = (text[: match.start()] + text[match.end() :]).strip()
    return (rest, match["size"].lower()) if _ONE_ANGLE.fullmatch(rest) else (text, "")


def has_size(meaning: Meaning, size: str) -> bool:
    """Whether an angle is acute or obtuse, as it is said to be."""
    if isinstance(meaning, Direction):
        degrees = meaning.written
    elif isinstance(meaning, Quantity):
        degrees = meaning.number.value
    else:
        return False
    return 0 < degrees < 90 if size == "acute" else 90 < degrees < 180


# ------------------------------------------------------------------------------- quadrants


_QUADRANT = re.compile(
    r"\bq(?:uadrant|uad)? ?(?P<after>IV|I{1,3}|[1-4])\b"
    r"|\b(?P<point>NE|NW|SE|SW|(?:north|south)[- ]?(?:east|west)) quad(?:rant)?\b"
    r"|\b(?P<before>first|second|third|fourth|1st|2nd|3rd|4th|IV|I{1,3}) quad(?:rant)?\b",
    re.IGNORECASE,
)
_QUADRANTS = (("i", "1", "first", "1st"), ("ii", "2", "second", "2nd"), ("iii", "3", "third", "3rd"))


def named_quadrant(text: str) -> int:
    """The quadrant, 1 to 4, that a text names; 0 if it names none.

    >>> named_quadrant("353° (4th quadrant)"), named_quadrant("40° in quadrant II"), named_quadrant("40°")
    (4, 2, 0)
    """
    match = _QUADRANT.search(text) if "q" in text or "Q" in text else None
    if match is None:
        return 0
    if match["point"]:
        south, west = (
            match["point"][0].lower() == "s",
            match["point"][-1].lower() == "w" or match["point"].lower().endswith("west"),
        )
        return (3 if west else 4) if south else (2 if west else 1)
    word = (match["after"] or match["before"]).lower()
    return next((number for number, names in enumerate(_QUADRANTS, 1) if word in names), 4)


def lies_in(meaning: Meaning, quadrant: int) -> bool:
    """Whether a direction, or a vector by its components, lies in a quadrant or at its edge; anything else does as well."""
    if isinstance(meaning, Components) and meaning.x is not None and meaning.y is not None:
        x, y = meaning.x.number.value, meaning.y.number.value
        return (x <= 0 if quadrant in (2, 3) else x >= 0) and (y <= 0 if quadrant > 2 else y >= 0)
    direction = meaning.direction if isinstance(meaning, Polar) else meaning
    if not isinstance(direction, Direction):
        return True
    middle = quadrant * 90.0 - 45.0
    return apart(direction.angle, middle) <= 45.0


# ------------------------------------------------------------------------------- words to pass over


FEWEST_WORDS = 3
"""Fewer words before a value are a name or a remark on it, more are a sentence that ends in it."""


def passed_over(text: str, tokens: Sequence[Token], box: BoxKind) -> tuple[Sequence[Token], str]:
    """The value at the end of a sentence, and a note of the words passed over; no tokens where the rule does not hold.

    ``the block presses into the ramp with 47.3 lb``: one number, with its unit, at the end, in a box for one value, and
    before it only words that say nothing about size, side or sign (``telling`` in words.toml).
    """
    kinds = kinds_of(tokens)
    width = 1 if kinds.endswith("m") else 2 if kinds.endswith("nN") else 0
    if box != "quantity" or not width or "?" not in kinds:
        return (), ""
    before, value = tokens[:-width], tokens[-width:]
    unknown = [token.text for token in before if token.kind == "?"]
    if not all(token.kind in "?@oR" for token in before) or not all(word.isalpha() for word in unknown):
        return (), ""
    before_it = re.findall(r"[^\W\d_]+", text.lower().partition(value[0].text.lower())[0])
    named = kinds[-width - 1 : -width] == "R" and len(unknown) == 1  # sheet load: the words are a name
    if (
        (len(before_it) < FEWEST_WORDS and not named)
        or not telling().isdisjoint(before_it)
        or min(map(len, unknown)) < FEWEST_WORDS
    ):
        return (), ""
    if any(map(may_be_a_number, unknown)):
        return (), ""  # the force is sixtey two N
    return value, f"passed over the words: {', '.join(unknown)}"
