"""What follows a number: a degree sign with minutes and seconds, radians, or a unit."""

from __future__ import annotations

import math

from grader.notation.inches import are_inches
from grader.notation.meanings import ANGLE_SIGNS, DEGREES_PER, degrees_unit
from grader.notation.mending import Mending
from grader.notation.numerals import numeral
from grader.notation.pieces import Raw, Token
from grader.notation.units import Unit, find_unit, may_begin_unit, simple_unit

_FULL_TURNS = frozenset(("90", "180", "270", "360"))
_MINUTE_WORDS = frozenset(("'", "′", "min", "mins", "minute", "minutes", "minuets", "m"))
_SECOND_WORDS = frozenset(('"', "″", "''", "sec", "secs", "second", "seconds", "s"))
_SIDES = frozenset(("e", "w", "n", "s", "east", "west", "north", "south"))
_ANGLE_WORDS = frozenset(("deg", "degree", "degrees"))
_UNITS_FIRST = frozenset(("in", "t", "min", "m", "deg"))
_RARELY_UNITS = frozenset(("x", "y", "i", "j", "a", "an", "in", "at", "l", "t"))
_NOT_IN_UNITS = frozenset(
    ("E", "W", "at", "in", "In", "on", "to", "by", "i", "j", "e", "w", "x", "y", "North", "South", "T")
)


class Attachments(Mending):
    """Joins signs and units to the number before them."""

    def _attach(self, token: Token, end: int) -> int:
        """Joins an angle sign or a unit to the number before it."""
        if end >= self.count:
            return end
        raw = self.raw[end]
        if raw.word:
            return self._attach_word(token, end, raw)
        if raw.numeral:
            return self._unmarked_minutes(token, end) or end
        return self._attach_sign(token, end, raw)

    def _attach_sign(self, token: Token, end: int, raw: Raw) -> int:
        """A sign after a number: of degrees, minutes, feet, pounds."""
        symbol = raw.symbol
        if symbol == "°":
            return self._degrees(token, end + 1)
        following = self._at(end + 1)
        if symbol == "*" and not following.numeral:
            self._note("read * as a degree sign")
            return self._degrees(token, end + 1)
        if symbol == "-" and following.lower in _ANGLE_WORDS:
            return self._degrees(token, end + 2)
        if symbol in ("-", ":"):
            return self._dashed(token, end) or end
        if symbol == "#" and (following.gap or not following.numeral) and not self._is_comment(end):
            token.kind, token.unit = "m", simple_unit("#")
            return end + 1
        ends = not following.text or following.symbol in (",", ";", "\n")
        is_feet = symbol in ("'", "′") and not raw.gap and self.box in ("quantity", "triangle")
        if is_feet and (ends or self._are_inches(end + 1)):
            self._note("read ' as feet")
            token.kind, token.unit = "m", simple_unit("ft")
            return end + 1
        if symbol in ('"', "″", "''") and not raw.gap and self._is_after_feet():
            token.kind, token.unit = "m", simple_unit("in")
            return end + 1
        if symbol == "£":
            token.kind, token.unit = "m", simple_unit("lb")
            return end + 1
        return end

    def _are_inches(self, position: int) -> bool:
        """``18' 6"``: a number marked as inches, at the end of the text, where a quantity is asked."""
        if self.box != "quantity":
            return False
        inches = self._at(position).numeral and self._at(position + 1).symbol in ('"', "″", "''")
        return bool(inches) and position + 2 == self.count

    def _is_after_feet(self) -> bool:
        """Whether the number before the last is in feet."""
        before = self.tokens[-2].unit if len(self.tokens) > 1 else None
        return before is not None and before.symbol == "ft"

    def _attach_word(self, token: Token, end: int, raw: Raw) -> int:
        """A word after a number: a unit, unless it can be the next part of the answer."""
        if self.box == "triangle" and not raw.gap and self._part_the_next_name(end, raw):
            raw = self.raw[end]
        word = raw.word
        if word in ("t", "T") and end + 1 == self.count and self._is_angle_here():
            self.tokens.append(Token("T", word, value="T"))  # 131.4t: a true bearing, no tonnes
            return end + 1
        if word == "J" and self._furthest("i") < 0:
            token.kind, token.unit = "m", simple_unit("J")
            return end + 1
        if word == "M" and self.box != "direction" and not self._joined_unit(end):  # 020 M is a magnetic bearing
            self._note("read M as m")
            token.kind, token.unit = "m", simple_unit("m")
            return end + 1
        lower = raw.lower
        if (lower in ("o", "d") and not raw.gap) or lower in ("d", "dg"):
            return self._degrees(token, end + 1)
        if word == "o":
            return end
        if word in ("N", "n", "S", "s", "E", "W", "e", "w") and not self._joined_unit(end):
            return end
        if lower in ("x", "y", "i", "j", "a", "an", "at", "l", "t") and not (word == "t" and end + 1 == self.count):
            return end
        if lower == "in" and not are_inches(self.raw, end, self._is_after_feet()):
            return end
        if word == "r" and not raw.gap and self.box in ("direction", "angle"):
            return self._angle(token, "rad", end + 1)
        if word == "T" or (lower in self.words.kinds and lower not in _UNITS_FIRST):
            return end
        if self._below_is_misspelt(end):
            self._mend_unit(end + 2)
        stop, found = self._unit_phrase(end)
        if found is None:
            if not self._mend_unit(end):
                return end
            stop, found = self._unit_phrase(end)
            if found is None:
                return end
        if found.dimension == "angle":
            if (
                found.symbol == "grad"
                and lower == "grad"
                and (word != lower or self.mark == "comma" or "," in token.text)
            ):
                found = self._german_degrees(found, settled=word == "Grad" and self.mark == "comma")
            token.text += " " + word
            return self._degrees(token, stop) if found.symbol == "deg" else self._angle(token, found.symbol, stop)
        token.kind, token.unit = "m", found
        if stop > end + 1 and self._in_the_wrong_case(end, stop):
            written = "".join([one.gap + one.text for one in self.raw[end:stop]]).strip()
            self._note(f"read {written} as {found.symbol}")
        if found.dimension == "mass":
            self._note(f"took {found.symbol} as a force: the weight of that mass")
        return stop

    def _part_the_next_name(self, end: int, raw: Raw) -> bool:
        """``a=10.1mb=13.7``: a unit with the name of the next part run on to it becomes two pieces."""
        word = raw.word
        if len(word) < 2 or word[-1] not in "abcABC" or self._at(end + 1).symbol not in ("=", ":", "≈"):
            return False
        if find_unit(word) is not None or find_unit(word[:-1]) is None:
            return False
        self.raw[end : end + 1] = [Raw(raw.gap, "", word[:-1], ""), Raw(" ", "", word[-1], "")]
        self.count = len(self.raw)
        self.furthest.clear()
        return True

    def _in_the_wrong_case(self, start: int, end: int) -> bool:
        """Whether a letter of a product or a quotient is a unit only in the other case: ``M/S``."""
        return any(len(one.word) == 1 and simple_unit(one.word) is None for one in self.raw[start:end])

    def _german_degrees(self, gradians: Unit, settled: bool) -> Unit:
        """Grad is German for a degree; grad in English is a gradian, in German a gon (DIN 1301-1, from memory).

        Settled where the noun has its capital and the class its comma, as German writes both.
        """
        self.doubt = self.doubt or not settled
        if self.second and not settled:
            self._note("read Grad as gradians (gon)")
            return gradians
        self._note("read Grad as degrees, as in German")
        return degrees_unit()

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

    def _joined_unit(self, end: int) -> bool:
        """N·m, N/m: a letter that goes on as a unit is a unit."""
        return (
            end + 2 < self.count
            and self.raw[end + 1].symbol in ("·", "/", "*")
            and bool(self.raw[end + 2].word)
            and not self.raw[end + 1].gap
        )

    def _is_over_a_letter(self, slash: int) -> bool:
        """``148.3 N/W``: a letter below a slash is a unit, if an unknown one, and no direction where a quantity is asked."""
        return self.box == "quantity" and len(self._at(slash + 1).word) == 1 and not self._at(slash + 2).numeral

    def _unit_phrase(self, position: int) -> tuple[int, Unit | None]:
        """The longest unit that begins here: ``km``, ``km per hour``, ``ft·s^-1``."""
        best: tuple[int, Unit | None] = (position, None)
        if not may_begin_unit(self.raw[position].word) and self._at(position + 1).symbol != ".":
            return best
        pieces: list[str] = []
        for index in range(position, min(position + 7, self.count)):
            raw = self.raw[index]
            piece = raw.text
            if (raw.symbol and raw.symbol not in ("/", "·", "*", "^", "-", "×", "(", ")", "**", "°", ".")) or (
                raw.symbol == "(" and len(pieces) == 0
            ):
                break
            if raw.symbol == ")" and not any("(" in piece for piece in pieces):
                break  # (4.00 kN)²: the bracket closes around the value
            if raw.symbol == "." and self._is_stop_before_bearing(index):
                break
            if index > position and raw.word in _NOT_IN_UNITS:
                break
            if index > position and raw.word and raw.gap and self._at(index + 1).symbol in ("=", ":"):
                break  # 48.1 km/h h = 65°: the name of the next value
            if (
                index > position
                and raw.word in ("N", "S", "n", "s")
                and self.raw[index - 1].lower not in ("per", "")
                and not (index + 1 < self.count and self.raw[index + 1].symbol in ("^", "-"))
            ):
                break  # 25.0 m N: metres to the north
            if index > position and raw.word in ("N", "S") and self._begins_bearing(index):
                break  # 62 lb/S 83 E: a slash before a bearing
            pieces.append((" " if raw.gap and pieces else "") + piece)
            if raw.numeral and not (raw.numeral.isdigit() and len(raw.numeral) == 1):
                break
            if raw.word or raw.numeral or raw.symbol in (")", "°"):
                found = find_unit("".join(pieces))
                if found is not None:
                    best = (index + 1, found)
        end, found = best
        if found is not None and end < self.count and self.raw[end].symbol == "." and not self.raw[end].gap:
            end += 1
        return end, found

    def _begins_bearing(self, letter: int) -> bool:
        """``S 83° E``: a number and another letter follow."""
        after = letter + 2 + (self._at(letter + 2).symbol == "°")
        return bool(self._at(letter + 1).numeral) and self._at(after).lower in _SIDES

    def _is_stop_before_bearing(self, stop: int) -> bool:
        """``22.4 lb. N. 77° W.``: the full stop ends an abbreviation, and N or S after it begins a bearing."""
        letter = self._at(stop + 1)
        if letter.word not in ("N", "S", "n", "s"):
            return False
        after = self._at(stop + 2)
        if after.symbol == ".":
            after = self._at(stop + 3)
        return (bool(letter.gap) and letter.word in ("N", "S")) or len(after.numeral) > 1

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
