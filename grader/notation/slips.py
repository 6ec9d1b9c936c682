"""Slips of the pen, of the keyboard and of scanning: letters in place of digits, doubled points, lost degree signs.

Each repair is a small pattern with a note of what was tolerated. Where a slip leaves two possibilities, the first or the
second is taken as told, and a choice is reported.
"""

from __future__ import annotations

import re
from functools import cache

from grader.notation.encoding import with_lost_degree_signs
from grader.notation.misread import mended_words
from grader.notation.readings import DecimalMark
from grader.notation.recogniser import as_on_paper
from grader.notation.tables import load_table

_SUSPECT = re.compile(
    r"""
      \d (?: [OoQIZV|!]                                        # 62.O, 3I, 5V2
           | [lS] (?: [\d.,°lOS] | \b )                        # 2l.5, 3S3
           | ,[lI]\b | \ ?j$                                    # 61,l; 51j
           | \ ?+1b | \ \. | ·\d                               # 16.31b, 7 .59, 7·59
           | o [NSEWnsew\d]                                    # 353oN
           | \ ?+ (?: < | o\b | rn\b | L\ ?[-\d] )             # 62 < 353, 353 o
           | \ [eE]{1,2} \ ?-\d | \ [eE]\ ?\+?\d               # 6.2 E-2, 1.4 E 5
           | [\ ,]OOO
           | \. (?: $ | \s+ ∠?[ABCabc]\s*[=:] | \ ?[A-Za-z/]{1,6}$ ) )
    | [=≈] \ ?S\d
    | [OlI|!] [.,]? \d | [OlI] [O.] | [.,][QS]\d | O[\ ,]OOO   # l2.5, O.O62
    | \. (?: [.,] | [oOlISZQ]\b | \ [oO]\b | \ 1b | \ ?[Nn]\. ) | ,\.       # 61..57, D.N.E.
    | ^ (?: L | S\d | [0OQ]\s*= | [-+]?,\d | [-+]?\d+,\ \d | \d+-\d+/ )
    | \d\ ?\.\ ?10\ ?[\^⁰¹²³⁴-⁹⁻]                             # 1,4.10^5
    | \d\ ,\d | ,,\d | 0&-?\d | \d\.\ [DdKNMPLF][a-z]
    | [_\ufffd—] | \^\ ?\(?[0oO°@] | \^\s*\{?T | <\ ?[ABC]     # signs that came in place of others
    | [\ \n,;] [OQ]\s*= | \b o\d | \ fo\ | [yY]\ ?; | \(\ ?minus\ ?\)
    | TT | VV | L[A-C]\s*[=:] | krn | °\ 5\ of | [NSEWnsew]\.\d | \(-\)
    | (?:π|[Pp][Ii])\ ?/\ ?\d{1,2}\ \d                          # 2π/3 120°
    | °\ \d{0,2}(?:π|pi)\b                                     # 135° 3π/4
    | [+-]\ ?j\ ?\d | m\ ?∠ | [12][.)]\s*∠?[ABCabc]
    """,
    re.VERBOSE,
)
"""Anything here is reason enough to look for slips; most texts have none of it."""

_MISREAD = re.compile(
    r"""
    [01] (?: (?<=[A-Za-z][01]) (?: [A-Za-z] | (?<=[Nn]0) \ [A-Za-z] | \b (?<=[a-z]{3}[01]) )  # N0 so1ution
           | (?<=0) (?: [fF]\b | (?<=[,;\n\ ]0) \s*=\s*[-\d] ) )                          # S 0f W; R = 62.0, 0 = 353°
    """,
    re.VERBOSE,
)
"""The same for 0 and 1 among letters or alone, found the faster for being looked for by the digit."""


@cache
def _digit_for() -> dict[str, str]:
    digits: dict[str, str] = load_table("characters.toml")["slips"]
    return digits


_LETTER_FOR_DIGIT = re.compile(
    r"""
      (?<=\d) (?:
          [OoQlI|!Zz] (?= [.,]?\d )                               # between digits: 6Z.0, 2l.5
        | [OolI|] (?= [.,][OolI|S] (?![A-Za-z]) )                # 35l.O
        | [OoQlISZ] (?= [OoQlISZ]\d )                            #   two of them: 1OO5
        | S (?= [.,]?\d++ (?! [\d.,]*+ \s*+ °? \s*+ [EeWw]\b ) )       #   3S3, but not 45S30E
        | (?<=\d[.,]\d) [OQlI|ZS] (?= [\d\s] | $ | m\b )           # after the point: 61.5l
        | [OQ] (?! [A-Za-z0-9] )                                 # at the end: 35O
        | O (?= x | X | × | min | deg | lb | kg | km | m\b | N\b | n\b )       #   3Omin
        | S (?= \s*° ) )                                         #   4S°
    | (?<=\d[.,]) [OoQlI|ZS] (?! [A-Za-z] )                      # after the point: 62.O
    | (?<! [A-Za-wyzA-WYZ0-9.,_] ) [OlI|!] (?= [.,]?\d | [.,]O )  # in front: l35, O.62, xl0
    | (?<= [xX×*·\ ] ) l (?= O (?![A-Za-z]) )                     #   lO^-2
    | (?<= [\dO][ ,] ) OOO (?! [A-Za-z] )                        # a group of noughts: 14O OOO
    """,
    re.VERBOSE,
)
_PASSES = 4
"""A digit put right may make its neighbour plain; four passes settle every run that was seen."""


def _to_digits(match: re.Match[str]) -> str:
    digits = _digit_for()
    return "".join(digits[character] for character in match[0])


_UNITS_IN_FULL = r"Knots?|Newtons?|Met(?:er|re)s?|Pounds?|Lbs?|Feet|Miles?|Mph|Kilo\w{4,10}"

# Signs without one of which there is no need to look, what is looked for, what it becomes, and the note of it.
_REPAIRS: tuple[tuple[str, str, str, str], ...] = (
    ("=:", r"(?:^|\.?\s+)[12]\)\s*(?=∠?[ABCabc]\s*[=:])|(?:^|[.;\n]\s+)[12]\.\s+(?=∠?[ABCabc]\s*[=:])", "; ", ""),
    (".", r"(?:(?<=[.,]\d)|(?<=[.,]\d\d))\.(?:\s+(?=∠?[ABCabc]\s*[=:])|$)", "; ", ""),  # the end of a sentence
    ("∠<", r"\bm ?(?:∠|<)(?= ?[ABC]\b)", "∠", ""),
    ("^", r"(?<=[\])>])\s*\^\s*\{?T\b\}?", "", ""),
    ("L", r"(?<=\d) ?L ?(?=-?\d)", "∠", "read L as an angle sign"),
    ("oO", r"(?<=\d)\. ?[oO](?![A-Za-z0-9])", ".0", "read o as 0"),
    (".", r"(?<=\d)\.{2,3}(?=\d)", ".", "read a doubled point as one"),
    (".", r"(?<=\d)(\.\d{1,4})\.(?= ?(?!of\b)[A-Za-z][A-Za-z/]{0,5}$)", r"\1 ", "left out a point before the unit"),
    (",", r"(?<=\d),\.(?=\d)|(?<=\d)\.,(?=\d)", ".", "read a doubled point as one"),
    (" ", r"(?<=\d) \. ?(?=\d)", ".", "closed a gap at the decimal point"),
    ("Vv", r"(?<=\d)[Vv](?=\d)", "√", "read V as a root sign"),
    ("T", r"(?<=\d)TT(?![A-Za-z])", "π", "read TT as π"),
    (".", rf"(?<=\d)\. (?=[Dd]eg|(?:{_UNITS_IN_FULL})\W*$)", " ", ""),  # 112.4. Degrees: a phone ends a sentence
    ("&", r"(?<=[xX×*·]10)&(?=-?\d)|(?<=[xX×*·] 10)&(?=-?\d)", "^", "read & as ^"),
    ("V", r"\bVV\b", "W", "read VV as W"),
    ("r", r"(?<=\d) ?rn\b", " m", "read rn as m"),
    ("eE", r"(?<=\d) [eE]{1,2} ?(?=-\d{1,2}(?!\d))", "e", ""),
    ("r", r"\bkrn\b", "km", "read krn as km"),
    ("b", r"(?<=[\d.]) 1b(s?)\b", r" lb\1", "read 1b as lb"),
    ("°", r"(?<=° )5 (?=of\b)", "S ", "read 5 as S"),
    (".", r"(?<![\w.])[Dd]\. ?[Nn]\. ?[Ee](?!\w)\.?", "dne", ""),
    ("=", r"^\s*[0OQ]\s*=\s*(?=[-\d])", "θ = ", "read the first sign as θ"),
    ("=", r"(?:(?<=[,;\n])|(?<=\band)) ?[0OQ]\s*=\s*(?=[-\d])", " θ = ", "read the sign before = as θ"),
    ("=", r"(?<=[\da-zA-Z°)] )(?<!(?:cos|sin|tan) )[0OQ]\s*=\s*(?=[-\d.,]+ ?(?:°|deg))", " θ = ", "read the sign before = as θ"),
    ("L", r"(?:^|(?<=[\n,;])|(?<=[,;] ))L(?=[ABC]\s*[=:])", "∠", ""),
    ("L", r"^L(?=-?\d[^\n]*[)\]]$)", "(", "read L as a bracket"),
    (".", r"(?<=[NSEWnsew])(?<!\d[NSEWnsew])\.(?=\d)", " ", ""),
    ("(", r"\(\s*(?:-|minus)\s*\)\s*(?=\d)", "-", ""),
    ("f", r"(?<=[NSEWnsewht]) fo (?=[NSEWnsew](?:orth|outh|ast|est)?\b)", " of ", "read fo as of"),
    (";", r"\b([xX] ?[:=][^;\n]*[ ,][yY]) ?;(?= ?-?\d)", r"\1:", "read ; as :"),
    ("�", r"(?<=\d)�(?=\s|$|[NSEW])", "°", "read a sign lost in the export as a degree sign"),
    ("^", r"(?<![×xX*·]10)(?<![×xX*·] 10)(?<=\d)\^ ?\(?(?:[0oO]|°|@)\)?(?![\d.])", "°", "read a raised 0 as a degree sign"),
    ("@", r"(?<=\d) ?\^@", "°", ""),
    ("<", r"(?<=\d)\s*<\s*(?=-?\d)(?!.*>)", "∠", ""),
    ("<", r"<(?=\s?[ABC]\s?[=:])(?!.*>)", "∠", ""),
    ("o", r"(?<=\d)o(?=\s*[NSEWnsew]\b|\s*of\b|\d{1,2}['′])", "° ", "read o as a degree sign"),
    ("j", r"([+-]) ?j ?(\d[\d.,]*)(?!.*[ij])", r"\1 \2j", "read j before a number as after it"),
    ("πPp", r"((?:π|[Pp][Ii]) ?/ ?\d{1,2}) (?=\d)", r"\1, ", ""),  # 2π/3 120°: no divisor of thousands
    ("°", r"(?<=°) (?=\d{0,2}(?:π|pi)\b)", ", ", ""),
    ("—", r"(?<=[=(,;<:\[ij^])\s*—\s*(?=[\d.])|^—\s*(?=[\d.])", " -", "read a long dash as a minus sign"),
)  # fmt: skip


@cache
def _repairs() -> tuple[tuple[frozenset[str], re.Pattern[str], str, str], ...]:
    return tuple((frozenset(signs), re.compile(pattern), written, note) for signs, pattern, written, note in _REPAIRS)


def repaired(text: str, box: str, mark: DecimalMark, second: bool, notes: list[str]) -> tuple[str, bool]:
    """The text without its slips, and whether a slip left a choice.

    >>> notes = []
    >>> repaired("2l.5", "quantity", "point", False, notes), notes
    (('21.5', False), ['read 2l.5 as 21.5'])
    """
    text = as_on_paper(text, box, mark, notes)
    if "?" in text:
        text = with_lost_degree_signs(text, notes)
    misread = _MISREAD.search(text) is not None
    if not misread and _SUSPECT.search(text) is None:
        return text, False
    if misread and (mended := mended_words(text)) != text:
        notes += _changed_words(text, mended)
        text = mended
    text, choice = _two_ways(text, box, mark, second, notes)
    written_signs = frozenset(text)
    for signs, repair, written, note in _repairs():
        if signs.isdisjoint(written_signs):
            continue
        mended = repair.sub(written, text)
        if mended != text:
            text, written_signs = mended, frozenset(mended)
            if note and note not in notes:
                notes.append(note)
    if "j" in text or "J" in text:
        text = _CAPITAL_HAT.sub("i", text)
    if box in ("components", "polar"):
        text = _SOUTH_BEHIND.sub(r"\1 S", text)
    before = text
    for _ in range(_PASSES):
        mended = _LETTER_FOR_DIGIT.sub(_to_digits, text)
        if mended == text:
            break
        text = mended
    notes += _changed_words(before, text)
    return text, choice


def _changed_words(before: str, after: str) -> list[str]:
    return [f"read {was} as {now}" for was, now in zip(before.split(), after.split()) if was != now]


_ANGLE_IN_TWO = re.compile(r"/ ?_ ?(?=-?\d)")
_BARRED = re.compile(
    r"(?:^|(?<=[=≈:])) ?\| ?-?(?P<size>\d[\d.,]* ?(?:°|[A-Za-z]{1,4}(?:/[a-z]{1,2})?)?) ?\|(?=[^|\d]*$)"
)
"""``|-368.2| m``: the size of a number."""
_STROKE = re.compile(r"^\|(?=\d)(?!.*\|)|(?<=\d)\|(?=(?: ?[A-Za-z/]{1,5})?$)(?<!^\|)")
_SOUTH_BEHIND = re.compile(r"(?<=\d)([EWew],?;? ?[\d.]+)S(?= |$)")  # 173.3W 257.0S: a side, as the letter before
_S_BEFORE_DIGITS = re.compile(r"(?:(?<=[=≈] )|(?<=[=≈])|^)S(?=\d?[.,]\d)")  # θ = S5.6: no south in an angle's size
_S_AT_THE_END = re.compile(r"(?<=\d[.,]\d)S$")
_J_AT_THE_END = re.compile(r"^([-+]?\d[\d.,]*) ?j$")
_CAPITAL_HAT = re.compile(r"(?<=[\d ])I\b")
_DASHED_MIXED = re.compile(r"^(\d+)-(\d+)/(\d+)(?=\s|$|[a-zA-Z°])(?=( ?(?:[A-Za-z]|°)))?")
_SPACED_POWER = re.compile(
    r"(?<![\d.,])(\d[.,]\d+) ?[Ee] ?(\+\d{1,2}|\d{1,2}(?=\s*(?!of\b|at\b|deg)[A-Za-z]{2}|\s*[NJm]\b"
    r"|(?:(?<= [eE]\d)|(?<= [eE]\d\d))\s*$))(?!\s*(?:°|[EWew]\b))"
)
_DEGREE_O = re.compile(r"(?<=\d) ?o(?![A-Za-z0-9])")
_POUND_ONE = re.compile(r"(?<=\d)1b(s?)\b")
_LOW_DASH = re.compile(r"(?<![A-Za-z0-9)])_ ?(?=[\d.])")
_GAP_BEFORE_COMMA = re.compile(r"(?<=\d) ,(?=\d{3}(?!\d))")
_GAP_BEFORE_DECIMALS = re.compile(r"(?<=\d) ,(?=\d{1,2}(?![\d.,]))")
_POINT_TIMES_TEN = re.compile(r"(?<=\d) ?\. ?(?=10 ?(?:\^|[⁰¹²³⁴-⁹⁻]))")
_SECOND_POINT_TIMES_TEN = re.compile(r"(?<![\d.])(\d{1,4}\.\d{1,6}) ?\. ?(?=10 ?\^)")
_RAISED_POINT = re.compile(r"(?<![\d.,·])(\d+)·(\d+)(?![\d^.·])")  # 2·36·51 multiplies
_GAP_AFTER_COMMA = re.compile(r"^([-+]?\d{1,3}), (\d{3}(?:\.\d+)?)(?=\s*[^\d\s,.;]|$)")
_GAP_IN_DECIMALS = re.compile(r"^([-+]?\d+), (\d+)(?=\s*[^\d\s,.;]|$)")
_DOUBLED_COMMA = re.compile(r"(?<=\d),,(?=\d{3}(?!\d))")  # 140,,000
_LEADING_COMMA = re.compile(r"(?:^|(?<=[=≈] ))([-+]?),(?=\d++(?!\.\d))")
_DEGREE_ZERO = re.compile(r"(?<![\d.])([1-3]?\d{1,2})O(?![A-Za-z0-9])")
_LEADING_O = re.compile(
    r"^((?:(?:the|true|bearing|brg|heading|hdg|course|crs|is|of|on)[ :=]++)*+)o(?=\d\d(?:\.\d+)?(?!\d))"
)
_LEADING_S = re.compile(r"^S(?=\d)")
_BAR_BETWEEN = re.compile(r"(?<=\d)\|(?=-?\d)")


def _two_ways(text: str, box: str, mark: DecimalMark, second: bool, notes: list[str]) -> tuple[str, bool]:
    """Slips that depend on the box, or leave a choice."""
    choice = False
    text = _ANGLE_IN_TWO.sub("∠", text) if "/" in text else text
    if "|" in text and box in ("quantity", "angle"):
        if (barred := _BARRED.search(text)) is not None:
            text = f"{text[: barred.start()]} {barred['size']} {text[barred.end() :]}"
            notes.append("left out bars around a number")
        elif (stroke := _STROKE.search(text)) is not None:
            choice = True  # |68.5 m: a stray stroke, or a 1
            if not second:
                text = text[: stroke.start()] + text[stroke.end() :]
                notes.append("left out a stroke")
    if "|" in text and box in ("polar", "components"):
        text = _BAR_BETWEEN.sub(" | ", text)
    if _DEGREE_O.search(text) and ".o" not in text:
        if box in ("direction", "angle", "polar", "triangle"):
            text = _DEGREE_O.sub("°", text)
            notes.append("read o as a degree sign")
        else:
            choice = True
            text = _DEGREE_O.sub("°" if second else "0", text)
            notes.append("read o as " + ("a degree sign" if second else "0"))
    if _POUND_ONE.search(text):
        choice = True
        text = _POUND_ONE.sub(r"1 lb\1" if second else r" lb\1", text)
        notes.append("read b as lb" if second else "read 1b as lb")
    if _LOW_DASH.search(text):
        choice = True
        text = _LOW_DASH.sub("" if second else "-", text)
        notes.append("left out a low dash" if second else "read a low dash as a minus sign")
    if (match := _RAISED_POINT.search(text)) is not None:
        zero = match[2].startswith("0")
        choice = choice or not zero
        if zero or not second:
            text = _RAISED_POINT.sub(r"\1.\2", text)
            notes.append("read a raised point as a decimal point")
    if box == "quantity" and _J_AT_THE_END.search(text):
        choice = True
        text = _J_AT_THE_END.sub(r"\1 J", text) if second else text  # 51j: 51 along y, or 51 joules
    if box == "quantity" and _S_AT_THE_END.search(text):
        choice = True
        text = _S_AT_THE_END.sub(" S", text) if second else text  # 257.0S: 257.05, or 257.0 to the south
    if ",," in text and box in ("quantity", "angle", "direction") and _DOUBLED_COMMA.search(text):
        text = _DOUBLED_COMMA.sub(",", text)
        notes.append("read a doubled comma as one")
    if box in ("quantity", "angle"):
        text = _closed_gap(text, mark, notes)
        leading = _S_BEFORE_DIGITS if box == "angle" else _LEADING_S
        if leading.search(text):
            text = leading.sub("5", text)
            notes.append("read S as 5")
    if box in ("direction", "angle") and (zeroed := _DEGREE_ZERO.search(text)) is not None and "°" not in text:
        choice = True
        as_degrees = second or int(zeroed[1] + "0") > 360
        text = _DEGREE_ZERO.sub(r"\1°" if as_degrees else r"\g<1>0", text)
        notes.append("read O as a degree sign" if as_degrees else "read O as 0")
    if box == "direction" and _LEADING_O.search(text):
        text = _LEADING_O.sub(r"\g<1>0", text)
        notes.append("read o as 0")
    if box == "quantity" and mark != "comma" and _GAP_BEFORE_COMMA.search(text) is not None:
        text = _GAP_BEFORE_COMMA.sub(",", text)  # 1 ,450 J
        notes.append("closed a gap before the comma")
    if mark == "comma" and box in ("quantity", "angle") and _GAP_BEFORE_DECIMALS.search(text) is not None:
        choice = True  # 68 ,5 m: a decimal, or two numbers
        if not second:
            text = _GAP_BEFORE_DECIMALS.sub(",", text)
            notes.append("closed a gap before the comma")
    if mark == "comma" and _POINT_TIMES_TEN.search(text) is not None:
        text = _POINT_TIMES_TEN.sub("×", text)  # 1,4.10^5
        notes.append("read the point before 10 as a multiplication sign")
    if "10" in text and _SECOND_POINT_TIMES_TEN.search(text) is not None:
        text = _SECOND_POINT_TIMES_TEN.sub(r"\1×", text)  # 8.838 . 10^3
        notes.append("read the point before 10 as a multiplication sign")
    if box == "quantity" and _SPACED_POWER.search(text) is not None:
        choice = True  # 1.4 E 5: a power of ten, or east
        if not second:
            text = _SPACED_POWER.sub(r"\1e\2", text)
            notes.append("read E as times ten to the power")
    if (mixed := _DASHED_MIXED.search(text)) is not None:
        old = mixed[4] and box in ("quantity", "angle") and int(mixed[2]) < int(mixed[3])  # 22-1/2 ft
        choice = choice or not old
        if old or not second:
            text = _DASHED_MIXED.sub(r"\1 \2/\3", text)
            notes.append("read the dash as joining a whole number and a fraction")
    if _LEADING_COMMA.search(text):
        text = _LEADING_COMMA.sub(r"\g<1>0,", text)
        notes.append("put a zero before the decimal mark")
    return text, choice


def _closed_gap(text: str, mark: DecimalMark, notes: list[str]) -> str:
    pattern = _GAP_IN_DECIMALS if mark == "comma" else _GAP_AFTER_COMMA
    closed = pattern.sub(r"\1,\2", text)
    if closed != text:
        notes.append("closed a gap after the comma")
    return closed
