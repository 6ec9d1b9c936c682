"""The teacher's decisions, wherever they were written, kept for every later run.

They come from the rubric's sheet Decisions, which wins, and from the columns for them in the feedback workbook. The
folder of results keeps all of them in decisions.csv, each with the answer that it was made for.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from grader.errors import GraderError, InputFaults
from grader.exchange.cells import Cell, as_text, fold
from grader.exchange.csvfile import as_written, csv_bytes, read_delimited
from grader.exchange.workbook import read_workbook
from grader.marking.attempts import EXCUSED, decide
from grader.marking.definitions import Decision, Rubric
from grader.methods.problem import PARTS
from grader.rubric import cells
from grader.rubric.credits import decided_points, points_possible
from grader.rubric.layout import Column, Sheet
from grader.rubric.source import Findings, SheetRow, rows_of

if TYPE_CHECKING:
    import pandas as pd

DECISIONS_FILE = "decisions.csv"
SHEET_OF_FEEDBACK = "To look at"
_BY_DEFAULT = "decided by the teacher"
"""What the marks say of a decision without a note."""

FROM_RUBRIC, FROM_FEEDBACK = "rubric", "feedback"

_NOTE = "Your note (the student reads it)"
_ALSO = {_NOTE: ("Your note",)}

Key = tuple[str, str, str]
"""Student id, problem and part; a blank part is the whole problem."""


@dataclass(frozen=True, slots=True)
class KeptDecision:
    """A decision as it is kept: ``written`` is the answer it was made for, ``everyone`` extends it to all who wrote that."""

    student_id: str
    problem: str
    part: str
    points: float
    note: str = ""
    written: str = ""
    everyone: bool = False
    source: str = FROM_FEEDBACK

    @property
    def key(self) -> Key:
        return (self.student_id, self.problem, self.part)

    @property
    def decision(self) -> Decision:
        return Decision(*self.key, self.points, self.note)


@dataclass(frozen=True)
class Settled:
    """What holds for a run: decisions in the order in which they apply, all that is kept, and what to tell the teacher.

    ``changed`` says for each decision whose answer is another one now what it was made for.
    """

    decisions: tuple[Decision, ...] = ()
    kept: tuple[KeptDecision, ...] = ()
    notes: tuple[str, ...] = ()
    changed: Mapping[Key, str] = field(default_factory=dict)


def _sheet(name: str, *headings: str, required: Sequence[str]) -> Sheet:
    columns = (Column(each, each, 10, required=each in required, also=_ALSO.get(each, ())) for each in headings)
    return Sheet(name, "", tuple(columns))


_KEPT = _sheet(
    DECISIONS_FILE,
    *("student_id", "problem", "part", "points", "note", "written", "same_for_all", "source"),
    required=("student_id", "problem", "points"),
)
_FEEDBACK = _sheet(
    SHEET_OF_FEEDBACK,
    *("Student ID", "Problem", "Part", "Written", "Points possible", "Your points", _NOTE, "Same for all"),
    required=("Student ID", "Problem", "Your points"),
)


def read_kept(
    folder: Path, feedback_file: str, rubric: Rubric, before: pd.DataFrame | None = None
) -> tuple[tuple[KeptDecision, ...], tuple[str, ...]]:
    """The decisions that a folder of results holds, and what to tell the teacher about them.

    ``before`` are the marks that stand there: a row of the feedback workbook that says what they say is nothing new.
    Raises InputFaults with every cell that cannot be read; nothing may be written over such a folder.
    """
    findings = Findings(DECISIONS_FILE)
    kept: dict[Key, KeptDecision] = {}
    if (folder / DECISIONS_FILE).exists():
        for row in rows_of(read_delimited(folder / DECISIONS_FILE), _KEPT, findings):
            decision = _kept(row)
            kept[decision.key] = decision
    findings.warnings.clear()
    findings.file = feedback_file
    notes: list[str] = []
    if (folder / feedback_file).exists():
        told = _told_before(before)
        tables = read_workbook(folder / feedback_file, lambda name: name == SHEET_OF_FEEDBACK)
        if all(table.sheet != SHEET_OF_FEEDBACK for table in tables):
            raise GraderError(
                f"{folder / feedback_file} has no sheet “{SHEET_OF_FEEDBACK}”, in which your decisions would stand, and was "
                "not written over; move it away, or give the sheet its name back."
            )
        for table in tables:
            for row in rows_of(table, _FEEDBACK, findings):
                new = _from_feedback(row, rubric, kept, told, notes)
                if new is not None:
                    kept[new.key] = new
    if findings.faults:
        raise InputFaults(findings.faults)
    return tuple(kept.values()), tuple(notes)


def _kept(row: SheetRow) -> KeptDecision:
    def text(heading: str) -> str:
        return as_written(as_text(row.cells.get(heading, "")))

    return KeptDecision(
        student_id=text("student_id"),
        problem=text("problem"),
        part=text("part"),
        points=row.read("points", cells.number, 0.0),
        note=text("note"),
        written=text("written"),
        everyone=row.read("same_for_all", cells.yes_or_no, False),
        source=FROM_RUBRIC if text("source") == FROM_RUBRIC else FROM_FEEDBACK,
    )


def _from_feedback(
    row: SheetRow,
    rubric: Rubric,
    kept: Mapping[Key, KeptDecision],
    told: Mapping[Key, tuple[float, str]],
    notes: list[str],
) -> KeptDecision | None:
    """The decision in a row of the feedback workbook; None where it holds none, or none that is new."""
    everyone = row.read("Same for all", cells.yes_or_no, False)
    note = row.text(_NOTE)
    student_id, problem, part = (row.text(heading) for heading in ("Student ID", "Problem", "Part"))
    if row.blank("Your points"):
        if (note and note != EXCUSED) or everyone:
            notes.append(
                f"{row.findings.file}, sheet {row.sheet}, row {row.number}: a note without points decides nothing and was "
                "not kept."
            )
        return None
    known = {fold(each.label): each for each in rubric.problems}
    of = known.get(fold(problem))
    possible = row.read("Points possible", cells.number, None) or (points_possible(of, part) if of else None)
    points = row.read("Your points", lambda cell: decided_points(cell, possible, rubric.settings), 0.0)
    if part and part not in PARTS:
        row.fault("Part", f"“{part}”", f"{', '.join(PARTS)}, or blank")
    key = (student_id, of.label if of else problem, part)
    earlier = kept.get(key)
    said_before = told.get(key)
    if said_before is not None and _same(said_before, (points, note)):
        if not everyone or (earlier is not None and earlier.everyone):
            return None
        if earlier is not None:
            return replace(earlier, everyone=True)
    return KeptDecision(
        *key,
        points,
        "" if note == _BY_DEFAULT else note,
        row.text("Written") if isinstance(row.cells.get("Written"), str) else as_text(row.cells.get("Written", "")),
        everyone or (earlier is not None and earlier.everyone),
    )


def _same(one: tuple[float, str], other: tuple[float, str]) -> bool:
    return abs(one[0] - other[0]) < 1e-6 and fold(one[1]) == fold(other[1])


def _told_before(before: pd.DataFrame | None) -> dict[Key, tuple[float, str]]:
    if before is None:
        return {}
    names = ("student_id", "problem", "part", "points", "decided")
    rows = zip(*(before[name].tolist() for name in names))
    return {(s, p, part): (float(points), str(note)) for s, p, part, points, note in rows if points == points}


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
    notes: list[str] = []
    for each in all_kept:
        same = _who_wrote_the_same(each, written, explicit) if each.everyone and each.written.strip() else []
        spread += [Decision(student, each.problem, each.part, each.points, each.note) for student in same]
        if each.everyone and same:
            notes.append(
                f"The decision on problem {each.problem} {each.part} of student {each.student_id} also counts for "
                f"{len(same)} more who wrote the same."
            )
    changed: dict[Key, str] = {}
    notes += _above_possible(rubric, all_kept)
    for each in all_kept:
        now = written.get(each.key)
        if now is None:
            notes.append(
                f"A decision is kept for student {each.student_id}, problem {each.problem} {each.part}".rstrip()
                + ", of which these marks hold nothing."
            )
        elif _plain(now) != _plain(each.written):
            changed[each.key] = each.written
            notes.append(
                f"The answer of student {each.student_id} to problem {each.problem} {each.part}".rstrip()
                + " has changed since it was decided on; the decision still counts, look at it again."
            )
    decisions = (*spread, *(each.decision for each in own), *(each.decision for each in of_rubric))
    return Settled(decisions, all_kept, tuple(notes), changed)


def _above_possible(rubric: Rubric, kept: Iterable[KeptDecision]) -> list[str]:
    """A note on every decision that gives more than there is: a gift perhaps, or a slip of the keyboard."""
    problems = {each.label: each for each in rubric.problems}
    notes = []
    for each in kept:
        of = problems.get(each.problem)
        possible = points_possible(of, each.part) if of else None
        if possible is not None and each.points > possible + 1e-6:
            notes.append(
                f"Student {each.student_id}, problem {each.problem} {each.part}".rstrip()
                + f": {each.points:g} {'point' if each.points == 1 else 'points'} for a {'part' if each.part else 'problem'} "
                f"of {possible:g}: taken as written."
            )
    return notes


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


def decisions_csv(kept: Iterable[KeptDecision]) -> bytes:
    """The file that keeps them: CSV (RFC 4180, UTF-8), a row for each decision."""
    rows: list[tuple[Cell, ...]] = [tuple(column.heading for column in _KEPT.columns)]
    rows += [
        (*each.key, each.points, each.note, each.written, "yes" if each.everyone else "", each.source) for each in kept
    ]
    return csv_bytes(rows)
