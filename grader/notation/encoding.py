"""Signs that another encoding changed or lost on their way through an export: ``59.5Â°``, ``148.3Â N``, ``N 31.4? E``."""

from __future__ import annotations

import re
from functools import cache

from grader.notation.tables import load_table

_MOJIBAKE = re.compile(r"[ÃÂâÏÎË][\x80-\xbf€‚ƒ„…†‡ˆ‰Š‹ŒŽ‘’“”•–—˜™š›œžŸ]{1,2}")
"""One sign in two or three: the byte that begins it, and those that can follow, as code page 1252 shows them."""

_SIGNS = re.compile(r"[ÃÂâÏÎË¬‚Œœ┬]|√ó")
"""Without one of these a text came through whole."""

_SPACE_LOST = re.compile(r"Â(?=[ \n]|$)")
"""A non-breaking space in two bytes, the second of which an export made a plain one."""


@cache
def _scrambled() -> tuple[tuple[str, str], ...]:
    return tuple(load_table("characters.toml")["scrambled"].items())


def unscrambled(text: str) -> str:
    """A text whose UTF-8 was taken for another encoding on its way: ``59.5Â°`` is ``59.5°``.

    >>> unscrambled("59.5Â°"), unscrambled("353.0Ã‚Â°"), unscrambled("148.3Â N"), unscrambled("59.5¬∞")
    ('59.5°', '353.0°', '148.3 N', '59.5°')
    """
    if _SIGNS.search(text) is None:
        return text
    for written, meant in _scrambled():
        if written in text:
            text = text.replace(written, meant)
    for _ in range(2):
        if _MOJIBAKE.search(text) is None:
            break
        try:
            text = b"".join(_byte(character) for character in text).decode("utf-8")
        except UnicodeError:
            text = _MOJIBAKE.sub(_decoded, text)  # beside signs that came through whole
    return _SPACE_LOST.sub("", text)


def _decoded(match: re.Match[str]) -> str:
    """One sign that came in several, if its bytes make one."""
    for length in range(len(match[0]), 1, -1):
        try:
            return b"".join(map(_byte, match[0][:length])).decode("utf-8") + match[0][length:]
        except UnicodeError:
            continue
    return match[0]


def _byte(character: str) -> bytes:
    try:
        return character.encode("cp1252")
    except UnicodeError:
        return character.encode("latin-1")


_LETTER = r"(?:[NSEWnsew]|[Nn]orth|[Ss]outh|[Ee]ast|[Ww]est)"
_LOST = re.compile(
    rf"""
      (?<![^\W\d_]) (?P<before> {_LETTER} \ ? \d[\d.,]* ) \? (?= \ ? {_LETTER} \b )    # N 31.4? E
    | (?<=\d) \? (?= \ ? {_LETTER} \ of\b | \ ? \d{{1,2}}['′] )                       # 31.4? E of N, 59?30'
    """,
    re.VERBOSE,
)


def with_lost_degree_signs(text: str, notes: list[str]) -> str:
    """The text with a degree sign for every question mark that can be nothing else.

    >>> with_lost_degree_signs("N 31.4? E", []), with_lost_degree_signs("148.3? N", [])
    ('N 31.4° E', '148.3? N')
    """
    mended = _LOST.sub(lambda match: (match["before"] or "") + "°", text)
    if mended != text:
        notes.append("read a sign lost in the export as a degree sign")
    return mended
