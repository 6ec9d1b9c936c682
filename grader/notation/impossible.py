"""Whether a text says that there is no answer, in whatever words: ``no triangle``, ``it cannot be``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache

from grader.notation.claims import values_stated
from grader.notation.meanings import kinds_of
from grader.notation.pieces import Token, is_function
from grader.notation.spelling import meant_word
from grader.notation.tables import load_table


@cache
def _none_pattern() -> re.Pattern[str]:
    phrases = sorted(load_table("words.toml")["none"]["phrases"], key=len, reverse=True)
    return re.compile(r"(?<![^\W\d_])(?:" + "|".join(map(re.escape, phrases)) + r")(?![^\W\d_])", re.IGNORECASE)


def says_so(text: str) -> bool:
    """Whether a phrase that there is no answer stands in a text, whatever else does.

    >>> says_so("it can't be bigger than A"), says_so("it must be bigger")
    (True, False)
    """
    return _none_pattern().search(text) is not None


def says_there_is_none(text: str) -> bool:
    """Whether a piece of text says, in two words or more, that there is no answer: ``no triangle``."""
    match = _none_pattern().search(text)
    return match is not None and (" " in match[0] or match[0].lower() == "impossible")


_OF_ONE_ONLY = re.compile(
    r"\b(?:second|2nd|other|others|another|rest)\b|\b(?:cannot|can't|cant) be -?\d", re.IGNORECASE
)
"""``C = 54.3, the other one is impossible``: that something is impossible, beside an answer that stands."""


_SAID = re.compile(r"[^\W\d_](?:[^\W\d_]|['/](?=[^\W\d_]))*")
_NOT_KNOWN = re.compile(r"\bno (?:idea|clue)\b|\bwhether\b", re.IGNORECASE)
_NOT_ENOUGH = re.compile(r"\benough (?:info|data|given|known|numbers)|\binformation\b", re.IGNORECASE)
"""``no idea if there is no triangle``: what follows is not claimed."""


def says_none(text: str, tokens: Sequence[Token]) -> bool:
    """Whether the words say that there is no answer; a lone ``no`` counts only when no value is written.

    And only where it ends the text, or is said of what there can be none of: not in ``no idea``; nor where a word that is not
    known or one of the trade stands beside it: ``no luck``, ``no force``.
    """
    written = _SAID.findall(text.lower())
    spelt = [token.text for token in tokens if token.kind == "0" and token.text.lower() not in written]
    text = " ".join((text, *spelt))
    if _NOT_ENOUGH.search(text) is not None:
        return False
    found = [
        one
        for one in _none_pattern().finditer(text)
        if one[0].lower() != "no" or _is_said(text, one) or _is_of_an_answer(text)
    ]
    unsure = _NOT_KNOWN.search(text, 0, found[0].start()) if found else None
    if not found or (unsure is not None and " but " not in text[unsure.end() : found[0].start()]):
        return False
    if tokens[-1].text == "Ø" and kinds_of(tokens[-2:]) == "w0" and any(is_function(token.text) for token in tokens):
        return True  # sin B = 1.27 > 1 ⇒ Ø
    said = [match[0].lower() for match in found]
    valued = any(token.kind in "nmaCNHSsEW" for token in tokens)
    if valued and (_OF_ONE_ONLY.search(text) or values_stated(tokens) > (_OF_THE_WHOLE.search(text) is not None)):
        return False
    if (
        set(said) == {"no"}
        and not _is_of_an_answer(text)
        and (_NO_THING.search(text) or any(token.kind == "?" for token in tokens))
    ):
        return False
    return not valued or not _LONE.issuperset(said[:1])


_OF_THE_WHOLE = re.compile(r"\bno (?:such |real |possible )?(?:triangles?|solutions?|answer exists)\W*$", re.IGNORECASE)
"""At the end of a text, behind one value at most: ``a = 12 too short, no triangle``."""


def says_both(text: str, tokens: Sequence[Token]) -> bool:
    """Whether a text states a value and says, in two words or more, that something is impossible, not of another case only."""
    match = _none_pattern().search(text)
    return match is not None and " " in match[0] and _OF_ONE_ONLY.search(text) is None and values_stated(tokens) > 0


def _is_of_an_answer(text: str) -> bool:
    """Whether a ``no`` stands before a word for an answer, however it is spelled: ``no solutoin``."""
    after = _NO_WORD.search(text)
    return after is not None and meant_word(after[1].lower()).rstrip("s") in ("solution", "triangle", "answer")


_NO_WORD = re.compile(r"\bno ([a-z]+)", re.IGNORECASE)
_LONE = frozenset(("no", "none", "undefined", "ø"))
_NO_THING = re.compile(
    r"\bno (?:net |resultant |total )*(?:force|pull|tension|wind|current|net|speed|velocity|displacement|weight"
    r"|angle|magnitude|length|component|vertical|horizontal)s?\b",
    re.IGNORECASE,
)
"""That there is no force is a force of nought, not a question without an answer."""


def _is_said(text: str, no: re.Match[str]) -> bool:
    """Whether ``no`` stands at the end, or before one of the words in words.toml that it denies."""
    following = text[no.end() :].lstrip()
    return not following[:1].isalpha() or following.lower().startswith(_denied())


@cache
def _denied() -> tuple[str, ...]:
    return tuple(load_table("words.toml")["none"]["denied"])
