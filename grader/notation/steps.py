"""Lines and clauses of working that state nothing of the answer: checks behind it, formulas, ratios, what is given.

Each is left out of the text before it is scanned, with a note, and only where what is left still holds an answer. What a
line of working states as a part of the answer stays.
"""

from __future__ import annotations

import re
from functools import cache

from grader.notation.manner import is_of_method
from grader.notation.readings import BoxKind, DecimalMark
from grader.notation.restated import is_stated_again
from grader.notation.tables import load_table

STEPS_NOTE = "left out of the working: {}"

# ------------------------------------------------------------------------------- a check behind the answer


@cache
def _check() -> re.Pattern[str]:
    heads = "|".join(load_table("words.toml")["working"]["checks"])
    return re.compile(rf"\s*(?:[\n;,.(]|(?<=[°\d]) )\s*(?:{heads})\b\s*[:,-]?(?P<said>[^\n]*)$", re.IGNORECASE)


_CALCULATES = re.compile(r"\d ?[-+*/×·^] ?[(\d.]|[A-Ca-c] ?[-+] ?[A-Ca-c]\b|√|\b(?:sin|cos|tan)")
_COMPARES = re.compile(r"[=≈<>]")
_GOES_ON = re.compile(
    r"\b(?:so|no|not|wrong|hence|therefore|or|but|off|should|doesn't|doesnt|isn't|oops)\b|⇒|[∴✗×]\s*$", re.IGNORECASE
)
_WHOLES = frozenset(("180", "360", "90", "0", "1"))
"""What the angles of a triangle, the bearings of a circle, a dot product and sin² + cos² come to."""

_NUMERAL = re.compile(r"\d+(?:[.,]\d+)?")


NEW_IN_CHECK = "a check at the end that brings a new number"


def without_check(text: str, box: BoxKind, notes: list[str]) -> tuple[str, str]:
    """The text without a check at its end that comes out, which has a calculation and ends in a number that is known;
    or a reason why nothing may be read: a new number in a check states another part, or shows that the answer is wrong.

    >>> notes = []
    >>> without_check("C = 90°\\ncheck: 36.9 + 53.1 + 90 = 180", "triangle", notes), notes
    (('C = 90°', ''), ['left out of the working: check: 36.9 + 53.1 + 90 = 180'])
    >>> without_check("13 N\\ncheck: 5² + 12² = 170", "quantity", [])[1]
    'a check at the end that brings a new number'
    """
    match = _check().search(text)
    if match is None:
        return text, ""
    before, said = text[: match.start()], match["said"]
    if not any(map(str.isdigit, before)) or not any(map(str.isalnum, said)):
        return text, ""
    sides = _COMPARES.split(said)
    known = _WHOLES.union(_NUMERAL.findall(before))
    ratio = _RATIO_OF.match(sides[0]) if box != "components" and "," not in said else None
    names_a_part = box in ("polar", "components", "triangle") and re.fullmatch(rf" *{_NAME} *", sides[0]) is not None
    holds = not names_a_part and _CALCULATES.search(said) is not None and len(sides) > 1 and _is_known(sides[-1], known)
    if _GOES_ON.search(said) or not (holds or (ratio is not None and ratio[1] in known)):
        return text, NEW_IN_CHECK if any(map(str.isdigit, said)) else ""
    notes.append(STEPS_NOTE.format(match[0].strip(" \n,;.(")))
    return before.rstrip(" ,;("), ""


_RATIO_OF = re.compile(r" *(?:sin|cos|tan) ?\(? ?(\d+(?:[.,]\d+)?) ?°? ?\)? *$")
"""``tan 233.1° ≈ 1.33``: a ratio of the answer's own angle."""


def _is_known(side: str, known: frozenset[str]) -> bool:
    """Whether one side of a check holds a number that stands in the answer, or a whole that it must come to."""
    return not known.isdisjoint(_NUMERAL.findall(side))


# ------------------------------------------------------------------------------- before the answer


_STEM = re.compile(r"sin|cos|tan|[=:⟂∥±]|right angle|Q(?:uad)? ?[1-4I]|\blet\b", re.IGNORECASE)

_NAME = r"[A-Za-zα-ω](?:_?(?:net|tot|[A-Za-z\d]{1,2}))?"
_RATIO = re.compile(
    r"(?:^|(?<=[\n;⇒:])|(?<=\b[sS]o)) *(?:sin|cos|tan) ?\(? ?(?P<of>[A-Za-zα-ω]) ?\)? *(?:/ *[\d.,]+ *)?="
    rf"(?:(?! *(?:\n|⇒|;|\bso\b|, ?{_NAME} ?[=⇒])).)++ *(?:\n|⇒|;|\bso\b|,)(?: *so\b)? *",
)
"""``sin B = 12 sin 30°/8 = 0.75`` with the joint behind it: a step to an angle, never one."""

_QUADRANT = re.compile(
    r"(?:^|(?<=[\n;⇒])) *(?:(?:the )?(?:θ|α|φ|angle|it|vector|theta) )?(?:is |lies )?(?:in )?(?:the )?"
    r"(?:Q(?:uad(?:rant)?)?\.? ?(?:IV|I{1,3})|quad(?:rant)? [1-4]|(?<=in )Q ?[1-4])"
    r"(?: *,? *so\b| *[⇒:,])+ *(?=(?P<value>[-\d])|[^\n]*\d)",
    re.IGNORECASE,
)
_TWO_LINES = re.compile(r"(?:^|(?<=⇒)) *[a-z] ?(?:⟂|perp|∥|\|\|) ?[a-z] *⇒", re.IGNORECASE)
_RIGHT_ANGLE = re.compile(
    r"(?:it is |it's )?(?:a )?\bright angles?\b *[,:(=]? *(?=90\b)"
    r"|(?<=\b90)(?P<sign> ?(?:°|degrees|deg)|) *[,(] *(?:it is |it's |is |so )?(?:a )?right angles?\b\)?",
    re.IGNORECASE,
)
_SIDES = re.compile(r"[NSEWnsew\s./-]*")
_FORMULA = re.compile(
    rf"(?:(?:arc)?(?:sin|cos|tan)(?:\^-?[12])?|(?:{_NAME})|\|{_NAME}\||\^ ?-?[12]|\b2(?=[A-Za-z ])|[-+*/·×=()√ ])++\.?"
)
_OPERATES = re.compile(r"sin|cos|tan|√|\^|(?<=[A-Za-z)α-ω ])[-+*/·×]")
_WORDS = re.compile(r"(?!\b\w(?:net|tot)\b)[A-Za-z]{4,}")


@cache
def _lead() -> tuple[re.Pattern[str], re.Pattern[str]]:
    """How a line begins that tells what is given, and one that tells what is asked."""
    table = load_table("words.toml")["working"]
    given, asked = ("|".join(table[name]) for name in ("given", "asked"))
    return (
        re.compile(rf"\s*(?:(?:{given})\s*:|let\s+{_NAME}\s+(?:be\b|denote\b|=[^\d]*$))", re.IGNORECASE),
        re.compile(rf"\s*(?:{asked})\s*:[^\d]*$", re.IGNORECASE),
    )


def without_steps(text: str, box: BoxKind, mark: DecimalMark, notes: list[str]) -> str:
    """The text without the formulas, ratios and remarks that lead to its answer.

    >>> without_steps("F = W sin θ\\nF = 60.5 lb", "quantity", "point", [])
    'F = 60.5 lb'
    >>> without_steps("tan θ = 8/6 ⇒ θ = 53.1°", "direction", "point", [])
    'θ = 53.1°'
    """
    if _STEM.search(text) is None:
        return text
    if "\n" in text:
        text = _without_lines(text, box, mark, notes)
    if text.count("=") > 1:
        text = "".join([_without_letters(_each_named(piece, box)) for piece in _CHAINS.split(text)])
    if box == "triangle" and "180" in text and (match := _SUM_FIRST.match(text)) is not None:
        text = text[match.end() :]
    if "⇒" in text and ("⟂" in text or "perp" in text or "∥" in text or "||" in text):
        text = _TWO_LINES.sub("", text)
    if box in ("direction", "polar") and ("Q" in text or "q" in text):
        text = _QUADRANT.sub(lambda match: "⇒ θ = " if match["value"] else "", text)
    if box == "angle" and "ight angle" in text:
        text = _RIGHT_ANGLE.sub(r"\g<sign>", text)
    return _without_ratios(text, box, notes)


def _without_ratios(text: str, box: BoxKind, notes: list[str]) -> str:
    """Without sines that are given a value before an answer that has another name.

    Where several parts are asked, only those of an angle that is named again: it may stand for a part that is not.
    """
    if "sin" not in text and "cos" not in text and "tan" not in text:
        return text
    left: list[str] = []

    def leave_out(match: re.Match[str]) -> str:
        again = rf"(?<![A-Za-z]){match['of']}_?[12]? ?(?:[=:⇒]|is\b)"
        if box in ("polar", "components", "triangle") and re.search(again, text[match.end() :]) is None:
            return match[0]
        left.append(STEPS_NOTE.format(match[0].strip(" \n,;⇒")))
        return ""

    kept = _RATIO.sub(leave_out, text)
    if not left or not any(map(str.isdigit, kept)) or kept.lstrip().startswith(("sin", "cos", "tan")):
        return text
    notes += left
    return kept.strip()


_PRODUCT = re.compile(r"[A-Za-z]{2,3}")
_ANGLES = r"\(?∠?[A-Cα-γ](?: ?[-+] ?∠?[A-Cα-γ]){0,2}\)?"
_REST_OF_180 = re.compile(rf" *(?:180|360|90) ?°?(?: ?- ?{_ANGLES})+ *")
"""``C = 180° - A - B = 70°``: how the last angle follows from the others."""


MOST_LINES = 24
"""Each line is held against those below it; a page of working has a dozen."""


def _without_lines(text: str, box: BoxKind, mark: DecimalMark, notes: list[str]) -> str:
    lines = text.split("\n")
    if len(lines) > MOST_LINES:
        return text
    valued = [index for index, line in enumerate(lines) if any(map(str.isdigit, line))]
    last = valued[-1] if valued else 0
    kept: list[str] = []
    for index, line in enumerate(lines):
        if index < last and _is_step(line, lines[index + 1 :], box, mark):
            notes.append(STEPS_NOTE.format(line.strip()))
        else:
            kept.append(line)
    if box in ("polar", "components"):
        kept = _without_numbers(kept)
    return "\n".join(kept)


def _is_step(line: str, later: list[str], box: BoxKind, mark: DecimalMark) -> bool:
    given, asked = _lead()
    if is_of_method(line) or is_stated_again(line, later, box, mark):
        return True
    return bool(given.match(line) or asked.match(line)) or _is_formula(line, later) or _is_either_root(line, later)


_SUM_OF_ANGLES = re.compile(
    rf"∠?[A-Cα-γ](?: ?\+ ?∠?[A-Cα-γ]){{1,2}} ?= ?(?:180|90) ?°?|∠?[A-Cα-γ] ?={_REST_OF_180.pattern}"
)
"""``A + B + C = 180°``, ``C = 180° - A - B``."""


def _is_formula(line: str, later: list[str]) -> bool:
    """``F = W sin θ``, ``c² = a² + b² - 2ab cos C``: letters alone. Not ``dir = S-E``, nor a line of words."""
    line = line.strip()
    if _SUM_OF_ANGLES.fullmatch(line):
        return True
    *left, right = line.split("=")
    if not left or not _FORMULA.fullmatch(line) or _SIDES.fullmatch(right):
        return False
    if not _OPERATES.search(right) and not (
        _PRODUCT.fullmatch(right.strip()) and any(re.match(rf"\s*{re.escape(left[0])}=", other) for other in later)
    ):
        return False  # F = ma stands for a product where F = 12 N follows
    return _WORDS.search(line.replace("arc", "")) is None


_SUM_FIRST = re.compile(rf"\s*{_SUM_OF_ANGLES.pattern}\s*(?:[,;⇒]|\bso\b)+\s*")
_OF_FORCES = re.compile(r"\s*(?:Σ|sum of )[A-Z]_?[xy]\s*")
"""``Rx = ΣFx = -12.6``: of what the component is the sum."""

_CHAINS = re.compile(rf"(\n|(?:[,;]| and\b) *(?={_NAME} *=)) *")
_JOINT = re.compile(r",(?!\d)|[;⇒]")
_OF_ONE_SORT = {"components": (frozenset("xy"),), "triangle": (frozenset("abc"), frozenset("ABC"))}


def _each_named(line: str, box: BoxKind) -> str:
    """``a = b = 5`` as ``a = 5, b = 5``: parts of one sort that are equal are each stated."""
    *names, value = (side.strip() for side in line.split("="))
    sorts = _OF_ONE_SORT.get(box, ())
    bare = [name[1:] if box == "components" and len(name) == 2 else name for name in names]  # Rx = Ry = 5
    if len(names) < 2 or not any(sort.issuperset(bare) for sort in sorts) or not any(map(str.isdigit, value)):
        return line
    return ", ".join(f"{name} = {value}" for name in names) if "," not in value and ";" not in value else line


def _without_letters(line: str) -> str:
    """``F = W sin θ = 60.5 lb`` as ``F = 60.5 lb``: between two equals signs, letters alone are a step."""
    if line.count("=") < 2 or _JOINT.search(line) is not None:
        return line
    first, *between, last = line.split("=")
    kept = [
        side
        for side in between
        if not _REST_OF_180.fullmatch(side)
        and not _OF_FORCES.fullmatch(side)
        and (
            any(map(str.isdigit, _EXPONENT.sub("", side)))
            or _SIDES.fullmatch(side)
            or not _FORMULA.fullmatch(side.strip())
            or not (_OPERATES.search(side) or _PRODUCT.fullmatch(side.strip()))
            or _WORDS.search(side)
        )
    ]
    return "=".join((first, *kept, last)) if any(map(str.isdigit, last)) else line


_EXPONENT = re.compile(r"\^ ?-?[12]|\b2(?=[A-Za-z ])")
_EITHER_ROOT = re.compile(r"\s*([A-Za-z|]{1,3}) ?= ?± ?(\d+(?:[.,]\d+)?)\b")


def _is_either_root(line: str, later: list[str]) -> bool:
    """``R = ±13`` where a later line says which: ``R = 13 N``."""
    match = _EITHER_ROOT.match(line) if "±" in line else None
    if match is None:
        return False
    says = re.compile(rf"\s*(?:(?:so|⇒|then)\s*)?{re.escape(match[1])} ?= ?-?{re.escape(match[2])}(?![\d.,])")
    return any(says.match(other) for other in later)


_NUMBERED = re.compile(r"\s*([1-9])[.)] +(?=[A-Za-zθ|][^\d\n]{0,24}[:=])")


def _without_numbers(lines: list[str]) -> list[str]:
    """``1) magnitude: ...`` and ``2) direction: ...``: the lines of one answer, numbered in order and each with a name."""
    if len(lines) < 2:
        return lines
    found = [_NUMBERED.match(line) for line in lines]
    numbers = [match[1] if match else "" for match in found]
    if numbers[0] == "":
        numbers[0] = "1"  # which the first line has lost
    if numbers != [str(number) for number in range(1, len(lines) + 1)]:
        return lines
    return [line[match.end() :] if match else line for line, match in zip(lines, found, strict=True)]
