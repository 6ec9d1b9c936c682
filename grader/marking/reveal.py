"""What the numbers of a problem can reveal: mistakes that stay inside the band of the right answer, and mistakes that
give one and the same answer."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from grader.marking.prepared import Prepared
from grader.methods.steps import difference
from grader.mistakes.altering import NAMED
from grader.mistakes.variants import Variants

SECOND_MISSED = "second-triangle-missed"


@dataclass(frozen=True)
class Revealed:
    """The mistakes of one problem, by what an answer can tell of them (ids of the catalogue).

    ``told_apart`` show themselves by an answer of their own in at least one way; ``invisible`` never leave the band of the right
    answer; ``alike`` are sets that share every answer they lead to.
    """

    told_apart: tuple[str, ...]
    invisible: tuple[str, ...]
    alike: tuple[tuple[str, ...], ...]


def second_triangle_shows(prepared: Prepared) -> bool:
    """Whether an answer shows that its writer missed the second of two triangles: two fit, and both are asked for."""
    return (
        any(key.others for key in prepared.solved.solution.parts)
        and prepared.settings.second_triangle == "required"
        and SECOND_MISSED not in prepared.switched_off
    )


def reveal(prepared: Prepared, *, singles_only: bool = False) -> Revealed:
    """Sort the mistakes that can be made on a problem by what its answers can tell.

    ``singles_only`` leaves pairs and early rounding out of the table that is worked out for it, which is quicker and says
    the same.
    """
    variants, keys = prepared.singles if singles_only else prepared.variants, prepared.solved.solution.parts
    second = {SECOND_MISSED} if second_triangle_shows(prepared) else set()
    if not len(variants):
        return Revealed(tuple(second), tuple(sorted(variants.invisible)), ())
    # Wrong letters cannot show where directions are asked as numbers.
    as_numbers = prepared.problem.direction_as in ("standard position", "true bearing")
    singles = [i for i in variants.singles if not (as_numbers and variants.ways[i].forms == NAMED)]
    inside = np.ones(len(variants), dtype=bool)
    for key in keys:
        apart = np.abs(difference(key.part, variants.values[key.part], key.value))
        inside &= ~(apart > key.place / 2 + key.spread)
    # Two rows are one answer where the places asked cannot tell them apart.
    rows: dict[tuple[object, ...], set[str]] = {}
    for i in singles:
        if not inside[i]:
            rows.setdefault(_at_the_places(prepared, variants, i), set()).add(variants.ways[i].name)
    seen = {mistake for ids in rows.values() for mistake in ids}
    alone = {next(iter(ids)) for ids in rows.values() if len(ids) == 1}
    alike = {tuple(sorted(ids)) for ids in rows.values() if len(ids) > 1 and not ids & alone}
    hidden = ({variants.ways[i].name for i in singles} | set(variants.invisible)) - seen
    return Revealed(tuple(sorted(alone | second)), tuple(sorted(hidden)), tuple(sorted(alike)))


def _at_the_places(prepared: Prepared, variants: Variants, row: int) -> tuple[object, ...]:
    answer = []
    for key in prepared.solved.solution.parts:
        value = float(variants.values[key.part][row])
        turned = value % 360 if key.circular else value
        answer.append(round(turned / key.place) if np.isfinite(value) else None)
    return tuple(answer)
