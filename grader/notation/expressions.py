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
from itertools import islice

from grader.notation.calculations import EXACT
from grader.notation.digits import Digits, NotANumber
from grader.notation.numerals import plain_number
from grader.notation.readings import Number

MAX_BRACKETS = 8
"""Nesting of brackets and roots inside one number."""

LARGEST = 1e60
"""Beyond it nothing is an answer; it keeps products finite."""


class Expressions(Digits):
    """Reads calculations from the pieces of one text."""

    def _sum(self, position: int, depth: int) -> tuple[Number, int, str]:
        number, position, digits = self._product(position, depth)
        while position < self.count and self.raw[position].symbol in ("+", "-") and self._adds(position):
            if not depth and self._is_dashed(position):
                break
            if not depth and self.box in ("polar", "components") and self.raw[position].symbol == "-":
                if self.raw[position].gap and not self.raw[position + 1].gap:
                    break  # 61.6 -7.6: the sign belongs to the second number
                self.doubt = True
                if not self.second:
                    break
            sign = -1.0 if self.raw[position].symbol == "-" else 1.0
            if not depth and sign < 0 and digits and not self.raw[position].gap and self.box == "quantity":
                self.doubt = True  # 62-63: a difference, or two numbers
                if self.second:
                    break
            try:
                other, end, _ = self._product(position + 1, depth)
            except NotANumber:
                break
            tied = self.box == "quantity" and sign < 0 and not self.raw[position].gap  # 61-63 N
            if not depth and end < self.count and not self._ends_sum(end) and not (tied and self.raw[end].word):
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
        operator = self.words.operators.get(raw.lower, "") if raw.word else raw.symbol
        return bool(raw.numeral) or operator in ("√", "(", "π") or raw.lower in ("sin", "cos", "tan")

    def _ends_sum(self, end: int) -> bool:
        raw = self.raw[end]
        if self.box in ("direction", "angle") and (raw.symbol == "°" or raw.lower.startswith("deg")):
            return True
        return raw.symbol in ("=", "≈", "+", "-", ")", "/", "\n") or raw.lower in ("equals", "is")

    def _product(self, position: int, depth: int) -> tuple[Number, int, str]:
        number, position, digits = self._signed(position, depth)
        while position < self.count:
            raw = self.raw[position]
            word = raw.lower
            operator = self.words.operators.get(word, "") if word else raw.symbol
            if not operator and word == "x" and self._times_ten(position):
                operator = "×"
            if operator in ("*", "×", "·", "/"):
                following = position + 1
                try:
                    other, end, other_digits = self._signed(following, depth)
                except NotANumber:
                    break
                if (
                    operator == "/"
                    and not depth
                    and digits
                    and other_digits
                    and self._parts_answers(end, digits, other_digits)
                ):
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
                    number = self._times(number, digits, other, other_digits)
                position, digits = end, ""
                if abs(number.value) > LARGEST:
                    self.reached = position  # no use in trying again from the middle
                    raise NotANumber
            elif operator in ("√", "π") or raw.word in ("sin", "cos", "tan") or (raw.symbol == "(" and not raw.gap):
                if raw.symbol == "(" and "." in digits and self._is_uncertainty(position):
                    self.doubt = True  # 62.0(5): an uncertainty in the last digits, or a product
                    if not self.second:
                        self._note("left out an uncertainty")
                        position += 3
                        break
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

    def _parts_answers(self, end: int, above: str, below: str) -> bool:
        """Whether a slash between two numerals, and no other, parts two answers in this scan, rather than divides."""
        if len(list(islice((one for one in self.raw if one.numeral), 3))) != 2:
            return False
        if self.box == "polar":
            return self._at(end).symbol == "°"  # 83.9 / 65°
        if self.box not in ("quantity", "angle") or "." not in above or "." not in below:
            return False
        self.doubt = True  # 14.4 / 6.1: a quotient, or the answers of two triangles
        return self.second

    def _goes_on_under_the_root(self, start: int, end: int) -> bool:
        """√61.57² + 7.59²: a root that was meant to cover the sum, as its squares tell."""
        if start + 1 >= self.count or self.raw[start + 1].symbol != "^" or end >= self.count:
            return False
        return self.raw[end].symbol in ("+", "-") and any(one.symbol == "^" for one in self.raw[end : end + 4])

    def _exact(self, position: int) -> Number:
        """The value of a formula, perhaps with a full stop behind it; run on to other digits it is none."""
        try:
            return Number(float(self.raw[position].numeral.rstrip(".")), None)
        except ValueError:
            raise NotANumber from None

    def _is_in_radians(self, start: int, end: int, digits: str) -> bool:
        """cos(π/6), cos(40·π/180): the argument of a function is in radians where it is written with π.

        A small decimal without its degree sign, cos(0.5), may be either: doubt.
        """
        if any(self.words.operators.get(one.lower, one.symbol) == "π" for one in self.raw[start:end]):
            return True
        following = self._at(end)
        if "." not in digits or float(digits) > 2 * math.pi or following.symbol == "°" or following.lower[:3] == "deg":
            return False
        self.doubt = True
        return self.second

    def _is_fraction(self, position: int) -> bool:
        """1/2, without a gap."""
        pieces = self.raw[position : position + 3]
        return [piece.text for piece in pieces] == ["1", "/", "2"] and not pieces[1].gap

    def _is_uncertainty(self, position: int) -> bool:
        """One or two digits in brackets right after decimals (JCGM 100:2008, 7.2.2)."""
        if position + 2 >= self.count or self.raw[position + 2].symbol != ")":
            return False
        inside = self.raw[position + 1].numeral
        return inside.isdigit() and len(inside) <= 2

    def _times_ten(self, position: int) -> bool:
        following = self._at(position + 1)
        return following.numeral.startswith("10")

    def _powers_without_sign(self, position: int, digits: str) -> str:
        """6.2 × 10-2 and 6.2 × 10(-2): an exponent that came down. Its power of ten with the mantissa, or nothing."""
        bracketed = (
            position + 3 < self.count and self.raw[position].symbol == "(" and self.raw[position + 3].symbol == ")"
        )
        if bracketed and self.raw[position + 1].symbol == "-" and self.raw[position + 2].numeral.isdigit():
            return f"{digits}e-{self.raw[position + 2].numeral[:2]}"
        if position + 1 < self.count and self.raw[position].symbol == "-":
            power = self.raw[position + 1]
            apart = self.raw[position].gap or power.gap
            if not power.numeral.isdigit() or len(power.numeral) > 2 or (apart and self.box in ("triangle", "angle")):
                return ""
            if apart:
                # 4.7 x 10 -2: the caret was lost, or a difference, or the next number begins here.
                self.doubt = True
                if self.second:
                    return ""
            return f"{digits}e-{power.numeral}"
        return ""

    def _times(self, number: Number, digits: str, other: Number, other_digits: str) -> Number:
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
            self.doubt = True
            if not self.second:
                self._note(f"read {digits} × {other_digits} as {digits} × 10^{int(other_digits[2:])}")
                return plain_number(f"{digits}e{int(other_digits[2:])}")
        return Number(number.value * other.value, None)

    def _signed(self, position: int, depth: int) -> tuple[Number, int, str]:
        sign = 1.0
        signs = 0
        while position < self.count:
            raw = self.raw[position]
            if raw.numeral:
                break
            written = raw.symbol or self.words.operators.get(raw.lower, "")
            if written in ("-", "+"):
                if written == "-":
                    sign = -1.0
                signs += 1
                position += 1
                if signs > 1:
                    self._note("read a doubled sign as one")
                if signs > 3:
                    raise NotANumber
            else:
                break
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
            if exponent.value == 1 and self._is_fraction(position + 1):
                self.doubt = True  # 3848^1/2: the power 1/2, or half of the number
                if not self.second:
                    if number.value < 0:
                        raise NotANumber
                    self._note("read ^1/2 as a square root")
                    return Number(math.sqrt(number.value), None), end + 2, ""
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
        word = self.words.operators.get(raw.lower, raw.symbol) if raw.word else raw.symbol
        if word == "√":
            following = position + 1
            while self.raw[following].lower in ("root", "of", "the") if following < self.count else False:
                following += 1
            inner, end, _ = self._signed(following, depth + 1)
            if inner.value < 0 or self._goes_on_under_the_root(following, end):
                raise NotANumber
            return Number(math.sqrt(inner.value), None), end, ""
        if raw.lower == "square" and self._next_word(position) == "root":
            return self._primary(position + 1, depth + 1)
        if raw.word in ("sin", "cos", "tan"):
            inner, end, digits = self._power(position + 1, depth + 1)
            in_radians = self._is_in_radians(position + 1, end, digits)
            if end < self.count and (self.raw[end].symbol == "°" or self.raw[end].lower in ("deg", "degrees")):
                end += 1
                if end < self.count and self.raw[end].symbol == ")":
                    end += 1
            self._note("worked out a calculation that was left standing")
            angle = inner.value if in_radians else math.radians(inner.value)
            return Number(getattr(math, raw.word)(angle), None), end, ""
        if raw.symbol == EXACT and self._at(position + 1).numeral:
            return self._exact(position + 1), position + 2, ""
        if word == "π":
            return Number(math.pi, None), position + 1, ""
        if raw.symbol == "(":
            inner, end, digits = self._sum(position + 1, depth + 1)
            if end < self.count and self.raw[end].symbol == ")":
                return inner, end + 1, digits
            if self._furthest("closing") < end:
                self._note("closed a bracket")
                return inner, end, digits
        raise NotANumber


def _finer(one: float | None, other: float | None) -> float | None:
    return None if one is None or other is None else min(one, other)
