"""Matching the columns of an export to what they hold; every heading is accounted for, none silently."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from grader.errors import Fault
from grader.exchange.cells import Cell, column_letters, did_you_mean, fold, is_blank, listed, nearest, quoted, trimmed
from grader.exchange.headings import UNCLEAR_PART, HeadingReader, boxes_named, nearest_part
from grader.exchange.meanings import IGNORE, OF_ROWS, PARTS_OF_FORM, Meaning, answer, forms_of, read_holds
from grader.marking.definitions import ColumnRule, Rubric
from grader.methods.problem import Problem
from grader.notation.given import GivenTriangle

_BY_LETTER = re.compile("column [a-z]{1,3}")


BY_SHEET = "sheet Columns"
"""How a column was matched, or left out, by the teacher's own word."""


@dataclass(frozen=True, slots=True)
class ColumnMatch:
    """A heading of an export and what its column was taken for.

    ``heading`` is how the sheet Columns names the column: the second of two columns of one name has `` (2)`` after it.
    ``holds`` is worded as in that sheet, or is ``ignored``; ``how`` says by what (``sheet Columns``, ``label and part``),
    or why it is ignored. ``meaning`` is None for an ignored column.
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
        self._parts = {
            label: frozenset(Meaning("answer", label, part) for part in PARTS_OF_FORM[form])
            for label, form in self._forms.items()
        }
        # Who is who can also be told by the address, where the roster knows the addresses.
        self._identify = {"student id", *(["email"] if any(student.email for student in rubric.students) else [])}
        self._seen: dict[str, tuple[Meaning, ...]] = {}

    @property
    def forms(self) -> Mapping[str, str]:
        """Label → the form of its answer, for every problem."""
        return self._forms

    def headings_known(self, row: Sequence[Cell]) -> int:
        """How many cells of a row are headings one knows; 0 unless one of them says who the student is.

        A row of answers can look like labels by accident, and a title can hold the word name; a student id heading
        marks the row of headings.
        """
        if not any(isinstance(cell, str) for cell in row):
            return 0
        kinds = [{meaning.kind for meaning in self._possible(trimmed(cell))} for cell in row if not is_blank(cell)]
        return sum(map(bool, kinds)) if any(self._identify & each for each in kinds) else 0

    def tells_who(self, heading: Cell) -> bool:
        """Whether a heading is one by which students are known."""
        return any(meaning.kind in self._identify for meaning in self._possible(trimmed(heading)))

    def match(self, headings: Sequence[Cell]) -> tuple[ColumnMatch, ...]:
        """What each column of an export holds. Two columns may still hold one thing; see ``faults``."""
        bare = [trimmed(each) for each in headings]
        names = numbered(bare)
        matches: dict[int, ColumnMatch] = {}
        rivals: list[tuple[int, int, Meaning, str]] = []  # (rank, index, meaning, reason) by the words of the trade
        for index, name in enumerate(names):
            rule = (self._rules.get(fold(name)) if name else None) or self._rules.get(f"column {_letters(index)}")
            meaning = read_holds(rule.holds, self._forms) if rule else None
            if meaning is not None:
                taken = None if meaning == IGNORE else meaning
                matches[index] = ColumnMatch(index, name, str(taken) if taken else "ignored", BY_SHEET, meaning=taken)
            elif not name:
                matches[index] = ColumnMatch(index, "", "ignored", "no heading")
            else:
                guesses = self._reader.guesses(bare[index])
                rivals += [(each.rank, index, each.meaning, each.reason) for each in guesses if each.meaning]
                matches[index] = ColumnMatch(index, name, "ignored", guesses[0].reason)
        self._settle(matches, rivals)
        self._settle_rows(matches, bare)
        return tuple(matches[index] for index in range(len(names)))

    def match_items(self, items: Sequence[tuple[str, str]]) -> tuple[ColumnMatch, ...]:
        """What the items of an export are, of which every row is one answer; ``items`` are pairs of item and part.

        An item is matched by the sheet Columns (its name, or its name and part), or by the words of the trade. Parts
        whose names say nothing are taken in their order, where there are as many as the answer has.
        """
        matches = [self._item(index, item, part) for index, (item, part) in enumerate(items)]
        unnamed: dict[str, list[ColumnMatch]] = {}
        for match, (_, part) in zip(matches, items):
            if match.meaning is not None and match.meaning.box == "whole" and part:
                unnamed.setdefault(match.meaning.problem, []).append(match)
        for label, several in unnamed.items():
            problem = next(each for each in self._problems if each.label == label)
            asked = asked_parts(problem)
            if len(several) != len(asked) or len(asked) < 2:
                continue
            for match, box in zip(several, asked):
                meaning = Meaning("answer", label, box)
                matches[match.index] = ColumnMatch(
                    match.index, match.heading, str(meaning), f"{match.how}, parts in their order", meaning
                )
        return tuple(matches)

    def _item(self, index: int, item: str, part: str) -> ColumnMatch:
        name = f"{item} {part}".strip()
        for said, box in ((name, ""), (item, part)):
            rule = self._rules.get(fold(said))
            meaning = read_holds(rule.holds, self._forms) if rule else None
            if meaning is not None and meaning.kind in ("answer", IGNORE.kind):
                taken = None if meaning == IGNORE else self._with_part(meaning, box)
                return ColumnMatch(index, name, str(taken) if taken else "ignored", BY_SHEET, taken)
        reason = "no word in it is known"
        for said, box in ((name, part), (item, part)):
            guess = self._reader.guesses(said)[0]
            if guess.meaning is not None and guess.meaning.kind == "answer":
                taken = self._with_part(guess.meaning, box)
                return ColumnMatch(index, name, str(taken), guess.reason, taken)
            if said == name and guess.meaning is None:
                reason = guess.reason
        return ColumnMatch(index, name, "ignored", reason)

    def _with_part(self, meaning: Meaning, part: str) -> Meaning:
        """A whole answer narrowed to the part that the export names, if it names one."""
        if meaning.box != "whole" or not part:
            return meaning
        boxes = boxes_named(part, self._forms[meaning.problem])
        return Meaning("answer", meaning.problem, boxes[0]) if len(boxes) == 1 else meaning

    def faults(self, matches: Sequence[ColumnMatch], file: str, sheet: str, row: int) -> list[Fault]:
        """Two columns with one meaning, no student id, and problems or parts that no column holds."""
        return [
            *self._doubles(matches, file, sheet, row),
            *self._missing(matches, file, sheet, row),
            *self.unclear_parts(matches, file, sheet, row),
        ]

    def unclear_parts(
        self, matches: Sequence[ColumnMatch], file: str, sheet: str = "", row: int | None = None
    ) -> list[Fault]:
        """Columns (items, where there is no ``row``) of a part that is not understood, beside columns of known parts."""
        faults = []
        for match in matches:
            if match.meaning is None or match.how != UNCLEAR_PART:
                continue
            label = match.meaning.problem
            known = [each for each in matches if each.meaning in self._parts[label]]
            if not known:
                continue
            near = nearest_part(match.heading, self._forms[label])
            held = {each.meaning.box for each in known if each.meaning is not None}
            free = [part for part in PARTS_OF_FORM[self._forms[label]] if part not in held]
            said = [near] if near else free
            beside = " and ".join(f"{quoted(each.heading)} for {each.meaning}" for each in known)
            faults.append(
                Fault(
                    file=file,
                    sheet=sheet,
                    row=row,
                    column=column_letters(match.index) if row is not None else "",
                    found=f"{quoted(match.heading)}, of which the part of problem {label} is not clear, beside {beside}",
                    expected="the name of a part, or of something that is no answer",
                    remedy=(f"Did you mean {near}? " if near else "")
                    + "Say in the sheet Columns of the rubric what it holds: "
                    + listed([f"“{each}”" for each in (*(f"problem {label} {part}" for part in said), "ignore")])
                    + ".",
                )
            )
        return faults

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
            if fold(rule.heading) in present or _BY_LETTER.fullmatch(fold(rule.heading)):
                continue
            meaning = read_holds(rule.holds, self._forms)
            if meaning in (None, IGNORE) or all(self._covers(matches, meaning) for matches in headings.values()):
                continue
            files = ", ".join(dict.fromkeys(file for file, _ in headings))
            names = [match.heading for matches in headings.values() for match in matches if match.heading]
            unread = [match.heading for matches in headings.values() for match in matches if match.meaning is None]
            # Without a column of names or times an export is whole; only a heading nearly the same is taken for a slip.
            if (
                meaning is not None
                and meaning.kind not in ("student id", "answer")
                and not nearest(rule.heading, unread)
            ):
                continue
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

    def idle_rules(self, headings: Mapping[tuple[str, str], Sequence[ColumnMatch]]) -> list[str]:
        """The headings of the sheet Columns that none of these exports has."""
        every = [match for matches in headings.values() for match in matches]
        present = {fold(match.heading) for match in every} | {f"column {_letters(match.index)}" for match in every}
        return [rule.heading for folded, rule in self._rules.items() if folded not in present]

    def _possible(self, name: str) -> tuple[Meaning, ...]:
        if name not in self._seen:
            rule = self._rules.get(fold(name))
            meaning = read_holds(rule.holds, self._forms) if rule else None
            guesses = [guess.meaning for guess in self._reader.guesses(name) if guess.meaning is not None]
            self._seen[name] = (meaning,) if meaning is not None else tuple(guesses)
        return self._seen[name]

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

    def _settle_rows(self, matches: dict[int, ColumnMatch], names: Sequence[str]) -> None:
        """Item, part and response make sense where no column is one problem's; else their columns are answers, or none."""
        of_rows = {index: match for index, match in matches.items() if match.meaning and match.meaning.kind in OF_ROWS}
        if not of_rows:
            return
        kinds = {match.meaning.kind for match in of_rows.values() if match.meaning}
        wide = any(match.meaning is not None and match.meaning.kind == "answer" for match in matches.values())
        if {"item", "response"} <= kinds and not wide:
            return
        responses = [index for index, match in of_rows.items() if match.meaning == Meaning("response")]
        meanings = [] if wide or "item" in kinds else self._in_order(len(responses))
        same = len({fold(names[index]) for index in responses}) == 1
        for index, match in of_rows.items():
            why = "each answer has a column" if wide else "no column says which problem it is"
            matches[index] = ColumnMatch(index, match.heading, "ignored", why)
        if same:
            count = len(responses)
            for place, (index, meaning) in enumerate(zip(responses, meanings), start=1):
                how = f"number {place} of {count} of this name, in order" if count > 1 else "the only problem"
                matches[index] = ColumnMatch(index, matches[index].heading, str(meaning), how, meaning)

    def _in_order(self, count: int) -> list[Meaning]:
        """What so many columns of one name hold: each a problem, or each a part, in the order of the rubric."""
        if count == len(self._problems):
            return [answer(each.label, each.answer_as) for each in self._problems]
        parts = [answer(each.label, each.answer_as, part) for each in self._problems for part in asked_parts(each)]
        return parts if count == len(parts) else []

    def _doubles(self, matches: Sequence[ColumnMatch], file: str, sheet: str, row: int) -> list[Fault]:
        holders: dict[Meaning, list[ColumnMatch]] = {}
        for match in matches:
            if match.meaning is not None and match.how != JOINED:
                holders.setdefault(match.meaning, []).append(match)
        return [
            Fault(
                file=file,
                sheet=sheet,
                row=row,
                column=" and ".join(column_letters(match.index) for match in both),
                found=f"{len(both)} columns for {meaning} ({' and '.join(quoted(match.heading) for match in both)})",
                expected="one",
                remedy="Say in the sheet Columns of the rubric which one holds it, and “ignore” for the other.",
            )
            for meaning, both in holders.items()
            if len(both) > 1
        ]

    def _missing(self, matches: Sequence[ColumnMatch], file: str, sheet: str, row: int) -> list[Fault]:
        held = {match.meaning for match in matches if match.meaning is not None}
        faults = []
        if not any(Meaning(kind) in held for kind in self._identify):
            faults.append(_absent("the student id", matches, file, sheet, row, "student id"))
        if {Meaning("item"), Meaning("response")} <= held:
            return faults  # the problems are among the rows
        return faults + self.missing_problems(matches, file, sheet, row)

    def missing_problems(
        self, matches: Sequence[ColumnMatch], file: str, sheet: str = "", row: int | None = None
    ) -> list[Fault]:
        """Problems of the rubric, or parts of them, that none of these columns (items, where there is no ``row``) holds."""
        absent = []
        for problem in self._problems:
            boxes = _boxes_of(matches, problem.label)
            if not boxes:
                absent.append(f"problem {problem.label}")
            absent += [f"problem {problem.label} {part}" for part in _parts_without(boxes, problem) if boxes]
        return [_absent(what, matches, file, sheet, row) for what in absent]

    def _covers(self, matches: Sequence[ColumnMatch], meaning: Meaning | None) -> bool:
        """Whether an export has what a meaning stands for: the same thing, or all parts of that problem."""
        if meaning is None or any(match.meaning == meaning for match in matches):
            return True
        boxes = _boxes_of(matches, meaning.problem) if meaning.kind == "answer" else set()
        problem = next((each for each in self._problems if each.label == meaning.problem), None)
        return bool(boxes) and problem is not None and not _parts_without(boxes, problem)


def _absent(
    what: str, matches: Sequence[ColumnMatch], file: str, sheet: str, row: int | None, holds: str = ""
) -> Fault:
    """That nothing holds what is needed; ``holds`` is what the sheet Columns calls it, where that is another word."""
    holder, sign = ("column", "a heading") if row is not None else ("item", "an item")
    ignored = [match.heading for match in matches if match.meaning is None and match.heading]
    unknown = f" (not understood: {', '.join(map(quoted, ignored[:8]))})" if ignored else ""
    return Fault(
        file=file,
        sheet=sheet,
        row=row,
        found=f"no {holder} for {what}{unknown}",
        expected=f"{sign} that says {what}",
        remedy=f"If {'a column' if row is not None else 'an item'} holds it, name it in the sheet Columns of the rubric "
        f"with “{holds or what}”.",
    )


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


def numbered(headings: Sequence[str]) -> list[str]:
    """Headings told apart: the second of two columns named Q1 is ``Q1 (2)``."""
    taken = {fold(each) for each in headings}
    counts: dict[str, int] = {}
    names = []
    for heading in headings:
        key = fold(heading)
        number = counts.get(key, 0) + 1
        name = heading if number == 1 else f"{heading} ({number})"
        while number > 1 and heading and fold(name) in taken:
            number += 1
            name = f"{heading} ({number})"
        counts[key] = number
        names.append(name if heading else "")
    return names


def _letters(index: int) -> str:
    return column_letters(index).casefold()


JOINED = "beside another of this name, one of them filled in each row"
"""How a column is matched that shares what it holds with an earlier one."""
