"""Misspelt units behind a number and doubled letters, put right among the pieces of a text: ``30 ftt``, ``37.5jj``."""

from __future__ import annotations

import re

from grader.notation.expressions import Expressions
from grader.notation.pieces import Raw
from grader.notation.spelling import SHORTEST_WITH_ANY_LETTER, meant_word, short_unit, words_of_phrases
from grader.notation.units import may_begin_unit, simple_unit

_SIXTIETHS = frozenset(("min", "mins", "minute", "minutes", "sec", "secs", "second", "seconds"))

_BEFORE_A_SIDE = frozenset("oNHSsEWCnmau)@&AD,h")
"""Kinds behind which a side of the sky may stand."""

_OF_THE_BODY = frozenset(("left", "right", "down"))
"""Alone they may be a remark on another answer."""

_BEHIND_A_SIDE = frozenset(("of", "from", "and"))

_DOUBLED_SIDES = frozenset(("ee", "ww", "ss", "nn"))
_NO_TWO_SIDES = frozenset(("nnorth", "ssouth", "eeast", "wwest"))
_DOUBLED_HATS = frozenset(("ii", "jj"))


_DEGREES_AND_SIDE = re.compile(r"dege|deg(?:rees?)?[nsw]")


class Mending(Expressions):
    """Puts the word that is meant in the place of one that is not known, with a note."""

    def _replace_word(self, position: int, meant: str) -> None:
        raw = self.raw[position]
        self._note(f"read {raw.word} as {meant}")
        self.raw[position] = Raw(raw.gap, "", meant, "")

    def _below_is_misspelt(self, end: int) -> bool:
        """Whether a word that is not known follows behind ``per`` or a slash: ``metres per secnd``."""
        joint, word = self._at(end + 1), self._at(end + 2).word
        joined = joint.lower == "per" or joint.symbol in ("/", "·") or (joint.lower == "an" and word in ("hor", "our"))
        return joined and len(word) > 1 and not may_begin_unit(word)

    def _mend_unit(self, position: int) -> bool:
        """Puts the unit that a misspelt word means in its place."""
        raw = self.raw[position]
        if raw.lower in ("hor", "our") and self.raw[position - 1].lower in ("per", "an", "/", ""):
            self._replace_word(position, "hour")  # anywhere else it is short for horizontal
            return True
        if _DEGREES_AND_SIDE.fullmatch(raw.lower):
            return False  # 41.5 degW
        meant = meant_word(raw.lower, as_unit=True) or short_unit(raw.word, self._is_plain_angle_here())
        if not meant or simple_unit(meant) is None:
            return False
        self._replace_word(position, meant)
        return True

    def _mend_minutes(self, position: int) -> None:
        """``18 deg 30 minn``: behind degrees a misspelt minute is one."""
        raw = self.raw[position]
        if len(raw.word) < 3 or raw.lower in self.words.kinds or raw.lower in _SIXTIETHS:
            return
        if (meant := meant_word(raw.lower, as_unit=True) or short_unit(raw.lower, False)) in _SIXTIETHS:
            self._replace_word(position, meant)

    def _fits(self, position: int, meant: str) -> bool:
        """Whether a misspelt word stands where the word that it is close to can: a short one must not become a unit or a
        side of the sky in the midst of a sentence.
        """
        if meant in words_of_phrases():
            return False
        if meant in _OF_THE_BODY and self._at(position + 1).word and self._next_word(position) not in _BEHIND_A_SIDE:
            return False  # down the slope
        if len(self.raw[position].word) >= SHORTEST_WITH_ANY_LETTER:
            return True
        last = self._last()
        kind = self.words.kinds.get(meant, ("u", ""))[0]
        if kind == "u":
            return last in (")", ">")  # behind a number a unit is attached to it
        if kind not in ("N", "H", "S", "E", "W", "C"):
            return True
        if last:
            return last in _BEFORE_A_SIDE
        following = self._at(position + 1)
        alone = not following.text and meant not in _OF_THE_BODY
        return alone or bool(following.numeral) or following.lower == "of"

    def _is_angle_here(self) -> bool:
        """Whether the last number can be nothing but an angle: the box or a word before it says so."""
        before = self.tokens[-2].kind if len(self.tokens) > 1 else ""
        return self.box == "direction" or (self.box == "polar" and before in ("@", "D", "b"))

    def _is_plain_angle_here(self) -> bool:
        """Whether the last number is an angle, by the box or by what it is called."""
        named = self.box == "triangle" and len(self.tokens) > 1 and self.tokens[-2].value in ("A", "B", "C")
        return self.box == "angle" or named or self._is_angle_here()

    def _is_absorbed(self, position: int) -> bool:
        """Whether a word, once it is spelt right, may stand between a name and its value: ``x-componet =``."""
        word = self._at(position).lower
        if word and word not in self.words.absorbed and (meant := meant_word(word)) in self.words.absorbed:
            self._replace_word(position, meant)
            return True
        return word in self.words.absorbed

    def _undouble(self, position: int) -> bool:
        """``66.8 NN``, ``37.5jj``, ``S 41.5° WW``: a letter struck twice, where that letter alone can stand."""
        raw = self.raw[position]
        lower = raw.lower
        if lower not in _DOUBLED_SIDES and lower not in _DOUBLED_HATS:
            return False
        last = self._last()
        before = self.tokens[-2].kind if len(self.tokens) > 1 else ""
        in_bearing = bool(last) and last in "na" and bool(before) and before in "NHSs" and lower in ("ee", "ww")
        if lower in _DOUBLED_HATS:
            fits = last == "n" and not raw.gap and self.box in ("components", "polar")
        elif self.box == "quantity":
            fits = raw.word == "NN" and last == "n" and self._is_struck_twice(position)
        else:
            fits = in_bearing or last == "a" or (last == "m" and self.box in ("components", "polar"))
        if fits and raw.word[0] == raw.word[1]:
            self._replace_word(position, raw.word[0])
            return True
        return False

    def _is_struck_twice(self, position: int) -> bool:
        """``45 NN``, ``nnorth``: no two sides; but ``62.0 NN83E`` is newtons and a bearing."""
        lower = self.raw[position].lower
        return lower in _NO_TWO_SIDES or (lower in _DOUBLED_SIDES and not self._at(position + 1).numeral)

    def _undouble_name(self, position: int) -> None:
        """``bb = 14.2``: the name of a part struck twice, where no part of that name is told besides."""
        word = self.raw[position].word
        twice = len(word) == 2 and word[0] == word[1] and word[0] in "abcABC" and self.box == "triangle"
        if twice and all(one.word != word[0] for one in self.raw):
            self._replace_word(position, word[0])
