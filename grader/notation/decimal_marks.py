"""Which decimal mark an export as a whole uses."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Literal

from grader.notation.limits import MAX_LENGTH

_EVIDENCE = re.compile(
    r"""
    (?<![\d.,])
    (?: (?P<comma> \d+,(?:\d{1,2}|\d{4,}) | 0,\d+ | \d{1,3}(?:[. ]\d{3})+,\d+ )
      | (?P<point> \d*\.(?:\d{1,2}|\d{4,}) | 0\.\d+ | \d{1,3}(?:[, ]\d{3})+\.\d+ ) )
    (?! [.,]?\d )
    """,
    re.VERBOSE,
)


def decimal_mark(texts: Iterable[str]) -> Literal["point", "comma"] | None:
    """The decimal mark that an export as a whole uses; None when nothing in it shows one.

    Only numbers with one possible sense count (``61,6`` or ``1.234,5``, never ``1.234``), and no comma inside brackets,
    where it may part two numbers.

    >>> decimal_mark(["61,6 N", "7,59", "1.234"])
    'comma'
    """
    commas = points = 0
    for text in texts:
        if not isinstance(text, str) or len(text) > MAX_LENGTH or ("," not in text and "." not in text):
            continue
        bracketed = any(bracket in text for bracket in "([<{⟨") and ";" not in text
        for match in _EVIDENCE.finditer(text):
            if match["point"]:
                points += 1
            elif not bracketed:
                commas += 1
    if commas == points:
        return None
    return "comma" if commas > points else "point"
