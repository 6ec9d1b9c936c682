"""Vectors added before the answer, ``A = <5, 3>, B = <-2, 8>, A + B = <3, 11>``; and numbers named by what they are for."""

from __future__ import annotations

import re

from grader.notation.closeness import are_close

_NUMBER = r"[-−+]? ?\d+(?:\.\d+)?"
_PAIR = re.compile(
    rf"[<(\[⟨] ?(?P<x>{_NUMBER}) ?, ?(?P<y>{_NUMBER}) ?[>)\]⟩]|(?<![\d.])(?P<i>{_NUMBER}) ?i ?(?P<j>[-−+] ?\d+(?:\.\d+)?) ?j\b"
)
_BETWEEN = re.compile(r"(?:[A-Za-z+=:;,.\s-]|(?<=[A-Za-z_])\d(?!\d)|_)*+")
MOST_VECTORS = 8
_NO_Z = re.compile(r" ?\+ ?0(?:\.0+)? ?k\b")
_NAMES = re.compile(r"[<(\[⟨] ?[A-Za-z]?_?[xX] ?, ?[A-Za-z]?_?[yY] ?[>)\]⟩] ?= ?(?=[<(\[⟨])")
"""``<x, y> = <32.0, 43.6>``: what the two are called."""

_FOR_LENGTH = re.compile(
    r"(?P<value>\d[\d.,]*(?: ?[A-Za-z/]{1,8}(?<!for))?) for (?:the )?(?P<what>force|magnitude|resultant|speed|length)\b"
)
_FOR_ANGLE = re.compile(
    r"(?P<value>\d[\d.,]*(?: ?(?:°|deg(?:rees?)?))?) for (?:the )?(?P<what>angle|direction|bearing|course)\b"
)


def last_sum(text: str) -> str:
    """The last of several vectors, where it is the sum of those before it, or the difference of two; else the text.

    >>> last_sum("A = <5, 3>, B = <-2, 8>, A+B = <3, 11> N"), last_sum("A = <5, 3>, B = <-2, 8>")
    ('<3, 11> N', 'A = <5, 3>, B = <-2, 8>')
    """
    text = _NAMES.sub("", _NO_Z.sub("", text))
    found = list(_PAIR.finditer(text))
    if not 2 < len(found) <= MOST_VECTORS:
        return text
    ends = [0, *(match.end() for match in found)]
    if not all(_BETWEEN.fullmatch(text, end, match.start()) for end, match in zip(ends, found, strict=False)):
        return text
    for names in (("x", "i"), ("y", "j")):
        written = [
            next(match[name] for name in names if match[name]).replace(" ", "").replace("−", "-") for match in found
        ]
        *parts, total = map(float, written)
        places = [10.0 ** -len(one.partition(".")[2]) for one in written]
        difference = len(parts) == 2 and are_close(total, parts[0] - parts[1], sum(places))
        if not are_close(total, sum(parts), sum(places)) and not difference:
            return text
    return text[found[-1].start() :]


def named_first(text: str) -> str:
    """The text with what its numbers are for before them.

    >>> named_first("91.2 for the force and 102.4 for the angle")
    'magnitude = 91.2 and angle = 102.4'
    """
    if " for " not in text:
        return text
    return _FOR_ANGLE.sub(r"\g<what> = \g<value>", _FOR_LENGTH.sub(_length, text))


def _length(match: re.Match[str]) -> str:
    name = "magnitude" if match["what"] == "force" else match["what"]
    return f"{name} = {match['value']}"
