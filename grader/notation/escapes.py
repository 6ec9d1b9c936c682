"""Signs that a web form or a program wrote by their numbers: ``brg%20137%C2%B0``, ``15.5\\u00b0``."""

from __future__ import annotations

import re

_PERCENT = re.compile(r"%([0-9A-Fa-f]{2})")
_TELLS = re.compile(r"%(?:20|22|2[89BCFbcf]|3[A-Ea-e]|40|25(?=[0-9A-F]{2})|0[AaDd]|[Cc][23EFef]%|[Ee]2%|[Bb]0)")
"""Codes of signs that an answer is full of; 12%50 is no code."""
_RESERVED = re.compile(r"%(?:2[BCbcFf]|3[ABDabd]|40)")
"""Codes of signs that only a form's own encoding writes so, and then a plus sign is a blank."""

_OTHER = re.compile(r"%(?:2[Cc]|[89A-Fa-f])")
"""Codes of a comma and of signs beyond the plain ones: 10%20 may be a share of something."""

_UNICODE = re.compile(r"(?:\\u[0-9A-Fa-f]{4})+")
_BYTES = re.compile(r"(?:\\x[0-9A-Fa-f]{2})+")
_NEW_LINE = re.compile(r"(?:\\r)?\\n(?![a-z])|(?:\\r)?\\n(?=[a-z] ?[=:])")
_TAB = re.compile(r"\\t(?![A-Za-z])")
_SLASH = re.compile(r"(?<=[A-Za-z])\\/(?=[A-Za-z])")


def unescaped(text: str) -> str:
    r"""The text with its signs in place of their numbers.

    >>> unescaped("brg%20137%C2%B0"), unescaped(r"15.5\u00b0 north"), unescaped("12%50")
    ('brg 137°', '15.5° north', '12%50')
    """
    if "\\" in text:
        text = _UNICODE.sub(_from_unicode, text)
        text = _BYTES.sub(_from_bytes, text)
        text = _SLASH.sub("/", _TAB.sub("\t", _NEW_LINE.sub("\n", text)))
        if text.count('\\"') > 1:
            text = text.replace('\\"', '"')
    for _ in range(2):  # what was encoded already may be encoded again
        if "%" in text:
            text = _from_percent(text)
    return text


def _from_percent(text: str) -> str:
    """Only where every per cent sign begins a code, and nothing stands there that such a text would have encoded."""
    rest = _PERCENT.sub("", text)
    blanks = "+" in rest and _RESERVED.search(text) is not None and "%20" not in text
    if _TELLS.search(text) is None or "%" in rest or not rest.isascii() or any(sign.isspace() for sign in rest):
        return text
    telling = any(sign.isalpha() or sign in ".,=" for sign in rest) or _OTHER.search(text) is not None
    if not telling or ("+" in rest and not blanks and "%20" not in text):
        return text
    if blanks:
        text = text.replace("+", " ")
    found = bytearray()
    for index, piece in enumerate(_PERCENT.split(text)):
        found += bytes.fromhex(piece) if index % 2 else piece.encode("ascii")
    return _decoded(bytes(found))


def _from_unicode(match: re.Match[str]) -> str:
    """A run of code units; two of them may make one sign."""
    units = match[0].split("\\u")[1:]
    return bytes.fromhex("".join(units)).decode("utf-16-be", "replace")


def _from_bytes(match: re.Match[str]) -> str:
    return _decoded(bytes.fromhex(match[0].replace("\\x", "")))


def _decoded(found: bytes) -> str:
    try:
        return found.decode("utf-8")
    except UnicodeError:
        return found.decode("cp1252", "replace")
