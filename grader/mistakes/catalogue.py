"""The catalogue: every mistake that is made in the working, with its words."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from typing import Any

from grader.mistakes import bearings, by_components, by_parallelogram, products, triangles_and_courses
from grader.mistakes.altering import Mistake

IN_THE_WORKING: tuple[Mistake, ...] = (
    *by_parallelogram.MISTAKES,
    *by_components.MISTAKES,
    *bearings.MISTAKES,
    *products.MISTAKES,
    *triangles_and_courses.MISTAKES,
)
"""Mistakes that alter steps. Slips and mistakes of the whole answer (a triangle missed) are found by marking."""


@dataclass(frozen=True, slots=True)
class Wording:
    """How a mistake is put into words, and how common it is among wrong answers (a relative weight).

    ``told`` says the same as ``feedback`` with numbers in it, and ``hint`` asks on from there; both may be empty. ``of`` tells
    of what kind of part it can be told (``length``; any if empty). ``instead`` holds other words for kinds of problem of which
    these would not be true (``mistakes.kinds``); their weight orders names that no answer can tell apart.
    """

    id: str
    name: str
    feedback: str
    weight: float
    told: str = ""
    hint: str = ""
    of: str = ""
    instead: Mapping[str, Wording] = field(default_factory=dict)

    def on(self, kinds: Iterable[str]) -> Wording:
        """The words for a problem of these kinds, the narrowest first."""
        return next((self.instead[kind] for kind in kinds if kind in self.instead), self)


@lru_cache(maxsize=1)
def wordings() -> dict[str, Wording]:
    """Every mistake of the catalogue by id, in the order of wording.toml."""
    table = tomllib.loads(files("grader.mistakes").joinpath("wording.toml").read_text(encoding="utf-8"))
    return {id_: _wording(id_, row) for id_, row in table.items()}


def _wording(id_: str, row: Mapping[str, Any]) -> Wording:
    """A mistake's words. Those for a kind of problem stand in a table of its name: what they leave out is as in general,
    but ``told`` and ``hint``, which go with the sentence they replace."""
    general = {name: value for name, value in row.items() if not isinstance(value, dict)}
    plain = {name: value for name, value in general.items() if name not in ("told", "hint")}
    instead = {
        kind: Wording(id_, **{**(plain if "feedback" in words else general), **words})
        for kind, words in row.items()
        if isinstance(words, dict)
    }
    return Wording(id_, **general, instead=instead)


def known_mistakes() -> tuple[str, ...]:
    """The ids of all mistakes of the catalogue."""
    return tuple(wordings())
