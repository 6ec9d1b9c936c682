"""One answer to one problem: its parts judged, credited and explained. A pure function of values."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files

from grader.marking.collect import CROSSED, Boxes, Entry, Option, collect
from grader.marking.diagnosis import ROUNDED_EARLY, Cause, Evidence, diagnose
from grader.marking.early import EarlyAnswer
from grader.marking.evidence import Weights
from grader.marking.follow import follow_on
from grader.marking.prepared import Prepared
from grader.marking.rounding import Outcome, Written, outcome
from grader.marking.slips import rounding_of, slips
from grader.methods.solution import PartKey
from grader.mistakes.variants import PLUS
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


def mark_answer(
    prepared: Prepared, boxes: Boxes, conventions: Conventions = POINT, weights: Weights | None = None
) -> tuple[PartMark, ...]:
    """The marks of one answer, a mark for each part of the key.

    ``weights`` are what the class and the student's other answers say about which mistakes are likely here.
    """
    entries = collect(prepared.solved, boxes, conventions)
    keys = {key.part: key for key in prepared.solved.solution.parts}
    triangle = _which_triangle(prepared, entries, keys)
    verdicts: dict[str, _Verdict] = {}
    notes: dict[str, str] = {}
    chosen: dict[str, Option] = {}
    for part, key in keys.items():
        entry = entries[part]
        judged = [_judge(prepared, key, option, triangle) for option in entry.options]
        if entry.blank:
            verdicts[part] = _Verdict("blank", "blank")
        elif entry.reason:
            verdicts[part], notes[part] = _Verdict("needs a look", "needs-a-look"), f"cannot be read: {entry.reason}"
        elif len({verdict.word for verdict in judged}) > 1:
            readings = " or ".join(f"{o.read_as} ({v.word})" for o, v in zip(entry.options, judged))
            verdicts[part], notes[part] = _Verdict("needs a look", "needs-a-look"), f"can be read as {readings}"
        elif judged[0].word == "needs a look":
            verdicts[part], notes[part] = judged[0], f"gives two answers: {entry.options[0].read_as}"
        elif judged[0].word == "wrong" and _right_as_true_bearing(prepared, key, entry.options[0]):
            verdicts[part] = _Verdict("needs a look", "needs-a-look")
            notes[part] = f"wrong as an angle from the x-axis, right as a true bearing: {entry.options[0].read_as}"
        else:
            verdicts[part], chosen[part] = judged[0], entry.options[0]
            notes[part] = "; ".join(dict.fromkeys(note for option in entry.options for note in option.notes))
    decimals, follows, causes = _explain(prepared, chosen, verdicts, triangle, weights)
    marks = []
    for part, key in keys.items():
        verdict, cause = verdicts[part], causes.get(part)
        if part in decimals:
            verdict = _Verdict("rounded early", "rounded-early")
        elif part in follows:
            verdict = _Verdict("follows on", "follows-on")
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
                feedback=_feedback(prepared, key, verdict, cause, decimals.get(part), follows.get(part, ""), option),
                note=notes.get(part, ""),
                value=option.written.value if option else math.nan,
                method=decimals[part].method if part in decimals else cause.method if cause else "",
                line=_parting_line(prepared, cause) if cause else "",
            )
        )
    return tuple(marks)


def _right_as_true_bearing(prepared: Prepared, key: PartKey, option: Option) -> bool:
    """Whether a bare angle, where a bearing with letters was asked, is right when counted from north."""
    direction = option.direction
    if direction is None or direction.form != "plain angle" or prepared.problem.direction_as not in _LETTERED:
        return False
    turned = replace(option.written, value=(90.0 - direction.written) % 360)
    return _outcome(prepared, key, turned, key.value) == "right"


_LETTERED = ("quadrant bearing", "from an axis")


def _which_triangle(prepared: Prepared, entries: Mapping[str, Entry], keys: Mapping[str, PartKey]) -> int:
    """Which of two triangles the answer is about (0 the first, 1 the second): the one that more parts agree with."""
    if not any(key.others for key in keys.values()):
        return 0
    agreeing = [0, 0]
    for part, key in keys.items():
        for option in entries[part].options[:1]:
            if option.none:
                continue
            for index, target in enumerate((key.value, *key.others)):
                agreeing[index] += _outcome(prepared, key, option.written, target) != "wrong"
    return int(agreeing[1] > agreeing[0])


def _outcome(prepared: Prepared, key: PartKey, written: Written, target: float) -> Outcome:
    asked = rounding_of(prepared.problem, key)
    return outcome(written, key, asked, dropped_zeros=prepared.settings.dropped_zeros == "accept", target=target)


def _judge(prepared: Prepared, key: PartKey, option: Option, triangle: int) -> _Verdict:
    if prepared.solved.solution.none or option.none:
        agree = bool(prepared.solved.solution.none) and option.none
        return _Verdict("right", "right") if agree else _Verdict("wrong", "no-such-answer")
    if option.unit == "wrong":
        return _Verdict("wrong", "wrong-unit")
    found = _outcome(prepared, key, option.written, (key.value, *key.others)[triangle])
    second_missed = False
    if key.others and found == "right":
        other = (key.value, *key.others)[1 - triangle]
        named = any(_outcome(prepared, key, written, other) == "right" for written in option.more)
        if not named and prepared.settings.second_triangle == "required":
            return _Verdict("wrong", "wrong", second_missed=True)
    elif option.more:
        # Two answers where one is asked are a hedge: the teacher decides.
        return _Verdict("needs a look", "needs-a-look")
    if found == "wrong":
        return _Verdict("wrong", "wrong")
    if found == "rounded too far":
        return _Verdict("rounded too far", "rounded-too-far", option.unit == "missing")
    if option.unit == "missing":
        return _Verdict("right, other form", "unit-missing", unit_missing=True)
    if option.unit == "converted":
        return _Verdict("right, other form", "other-unit")
    if not option.in_form:
        return _Verdict("right, other form", "other-form")
    if CROSSED in option.notes:
        return _Verdict("right, other form", "other-box")
    return _Verdict("right", "right", second_missed=second_missed)


def _explain(
    prepared: Prepared,
    chosen: Mapping[str, Option],
    verdicts: Mapping[str, _Verdict],
    triangle: int,
    weights: Weights | None,
) -> tuple[dict[str, EarlyAnswer], dict[str, str], dict[str, Cause]]:
    """For the wrong parts: the early-rounded working that gives them, the earlier part they follow on from, or the cause."""
    wrong = frozenset(part for part in chosen if verdicts[part].word == "wrong")
    causes: dict[str, Cause] = {}
    if not wrong:
        return {}, {}, {}
    if prepared.solved.solution.none:
        if not prepared.switched_off & {"impossible-triangle-solved"} and prepared.problem.find == "triangle":
            causes = {"value": Cause("impossible-triangle-solved", 1.0)}
        return {}, {}, causes
    missed = frozenset(part for part in wrong if verdicts[part].second_missed)
    if missed and "second-triangle-missed" not in prepared.switched_off:
        causes = {part: Cause("second-triangle-missed", 1.0) for part in missed}
    # NW is one of a few words, not a number that a working led to: it says nothing about the working.
    numbers = {
        part: option
        for part, option in chosen.items()
        if not option.none and part not in missed and not (part in wrong and _is_compass_point(option))
    }
    wrong = frozenset(part for part in wrong - missed if part in numbers)
    if not wrong:
        return {}, {}, causes
    settings = prepared.settings
    written = {part: option.written for part, option in numbers.items()}
    unit_wrong = frozenset(part for part in wrong if numbers[part].unit == "wrong")
    early = [] if unit_wrong else prepared.early.explaining({part: written[part] for part in wrong}, triangle)
    judged = {part: number for part, number in written.items() if part not in unit_wrong}
    follows = follow_on(prepared.ways, judged, wrong - unit_wrong, settings.carried_decimals) if len(wrong) > 1 else {}
    right = frozenset(part for part in numbers if part not in wrong)
    slipped = [
        slip
        for slip in slips(prepared.solved, numbers, wrong, prepared.siblings, settings.dropped_zeros == "accept")
        if slip.mistake not in prepared.switched_off
    ]
    # Early rounding speaks for all wrong parts at once; what follows on from a wrong part is no evidence against a cause.
    evidence = Evidence(
        numbers, wrong if early else wrong - follows.keys(), right, frozenset() if early else frozenset(follows)
    )
    early_share = len(early) / max(1, len(prepared.early.answers))
    found = diagnose(prepared.solved, prepared.variants, slipped, evidence, settings.explain_from, weights, early_share)
    if early and any(cause.mistake == ROUNDED_EARLY for cause in found.values()):
        return dict.fromkeys(wrong, early[0]), {}, causes
    return {}, follows, causes | {part: cause for part, cause in found.items() if part not in follows}


def _is_compass_point(option: Option) -> bool:
    return option.direction is not None and option.direction.form == "compass point"


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


@lru_cache(maxsize=1)
def phrases() -> dict[str, str]:
    """The sentences about verdicts, by key (phrases.toml)."""
    text = files("grader.marking").joinpath("phrases.toml").read_text(encoding="utf-8")
    return {key: str(value) for key, value in tomllib.loads(text).items()}


def _feedback(
    prepared: Prepared,
    key: PartKey,
    verdict: _Verdict,
    cause: Cause | None,
    early: EarlyAnswer | None,
    earlier: str,
    option: Option | None,
) -> str:
    table, problem = phrases(), prepared.problem
    phrase, kept = verdict.phrase, early.decimals if early else 0
    if early is not None and kept < 2:
        phrase = f"rounded-early-{kept}"
    unit = prepared.solved.unit
    said = table[phrase].format(
        place=_place_in_words(prepared, key),
        decimals=kept,
        carried=prepared.settings.carried_decimals,
        earlier=earlier,
        unit=f"asked in {unit.symbol}" if unit else "",
        form=f"asked as {problem.direction_as}" if key.part == "direction" else f"asked as {problem.answer_as}",
    )
    if cause is not None:
        said = _about(prepared, cause, table, option) or said
    guessed = [note for note in option.notes if note.startswith("read ") and " as " in note] if option else []
    if guessed:
        said += f" (I {'; '.join(guessed)}.)"
    if prepared.settings.show_answers and verdict.word not in ("right", "needs a look"):
        said += " " + table["answer"].format(answer=key.shown)
    return said


_SURE = 0.8
"""The chance from which a mistake is told with the numbers that it leads to."""


def _about(prepared: Prepared, cause: Cause, table: Mapping[str, str], option: Option | None) -> str:
    """What the student reads about a cause: of several that no answer can tell apart, the commonest."""
    alike = cause.mistake.split(" / ")
    ids = alike[0].split(PLUS)
    told = prepared.told(ids[0], option.read_as if option else "") if len(ids) == 1 == len(alike) else ""
    said = [told] if told and cause.chance >= _SURE else [prepared.feedback_for(id_) for id_ in ids]
    if len(ids) > 1:
        said.insert(0, table["two-mistakes"])
    if cause.decimals is not None:
        said.append(table["and-rounded"].format(carried=prepared.settings.carried_decimals))
    return " ".join(filter(None, said))


def _parting_line(prepared: Prepared, cause: Cause) -> str:
    for working in prepared.solved.solution.workings:
        if working.method == cause.method:
            return next((line.text for line in working.lines if line.step == cause.step), "")
    return ""


def _place_in_words(prepared: Prepared, key: PartKey) -> str:
    asked = rounding_of(prepared.problem, key)
    if asked.kind == "exact":
        return "exactly, or to three significant figures"
    if asked.kind == "figures":
        return f"to {asked.amount:g} significant figures"
    if asked.amount == 1:
        return "to the nearest whole number"
    return f"to the nearest {asked.amount:g}"


def with_decision(mark: PartMark, points: float, note: str) -> PartMark:
    """The mark with the teacher's decision in place of the suggestion."""
    feedback = (
        f"{mark.feedback} {note}".strip()
        if mark.verdict != "needs a look"
        else note or "Your teacher has looked at this answer."
    )
    return replace(mark, points=points, feedback=feedback)
