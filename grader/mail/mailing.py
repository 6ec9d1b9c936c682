"""A whole mailing: the letters of a folder of results, and the messages made of those that are to go out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TypeAlias

from grader.errors import GraderError
from grader.mail.addresses import AddressBook
from grader.mail.compose import as_told, compose
from grader.mail.definitions import Drawing, MailAddress, Parcel, StudentMarks
from grader.mail.deliver import Message
from grader.mail.marks import fingerprint
from grader.mail.message import message_bytes, new_message_id
from grader.marking.definitions import Rubric, Student

Drawings: TypeAlias = Callable[[StudentMarks], Mapping[str, Drawing]]
"""For one student's marks: label of a problem → PNG drawing; see ``compose``."""


@dataclass(frozen=True)
class Selection:
    """Which students: by id, by section, or (both empty) everybody."""

    only: tuple[str, ...] = ()
    section: str = ""

    @property
    def everybody(self) -> bool:
        return not self.only and not self.section

    def holds(self, marks: StudentMarks) -> bool:
        """Whether a student is among the selected."""
        return (not self.only or marks.student_id in self.only) and (
            not self.section or marks.section.casefold() == self.section.casefold()
        )


def check_selection(marks: Sequence[StudentMarks], selection: Selection) -> None:
    """Refuse an id or section that the marks do not have, and a selection of nobody. Raises GraderError."""
    known = {each.student_id for each in marks}
    unknown = [student_id for student_id in selection.only if student_id not in known]
    if unknown:
        raise GraderError(f"The marks have no student {', '.join(unknown)}; check the ids.")
    if not any(map(selection.holds, marks)):
        sections = ", ".join(sorted({each.section for each in marks if each.section})) or "none"
        raise GraderError(f"Nobody in the marks is in section {selection.section}; the sections are: {sections}.")


def still_open(marks: Sequence[StudentMarks], parcels: Sequence[Parcel]) -> dict[str, int]:
    """Of the students to whom these parcels go, those with answers that still need a look, and how many parts of each."""
    ids = {parcel.student_id for parcel in parcels}
    counts = {each.student_id: sum(row.open for row in each.rows) for each in marks if each.student_id in ids}
    return {student_id: count for student_id, count in counts.items() if count}


def parcels_of(
    marks: Sequence[StudentMarks],
    rubric: Rubric,
    book: AddressBook,
    key: bytes,
    selection: Selection | None = None,
    drawings: Drawings | None = None,
) -> tuple[Parcel, ...]:
    """A parcel for every selected student who has an address, in the order of the marks."""
    chosen = selection or Selection()
    return tuple(
        Parcel(
            number,
            each.student_id,
            fingerprint(each.student_id, as_told(each.rows, rubric), key),
            book.addresses[each.student_id],
            compose(
                Student(each.student_id, each.name, "", each.section),
                each.rows,
                rubric,
                drawings(each) if drawings else None,
            ),
        )
        for number, each in enumerate(marks, start=1)
        if chosen.holds(each) and each.student_id in book.addresses
    )


def messages_of(
    parcels: Sequence[Parcel], sender: MailAddress, date: datetime, to: MailAddress | None = None
) -> tuple[Message, ...]:
    """The messages as they go out; with ``to``, all of them to that one address instead."""
    made = []
    for parcel in parcels:
        message_id, address = new_message_id(sender), to or parcel.to
        data = message_bytes(parcel.letter, sender, address, message_id, date)
        made.append(Message(parcel.student_id, parcel.fingerprint, message_id, address, data))
    return tuple(made)


def marks_path(folder: Path, name: str) -> Path:
    """The marks file of a folder of results. Raises GraderError when this is no such folder."""
    if not folder.is_dir():
        raise GraderError(f"{folder} is not a folder; give the folder that grader mark wrote its results into.")
    return folder / name
