"""What a student reads about an answer: the sentence on the verdict, or on the mistake behind it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files

from grader.marking.diagnosis import Cause
from grader.marking.early import EarlyAnswer
from grader.marking.explain import SURE
from grader.marking.options import Option
from grader.marking.prepared import Prepared
from grader.marking.rounding import counted_to
from grader.marking.slips import rounding_of
from grader.methods.solution import PartKey
from grader.mistakes.variants import PLUS


@lru_cache(maxsize=1)
def phrases() -> dict[str, str]:
    """The sentences about verdicts, by key (phrases.toml)."""
    text = files("grader.marking").joinpath("phrases.toml").read_text(encoding="utf-8")
    return {key: str(value) for key, value in tomllib.loads(text).items()}


def feedback(
    prepared: Prepared,
    key: PartKey,
    verdict: str,
    phrase: str,
    cause: Cause | None = None,
    early: EarlyAnswer | None = None,
    earlier: str = "",
    option: Option | None = None,
) -> str:
    """What a student reads about one part: ``phrase`` is the key of the sentence on its ``verdict``; ``cause``, ``early`` and
    ``earlier`` are what explains it, ``option`` how it was read."""
    table, problem = phrases(), prepared.problem
    kept = early.decimals if early else None
    if kept is not None:
        phrase = f"rounded-early-{min(kept, 2)}"
    unit = prepared.solved.unit
    said = table[phrase].format(
        place=_place_in_words(prepared, key),
        decimals=kept,
        near=_nearest(key, option) if option and phrase == "zeros-only" else "",
        carried=prepared.settings.carried_decimals,
        earlier=earlier,
        unit=f"asked in {unit.symbol}" if unit else "",
        form=f"asked as {problem.direction_as}" if key.part == "direction" else f"asked as {problem.answer_as}",
    )
    if cause is not None:
        said = _about(prepared, key.part, cause, table, option) or said
    guessed = [note for note in option.notes if note.startswith("read ") and " as " in note] if option else []
    if guessed:
        said += f" (I {'; '.join(guessed)}.)"
    if prepared.settings.show_answers and verdict not in ("right", "needs a look"):
        said += " " + table["answer"].format(answer=key.shown)
    return said


def _about(prepared: Prepared, part: str, cause: Cause, table: Mapping[str, str], option: Option | None) -> str:
    """What the student reads about a cause: of several that no answer can tell apart, the commonest."""
    alike = cause.mistake.split(" / ")
    ids = alike[0].split(PLUS)
    none = option is not None and option.none
    told = prepared.told(ids[0], part, option.read_as if option else "") if len(ids) == 1 == len(alike) else ""
    said = (
        [told]
        if told and not none and cause.chance >= SURE
        else [prepared.feedback_for(id_, no_answer=none) for id_ in ids]
    )
    if len(ids) > 1:
        said.insert(0, table["two-mistakes"])
    if cause.decimals is not None:
        said.append(table["and-rounded"].format(carried=prepared.settings.carried_decimals))
    return " ".join(filter(None, said))


def parting_line(prepared: Prepared, cause: Cause) -> str:
    """The line of the right working where the student's parts from it; empty where that is not known."""
    for working in prepared.solved.solution.workings:
        if cause.step and working.method == cause.method:
            return next((line.text for line in working.lines if line.name == cause.step), "")
    return ""


def _nearest(key: PartKey, option: Option) -> str:
    """The place to which a number with zeros at its end is right: 10 where 60 is right to tens alone."""
    numbers = zip((option.written, *option.more), (key.value, *key.others))
    return f"{max(counted_to(key, number, value) for number, value in numbers):g}"


def _place_in_words(prepared: Prepared, key: PartKey) -> str:
    asked = rounding_of(prepared.problem, key)
    if asked.kind == "exact":
        return "exactly, or to three significant figures"
    if asked.kind == "figures":
        return f"to {asked.amount:g} significant figures"
    if asked.amount == 1:
        return "to the nearest whole number"
    return f"to the nearest {asked.amount:g}"
