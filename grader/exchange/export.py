"""Exports of answers: from files as they come to one row per student and problem, every input row accounted for."""

from __future__ import annotations

import zipfile
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from grader.errors import Fault, GraderError, InputFaults
from grader.exchange.answers import ANSWER_COLUMNS, Written, answers_table
from grader.exchange.cells import fold, is_blank, quoted, some_of, trimmed
from grader.exchange.columns import BY_SHEET, ColumnMatch, ColumnMatcher
from grader.exchange.csvfile import read_delimited
from grader.exchange.doubles import settle_doubles
from grader.exchange.headrow import find_headings
from grader.exchange.identity import settle_ids, unsettled_ids
from grader.exchange.meanings import OF_ROWS, Meaning
from grader.exchange.numbering import counting_rows, number_attempts, with_moments
from grader.exchange.own import refuse_own_workbook
from grader.exchange.qti import HEADINGS, is_results, read_results
from grader.exchange.students import (
    Entry,
    ExportTable,
    SetAside,
    cell_at,
    entries_of,
    name_of,
    of_known_items,
    person_columns,
    source_of,
    with_whole_ids,
)
from grader.exchange.table import RawTable
from grader.exchange.webtable import is_web_page, is_xml_workbook, read_web_page, read_xml_workbook
from grader.exchange.workbook import read_workbook
from grader.marking.definitions import Rubric

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["ANSWER_COLUMNS", "Export", "ExportTable", "SetAside", "Written", "read_export", "read_exports"]

Paths: TypeAlias = str | Path | Iterable[str | Path]

_WORKBOOKS = (".xlsx", ".xlsm")
_UNREADABLE = {
    ".ods": "a workbook of another format",
    ".numbers": "a workbook of another format",
    ".pdf": "a document to print",
    ".docx": "a text document",
}
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"


@dataclass(frozen=True)
class Export:
    """Everything read from the exports of one homework.

    ``answers`` is a pandas table with the columns ``ANSWER_COLUMNS``; ``written`` holds tuples of (box, cell). It has a
    row for every student and problem, in the order of the files and of the rubric, and more where several attempts can
    count: those differ in ``attempt``, and ``grader.marking.attempts`` settles which does. Every row of every table is
    the row of headings, a student's (``ExportTable.students``), or among ``set_aside``.
    """

    answers: pd.DataFrame
    tables: tuple[ExportTable, ...]
    set_aside: tuple[SetAside, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def matches(self) -> dict[str, tuple[ColumnMatch, ...]]:
        """Source (file, and sheet where a workbook has several) → what each column, and each item, was taken for."""
        return matches_of(self.tables)


def matches_of(tables: Sequence[ExportTable]) -> dict[str, tuple[ColumnMatch, ...]]:
    """Source (file, and sheet where a workbook has several) → what each column, and each item, was taken for."""
    return {source_of(table.raw, tables): (() if table.raw.made else table.matches) + table.items for table in tables}


def read_export(paths: Paths, rubric: Rubric) -> pd.DataFrame:
    """The answers of one or several exports: a row per student and problem; see ``Export.answers``."""
    return read_exports(paths, rubric).answers


def read_exports(paths: Paths, rubric: Rubric) -> Export:
    """Read one or several exports of answers to the problems of a rubric.

    They are delimited text (comma, semicolon, tab), workbooks, web pages with a table, or QTI results (XML files, folders
    and zip archives of them), with a row for each student or for each answer. Raises GraderError, one sentence, for a
    file that cannot be read or holds no students, and InputFaults for columns or students that leave doubt: a problem
    without a column, two columns for one thing, a student twice.
    """
    notes: list[str] = []
    aside: list[SetAside] = []
    matched = read_tables(paths, rubric, notes)
    ids_by_address = {fold(each.email): each.student_id for each in rubric.students if each.email}
    found: list[Entry] = []
    empty: list[ExportTable] = []
    for number, table in enumerate(matched):
        entries = entries_of(number, table, ids_by_address, aside)
        if not entries:
            empty.append(table)
        found += entries
    _check_filled(matched, empty, notes)
    found = with_whole_ids(found, matched, notes)
    found = of_known_items(found, matched, aside)
    found = with_moments(found, matched, rubric.settings, notes)
    found = number_attempts(found, matched, aside, notes)
    counting = counting_rows(found, matched, rubric.settings, aside)
    tables = tuple(
        replace(table, students={each.row: each.student_id for each in counting if each.table == number})
        for number, table in enumerate(matched)
    )
    notes += [note for table in tables for note in (*table.raw.notes, *_short_rows(table))]
    answers = answers_table(tables, counting, rubric, notes)
    order = {(table.file, table.sheet): number for number, table in enumerate(tables)}
    aside.sort(key=lambda each: (order[each.file, each.sheet], each.row))
    return Export(answers, tables, tuple(aside), tuple(notes))


def read_tables(paths: Paths, rubric: Rubric, notes: list[str]) -> list[ExportTable]:
    """The tables of the exports with what each of their columns holds; see ``read_exports`` for the errors."""
    files = [Path(paths)] if isinstance(paths, str | Path) else [Path(each) for each in paths]
    if not files:
        raise GraderError("No export of answers was named; give at least one file.")
    matcher = ColumnMatcher(rubric)
    raws: list[RawTable] = []
    for path in _without_repeats(files, notes):
        raws += _tables(path, matcher, notes)
    matched = [table for raw in _told_apart(raws) if (table := _matched(raw, matcher)) is not None]
    _check_columns(matched, matcher, rubric, notes)
    return matched


def _matched(raw: RawTable, matcher: ColumnMatcher) -> ExportTable | None:
    if raw.made:
        kinds = ("student id", "item", "part", "attempt", "submitted", "response")
        columns = tuple(
            ColumnMatch(index, heading, kind, "QTI results", Meaning(kind))
            for index, (heading, kind) in enumerate(zip(HEADINGS, kinds))
        )
        return _with_items(ExportTable(raw, 0, raw.rows[0], columns), matcher)
    headings = find_headings(raw.rows, matcher)
    if headings is None:
        return None
    matches = matcher.match(headings.cells)
    below = raw.rows[headings.row + 1 :]
    who = [match.index for match in matches if match.meaning and match.meaning.kind in ("student id", "email")]
    students = [row for row in below if any(not is_blank(cell_at(row, index)) for index in who)]
    matches = settle_ids(settle_doubles(matches, headings.cells, students), students)
    table = ExportTable(raw, headings.row, headings.cells, matches)
    return _with_items(table, matcher) if table.by_rows else table


def _with_items(table: ExportTable, matcher: ColumnMatcher) -> ExportTable:
    """The table with its items, in the order in which they come, matched too."""
    columns = person_columns(table.matches)
    pairs: dict[str, tuple[str, str]] = {}
    for row in table.rows[table.header + 1 :]:
        item, part = (trimmed(cell_at(row, columns.get(kind))) for kind in OF_ROWS[:2])
        if item and not is_blank(cell_at(row, columns.get("student id", columns.get("email")))):
            pairs.setdefault(name_of((item, part)), (item, part))
    return replace(table, items=matcher.match_items(list(pairs.values())))


def _without_repeats(files: Sequence[Path], notes: list[str]) -> list[Path]:
    kept: dict[Path, Path] = {}
    for path in files:
        if path.resolve() in kept:
            notes.append(f"{path.name} was named twice and is read once.")
        kept.setdefault(path.resolve(), path)
    return list(kept.values())


def _told_apart(raws: Sequence[RawTable]) -> list[RawTable]:
    """Two files of one name in two folders are called by their folders too."""
    paths = {raw.path for raw in raws}
    names = Counter(path.name for path in paths)
    folders = Counter((path.parent.name, path.name) for path in paths)
    told = []
    for raw in raws:
        short = f"{raw.path.parent.name}/{raw.path.name}"
        label = short if folders[raw.path.parent.name, raw.path.name] == 1 else str(raw.path)
        told.append(replace(raw, label=label) if names[raw.path.name] > 1 else raw)
    return told


def _tables(path: Path, matcher: ColumnMatcher, notes: list[str]) -> list[RawTable]:
    """The tables of one file that have a row of headings; raises GraderError when there is none."""
    if not path.exists():
        raise GraderError(f"{path} does not exist; check the name and the folder.")
    raws = _raw_tables(path, matcher, notes)
    if any(raw.made for raw in raws):
        return raws
    filled = [raw for raw in raws if not raw.empty]
    if not filled:
        raise GraderError(f"{path.name} is empty; export the answers again.")
    headed = [raw for raw in filled if find_headings(raw.rows, matcher) is not None]
    if not headed:
        first = next((row for row in filled[0].rows if sum(not is_blank(cell) for cell in row) > 1), filled[0].rows[0])
        shown = ", ".join(quoted(cell) for cell in first[:8] if not is_blank(cell))
        raise InputFaults(
            [
                Fault(
                    file=path.name,
                    sheet=filled[0].sheet,
                    found=f"no row of headings with a student id (the first row reads {shown})",
                    expected="a row of headings, one of them “Student ID” or the like",
                    remedy="If a column holds it, name it in the sheet Columns of the rubric with “student id”.",
                )
            ]
        )
    notes += [
        f"{path.name}: the sheet {quoted(raw.sheet)} has no heading for a student id and was not read."
        for raw in filled
        if raw not in headed
    ]
    return headed


def _raw_tables(path: Path, matcher: ColumnMatcher, notes: list[str]) -> list[RawTable]:
    """Everything that stands in one file, by what its first bytes are; its name only breaks ties."""
    if path.is_dir():
        return [_results(path, notes, f"{path} is a folder without QTI results; name the files of answers in it.")]
    if not path.is_file():
        raise GraderError(f"{path} is no file that can be read as a whole; save the answers in a file.")
    suffix = path.suffix.lower()
    if suffix in _UNREADABLE:
        raise GraderError(f"{path.name} is {_UNREADABLE[suffix]}; save the answers as .xlsx or .csv and try again.")
    if path.stat().st_size == 0:
        raise GraderError(f"{path.name} is empty; export the answers again.")
    with path.open("rb") as file:
        head = file.read(4096)
    if head.startswith(_OLD_WORKBOOK) and suffix == ".xls":
        raise GraderError(f"{path.name} is an old workbook; save the answers as .xlsx or .csv and try again.")
    if suffix == ".zip" or (head.startswith(b"PK") and suffix not in _WORKBOOKS and not _is_workbook(path)):
        return [_results(path, notes, f"{path.name} holds no QTI results; name the files of answers in it one by one.")]
    if suffix in _WORKBOOKS or head.startswith(b"PK\x03\x04"):
        refuse_own_workbook(path)
        return list(read_workbook(path))
    if is_xml_workbook(head):
        return list(read_xml_workbook(path))
    if is_web_page(head):
        return list(read_web_page(path))
    if suffix == ".xml" or is_results(head):
        return [_results(path, notes, f"{path.name} holds no QTI results that can be read")]
    return [read_delimited(path, matcher.headings_known)]


def _results(path: Path, notes: list[str], otherwise: str) -> RawTable:
    """The QTI results there; a GraderError with the sentence ``otherwise``, and with what was wrong, if there are none."""
    told: list[str] = []
    table = read_results(path, told)
    if table is None:
        raise GraderError(" ".join([f"{otherwise.rstrip('.')}.", *told[:3]]))
    notes += told
    return table


def _is_workbook(path: Path) -> bool:
    try:
        with zipfile.ZipFile(path) as archive:
            return "[Content_Types].xml" in archive.namelist()
    except (zipfile.BadZipFile, OSError):
        return True  # let the reader of workbooks say what is wrong with it


def _check_filled(tables: Sequence[ExportTable], empty: Sequence[ExportTable], notes: list[str]) -> None:
    """A file without any student is refused; an empty sheet beside a filled one is only noted."""
    for table in empty:
        if all(other in empty for other in tables if other.raw.path == table.raw.path):
            raise GraderError(
                f"{table.file} has headings in row {table.header + 1} and no student below them; export the answers again."
            )
        notes.append(f"{table.file}: the sheet {quoted(table.sheet)} has headings and no students.")


def _short_rows(table: ExportTable) -> list[str]:
    """A note on rows of a text file that end before the last column that is read."""
    last = max(match.index for match in table.matches if match.meaning is not None)
    short = [number for number in table.students if len(table.rows[number - 1]) <= last]
    if not short or not table.raw.delimiter:
        return []
    shown = some_of([*map(str, short)])
    ends = "row {} ends" if len(short) == 1 else "rows {} end"
    return [f"{table.file}: {ends.format(shown)} before the last column; what is missing was taken as blank."]


def _check_columns(tables: Sequence[ExportTable], matcher: ColumnMatcher, rubric: Rubric, notes: list[str]) -> None:
    faults = [
        fault for table in tables for fault in matcher.faults(table.matches, table.file, table.sheet, table.header + 1)
    ]
    for table in tables:
        if table.by_rows:
            faults += _missing_items(table, matcher, notes)
            faults += matcher.unclear_parts(table.items, table.file, table.sheet)
        faults += unsettled_ids(table)
    rubric_file = rubric.path.name if rubric.path else "the rubric"
    known = {(each.file, each.sheet): (*each.matches, *each.items) for each in tables}
    faults = matcher.unmatched_rules(known, rubric_file) + faults
    if faults:
        raise InputFaults(faults)
    idle = matcher.idle_rules(known)
    if idle:
        notes.append(
            f"{rubric_file}, sheet Columns: no export has {some_of([*map(quoted, idle)])}; "
            f"{'that row has' if len(idle) == 1 else 'those rows have'} no effect here."
        )


def _missing_items(table: ExportTable, matcher: ColumnMatcher, notes: list[str]) -> list[Fault]:
    """A problem that no item holds is a fault while some items are not understood; else nobody answered it."""
    missing = matcher.missing_problems(table.items, table.file, table.sheet)
    ununderstood = any(match.meaning is None and match.how != BY_SHEET for match in table.items)
    if ununderstood or not any(match.meaning is not None for match in table.items):
        return missing
    notes += [f"{fault.place()}: {fault.found}; taken as blank for everybody." for fault in missing]
    return []
