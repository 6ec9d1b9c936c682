"""What only explains the minus sign of a component: ``-755 m (south)``, ``x = -2.85 knots, negative because it goes west``."""

from __future__ import annotations

import re

_COMPONENT = (
    r"(?P<kept>(?:(?P<axis>[xy])(?:[- _]?(?:comp(?:onent)?|part|coordinate))? ?[=:]? ?)?"
    r"[-−] ?\d[\d.,]* ?(?:[A-Za-z/·]{1,10})?)"
)
_SIDE = re.compile(
    rf"{_COMPONENT} ?(?:[,(;] ?|(?:so|ie|i\.e\.|because|bc|since) )"
    r"(?:(?:so|ie|i\.e\.|it'?s|its|is|going|goes|pointing|points|due|to|toward|towards|the) ){0,4}"
    r"(?P<side>south|west|down|left)(?:ward|wards)?\)?[. ]*",
    re.IGNORECASE,
)
"""Not ``-62 N left``, where the side and the sign may both turn it."""

_REASON = re.compile(
    rf"{_COMPONENT} ?[,(;.]? ?(?:(?:it'?s|its|it is|which is) )?(?:negative|neg|minus)(?: sign)?"
    r"(?: (?:bc|because|since|cuz|cause|as) [^\d\n]{3,50}|\b)\)?[. ]*",
    re.IGNORECASE,
)
_OF_X = frozenset(("west", "left"))


def without_sign_explained(text: str) -> str:
    """The component alone, where what follows says why it is negative, and nothing else.

    >>> without_sign_explained("y: -755 m (south)"), without_sign_explained("-2.85 knots (negative bc its going west)")
    ('y: -755 m', '-2.85 knots')
    >>> without_sign_explained("x = -2.85 knots (south)"), without_sign_explained("755 m (south)")
    ('x = -2.85 knots (south)', '755 m (south)')
    """
    if "-" not in text and "−" not in text:
        return text
    match = _REASON.fullmatch(text)
    if match is not None:
        return match["kept"].strip()
    match = _SIDE.fullmatch(text)
    if match is None:
        return text
    axis = "x" if match["side"].lower() in _OF_X else "y"
    named = (match["axis"] or axis).lower()
    return match["kept"].strip() if named == axis else text
