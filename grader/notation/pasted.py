"""What a program for calculations prints around a result: ``{{x -> -17.5, y -> 11.5}}``, ``148.3_N``, a column of rows."""

from __future__ import annotations

import re

_LOW_DASH_BEFORE_UNIT = re.compile(r"(?<=[\d\])>}])_(?![xX][0-9A-Fa-f]{4}_)(?=[A-Za-zµ°])|(?<=/)_(?=[A-Za-zµ])")
_BRACES = re.compile(r"\{+([^{}\\]*(?:=|->|→)[^{}\\]*)\}+")
_ARROW = re.compile(r"(?<=\w) ?(?:->|→) ?(?=[-−+.\d])")
_COLUMN = re.compile(r"\[\s*\[([^][,;]+)\]\s*[,;]?\s*\[([^][,;]+)\]\s*\]")
_CALLED = re.compile(r"(?:np\.|numpy\.)?(?:matrix|array|vector)\(\s*(\[[^][()]*\])\s*\)", re.IGNORECASE)
_HAT_AS_FACTOR = re.compile(r"(?<=\d) ?\* ?(?=[ij](?![A-Za-z]))")
_NUMBER = r"[-−+]?\d+(?:\.\d+)?"
_COMPLEX = re.compile(r"(\(?[-−+]?\d[\d.]* ?[-−+] ?\d[\d.]* ?)i(\)?)")
_EXPONENTIAL = re.compile(
    rf"(?<=\d) ?[*·×]? ?e ?\^ ?(?P<open>[({{])? ?(?:(?P<before>{_NUMBER})(?P<sign>°?) ?[*·×]? ?[ij]"
    rf"|[ij] ?[*·×]? ?(?P<after>{_NUMBER})(?P<sign2>°?)) ?(?(open)[)}}])(?![\w.])"
)


def without_wrapping(text: str) -> str:
    """The text without the signs that a program puts around the parts of a result.

    >>> without_wrapping("{{x -> -17.5, y -> 11.5}}"), without_wrapping("148.27*e^(3.622*i)")
    ('x = -17.5, y = 11.5', '148.27∠3.622 rad')
    """
    if "_" in text:
        text = _LOW_DASH_BEFORE_UNIT.sub(lambda match: "" if text[match.start() - 1] == "/" else " ", text)
    if "{" in text and (match := _BRACES.fullmatch(text.strip())) is not None:
        text = _ARROW.sub(" = ", match[1])
    if "[" in text:
        text = _CALLED.sub(r"\1", _COLUMN.sub(r"[\1, \2]", text))
    if "e" in text and "^" in text:
        text = _EXPONENTIAL.sub(_polar, text)
    if "*" in text:
        text = _HAT_AS_FACTOR.sub("", text)
    if "i" in text and (match := _COMPLEX.fullmatch(text)) is not None:
        text = f"{match[1]}j{match[2]}"  # a real part and an imaginary one: here i is no unit vector
    return text


def _polar(match: re.Match[str]) -> str:
    """The angle of a complex number in its exponential form: radians, unless a degree sign stands there."""
    sign = match["sign"] or match["sign2"] or " rad"
    return f"∠{match['before'] or match['after']}{sign}"
