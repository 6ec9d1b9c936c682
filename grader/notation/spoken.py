"""Numbers and operators in words, as voice typing leaves them: ``sixty two point zero`` is ``62.0``.

Also the little phrases around an answer that say nothing about it (``to the nearest tenth``), or say how it is to be
taken (``no wait``, ``i.e.``).
"""

from __future__ import annotations

import re
from functools import cache

from grader.notation.tables import load_table

_UNIT = r"k?N|lbs?|k?m|ft|mph|knots?|kn|degrees?|deg|°"
_GRAVITY = (
    r"(?:(?:with|using|taking|took|where|for|if|and) )?g ?(?:=|≈|is|as|of|:) ?9[.,]8\d{0,4}"
    r"(?: ?m/s(?:\^2|2|/s)?| ?N/kg)?(?![\w.])"
)
_TO_NEAREST = r"(?:(?:correct |rounded )?to )?(?:the )?nearest (?:tenth|hundredth|0?\.0*1|10*)"

# What is looked for, what it becomes, and the words without one of which there is no need to look.
_PHRASES = (
    (
        r"\(?\b(?:in )?(?:the )?(?:NE|NW|SE|SW|(?:north|south)[- ]?(?:east|west)) quad(?:rant)?\b\)?",
        "",
        "quadrant quad",
    ),
    (
        r"\(?\b(?:(?:in|the|of) )*(?:(?:first|second|third|fourth|[1-4](?:st|nd|rd|th)|IV|I{1,3}) )?"
        r"quad(?:rant)?(?: (?:IV|I{1,3}|[1-4]))?\b\)?",
        "",
        "quadrant quad",
    ),
    (r"\b(north|south|east|west) axis\b", r"\1", "axis"),
    (r"(?<=[°*]) ?\((?:in )?deg(?:ree)?s?\.?\)", "", "deg degree degrees"),
    (r"\b(from|of) true (?=north\b)", r"\1 ", "true"),
    (r"\bmade good\b", "", "made"),
    (r"\b(?:with|in) reference to\b", "from", "reference"),
    (r"\baway from (?=(?:the |due )?(?:north|south|east|west|[NSEW])\b)", "from ", "away"),
    (r"[,(]?\s*\bq(?:uad)? ?(?:IV|I{1,3}|[1-4])\b\)?(?!\s*[=:]\s*\d)", "", "q qi qii qiii qiv quad"),
    (r"\.?\s*\b(?:triangle|case|solution|option) ?#?(?:1|2)\b ?[:.)-]?", ";", "triangle case solution option"),
    (r"[.,;]?\s*\b(?:T|Tri) ?[12] ?[:.)-]\s*(?=∠?[ABCabc] ?[=:])", "; ", "t tri"),
    (
        r"(?:^|[.,;\n]) ?(?:acute|obtuse)(?: (?:case|triangle|one))?(?: is)? ?[:-] ?(?=∠?[ABCabc]\b)",
        "; ",
        "acute obtuse",
    ),
    (
        r"\.?\s*\b(?:the )?(?:first|second|1st|2nd)(?: (?:triangle|case|solution|one))? ?[:)-]\s*(?=∠?[ABCabc] ?[=:])",
        "; ",
        "first second st nd",
    ),
    (
        r"\.?\s*\b(?:and )?(?:the )?(?:first|second|1st|2nd) (?:triangle|case|solution|one)"
        r" (?=(?:has |angle )?[ABC] ?(?:[=:]|is\b|equals\b))",
        "; ",
        "first second st nd",
    ),
    (r"\bmissing (?=(?:angle|side)\b)", "", "missing"),
    (r"\b(?:angles?|sides?) ?: ?(?=∠?[ABCabc] ?=)", "", "angle angles side sides"),
    (
        r"\b(?:along|on|in) (?:the )?([xy])\b(?! ?-?(?:axis|axes|dir|comp)| ?[=:])",
        r"in the \1 direction",
        "along on in",
    ),
    (r"\(\s*q(?:uad)?\.? ?(?:IV|I{1,3}|[1-4])\s*\)", "", "q quad qi qii qiii qiv"),
    (r"\bx[- ]hat\b", "i", "hat"),
    (r"\by[- ]hat\b", "j", "hat"),
    (r"\bin (?:the )?([ij])[ -]?(?:hat )?direction\b", r"\1", "direction"),
    (r"\b0 (?:possible )?(?:triangles|solutions)\b", "no solution", "triangles solutions"),
    (
        r"\b(?:there are )?2 (?:possible )?(?:triangles|solutions|answers|fixes|positions)\b ?[:,]?",
        "",
        "triangles solutions answers fixes positions",
    ),
    (r"\b(?:all|both|each) (?=(?:are )?(?:rounded|correct) to\b)", "", "rounded correct"),
    (r"\bmade good\b", "", "good"),
    (rf"\(\s*{_GRAVITY}\s*\)", "", "g"),
    (rf"(?:[,;]\s*)?\b{_GRAVITY}[,;]?", "", "g"),
    (r"(?<=[/ ])(s|sec|seconds?) squared\b", r"\1^2", "squared"),
    (r"\bcorner (?=[A-Cα-γ]\b)", "angle ", "corner"),
    (r"(?<![xy][- ])\baxis (?:of )?([xy]) (positive|negative)\b", r"\2 \1 axis", "axis"),
    (r"(?<![xy][- ])\baxis (?:of )?([xy])\b(?! ?[=:])", r"\1 axis", "axis"),
    (
        r"(?<=\w) (?:through the water|over (?:the )?ground)\b(?=[\s.]*$)",
        "",
        "water ground",
    ),
    (r"\b(?:inverse|arc) ?(sin|cos|tan)(?:e|ine|gent)?\b(?: of\b)?", r"arc\1", "inverse arc"),
    (r"\b(sin|cos|tan)(?:e|ine|gent)? inverse\b(?: of\b)?", r"arc\1", "inverse"),
    (r"(?:(?<=\d) and )?\b(\d) thirds\b", r" \1/3", "thirds"),
    (r"\bunder ?way\b", "", "way underway"),
    (r"(?:\b|(?<=\d))(?:the )?(?:square|sq\.?) ?(?:roots?|rt)(?: of)?\b", "√", "root roots rt"),
    (
        r"(\d ?(?:met(?:er|re)s?|[kc]?m|feet|ft|miles?|mi|yards?|yds?)) (?:long|away|apart|across|in length|wide|tall)\s*[.!]?$",
        r"\1",
        "long away apart across length wide tall",
    ),
    (r"\b(?:and )?(?:a|one|1) half\b(?! of)", " 1/2", "half"),
    (r"\b(?:and )?(?:a|one|1) quarter\b", " 1/4", "quarter"),
    (r"\b(?:and )?(?:three|3) quarters\b", " 3/4", "quarters"),
    (r"\bdivided\s+by\b", "/", "divided"),
    (r"\bmultiplied\s+by\b", "×", "multiplied"),
    (r"(?<=[\w°]) comma (?=[\w(-])", ", ", "comma"),
    (r",?\s*\b(?:new ?line|next line)\b,?", "\n", "newline new next"),
    (r"\b(?:capital|big) (?=[A-C]\b)", "", "capital big"),
    (r"(?<=degree) sign\b|(?<=degrees) sign\b", "", "sign"),
    (r"\s*\b(?:period|full stop)\W*$", "", "period stop"),
    (r"\b(?:open|left) (?:parenthesis|parentheses|paren|bracket)\b ?", "(", "parenthesis parentheses paren bracket"),
    (
        r" ?\b(?:close|closed?|right) (?:parenthesis|parentheses|paren|bracket)\b",
        ")",
        "parenthesis parentheses paren bracket",
    ),
    (r"\bunder (?:an )?angle\b(?: of\b)?", "at", "angle"),
    (r"(?:(?<=°)|(?<=\bdegrees)|(?<=\bdeg)) ?-?ish\b", "", "ish"),
    (r"\b(?:oer|pwr|perr|pre) (?=h(?:ou)?rs?\b|sec|s\b)", "per ", "oer pwr perr pre"),
    (r"(?<=\w) (?:or so|(?:,? ?give or take))\b(?! ?(?:the|a|an|\d))", "", "so take"),
    (r"\b(angle|side|little|small|capital|big) (?:see|sea)\b", r"\1 C", "see sea"),
    (r"\b(angle|side|little|small|capital|big) (?:be|bee)\b", r"\1 B", "be bee"),
    (r"\b(?:little|small|lower ?case) (?=[a-cA-C]\b)", "side ", "little small lowercase lower"),
    (
        r"(?:^|\b(?:the|these|those|both) )[23] "
        r"(?=(?:ropes|forces|tugs|cables|vectors|lines|chains|slings|wires|boats|winds|sides)\b)",
        "the ",
        "ropes forces tugs cables vectors lines chains slings wires boats winds sides",
    ),
    (r"\b(?:from|of) (?:its|their|the) (?:starting (?:point|position)|start)\b", "", "starting start"),
    (
        r"\balong (?:the )?(?:slope|incline|ramp|plane)\b(?=.{1,60}\bperpendicular to (?:it|the)\b)",
        "parallel",
        "perpendicular",
    ),
    (r"\bperpendicular to it\b", "perpendicular", "perpendicular"),
    (r"\(\s*(?:R_?)?x\s*,\s*(?:R_?)?y\s*\)\s*=", "", "x"),
    (
        r"(?<=\b10)(?<![.,]10)\s+(?:raised )?to the\s+(?!nearest\b|\w+ (?:decimal|place))(?:power (?:of )?)?",
        "^",
        "to",
    ),
    (r"(?<=\^)\s*(?:negative|minus)\s*", "-", "negative minus"),
    (r"(?<=\d) power\b", "", "power"),
    (r"(?<=\d)(?:k| ?thousand)\b(?![/·])", "e3", "k thousand"),
    (r"(?<=\d) ?million\b", "e6", "million"),
    (r"(?<=\d) ?xx ?(?=10)", "×", "xx"),
    (r"\(?\bcos ?\(?([-\d.,]+ ?°?)\)? ?\+ ?i ?sin ?\(?\1\)?\)?", r"∠\1", "cos"),
    (
        r"[,;(]?\s*\b(?:but )?(?:i'?m )?not (?:\d+ ?% |too |very |really |totally |so |completely )?sure\b[^\d\n]*$",
        "",
        "sure",
    ),
    (
        r"[,;(]?\s*\b(?:i'?m )?(?:about )?\d+ ?(?:%|percent|/ ?\d+|out of \d+) (?:sure|certain|confident|confidence)\b\s*\)?",
        "",
        "sure certain confident confidence",
    ),
    (r"(?<=\d) ?x ?(?=√|sqrt|root|rt)", "×", "x"),
    (r"(?:^|(?<=[=:] )|(?<=\bis ))point (?=\d)", "0.", "point"),
    (
        rf"\b({_UNIT})[ ,(]*{_TO_NEAREST} ?(?:of an? )?\1(?!\w)\s*\)?",
        r"\1",
        "nearest",
    ),
    (rf"(°|\bdeg(?:rees?)?)[ ,(]*{_TO_NEAREST} ?(?:of an? )?(?:°|deg(?:rees?)?)(?!\w)\s*\)?", r"\1", "nearest"),
    (rf"[(,]?\s*\b{_TO_NEAREST}(?: ?(?:of an? )?({_UNIT}))?(?![\w.:])\s*\)?", r" \1", "nearest"),
    (r"\b(?:counter|anti|contra)[- ]?(?=clockwise\b|cw\b)", "counter", "clockwise cw"),
    (
        r"\bno,? wait\b|\bscratch that\b|\bi mean\b|\bactually\b|\bcorrection\b",
        "⇒",
        "wait scratch mean actually correction",
    ),
    (
        r",?\s*\b(?:which )?(?:(?:rounds?|rounding) to|rounded(?: to)?|(?:rounds?|rounded|rounding) (?:off|up|down)(?: to)?)"
        r" (?=-?\d)(?!\d ?(?:d\.?p|s\.?f|sig|dec|place|digit|fig))",
        " ⇒ ",
        "round rounds rounded rounding",
    ),
    (r"\bi\.\s?e\.?(?![a-z])|\bie\b|\bthat is\b|\bin other words\b|\baka\b|\bwhich is\b", "=", "e ie is words aka"),
    (
        r"\bi(?='?(?:d|ll|m|ve)?\s+(?:think|hope|guess|got|get|believe|am|have|know|found|did|used|just|say|would|will|calculated)\b)",
        "",
        "think hope guess got get believe am have know found did used just say would will calculated",
    ),
    (
        r"\b(?:down|up|along|parallel to|perpendicular to|into)\s+(?:the\s+)?(?:slope|incline|ramp|plane|surface|hill)\b",
        "",
        "slope incline ramp plane surface hill",
    ),
    (
        r"\bto (?:the |one |two |three |\d )?(?:nearest )?\w+\b(?! power)(?: (?:decimal )?places?\b| decimals?\b)?",
        "",
        "nearest place places decimal decimals",
    ),
    (
        r"[(,]?\s*(?:(?:correct |rounded |exact )?to )?(?<![\d.])\d\s*"
        r"(?:d\.?p\.?|s\.?f\.?|sig\.? ?figs?\.?|significant (?:figures|digits)|decimal places?|decimals?|places?|digits?"
        r"|figures?|figs)(?![a-z])\s*\)?",
        "",
        "dp d sf f sig significant decimal decimals p place places digit digits figure figures figs",
    ),
)

_WORDS = re.compile(r"[a-z]+")
_UNCERTAINTY = re.compile(
    r"""
      (?<![A-Za-z/]) (?P<unit>[A-Za-z/]*+) (?<=[\d°A-Za-z]) \s*
      (?: \( \s* (?:±|\+/-) \s* \d[\d.,]* \s* %? \s* \)             # 62.0 N (± 2%)
        | (?:±|\+/-) \s* \d[\d.,]* \s* (?: % | (?P=unit)(?![A-Za-z]) )?   # 62.0 ± 0.5, 62.0 N ± 0.5 N
      )
    """,
    re.VERBOSE,
)


@cache
def _broken() -> re.Pattern[str]:
    """The end of a line behind the hundred or the tens of a number in words, or before its point."""
    words: dict[str, int] = load_table("words.toml")["number_words"]
    tens = "|".join(word for word, value in words.items() if 20 <= value < 100)
    ones = "|".join(word for word, value in words.items() if 0 < value < 10)
    every = "|".join(words)
    return re.compile(
        rf"\b(?P<begun>hundred(?=\s*\n\s*[a-z])|(?:{tens})(?=\s*\n\s*(?:{ones})\b)"
        rf"|(?:{every})(?=\s*\n\s*point (?:{every})\b))\s*\n\s*",
        re.IGNORECASE,
    )


_BROKEN_UNIT = re.compile(r"(?<=[a-z]) ?\n ?(?=per [a-z])|(?<=[a-z] per) ?\n ?(?=[a-z])", re.IGNORECASE)


def in_one_line(text: str) -> str:
    """The text with a number in words that the line broke, where one value is asked, in one line.

    >>> in_one_line("three hundred\\nforty one degrees"), in_one_line("sixty\\ntwo"), in_one_line("sixty\\nseventy")
    ('three hundred forty one degrees', 'sixty two', 'sixty\\nseventy')
    """
    if "\n" not in text:
        return text
    return _broken().sub(r"\g<begun> ", _BROKEN_UNIT.sub(" ", text))


@cache
def _phrases() -> tuple[tuple[re.Pattern[str], str, frozenset[str]], ...]:
    return tuple(
        (re.compile(pattern, re.IGNORECASE), written, frozenset(words.split())) for pattern, written, words in _PHRASES
    )


@cache
def _phrases_with() -> dict[str, list[int]]:
    """Which phrases may be there, in the order of their table, by the word that they need."""
    found: dict[str, list[int]] = {}
    for index, (_, _, words) in enumerate(_phrases()):
        for word in words:
            found.setdefault(word, []).append(index)
    return found


@cache
def _triggers() -> frozenset[str]:
    """The words without one of which a text is left as it is."""
    return frozenset(_numbers()).union(["point"], *(words for _, _, words in _phrases()))


@cache
def _numbers() -> dict[str, int]:
    numbers: dict[str, int] = load_table("words.toml")["number_words"]
    return numbers


@cache
def number_run() -> re.Pattern[str]:
    """A run of number words: ``three hundred and fifty-three point zero``."""
    words = "|".join(sorted(_numbers(), key=len, reverse=True))
    # "four and five" are two numbers; "and" joins one only behind a hundred, a thousand or a million.
    joint = r"(?:(?<=hundred)|(?<=thousand)|(?<=million))\ and\ "
    return re.compile(
        rf"""
        \b (?P<whole> (?:{words}) (?: (?:{joint}|[- ]) (?:{words}) )* \b | \d+ )
        (?: \ point (?P<decimals> (?: \ (?:{words}) \b | \ \d+ )+ ) )?
        """,
        re.VERBOSE | re.IGNORECASE,
    )


def from_words(text: str, notes: list[str]) -> str:
    """The text with its number words and spoken operators in signs.

    >>> from_words("five square root of two", [])
    '5 √ 2'
    """
    if "min" in text:
        text = _DEGREES_AND_MINUTES.sub(r"\1 \2", text)
    if "minus" in text or "MINUS" in text:
        text = _PLUS_OR_MINUS.sub("±", text)
    if "±" in text or "+/-" in text:
        text, left_out = _UNCERTAINTY.subn(r"\g<unit>", text)
        if left_out:
            notes.append("left out an uncertainty")
    found = _WORDS.findall(text.lower())
    if _triggers().isdisjoint(found):
        return text
    words = frozenset(found)
    if not words.isdisjoint(_numbers()) or "point" in words:
        text = number_run().sub(lambda match: _digits(match, notes), text)
    phrases = _phrases()
    for index in sorted({index for word in words for index in _phrases_with().get(word, ())}):
        pattern, written, _ = phrases[index]
        text, found_here = pattern.subn(written, text)
        if written == "^":
            text = _power().sub(_exponent, text)
        if found_here and written == "" and WORDS_NOTE.format(2) in notes and not _TWO.search(text):
            notes.remove(WORDS_NOTE.format(2))  # "two triangles" counts the answers, and went out with them
    return text


WORDS_NOTE = "read the words as {}"
_TWO = re.compile(r"(?<![\d.,])2(?![\d.,]*\d)")


@cache
def _ordinals() -> dict[str, int]:
    ordinals: dict[str, int] = load_table("words.toml")["ordinals"]
    return ordinals


@cache
def _power() -> re.Pattern[str]:
    """The exponent of a spoken power of ten: the 6th, the minus sixth."""
    words = "|".join(_ordinals())
    return re.compile(
        rf"(?<=\^)(?P<sign>minus|negative|-)?\s*(?:(?P<digits>\d+)(?:st|nd|rd|th)|(?P<word>{words}))\b", re.IGNORECASE
    )


def _exponent(match: re.Match[str]) -> str:
    digits = match["digits"] or str(_ordinals()[match["word"].lower()])
    return f"-{digits}" if match["sign"] else digits


_DEGREES_AND_MINUTES = re.compile(r"(\d ?(?:degrees?|deg|°)), (\d{1,2} ?(?:minutes?|mins?)\b)", re.IGNORECASE)
_PLUS_OR_MINUS = re.compile(r"\b(?:plus(?: or |/| and | )minus|give or take)\b", re.IGNORECASE)
_BEHIND_ONE = re.compile(
    r"\s+(?:and\b|newtons?\b|pounds?\b|met(?:er|re)s?\b|kilo|miles?\b|degrees?\b|knots?\b|f(?:ee|oo)t\b|to the (?:right|left)\b"
    r"|up\b|down\b|left\b|right\b|east\b|west\b|north\b|south\b|[xy] (?:is|=|equals))",
    re.IGNORECASE,
)
_BEFORE_ONE = re.compile(r"(?:\bis|\bequals?|[=:])\s*$", re.IGNORECASE)
_ENDS = re.compile(r"\s*(?:$|[,;.)\n])")


def _is_one_of_something(match: re.Match[str]) -> bool:
    """Whether ``one`` is the number 1, not a word for a thing: ``one and a half newtons``, not ``the x one is 5``."""
    before, after = match.string[: match.start()], match.string[match.end() :]
    if _BEHIND_ONE.match(after) is not None:
        return (
            not before
            or before[-1] in "=:,;(\n"
            or _BEFORE_ONE.search(before) is not None
            or before.endswith((" and ", ", "))
        )
    return _BEFORE_ONE.search(before) is not None and _ENDS.match(after) is not None


def _digits(match: re.Match[str], notes: list[str]) -> str:
    """The digits of one run of number words; the run as it stands when it makes no number."""
    written, decimals = match["whole"], match["decimals"]
    if not decimals and written.lower() == "one" and _is_one_of_something(match):
        return "1"
    if not decimals and (written[0].isdigit() or written.lower() in ("one", "oh", "hundred", "thousand", "million")):
        return match[0]
    whole = whole_digits(written)
    if whole is None:
        return match[0]
    if decimals:
        digits = decimal_digits(decimals)
        if digits is None:
            return match[0]
        whole += "." + digits
    notes.append(WORDS_NOTE.format(whole))
    return whole


def whole_digits(written: str) -> str | None:
    """The digits of a whole number in words or in digits; None when the words do not make one."""
    if written[0].isdigit():
        return written
    numbers = _numbers()
    return spoken_whole([numbers[word] for word in re.split(r"[- ]", written.lower()) if word != "and"])


def decimal_digits(written: str) -> str | None:
    """The digits behind a spoken point; None for words that are no digits.

    >>> decimal_digits("zero five"), decimal_digits("twenty five"), decimal_digits("five hundred")
    ('05', '25', None)
    """
    numbers = _numbers()
    digits, tens = "", False
    for word in re.split(r"[- ]", written.lower().strip()):
        if word == "and":
            return None
        value = None if word.isdigit() else numbers[word]
        if value is not None and value >= 100:
            return None
        if tens and value is not None and 0 < value < 10:
            digits = digits[:-1]
        digits += word if value is None else str(value)
        tens = value is not None and value >= 20
    return digits


def spoken_whole(values: list[int]) -> str | None:
    """The digits of a spoken whole number; None when the words do not make one.

    >>> spoken_whole([3, 100, 50, 3]), spoken_whole([3, 50, 3]), spoken_whole([0, 9, 7])
    ('353', '353', '097')
    """
    if not values:
        return None
    if all(value < 10 for value in values) and len(values) > 1:
        return "".join(map(str, values))
    total = part = previous = 0
    for index, value in enumerate(values):
        if value >= 1000:
            total, part = total + max(part, 1) * value, 0
        elif value == 100:
            if not 0 < part < 100:
                return None
            part *= 100
        elif part and previous != 100:
            if index == 1 and part < 10 and value >= 10:
                part = part * 100 + value  # three fifty-three
            elif previous >= 20 and previous % 10 == 0 and value < 10:
                part += value
            else:
                return None
        else:
            part += value
        previous = value
    return str(total + part)
