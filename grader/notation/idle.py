"""Remarks at either end of a text that say nothing of its answer: ``sorry for the late submit``, ``ngl this was hard``.

Only words of a table may go, and only whole runs of them from an end of the text to the answer: one word that is not there
keeps all of them, and the reader is left to say that it does not know it.
"""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from grader.notation.readings import BoxKind
from grader.notation.tables import compass_points, load_table

_WORD = re.compile(r"[a-z]+(?:['’][a-z]+)?")
_TOKEN = re.compile(r"[^\W_]+(?:['’][^\W_]+)?|[^\w\s.,;!?()~*:\"'–—-]")
"""A word or numeral, or a sign that is more than a stop: nothing is passed over beyond it."""

_STOPS = " \t\n.,;!?~*:\"'–—-"
_UNFINISHED = ("%", "=", "+", "-", "*", "/", "≈", ":", "(", "<", "[", "{", "^", "√", "×", "·")


class _Idle(NamedTuple):
    joining: frozenset[str]
    words: frozenset[str]
    only_behind: frozenset[str]
    never_alone: frozenset[str]
    phrases_behind: re.Pattern[str]
    phrases_before: re.Pattern[str]
    triggers: frozenset[str]
    hanging: frozenset[str]


@cache
def _idle() -> _Idle:
    table = load_table("idle.toml")
    either = table["phrases"]
    behind, before = ("|".join((*either, *table[name])) for name in ("phrases_behind", "phrases_before"))
    words = frozenset(table["words"])
    named = frozenset(
        word
        for name in ("phrases", "phrases_behind", "phrases_before")
        for phrase in table[name]
        for word in _WORD.findall(phrase.replace("\\d", ""))
    )
    return _Idle(
        frozenset(table["joining"]),
        words,
        frozenset(table["only_behind"]),
        frozenset(table["never_alone"]),
        re.compile(rf"(?<![^\W_])(?:{behind})[\s.,;!?)]*$", re.IGNORECASE),
        re.compile(rf"^\W*(?:{before})(?![^\W_])[\s.,;:!?)]*", re.IGNORECASE),
        words | named,
        frozenset(table["hanging"]),
    )


def without_idle(text: str, box: BoxKind, notes: list[str]) -> str:
    """The text without idle remarks before and behind its answer; each is named in the notes.

    >>> notes = []
    >>> without_idle("ngl 62.0 N sorry for the late submit", "quantity", notes), notes
    ('62.0 N', ['left out a remark: “sorry for the late submit”', 'left out a remark: “ngl”'])
    >>> without_idle("62.0 N is not hard", "quantity", [])
    '62.0 N is not hard'
    """
    if len(text) > LONGEST or _idle().triggers.isdisjoint(_WORD.findall(text.lower())):
        return text
    for one_end in (_behind, _before):
        kept = one_end(text, box)
        if kept != text and _states_something(kept, box):
            remark = text.replace(kept, "", 1).strip(_STOPS + "()")
            notes.append(f"left out a remark: “{remark}”")
            text = kept
    return text


_ISH = re.compile(r"(?<=[A-Za-z\d°])-ish\W*$", re.IGNORECASE)

LONGEST = 250
"""A longer text is working or an essay."""


def _states_something(text: str, box: BoxKind) -> bool:
    last = text[text.rfind(" ") + 1 :].lower()
    if text.endswith(_UNFINISHED) or last in _idle().hanging:
        return False
    return any(map(str.isdigit, text)) or (box in ("direction", "polar") and _is_point(text))


def _is_point(text: str) -> bool:
    """Whether one of the words is a side or a point of the compass: ``due south``, ``NW``."""
    words = _WORD.findall(text.lower())
    return any(word in sides() or word.upper() in compass_points() for word in words)


@cache
def sides() -> frozenset[str]:
    letters = load_table("words.toml")["letters"]
    return frozenset(word for side in letters.values() for word in side)


def _behind(text: str, box: BoxKind) -> str:
    text = _ISH.sub("", text)
    match = _idle().phrases_behind.search(text)
    if match is not None and match.start():
        return _closed(text[: match.start()])
    tokens = list(_TOKEN.finditer(text))
    known = _idle()
    start, said = len(tokens), []
    while start:
        word = tokens[start - 1][0].lower().replace("’", "'")
        if word not in known.words and word not in known.joining:
            break
        said.append(word)
        start -= 1
    vector = box in ("components", "polar") and start < len(tokens) and "j" in text[: tokens[start].start()]
    if said and said[-1] == "i" and vector:  # -7.6j + 61.6i I think
        said.pop()
        start += 1
    if not start or start == len(tokens) or not _is_idle(said):
        return text
    begins = tokens[start].start()
    return _closed(text[:begins]) if text[begins - 1] not in _TIES else text  # 60-something


_TIES = "-–'’\""


def _before(text: str, box: BoxKind) -> str:
    match = _idle().phrases_before.match(text)
    if match is not None and match.end() and not (box == "triangle" and "side" in match[0]):
        rest = text[match.end() :].strip()
        return text if "sure" in match[0] and _OR.search(rest) else rest  # not sure: 49.4 or 40.6
    known = _idle()
    said: list[str] = []
    last_idle = 0
    for token in _TOKEN.finditer(text):
        word = token[0].lower().replace("’", "'")
        idle = word in known.words and word not in known.only_behind
        if not idle and word not in known.joining:
            break
        said.append(word)
        if idle or (word in ("but", "so", "and") and last_idle):
            last_idle, after = len(said), token.end()
    said = said[:last_idle]
    if not last_idle or not _is_idle(said):
        return text
    return text[after:].strip(_STOPS.replace("-", "").replace("~", "").replace(".", "")).lstrip(".")


def _is_idle(said: list[str]) -> bool:
    """Whether words are a remark: one of them is idle by itself."""
    known = _idle()
    return any(word in known.words and word not in known.never_alone for word in said)


_OR = re.compile(r"\bor\b", re.IGNORECASE)
_JOINT = re.compile(r"[\s,;]+(?:but|and|so|though|tho|although)$", re.IGNORECASE)


def _closed(text: str) -> str:
    """What stands before a remark, without the bracket or the dash that leads it in."""
    text = _JOINT.sub("", text.rstrip(_STOPS))
    return text[:-1].rstrip(_STOPS) if text.endswith("(") else text
