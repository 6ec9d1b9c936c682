"""Misspelt and mistyped words: ``wesst`` is west, ``mles`` are miles, ``counterclcokwise`` is what it seems to be.

A word that is not known is read as the known word a slip or two away, if all nearest known words mean the same and it is no
ordinary word that somebody may mean (``ordinary`` in spelling.toml). The shorter a word, the fewer slips: short words have
neighbours by the dozen.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache, lru_cache

from grader.notation.pieces import words
from grader.notation.tables import load_table
from grader.notation.units import Unit, simple_unit, unit_words

SHORTEST = 4
"""A shorter word has too many neighbours to be corrected; of units behind a number see ``doubled`` and ``switched``."""

SHORTEST_WITH_ANY_LETTER = 6
"""From this length on, one letter may be any other: people misspell by ear (``standerd``). In shorter words it must
stand beside the right one on the keyboard."""

SHORTEST_OF_TWO_SLIPS = 8

LONGEST = 17

SHORTEST_SIGN = 8
"""Operators in words of fewer letters are not looked for: only ``positive``, ``negative`` and what is as long."""

_BEGINNING = 7
"""Words two slips apart have, within their first seven letters, two letters each whose loss makes them the same."""

_ROWS = ((0.0, "qwertyuiop"), (0.25, "asdfghjkl"), (0.75, "zxcvbnm"))
"""The letters of a QWERTY keyboard, and how far each row stands to the right, in keys (ISO/IEC 9995-3, from memory)."""

_REACH = 1.1
"""The centres of neighbouring keys lie no further apart, in keys, along a row and between rows."""


@cache
def _beside() -> Mapping[str, frozenset[str]]:
    """The letters whose keys stand beside a letter's key."""
    keys = {
        letter: (start + column, row)
        for row, (start, letters) in enumerate(_ROWS)
        for column, letter in enumerate(letters)
    }
    return {
        letter: frozenset(
            other
            for other, (x, y) in keys.items()
            if other != letter and abs(y - row) <= 1 and abs(x - across) <= (_REACH if y == row else _REACH - 0.3)
        )
        for letter, (across, row) in keys.items()
    }


@cache
def _table(name: str) -> frozenset[str]:
    """A list of spelling.toml."""
    table = load_table("spelling.toml")
    return frozenset(word for listed in table[name].values() for word in listed)


@cache
def _of_the_notation() -> frozenset[str]:
    """Words of the notation that are no part of speech in an answer: numbers, remarks."""
    table = load_table("words.toml")
    found: set[str] = set()
    found.update(table["telling"]["words"], table["number_words"], table["ordinals"])
    found.update(word for spellings in table["operators"].values() for word in spellings)
    found.update(word for part in ("heads", "others") for word in table["method"][part])
    found.update(word for phrase in table["none"]["phrases"] for word in phrase.split())
    signs = {word for word in words().operators if len(word) >= SHORTEST_SIGN}
    return frozenset(found - words().kinds.keys() - signs)


@cache
def _ordinary() -> frozenset[str]:
    """Words that are meant as they stand."""
    return _of_the_notation() | _table("ordinary")


Meant = tuple[str, str] | Unit | str

SAYS_NOTHING = ("", "")
_NAMES = frozenset((kind, kind) for kind in "RDXY")
"""The kind of a filler."""

NONE = ("0", "0")
"""The kind of all words that say that there is no answer."""


@cache
def _known() -> Mapping[str, Meant]:
    """Every word of letters of the notation, in the order of its table, and what it means.

    Words that are no part of an answer mean themselves: they have misspellings of their own.
    """
    kinds, operators = words().kinds, words().operators
    found: dict[str, Meant] = {}
    for word in dict.fromkeys((*kinds, *unit_words(), *operators, *sorted(_of_the_notation()))):
        if len(word) >= SHORTEST and word.isalpha() and word.isascii():
            kind, _ = kinds.get(word, ("", ""))
            found[word] = NONE if kind == "0" else kinds.get(word) or simple_unit(word) or operators.get(word) or word
    return found


@cache
def _order() -> Mapping[str, int]:
    """Where each known word stands in the tables, which list the usual spelling before the odd ones."""
    return {word: place for place, word in enumerate(_known())}


def _without_one(word: str) -> set[str]:
    return {word, *(word[:index] + word[index + 1 :] for index in range(len(word)))}


def _without_two(word: str) -> set[str]:
    beginning = word[:_BEGINNING]
    return {shorter for one in _without_one(beginning) for shorter in _without_one(one)}


@cache
def _near() -> Mapping[str, tuple[str, ...]]:
    """Every known word by what is left of it when one letter is dropped."""
    found: dict[str, list[str]] = {}
    for word in _known():
        for shorter in _without_one(word):
            found.setdefault(shorter, []).append(word)
    return {shorter: tuple(known) for shorter, known in found.items()}


@cache
def _further() -> Mapping[str, tuple[str, ...]]:
    """Every long known word by what is left of its beginning when two letters are dropped."""
    found: dict[str, list[str]] = {}
    for word in _known():
        if len(word) >= SHORTEST_OF_TWO_SLIPS - 1:
            for shorter in _without_two(word):
                found.setdefault(shorter, []).append(word)
    return {shorter: tuple(known) for shorter, known in found.items()}


@lru_cache(maxsize=4096)
def meant_word(written: str, as_unit: bool = False) -> str:
    """The one known word that is meant by a misspelling, in lower case, or ``""``.

    Where a unit is what stands there, as right behind a number, words that say nothing do not compete with it.

    >>> meant_word("secnd"), meant_word("secnd", as_unit=True)
    ('', 'second')
    >>> meant_word("standrd"), meant_word("newotns"), meant_word("wesst"), meant_word("harbour"), meant_word("rest")
    ('standard', 'newtons', 'west', '', '')
    """
    if not SHORTEST <= len(written) <= LONGEST or not (written.isalpha() and written.isascii()):
        return ""
    if written in _known() or written in _ordinary() or _known().get(written.removesuffix("s")) in _NAMES:
        return ""  # the lengths are 3 and 5: of more than one thing
    return nearest_word(written, as_unit)


def nearest_word(written: str, as_unit: bool = False) -> str:
    """The known word that is nearest to an unknown one, if all that are equally near mean the same; else ``""``.

    >>> nearest_word("reading"), nearest_word("southeest")
    ('heading', '')
    """
    near = _near()
    known, order = _known(), _order()
    beginnings = (word for shorter in _without_one(written) for word in near.get(shorter, ()))
    candidates = {word for word in beginnings if _is_one_letter_off(written, word)}
    is_slip = is_one_slip
    if not candidates and len(written) >= SHORTEST_OF_TWO_SLIPS:
        further = _further()
        possible = {word for shorter in _without_two(written) for word in further.get(shorter, ())}
        candidates = {word for word in possible if _are_two_slips(written, word)}
        is_slip = _are_two_slips
    if as_unit:
        candidates = {word for word in candidates if known[word] != SAYS_NOTHING and not isinstance(known[word], str)}
    if len({known[word] for word in candidates}) != 1:
        return ""
    likely = [word for word in candidates if is_slip(written, word) and _attracts(word, written, as_unit)]
    if not likely:
        return ""
    usual = min(likely, key=order.__getitem__)
    return usual + "s" if usual + "s" in likely else usual


def _attracts(word: str, written: str, as_unit: bool) -> bool:
    """Whether a known word is one that a misspelling may be read as; a short word only where it is part of an answer."""
    meaning = _known()[word]
    if isinstance(meaning, Unit) and _may_have_another_prefix(written, word):
        return False
    if not as_unit and word in _ordinary():
        return False
    if len(word) < SHORTEST_WITH_ANY_LETTER:
        return word in _table("short")
    return len(written) >= SHORTEST_WITH_ANY_LETTER or meaning != SAYS_NOTHING


_PREFIXES = ("kilo", "milli", "micro", "centi", "mega", "giga", "hecto", "deci", "nano")


def _may_have_another_prefix(written: str, unit_word: str) -> bool:
    """Whether the first letter leaves the power of ten open: ``kmiles`` are thousands of miles, ``milometers`` may be
    kilometres or millimetres.
    """
    if written[0] in "kmcn" and written[1] == unit_word[0]:
        return True
    return unit_word.startswith(_PREFIXES) and written[0] != unit_word[0]


def _is_one_letter_off(written: str, meant: str) -> bool:
    """Whether a letter more or less, another, or two switched make one word of the other."""
    if abs(len(written) - len(meant)) > 1:
        return False
    start = _common(written, meant)
    if len(written) != len(meant):
        longer, less = (written, meant) if len(written) > len(meant) else (meant, written)
        return longer[start + 1 :] == less[start:]
    switched = written[start : start + 2] == meant[start : start + 2][::-1]
    return written[start + 1 :] == meant[start + 1 :] or (switched and written[start + 2 :] == meant[start + 2 :])


def _common(one: str, other: str) -> int:
    """How many letters two words begin with together."""
    start = 0
    while start < min(len(one), len(other)) and one[start] == other[start]:
        start += 1
    return start


def is_one_slip(written: str, meant: str) -> bool:
    """Whether one slip makes the written word of the other: a letter more or less, two switched, or another from beside
    it on the keyboard; in longer words any other. A short word keeps its first letter.

    >>> is_one_slip("esat", "east"), is_one_slip("wesr", "west"), is_one_slip("wesp", "west"), is_one_slip("least", "east")
    (True, True, False, False)
    """
    if not _is_one_letter_off(written, meant):
        return False
    if max(len(written), len(meant)) >= SHORTEST_WITH_ANY_LETTER:
        return True
    start = _common(written, meant)
    if len(written) != len(meant):
        return start > 0
    one, other = written[start : start + 2], meant[start : start + 2]
    return one == other[::-1] or one[0] in _beside().get(other[0], ())


_VOWELS = frozenset("aeiouy")


def _are_two_slips(written: str, meant: str) -> bool:
    """Whether two slips make the written word of the other; a wrong letter is a neighbouring key or another vowel.

    Two letters at either end of the word make another word (``unrounded``, ``lengthen``), not a slip. The distance of
    Damerau and Levenshtein, by the recurrence in which no letter is touched twice (from memory).
    """
    longer, less = (written, meant) if len(written) > len(meant) else (meant, written)
    if len(longer) - len(less) > 2 or (
        len(longer) - len(less) == 2 and (longer.startswith(less) or longer.endswith(less))
    ):
        return False
    beside = _beside()
    before: list[int] = []
    row = list(range(len(meant) + 1))
    for index, letter in enumerate(written):
        following = [index + 1]
        for column, other in enumerate(meant):
            close = other in beside.get(letter, ()) or (letter in _VOWELS and other in _VOWELS)
            steps = min(row[column + 1], following[column]) + 1
            steps = min(steps, row[column] + (0 if letter == other else 1 if close else 3))
            if index and column and letter == meant[column - 1] and written[index - 1] == other:
                steps = min(steps, before[column - 1] + 1)
            following.append(steps)
        if min(following) > 2:
            return False
        before, row = row, following
    return row[-1] <= 2


LIKE_A_BEARING = "like a bearing"
"""The value of an unknown word that is near one for a bearing and was not read as it: ``hearing: 97°``."""


def is_like_a_bearing(written: str) -> bool:
    """Whether one letter makes a word for a bearing of an unknown word, ordinary or not.

    >>> is_like_a_bearing("hearing"), is_like_a_bearing("answer")
    (True, False)
    """
    if len(written) < SHORTEST_WITH_ANY_LETTER or len(written) > LONGEST:
        return False
    known, near = _known(), _near()
    return any(
        known[word] == ("b", "b") and _is_one_letter_off(written, word)
        for shorter in _without_one(written)
        for word in near.get(shorter, ())
    )


def may_be_a_number(written: str) -> bool:
    """Whether an unknown word is a slip away from a number, a sign or a point in words: ``sixtey``, ``minuss``.

    >>> may_be_a_number("sixtey"), may_be_a_number("minuss"), may_be_a_number("barge")
    (True, True, False)
    """
    lower = written.lower()
    if len(lower) < SHORTEST or len(lower) > LONGEST:
        return False
    return any(is_one_slip(lower, word) for shorter in _without_one(lower) for word in _near_numbers().get(shorter, ()))


@cache
def _near_numbers() -> Mapping[str, tuple[str, ...]]:
    """The words of numbers, signs and the point by what is left of them when one letter is dropped."""
    found: dict[str, list[str]] = {}
    for word in (*load_table("words.toml")["number_words"], *words().operators, "point"):
        for shorter in _without_one(word):
            found.setdefault(shorter, []).append(word)
    return {shorter: tuple(known) for shorter, known in found.items()}


def words_of_phrases() -> frozenset[str]:
    """Words that say how a number is rounded, as phrases of several words do: mended, one alone would say nothing."""
    return _table("of_phrases")


# ------------------------------------------------------------------------------- short units behind a number


LONGEST_SHORT = 3
"""Units of so many letters are symbols more than words: ``ft``, ``mph``, ``deg``."""


def short_unit(written: str, box_of_angles: bool) -> str:
    """The short unit meant by what stands right behind a number, or ``""``: a letter doubled or two of three switched.

    Where an angle is asked, ``deg`` with one neighbouring key is meant as well.

    >>> short_unit("ftt", False), short_unit("lsb", False), short_unit("def", True), short_unit("def", False)
    ('ft', 'lbs', 'deg', '')
    """
    if (
        not 2 <= len(written) <= LONGEST_SHORT + 1
        or not written.isascii()
        or written.lower() in _table("other_symbols")
    ):
        return ""
    symbols = _table("symbols")
    meant = {one for one in (*_undoubled(written), *_switched(written)) if one in symbols or one.lower() in symbols}
    if box_of_angles and len(written) == LONGEST_SHORT and is_one_key(written.lower(), "deg"):
        meant.add("deg")
    return min(meant) if len({simple_unit(one) for one in meant}) == 1 else ""


def _undoubled(written: str) -> Iterator[str]:
    """The word without one letter of a pair; not of three alike, where the pair may be meant."""
    for index in range(1, len(written)):
        if written[index - 1] == written[index] and written.count(written[index]) == 2 and len(written) > 2:
            yield written[:index] + written[index + 1 :]


def _switched(written: str) -> Iterator[str]:
    if len(written) == LONGEST_SHORT:
        yield written[1] + written[0] + written[2]
        yield written[0] + written[2] + written[1]


def is_one_key(written: str, meant: str) -> bool:
    """Whether a word of the same length has one letter from beside the right key."""
    wrong = [(one, other) for one, other in zip(written, meant, strict=True) if one != other]
    return len(wrong) == 1 and wrong[0][0] in _beside().get(wrong[0][1], ())
