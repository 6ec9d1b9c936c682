"""The one family of errors, each a sentence that tells a teacher what to do next."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


class GraderError(Exception):
    """Something that stops the work; ``str(error)`` is one clear sentence for the teacher."""


class NotationError(GraderError):
    """A text in the rubric (a vector, a unit, a formula) that cannot be read.

    ``text`` is what was found and ``reason`` says what was expected.
    """

    def __init__(self, text: str, reason: str) -> None:
        super().__init__(f"“{text}” cannot be read: {reason}")
        self.text = text
        self.reason = reason


class ProblemError(GraderError):
    """A problem that is well written and has no answer of the kind asked (a zero resultant, one vector)."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a file: where it stands, what was found, what was expected, what to do."""

    file: str
    found: str
    expected: str
    sheet: str = ""
    row: int | None = None
    column: str = ""
    remedy: str = ""

    def place(self) -> str:
        """Where the fault stands, as one would say it: ``rubric.xlsx, sheet Problems, row 3, column Given``."""
        spots = [self.file]
        if self.sheet:
            spots.append(f"sheet {self.sheet}")
        if self.row is not None:
            spots.append(f"row {self.row}")
        if self.column:
            spots.append(f"column {self.column}")
        return ", ".join(spots)

    def __str__(self) -> str:
        sentence = f"{self.place()}: found {self.found}; expected {self.expected}."
        return f"{sentence} {self.remedy}" if self.remedy else sentence


class InputFaults(GraderError):
    """Everything wrong with one input, reported at once; nothing has been written."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(map(str, self.faults)))
