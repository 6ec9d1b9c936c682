"""From plain notation to tokens: numbers worked out, angles and units joined to their numbers, words by part of speech.

The scan is one pass from left to right. Where the text can be taken in two ways (``6 2.0``), the scan takes the first
way or the second as told, and says that there was a choice; the reader then scans twice.
"""

from __future__ import annotations

import re
from itertools import starmap

from grader.notation.calculations import EXACT
from grader.notation.digits import NotANumber
from grader.notation.labels import Labels
from grader.notation.pieces import OF_A_THING, PIECE, Raw, Scan, Token, words
from grader.notation.readings import DecimalMark
from grader.notation.spelling import LIKE_A_BEARING, is_like_a_bearing, meant_word
from grader.notation.units import simple_unit

_PI = frozenset(("π", "pi", "pie"))

_GOES_ON = frozenset(("+", "-", "*", "**", "/", "×", "·", "^", "√", "(", "x", "sin", "cos", "tan"))
"""Signs and words that can carry a calculation on after a numeral."""

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


class Scanner(Labels):
    """One scan of one text. ``second`` takes the second way at every choice."""

    open = 0
    """Brackets that stand open."""
    quoted = False

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

    def _symbol(self, position: int) -> int:
        raw = self.raw[position]
        symbol = raw.symbol
        if symbol == "-" and self._hyphen(position):
            return position + 1
        if symbol == "-" and raw.gap and self._is_dash_before_value(position):
            self._emit("," if self._last() in ("m", "N", "n") else "=", raw)
            return position + 1
        if (
            symbol == "+"
            and self._last()
            and self._last() in "ijmaXY"
            and position + 1 < self.count
            and self.raw[position + 1].symbol in ("-", "(")
        ):
            self._emit("&", raw)  # 61.6i + (-7.6)j
            return position + 1
        if symbol == "+" and self.box == "quantity" and self._last() in ("n", "m") and self._follows(position, "-"):
            self._emit("±", raw)  # 62 +- 1: an uncertainty, not a sum
            return position + 2
        if symbol == "(" and (
            self._opens_pair(position) or (raw.gap and self._last() and self._last() in "nmaNHSsEWCT")
        ):
            self._emit("(", raw)
            self.open += 1
            return position + 1
        if symbol in _BEGINS_A_NUMBER:
            end = self._signed_number(position)
            if end:
                return end
        if symbol in "-+":
            following = self._at(position + 1)
            if symbol == "-" and self._last() and self._last() in "NHSsEWCa" and not following.gap and following.word:
                return position + 1  # south-west, N 45°-W
            if symbol == "-" and not raw.gap and self._is_inside_a_bearing(following):
                return position + 1  # N-45-W
            tied = not raw.gap and not following.gap
            if tied and self._last() in ("n", "m") and self.words.kinds.get(following.lower) == ("", ""):
                return self._unreadable(position, raw)  # sixty-to
            if self._last() and self._last() in "nmaijNHSsEWC)u":
                at_end = position + 1 == self.count
                self._emit("?" if at_end else "-" if symbol == "-" else "&", raw)
                return position + 1
            return self._axis(position) or self._unreadable(position, raw)
        if symbol in "([{<":
            self._emit("(" if symbol == "(" else "<", raw)
            self.open += 1
        elif symbol in ")]}>":
            if not self.open:
                if symbol == ">" or (self._last() == "n" and self._furthest("numeral") > position):
                    return self._unreadable(position, raw)  # 1) 62.0 2) 353
                self._note("left out a bracket that was never opened")
                return position + 1
            self.open -= 1
            self._emit(")" if symbol == ")" else ">", raw)
        elif symbol in "|":
            return self._bars(position)
        elif symbol in ("=", "≈", "~=", "=="):
            self._emit("=", raw)
        elif symbol in ("⇒", "=>", "->"):
            self._emit("w", raw)
        elif symbol in ",;\n&@∠Ø±∨":
            kind = {"∠": "@", "Ø": "0", "∨": "v"}.get(symbol, symbol)
            self._emit(kind, raw, symbol)
        elif symbol == ":":
            self._emit(":" if self._last() else "", raw)
        elif symbol == "/" and (
            self._last() in ("m", "a", "n") or [one.kind for one in self.tokens[-2:]] == ["n", "N"]
        ):
            following = self._at(position + 1)
            lost = self._last() == "m" and (not following.text or following.symbol in (",", ";", "\n"))  # 7.6 km/
            self._emit("?" if lost or self._is_over_a_letter(position) else "/", raw)
        elif symbol == "—":
            self._emit(",", raw)
        elif symbol in "?'\"′″*":
            self._stray_mark(position, raw)
        elif symbol == "~" and self._last() in ("n", "m", "a"):
            self._emit("=", raw)  # 62.04 ~ 62.0
        elif symbol == "_" and self._last() in ("n", "m", "a"):
            self._emit("?", raw)  # 28_: a digit that was not made out
        elif symbol in "~.!_" or (symbol in ("°",) and self._last() == ""):
            pass
        else:
            self._emit("?", raw)
        return position + 1

    def _follows(self, position: int, symbol: str) -> bool:
        """Whether a symbol comes next, without a gap."""
        following = self._at(position + 1)
        return following.symbol == symbol and not following.gap

    def _follows_numeral(self, position: int) -> bool:
        """Whether a numeral comes next, without a gap."""
        following = self._at(position + 1)
        return bool(following.numeral) and not following.gap

    def _is_dash_before_value(self, position: int) -> bool:
        """``Magnitude - 62.0 N``, ``62.0 N - 353°``: a dash with blanks on both sides parts a name or a length from what
        follows. A length is never negative; what else it parts may also be meant with its sign."""
        following = self._at(position + 1)
        last = self._last()
        parts = last in ("R", "D", "X", "Y", "b") or (last in ("m", "N", "n") and self.box == "polar")
        if not parts or not following.numeral or not following.gap or self.raw[position - 1].symbol in _EQUAL:
            return False
        if last not in ("R", "b"):
            self.doubt = True
            if self.second:
                return False
        self._note("read a dash as a separator")
        return True

    def _opens_pair(self, position: int) -> bool:
        """(6,5): a bracket with one comma numeral in it is a pair before it is a number."""
        index = position + 1
        while index < self.count and self.raw[index].symbol in ("-", "+"):
            index += 1
        return index + 1 < self.count and "," in self.raw[index].numeral and self.raw[index + 1].symbol == ")"

    def _stray_mark(self, position: int, raw: Raw) -> None:
        """A mark that belongs to nothing: let go at either end of the text or after a word, never beside a number."""
        before = self.raw[position - 1] if position else None
        at_end = position > self._furthest("content")
        if raw.symbol == "?":
            if not at_end or before is None or before.symbol == ",":
                self._emit("?", raw)
            else:
                self._note("left out a question mark")
        elif before is None or (raw.symbol == "*" and at_end):
            return
        elif raw.symbol == '"' and self._is_quoted(position):
            return  # ="62.0"
        elif before.numeral and (
            raw.symbol == '"' or (raw.symbol != "*" and self.box in ("angle", "direction", "polar"))
        ):
            self._emit("?", raw)  # 83': minutes without degrees
        elif raw.symbol != '"' and (before.numeral or before.symbol) and not at_end:
            self._emit("?", raw)

    def _is_quoted(self, position: int) -> bool:
        """Whether a double quote stands anywhere before."""
        self.quoted = self.quoted or any(one.symbol == '"' for one in self.raw[:position])
        return self.quoted

    def _hyphen(self, position: int) -> bool:
        """S-83-E: a hyphen that ties a number to the letter before it is no minus sign."""
        if (
            not self.tokens
            or self.tokens[-1].kind not in tuple("NHSsEW")
            or self.raw[position].gap
            or position + 2 >= self.count
        ):
            return False
        following = self.raw[position + 1]
        return bool(following.numeral) and not following.gap

    def _is_inside_a_bearing(self, following: Raw) -> bool:
        return [one.kind for one in self.tokens[-2:]] in (["N", "n"], ["H", "n"], ["S", "n"], ["s", "n"]) and (
            not following.gap and following.lower in ("e", "w", "east", "west")
        )

    def _unreadable(self, position: int, raw: Raw) -> int:
        self._emit("?", raw)
        return position + 1

    def _bars(self, position: int) -> int:
        """|R|: the bars belong to the label; anywhere else a bar parts two things."""
        raw = self.raw[position]
        following = position
        while following < self.count and self.raw[following].symbol == "|":
            following += 1
        of_a_number = self._last() == "n" and following < self.count and simple_unit(self.raw[following].word)
        if following < self.count and self.raw[following].word and not of_a_number:  # 12.7 | knots |
            end = following + 1
            if end < self.count and self.raw[end].symbol == "|":
                while end < self.count and self.raw[end].symbol == "|":
                    end += 1
                self.tokens.append(Token("R", self.raw[following].word, value="R"))
                return end
        if self.tokens and following < self.count:
            self._emit(",", raw)
        return following

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

    def _signed_number(self, position: int) -> int:
        try:
            return self._number(position)
        except NotANumber:
            if self.reached > position:
                self._emit("?", self.raw[position])
                return self.reached
            return 0

    def _stands_alone(self, following: int) -> bool:
        """Whether the piece after a numeral cannot go on with a calculation."""
        if following >= self.count:
            return True
        raw = self.raw[following]
        return not raw.numeral and (raw.lower or raw.symbol) not in _GOES_ON and raw.lower not in self.words.operators

    def _number(self, position: int) -> int:
        raw = self.raw[position]
        if raw.numeral and self._split_numeral(position):
            return position
        if raw.symbol and self._at(position + 1).numeral:
            self._split_numeral(position + 1)
        if raw.numeral.startswith(".") and position and not raw.gap and self.raw[position - 1].word:
            return self._unreadable(position, raw)
        start_tokens = len(self.tokens)
        try:
            if raw.numeral and self._stands_alone(position + 1):
                number, end, digits = self._plain_numeral(raw.numeral, position)
            else:
                number, end, digits = self._sum(position, 0)
        except NotANumber:
            if raw.numeral:
                del self.tokens[start_tokens:]
                self._emit("?", raw)
                return max(position + 1, self.reached)
            raise
        if end == position + 1:
            token = Token("n", raw.text, number, digits=digits)
            token.of_pi = raw.word != ""
        else:
            pieces = self.raw[position:end]
            written = "".join([one.gap + one.text for one in pieces if one.symbol != EXACT]).strip()
            token = Token("n", written, number, digits=digits)
            token.of_pi = not _PI.isdisjoint([one.symbol or one.lower for one in pieces])
        self.tokens.append(token)
        return self._attach(token, end)


def scan(text: str, box: str, mark: DecimalMark, second: bool = False) -> Scan:
    """The tokens of a text in plain notation."""
    return Scanner(text, box, mark, second).run()
