"""What a text recogniser makes of handwriting: ``5 24 ° W`` for S 24° W, ``14.2 crn``, ``W = 4 5 0 ft . Ibs``.

The rules are in data/recogniser.toml, each with the reason why nothing else can have been meant.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from grader.notation.readings import DecimalMark
from grader.notation.tables import load_table


@dataclass(frozen=True, slots=True)
class _Repair:
    cues: tuple[str, ...]
    marks: tuple[str, ...]
    pattern: re.Pattern[str]
    becomes: str | Callable[[re.Match[str]], str]
    note: str


def _digits(match: re.Match[str]) -> str:
    digits: dict[str, str] = load_table("characters.toml")["slips"]
    return "".join(digits[letter] for letter in match[0])


def _joined(match: re.Match[str]) -> str:
    return match[0].replace(" ", "")


@cache
def _repairs(box: str) -> tuple[_Repair, ...]:
    """The rules that hold in a box of this kind, in the order of the table."""
    return tuple(
        _Repair(
            tuple(row["cues"]),
            tuple(row.get("marks", ())),
            re.compile(row["pattern"]),
            _digits if row.get("digits") else _joined if row.get("joined") else row["becomes"],
            row["says"],
        )
        for row in load_table("recogniser.toml")["repair"]
        if box in row.get("boxes", (box,))
    )


@cache
def _any_cue(box: str) -> re.Pattern[str]:
    """Every cue of every rule that holds in a box: most texts have none, and no rule is then looked at."""
    return re.compile("|".join(sorted({re.escape(cue) for repair in _repairs(box) for cue in repair.cues})))


def as_on_paper(text: str, box: str, mark: DecimalMark, notes: list[str]) -> str:
    """The text as it stood on paper, where what a recogniser made of it can be nothing else.

    >>> as_on_paper("5 24 ° W", "direction", "point", []), as_on_paper("14.2 crn", "quantity", "point", [])
    ('S 24 ° W', '14.2 cm')
    """
    if _any_cue(box).search(text) is None:
        return text
    for repair in _repairs(box):
        for cue in repair.cues:
            if cue in text:
                break
        else:
            continue
        if repair.marks and mark not in repair.marks:
            continue
        mended = repair.pattern.sub(repair.becomes, text)
        if mended != text:
            text = mended
            if repair.note not in notes:
                notes.append(repair.note)
    return text
