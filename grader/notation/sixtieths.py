"""Degrees with their minutes and seconds: ``59° 30' 15"``, ``59-30-15``, ``59 30``.

An angle becomes one number of degrees here, with the place that its smallest part was written to.
"""

from __future__ import annotations

import math

from grader.notation.meanings import ANGLE_SIGNS, DEGREES_PER
from grader.notation.mending import Mending
from grader.notation.numerals import numeral
from grader.notation.pieces import Token

_FULL_TURNS = frozenset(("90", "180", "270", "360"))
_MINUTE_WORDS = frozenset(("'", "′", "min", "mins", "minute", "minutes", "minuets", "m"))
_SECOND_WORDS = frozenset(('"', "″", "''", "sec", "secs", "second", "seconds", "s"))
_SIDES = frozenset(("e", "w", "n", "s", "east", "west", "north", "south"))


class Sixtieths(Mending):
    """Makes an angle of a number, and joins to it the minutes and seconds behind it."""

    def _dashed(self, token: Token, end: int) -> int:
        """83-00-00, 97-02, 83:00:00: degrees, minutes and seconds as surveyors part them."""
        mark = self.raw[end].symbol
        parts = [token.digits]
        stop = end
        while (
            stop + 1 < self.count
            and len(parts) < 3
            and self.raw[stop].symbol == mark
            and not self.raw[stop].gap
            and not self.raw[stop + 1].gap
        ):
            part = self.raw[stop + 1].numeral
            if not part.replace(".", "", 1).isdigit() or len(part.partition(".")[0]) != 2 or float(part) >= 60:
                break
            parts.append(part)
            stop += 2
        if (
            len(parts) < 2
            or not token.digits.isdigit()
            or len(token.digits) > 3
            or self.box in ("quantity", "components")
        ):
            return 0
        if mark == "-" and token.digits in _FULL_TURNS and len(parts) == 3 and parts[2] != "00":
            return 0  # 180-35-54 is what is left of 180
        before = self.tokens[-2].kind if len(self.tokens) > 1 else ""
        sure = len(parts) == 3 or mark == ":" or (before and before in "NHSsEWb") or parts[1].startswith("0")
        if not sure:
            if self.box not in ("angle", "direction"):
                return 0
            self.doubt = True
            if self.second:
                return 0
        self._note("read the parts as degrees, minutes" + (" and seconds" if len(parts) == 3 else ""))
        seconds = float(parts[1]) * 60 + (float(parts[2]) if len(parts) == 3 else 0.0)
        self._to_angle(token, "deg")
        place = 1 / 60 if len(parts) == 2 else 10.0 ** -len(parts[2].partition(".")[2]) / 3600
        token.degrees, token.place, token.coarsest, token.sign = token.degrees + seconds / 3600, place, place, "dms"
        return stop

    def _angle(self, token: Token, sign: str, end: int) -> int:
        self._to_angle(token, sign)
        return end

    def _to_angle(self, token: Token, sign: str) -> None:
        number = token.number
        assert number is not None
        per = DEGREES_PER[sign]
        token.kind, token.sign = "a", ANGLE_SIGNS.get(sign, sign)
        token.degrees = number.value * per
        token.place = None if number.place is None else number.place * per
        token.coarsest = token.place if number.coarsest is None else number.coarsest * per
        if sign != "deg":
            token.degrees = _tidy(token.degrees) if number.place is None else token.degrees

    def _degrees(self, token: Token, end: int) -> int:
        """Degrees, and the minutes and seconds after them."""
        self._to_angle(token, "deg")
        if end < self.count and self.raw[end].symbol == "°":
            end += 1
        if end < self.count and self.raw[end].symbol == "." and not self.raw[end].gap:
            end += 1
        if (
            end < self.count
            and self.raw[end].word
            and self._next_numeral(end)
            and self.raw[end].lower == "and"
            and self._mark_after(end + 1)
        ):
            end += 1
        if end < self.count and self.raw[end].numeral and (mark := self._mark_after(end)):
            return self._minutes(token, end, mark)
        if (
            end < self.count
            and self.raw[end].numeral
            and not self.raw[end].gap
            and token.digits.isdigit()
            and self._are_sixtieths(end)
        ):
            self._note("read the digits after the degree sign as minutes")
            return self._minutes(token, end, "'")
        return end

    def _next_numeral(self, end: int) -> bool:
        return bool(self._at(end + 1).numeral)

    def _mark_after(self, end: int) -> str:
        """Whether the numeral at ``end`` is marked as minutes or seconds, and how."""
        if end + 1 >= self.count:
            return ""
        self._mend_minutes(end + 1)
        raw = self.raw[end + 1]
        text = raw.symbol or raw.lower
        if text == "''" and self.tokens[-1].kind == "a":
            self.doubt = True  # 30'' is seconds, or minutes with the mark struck twice
            return "'" if self.second else '"'
        if text in _MINUTE_WORDS and not (text == "m" and raw.gap):
            return "'"
        return '"' if text in _SECOND_WORDS and not (text == "s" and (raw.gap or raw.word == "S")) else ""

    def _minutes(self, token: Token, end: int, mark: str) -> int:
        marked = bool(self._mark_after(end))
        found = numeral(self.raw[end].numeral, self.mark)
        if found is None or token.number is None:
            return end
        magnitude = abs(token.degrees)
        sign = -1.0 if token.number.value < 0 else 1.0
        per = 60.0 if mark == "'" else 3600.0
        minutes = found.number
        if minutes.value >= 60:
            self._note("minutes and seconds run to 60")
        total = magnitude + minutes.value / per
        place = (minutes.place or 1.0) / per
        end += 2 if marked else 1
        if mark == "'" and end < self.count and self.raw[end].lower == "and" and self._next_numeral(end):
            end += 1
        if (
            mark == "'"
            and end < self.count
            and self.raw[end].numeral
            and (self._mark_after(end) == '"' or (not self._mark_after(end) and not self.raw[end].gap and marked))
        ):
            seconds = numeral(self.raw[end].numeral, self.mark)
            if seconds is not None:
                marked_seconds = self._mark_after(end) == '"'
                total = magnitude + (minutes.value * 60 + seconds.number.value) / 3600
                place = (seconds.number.place or 1.0) / 3600
                end += 2 if marked_seconds else 1
        token.degrees, token.place, token.coarsest, token.sign = sign * total, place, place, "dms"
        return end

    def _are_sixtieths(self, *positions: int) -> bool:
        numerals = [self._at(position).numeral for position in positions]
        return all(len(text) == 2 and text.isdigit() and int(text) < 60 for text in numerals)

    def _unmarked_minutes(self, token: Token, end: int) -> int:
        """``59 30'``, ``S 83 00 E``: degrees without their sign."""
        if not token.digits.isdigit():
            return 0
        raw = self.raw[end]
        mark = self._mark_after(end)
        if mark == "'" and self.raw[end + 1].symbol in ("'", "′"):
            self._note("took the first number as degrees")
            self._to_angle(token, "deg")
            return self._minutes(token, end, "'")
        before = self.tokens[-2].kind if len(self.tokens) > 1 else ""
        parts = 2 if self._are_sixtieths(end, end + 1) else 1 if self._are_sixtieths(end) else 0
        stop = end + parts
        alone = not before and self.box in ("direction", "angle") and stop == self.count
        in_a_bearing = before and before in "NSsHEW" and self._at(stop).lower in _SIDES
        if not parts or not (alone or in_a_bearing):
            return 0
        self._note("took the numbers as degrees and minutes" + (" and seconds" if parts == 2 else ""))
        self._to_angle(token, "deg")
        seconds = int(raw.numeral) * 60 + (int(self.raw[end + 1].numeral) if parts == 2 else 0)
        place = 1 / 60 if parts == 1 else 1 / 3600
        token.degrees, token.place, token.coarsest, token.sign = token.degrees + seconds / 3600, place, place, "dms"
        return stop


def _tidy(degrees: float) -> float:
    """Takes the last binary digit off an exact angle: 3π/4 rad is 135°, not 135.00000000000003°."""
    nearest = round(degrees, 10)
    return nearest if math.isclose(degrees, nearest, rel_tol=1e-14, abs_tol=1e-14) else degrees
