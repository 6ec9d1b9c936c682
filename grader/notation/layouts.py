"""How the parts of a triangle, or of two, are laid out in a text: ``48.9 for B``, ``B = 48.9/131.1``, ``the second one is``.

Each layout is rewritten as names before their values, one triangle behind the other; what is said of a part that is given,
or of a second triangle that there is not, is left out.
"""

from __future__ import annotations

import re

_PART = r"(?:(?:angle |side )?∠?[ABCabc])"
_VALUE = r"\d+(?:\.\d+)?(?: ?(?:°|deg(?:rees)?\b|[a-z]{1,6}\b(?<!for)(?<!and)(?<!or)))?"
_BEFORE_PART = rf"(?=(?:has |with )?{_PART}(?:'|_?[12])? ?(?:[=:]|is\b|\d))"

_NUMBERED = (
    re.compile(rf"(?:^|(?<=[\s.,;]))\(?(?:1|2|I{{1,2}}|i{{1,2}})\)\s*:?\s*{_BEFORE_PART}"),
    re.compile(rf"(?:^|(?<=[\s.,;]))\(?[ab]\)\s*:?\s*{_BEFORE_PART}"),
)
_CASE = re.compile(
    r"[.,;]?\s*(?:\band (?:there'?s |there is |then )?)?(?:\b(?:the|a|an|also) )?"
    r"\b(?:(?:triangle|case|option|tri|solution) ?#?(?:I{1,2}|[AB]|1|2|one|two)"
    r"|(?:1st|2nd|first|second|other|another|small(?:er)?|big(?:ger)?|larger?)(?: (?:triangle|case|option|one|solution))?)"
    rf"\s*(?:(?:is|with|has)\b|[:.)-]>?|⇒|→|(?<=[a-z0-9])(?= ))\s*{_BEFORE_PART}",
    re.IGNORECASE,
)
_NOT_ANOTHER = re.compile(
    r"(?:^|[.,;\n(]|\band\b|\bbut\b)\s*(?:the )?(?:2nd|second|other)(?: (?:triangle|one|solution|case))? (?:is |was )?"
    r"(?:not (?:possible|valid)|impossible|invalid|(?:doesn'?t|does not) (?:work|exist))"
    r"(?: (?:because|bc|since)\b[^\n]*)?\)?[.!]?"
    r"\s*(?:$|(?:[,;\n]\s*)(?=∠?[ABCabc] ?=))",
    re.IGNORECASE,
)
_GIVEN = re.compile(r" ?\((?:(?:[ABCabc] )?(?:is|was|were) )?given\)")
_STILL = re.compile(r"\b(is|was) still (?=\d)")
_SORTS = re.compile(rf"(?:,? ?\b(?:and )?the (?:angles|sides) are|\b(?:angles|sides) ?:) ?(?={_PART} ?[=\d])")
_SIZE_OF = re.compile(rf"\b(?:the )?(?:length|measure) of (?={_PART}\b)")
_FOR = re.compile(rf"(?P<value>{_VALUE}) for (?:the )?(?P<part>(?:angle |side )?[ABCabc])\b(?! ?[=:])")
_ARROW = re.compile(rf"(?P<part>{_PART}) ?(?:->|→|⇒) ?(?=\d)")
_IN_A_ROW = re.compile(r"(?:[ABCabc], ?\d+(?:\.\d+)?°?(?:, ?|$)){2,}")
_ROW = re.compile(r"([ABCabc]), ?(\d+(?:\.\d+)?°?)")
_EITHER = re.compile(r"(?P<one>(?<![\d.])\d+\.\d+°?) ?/ ?(?P<other>\d+\.\d+°?)(?![\d./])")
_OR = re.compile(r"(?<=[\d°]),? ?\((or -?\d+(?:\.\d+)?°?)\)")
_NOT = re.compile(r"(?<=[\d°]),? ?\(?not \d+(?:\.\d+)?°?\)?(?=[,;\n]|$)")
_NAMED = re.compile(r"[ABCabc] ?(?:[=:]|is\b)|\b(?:first|second|1st|2nd|triangle)\b[^\n]*[ABCabc] ?\d")
_STOP_BEFORE_SECOND = re.compile(r"(?<=\d)\.(?=\s+\(?(?:2|b|II|ii)\))")
_FIRST = re.compile(r"\b(?:first|1st)\b", re.IGNORECASE)
_TWO = re.compile(
    r"^(?:there are |i got |so )?(?:two|2) (?:different )?(?:triang(?:le|el)s?|solutions?|sol'?ns?|answers)\s*[.:;,\n]\s*(?=\S)",
    re.IGNORECASE,
)


def laid_out(text: str) -> str:
    """The text with each name before its value.

    >>> laid_out("48.9 for B, 99.1 for C"), laid_out("B=48.9/131.1 c=72.4/21.3"), laid_out("c = 14.4/6.1")
    ('B = 48.9, C = 99.1', 'B=48.9 or 131.1 c=72.4 or 21.3', 'c = 14.4/6.1')
    >>> laid_out("B=48.9 c=72.4, the second one is B=131.1 c=21.3"), laid_out("(1) B=48.9 (2) B=131.1")
    ('B=48.9 c=72.4; B=131.1 c=21.3', '; B=48.9 ; B=131.1')
    """
    text = _STOP_BEFORE_SECOND.sub(";", text)
    for marks in _NUMBERED:
        if len(marks.findall(text)) == 2:
            text = marks.sub("; ", text)
    if _FIRST.search(text) is not None:
        text = _TWO.sub("", text)
    if _NAMED.search(text) is not None:
        text = _NOT_ANOTHER.sub("", text)
        text = _CASE.sub(_parted, text)
    text = _SIZE_OF.sub("", text)
    text = _SORTS.sub(" ", _STILL.sub(r"\1 ", _GIVEN.sub("", text)))
    if " for " in text:
        text = _FOR.sub(r"\g<part> = \g<value>", text)
    text = _ARROW.sub(r"\g<part> = ", text)
    if _IN_A_ROW.fullmatch(text):
        text = _ROW.sub(r"\1 = \2", text)
    if "/" in text and 1 < len(_EITHER.findall(text)) == len(_NAMED.findall(text)):
        text = _EITHER.sub(r"\g<one> or \g<other>", text)
    return _NOT.sub("", _OR.sub(r" \1", text)) if " or " in text or "or " in text or "not " in text else text


_LATER = re.compile(r"\b(?:other|another|second|2nd)\b", re.IGNORECASE)


def _parted(match: re.Match[str]) -> str:
    """A mark between two triangles; what is said of another one where none stands before is left as it is."""
    alone = _LATER.search(match[0]) is not None and _NAMED.search(match.string, 0, match.start()) is None
    return match[0] if alone else "; "
