"""Numbers and operators in words, as voice typing leaves them: ``sixty two point zero`` is ``62.0``.

Also the little phrases around an answer that say nothing about it (``to the nearest tenth``), or say how it is to be
taken (``no wait``, ``i.e.``).
"""

from __future__ import annotations

import re
from functools import cache

from grader.notation.phrases import PHRASES
from grader.notation.tables import load_table

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
        (re.compile(pattern, re.IGNORECASE), written, frozenset(words.split())) for pattern, written, words in PHRASES
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
