"""From plain notation to tokens: numbers worked out, angles and units joined to their numbers, words by part of speech.

The scan is one pass from left to right. Where the text can be taken in two ways (``6 2.0``), the scan takes the first
way or the second as told, and says that there was a choice; the reader then scans twice.
"""

from __future__ import annotations

import re

from grader.notation.attachments import Attachments
from grader.notation.expressions import NotANumber
from grader.notation.pieces import PIECE, Raw, Scan, Token, meant_word, words
from grader.notation.units import simple_unit

_GOES_ON = frozenset(
    ("+", "-", "*", "**", "/", "×", "·", "^", "√", "π", "(", "x", "pi", "pie", "times", "over", "multiplied", "divided", "sqrt")
    + ("root", "rt", "squareroot", "sqroot", "surd", "sqr", "sin", "cos", "tan", "minus", "negative", "neg")
)
_AXIS_SIGNS = frozenset(("positive", "pos", "negative", "neg", "minus", "plus"))
_RUN_TOGETHER = re.compile(
    r"(d(?:eg(?:rees?)?)?)?(n|s|e|w|north|south|east|west)(of|from)?(n|s|e|w|north|south|east|west)"
    r"|(deg(?:rees?)?)(n|s|e|w)"
    r"|(n|s|e|w|north|south|east|west)(of|from)"
    r"|(of|from)(n|s|e|w|north|south|east|west)"
)


class Scanner(Attachments):
    """One scan of one text. ``second`` takes the second way at every choice."""

    def __init__(self, text: str, box: str, decimal_comma: bool, second: bool = False) -> None:
        self.raw = [Raw(*groups) for groups in PIECE.findall(text)]
        self.count = len(self.raw)
        self.box = box
        self.decimal_comma = decimal_comma
        self.second = second
        self.scan = Scan()
        self.tokens = self.scan.tokens
        self.words = words()

    def run(self) -> Scan:
        position = 0
        while position < self.count:
            position = self._step(position)
        return self.scan

    def _step(self, position: int) -> int:
        raw = self.raw[position]
        if raw.numeral:
            return self._number(position)
        if raw.word:
            return self._word(position)
        return self._symbol(position)

    def _emit(self, kind: str, raw: Raw, value: str = "") -> None:
        if kind == "C" and self.tokens and self.tokens[-1].kind == "C" and self.tokens[-1].value == value:
            return  # northwest NW
        if kind:
            self.tokens.append(Token(kind, raw.text, value=value, tight=not raw.gap))

    def _symbol(self, position: int) -> int:
        raw = self.raw[position]
        symbol = raw.symbol
        if symbol == "-" and self._hyphen(position):
            return position + 1
        if symbol == "+" and self._last() and self._last() in "ijma" and position + 1 < self.count and self.raw[position + 1].symbol in ("-", "("):
            self._emit("&", raw)  # 61.6i + (-7.6)j
            return position + 1
        if symbol == "(" and self._opens_pair(position):
            self._emit("(", raw)
            return position + 1
        if symbol in "+-√π(.":
            end = self._signed_number(position)
            if end:
                return end
        if symbol in "-+":
            following = self.raw[position + 1] if position + 1 < self.count else None
            if symbol == "-" and self._last() and self._last() in "NHSsEWCa" and following is not None and not following.gap and following.word:
                return position + 1  # south-west, N 45°-W
            if self._last() and self._last() in "nmaijNHSsEWC)u":
                self._emit("-" if symbol == "-" else "&", raw)
                return position + 1
            return self._axis(position) or self._unreadable(position, raw)
        if symbol in "([{<":
            self._emit("(" if symbol == "(" else "<", raw)
        elif symbol in ")]}>":
            if kinds_open(self.tokens) <= 0:
                if symbol == ">":
                    self._emit("?", raw)
                    return position + 1
                self._note("left out a bracket that was never opened")
                return position + 1
            self._emit(")" if symbol == ")" else ">", raw)
        elif symbol in "|":
            return self._bars(position)
        elif symbol in ("=", "≈", "~=", "=="):
            self._emit("=", raw)
        elif symbol in ("⇒", "=>", "->"):
            self._emit("w", raw)
        elif symbol in ",;\n&@∠Ø±":
            kind = {"∠": "@", "Ø": "0"}.get(symbol, symbol)
            self._emit(kind, raw, symbol)
        elif symbol == ":":
            self._emit(":" if self._last() else "", raw)
        elif symbol == "/" and self._last() in ("m", "a", "n"):
            self._emit("/", raw)
        elif symbol == "—":
            self._emit(",", raw)
        elif symbol in "?'\"′″*":
            self._stray_mark(position, raw)
        elif symbol in "~.!_":
            pass
        elif symbol in ("°",) and self._last() == "":
            pass
        else:
            self._emit("?", raw)
        return position + 1

    def _opens_pair(self, position: int) -> bool:
        """(6,5): a bracket with one comma numeral in it is a pair before it is a number."""
        index = position + 1
        while index < self.count and self.raw[index].symbol in ("-", "+"):
            index += 1
        return index + 1 < self.count and "," in self.raw[index].numeral and self.raw[index + 1].symbol == ")"

    def _stray_mark(self, position: int, raw: Raw) -> None:
        """A mark that belongs to nothing: let go at either end of the text or after a word, never beside a number."""
        before = self.raw[position - 1] if position else None
        at_end = all(not following.numeral and not following.word for following in self.raw[position + 1 :])
        if raw.symbol == "?":
            if not at_end or before is None or before.symbol == ",":
                self._emit("?", raw)
            else:
                self._note("left out a question mark")
        elif raw.symbol in ("'", "′", "″") and before is not None and before.numeral and self.box in ("angle", "direction", "polar"):
            self._emit("?", raw)
        elif raw.symbol != '"' and before is not None and (before.numeral or before.symbol) and not at_end:
            self._emit("?", raw)

    def _hyphen(self, position: int) -> bool:
        """S-83-E: a hyphen that ties a number to the letter before it is no minus sign."""
        if not self.tokens or self.tokens[-1].kind not in tuple("NHSsEW") or self.raw[position].gap or position + 2 >= self.count:
            return False
        following = self.raw[position + 1]
        return bool(following.numeral) and not following.gap

    def _unreadable(self, position: int, raw: Raw) -> int:
        self._emit("?", raw)
        return position + 1

    def _bars(self, position: int) -> int:
        """|R|: the bars belong to the label; anywhere else a bar parts two things."""
        raw = self.raw[position]
        following = position
        while following < self.count and self.raw[following].symbol == "|":
            following += 1
        if following < self.count and self.raw[following].word:
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
        word = raw.word
        lower = word.lower()
        if lower in self.words.operators:
            end = self._signed_number(position)
            if end:
                return end
        if lower in ("positive", "pos", "negative", "neg", "x", "y", "horizontal", "vertical", "minus", "plus"):
            end = self._axis(position)
            if end:
                return end
        if self._stands_before_equals(position) and (end := self._label(position)):
            return end
        if word in ("A", "B", "C", "a", "b", "c") and (end := self._numbered_part(position)):
            return end
        kind, value = self._kind(word, lower)
        last = self._last()
        if kind == "0" and word in ("Ø", "ø"):
            lower = "Ø"
        if last == "" and kind in ("@", "&") and lower in ("with",):
            return position + 1
        if kind == "?" and last == ")" and (found := simple_unit(word)):
            kind = "u"
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
        if kind == "P" and last in ("D", "@") or last == "D" and word in ("A", "B", "C"):
            kind, value = "P", value or word
        if kind == "P" and word in "abcABC" and position and (before := self.raw[position - 1].word.lower()) in ("angle", "side"):
            value = word.upper() if before == "angle" else word.lower()
        if lower in ("standard", "std", "stand") and (stop := self._after_dot(position)) and self.raw[stop].word.lower() in ("position", "pos", "posn", "form"):
            self._emit("V", raw)
            return stop + 1
        if kind == "" and lower in ("a", "an", "in", "the") and self._next_word(position) in ("direction", "dir"):
            self._emit("@", raw)
            return position + 2
        elif kind == "P" and self.box != "triangle" and last not in ("@", "D"):
            kind, value = "D", "D"
        if kind == "?":
            return self._unknown(position)
        if kind == "o" and self.tokens and self.tokens[-1].kind in ("D", "X", "Y", "R", "b", "@"):
            return position + 1
        self._emit(kind, raw, value)
        return position + 1

    def _kind(self, word: str, lower: str) -> tuple[str, str]:
        """The part of speech of a word, and its value."""
        if len(word) == 1:
            if word in "Nn":
                return "N", "N"
            if word in "Ss":
                return word, "S"
            if word == "T":
                return "T", "T"
            if word in "abcABC" and (self.box == "triangle" or self._last() == "@" and self.tokens[-1].text == "∠"):
                return "P", word
            if word in "αβγ" and self.box == "triangle":
                return self.words.kinds[word]
        known = self.words.kinds.get(lower)
        if known is None and "_" in lower:
            known = self.words.kinds.get(lower.replace("_", ""))
        return known if known is not None else ("?", "")

    def _after_dot(self, position: int) -> int:
        """Where the next word is, past the point of an abbreviation; 0 at the end."""
        stop = position + 1
        if stop < self.count and self.raw[stop].symbol == ".":
            stop += 1
        return stop if stop < self.count else 0

    def _unknown(self, position: int) -> int:
        """A word of no known kind: letters run together (``SofE``), a unit on its own, or nothing that is known."""
        raw = self.raw[position]
        lower = raw.word.lower()
        split = _RUN_TOGETHER.fullmatch(lower)
        if split is not None:
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
        if meant:
            self._note(f"read {raw.word} as {meant}")
            self.raw[position] = Raw(raw.gap, "", meant, "")
            return self._word(position)
        self._emit("?", raw)
        return position + 1

    def _mark_last_as_degrees(self) -> None:
        if self.tokens and self.tokens[-1].kind == "n":
            self._to_angle(self.tokens[-1], "deg")

    def _hat(self, position: int, kind: str) -> int:
        """i, i-hat, i hat."""
        self._emit(kind, self.raw[position])
        end = position + 1
        if end < self.count and self.raw[end].symbol in ("-", "^") and self._next_word(end) in ("hat",):
            return end + 2
        if end < self.count and self.raw[end].symbol == "^":
            return end + 1
        if self._next_word(position) == "hat":
            return end + 1
        return end

    def _stands_before_equals(self, position: int) -> bool:
        following = position + 1
        if following >= self.count or self.raw[following].symbol not in ("=", ":", "≈", "~=", "=="):
            return False
        return not self.tokens or self.tokens[-1].kind not in tuple("nma")

    def _label(self, position: int) -> int:
        """A word just before an equals sign or a colon names the value after it."""
        raw = self.raw[position]
        word = raw.word
        lower = word.lower().replace("_", "")
        kind, value = self._kind(word, lower)
        if kind == "D" and lower not in ("direction", "dir", "angle") and self.box == "triangle":
            kind, value = "D", "D"
        if word in "abcABC" and len(word) == 1:
            kind, value = ("P", word)
        elif len(word) == 3 and word[0] in "abcABC" and word[1] == "_":
            kind, value = ("P", word[0])
        elif word in "Ii":
            kind, value = "X", "X"
        elif word in "Jj":
            kind, value = "Y", "Y"
        elif kind in ("R", "D", "X", "Y", "P", "b"):
            pass
        elif 1 < len(lower) <= 3 and lower[-1] in "xy" and kind == "?":
            kind = value = lower[-1].upper()
        elif kind in ("N", "S", "E", "W", "H", "s") and self.raw[position + 1].symbol in ("=", ":", "≈"):
            self._emit(kind, raw, value)
            return position + 2
        elif kind == "?" and len(word) <= 12 or len(word) == 1:
            kind, value = "L", word
        else:
            return 0
        if kind == "P" and position and (before := self.raw[position - 1].word.lower()) in ("angle", "side"):
            value = value.upper() if before == "angle" else value.lower()
        if kind == "P" and self.box != "triangle" and lower in ("α", "β", "γ", "alpha", "beta", "gamma"):
            kind = value = "D"
        self._emit(kind, raw, value if kind != "L" else word)
        return position + 2

    def _numbered_part(self, position: int) -> int:
        """C1 = ..., b2: ...: the parts of the first and of the second triangle."""
        if position + 2 >= self.count:
            return 0
        number, equals = self.raw[position + 1 : position + 3]
        if number.gap or number.numeral not in ("1", "2") or equals.symbol not in ("=", ":", "≈"):
            return 0
        raw = self.raw[position]
        self.tokens.append(Token("P", raw.word, value=raw.word, digits=number.numeral))
        return position + 3

    def _label_tail(self, position: int, kind: str, value: str) -> int:
        """``x-component of R =``: what may stand between a label and its value."""
        raw = self.raw[position]
        self._emit(kind, raw, value)
        end = position + 1
        while end < self.count:
            following = self.raw[end]
            if following.symbol in ("=", ":", "≈", "~=", "=="):
                return end + 1
            if following.word and following.word.lower() in self.words.absorbed:
                end += 1
            elif following.symbol == "-" and self._next_word(end) in self.words.absorbed:
                end += 2
            elif following.symbol == "_" or following.symbol == "." and kind in "RDXY":
                end += 1
            elif following.word and following.word.lower() in ("is", "was", "equals", "of"):
                return end + 1
            else:
                break
        return end

    def _axis(self, position: int) -> int:
        """``positive x-axis``, ``-y axis``, ``+x``, ``x axis``: one token of kind A with the letter it points to."""
        start = position
        sign = ""
        raw = self.raw[position]
        if raw.symbol in ("+", "-") or raw.word.lower() in _AXIS_SIGNS:
            sign = "-" if raw.symbol == "-" or raw.word.lower() in ("negative", "neg", "minus") else "+"
            position += 1
            if position < self.count and self.raw[position].symbol == "-":
                position += 1
        if position >= self.count:
            return 0
        word = self.raw[position].word.lower()
        if word in ("xaxis", "yaxis"):
            word, is_axis, end = word[0], True, position + 1
        elif word in ("x", "y", "horizontal", "vertical"):
            end = position + 1
            if end < self.count and self.raw[end].symbol == "-" and self._next_word(end).startswith("ax"):
                end += 1
            is_axis = end < self.count and self.raw[end].word.lower() in ("axis", "axes", "ax", "direction", "axsis")
            end += is_axis
        else:
            return 0
        if word in ("horizontal", "vertical"):
            if sign or not (self._last() and self._last() in "ohlck" or is_axis):
                return 0
            word = "x" if word == "horizontal" else "y"
            sign = "?"
        elif not is_axis and not (sign and self._last() and self._last() in "ohlckNSEWH"):
            return 0
        letter = {"x": "W" if sign == "-" else "E", "y": "S" if sign == "-" else "N"}[word]
        if not sign:
            self._note(f"took the {word}-axis as the positive one")
        self.tokens.append(Token("A", " ".join(one.text for one in self.raw[start:end]), value=letter + ("?" if sign == "?" else "")))
        return end

    def _signed_number(self, position: int) -> int:
        try:
            return self._number(position)
        except NotANumber:
            return 0

    def _stands_alone(self, following: int) -> bool:
        """Whether the piece after a numeral cannot go on with a calculation."""
        if following >= self.count:
            return True
        raw = self.raw[following]
        return not raw.numeral and raw.symbol not in _GOES_ON and raw.word.lower() not in _GOES_ON

    def _number(self, position: int) -> int:
        raw = self.raw[position]
        if raw.numeral and self._split_numeral(position):
            return position
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
                return position + 1
            raise
        if end == position + 1:
            token = Token("n", raw.text, number, digits=digits, tight=not raw.gap, of_pi=raw.word != "")
        else:
            pieces = self.raw[position:end]
            token = Token("n", "".join([one.gap + one.text for one in pieces]).strip(), number, digits=digits, tight=not raw.gap)
            token.of_pi = any([one.symbol == "π" or one.word in ("π", "pi", "Pi", "PI", "pie") for one in pieces])
        self.tokens.append(token)
        return self._attach(token, end)


def kinds_open(tokens: list[Token]) -> int:
    """How many brackets are open."""
    return sum((token.kind in "(<") - (token.kind in ")>") for token in tokens)


def scan(text: str, box: str, decimal_comma: bool, second: bool = False) -> Scan:
    """The tokens of a text in plain notation."""
    return Scanner(text, box, decimal_comma, second).run()
