"""One answer to one problem: its parts judged, credited and explained. A pure function of values."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from grader.marking.collect import CROSSED, Boxes, collect
from grader.marking.diagnosis import Cause
from grader.marking.evidence import Weights
from grader.marking.explain import alone, explain, wrong_by_the_same
from grader.marking.feedback import feedback, parting_line
from grader.marking.follow import led_to
from grader.marking.options import Option
from grader.marking.prepared import Prepared
from grader.marking.rounding import Outcome
from grader.marking.slips import as_degrees
from grader.marking.triangles import (
    BEST_FIRST,
    Paired,
    best_in_order,
    fits_one,
    is_pair,
    outcomes_of,
    paired,
    which_triangle,
)
from grader.methods.solution import PartKey
from grader.notation.readings import POINT, Conventions

VERDICTS = (
    "right",
    "right, other form",
    "rounded too far",
    "rounded early",
    "follows on",
    "wrong",
    "blank",
    "needs a look",
)
"""What a suggestion can say."""

DECIDED = "decided"
"""The verdict of a part that needed a look, once the teacher has decided it."""

BY_DEFAULT = "decided by the teacher"
"""What the column ``decided`` says of a decision without a note."""

LOOKED_AT = "Your teacher has looked at this answer."
"""What the student reads of such a decision where it goes against the suggestion."""


@dataclass(frozen=True, slots=True)
class PartMark:
    """The mark of one part. ``points`` is nan where the teacher has to look first; ``note`` is for the teacher's eyes.

    ``value`` is the number judged, in the unit asked (degrees in standard position for a direction), nan where there is none.
    ``method`` is the method that a recognised mistake or early rounding gives away, ``line`` the line of the right working where
    the student's parts from it (for the teacher: it can hold results that lead to the answer).
    """

    part: str
    written: str
    read_as: str
    expected: str
    verdict: str
    points: float
    points_possible: float
    mistake: str = ""
    mistake_chance: float = math.nan
    other_mistakes: str = ""
    feedback: str = ""
    note: str = ""
    value: float = math.nan
    method: str = ""
    line: str = ""


@dataclass(frozen=True)
class _Verdict:
    """A verdict on one option of one part, with what the feedback needs to say about it."""

    word: str
    phrase: str
    unit_missing: bool = False
    second_missed: bool = False
    note: str = ""


def mark_answer(
    prepared: Prepared, boxes: Boxes, conventions: Conventions = POINT, weights: Weights | None = None
) -> tuple[PartMark, ...]:
    """The marks of one answer, a mark for each part of the key.

    ``weights`` are what the class and the student's other answers say about which mistakes are likely here.
    """
    pair = paired(prepared, collect(prepared.solved, boxes, conventions), conventions)
    entries = pair.entries
    keys = {key.part: key for key in prepared.solved.solution.parts}
    triangle = which_triangle(prepared, entries)
    verdicts: dict[str, _Verdict] = {}
    notes: dict[str, str] = {}
    chosen: dict[str, Option] = {}
    for part, key in keys.items():
        verdicts[part], notes[part], option = _first_look(prepared, key, pair, triangle)
        if option is not None:
            chosen[part] = option
    told = {part: option for part, option in chosen.items() if part not in pair.crossed}
    wrong = frozenset(part for part in told if verdicts[part].word == "wrong")
    missed = frozenset(part for part in wrong if verdicts[part].second_missed)
    lone = alone(prepared, told)
    for part in _led_to(prepared, told, wrong - missed):
        if part in lone:
            missed |= {part}
        else:
            verdicts[part] = _as_right(told[part])
            wrong -= {part}
    shown = missed if missed and fits_one(prepared, told, missed, triangle) else frozenset()
    coarse = frozenset(part for part, option in told.items() if _by_trailing_zeros(option, keys[part], verdicts[part]))
    for part in wrong_by_the_same(prepared, told, wrong, coarse, shown, triangle, weights):
        verdicts[part] = _Verdict("wrong", "wrong")
        wrong |= {part}
    explained = explain(prepared, told, wrong, shown, triangle, weights)
    marks = []
    for part, key in keys.items():
        verdict, cause = verdicts[part], explained.causes.get(part)
        early, earlier = explained.early.get(part), explained.follows.get(part, "")
        if early is not None:
            verdict = _Verdict("rounded early", "rounded-early")
        elif earlier:
            verdict = _Verdict("wrong", "follows-one") if part in lone else _Verdict("follows on", "follows-on")
        option = chosen.get(part)
        if verdict.phrase == "other-box" and "parts-interchanged" not in prepared.switched_off:
            cause = Cause("parts-interchanged", 1.0)
        share = _credit(prepared, verdict)
        marks.append(
            PartMark(
                part=part,
                written=entries[part].text,
                read_as=option.read_as
                if option
                else " or ".join(dict.fromkeys(o.read_as for o in entries[part].options)),
                expected=key.shown,
                verdict=verdict.word,
                points=math.nan if share is None else round(share * key.points, 6),
                points_possible=round(key.points, 6),
                mistake=cause.mistake if cause else "",
                mistake_chance=cause.chance if cause else math.nan,
                other_mistakes="; ".join(cause.others) if cause else "",
                feedback=feedback(prepared, key, verdict.word, verdict.phrase, cause, early, earlier, option),
                note=notes.get(part, ""),
                value=_in_question(prepared, key, option) if option else math.nan,
                method=early.method if early else cause.method if cause else "",
                line=parting_line(prepared, cause) if cause else "",
            )
        )
    return tuple(marks)


def _first_look(prepared: Prepared, key: PartKey, pair: Paired, triangle: int) -> tuple[_Verdict, str, Option | None]:
    """A part judged by itself: the verdict, a note for the teacher, and the option to go on with where there is one."""
    entry = pair.entries[key.part]
    look = _Verdict("needs a look", "needs-a-look")
    judged = [_judge(prepared, key, option, triangle) for option in entry.options]
    if entry.blank:
        return _Verdict("blank", "given-up" if entry.text else "blank"), "", None
    if entry.reason:
        return look, f"cannot be read: {entry.reason}", None
    if key.part in pair.crossed:
        if not pair.listed:
            return _Verdict("wrong", "other-triangle"), "both right, each in the other triangle", entry.options[0]
        said = f"the values of {key.part} are right, but in this order each stands in the other triangle"
        return look, f"{said}: {entry.options[0].read_as}", None
    if len({verdict.word for verdict in judged}) > 1:
        readings = " or ".join(f"{o.read_as} ({v.word})" for o, v in zip(entry.options, judged))
        return look, f"can be read as {readings}", None
    option = entry.options[0]
    if judged[0].word == "needs a look":
        return judged[0], judged[0].note or f"gives two answers: {option.read_as}", None
    if judged[0].word == "wrong" and _right_as_true_bearing(prepared, key, option):
        return look, f"wrong as an angle from the x-axis, right as a true bearing: {option.read_as}", None
    if not is_pair(prepared, key.part, option):
        option = replace(option, more=())
    return judged[0], "; ".join(dict.fromkeys(note for one in entry.options for note in one.notes)), option


def _by_trailing_zeros(option: Option, key: PartKey, verdict: _Verdict) -> bool:
    """Whether a number is no worse than coarse only because its zeros need not count: 100 for 108.4."""
    return verdict.word == "rounded too far" and option.written.place <= key.place * (1 + 1e-9)


def _right_as_true_bearing(prepared: Prepared, key: PartKey, option: Option) -> bool:
    """Whether a bare angle, where a bearing with letters was asked, is right when counted from north."""
    direction = option.direction
    if direction is None or direction.form != "plain angle" or prepared.problem.direction_as not in _LETTERED:
        return False
    turned = replace(option.written, value=(90.0 - direction.written) % 360)
    return prepared.outcome(key, turned) == "right"


_LETTERED = ("quadrant bearing", "from an axis")


def _judge(prepared: Prepared, key: PartKey, option: Option, triangle: int) -> _Verdict:
    found = _as_written(prepared, key, option, triangle)
    meant = as_degrees(option)
    if meant is None or found.word in ("right", "right, other form", "needs a look"):
        return found
    # So coarse and so far around, a number in radians is near nothing; but it may be right in degrees.
    if meant.more:
        meant = best_in_order(prepared, key, meant)
    if _as_written(prepared, key, meant, triangle).word == "wrong":
        return _Verdict("wrong", "wrong")
    number = f"{math.radians(option.number):.10g}"
    note = f"{number} rad is more than a turn, and {number}° would be right or nearly so"
    return _Verdict("needs a look", "needs-a-look", note=note)


def _as_written(prepared: Prepared, key: PartKey, option: Option, triangle: int) -> _Verdict:
    if prepared.solved.solution.none or option.none:
        agree = bool(prepared.solved.solution.none) and option.none
        return _Verdict("right", "right") if agree else _Verdict("wrong", "no-such-answer")
    if option.unit == "wrong":
        return _Verdict("wrong", "wrong-unit")
    found: Outcome
    if option.more:
        if len(option.more) != len(key.others):
            # Two answers where one is asked are a hedge: the teacher decides.
            return _Verdict("needs a look", "needs-a-look")
        outcomes = outcomes_of(prepared, key, option)
        found = max(outcomes, key=BEST_FIRST.index)
        if found == "wrong" and "wrong" in outcomes and len(set(outcomes)) > 1:
            if prepared.settings.second_triangle != "required":
                return _Verdict("needs a look", "needs-a-look")
            return _Verdict("wrong", "one-of-two" if "right" in outcomes else "wrong")
    else:
        found = prepared.outcome(key, option.written, triangle)
        if key.others and found != "wrong" and prepared.settings.second_triangle == "required":
            # However coarse: one of two answers is no nearer to both for being less exact.
            return _Verdict("wrong", "wrong", second_missed=True)
    if found == "wrong":
        return _Verdict("wrong", "wrong")
    if found == "rounded too far":
        digits = option.written.place > key.place * (1 + 1e-9)
        return _Verdict("rounded too far", "rounded-too-far" if digits else "zeros-only", option.unit == "missing")
    return _as_right(option)


def _as_right(option: Option) -> _Verdict:
    """The verdict on a number that is right: in the form and unit asked, or not."""
    if option.unit == "missing":
        return _Verdict("right, other form", "unit-missing", unit_missing=True)
    if option.unit == "converted":
        return _Verdict("right, other form", "other-unit")
    if not option.in_form:
        return _Verdict("right, other form", "other-form")
    if CROSSED in option.notes:
        return _Verdict("right, other form", "other-box")
    return _Verdict("right", "right")


def _led_to(prepared: Prepared, options: Mapping[str, Option], wrong: frozenset[str]) -> frozenset[str]:
    """The parts that only the student's own rounding of a right result takes out of the band."""
    if wrong.isdisjoint(prepared.touchy) or len(wrong) == len(options):
        return frozenset()
    written = {part: o.written for part, o in options.items() if not o.none and not o.more and o.unit != "wrong"}
    for part in wrong & written.keys():
        if written[part].place > prepared.solved.solution.part(part).place * (1 + 1e-9):
            del written[part]  # so coarse a number comes from too much to tell
    return led_to(prepared.ways, written, wrong & written.keys(), prepared.settings.carried_decimals)


def _in_question(prepared: Prepared, key: PartKey, option: Option) -> float:
    """The number judged: of two that which is wrong, where one of them is."""
    if not option.more:
        return option.written.value
    numbers = (option.written, *option.more)
    wrong = [one.value for one, found in zip(numbers, outcomes_of(prepared, key, option)) if found == "wrong"]
    return wrong[0] if wrong else option.written.value


def _credit(prepared: Prepared, verdict: _Verdict) -> float | None:
    settings = prepared.settings
    match verdict.word:
        case "right":
            return settings.credit_right
        case "right, other form":
            return settings.credit_unit_missing if verdict.unit_missing else settings.credit_other_form
        case "rounded too far":
            share = settings.credit_rounded_too_far
            return min(share, settings.credit_unit_missing) if verdict.unit_missing else share
        case "rounded early":
            return settings.credit_rounded_early
        case "follows on":
            return settings.credit_follows_on
        case "needs a look":
            return None
    return 0.0


def with_decision(mark: PartMark, points: float, note: str, alone: bool = False) -> PartMark:
    """The suggested mark with the teacher's decision in its place.

    What the suggestion told the student stays only where the decision gives the points that it suggested: beside other
    points it would be overruled and still there to read. A note that is to stand ``alone`` replaces it in any case.
    """
    agrees = abs(points - mark.points) < 1e-6  # never where the suggestion has no points
    feedback = f"{mark.feedback} {note}".strip() if agrees and not (alone and note) else note or LOOKED_AT
    verdict = DECIDED if mark.verdict == "needs a look" else mark.verdict
    return replace(mark, points=points, feedback=feedback, verdict=verdict)
