"""What a class wrote to one problem, gathered: equal answers are one cluster, and near ones with the same mistake."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from grader.methods.solve import Solved
from grader.reports.drawing.answers import Answer, tip_of
from grader.reports.drawing.geometry import Point
from grader.reports.words import mistake_name

if TYPE_CHECKING:
    import pandas as pd

GOOD = ("right", "right, other form")
ALMOST = ("rounded too far", "rounded early", "follows on")
_ORDER = (
    "wrong",
    "needs a look",
    "decided",
    "rounded too far",
    "rounded early",
    "follows on",
    "right, other form",
    "right",
    "blank",
)
"""Of several parts, the verdict that comes first here speaks for the answer."""

NEAR = 0.02
"""Answers with the same mistake that lie closer than this share of the right answer's size are drawn as one."""


@dataclass(frozen=True, slots=True)
class Cluster:
    """Answers that are one dot.

    A whole vector has ``x`` and ``y``. Half an answer has ``direction`` (degrees in standard position) or ``magnitude`` alone.
    A number, or a part of a triangle, has ``part`` and ``value``. The rest is nan. ``label`` is the plain name of the mistake
    that lands there, empty where nothing explains it; ``verdict`` speaks for all parts; ``students`` are as the marks name
    them (the name, or the id where there is none), ``ids`` their ids.
    """

    x: float = math.nan
    y: float = math.nan
    direction: float = math.nan
    magnitude: float = math.nan
    part: str = ""
    value: float = math.nan
    count: int = 1
    label: str = ""
    verdict: str = "wrong"
    students: tuple[str, ...] = ()
    ids: tuple[str, ...] = ()
    mistake: str = ""

    @property
    def kind(self) -> str:
        """``tip``, ``direction``, ``magnitude``, ``half`` (one component) or ``number``."""
        if math.isfinite(self.x) and math.isfinite(self.y):
            return "tip"
        if math.isfinite(self.direction):
            return "direction"
        if math.isfinite(self.magnitude):
            return "magnitude"
        return "half" if math.isfinite(self.x) or math.isfinite(self.y) else "number"

    @property
    def good(self) -> bool:
        return self.verdict in GOOD


@dataclass
class _Written:
    """One student's answer to the problem, part by part."""

    student: str
    name: str
    values: dict[str, float] = field(default_factory=dict)
    verdicts: dict[str, str] = field(default_factory=dict)
    mistakes: dict[str, str] = field(default_factory=dict)


def clusters_of(marks: pd.DataFrame, solved: Solved) -> list[Cluster]:
    """The clusters of one problem, the largest first, from the marks table alone (``COLUMNS`` of grader.marking.mark).

    Blank answers and answers without any number are not in them; see ``left_out``. The same marks in any order give the same
    clusters.
    """
    answers = _answers(marks, solved.problem.label)
    single: dict[tuple[object, ...], list[Cluster]] = {}
    for answer in answers:
        for cluster in _of_one(answer, solved):
            key = (
                cluster.kind,
                cluster.part,
                *(round(v, 6) if math.isfinite(v) else None for v in _place(cluster)),
                cluster.mistake,
                cluster.verdict,
            )
            single.setdefault(key, []).append(cluster)
    ordered = sorted(map(_joined, single.values()), key=lambda c: (-c.count, _text_key(c)))
    near = {
        part: NEAR * max(abs(_size(solved, part)), 1e-12) for part in ("", *(key.part for key in solved.solution.parts))
    }
    found: list[list[Cluster]] = []
    for cluster in ordered:
        home = next((group for group in found if _same(cluster, group[0], near)), None)
        if home is None:
            found.append([cluster])
        else:
            home.append(cluster)
    return sorted(map(_joined, found), key=lambda c: (-c.count, _text_key(c)))


def left_out(marks: pd.DataFrame, solved: Solved) -> dict[str, int]:
    """How many students are in no cluster: verdict (``blank``, ``needs a look``, ``decided``, ``wrong``) → count."""
    counts: dict[str, int] = {}
    for answer in _answers(marks, solved.problem.label):
        if not _of_one(answer, solved):
            verdict = _verdict(answer.verdicts.values())
            counts[verdict] = counts.get(verdict, 0) + 1
    return counts


def _answers(marks: pd.DataFrame, label: str) -> list[_Written]:
    rows = marks[marks["problem"].astype(str) == label]
    found: dict[str, _Written] = {}
    columns = ("student_id", "name", "part", "value", "verdict", "mistake")
    for student, name, part, value, verdict, mistake in zip(*(rows[column].tolist() for column in columns)):
        one = found.setdefault(str(student), _Written(str(student), _word(name) or str(student)))
        one.values[part] = float(value)
        one.verdicts[part] = str(verdict)
        one.mistakes[part] = _word(mistake)
    return [found[student] for student in sorted(found)]


def _word(value: object) -> str:
    return "" if value is None or value != value else str(value)


def _of_one(answer: _Written, solved: Solved) -> list[Cluster]:
    """The dots of one student's answer: one for a vector, one for each part of a triangle."""
    finite = {part: value for part, value in answer.values.items() if math.isfinite(value)}
    parts = [key.part for key in solved.solution.parts]
    common = {"students": (answer.name,), "ids": (answer.student,)}
    if "magnitude" in parts or "x" in parts:
        verdict, mistake = (
            _verdict(answer.verdicts.values()),
            _mistake(answer.mistakes[p] for p in parts if p in answer.mistakes),
        )
        placed = _vector_place(finite)
        if placed is None:
            return []
        return [replace(placed, verdict=verdict, mistake=mistake, label=_label(verdict, mistake), **common)]  # type: ignore[arg-type]
    return [
        Cluster(
            part=part,
            value=finite[part],
            verdict=answer.verdicts[part],
            mistake=answer.mistakes[part],
            label=_label(answer.verdicts[part], answer.mistakes[part]),
            students=common["students"],
            ids=common["ids"],
        )
        for part in parts
        if part in finite
    ]


def _vector_place(finite: Answer) -> Cluster | None:
    tip = tip_of(finite)
    if tip is not None:
        return Cluster(x=tip[0], y=tip[1])
    if "direction" in finite:
        return Cluster(direction=finite["direction"])
    if "magnitude" in finite:
        return Cluster(magnitude=finite["magnitude"])
    if "x" in finite or "y" in finite:
        return Cluster(x=finite.get("x", math.nan), y=finite.get("y", math.nan))
    return None


def _verdict(verdicts: Iterable[str]) -> str:
    known = set(verdicts)
    return next((verdict for verdict in _ORDER if verdict in known), "wrong")


def _mistake(mistakes: Iterable[str]) -> str:
    return " + ".join(dict.fromkeys(mistake for mistake in mistakes if mistake))


def _label(verdict: str, mistake: str) -> str:
    if mistake:
        return mistake_name(mistake)
    return verdict if verdict in (*GOOD, *ALMOST) else ""


def _place(cluster: Cluster) -> tuple[float, ...]:
    return cluster.x, cluster.y, cluster.direction, cluster.magnitude, cluster.value


def _text_key(cluster: Cluster) -> tuple[object, ...]:
    return (
        cluster.kind,
        cluster.part,
        *(v if math.isfinite(v) else 0.0 for v in _place(cluster)),
        cluster.mistake,
        cluster.verdict,
    )


def _joined(clusters: Sequence[Cluster]) -> Cluster:
    """All at the first one's place, which is what most of them wrote; students in the order of their names."""
    first = clusters[0]
    if len(clusters) == 1:
        return first
    pairs = sorted({pair for cluster in clusters for pair in zip(cluster.students, cluster.ids)})
    good = all(cluster.good for cluster in clusters)
    verdicts = {cluster.verdict for cluster in clusters}
    return replace(
        first,
        count=sum(cluster.count for cluster in clusters),
        students=tuple(name for name, _ in pairs),
        ids=tuple(student for _, student in pairs),
        verdict="right" if good else first.verdict if len(verdicts) == 1 else _verdict(verdicts),
        label="right" if good else first.label,
    )


def _same(a: Cluster, b: Cluster, near: Mapping[str, float]) -> bool:
    if a.kind != b.kind or a.part != b.part or a.mistake != b.mistake:
        return False
    if a.good != b.good or (not a.good and a.verdict != b.verdict):
        return False
    if a.kind == "tip":
        return math.dist((a.x, a.y), (b.x, b.y)) <= near[""]
    if a.kind == "direction":
        return abs((a.direction - b.direction + 180.0) % 360.0 - 180.0) <= 2.0
    gaps = [abs(p - q) for p, q in zip(_place(a), _place(b)) if math.isfinite(p) or math.isfinite(q)]
    limit = near.get(a.part, near[""])
    return all(gap <= limit for gap in gaps)  # nan, where only one has the component, is not near


def _size(solved: Solved, part: str) -> float:
    """How large the right answer is: the vector's length, or the part's value."""
    values = {key.part: key.value for key in solved.solution.parts}
    if part in values and part not in ("x", "y", "magnitude", "direction"):
        value = values[part]
        return value if math.isfinite(value) else 1.0
    tip: Point | None = tip_of(values)
    return math.hypot(*tip) if tip is not None else 1.0


def total(clusters: Sequence[Cluster]) -> int:
    """How many answers are in the clusters."""
    return sum(cluster.count for cluster in clusters)
