"""The values that pass between the steps of a mailing: what was marked, what is said, to whom it goes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from grader.marking.attempts import EXCUSED


@dataclass(frozen=True, slots=True)
class PartRow:
    """What the marks say about one part of one answer. ``points`` is nan while the teacher has to look first, ``value`` (the
    number judged, for the drawings) where there is none."""

    problem: str
    part: str
    written: str
    read_as: str
    expected: str
    verdict: str
    points: float
    points_possible: float
    feedback: str = ""
    decided: str = ""
    value: float = math.nan

    @property
    def open(self) -> bool:
        """Whether there are no points yet."""
        return math.isnan(self.points)

    @property
    def excused(self) -> bool:
        """Whether the student is excused from this part, and no mark is given for it."""
        return self.decided == EXCUSED and not self.points_possible


@dataclass(frozen=True)
class StudentMarks:
    """All marks of one student, in the order of the marks table."""

    student_id: str
    name: str
    section: str
    rows: tuple[PartRow, ...]

    @property
    def excused(self) -> bool:
        """Whether the student is excused from all of it: there is nothing to write to them about."""
        return all(row.excused for row in self.rows)


@dataclass(frozen=True, slots=True)
class Drawing:
    """A problem's drawing as PNG bytes, and what it shows in words."""

    png: bytes
    says: str = ""


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing inside a message: PNG bytes, the id by which the HTML part names it, and what it shows in words."""

    content_id: str
    png: bytes
    alt: str


@dataclass(frozen=True)
class Letter:
    """What one student reads: subject, plain text and HTML with its drawings. It knows of no address."""

    student_id: str
    subject: str
    text: str
    html: str
    pictures: tuple[Picture, ...] = ()


@dataclass(frozen=True, slots=True)
class MailAddress:
    """A checked address. ``spec`` has its domain in ASCII (IDNA); ``international`` tells whether RFC 6531 is needed."""

    spec: str
    name: str = ""

    @property
    def domain(self) -> str:
        return self.spec.rpartition("@")[2]

    @property
    def international(self) -> bool:
        return not self.spec.isascii()


@dataclass(frozen=True)
class Parcel:
    """A letter on its way: its number in the marks, the student, the fingerprint of what it says, and the address."""

    number: int
    student_id: str
    fingerprint: str
    to: MailAddress
    letter: Letter
