"""Reference angles, left out where the angle itself follows: ``ref = 64°, actual = 244°``, ``64° (ref angle), 244° final``.

A student who names the acute angle beside the axis as such does not give it as the direction.
"""

from __future__ import annotations

import re

_VALUE = r"-?\d+(?:\.\d+)?(?! ?[a-ce-z])(?: ?(?:°|deg(?:rees?)?))?"
_NAME = r"(?:(?:the |my )?(?:θ ?_?\{?ref\}?|(?:reference|ref\.?)(?: ?(?:angle|ang|θ|theta))?(?! ?line)|related (?:acute )?angle))"
_NAMED = re.compile(
    rf"(?<![\w.]){_NAME} ?(?:is|was|=|:|≈)? ?{_VALUE}\s*(?:[,;\n]|(?=(?:so|then|but)\b|→|⇒|->|=>))",
    re.IGNORECASE,
)
_CALLED = re.compile(
    rf"(?<![\w.]){_VALUE} ?(?:\({_NAME}\)|{_NAME})\s*(?:[,;\n]|(?=(?:so|then|but)\b|→|⇒|->|=>))",
    re.IGNORECASE,
)
_ANOTHER = re.compile(
    r"(?<![\w.])(?<!quadrant )(?<!quad )\d+(?:\.\d+)?(?! ?quad)(?!\d|st\b|nd\b|rd\b|th\b)", re.IGNORECASE
)
_FINAL = re.compile(
    r"\b(?:actual|final)(?: (?:angle|direction))?(?: ?(?:is|=|:))? ?(?=-?\d)|(?<=[\d°]) (?:actual|final)\W*$",
    re.IGNORECASE,
)
_LEADING = re.compile(r"^(?:\s|[,;]|→|⇒|->|=>|so\b|then\b|but\b)+", re.IGNORECASE)


def without_reference_angle(text: str, notes: list[str]) -> str:
    """The text without a reference angle that is named as one, where another number follows.

    >>> without_reference_angle("ref = 64, actual = 244", []), without_reference_angle("64° (ref angle), 244° final", [])
    ('244', '244°')
    >>> without_reference_angle("reference angle 64°, 3rd quadrant", [])
    'reference angle 64°, 3rd quadrant'
    """
    for pattern in (_NAMED, _CALLED):
        match = pattern.search(text)
        if match is None or _ANOTHER.search(text, match.end()) is None:
            continue
        notes.append(f"left out a reference angle: {match[0].strip(' ,;')}")
        return _LEADING.sub("", _FINAL.sub("", text[: match.start()] + text[match.end() :])).strip()
    return text
