"""What follows a number: a degree sign with minutes and seconds, radians, or a unit."""

from __future__ import annotations

import math

from grader.notation.inches import are_inches
from grader.notation.meanings import degrees_unit
from grader.notation.pieces import Raw, Token
from grader.notation.sixtieths import Sixtieths
from grader.notation.units import Unit, find_unit, may_begin_unit, simple_unit

FULL_TURN = math.tau
"""In radians."""

_SIDES = frozenset(("e", "w", "n", "s", "east", "west", "north", "south"))
_UNIT_OR_ANOTHER = {"Kn": "kN", "ms": "m/s"}
"""A phone begins a word with a capital; a slash is lost."""
_ANGLE_WORDS = frozenset(("deg", "degree", "degrees"))
_UNITS_FIRST = frozenset(("in", "t", "min", "m", "deg"))
_NOT_IN_UNITS = frozenset(
    ("E", "W", "at", "in", "In", "on", "to", "by", "i", "j", "e", "w", "x", "y", "North", "South", "T")
)


class Attachments(Sixtieths):
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
        if word in ("r", "R") and self.box in ("direction", "angle") and (end + 1 == self.count or not raw.gap):
            return self._radians(token, end, raw)
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
        if word in _UNIT_OR_ANOTHER and stop == end + 1:
            found = self._unit_or_another(word, found)
        token.kind, token.unit = "m", found
        if stop > end + 1 and self._in_the_wrong_case(end, stop):
            written = "".join([one.gap + one.text for one in self.raw[end:stop]]).strip()
            self._note(f"read {written} as {found.symbol}")
        if found.dimension == "mass":
            self._note(f"took {found.symbol} as a force: the weight of that mass")
        return stop

    def _radians(self, token: Token, end: int, raw: Raw) -> int:
        """``1.15r``: radians; not where the letter may be a name, or the right side."""
        assert token.number is not None
        if raw.word == "r" and (not raw.gap or 0 < token.number.value < FULL_TURN):
            return self._angle(token, "rad", end + 1)
        if end + 1 < self.count:
            return end
        self.tokens.append(Token("?", raw.word))
        return end + 1

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

    def _unit_or_another(self, word: str, found: Unit) -> Unit:
        """``62 Kn``, ``6.5 ms``: the unit as it stands, or the one that a hurried thumb made it from."""
        self.doubt = True
        if self.second:
            found = find_unit(_UNIT_OR_ANOTHER[word]) or found
        self._note(f"read {word} as {found.symbol}")
        return found

    def _joined_unit(self, end: int) -> bool:
        """N·m, N/m: a letter that goes on as a unit is a unit."""
        return (
            end + 2 < self.count
            and (
                self.raw[end + 1].symbol in ("·", "/", "*")
                or (self.raw[end + 1].symbol == "." and self._is_moment(end))
            )
            and bool(self.raw[end + 2].word)
            and not self.raw[end + 1].gap
        )

    def _is_moment(self, end: int) -> bool:
        """``N.m``: no bearing has a small m."""
        length = self.raw[end + 2]
        return self.raw[end].word == "N" and length.word in ("m", "cm", "mm") and not length.gap

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
            if raw.numeral and self._at(index + 1).word and not self._at(index + 1).gap:
                break  # deg2rad
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
