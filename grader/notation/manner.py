"""What words behind an answer say of how it was found: the method, a reason, that a part of it was not found."""

from __future__ import annotations

import re
from functools import cache

from grader.notation.pieces import words
from grader.notation.readings import BoxKind
from grader.notation.tables import load_table


@cache
def telling() -> frozenset[str]:
    """Words that say something about the value beside them (words.toml)."""
    return frozenset(load_table("words.toml")["telling"]["words"])


@cache
def _method() -> tuple[frozenset[str], frozenset[str], tuple[str, ...], frozenset[str]]:
    """The heads of a remark, all its words, what may lead it in, and the last two letters of its words in either case."""
    table = load_table("words.toml")["method"]
    heads = frozenset(table["heads"])
    known = heads | frozenset(table["others"])
    leads = tuple(f" {lead} " for lead in table["leads"])
    return heads, known, leads, frozenset(ending for word in known for ending in (word[-2:], word[-2:].upper()))


def is_of_method(line: str) -> bool:
    """Whether a line names a method and no more: ``Law of cosines:``."""
    heads, known, _, _ = _method()
    said = line.strip(" :.-").lower().replace("-", " ").split()
    return bool(said) and not heads.isdisjoint(said) and known.issuperset(said)


_AFTER_THE_LAST_WORD = frozenset(")]}.! ")


def _is_complete(answer: str) -> bool:
    """Whether a value stands in what is left, and no name without one at its end: ``R = 62.0, θ``."""
    last = words().kinds.get(answer[answer.rfind(" ") + 1 :].lower(), ("", ""))[0]
    return any(map(str.isdigit, answer)) and answer[-1] not in "=:-+" and (not last or last not in "RDXYPo=@v&0")


_OPENING = {")": "(", "]": "[", "}": "{"}


def without_method(text: str) -> tuple[str, str]:
    """The text without remarks at its end on how it was found, and the first of them; the words are in words.toml.

    >>> without_method("335.8 lb (law of cosines)"), without_method("62 lb by hand"), without_method("62 lb (not by hand)")
    (('335.8 lb', 'law of cosines'), ('62 lb', 'by hand'), ('62 lb (not by hand)', ''))
    """
    left_out = ""
    heads, known, leads, endings = _method()
    if text[-2:] not in endings and text[-1:] not in _AFTER_THE_LAST_WORD:
        return text, left_out
    while True:
        tail = text.rstrip(" .!")
        closing = tail[-1:]
        end = len(tail) - (closing in _OPENING)
        last = end
        while last and tail[last - 1] not in " ([{,;-\n":
            last -= 1
        if tail[last:end].lower() not in known:
            return text, left_out
        if closing in _OPENING:
            start = tail.rfind(_OPENING[closing])
            skipped = 1
        else:
            start = max(tail.rfind(","), tail.rfind(";"))
            skipped = 1
            led = max(map(tail.lower().rfind, leads))
            if led > start:
                start, skipped = led, 0
        rest, remark = tail[: max(start, 0)].rstrip(" ,;"), tail[start + skipped : end].strip()
        said = remark.lower().replace("-", " ").split()
        if start < 0 or heads.isdisjoint(said) or not known.issuperset(said) or not _is_complete(rest):
            return text, left_out
        text, left_out = rest, left_out or remark


_REASON = re.compile(
    r"""
    [,;(.]? \s* \b (?: because | becuase | bc | cuz | since | as\ you\ can\ see | like\ (?:on|in)\ the
                    | as\ (?:shown|seen)\ (?:on|in)
                    | so\ (?:it's\ |its\ |it\ is\ )?(?:almost|nearly|basically|pretty\ much) ) \b [^\d\n]* $
    """,
    re.VERBOSE | re.IGNORECASE,
)
_TELLS_A_SIGN = frozenset("NHSsEWC")


_EQUATION_AS_REASON = re.compile(
    r"[,;(.]?\s*\b(?:because|becuase|bc|cuz|since)\b(?P<reason>[^\n]*=[^\n]*)$", re.IGNORECASE
)


_BEGINS_A_STEP = re.compile(r"\s*(?:sin|cos|tan|[A-Za-z] ?(?:\^ ?2|²))", re.IGNORECASE)
_LEADS_ON = frozenset(("so", "then", "therefore", "thus", "hence"))


def without_equation_as_reason(text: str, box: BoxKind) -> str:
    """What stands before a reason that is an equation and tells no side; ``""`` where there is no such reason.

    >>> without_equation_as_reason("R = 62.0 because R² = 3849", "quantity")
    'R = 62.0'
    """
    match = _EQUATION_AS_REASON.search(text)
    if match is None or not any(map(str.isdigit, text[: match.start()])):
        return ""
    if box == "triangle" and _BEGINS_A_STEP.match(match["reason"]) is None:
        return ""  # A = 30°, B = 60°, since C = 90°: one more part
    known = words().kinds
    said = re.findall(r"[^\W\d_]+", match["reason"])
    if not _LEADS_ON.isdisjoint(said):
        return ""
    if any(len(word) > 1 and known.get(word.lower(), ("",))[0] in tuple(_TELLS_A_SIGN) for word in said):
        return ""
    return text[: match.start()].rstrip()


def without_reason(text: str, box: BoxKind) -> str:
    """The text without a reason at its end, unless a word in it may be part of the answer.

    >>> without_reason("y: -1.93 kn, because the current goes down", "components")
    'y: -1.93 kn'
    >>> without_reason("12 N because it is down", "quantity")
    '12 N because it is down'
    """
    match = _REASON.search(text)
    if match is None or not any(map(str.isdigit, text[: match.start()])):
        return text
    said = re.findall(r"[^\W_]+", match[0].lower())
    known = words().kinds
    tells = not telling().isdisjoint(said) or any(known.get(word, ("",))[0] in tuple(_TELLS_A_SIGN) for word in said)
    hedges = match[0].lstrip(" ,;(.").lower().startswith("so")  # so almost straight east: no second direction
    if tells and not hedges and not (box == "components" and "-" in text[: match.start()]):
        return text
    return text[: match.start()].rstrip()


_REGRET = re.compile(
    r"""
    [ ,;.]++ (?:but\ )? (?:i\ |we\ |have\ |i'm\ )?
    (?: could(?:n'?t|\ not) | can(?:'?t|not) | did(?:n'?t|\ not) | do(?:n'?t|\ not) | idk | dunno | no\ idea | no\ clue | no\ time
      | forgot | missing | not\ sure )
    (?: \ (?: find | get | know | work\ out | figure\ out | calculate | determine | compute | how | to | do | about | for | of
             | 4 ) )*
    (?: \ (?:the|its|a) )? \ (?: heading | direction | angle | bearing | course ) [\s.)!]* $
    """,
    re.VERBOSE | re.IGNORECASE,
)
_ONE_LENGTH = re.compile(r"[^\d°]*\d[\d.,]*(?! ?deg)[^\d°]*", re.IGNORECASE)


def without_regret(text: str) -> str:
    """A length alone, without the words that its direction was not found.

    >>> without_regret("9 knots but couldn't work out the heading"), without_regret("9 at 30° but I don't know the course")
    ('9 knots', "9 at 30° but I don't know the course")
    >>> without_regret("310 lb no time 4 angle"), without_regret("6.3 m/s I forgot to do the direction")
    ('310 lb', '6.3 m/s')
    """
    match = _REGRET.search(text)
    if match is None or _ONE_LENGTH.fullmatch(text[: match.start()]) is None:
        return text
    return text[: match.start()].rstrip(" ,;.")
