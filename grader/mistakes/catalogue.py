"""The catalogue: every mistake that is made in the working, with its words."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from grader.mistakes import bearings, by_components, by_parallelogram, triangles_and_courses
from grader.mistakes.altering import Mistake

IN_THE_WORKING: tuple[Mistake, ...] = (
    *by_parallelogram.MISTAKES,
    *by_components.MISTAKES,
    *bearings.MISTAKES,
    *triangles_and_courses.MISTAKES,
)
"""Mistakes that alter steps. Slips and mistakes of the whole answer (a triangle missed) are found by marking."""


@dataclass(frozen=True, slots=True)
class Wording:
    """How a mistake is put into words, and how common it is among wrong answers (a relative weight).

    ``told`` says the same as ``feedback`` with numbers in it, and ``hint`` asks on from there; both may be empty. ``of`` tells
    of what kind of part it can be told (``length``; any if empty).
    """

    id: str
    name: str
    feedback: str
    weight: float
    told: str = ""
    hint: str = ""
    of: str = ""


@lru_cache(maxsize=1)
def wordings() -> dict[str, Wording]:
    """Every mistake of the catalogue by id, in the order of wording.toml."""
    table = tomllib.loads(files("grader.mistakes").joinpath("wording.toml").read_text(encoding="utf-8"))
    return {
        id_: Wording(
            id_,
            row["name"],
            row["feedback"],
            float(row["weight"]),
            row.get("told", ""),
            row.get("hint", ""),
            row.get("of", ""),
        )
        for id_, row in table.items()
    }


def known_mistakes() -> tuple[str, ...]:
    """The ids of all mistakes of the catalogue."""
    return tuple(wordings())
