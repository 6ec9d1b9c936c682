"""What is kept of a marked homework: who answered what, which wrong turns were taken, and which could have shown."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Answer:
    """One student's answer to one problem; ``points`` is None while it needs a look."""

    student: str
    problem: str
    answered: bool
    points: float | None
    possible: float


@dataclass(frozen=True, slots=True)
class WrongTurn:
    """A mistake in one student's answer to one problem, with how sure that is (0 to 1) and the points that it cost."""

    student: str
    problem: str
    mistake: str
    chance: float
    lost: float


@dataclass(frozen=True)
class Homework:
    """A marked homework. ``key`` tells homeworks apart; ``could_show`` holds (problem, mistake) for every mistake that the
    numbers of a problem can show."""

    key: str
    title: str
    could_show: frozenset[tuple[str, str]] = frozenset()
    answers: tuple[Answer, ...] = ()
    turns: tuple[WrongTurn, ...] = ()

    @property
    def students(self) -> frozenset[str]:
        return frozenset(answer.student for answer in self.answers)

    def updated(self, newer: Homework) -> Homework:
        """This homework marked again: the students of ``newer`` are replaced, those it does not have stay."""
        again = newer.students
        return replace(
            newer,
            answers=(*(each for each in self.answers if each.student not in again), *newer.answers),
            turns=(*(each for each in self.turns if each.student not in again), *newer.turns),
        )


def together(*series: Iterable[Homework]) -> tuple[Homework, ...]:
    """Several series of homeworks as one, in order of first appearance; a later record of the same homework updates."""
    found: dict[str, Homework] = {}
    for homework in (each for one in series for each in one):
        found[homework.key] = found[homework.key].updated(homework) if homework.key in found else homework
    return tuple(found.values())


def in_order(homeworks: Sequence[Homework], last: Sequence[str]) -> tuple[Homework, ...]:
    """The homeworks with those of the keys ``last`` put behind the others, in the order of these keys."""
    place = {key: position for position, key in enumerate(last, start=1)}
    return tuple(sorted(homeworks, key=lambda each: place.get(each.key, 0)))
