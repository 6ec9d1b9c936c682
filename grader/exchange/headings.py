"""What one heading of an export says, by the words of the trade."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from grader.exchange.cells import fold, nearest, phrase
from grader.exchange.meanings import Meaning, answer
from grader.exchange.words import words

_RUNS = re.compile(r"\d+|[^\W\d_]+")
_BRACKETS = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
_WEIGHT = re.compile(r"[(\[]?\s*\b\d+(?:[.,]\d+)?\s*(?:points?|pts?|marks?)\b\.?\s*[)\]]?", re.IGNORECASE)
_LONGEST = 2000
"""Characters of a heading that are looked at: more than any question's wording, less than a hostile cell."""
_BY_WORDS_WITHIN, _LEAST_SURE = 100, 200
"""The ranks of a heading that only holds the words, and of one that may mean the name as well as the id."""
UNCLEAR_PART = "label, and words that name no known part"
"""How a column is matched that says whose problem's answer it is, and in words not understood which part."""
_LONG = 3
"""A heading with more words than this behind its label is prose, in which ``a`` is an article and no side."""


@dataclass(frozen=True, slots=True)
class Guess:
    """What a heading was taken for. ``rank`` orders rivals (0 the surest); ``reason`` is for the teacher's eyes."""

    meaning: Meaning | None
    rank: int = 0
    reason: str = ""


@dataclass(frozen=True)
class HeadingReader:
    """Reads headings for one rubric: label → form of its answer, label → wording of its question."""

    forms: Mapping[str, str]
    questions: Mapping[str, str] = field(default_factory=dict)

    def guesses(self, heading: str) -> tuple[Guess, ...]:
        """Every meaning that a heading can have, answers first; a lone guess without meaning says why it has none."""
        heading = heading[:_LONGEST]
        found = self._answer(heading)
        if found is not None:
            return (found,)
        known = (*_person(heading), *_of_rows(heading))
        return known or (Guess(None, reason="no word in it is known"),)

    def _answer(self, heading: str) -> Guess | None:
        by_question = self._by_question.get(fold(heading))
        if by_question is not None:
            return Guess(answer(by_question, self.forms[by_question]), reason="the question's wording")
        text = " ".join(unicodedata.normalize("NFKC", heading).split())
        for label, pattern in self._patterns:
            match = pattern.search(text)
            if match is None:
                continue
            rest = f"{text[: match.start()]} {text[match.end() :]}"
            guess = self._rest(label, match, text, rest)
            if guess is not None:
                return guess
        return None

    def _rest(self, label: str, match: re.Match[str], text: str, rest: str) -> Guess | None:
        form = self.forms[label]
        rest = _WEIGHT.sub(" ", rest)
        bare = _BRACKETS.sub(" ", rest)
        kind = _beside_an_answer(bare, form)
        if kind:
            return Guess(None, reason=f"{kind} of problem {label}, not an answer")
        boxes = boxes_named(bare, form) or boxes_named(rest, form)
        before, after = text[: match.start()].strip(), _WEIGHT.sub(" ", text[match.end() :])
        if not match.group("word") and (before or after.strip()):
            # A bare number is a label only where the words beside it name a part, or a full stop or such follows it.
            part_before = before and not after.strip(" )]") and _only_part_words(before, form)
            part_after = not before and (re.match(r"\s*[.:)\]\-–—_,]", after) or _only_part_words(after, form))
            if not (part_before or part_after):
                return None
        glued = re.match(r"[^\W\d_]+", after)
        if glued and label[-1].isdigit() and not _only_part_words(glued.group(), form):
            return None  # 2b where only 2 is a problem
        if form == "number":
            return Guess(answer(label, form), reason="label")
        if len(boxes) == 1:
            return Guess(answer(label, form, boxes[0]), reason="label and part")
        if boxes:
            return Guess(answer(label, form), reason="label and several parts")
        return Guess(answer(label, form), reason=UNCLEAR_PART if 0 < len(_further(bare)) <= _LONG else "label")

    @cached_property
    def _by_question(self) -> dict[str, str]:
        wordings: dict[str, list[str]] = {}
        for label, wording in self.questions.items():
            if len(wording.split()) > 2:
                wordings.setdefault(fold(wording[:_LONGEST]), []).append(label)
        return {wording: labels[0] for wording, labels in wordings.items() if len(labels) == 1}

    @cached_property
    def _patterns(self) -> tuple[tuple[str, re.Pattern[str]], ...]:
        """A pattern for each label, longer labels first: 2a is looked for before 2."""
        word = "|".join(re.escape(each) for each in words().problem)
        patterns = []
        for label in sorted(self.forms, key=lambda each: (-len(each), each)):
            runs = _RUNS.findall(unicodedata.normalize("NFKC", label))
            if not runs:
                continue
            # A program that sorts by names writes Q01 for the first problem.
            inner = r"(?:[\W_]*part)?[\W_]*".join(f"0*{run}" if run[0] in "123456789" else run for run in runs)
            ahead = r"(?!\d|[.,]\d)" if runs[-1].isdigit() else r"(?![^\W_])"
            said = rf"(?<![^\W\d_])(?P<word>(?:{word})s?[\W_]*(?:(?:(?:no|nr|number|part)\b|n°)[\W_]*)?){inner}{ahead}"
            # Letters alone (a problem A) would be found in every sentence: they stand alone, or behind "problem".
            bare = rf"(?<![\d.,]){inner}{ahead}" if runs[0].isdigit() else rf"\A\s*{inner}\s*\Z"
            pattern = f"{said}|{bare}"
            patterns.append((label, re.compile(pattern, re.IGNORECASE)))
        return tuple(patterns)


def nearest_part(heading: str, form: str) -> str:
    """The part that a word of a heading nearly names (``dirction``); blank where none comes near."""
    phrases = {each: box for box, known in words().boxes.get(form, {}).items() for each in known if len(each) > _LONG}
    return next((phrases[near] for word in _word_list(heading) if (near := nearest(word, phrases))), "")


def _further(text: str) -> list[str]:
    """The words beside a problem's label that say something, known or not."""
    table = words()
    return [each for each in phrase(text).split() if each not in table.fillers and each not in table.problem]


def _beside_an_answer(text: str, form: str) -> str:
    """``score`` for a heading such as Q2a score; blank where the words do not say that the column is no answer."""
    table = words()
    parts = {
        word for phrases in table.boxes.get(form, {}).values() for each in phrases for word in phrase(each).split()
    }
    said = [each for each in phrase(text).split() if each not in parts]
    if said and all(each in table.not_an_answer or each in table.fillers for each in said):
        return next((each for each in said if each in table.not_an_answer), "")
    return ""


def boxes_named(text: str, form: str) -> list[str]:
    """The parts that a text names, for an answer of this form."""
    return [box for box, phrases in words().boxes.get(form, {}).items() if _names(text, phrases, form)]


def _names(text: str, phrases: tuple[str, ...], form: str) -> bool:
    said = _word_list(text)
    plain = [each.casefold() for each in said]
    for each in phrases:
        if len(each) == 1 or form == "triangle":
            short = len(said) <= _LONG
            if each in said and short:
                return True
            if " " in each and _within(each.split(), said):
                return True
            if len(each) > 1 and " " not in each and each in plain:
                return True
        elif _within([word.casefold() for word in _word_list(each)], plain):
            return True
    return False


def _word_list(text: str) -> list[str]:
    """The words of a text, letter case kept, cut at digits, signs and humps; a Greek letter is a word by itself."""
    return re.findall(r"[α-ωΑ-Ωϑϕ]|[A-Z]?[a-z]+|[A-Z]+(?![a-z])|[^\W\d_]", text)


def _within(part: list[str], whole: list[str]) -> bool:
    return any(whole[i : i + len(part)] == part for i in range(len(whole) - len(part) + 1))


def _only_part_words(text: str, form: str) -> bool:
    """Whether a text says which part and nothing else (``magnitude (N)``, ``x``, ``side a``)."""
    said = _word_list(_BRACKETS.sub(" ", text))
    if not said or len(said) > _LONG:
        return False
    if form == "number":
        return len(said) == 1 and said[0].casefold() in ("value", "answer", "response", "result")
    return bool(boxes_named(" ".join(said), form))


def _of_rows(heading: str) -> tuple[Guess, ...]:
    """What a column holds where every row is one answer."""
    bare = phrase(_BRACKETS.sub(" ", heading)) or phrase(heading)
    return tuple(
        Guess(Meaning(held), 0, "the words of the heading")
        for held, phrases in words().of_rows.items()
        if bare in phrases
    )


def names_either(heading: str) -> bool:
    """Whether a heading can stand over names as well as over ids: ``Student``, ``Pupil``."""
    person = words().person
    return phrase(heading) in person["student id"] and phrase(heading) in person["name"]


def _person(heading: str) -> tuple[Guess, ...]:
    table = words()
    bare = phrase(_BRACKETS.sub(" ", heading)) or phrase(heading)
    exact = [
        Guess(Meaning(held), _LEAST_SURE if names_either(each) else ranks[each], "the words of the heading")
        for held, ranks in table.person.items()
        for each in dict.fromkeys((phrase(heading), bare))
        if each in ranks
    ]
    if exact:
        return tuple(exact)
    said = bare.split()
    if table.not_a_person.intersection(said):
        return ()
    return tuple(
        Guess(Meaning(held), _BY_WORDS_WITHIN, "words within the heading")
        for held, phrases in table.person_within.items()
        if any(_within(each.split(), said) for each in phrases)
    )
