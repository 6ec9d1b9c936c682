"""The teacher's decisions, wherever they were written, kept for every later run.

They come from the rubric's sheet Decisions, which wins, and from the feedback workbook. The folder of results keeps all
of them in decisions.csv, each with the answer that it was made for.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from grader.exchange.cells import fold, listed
from grader.marking.attempts import decide
from grader.marking.definitions import Decision, Rubric
from grader.methods.part_names import names_of_parts

if TYPE_CHECKING:
    import pandas as pd

DECISIONS_FILE = "decisions.csv"
FROM_RUBRIC, FROM_FEEDBACK = "rubric", "feedback"

Key = tuple[str, str, str]
"""Student id, problem and part; a blank part is the whole problem."""


@dataclass(frozen=True, slots=True)
class KeptDecision:
    """A decision as it is kept: ``written`` is the answer it was made for, ``everyone`` extends it to all who wrote that.

    ``alone``: the note is all that the student is to read.
    """

    student_id: str
    problem: str
    part: str
    points: float
    note: str = ""
    written: str = ""
    everyone: bool = False
    source: str = FROM_FEEDBACK
    alone: bool = False

    @property
    def key(self) -> Key:
        return (self.student_id, self.problem, self.part)

    @property
    def decision(self) -> Decision:
        return Decision(*self.key, self.points, self.note, self.alone)


@dataclass(frozen=True)
class Settled:
    """What holds for a run: decisions in the order in which they apply, all that is kept, and what to tell the teacher.

    ``changed`` says for each decision whose answer is another one now what it was made for.
    """

    decisions: tuple[Decision, ...] = ()
    kept: tuple[KeptDecision, ...] = ()
    notes: tuple[str, ...] = ()
    changed: Mapping[Key, str] = field(default_factory=dict)


def settle(rubric: Rubric, kept: Iterable[KeptDecision], marks: pd.DataFrame) -> Settled:
    """What the decisions come to for these marks, which do not hold any decision yet."""
    written = _written(marks)
    earlier = {each.key: each for each in kept}
    of_rubric = [_from_rubric(each, earlier, written) for each in rubric.decisions]
    ruled = {each.key for each in of_rubric}
    own = [
        each if each.written else replace(each, written=written.get(each.key, ""))
        for each in earlier.values()
        if each.source != FROM_RUBRIC and each.key not in ruled
    ]
    all_kept = (*own, *of_rubric)
    explicit: set[tuple[str, ...]] = {each.key for each in all_kept}
    explicit |= {(each.student_id, each.problem) for each in all_kept if not each.part}
    spread: list[Decision] = []
    shared: dict[tuple[str, str], list[tuple[KeptDecision, list[str]]]] = {}
    for each in all_kept:
        same = _who_wrote_the_same(each, written, explicit) if each.everyone and each.written.strip() else []
        spread += [replace(each.decision, student_id=student) for student in same]
        if same:
            shared.setdefault((each.student_id, each.problem), []).append((each, same))
    notes = [_also_counts(rubric, pairs) for pairs in shared.values()]
    changed: dict[Key, str] = {}
    for each in all_kept:
        now = written.get(each.key)
        if now is None:
            notes.append(
                f"A decision is kept for student {each.student_id}, {_called(rubric, each)}, of which these marks hold nothing."
            )
        elif _plain(now) != _plain(each.written):
            changed[each.key] = each.written
            notes.append(
                f"The answer of student {each.student_id} to {_called(rubric, each)} has changed since it was decided on; the "
                "decision still counts, look at it again."
            )
    decisions = (*spread, *(each.decision for each in own), *(each.decision for each in of_rubric))
    return Settled(decisions, all_kept, tuple(notes), changed)


def _called(rubric: Rubric, decision: KeptDecision) -> str:
    names = names_of_parts(rubric.problems)
    return f"problem {decision.problem} {names.get((decision.problem, decision.part), decision.part)}".rstrip()


def _also_counts(rubric: Rubric, pairs: Sequence[tuple[KeptDecision, Sequence[str]]]) -> str:
    """One sentence on the decisions on one student's problem that others share: an answer in one box has several parts."""
    first = pairs[0][0]
    names = names_of_parts(rubric.problems)
    parts = [names.get((each.problem, each.part), each.part) for each, _ in pairs if each.part]
    others = {student for _, same in pairs for student in same}
    on = f"problem {first.problem} {listed(parts, 'and')}".rstrip()
    return f"The decision on {on} of student {first.student_id} also counts for {len(others)} more who wrote the same."


def _from_rubric(decision: Decision, earlier: Mapping[Key, KeptDecision], written: Mapping[Key, str]) -> KeptDecision:
    key = (decision.student_id, decision.problem, decision.part)
    before = earlier.get(key)
    made_for = written.get(key, "")
    if before is not None and before.source == FROM_RUBRIC and before.decision == decision:
        made_for = before.written
    return KeptDecision(*key, decision.points, decision.note, made_for, source=FROM_RUBRIC)


def _written(marks: pd.DataFrame) -> dict[Key, str]:
    """What each student wrote for each part, and (part blank) for each problem."""
    texts: dict[Key, str] = {}
    wholes: dict[Key, dict[str, None]] = {}
    for student, problem, part, text in zip(
        *(marks[name].tolist() for name in ("student_id", "problem", "part", "written"))
    ):
        texts[str(student), str(problem), str(part)] = str(text)
        wholes.setdefault((str(student), str(problem), ""), {})[str(text)] = None
    return texts | {key: " | ".join(parts) for key, parts in wholes.items()}


def _who_wrote_the_same(
    decision: KeptDecision, written: Mapping[Key, str], explicit: set[tuple[str, ...]]
) -> list[str]:
    wanted = _plain(decision.written)
    return [
        student
        for (student, problem, part), text in written.items()
        if (problem, part) == (decision.problem, decision.part)
        and _plain(text) == wanted
        and (student, problem) not in explicit
        and (student, problem, part) not in explicit
    ]


def _plain(text: str) -> str:
    """An answer as answers are compared: without the signs that files cannot keep, and without regard to spaces and case."""
    kept = (
        each
        for each in text
        if each in "\t\n\r" or (each != "\ufffd" and not unicodedata.category(each).startswith("C"))
    )
    return fold("".join(kept)).lstrip("'")


def with_decisions(marks: pd.DataFrame, settled: Settled) -> pd.DataFrame:
    """The marks with the decisions in place of the suggestions, and a note where one was made for another answer."""
    import pandas as pd

    table = decide(marks, settled.decisions)
    if settled.changed:
        keys = zip(*(table[name].tolist() for name in ("student_id", "problem", "part")))
        notes = [
            f"{note}; {told}".removeprefix("; ") if (told := _made_for(settled.changed, *key)) else note
            for note, key in zip(table["note"].tolist(), keys)
        ]
        table["note"] = pd.Series(notes, index=table.index, dtype=object)
    return table


def _made_for(changed: Mapping[Key, str], student: str, problem: str, part: str) -> str:
    for key in ((student, problem, part), (student, problem, "")):
        if key in changed:
            return f"decided for “{changed[key]}”; the answer has changed since"
    return ""
