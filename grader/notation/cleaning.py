"""From what stands in a cell to plain notation: look-alike characters, left-overs of HTML, MathML and LaTeX.

``plain("S&nbsp;83º E") == "S 83° E"``. Everything here is a rewriting of the text, done before any meaning is looked for.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from grader.notation.encoding import unscrambled
from grader.notation.numbering import without_number
from grader.notation.pasted import without_wrapping
from grader.notation.tables import load_table
from grader.notation.tabulated import with_names_beside, without_bullets

_RAISED_RUN = re.compile(r"[¹²³⁴-⁹⁺⁻⁰°]*[¹²³⁴-⁹⁺⁻][¹²³⁴-⁹⁺⁻⁰]*")
_FRACTION_AFTER_DIGIT = re.compile(r"(?<=\d)(?=[½¼¾⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞])")
_ZERO_RAISED = re.compile(r"(?<=[¹²³⁴-⁹⁻])⁰")
_LONG_BLANK = re.compile(r"([ \n])\1{3,}")
"""Blanks by the dozen pad a cell; no more is in them than in three."""

_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
_PICTURES = re.compile("[\U0001f000-\U0001faff\u2600-\u2713\u2715-\u27bf\u2b00-\u2bff\u21a9-\u21cf]")
_UNUSUAL = re.compile(r"[^ -~\n°−–—×·√π≈θ′″º˚’“”α-ω]|[<&\\$_][A-Za-z/#({]|\\[ ,;:!]|[{}]")
_ENDS_A_FACE = frozenset("DPp3/(")
_FACE = re.compile(r"(?<=\S) (?:[:=;]-?[DPp/(]|[xX]D)$|(?<=[A-Za-z°.!]) <3$")
"""``12.7 kn :D``"""
_MIXED = re.compile(r"(?<![\d.,)])(\d+) ?\(\((\d+)\)/\((\d+)\)\)(?![(√π])")
"""5\\frac{1}{2}: a whole number before a fraction, as an equation editor writes a mixed number."""

_BEGINS_A_RECORD = frozenset("{[(\"'")
_TIED = re.compile(r"(?<=\d)~(?=[A-Za-z°\\])")
"""62.4~N: a blank at which LaTeX does not break the line."""

_PASTED = frozenset("_{[^*")
"""Signs that a program may put around a result."""

_PARALLEL = re.compile(r"(?<=[A-Za-z])_?∥(?=\s*[=:])")
_OPENING = frozenset("([")
_IN_BRACKETS = re.compile(r"[(\[]\s*([A-Za-zθφαβγ|][^()\[\]{},;\n=]{0,12}=[^()\[\]{},;\n=]+)[)\]]")
"""(R = 62.0 N): one statement with brackets around it."""

_LOST_BACKSLASH = re.compile(
    r"(?<=\^)circ\b|(?<=\^\{)circ\b|(?<![\\A-Za-z])(?:langle|rangle)\b|(?<![\\A-Za-z])text(?=\{)"
)
"""49.4^circ, langle 3, 4 rangle: what is left of LaTeX where a box eats its backslashes."""

SHORTEST_COPIED = 7
_COPIED = re.compile(r"((?=[^\n]*\d)[^\n]{2,40}?[A-Za-z°])(?:[ \n]*\1){1,2}")
"""68.5 m68.5 m: what a page shows and what it holds for other programs, copied together."""

_SUBSCRIPT = re.compile(r"(?<=[ABCabc])_ ?\{(?=\d\})(\w{1,3})\}|(?<=[A-Za-zα-ω])_ ?\{(?=[A-Za-z]{1,3}\})(\w{1,3})\}")
_OF_AN_ANGLE = re.compile(r"([θφ])_ ?[A-Za-z]{1,3}(?= ?[=≈:])")
"""θ_R = 91.7°: whose angle it is."""

_PLAIN_FRACTION = re.compile(r"(?<![\d)π])\(\((\d{0,3}π)\)/\((\d{1,3})\)\)(?![\d(π])")
_WORDS_TIED = re.compile(r"(?<=[A-Za-z]{4})_(?=[A-Za-z]{3})")
"""Course_true = 49.6: words as a column is called."""

_OVER_A_LINE = re.compile(
    r"([A-Za-zθφ|]{1,3} ?= ?)?[ ]*([\dπ√(). ]{1,12}?)[ ]*\n[ ]*[—–―─_-]{1,6}[ ]*\n[ ]*([\d√π]{1,5})[ ]*([A-Za-z°/]{0,6})"
)
"""A fraction as it is written by hand, over three lines."""

_NAMED_PRODUCT = re.compile(r"[A-Za-z] ?[·.•∙⋅] ?[A-Za-z] ?= ?(?=[-−\d])")
"""u·v = 29: the name of a dot product says nothing more."""

_ENTITY = re.compile(r"&(?:#\d{1,7}|#x[0-9a-f]{1,6}|[a-z]{2,10}\d?);?", re.IGNORECASE)


@cache
def _characters() -> dict[int, str]:
    """Every look-alike by its code point."""
    table = load_table("characters.toml")
    mapping: dict[int, str] = {}
    for character in table["spaces"]["characters"]:
        mapping[ord(character)] = " "
    for character in table["nothing"]["characters"]:
        mapping[ord(character)] = ""
    for character in table["lines"]["characters"]:
        mapping[ord(character)] = "\n"
    for section in ("same", "letters", "fractions"):
        for written, meant in table[section].items():
            if len(written) == 1:
                mapping[ord(written)] = meant
    for offset in range(26):
        for capital, small in ((0xFF21, 0xFF41), (0x1D400, 0x1D41A), (0x1D434, 0x1D44E), (0x1D5A0, 0x1D5BA)):
            # full-width, bold, italic and sans-serif letters
            mapping.setdefault(capital + offset, chr(ord("A") + offset))
            mapping.setdefault(small + offset, chr(ord("a") + offset))
    return mapping


@cache
def _two_character_letters() -> tuple[tuple[str, str], ...]:
    table = load_table("characters.toml")["letters"]
    # A letter and a combining circumflex after it: x̂, î.
    pairs = [(written, meant) for written, meant in table.items() if len(written) == 2]
    return (*pairs, ("î", "i"), ("ĵ", "j"))


_NUMBERED_PART = re.compile(r"(?<=[ABCabcαβγ])[₁₂](?=\s*[=:≈])")
"""``β₁ = 48.6°``: of the first triangle and the second, as ``β1``."""


def plain(text: str) -> str:
    """The text in the plain notation that the grammar is written in.

    >>> plain("62.0&nbsp;lb at <b>353</b>º")
    '62.0 lb at 353°'
    """
    if "%" in text or "\\" in text:
        from grader.notation.escapes import unescaped

        text = unescaped(text)
    if text[:1] in _BEGINS_A_RECORD or "#" in text or "//" in text or "{" in text:
        from grader.notation.records import from_record

        text = from_record(text)
    if not _PASTED.isdisjoint(text) or text.endswith("i"):
        text = without_wrapping(text)
    if "\n" in text or "\t" in text:
        if (match := _OVER_A_LINE.fullmatch(text.strip())) is not None:
            text = f"{match[1] or ''}{match[2]}/{match[3]}{match[4]}"
        text = _without_cells(text)
    if "~" in text:
        text = _TIED.sub(" ", text)
    if not text.isascii():
        if "₁" in text or "₂" in text:
            text = _NUMBERED_PART.sub(lambda match: "1" if match[0] == "₁" else "2", text)
        if _UNUSUAL.search(text) is None:  # only the signs of the trade
            return _mended_marks(text.translate(_characters()))
        text = unscrambled(text)
    if "&" in text:
        import html

        for _ in range(2):  # some exports escape what was escaped already
            text = _ENTITY.sub(lambda match: html.unescape(match[0]), text)
    if "<" in text:
        from grader.notation.markup import from_tags

        text = _without_cells(from_tags(text))
    if "_" in text:
        text = _WORDS_TIED.sub(" ", text)
    if "_x" in text:
        text = _ESCAPED.sub(lambda match: chr(int(match[1], 16)), text)
    if "circ" in text or "langle" in text or "text{" in text:
        text = _LOST_BACKSLASH.sub(lambda match: f"\\{match[0]}", text)
        text = text.replace("\\^\\circ", "^\\circ")
    if "\\" in text or "$" in text or "{" in text:
        from grader.notation.latex import from_latex

        text = from_latex(text)
    if "_" in text:
        text = _OF_AN_ANGLE.sub(r"\1", _SUBSCRIPT.sub(lambda match: f"_{match[1] or match[2]}", text))
    if "((" in text:
        text = _PLAIN_FRACTION.sub(r"\1/\2", text)
        text = _MIXED.sub(r"\1 \2/\3", text)
    if not text.isascii():
        text = _unicode(text)
    elif "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    return _mended_marks(text)


def _without_cells(text: str) -> str:
    """The text without the tabs between the cells of a row: 62 and 353 are no 62 353."""
    return with_names_beside(without_bullets(text)).replace("\t", "  ")


def _mended_marks(text: str) -> str:
    text = text.strip()
    if "    " in text or "\n\n\n\n" in text:
        text = _LONG_BLANK.sub(r"\1\1\1", text)
    text = without_number(text)
    if text[:1] in _OPENING and (match := _IN_BRACKETS.fullmatch(text)) is not None:
        text = match[1]
    if text[-1:] in _ENDS_A_FACE and (match := _FACE.search(text)) is not None:
        text = text[: match.start()]
    if text[:2] == "· ":
        text = text[2:].lstrip()  # • 12.7 kn: the dot of a list
    if len(text) > SHORTEST_COPIED and (match := _COPIED.fullmatch(text)) is not None:
        text = match[1]
    if "=" in text and (match := _NAMED_PRODUCT.match(text)) is not None:
        text = text[match.end() :]
    if len(text) > 2 and text[0] == text[-1] and text[0] in "'\"*`":
        text = text.strip("'\"*`").strip()  # quoted by an export, or *emphasised*
    return text


def _unicode(text: str) -> str:
    if "∥" in text:
        text = _PARALLEL.sub("par", text)
    for written, meant in _two_character_letters():
        if written in text:
            text = text.replace(written, meant)
    text = _ZERO_RAISED.sub("0̂", text)  # 10¹⁰: a raised zero that is an exponent, not a degree sign
    text = _FRACTION_AFTER_DIGIT.sub(" ", text)
    text = _RAISED_RUN.sub(_raised, text).replace("0̂", "0")
    text = text.replace("\r\n", "\n").translate(_characters())
    if not text.isascii():
        text = "".join(
            [str(unicodedata.decimal(sign)) if sign > "\x7f" and sign.isdecimal() else sign for sign in text]
        )
    return _PICTURES.sub(" ", text)


def _raised(match: re.Match[str]) -> str:
    raised = load_table("characters.toml")["raised"]
    return "^" + "".join(raised.get(character, "0" if character in "⁰" else character) for character in match[0])
