"""Matching the columns of an export to what they hold; every heading is accounted for, none silently."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from grader.errors import Fault
from grader.exchange.cells import Cell, as_text, column_letters, did_you_mean, fold, is_blank, quoted, trimmed
from grader.exchange.headings import HeadingReader
from grader.exchange.meanings import IGNORE, PARTS_OF_FORM, Meaning, forms_of, read_holds
from grader.marking.definitions import ColumnRule, Rubric
from grader.methods.problem import Problem
from grader.notation.given import GivenTriangle


@dataclass(frozen=True, slots=True)
class ColumnMatch:
    """A heading of an export and what its column was taken for.

    ``holds`` is worded as in the sheet Columns, or is ``ignored``; ``how`` says by what (``sheet Columns``, ``label and
    part``), or why it is ignored. ``meaning`` is None for an ignored column.
    """

    index: int
    heading: str
    holds: str
    how: str
    meaning: Meaning | None = None


class ColumnMatcher:
    """Matches headings for one rubric: first by its sheet Columns, then by the words of the trade."""

    def __init__(self, rubric: Rubric) -> None:
        self._forms = forms_of(rubric.problems)
        self._reader = HeadingReader(self._forms, {each.label: each.question for each in rubric.problems})
        self._rules: dict[str, ColumnRule] = {fold(rule.heading): rule for rule in rubric.columns}
        self._problems = rubric.problems

    def headings_known(self, row: Sequence[Cell]) -> int:
        """How many cells of a row are headings one knows; 0 unless one of them is the student's id.

        A row of answers can look like labels by accident, and a title can hold the word name; a student id heading
        marks the row of headings.
        """
        if not any(isinstance(cell, str) for cell in row):
            return 0
        count = 0
        with_id = False
        for cell in row:
            if is_blank(cell):
                continue
            kinds = {meaning.kind for meaning in self._possible(trimmed(cell))}
            count += bool(kinds)
            with_id = with_id or "student id" in kinds
        return count if with_id else 0

    def match(self, headings: Sequence[Cell]) -> tuple[ColumnMatch, ...]:
        """What each column of an export holds. Two columns may still hold one thing; see ``faults``."""
        names = [trimmed(each) for each in headings]
        matches: dict[int, ColumnMatch] = {}
        rivals: list[tuple[int, int, Meaning, str]] = []  # (rank, index, meaning, reason) by the words of the trade
        for index, name in enumerate(names):
            rule = self._rules.get(fold(name)) if name else None
            meaning = read_holds(rule.holds, self._forms) if rule else None
            if meaning is not None:
                taken = None if meaning == IGNORE else meaning
                matches[index] = ColumnMatch(
                    index, name, str(taken) if taken else "ignored", "sheet Columns", meaning=taken
                )
            elif not name:
                matches[index] = ColumnMatch(index, "", "ignored", "no heading")
            else:
                guesses = self._reader.guesses(name)
                rivals += [(each.rank, index, each.meaning, each.reason) for each in guesses if each.meaning]
                matches[index] = ColumnMatch(index, name, "ignored", guesses[0].reason)
        self._settle(matches, rivals)
        return tuple(matches[index] for index in range(len(names)))

    def faults(self, matches: Sequence[ColumnMatch], file: str, sheet: str, row: int) -> list[Fault]:
        """Two columns with one meaning, no student id, and problems or parts that no column holds."""
        return [
            *self._doubles(matches, file, sheet, row),
            *self._missing(matches, file, sheet, row),
        ]

    def unmatched_rules(
        self, headings: Mapping[tuple[str, str], Sequence[ColumnMatch]], rubric_file: str
    ) -> list[Fault]:
        """A heading of the sheet Columns that no export has, unless every export has what it stands for all the same.

        One sheet may speak of several exports with headings of their own, of which only some are at hand.
        ``headings`` maps (file, sheet) to the matches there; ``rubric_file`` is the name of the rubric workbook.
        """
        present = {fold(match.heading) for matches in headings.values() for match in matches}
        faults = []
        for rule in self._rules.values():
            if fold(rule.heading) in present:
                continue
            meaning = read_holds(rule.holds, self._forms)
            if meaning in (None, IGNORE) or all(self._covers(matches, meaning) for matches in headings.values()):
                continue
            files = ", ".join(dict.fromkeys(file for file, _ in headings))
            names = [match.heading for matches in headings.values() for match in matches if match.heading]
            faults.append(
                Fault(
                    file=rubric_file,
                    sheet="Columns",
                    column="Column in the export",
                    found=f"the heading {quoted(rule.heading)}, which {files} does not have",
                    expected="a heading of the export, letter for letter",
                    remedy=did_you_mean(rule.heading, names)
                    or "Copy the heading from the export, or remove the row from the sheet Columns.",
                )
            )
        return faults

    def _possible(self, name: str) -> list[Meaning]:
        rule = self._rules.get(fold(name))
        meaning = read_holds(rule.holds, self._forms) if rule else None
        if meaning is not None:
            return [meaning]
        return [guess.meaning for guess in self._reader.guesses(name) if guess.meaning is not None]

    def _settle(self, matches: dict[int, ColumnMatch], rivals: Iterable[tuple[int, int, Meaning, str]]) -> None:
        """Give each thing about a student to the surest column, and every answer to every column that claims it."""
        holder: dict[Meaning, tuple[int, int]] = {
            match.meaning: (-1, match.index) for match in matches.values() if match.meaning is not None
        }
        for rank, index, meaning, reason in sorted(rivals, key=_ids_first):
            match = matches[index]
            if match.meaning is not None:
                continue
            rival = holder.get(meaning)
            # A rival of the same rank is the same heading twice, a fault to report; a less sure one is only ignored.
            if meaning.kind != "answer" and rival is not None and rival[0] < rank:
                how = f"{meaning} is taken from {quoted(matches[rival[1]].heading)}"
                matches[index] = ColumnMatch(index, match.heading, "ignored", how)
                continue
            holder.setdefault(meaning, (rank, index))
            matches[index] = ColumnMatch(index, match.heading, str(meaning), reason, meaning)
        whole_name = [match for match in matches.values() if match.meaning == Meaning("name")]
        if whole_name:
            for index, match in matches.items():
                if match.meaning is not None and match.meaning.kind in ("first name", "last name"):
                    how = f"name is taken from {quoted(whole_name[0].heading)}"
                    matches[index] = ColumnMatch(index, match.heading, "ignored", how)

    def _doubles(self, matches: Sequence[ColumnMatch], file: str, sheet: str, row: int) -> list[Fault]:
        holders: dict[Meaning, list[ColumnMatch]] = {}
        for match in matches:
            if match.meaning is not None:
                holders.setdefault(match.meaning, []).append(match)
        return [
            Fault(
                file=file,
                sheet=sheet,
                row=row,
                column=" and ".join(column_letters(match.index) for match in both),
                found=f"{len(both)} columns for {meaning} ({' and '.join(quoted(match.heading) for match in both)})",
                expected="one",
                remedy="Say in the sheet Columns of the rubric which one holds it, and “ignore” for the other."
                if len({fold(match.heading) for match in both}) > 1
                else "Rename one of them in the export, so that they can be told apart.",
            )
            for meaning, both in holders.items()
            if len(both) > 1
        ]

    def _missing(self, matches: Sequence[ColumnMatch], file: str, sheet: str, row: int) -> list[Fault]:
        held = {match.meaning for match in matches if match.meaning is not None}
        ignored = [match.heading for match in matches if match.meaning is None and match.heading]
        faults = []

        unknown = f" (not understood: {', '.join(map(quoted, ignored[:8]))})" if ignored else ""

        def missing(what: str, holds: str) -> None:
            faults.append(
                Fault(
                    file=file,
                    sheet=sheet,
                    row=row,
                    found=f"no column for {what}{unknown}",
                    expected=f"a heading that says {what}",
                    remedy=f"If a column holds it, name it in the sheet Columns of the rubric with “{holds}”.",
                )
            )

        if Meaning("student id") not in held:
            missing("the student id", "student id")
        for problem in self._problems:
            boxes = _boxes_of(matches, problem.label)
            if not boxes:
                missing(f"problem {problem.label}", f"problem {problem.label}")
            for part in _parts_without(boxes, problem) if boxes else ():
                missing(f"problem {problem.label} {part}", f"problem {problem.label} {part}")
        return faults

    def _covers(self, matches: Sequence[ColumnMatch], meaning: Meaning | None) -> bool:
        """Whether an export has what a meaning stands for: the same thing, or all parts of that problem."""
        if meaning is None or any(match.meaning == meaning for match in matches):
            return True
        boxes = _boxes_of(matches, meaning.problem) if meaning.kind == "answer" else set()
        problem = next((each for each in self._problems if each.label == meaning.problem), None)
        return bool(boxes) and problem is not None and not _parts_without(boxes, problem)


def _boxes_of(matches: Sequence[ColumnMatch], label: str) -> set[str]:
    return {match.meaning.box for match in matches if match.meaning is not None and match.meaning.problem == label}


def _parts_without(boxes: set[str], problem: Problem) -> tuple[str, ...]:
    """The parts of a problem that none of these boxes can hold."""
    if boxes & {"whole", "value"}:
        return ()
    return tuple(part for part in asked_parts(problem) if part not in boxes)


def _ids_first(rival: tuple[int, int, Meaning, str]) -> tuple[bool, int, int]:
    """Student ids are settled first: a column Student is the id only where no other column is, and else the name."""
    rank, index, meaning, _ = rival
    return (meaning.kind != "student id", rank, index)


def asked_parts(problem: Problem) -> tuple[str, ...]:
    """The parts that an answer to this problem has; for a triangle those that are not given."""
    parts = PARTS_OF_FORM[problem.answer_as]
    if problem.answer_as == "triangle" and isinstance(problem.given, GivenTriangle):
        return tuple(part for part in parts if part not in problem.given.parts)
    return parts


def heading_row(rows: Sequence[Sequence[Cell]], matcher: ColumnMatcher, within: int = 40) -> int | None:
    """The index of the row of headings among the first rows, title lines above it allowed; None when there is none."""
    best, found = 0, None
    for index, row in enumerate(rows[:within]):
        known = matcher.headings_known(row)
        if known > best:
            best, found = known, index
    return found


def repeats(row: Sequence[Cell], headings: Sequence[Cell]) -> bool:
    """Whether a row below the headings is the row of headings again."""
    return len(row) == len(headings) and all(
        fold(as_text(cell)) == fold(as_text(heading)) for cell, heading in zip(row, headings)
    )
