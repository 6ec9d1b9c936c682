"""Numerals as they stand in a text: run together by a comma, fallen apart at a space, or with a fraction behind them."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from grader.notation.numerals import Numeral, numeral, plain_number
from grader.notation.pieces import Raw, Token, Words
from grader.notation.readings import DecimalMark, Number

MOST_PROBLEMS = 30
"""A sheet has hardly more: a smaller number with a point at the start of a text may be that of the problem."""


class NotANumber(Exception):
    """A number was begun that is not one."""


END = Raw("", "", "", "")

_CLOSING = frozenset((")", "]", ">", ",", ";"))

LAST: Mapping[str, Callable[[Raw], object]] = {
    "numeral": lambda raw: raw.numeral,
    "content": lambda raw: raw.numeral or raw.word,
    "closing": lambda raw: raw.symbol in _CLOSING,
    "i": lambda raw: raw.word in ("i", "I"),
}
"""What is asked of a text as a whole: whether such a piece is still to come."""


class Digits:
    """Reads single numerals from the pieces of one text."""

    raw: list[Raw]
    count: int
    box: str
    mark: DecimalMark
    second: bool
    tokens: list[Token]
    notes: list[str]
    doubt: bool = False
    words: Words
    reached: int = 0
    furthest: dict[str, int]

    def _note(self, note: str) -> None:
        if note and note not in self.notes:
            self.notes.append(note)

    def _last(self) -> str:
        return self.tokens[-1].kind if self.tokens else ""

    def _at(self, position: int) -> Raw:
        """The piece at a position, empty beyond the end."""
        return self.raw[position] if position < self.count else END

    def _furthest(self, what: str) -> int:
        """Where the last piece of a sort (see LAST) stands, -1 if there is none: found once, and not at every piece."""
        found = self.furthest.get(what)
        if found is None:
            is_one = LAST[what]
            found = next((index for index in range(self.count - 1, -1, -1) if is_one(self.raw[index])), -1)
            self.furthest[what] = found
        return found

    def _is_comment(self, position: int) -> bool:
        """``62.0 # N``: pounds to the north, or a program's comment on the unit. Set aside."""
        return bool(self._at(position).gap) and self._next_word(position) == "n" and position + 2 == self.count

    def _next_word(self, position: int) -> str:
        return self._at(position + 1).lower

    def _split_numeral(self, position: int) -> bool:
        """Numbers run together by a comma (``61.6,7.6``, ``(6,5)``) are put back as several; True if that was done."""
        raw = self.raw[position]
        text = raw.numeral
        if "," not in text:
            if " " in text and self.box in ("polar", "components") and not self.tokens and text.count(" ") == 1:
                following = self._at(position + 1)
                if not following.text or following.symbol == "°" or following.lower.startswith("deg"):
                    return self._replace_raw(position, text.split(" "), "")
                if self.box == "polar" and position + 2 == self.count and "000" < text[-3:] <= "360":
                    return self._replace_raw(position, text.split(" "), "")  # 62 353 N: not clear
            return False
        if text.count(",") == 3 and "." not in text and self.mark == "comma":
            one, two, three, four = text.split(",")
            return self._replace_raw(position, [f"{one},{two}", f"{three},{four}"], ",")
        in_bracket = (bool(self.tokens) and self.tokens[-1].kind in "(<") or (
            position > 1
            and self.raw[position - 1].symbol in ("-", "+")
            and self.raw[position - 2].symbol in tuple("(<[{")
        )
        following = self._at(position + 1)
        if self.box == "polar" and not self.tokens and following.symbol == "°" and text.count(",") == 1:
            return self._replace_raw(position, text.split(","), ",")  # 62,353°
        whole_text = self.count == 1 and self.box in ("polar", "components")
        closed = following.symbol in tuple(")>]}")
        if ((in_bracket and closed) or whole_text) and text.count(",") == 1:
            if self.mark == "comma" or whole_text:
                self.doubt = True  # (61,7): a pair, or one number
                if self.second:
                    return False
            return self._replace_raw(position, text.split(","), ",")
        if numeral(text, self.mark) is None and (
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
        self.furthest.clear()
        return True

    def _mixed_space(self, position: int, digits: str) -> tuple[Number, int, str] | None:
        """``22 1/2``: a whole number, a space and a proper fraction."""
        whole = digits.removeprefix("-")
        if position + 2 >= self.count or not self.raw[position].gap or not whole.isdigit():
            return None
        above, slash, below = self.raw[position : position + 3]
        if slash.symbol != "/" or not above.numeral.isdigit() or not below.numeral.isdigit():
            return None
        numerator, denominator = int(above.numeral), int(below.numeral)
        if not 0 < numerator < denominator <= 1000:
            return None
        value = int(whole) + numerator / denominator
        return Number(-value if digits.startswith("-") else value, None), position + 3, ""

    def _plain_numeral(self, text: str, position: int) -> tuple[Number, int, str]:
        found: Numeral | None = numeral(text, self.mark)
        if found is None:
            raise NotANumber
        if found.other is not None:
            self.doubt = True
            if self.second:
                self._note(found.other_note)
                return found.other, position + 1, found.other_digits
        self._note(found.note)
        number = found.number
        end = position + 1
        digits = found.digits
        joined = self._stray_space(position, digits)
        return joined if joined is not None else (number, end, digits)

    def _stray_space(self, position: int, digits: str) -> tuple[Number, int, str] | None:
        """``6 2.0``: a number with a space inside it, or two numbers; ``62. 0``: a number with a space inside it."""
        following = self._at(position + 1)
        if not following.numeral or self.box in ("polar", "components") or "e" in digits.lower():
            return None
        text = following.numeral
        after = self._at(position + 2)
        if after.symbol == "°" and self.box not in ("direction", "angle"):
            return None
        if after.numeral and self.box != "quantity":
            return None
        if self._last() == "n" and self.raw[position - 1].numeral:
            return None  # 5 6 7
        if after.symbol in ("/", "'", "′", "^") or after.numeral:
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
        if self.box in ("angle", "direction") and digits.isdigit() and text.isdigit() and int(whole) > 360:
            return None  # 59 30: rather degrees and minutes
        numbered = digits.endswith(".") and not position and self.count > 2 and int(digits[:-1] or 0) <= MOST_PROBLEMS
        if not certain or (numbered and len(text.lstrip("0")) > 1):
            self.doubt = True  # 3. 62 N: a gap, or the answer to problem 3
            if self.second:
                return None
        self._note(f"read {digits} {text} as {whole}")
        return plain_number(whole), position + 2, whole
