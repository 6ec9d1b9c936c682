"""What several homeworks say together: which wrong turns fade, which stay, and with whom. Pure functions of records."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from grader.history.records import Homework

GONE, FADING, STAYING, GROWING, NEW, ONCE = (
    "gone",
    "fading",
    "staying",
    "growing",
    "new",
    "one homework only",
)

_HALF = 0.5
_MORE = 1.5


@dataclass(frozen=True, slots=True)
class Cell:
    """One wrong turn in one homework: how many made it, of how many who could (answered a problem that can show it)."""

    made: int
    could: int

    @property
    def share(self) -> float:
        return self.made / self.could if self.could else 0.0


@dataclass(frozen=True)
class Row:
    """One wrong turn over time. ``staying`` names the students who made it more than once, and at their last chance too;
    ``overcome`` counts those who made it once and not at their last chance."""

    mistake: str
    name: str
    cells: tuple[Cell, ...]
    trend: str
    staying: tuple[str, ...]
    overcome: int


@dataclass(frozen=True)
class Progress:
    """The homeworks by title, oldest first, and the wrong turns, those that stay first."""

    homeworks: tuple[str, ...]
    rows: tuple[Row, ...]

    def shared(self) -> tuple[Row, ...]:
        """The wrong turns that two students or more took in one homework."""
        return tuple(row for row in self.rows if max(cell.made for cell in row.cells) > 1)

    def sentence(self) -> str:
        """``Over 3 homeworks: fading are …; staying are ….``"""
        said = []
        for verb, trends in (("fading or gone", (FADING, GONE)), ("staying or growing", (STAYING, GROWING))):
            names = [row.name for row in self.shared() if row.trend in trends]
            if names:
                more = f" and {len(names) - 4} more" if len(names) > 4 else ""
                said.append(f"{verb}: {'; '.join(names[:4])}{more}")
        opening = f"Over {len(self.homeworks)} homeworks"
        return (
            f"{opening}, {'. Still '.join(said)}." if said else f"{opening}, nothing can be said of any wrong turn yet."
        )


def progress(
    homeworks: Sequence[Homework],
    names: Mapping[str, str],
    name_of: Callable[[str], str],
    leave_out: frozenset[str] = frozenset(),
) -> Progress | None:
    """How the wrong turns of a class changed, or None where there are fewer than two homeworks.

    ``names`` are the students of the class (id → name); others in the records are left out. ``name_of`` gives the plain
    name of a mistake; ``leave_out`` are mistakes not to follow (slips of the pen).
    """
    if len(homeworks) < 2:
        return None
    made: dict[str, list[set[str]]] = defaultdict(lambda: [set() for _ in homeworks])
    for place, homework in enumerate(homeworks):
        for turn in homework.turns:
            if turn.student in names and turn.mistake not in leave_out:
                made[turn.mistake][place].add(turn.student)
    could = [_chances(homework, names) for homework in homeworks]
    rows = [
        _row(mistake, name_of(mistake), who, [each.get(mistake, set()) for each in could], names)
        for mistake, who in made.items()
    ]
    order = {trend: place for place, trend in enumerate((GROWING, STAYING, NEW, FADING, GONE, ONCE))}
    rows.sort(key=lambda row: (order[row.trend], -sum(cell.made for cell in row.cells), row.mistake))
    return Progress(_titles(homeworks), tuple(rows))


def _titles(homeworks: Sequence[Homework]) -> tuple[str, ...]:
    """The titles, with the name of the rubric where two homeworks share one."""
    often = Counter(homework.title for homework in homeworks)
    return tuple(
        f"{homework.title} ({homework.key.partition('/')[0]})" if often[homework.title] > 1 else homework.title
        for homework in homeworks
    )


def _chances(homework: Homework, names: Mapping[str, str]) -> dict[str, set[str]]:
    """Mistake → the students who answered a problem that can show it (or did show it)."""
    answered: dict[str, set[str]] = defaultdict(set)
    for answer in homework.answers:
        if answer.answered and answer.student in names:
            answered[answer.problem].add(answer.student)
    found: dict[str, set[str]] = defaultdict(set)
    for problem, mistake in homework.could_show | {(turn.problem, turn.mistake) for turn in homework.turns}:
        found[mistake] |= answered[problem]
    return found


def _row(mistake: str, name: str, made: Sequence[set[str]], could: Sequence[set[str]], names: Mapping[str, str]) -> Row:
    cells = tuple(Cell(len(who), len(chance | who)) for who, chance in zip(made, could))
    staying, overcome = [], 0
    for student in set().union(*made):
        chances = [place for place, chance in enumerate(could) if student in chance or student in made[place]]
        times = [place for place in chances if student in made[place]]
        if len(times) > 1 and times[-1] == chances[-1]:
            staying.append(names[student])
        overcome += times[-1] != chances[-1]
    return Row(mistake, name, cells, _trend(cells), tuple(sorted(staying, key=str.casefold)), overcome)


def _trend(cells: Sequence[Cell]) -> str:
    """The last homework that could show it, against all the earlier ones that could.

    Half the share or less is fading, half as much again is growing; a difference of a single student is neither.
    """
    tried = [cell for cell in cells if cell.could]
    if len(tried) < 2:
        return ONCE
    *earlier, last = tried
    before = Cell(sum(cell.made for cell in earlier), sum(cell.could for cell in earlier))
    if not before.made:
        return NEW
    if not last.made:
        return GONE
    expected = before.share * last.could
    if last.made <= _HALF * expected and expected - last.made > 1:
        return FADING
    if last.made >= _MORE * expected and last.made - expected > 1:
        return GROWING
    return STAYING
