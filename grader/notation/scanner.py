"""From plain notation to tokens: numbers worked out, angles and units joined to their numbers, words by part of speech.

The scan is one pass from left to right. Where the text can be taken in two ways (``6 2.0``), the scan takes the first
way or the second as told, and says that there was a choice; the reader then scans twice.
"""

from __future__ import annotations

import re
from itertools import starmap

from grader.notation.calculations import EXACT
from grader.notation.pieces import OF_A_THING, PIECE, Raw, Scan, Token, words
from grader.notation.readings import DecimalMark
from grader.notation.signs import Signs
from grader.notation.spelling import LIKE_A_BEARING, is_like_a_bearing, meant_word
from grader.notation.units import simple_unit

_EQUAL = frozenset(("=", ":", "≈", "~=", "=="))

_COMING = frozenset(("blowing", "blows", "coming", "comes"))
_ARTICLES = frozenset(("the", "a", "an", "my", "its"))

_BEGINS_A_NUMBER = frozenset(("+", "-", "√", "π", "(", ".", EXACT))

_BEFORE_AN_AXIS = frozenset(("positive", "pos", "negative", "neg", "x", "y", "horizontal", "vertical", "minus", "plus"))
"""Words with which the name of an axis begins."""

_STANDARD = frozenset(("standard", "std", "stand", "standerd", "standart", "stanard"))
_POSITION = frozenset(("position", "pos", "posn", "form", "posistion", "positon", "postion", "possition"))

_RUN_TOGETHER = re.compile(
    r"(d(?:eg(?:rees?)?)?)?(n|s|e|w|north|south|east|west)(of|from)?(n|s|e|w|north|south|east|west)"
    r"|(?!degrees$)(deg(?:rees?)?)(n|s|e|w)"
    r"|(n|s|e|w|north|south|east|west)(of|from)"
    r"|(of|from)(n|s|e|w|north|south|east|west)"
)


class Scanner(Signs):
    """One scan of one text. ``second`` takes the second way at every choice."""

    def __init__(self, text: str, box: str, mark: DecimalMark, second: bool = False) -> None:
        self.raw = list(starmap(Raw, PIECE.findall(text)))
        self.count = len(self.raw)
        self.box = box
        self.mark = mark
        self.second = second
        self.tokens = []
        self.notes = []
        self.words = words()
        self.furthest = {}

    def run(self) -> Scan:
        position = 0
        while position < self.count:
            raw = self.raw[position]
            if raw.numeral:
                position = self._number(position)
            elif raw.word:
                position = self._word(position)
            else:
                position = self._symbol(position)
        return Scan(self.tokens, self.notes, self.doubt)

    def _word(self, position: int) -> int:
        raw = self.raw[position]
        word, lower = raw.word, raw.lower
        if lower in self.words.operators:
            end = self._signed_number(position)
            if end:
                return end
        if (
            lower == "r"
            and not raw.gap
            and position
            and self.raw[position - 1].numeral
            and self._follows_numeral(position)
        ):
            return self._unreadable(position, raw)  # 6r2: hardly a radius
        if lower in _BEFORE_AN_AXIS:
            end = self._axis(position)
            if end:
                return end
        names = self._stands_before_equals(position)
        if self._is_part_of_a_formula(position, lower, names):
            return self._unreadable(position, raw)
        if names and (end := self._label(position)):
            return end
        if len(word) == 1 and (end := self._numbered_component(position)):
            return end
        if word[0] in "ABCabcαβγ" and len(word) <= 2 and (end := self._numbered_part(position)):
            return end
        kind, value = self._kind(word, lower)
        last = self._last()
        if kind == "v" and self._at(position + 1).symbol == "=":
            return self._unreadable(position, raw)  # Or = 53.7: no "or" of two answers
        if word == "t" and last == "a" and self.box in ("direction", "polar"):
            self._emit("T", raw, "T")
            return position + 1
        if kind == "0" and word in ("Ø", "ø"):
            lower = "Ø"
        if last == "" and kind in ("@", "&") and lower in ("with",):
            return position + 1
        if last == "D" and lower in self.words.other_angles and self.box in ("direction", "polar"):
            self._emit("?", raw, OF_A_THING)
            return position + 1  # the angle between them is no direction
        if lower == "from" and position and self.raw[position - 1].lower in _COMING:
            return self._unreadable(position, raw)
        if last and last in "CNHSsEW" and lower in ("wind", "winds", "breeze"):
            return self._unreadable(position, raw)  # an NW wind blows toward the south-east
        if not kind and self._is_of_a_thing(position, lower, last):
            self._emit("?", raw, OF_A_THING)
            return position + 1
        if kind == "?" and last == ")" and (found := simple_unit(word)):
            kind = "u"
        if last in (")", ">") and lower == "in" and simple_unit(self._next_word(position)) is not None:
            return position + 1  # (4.7, -8.1) in knots
        if last in (")", ">") and kind not in ("N", "E", "W", "S", "H", "C"):
            end, found = self._unit_phrase(position)
            if found is not None:
                self.tokens.append(Token("u", word, unit=found))
                return end
        if kind in ("?", "i") and word == "I" and last not in ("n", "m"):
            return position + 1
        if kind == "i" or kind == "j":
            return self._hat(position, kind)
        if kind in ("X", "Y", "R", "D"):
            return self._label_tail(position, kind, value)
        if (kind == "P" and last in ("D", "@")) or (last == "D" and word in ("A", "B", "C")):
            kind, value = "P", value or word
        elif word in tuple("abcABC") and self._is_called_a_side(position):
            self._emit("P", raw, word.lower())  # angle A is 30° side a is 5
            return position + 1
        if (
            kind == "P"
            and word in "abcABC"
            and position
            and (before := self.raw[position - 1].lower) in ("angle", "side")
        ):
            value = word.upper() if before == "angle" else word.lower()
        if lower in _STANDARD and (stop := self._after_dot(position)) and self.raw[stop].lower in _POSITION:
            self._emit("V", raw)
            return stop + 1
        if lower in ("standard", "std") and self._is_said_of_angle(position):
            self._emit("V", raw)
            return position + 1
        if kind == "" and lower in ("a", "an", "in", "the") and self._next_word(position) in ("direction", "dir"):
            self._emit("@", raw)
            return position + 2
        elif kind == "P" and self.box != "triangle" and last not in ("@", "D"):
            kind, value = "D", "D"
        if kind == "?":
            return self._unknown(position)
        if last == "D" and lower in self.words.counted_from:
            self._emit("o", raw, value)  # the angle from the vertical
            return position + 1
        if kind == "o" and self.tokens and self.tokens[-1].kind in ("D", "X", "Y", "R", "b", "@"):
            return position + 1
        self._emit(kind, raw, value)
        return position + 1

    def _is_of_a_thing(self, position: int, lower: str, last: str) -> bool:
        """``23° from the current``, ``23° from A``: an angle from what is no axis; ``2 ropes``: a number of things;
        ``36 m in 12 s``: the number of something else. Left out, each would be taken for a part of the answer."""
        raw = self.raw[position]
        if lower in ("in", "on", "for"):
            after = self._at(position + 1)
            after = self._at(position + 2) if after.lower in _ARTICLES else after
            length = last == "m" or (last == "N" and len(self.tokens) > 1 and self.tokens[-2].kind == "n")
            return (length or last == "a") and bool(after.numeral)
        if lower not in self.words.things and raw.word != "A":
            return False
        before = position - 1
        while before > 0 and self.raw[before].lower in _ARTICLES:
            before -= 1
        if before < 0:
            return False
        if self.raw[before].numeral and last == "n":
            return raw.word != "A" and self.box in ("quantity", "angle")
        angle = next((token.kind for token in reversed(self.tokens) if token.kind not in "o@ck,"), "")
        counted = angle == "a" or (angle == "n" and self.box in ("direction", "angle"))
        return counted and (self.raw[before].lower in self.words.counted_from or self.raw[before].lower == "to")

    def _is_called_a_side(self, position: int) -> bool:
        """``side a is 5``, ``side a: 5``: a letter that the word before it and the one after it make a name."""
        if self.box != "angle" or not position or self.raw[position - 1].lower != "side":
            return False
        following = self._at(position + 1)
        return following.symbol in ("=", ":", "≈") or following.lower in ("is", "equals", "was")

    def _is_said_of_angle(self, position: int) -> bool:
        """``60° (standard)``: the word behind an angle, at the end of the text or of the bracket."""
        before = "".join([token.kind for token in self.tokens[-2:]])
        at_end = position + 1 == self.count or self.raw[position + 1].symbol == ")"
        if self.box == "direction" and before.endswith(("n", "n(", "n,")):
            return at_end
        return self.box in ("direction", "polar") and before.endswith(("a", "a(", "a,")) and at_end

    def _is_part_of_a_formula(self, position: int, lower: str, names: bool) -> bool:
        """``cos C``, ``ROUND(``, the a of ``2a``: names that are not what the same letters or words are elsewhere."""
        before = self.raw[position - 1] if position else None
        if lower == "round":
            return self._follows(position, "(")
        if before is None:
            return False
        glued = lower == "a" and bool(before.numeral) and not self.raw[position].gap and not names
        return glued or (before.word in ("sin", "cos", "tan") and lower in ("a", "b", "c"))

    def _after_dot(self, position: int) -> int:
        """Where the next word is, past the point of an abbreviation; 0 at the end."""
        stop = position + 1
        if stop < self.count and self.raw[stop].symbol == ".":
            stop += 1
        return stop if stop < self.count else 0

    def _unknown(self, position: int) -> int:
        """A word of no known kind: letters run together (``SofE``), a unit on its own, or nothing that is known."""
        raw = self.raw[position]
        if self._undouble(position):
            return self._word(position)
        lower = raw.lower
        split = None if lower in ("degrees", "degs") else _RUN_TOGETHER.fullmatch(lower)
        if split is not None and not self._is_struck_twice(position):
            pieces = [piece for piece in split.groups() if piece]
            if pieces[0] in ("d", "deg", "degrees", "degree"):
                pieces = pieces[1:]
                self._mark_last_as_degrees()
            for piece in pieces:
                letter_kind, value = self._kind(piece if piece != "s" else "S", piece)
                self._emit(letter_kind, raw, value)
            return position + 1
        end, found = self._unit_phrase(position)
        if found is not None:
            self.tokens.append(Token("u", raw.word, unit=found))
            return end
        meant = meant_word(lower)
        if meant and self._fits(position, meant):
            self._replace_word(position, meant)
            return self._word(position)
        self._emit("?", raw, LIKE_A_BEARING if is_like_a_bearing(lower) else "")
        return position + 1

    def _mark_last_as_degrees(self) -> None:
        if self.tokens and self.tokens[-1].kind == "n":
            self._to_angle(self.tokens[-1], "deg")


def scan(text: str, box: str, mark: DecimalMark, second: bool = False) -> Scan:
    """The tokens of a text in plain notation."""
    return Scanner(text, box, mark, second).run()
