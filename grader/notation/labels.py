"""Words that name what follows: labels (``R =``, ``x-component:``, ``C1 =``), axes, unit vectors, parts of speech."""

from __future__ import annotations

from grader.notation.attachments import Attachments
from grader.notation.naming import letters_of_vectors
from grader.notation.pieces import OF_A_THING, Raw, Token, is_function
from grader.notation.spelling import LIKE_A_BEARING, is_like_a_bearing, meant_word
from grader.notation.units import simple_unit

_AXIS_SIGNS = frozenset(("positive", "pos", "negative", "neg", "minus", "plus"))


class Labels(Attachments):
    """Reads names and axes from the pieces of one text."""

    def _emit(self, kind: str, raw: Raw, value: str = "") -> None:
        if kind == "C" and self.tokens and self.tokens[-1].kind == "C" and self.tokens[-1].value == value:
            return  # northwest NW
        if kind:
            self.tokens.append(Token(kind, raw.text, value=value))

    def _stands_before_equals(self, position: int) -> bool:
        following = position + 1
        if following >= self.count or self.raw[following].symbol not in ("=", ":", "≈", "~=", "=="):
            return False
        raw = self.raw[position]
        last = self.tokens[-1].kind if self.tokens else ""
        if last not in ("n", "m", "a"):
            return True
        if not raw.gap and self._names_part_at_once(raw):
            return True
        return bool(raw.gap) and (raw.word in ("a", "b", "c", "A", "B", "C") or self._names_another(raw, last))

    def _names_part_at_once(self, raw: Raw) -> bool:
        """``C=75.3a=10.1``: a letter right behind a value and before an equals sign names the next part.

        Not behind one digit under the name of a side: in ``c=2a=20.2`` it is a factor.
        """
        if self.box != "triangle" or raw.word not in tuple("abcABC") or self.tokens[-1].kind not in ("n", "m", "a"):
            return False
        name = next((token for token in reversed(self.tokens) if token.kind == "P"), None)
        return name is not None and (name.value.isupper() or len(self.tokens[-1].digits) > 1)

    def _names_another(self, raw: Raw, last: str) -> bool:
        """``h = 65° v = 48.1``: a word that cannot go on with the value before it names the next one."""
        kind = self._kind(raw.word, raw.lower)[0]
        if raw.word == "By":
            return True
        if kind == "?":
            unit = simple_unit(raw.word) is not None and not (self.box == "polar" and raw.lower in letters_of_vectors())
            return not unit and not meant_word(raw.lower)
        if last in ("m", "a") and self.box in ("components", "polar"):
            return kind in ("N", "H", "S", "s", "E", "W")
        return len(raw.word) > 1 and kind in ("H", "S", "E", "W")

    def _label(self, position: int) -> int:
        """A word just before an equals sign or a colon names the value after it."""
        self._undouble_name(position)
        raw = self.raw[position]
        word = raw.word
        lower = word.lower().replace("_", "")
        kind, value = self._kind(word, lower)
        if self._last() == "D" and lower in self.words.other_angles and self.box in ("direction", "polar"):
            self._emit("?", raw, OF_A_THING)
            return position + 1  # angle opposite = 120
        if kind == "?" and (meant := meant_word(lower)) and self._kind(meant, meant)[0] in ("R", "D", "X", "Y", "b"):
            self._note(f"read {word} as {meant}")
            kind, value = self._kind(meant, meant)
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
        elif lower == "by":
            kind = value = "Y"  # By = 4.1: of a vector B
        elif kind == "?" and lower.endswith(("parallel", "par")):
            kind = value = "X"
        elif kind == "?" and lower.endswith(("perpendicular", "perp")):
            kind = value = "Y"
        elif 1 < len(lower) <= 3 and lower[-1] in "xy" and kind == "?":
            kind = value = lower[-1].upper()
        elif (
            kind in ("N", "S", "E", "W", "H", "s")
            and self._last()
            and self._last() in "RXYDo("
            and (position > 1 or self._last() == "o")
        ):
            self._emit(kind, raw, value)
            return position + 1  # magnitude in N = 62.0, direction from north = 23
        elif kind in ("N", "S", "E", "W", "H", "s"):
            # In one box for a whole vector N is north; elsewhere N = 47.3 names a normal force.
            whole_vector = self.box in ("components", "polar") or kind == "H"
            self._emit(kind if whole_vector else "L", raw, value)
            return position + 2
        elif kind == "?" and is_function(lower):
            self._emit("?", raw)  # tanθ = 0.123
            return position + 1
        elif (
            kind == "?"
            and (unit := simple_unit(word)) is not None
            and ((position and self.raw[position - 1].lower == "in") or (unit.dimension == "angle" and len(word) > 2))
        ):
            self.tokens.append(Token("u", word, unit=unit))
            return position + 1  # distance in km: 62
        elif kind == "?" and self.box in ("direction", "polar") and is_like_a_bearing(lower):
            self._emit("?", raw, LIKE_A_BEARING)
            return position + 1
        elif (kind == "?" and len(word) <= 12) or len(word) == 1:
            kind, value = "L", word
        else:
            return 0
        if kind == "P" and position and (before := self.raw[position - 1].lower) in ("angle", "side"):
            value = value.upper() if before == "angle" else value.lower()
        if kind == "P" and self.box != "triangle" and lower in ("α", "β", "γ", "alpha", "beta", "gamma"):
            kind = value = "D"
        self._take_in_names(kind, position)
        self._emit(kind, raw, value)
        return position + 2

    def _take_in_names(self, kind: str, position: int) -> None:
        """``u - v =``: the left side of an equation, in the question's own words, is one name."""
        kinds = [token.kind for token in self.tokens[-2:]]
        if (
            kinds[-1:] != ["?"]
            or self.tokens[-1].text not in ("-", "+")
            or (kind == "P" and self.box in ("triangle", "angle"))
        ):
            return  # C = 180 - A - B = 90.9 is worked with the parts' names
        if position < 2 or not self.raw[position - 2].word:
            return  # -x = 7: a sign, not a difference
        if len(kinds) == 1 or kinds[0] not in ("n", "m", "a", "?", kind, "L"):
            del self.tokens[-1]  # a - b: the first letter is a word that says nothing
        elif kinds[0] in ("?", kind, "L") and self.tokens[-2].text.isalnum():
            del self.tokens[-2:]

    def _numbered_part(self, position: int) -> int:
        """C1 = ..., b2: ..., γ1 = ...: the parts of the first and of the second triangle."""
        if position + 2 >= self.count:
            return 0
        raw, number, equals = self.raw[position : position + 3]
        letter = raw.word.rstrip("_")
        greek = letter in tuple("αβγ") and self.box in ("triangle", "angle")
        if (
            (letter not in tuple("ABCabc") and not greek)
            or number.gap
            or number.numeral not in ("1", "2")
            or equals.symbol not in ("=", ":", "≈")
        ):
            return 0
        name = self.words.kinds[letter][1] if greek else letter
        self.tokens.append(Token("P", raw.word, value=name, digits=number.numeral))
        return position + 3

    def _numbered_component(self, position: int) -> int:
        """``F1x = 20``: a component of the first of several vectors."""
        if self.box != "components" or position + 3 >= self.count:
            return 0
        raw, number, axis, equals = self.raw[position : position + 4]
        glued = not number.gap and not axis.gap and number.numeral.isdigit() and len(number.numeral) == 1
        if not glued or axis.lower not in ("x", "y") or equals.symbol not in ("=", ":", "≈"):
            return 0
        kind = axis.lower.upper()
        self.tokens.append(Token(kind, f"{raw.word}{number.numeral}{axis.lower}", value=kind))
        return position + 4

    def _label_tail(self, position: int, kind: str, value: str) -> int:
        """``x-component of R =``: what may stand between a label and its value."""
        raw = self.raw[position]
        self._emit(kind, raw, value)
        end = position + 1
        while end < self.count:
            following = self.raw[end]
            if following.symbol in ("=", ":", "≈", "~=", "=="):
                return end + 1
            if following.word and self._is_absorbed(end):
                end += 1
            elif following.symbol == "-" and self._is_absorbed(end + 1):
                end += 2
            elif following.symbol == "_" or (following.symbol == "." and kind in "RDXY"):
                end += 1
            elif following.word and following.lower in ("is", "was", "equals", "of"):
                return end + 1
            else:
                break
        return end

    def _axis(self, position: int) -> int:
        """``positive x-axis``, ``-y axis``, ``+x``, ``x axis``: one token of kind A with the letter it points to."""
        start = position
        sign = ""
        raw = self.raw[position]
        if raw.symbol in ("+", "-") or raw.lower in _AXIS_SIGNS:
            sign = "-" if raw.symbol == "-" or raw.lower in ("negative", "neg", "minus") else "+"
            position += 1
            if position < self.count and self.raw[position].symbol == "-":
                position += 1
        if position >= self.count:
            return 0
        word = self.raw[position].lower
        if word in ("xaxis", "yaxis"):
            word, is_axis, end = word[0], True, position + 1
        elif word in ("x", "y", "horizontal", "vertical"):
            end = position + 1
            if end < self.count and self.raw[end].symbol == "-" and self._next_word(end).startswith("ax"):
                end += 1
            is_axis = end < self.count and self.raw[end].lower in ("axis", "axes", "ax", "direction", "axsis")
            end += is_axis
        else:
            return 0
        if word in ("horizontal", "vertical"):
            if sign or not ((self._last() and self._last() in "ohlck") or is_axis):
                return 0
            word = "x" if word == "horizontal" else "y"
            sign = "?"
        elif (
            not is_axis
            and not (sign and self._last() and self._last() in "ohlckNSEWH")
            and not self._is_all(start, end)
        ):
            return 0
        letter = {"x": "W" if sign == "-" else "E", "y": "S" if sign == "-" else "N"}[word]
        if sign in ("+", "-") and self._is_all(start, end):
            written = " ".join(one.text for one in self.raw[start:end])
            self.tokens.append(Token(letter.replace("N", "H"), written, value=letter))  # dir = -x
            return end
        if not sign:
            self._note(f"took the {word}-axis as the positive one")
        self.tokens.append(
            Token("A", " ".join(one.text for one in self.raw[start:end]), value=letter + ("?" if sign == "?" else ""))
        )
        return end

    def _is_all(self, start: int, end: int) -> bool:
        """Whether a text for a direction ends here without a number: the end of an axis is the direction itself.

        ``a - x`` takes one letter from another, and ``from +x`` lacks its angle.
        """
        if self.box != "direction" or end < self.count or self._furthest("numeral") >= 0:
            return False
        before = self.raw[start - 1].word if start else ""
        spaced = self.raw[start].symbol and self.raw[start + 1].gap
        return len(before) != 1 and not spaced and self._last() in ("", "@", "=", "D")

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

    def _kind(self, word: str, lower: str) -> tuple[str, str]:
        """The part of speech of a word, and its value."""
        if len(word) == 1:
            if word in "Nn":
                return "N", "N"
            if word in "Ss":
                return word, "S"
            if word == "T":
                return "T", "T"
            if word in "abcABC" and (self.box == "triangle" or (self._last() == "@" and self.tokens[-1].text == "∠")):
                return "P", word
            if word in "αβγ" and self.box == "triangle":
                return self.words.kinds[word]
        known = self.words.kinds.get(lower)
        if known is None and "_" in lower:
            known = self.words.kinds.get(lower.replace("_", ""))
        return known if known is not None else ("?", "")
