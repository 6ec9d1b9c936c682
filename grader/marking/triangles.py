"""Where two triangles fit the data: which of a student's numbers is meant for which triangle, and what a lone one shows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from grader.marking.collect import Entry
from grader.marking.options import Option
from grader.marking.prepared import Prepared
from grader.marking.rounding import Outcome
from grader.methods.solution import PartKey
from grader.methods.steps import apart
from grader.notation.cleaning import plain
from grader.notation.readings import Conventions
from grader.notation.scanner import scan

BEST_FIRST: tuple[Outcome, ...] = ("right", "rounded too far", "wrong")


@dataclass(frozen=True)
class Paired:
    """An answer with the numbers of every part in the order of the key's triangles.

    ``crossed`` are the parts whose numbers both fit, but each the triangle to which the rest of the other one belongs;
    ``listed`` tells that these came from lists (``c = 21.4 or 7.7, B = 119° or 61°``), where the order may mean nothing.
    """

    entries: Mapping[str, Entry]
    crossed: frozenset[str] = frozenset()
    listed: bool = False


def paired(prepared: Prepared, entries: Mapping[str, Entry], conventions: Conventions) -> Paired:
    """Put the numbers of an answer in the order of the key's triangles.

    Which triangle comes first is the student's choice. Triangles that were given as wholes keep together: all their parts
    are judged by one of the key's. Numbers that stand in boxes of their own are put in order box by box.
    """
    two = {part: entry for part, entry in entries.items() if any(is_pair(prepared, part, o) for o in entry.options)}
    if not two:
        return Paired(entries)
    joined = {
        part: option
        for part, entry in two.items()
        for option in reversed(entry.options)
        if option.joined and is_pair(prepared, part, option)
    }
    turned = _turned(prepared, joined) if joined else False
    found, crossed = dict(entries), set()
    for part, entry in two.items():
        options = []
        for option in entry.options:
            if is_pair(prepared, part, option):
                own = _turned(prepared, {part: option})
                order = turned if option.joined else own
                as_it_is, other = (_outcomes(prepared, part, option, way) for way in (order, own))
                if "wrong" in as_it_is and "wrong" not in other:
                    crossed.add(part)
                option = _in_order(option, order)
            options.append(option)
        found[part] = replace(entry, options=tuple(options))
    listed = bool(crossed) and not all(_as_wholes(two[part].text, conventions) for part in crossed)
    return Paired(found, frozenset(crossed), listed)


def which_triangle(prepared: Prepared, entries: Mapping[str, Entry]) -> int:
    """Which of two triangles single numbers are about (0 the first, 1 the second): the one that more parts agree with."""
    agreeing = [0, 0]
    for key in prepared.solved.solution.parts:
        for option in entries[key.part].options[:1]:
            if key.others and not option.none and not option.more:
                for index in (0, 1):
                    agreeing[index] += prepared.outcome(key, option.written, index) != "wrong"
    return int(agreeing[1] > agreeing[0])


def outcomes_of(prepared: Prepared, key: PartKey, option: Option) -> tuple[Outcome, ...]:
    """How each of two numbers, in the order of the key's triangles, stands to its own."""
    return tuple(prepared.outcome(key, one, index) for index, one in enumerate((option.written, *option.more)))


def fits_one(prepared: Prepared, options: Mapping[str, Option], alone: frozenset[str], triangle: int) -> bool:
    """Whether single numbers, ``alone`` where two were asked and within the room of a triangle, show that triangle.

    The room can be wide, and a random number falls into it: it shows something when it is right to the digit, or when
    of what stands beside it at least as much agrees.
    """
    keys = {key.part: key for key in prepared.solved.solution.parts}
    agree = [part for part, option in options.items() if _fits(prepared, keys[part], option, triangle)]
    exact = any(
        apart(part, options[part].written.value, prepared.target(keys[part], triangle))
        <= options[part].written.place / 2 * (1 + 1e-6) + 1e-9
        for part in alone
    )
    return exact or 2 * len(agree) > len(options)


def best_in_order(prepared: Prepared, key: PartKey, option: Option) -> Option:
    """An option of two numbers in the order of the key's triangles, by itself."""
    return _in_order(option, _turned(prepared, {key.part: option})) if is_pair(prepared, key.part, option) else option


def of_triangle(options: Mapping[str, Option], index: int, triangle: int) -> dict[str, Option]:
    """What an answer says about one triangle: its own of two numbers, and single numbers where they are about it."""
    found = {}
    for part, option in options.items():
        if option.more:
            found[part] = _in_order(option, bool(index), more=False)
        elif index == triangle:
            found[part] = option
    return found


def _fits(prepared: Prepared, key: PartKey, option: Option, triangle: int) -> bool:
    return option.unit != "wrong" and not option.none and prepared.outcome(key, option.written, triangle) != "wrong"


def is_pair(prepared: Prepared, part: str, option: Option) -> bool:
    return bool(option.more) and len(option.more) == len(prepared.solved.solution.part(part).others)


def _outcomes(prepared: Prepared, part: str, option: Option, turned: bool) -> tuple[Outcome, ...]:
    return outcomes_of(prepared, prepared.solved.solution.part(part), _in_order(option, turned))


def _turned(prepared: Prepared, options: Mapping[str, Option]) -> bool:
    """Whether the numbers of these parts fit the key better in the other order; where they fit alike, whether they lie
    nearer."""
    costs = []
    for turned in (False, True):
        unfit, away = 0, 0.0
        for part, option in options.items():
            key = prepared.solved.solution.part(part)
            both = _in_order(option, turned)
            unfit += sum(map(BEST_FIRST.index, outcomes_of(prepared, key, both)))
            between = apart(part, key.value, key.others[0]) or 1.0
            for index, one in enumerate((both.written, *both.more)):
                away += min(apart(part, one.value, prepared.target(key, index)) / between, 1.0)
        costs.append((unfit, away))
    return costs[1] < costs[0]


def _in_order(option: Option, turned: bool, more: bool = True) -> Option:
    """An option of two numbers with the second in front, or as it is; with the first of them alone unless ``more``."""
    first, second = option.written, *option.more
    if turned:
        first, second = second, first
        # Both are written in one unit: the number on paper stands to the value as that of the first does.
        factor = option.number / option.written.value if option.written.value else 1.0
        option = replace(option, number=first.value * factor)
    return replace(option, written=first, more=(second,) if more else ())


def _as_wholes(text: str, conventions: Conventions) -> bool:
    """Whether a text gives one triangle after the other, or numbers its triangles, and does not list the values of a part."""
    names = [t for t in scan(plain(text), "triangle", conventions.decimal_mark).tokens if t.kind == "P"]
    letters = [name.value for name in names]
    half = len(letters) // 2
    one_by_one = len(set(letters[:half])) == half and sorted(letters[:half]) == sorted(letters[half:])
    return one_by_one or all(name.digits for name in names)
