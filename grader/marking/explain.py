"""What lies behind the wrong parts of an answer: early rounding, an earlier wrong part, or a probable cause."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from grader.marking.diagnosis import Cause, Evidence, cause_of_none, diagnose
from grader.marking.early import EarlyAnswer
from grader.marking.evidence import ROUNDED_EARLY, Weights
from grader.marking.follow import follow_on
from grader.marking.options import Option
from grader.marking.prepared import Prepared
from grader.marking.slips import as_degrees, as_number, slips, unit_alone_wrong
from grader.marking.triangles import BEST_FIRST, of_triangle, outcomes_of

SURE = 0.8
"""The chance from which a cause is told with its numbers, and may speak for other parts."""


@dataclass(frozen=True)
class Explained:
    """For the wrong parts, by name: the early-rounded working that gives them, the earlier part that they follow on from, or
    their cause. A part that nothing explains is in none of them. ``chance`` is that of the early rounding."""

    early: Mapping[str, EarlyAnswer] = field(default_factory=dict)
    follows: Mapping[str, str] = field(default_factory=dict)
    causes: Mapping[str, Cause] = field(default_factory=dict)
    chance: float = 0.0

    def without_credit(self, prepared: Prepared, parts: frozenset[str]) -> Explained:
        """The same where rounding early earns nothing for ``parts``: one of two triangles earns nothing when it is exact, and
        must not earn more when it is not."""
        missed: dict[str, Cause] = {}
        if self.chance >= prepared.settings.explain_from:
            missed = _caused_by(prepared, "second-triangle-missed", parts & self.early.keys(), self.chance)
        return Explained(
            {part: answer for part, answer in self.early.items() if part not in parts},
            self.follows,
            {**self.causes, **missed},
        )


def explain(
    prepared: Prepared,
    options: Mapping[str, Option],
    wrong: frozenset[str],
    missed: frozenset[str],
    triangle: int,
    weights: Weights | None = None,
) -> Explained:
    """Explain the ``wrong`` parts of an answer, all parts of which are in ``options``.

    ``missed`` are those right for one triangle where both were asked; ``triangle`` tells which one the answer is about.
    ``weights`` are what the class and the student's other answers say about which mistakes are likely here.
    """
    if not wrong:
        return Explained()
    if prepared.solved.solution.none:
        return Explained(causes=_certain(prepared, "impossible-triangle-solved", _solved_though_impossible(prepared)))
    if all(option.none for option in options.values()):
        cause = cause_of_none(prepared.variants, prepared.settings.explain_from, weights)
        return Explained(causes=dict.fromkeys(sorted(wrong), cause) if cause else {})
    if any(option.more for option in options.values()):
        return _of_both(prepared, options, wrong, missed, triangle, weights)
    found = _of_one(prepared, options, wrong, missed, triangle, weights)
    return found.without_credit(prepared, alone(prepared, options)) if found.early else found


def _of_both(
    prepared: Prepared,
    options: Mapping[str, Option],
    wrong: frozenset[str],
    missed: frozenset[str],
    triangle: int,
    weights: Weights | None,
) -> Explained:
    """What lies behind an answer with two triangles: each is explained by itself.

    A part with both numbers wrong is excused where each of them is; of two causes that of the first triangle is told.
    """
    found: list[tuple[frozenset[str], Explained]] = []
    for index in (0, 1):
        those = of_triangle(options, index, triangle)
        astray = frozenset(part for part in wrong & those.keys() if index in _astray(prepared, part, options[part]))
        found.append((astray, _of_one(prepared, those, astray, missed & astray, index, weights)))
    early: dict[str, EarlyAnswer] = {}
    follows: dict[str, str] = {}
    causes: dict[str, Cause] = {}
    for part in sorted(wrong):
        about = [explained for astray, explained in found if part in astray]
        if all(part in one.early or part in one.follows for one in about):
            rounded = [one.early[part] for one in about if part in one.early]
            if rounded:
                early[part] = _as_one(rounded)
            elif about:
                follows[part] = about[0].follows[part]
        else:
            causes |= next(({part: one.causes[part]} for one in about if part in one.causes), {})
    chance = min((one.chance for _, one in found if one.early), default=0.0)
    return Explained(early, follows, causes, chance).without_credit(prepared, alone(prepared, options))


def _astray(prepared: Prepared, part: str, option: Option) -> tuple[int, ...]:
    """For which triangles a part's number is in question: where it is wrong, or else where it is no more than coarse."""
    if not option.more:
        return (0, 1)
    outcomes = outcomes_of(prepared, prepared.solved.solution.part(part), option)
    return tuple(i for i, one in enumerate(outcomes) if one == max(outcomes, key=BEST_FIRST.index))


def _as_one(answers: Sequence[EarlyAnswer]) -> EarlyAnswer:
    """What two triangles rounded early have in common: the decimals are named where they are the same."""
    first = answers[0]
    return first if all(one.decimals == first.decimals for one in answers) else replace(first, decimals=None)


def alone(prepared: Prepared, options: Mapping[str, Option]) -> frozenset[str]:
    """The parts that have one number where two are required."""
    if prepared.settings.second_triangle != "required":
        return frozenset()
    keys = {key.part: key for key in prepared.solved.solution.parts}
    return frozenset(part for part, option in options.items() if keys[part].others and not option.more)


def _of_one(
    prepared: Prepared,
    options: Mapping[str, Option],
    wrong: frozenset[str],
    missed: frozenset[str],
    triangle: int,
    weights: Weights | None,
) -> Explained:
    """What lies behind the wrong parts of an answer with one number for each part."""
    if not wrong:
        return Explained()
    right_for = prepared.judges[triangle]
    named = frozenset(part for part in wrong - missed if unit_alone_wrong(right_for, part, options[part]))
    causes = _certain(prepared, "second-triangle-missed", missed) | _certain(prepared, "wrong-unit", named)
    numbers = {
        part: as_number(option) if part in named else option
        for part, option in options.items()
        if part not in missed and _tells(option, part in wrong)
    }
    wrong = frozenset(part for part in wrong - missed - named if part in numbers)
    if not wrong:
        return Explained(causes=causes)
    settings = prepared.settings
    in_unit = {part: option.written for part, option in numbers.items() if part not in wrong or option.unit != "wrong"}
    reached = wrong & in_unit.keys()
    right = {part: number for part, number in in_unit.items() if part not in wrong}
    early = (
        prepared.early.explaining({part: in_unit[part] for part in wrong}, right, triangle)
        if reached == wrong
        else None
    )
    follows = follow_on(prepared.ways, in_unit, reached, settings.carried_decimals) if len(wrong) > 1 else {}
    # Early rounding speaks for all wrong parts at once; what follows on from a wrong part is no evidence against a cause.
    evidence = Evidence(
        numbers,
        wrong if early else wrong - follows.keys(),
        frozenset(right),
        frozenset() if early else frozenset(follows),
    )
    slipped = [
        slip
        for slip in slips(right_for, numbers, wrong, prepared.sibling_judges)
        if slip.mistake not in prepared.switched_off
    ]
    answer, share = early or (None, 0.0)
    found = diagnose(prepared.solved, prepared.variants, slipped, evidence, settings.explain_from, weights, share)
    chances = [cause.chance for cause in found.values() if cause.mistake == ROUNDED_EARLY]
    if answer is not None and chances:
        return Explained(early=dict.fromkeys(wrong, answer), causes=causes, chance=chances[0])
    return Explained(
        follows=follows, causes=causes | {part: cause for part, cause in found.items() if part not in follows}
    )


def wrong_by_the_same(
    prepared: Prepared,
    options: Mapping[str, Option],
    wrong: frozenset[str],
    coarse: frozenset[str],
    missed: frozenset[str],
    triangle: int,
    weights: Weights | None = None,
) -> frozenset[str]:
    """The ``coarse`` parts that are no coarse rounding: the mistake behind a wrong part leads to them as well, as they stand.

    108.4 may be called 100, but not by who has 282° from a bearing read wrongly, which makes the length 99.7.
    """
    if not wrong or not coarse:
        return frozenset()
    causes = explain(prepared, options, wrong | coarse, missed, triangle, weights).causes
    behind = {causes[part] for part in wrong if part in causes and causes[part].chance >= SURE}
    return frozenset(part for part in coarse if causes.get(part) in behind)


def _certain(prepared: Prepared, mistake: str, parts: frozenset[str]) -> dict[str, Cause]:
    """A cause that the answer itself shows, unless the teacher does not want it named."""
    return _caused_by(prepared, mistake, parts, 1.0)


def _caused_by(prepared: Prepared, mistake: str, parts: frozenset[str], chance: float) -> dict[str, Cause]:
    return {} if mistake in prepared.switched_off else dict.fromkeys(sorted(parts), Cause(mistake, chance))


def _solved_though_impossible(prepared: Prepared) -> frozenset[str]:
    return frozenset({"value"}) if prepared.problem.find == "triangle" else frozenset()


def _tells(option: Option, wrong: bool) -> bool:
    """Whether an option says something about the working. NW is one of a few words, not a number that a working led to,
    and so are 70 radians."""
    compass_point = option.direction is not None and option.direction.form == "compass point"
    return not option.none and not (wrong and (compass_point or as_degrees(option) is not None))
