"""The decisions that a folder of results holds: those kept in decisions.csv, and what the teacher typed into feedback.xlsx.

Two sheets are read there: the columns for it on the sheet of answers to look at, and points and comments that were changed
on the sheet Feedback. What says the same as the marks beside it is nothing new.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from grader.errors import GraderError, InputFaults
from grader.exchange.cells import Cell, as_text, fold, quoted
from grader.exchange.columns import asked_parts
from grader.exchange.csvfile import as_written, csv_bytes, read_delimited
from grader.exchange.marksfile import MARKS_FILE
from grader.exchange.table import RawTable
from grader.exchange.workbook import read_workbook
from grader.marking.definitions import Rubric
from grader.marking.judge import BY_DEFAULT
from grader.methods.part_names import part_called, part_name
from grader.methods.problem import PARTS, Problem
from grader.rubric import cells
from grader.rubric.credits import check_possible, decided_points, points_possible
from grader.rubric.decisions import DECISIONS_FILE, FROM_FEEDBACK, FROM_RUBRIC, KeptDecision, Key
from grader.rubric.layout import Column, Sheet
from grader.rubric.source import Findings, SheetRow, rows_of

if TYPE_CHECKING:
    import pandas as pd

_NOTE = "Your note (the student reads it)"
_ALSO = {_NOTE: ("Your note",)}


def _sheet(name: str, *headings: str, required: Sequence[str]) -> Sheet:
    columns = (Column(each, each, 10, required=each in required, also=_ALSO.get(each, ())) for each in headings)
    return Sheet(name, "", tuple(columns))


_KEPT = _sheet(
    DECISIONS_FILE,
    *("student_id", "problem", "part", "points", "note", "written", "same_for_all", "source", "note_alone"),
    required=("student_id", "problem", "points"),
)
_TO_LOOK_AT = _sheet(
    "To look at",
    *("Student ID", "Problem", "Part", "Written", "Points possible", "Your points", _NOTE, "Same for all"),
    required=("Student ID", "Problem", "Your points"),
)
_FEEDBACK = _sheet(
    "Feedback",
    *("Student ID", "Problem", "Part", "Written", "Points", "Possible", "Comment"),
    required=("Student ID", "Problem", "Part", "Points"),
)


def read_kept(
    folder: Path, feedback_file: str, rubric: Rubric, before: pd.DataFrame | None = None
) -> tuple[tuple[KeptDecision, ...], tuple[str, ...]]:
    """The decisions that a folder of results holds, and what to tell the teacher about them.

    ``before`` are the marks that stand there. Raises InputFaults with every cell that cannot be read, and GraderError
    where what was typed cannot be told from what was written; nothing may be written over such a folder.
    """
    findings = Findings(DECISIONS_FILE)
    problems = {fold(each.label): each for each in rubric.problems}
    kept: dict[Key, KeptDecision] = {}
    rows: dict[Key, SheetRow] = {}
    if (folder / DECISIONS_FILE).exists():
        for row in rows_of(read_delimited(folder / DECISIONS_FILE), _KEPT, findings):
            decision = _kept(row, problems)
            kept[decision.key], rows[decision.key] = decision, row
    notes: tuple[str, ...] = ()
    if (folder / feedback_file).exists():
        to_look_at, feedback = _tables(folder / feedback_file)
        if before is None and not feedback.empty:
            raise GraderError(
                f"{folder / MARKS_FILE} is missing, so points that you changed on the sheet {_FEEDBACK.name} of {feedback_file} "
                f"cannot be told from suggestions; put it back, or move {feedback_file} away."
            )
        typed = _Typed(rubric, problems, kept, before, Findings(feedback_file, findings.faults))
        typed.take_looked_at(to_look_at)
        typed.take_changed(feedback)
        kept |= typed.new
        notes = tuple(typed.notes)
        rows = {key: row for key, row in rows.items() if key not in typed.new}
    for key, row in rows.items():
        of = problems.get(fold(key[1]))
        if kept[key].source != FROM_RUBRIC and of is not None:
            _check_at_most(row, kept[key].points, points_possible(of, key[2]))
    if findings.faults:
        raise InputFaults(findings.faults)
    return tuple(kept.values()), notes


def _tables(path: Path) -> tuple[RawTable, RawTable]:
    """The two sheets that are read, by their names."""
    wanted = (_TO_LOOK_AT.name, _FEEDBACK.name)
    found = {each.sheet: each for each in read_workbook(path, wanted.__contains__)}
    for name in wanted:
        if name not in found:
            raise GraderError(
                f"{path} has no sheet “{name}”, in which your decisions would stand, and was not written over; move it away, "
                "or give the sheet its name back."
            )
    return found[wanted[0]], found[wanted[1]]


def _kept(row: SheetRow, problems: Mapping[str, Problem]) -> KeptDecision:
    def text(heading: str) -> str:
        return as_written(as_text(row.cells.get(heading, "")))

    of = problems.get(fold(text("problem")))
    return KeptDecision(
        student_id=text("student_id"),
        problem=text("problem"),
        part=part_called(of.find if of else "", text("part")) or text("part"),
        points=row.read("points", cells.number, 0.0),
        note=text("note"),
        written=text("written"),
        everyone=row.read("same_for_all", cells.yes_or_no, False),
        source=FROM_RUBRIC if text("source") == FROM_RUBRIC else FROM_FEEDBACK,
        alone=row.read("note_alone", cells.yes_or_no, False),
    )


def _check_at_most(row: SheetRow, points: float, possible: float | None) -> None:
    try:
        check_possible(points, possible)
    except cells.CellError as error:
        row.fault("points", f"{points:g}", error.expected, error.remedy)


@dataclass
class _Typed:
    """What the teacher typed into the feedback workbook since it was written: ``new`` decisions, and notes."""

    rubric: Rubric
    problems: Mapping[str, Problem]
    kept: Mapping[Key, KeptDecision]
    before: pd.DataFrame | None
    findings: Findings
    new: dict[Key, KeptDecision] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._told = dict(_points_and_notes(self.before))
        self._comments = dict(_comments(self.before))
        self._has_comments = False

    def take_looked_at(self, table: RawTable) -> None:
        """Take what stands in the teacher's columns of the sheet of answers to look at."""
        for row in rows_of(table, _TO_LOOK_AT, self.findings):
            decision = self._looked_at(row)
            if decision is not None and not self._ruled(row, decision.key):
                self.new[decision.key] = decision

    def take_changed(self, table: RawTable) -> None:
        """Take the points and the comments on the sheet Feedback that are no longer those of the marks."""
        rows = tuple(rows_of(table, _FEEDBACK, self.findings))
        self._has_comments = any("Comment" in row.cells for row in rows)
        for row in rows:
            decision = self._changed(row)
            if decision is None or self._ruled(row, decision.key):
                continue
            other = self.new.setdefault(decision.key, decision)
            if abs(other.points - decision.points) > 1e-6:
                row.fault(
                    "Points",
                    f"{decision.points:g}",
                    f"{other.points:g}, as you gave on the sheet {_TO_LOOK_AT.name}",
                    "Type the points that you mean on both sheets.",
                )
            elif decision.note and other.note and not _same_text(decision.note, other.note):
                row.fault(
                    "Comment",
                    quoted(decision.note),
                    f"{quoted(other.note)}, your note on the sheet {_TO_LOOK_AT.name}",
                    "Type the comment that you mean on one of the sheets.",
                )
            elif decision.note and not other.note:
                self.new[decision.key] = replace(other, note=decision.note, alone=decision.alone)

    def _looked_at(self, row: SheetRow) -> KeptDecision | None:
        everyone = row.read("Same for all", cells.yes_or_no, False)
        note = row.text(_NOTE)
        if row.blank("Your points"):
            if note or everyone:
                self._note(row, "a note without points decides nothing and was not kept.")
            return None
        key = self._key(row)
        points = self._points(row, key, "Your points", "Points possible")
        earlier, told = self.kept.get(key), self._told.get(key)
        if told is not None and abs(told[0] - points) < 1e-6 and fold(told[1]) == fold(note):
            if not everyone or (earlier is not None and earlier.everyone):
                return None
            if earlier is not None:
                return replace(earlier, everyone=True)
        everyone = everyone or (earlier is not None and earlier.everyone)
        return KeptDecision(*key, points, "" if note == BY_DEFAULT else note, _written(row), everyone)

    def _changed(self, row: SheetRow) -> KeptDecision | None:
        key = self._key(row)
        earlier, told, looked_at = self.kept.get(key), self._told.get(key), self.new.get(key)
        comment = self._comment(row, key)
        if row.blank("Points"):
            if told is not None and looked_at is None:
                self._note(row, "the points were taken out, which decides nothing; type 0 where there are to be none.")
            elif comment and looked_at is None:
                self._note(row, "a comment without points decides nothing and was not kept; give points too.")
            elif comment and looked_at is not None:
                return replace(looked_at, note=comment, alone=True)
            return None
        points = self._points(row, key, "Points", "Possible")
        if told is not None and abs(told[0] - points) < 1e-6 and not comment:
            return None
        decision = earlier or KeptDecision(*key, points)
        if comment:
            decision = replace(decision, note=comment, alone=True)
        return replace(decision, points=points, written=_written(row))

    def _comment(self, row: SheetRow, key: Key) -> str:
        """The comment that was typed in place of the one written; blank where it is the same, or was taken out."""
        before = self._comments.get(key)
        if before is None or not self._has_comments:
            return ""
        said = row.text("Comment")
        if _same_text(said, before):
            return ""
        if not said:
            self._note(
                row, "the comment was taken out, which decides nothing; type the one that the student is to read."
            )
        return said

    def _key(self, row: SheetRow) -> Key:
        student_id, label, said = (row.text(heading) for heading in ("Student ID", "Problem", "Part"))
        of = self.problems.get(fold(label))
        part = part_called(of.find if of else "", said) if said else ""
        if part is None:
            names = [part_name(of.find, each) for each in asked_parts(of)] if of else PARTS
            row.fault("Part", f"“{said}”", f"{', '.join(names)}, or blank")
        return (student_id, of.label if of else label, part or "")

    def _points(self, row: SheetRow, key: Key, heading: str, of: str) -> float:
        _, label, part = key
        problem = self.problems.get(fold(label))
        possible = row.read(of, cells.number, None) or (points_possible(problem, part) if problem else None)
        return row.read(heading, partial(decided_points, possible=possible, settings=self.rubric.settings), 0.0)

    def _ruled(self, row: SheetRow, key: Key) -> bool:
        """Whether the rubric decides this; it wins, which is said."""
        student, problem, part = key
        ruled = any(
            (each.student_id, each.problem) == (student, problem) and each.part in ("", part)
            for each in self.rubric.decisions
        )
        if ruled:
            self._note(row, "the sheet Decisions of the rubric decides this answer and wins; change it there.")
        return ruled

    def _note(self, row: SheetRow, sentence: str) -> None:
        self.notes.append(f"{row.findings.file}, sheet {row.sheet}, row {row.number}: {sentence}")


def _written(row: SheetRow) -> str:
    cell = row.cells.get("Written", "")
    return row.text("Written") if isinstance(cell, str) else as_text(cell)


def _same_text(one: str, other: str) -> bool:
    """Whether two comments read alike: files keep neither the signs that control a screen nor every space."""
    return _bare(one) == _bare(other)


def _bare(text: str) -> str:
    kept = (each for each in text if each.isspace() or not unicodedata.category(each).startswith("C"))
    return " ".join("".join(kept).split())


def _comments(marks: pd.DataFrame | None) -> Iterator[tuple[Key, str]]:
    """What each part's student reads, as the sheet Feedback shows it; nothing from marks without that column."""
    if marks is None or "feedback" not in marks:
        return
    for student, problem, part, said in zip(
        *(marks[name].tolist() for name in ("student_id", "problem", "part", "feedback"))
    ):
        yield (student, problem, part), str(said)


def _points_and_notes(marks: pd.DataFrame | None) -> Iterator[tuple[Key, tuple[float, str]]]:
    """For each part of the marks that has points: those, and what it says of a decision."""
    if marks is None:
        return
    names = ("student_id", "problem", "part", "points", "decided")
    for student, problem, part, points, note in zip(*(marks[name].tolist() for name in names)):
        if points == points:
            yield (student, problem, part), (float(points), str(note))


def decisions_csv(kept: Iterable[KeptDecision]) -> bytes:
    """The file that keeps them: CSV (RFC 4180, UTF-8), a row for each decision."""
    rows: list[tuple[Cell, ...]] = [tuple(column.heading for column in _KEPT.columns)]
    rows += [
        (
            *(*each.key, each.points, each.note, each.written, "yes" if each.everyone else "", each.source),
            "yes" if each.alone else "",
        )
        for each in kept
    ]
    return csv_bytes(rows)
