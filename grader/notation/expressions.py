"""Numbers as people write them out: fractions, roots, powers of ten, mixed numbers, sums, and numbers in words.

Grammar, over the pieces of a text::

    sum      = product { ("+" | "-") product }
    product  = signed { ("*" | "/" | nothing before √ π or a bracket) signed }
    signed   = { "-" | "+" } power
    power    = primary [ "^" signed ]
    primary  = numeral | "√" signed | "π" | "(" sum ")"
"""

from __future__ import annotations

import math

from grader.notation.numerals import Numeral, numeral, plain_number
from grader.notation.pieces import Raw, Scan, Token, Words
from grader.notation.readings import Number

MAX_BRACKETS = 8
"""Nesting of brackets and roots inside one number."""

LARGEST = 1e60
"""Beyond it nothing is an answer; it keeps products finite."""


class NotANumber(Exception):
    """A number was begun that is not one."""


class Expressions:
    """Reads numbers from the pieces of one text."""

    raw: list[Raw]
    count: int
    box: str
    decimal_comma: bool
    second: bool
    scan: Scan
    tokens: list[Token]
    words: Words
    reached: int = 0

    def _note(self, note: str) -> None:
        if note and note not in self.scan.notes:
            self.scan.notes.append(note)

    def _last(self) -> str:
        return self.tokens[-1].kind if self.tokens else ""

    def _next_word(self, position: int) -> str:
        return self.raw[position + 1].word.lower() if position + 1 < self.count else ""

    def _split_numeral(self, position: int) -> bool:
        """Numbers run together by a comma (``61.6,7.6``, ``(6,5)``) are put back as several; True if that was done."""
        raw = self.raw[position]
        text = raw.numeral
        if "," not in text:
            if " " in text and self.box in ("polar", "components") and not self.tokens and text.count(" ") == 1:
                following = self.raw[position + 1] if position + 1 < self.count else None
                if following is None or following.symbol == "°" or following.word.lower().startswith("deg"):
                    return self._replace_raw(position, text.split(" "), "")
            return False
        if text.count(",") == 3 and "." not in text and self.decimal_comma:
            one, two, three, four = text.split(",")
            return self._replace_raw(position, [f"{one},{two}", f"{three},{four}"], ",")
        in_bracket = (bool(self.tokens) and self.tokens[-1].kind in "(<") or (
            position > 1
            and self.raw[position - 1].symbol in ("-", "+")
            and self.raw[position - 2].symbol in tuple("(<[{")
        )
        following = self.raw[position + 1] if position + 1 < self.count else None
        whole_text = self.count == 1 and self.box in ("polar", "components")
        closed = following is not None and following.symbol in tuple(")>]}")
        if ((in_bracket and closed) or whole_text) and text.count(",") == 1:
            if self.decimal_comma or whole_text:
                self.scan.doubt = True  # (61,7): a pair, or one number
                if self.second:
                    return False
            return self._replace_raw(position, text.split(","), ",")
        if numeral(text, self.decimal_comma) is None and (
            text.count(",") == 1 or in_bracket or self.box in ("polar", "components")
        ):
            return self._replace_raw(position, text.split(","), ",")
        return False

    def _replace_raw(self, position: int, pieces: list[str], separator: str) -> bool:
        raws: list[Raw] = []
        for piece in pieces:
            if raws and separator:
                raws.append(Raw("", "", "", separator))
            raws.append(Raw(self.raw[position].gap if not raws else ("" if separator else " "), piece, "", ""))
        self.raw[position : position + 1] = raws
        self.count = len(self.raw)
        return True

    def _sum(self, position: int, depth: int) -> tuple[Number, int, str]:
        number, position, digits = self._product(position, depth)
        while position < self.count and self.raw[position].symbol in ("+", "-") and self._adds(position):
            if not depth and self._is_dashed(position):
                break
            if not depth and self.box in ("polar", "components") and self.raw[position].symbol == "-":
                if self.raw[position].gap and not self.raw[position + 1].gap:
                    break  # 61.6 -7.6: the sign belongs to the second number
                self.scan.doubt = True
                if not self.second:
                    break
            sign = -1.0 if self.raw[position].symbol == "-" else 1.0
            if not depth and sign < 0 and digits and not self.raw[position].gap and self.box == "quantity":
                self.scan.doubt = True  # 62-63: a difference, or two numbers
                if self.second:
                    break
            try:
                other, end, _ = self._product(position + 1, depth)
            except NotANumber:
                break
            if not depth and end < self.count and not self._ends_sum(end):
                break
            number = Number(
                number.value + sign * other.value, _finer(number.place, other.place), _finer(number.place, other.place)
            )
            if not depth:
                self._note("worked out a sum that was left standing")
            position = end
            digits = ""
        return number, position, digits

    def _is_dashed(self, position: int) -> bool:
        """Whether a dash parts degrees from minutes (59-30, 83-00-00) rather than taking one number from another."""
        if self.raw[position].symbol != "-" or self.raw[position].gap or self.box in ("quantity", "components"):
            return False
        minutes = self.raw[position + 1]
        if minutes.gap or len(minutes.numeral) != 2 or not minutes.numeral.isdigit() or int(minutes.numeral) >= 60:
            return False
        dashed_on = (
            position + 3 < self.count and self.raw[position + 2].symbol == "-" and not self.raw[position + 2].gap
        )
        before = self._last()
        sure = dashed_on or (before and before in "NHSsEWb") or minutes.numeral.startswith("0")
        return bool(sure) or (self.box in ("angle", "direction") and not self.second)

    def _adds(self, position: int) -> bool:
        """Whether a sign after a number joins it to the next in a sum, not as the next part of a vector."""
        following = position + 1
        if following >= self.count:
            return False
        raw = self.raw[following]
        return (
            bool(raw.numeral)
            or raw.symbol in ("√", "(", "π")
            or raw.word.lower() in ("sqrt", "root", "sin", "cos", "tan")
        )

    def _ends_sum(self, end: int) -> bool:
        raw = self.raw[end]
        if self.box in ("direction", "angle") and (raw.symbol == "°" or raw.word.lower().startswith("deg")):
            return True
        return raw.symbol in ("=", "≈", "+", "-", ")", "/", "\n") or raw.word.lower() in ("equals", "is")

    def _product(self, position: int, depth: int) -> tuple[Number, int, str]:
        number, position, digits = self._signed(position, depth)
        while position < self.count:
            raw = self.raw[position]
            word = raw.word.lower()
            operator = self.words.operators.get(word, "") if word else raw.symbol
            if not operator and word == "x" and self._times_ten(position):
                operator = "×"
            if operator in ("*", "×", "·", "/"):
                following = position + 1
                if word in ("divided", "multiplied") and self._next_word(position) == "by":
                    following += 1
                try:
                    other, end, other_digits = self._signed(following, depth)
                except NotANumber:
                    break
                if operator == "/":
                    if not other.value:
                        raise NotANumber
                    number = Number(number.value / other.value, None)
                elif (
                    other_digits == "10"
                    and digits
                    and "e" not in digits.lower()
                    and number.place is not None
                    and (lowered := self._powers_without_sign(end, digits))
                ):
                    power = lowered.partition("e")[2]
                    self._note(f"read × 10{power} as × 10^{power}")
                    number, end = plain_number(lowered), end + (4 if self.raw[end].symbol == "(" else 2)
                else:
                    number = self._times(number, digits, other, other_digits, end)
                position, digits = end, ""
                if abs(number.value) > LARGEST:
                    self.reached = position  # no use in trying again from the middle
                    raise NotANumber
            elif operator in ("√", "π") or raw.word in ("sin", "cos", "tan") or (raw.symbol == "(" and not raw.gap):
                try:
                    other, position, _ = self._signed(position, depth)
                except NotANumber:
                    break
                number, digits = Number(number.value * other.value, None), ""
                if abs(number.value) > LARGEST:
                    self.reached = position  # no use in trying again from the middle
                    raise NotANumber
            elif raw.numeral and digits and (mixed := self._mixed_space(position, digits)) is not None:
                number, position, digits = mixed
            else:
                break
        return number, position, digits

    def _times_ten(self, position: int) -> bool:
        following = self.raw[position + 1] if position + 1 < self.count else None
        return following is not None and following.numeral.startswith("10")

    def _powers_without_sign(self, position: int, digits: str) -> str:
        """6.2 × 10-2 and 6.2 × 10(-2): an exponent that came down. Its power of ten with the mantissa, or nothing."""
        bracketed = (
            position + 3 < self.count and self.raw[position].symbol == "(" and self.raw[position + 3].symbol == ")"
        )
        if bracketed and self.raw[position + 1].symbol == "-" and self.raw[position + 2].numeral.isdigit():
            return f"{digits}e-{self.raw[position + 2].numeral[:2]}"
        if position + 1 < self.count and self.raw[position].symbol == "-" and not self.raw[position].gap:
            power = self.raw[position + 1]
            if power.numeral.isdigit() and len(power.numeral) <= 2 and not power.gap:
                return f"{digits}e-{power.numeral}"
        return ""

    def _times(self, number: Number, digits: str, other: Number, other_digits: str, end: int) -> Number:
        """A product; 6.20 × 10^1 keeps the place of its mantissa."""
        if "e" in digits.lower():
            return Number(number.value * other.value, None)
        if number.place is not None and other.place is None and digits and other_digits.startswith("10^"):
            return plain_number(f"{digits}e{int(other_digits[3:])}")
        if (
            number.place is not None
            and digits
            and other_digits.startswith("10")
            and len(other_digits) in (3, 4)
            and other_digits.isdigit()
        ):
            # 6.2 × 101: a raised exponent that came down, or a plain product.
            self.scan.doubt = True
            if not self.second:
                self._note(f"read {digits} × {other_digits} as {digits} × 10^{int(other_digits[2:])}")
                return plain_number(f"{digits}e{int(other_digits[2:])}")
        return Number(number.value * other.value, None)

    def _mixed_space(self, position: int, digits: str) -> tuple[Number, int, str] | None:
        """``22 1/2``: a whole number, a space and a proper fraction."""
        if position + 2 >= self.count or not self.raw[position].gap or not digits.isdigit():
            return None
        above, slash, below = self.raw[position : position + 3]
        if slash.symbol != "/" or not above.numeral.isdigit() or not below.numeral.isdigit():
            return None
        numerator, denominator = int(above.numeral), int(below.numeral)
        if not 0 < numerator < denominator <= 1000:
            return None
        return Number(int(digits) + numerator / denominator, None), position + 3, ""

    def _signed(self, position: int, depth: int) -> tuple[Number, int, str]:
        sign = 1.0
        signs = 0
        while position < self.count:
            raw = self.raw[position]
            if raw.symbol in ("-", "+") or raw.word.lower() in ("minus", "negative", "neg"):
                if raw.symbol != "+":
                    sign = -1.0
                signs += 1
                position += 1
            else:
                break
        if signs > 1:
            self._note("read a doubled sign as one")
        if signs > 3:
            raise NotANumber
        number, position, digits = self._power(position, depth)
        if sign < 0:
            number = Number(-number.value, number.place, number.coarsest)
            digits = "-" + digits if digits else ""
        return number, position, digits

    def _power(self, position: int, depth: int) -> tuple[Number, int, str]:
        number, position, digits = self._primary(position, depth)
        if position + 1 < self.count and self.raw[position].symbol in ("^", "**"):
            try:
                exponent, end, _ = self._signed(position + 1, depth + 1)
            except NotANumber:
                return number, position, digits
            if (
                abs(exponent.value) > 99
                or (number.value < 0 and exponent.value != int(exponent.value))
                or (not number.value and exponent.value < 0)
            ):
                raise NotANumber
            if number.value and exponent.value * math.log10(abs(number.value)) > math.log10(LARGEST):
                raise NotANumber
            is_ten = digits == "10" and exponent.value == int(exponent.value)
            power = number.value**exponent.value
            if is_ten:
                power = float(f"1e{int(exponent.value)}")
            if abs(power) > 1e30:
                raise NotANumber
            return Number(power, None), end, f"10^{int(exponent.value)}" if is_ten else ""
        return number, position, digits

    def _primary(self, position: int, depth: int) -> tuple[Number, int, str]:
        if depth > MAX_BRACKETS:
            self.reached = max(self.reached, position)  # too deep from every bracket before it as well
            raise NotANumber
        if position >= self.count:
            raise NotANumber
        raw = self.raw[position]
        if raw.numeral:
            return self._plain_numeral(raw.numeral, position)
        word = self.words.operators.get(raw.word.lower(), raw.symbol) if raw.word else raw.symbol
        if word == "√":
            following = position + 1
            while self.raw[following].word.lower() in ("root", "of", "the") if following < self.count else False:
                following += 1
            inner, end, _ = self._signed(following, depth + 1)
            if inner.value < 0:
                raise NotANumber
            return Number(math.sqrt(inner.value), None), end, ""
        if raw.word.lower() == "square" and self._next_word(position) == "root":
            return self._primary(position + 1, depth + 1)
        if raw.word in ("sin", "cos", "tan"):
            inner, end, _ = self._power(position + 1, depth + 1)
            if end < self.count and (self.raw[end].symbol == "°" or self.raw[end].word.lower() in ("deg", "degrees")):
                end += 1
                if end < self.count and self.raw[end].symbol == ")":
                    end += 1
            self._note("worked out a calculation that was left standing")
            return Number(getattr(math, raw.word)(math.radians(inner.value)), None), end, ""
        if word == "π":
            return Number(math.pi, None), position + 1, ""
        if raw.symbol == "(":
            inner, end, digits = self._sum(position + 1, depth + 1)
            if end < self.count and self.raw[end].symbol == ")":
                return inner, end + 1, digits
            if not any(piece.symbol in (")", "]", ">", ",", ";") for piece in self.raw[end:]):
                self._note("closed a bracket")
                return inner, end, digits
        raise NotANumber

    def _plain_numeral(self, text: str, position: int) -> tuple[Number, int, str]:
        found: Numeral | None = numeral(text, self.decimal_comma)
        if found is None:
            raise NotANumber
        if found.other is not None:
            self.scan.doubt = True
            if self.second:
                self._note(found.other_note)
                return found.other, position + 1, text
        self._note(found.note)
        number = found.number
        end = position + 1
        digits = found.digits
        joined = self._stray_space(position, digits)
        return joined if joined is not None else (number, end, digits)

    def _stray_space(self, position: int, digits: str) -> tuple[Number, int, str] | None:
        """``6 2.0``: a number with a space inside it, or two numbers; ``62. 0``: a number with a space inside it."""
        following = self.raw[position + 1] if position + 1 < self.count else None
        if following is None or not following.numeral or self.box in ("polar", "components") or "e" in digits.lower():
            return None
        text = following.numeral
        after = self.raw[position + 2] if position + 2 < self.count else None
        if after is not None and after.symbol == "°" and self.box not in ("direction", "angle"):
            return None
        if after is not None and after.numeral and self.box != "quantity":
            return None
        if after is not None and (after.symbol in ("/", "'", "′", "^") or after.numeral):
            return None
        tail = "." in digits.rstrip(".") and text.isdigit() and len(text) <= 2 and self.box == "quantity"  # 7.0 7
        if (
            ("." in digits.rstrip(".") and not tail)
            or self._last() in tuple("NSsH")
            or not text.replace(".", "", 1).isdigit()
            or (digits + text).count(".") > 1
            or len(digits + text) > 12
        ):
            return None
        certain = digits.endswith(".") != text.startswith(".") and (digits.endswith(".") or text.startswith("."))
        if digits.endswith(".") and "." in text:
            return None
        whole = digits + text
        if not certain:
            self.scan.doubt = True
            if self.second:
                return None
        self._note(f"read {digits} {text} as {whole}")
        return plain_number(whole), position + 2, whole


def _finer(one: float | None, other: float | None) -> float | None:
    return None if one is None or other is None else min(one, other)
