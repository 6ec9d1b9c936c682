"""The words by which columns and rows of an export are known; they live in data/columns.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files


@dataclass(frozen=True)
class Words:
    """The table of words; see the comments in data/columns.toml for what each holds."""

    person: Mapping[str, Mapping[str, int]]  # what is held → phrase → its rank, 0 the surest
    person_within: Mapping[str, tuple[str, ...]]
    of_rows: Mapping[str, tuple[str, ...]]  # what is held where a row is one answer → phrases
    not_a_person: frozenset[str]
    problem: tuple[str, ...]  # the longest first
    not_an_answer: frozenset[str]
    fillers: frozenset[str]
    boxes: Mapping[str, Mapping[str, tuple[str, ...]]]  # answer form → box → phrases
    maximum: frozenset[str]
    total: frozenset[str]
    test: frozenset[str]


@cache
def words() -> Words:
    """The words of the trade, read once."""
    data = tomllib.loads(files("grader.exchange").joinpath("data/columns.toml").read_text(encoding="utf-8"))
    return Words(
        person={held: {each: rank for rank, each in enumerate(phrases)} for held, phrases in data["person"].items()},
        person_within={held: tuple(phrases) for held, phrases in data["person_within"].items()},
        of_rows={held: tuple(phrases) for held, phrases in data["of_rows"].items()},
        not_a_person=frozenset(data["not_a_person"]["words"]),
        problem=tuple(sorted(data["problem"]["words"], key=len, reverse=True)),
        not_an_answer=frozenset(data["not_an_answer"]["words"]),
        fillers=frozenset(data["not_an_answer"]["fillers"]),
        boxes={form: {box: tuple(each) for box, each in table.items()} for form, table in data["boxes"].items()},
        maximum=frozenset(data["rows"]["maximum"]),
        total=frozenset(data["rows"]["total"]),
        test=frozenset(data["rows"]["test"]),
    )
