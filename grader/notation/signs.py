"""What a sign between numbers and words is: a bracket, a joint, a minus, a dash, a stray mark."""

from __future__ import annotations

from grader.notation.calculations import EXACT
from grader.notation.digits import NotANumber
from grader.notation.labels import Labels
from grader.notation.pieces import Raw, Token
from grader.notation.units import simple_unit

_PI = frozenset(("π", "pi", "pie"))
_EQUAL = frozenset(("=", ":", "≈", "~=", "=="))
_BEGINS_A_NUMBER = frozenset(("+", "-", "√", "π", "(", ".", EXACT))


_GOES_ON = frozenset(("+", "-", "*", "**", "/", "×", "·", "^", "√", "(", "x", "sin", "cos", "tan"))
"""Signs and words that can carry a calculation on after a numeral."""


class Signs(Labels):
    """Tokens of signs, and of the numbers that some of them begin."""

    open = 0
    """Brackets that stand open."""
    quoted = False

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
