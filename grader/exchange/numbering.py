"""Several rows of one student told apart: by the attempts they name, by their times, or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from grader.errors import Fault, InputFaults
from grader.exchange.cells import some_of
from grader.exchange.meanings import Meaning
from grader.exchange.moments import read_moments
from grader.exchange.students import Entry, ExportTable, SetAside, same_answers
from grader.marking.definitions import Settings


def with_moments(
    entries: Sequence[Entry], tables: Sequence[ExportTable], settings: Settings, notes: list[str]
) -> list[Entry]:
    """The entries with their times read, a table's all together; times that tell nothing are noted."""
    dated: list[Entry] = []
    for number, table in enumerate(tables):
        own = [each for each in entries if each.table == number]
        times = read_moments([each.submitted for each in own], settings.date_order, settings.time_zone)
        dated += [replace(each, moment=moment) for each, moment in zip(own, times.moments)]
        if settings.due is None:
            continue
        if all(match.meaning != Meaning("submitted") for match in table.matches):
            notes.append(f"{table.file} does not say when answers were handed in, and no lateness was counted there.")
        for places, what in ((times.doubtful, "can be read in two ways"), (times.unread, "is no date and time")):
            if places:
                rows = some_of([str(own[place].row) for place in places])
                remedy = " Say in the setting “date order” which it is." if places is times.doubtful else ""
                notes.append(
                    f"{table.file}: when row {rows} was handed in {what}, and no lateness was counted there.{remedy}"
                )
        if times.zoned:
            notes.append(
                f"{table.file}: its times name a time zone, and the setting “time zone” does not say where the due time "
                "holds; both were compared as they are written."
            )
    return dated


def number_attempts(
    entries: Sequence[Entry], tables: Sequence[ExportTable], aside: list[SetAside], notes: list[str]
) -> list[Entry]:
    """The entries, several of one student (and item) numbered by attempt; the same row again is set aside.

    Rows that name no attempt are numbered by their times. Raises InputFaults with every student who stands in several
    rows that nothing tells apart.
    """
    groups: dict[tuple[object, ...], list[Entry]] = {}
    for each in entries:
        groups.setdefault((each.student_id, each.item), []).append(each)
    faults: list[Fault] = []
    numbered: dict[tuple[int, int], int | None] = {}
    dropped: set[tuple[int, int]] = set()
    by_time: dict[str, None] = {}
    for group in groups.values():
        kept = _without_copies(group, tables, aside, dropped)
        numbers = [each.number for each in kept]
        if len(kept) == 1 or (None not in numbers and len(set(numbers)) == len(kept)):
            continue
        moments = [each.moment for each in kept if each.moment is not None]
        if all(number is None for number in numbers) and len(set(moments)) == len(kept):
            order = sorted(kept, key=lambda each: moments[kept.index(each)])
            numbered |= {(each.table, each.row): place for place, each in enumerate(order, start=1)}
            by_time[kept[0].student_id] = None
            continue
        faults += _clashes(kept, tables)
    if faults:
        raise InputFaults(faults)
    if by_time:
        verb = "stands" if len(by_time) == 1 else "stand"
        notes.append(
            f"{some_of(list(by_time))} {verb} in several rows, taken for attempts in the order of their times."
        )
    return [
        replace(each, number=numbered.get((each.table, each.row), each.number))
        for each in entries
        if (each.table, each.row) not in dropped
    ]


def counting_rows(
    entries: Sequence[Entry], tables: Sequence[ExportTable], settings: Settings, aside: list[SetAside]
) -> list[Entry]:
    """The rows that can count. Where the last or first attempt counts as a whole, rows of other attempts are set aside."""
    if settings.attempt_that_counts not in ("last", "first") or settings.attempts_by != "homework":
        return list(entries)
    pick = max if settings.attempt_that_counts == "last" else min
    rows: dict[str, list[Entry]] = {}
    for each in entries:
        if each.item is None:
            rows.setdefault(each.student_id, []).append(each)
    counts = {student: pick(own, key=lambda each: each.number or 0) for student, own in rows.items()}
    kept = []
    for each in entries:
        chosen = each if each.item else counts[each.student_id]
        if chosen is each:
            kept.append(each)
            continue
        table = tables[each.table]
        aside.append(
            SetAside(table.file, each.row, f"attempt {each.number}; attempt {chosen.number} counts", table.sheet)
        )
    return kept


def _without_copies(
    group: list[Entry], tables: Sequence[ExportTable], aside: list[SetAside], dropped: set[tuple[int, int]]
) -> list[Entry]:
    kept: list[Entry] = []
    for each in group:
        first = next(
            (
                other
                for other in kept
                if (other.number, other.moment) == (each.number, each.moment) and same_answers(other, each, tables)
            ),
            None,
        )
        if first is None:
            kept.append(each)
            continue
        table = tables[each.table]
        place = f"row {first.row}" if tables[first.table] is table else tables[first.table].place(first.row)
        aside.append(SetAside(table.file, each.row, f"the same as {place}", table.sheet))
        dropped.add((each.table, each.row))
    return kept


def _clashes(kept: list[Entry], tables: Sequence[ExportTable]) -> list[Fault]:
    faults = []
    for place, each in enumerate(kept[1:], start=1):
        earlier = next((other for other in kept[:place] if other.number == each.number), kept[0])
        if each.number is not None and earlier.number is not None and earlier.number != each.number:
            continue
        table, before = tables[each.table], tables[earlier.table]
        where = f"row {earlier.row}" if before is table else f"{before.file}, row {earlier.row}"
        what = f", attempt {each.number}," if each.number is not None and earlier.number == each.number else ""
        about = f" with the item “{' '.join(filter(None, each.item))}”" if each.item else ""
        faults.append(
            Fault(
                file=table.file,
                sheet=table.sheet,
                row=each.row,
                found=f"student {each.student_id}{what} a second time{about} (first in {where})",
                expected="one row for each student"
                + (" and item" if each.item else "")
                + (" and attempt" if each.number is not None else ""),
                remedy="If they are two students, give each an id of their own; if they are two attempts, add a column "
                "Attempt that numbers them.",
            )
        )
    return faults
