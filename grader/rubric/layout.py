"""The layout of the rubric workbook and its settings: one place for reading, for the blank workbook, for help."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from importlib.resources import files
from typing import Any

from grader.exchange.meanings import OF_ROWS, PERSONAL
from grader.marking.definitions import Deduction, Settings
from grader.methods.part_names import PART_NAMES
from grader.methods.problem import ANSWER_FORMS, DIRECTION_FORMS, FINDS, METHODS, PARTS

EXAMPLE_MARK = "EXAMPLE, write over it"
YES_OR_NO = ("yes", "no")

WORDS: Mapping[str, tuple[str, ...]] = {
    "finds": FINDS,
    "answer forms": ANSWER_FORMS,
    "direction forms": DIRECTION_FORMS,
    "methods": METHODS,
    "roundings": ("1", "0.1", "0.01", "0.001", "2 s.f.", "3 s.f.", "4 s.f.", "exact"),
    "angle roundings": ("1", "0.1", "0.01", "exact"),
    "holds": (
        *PERSONAL,
        "problem 1",
        "problem 1 magnitude",
        "problem 1 direction",
        "problem 2 x",
        "problem 2 y",
        *OF_ROWS,
        "ignore",
    ),
    "yes or no": YES_OR_NO,
    "parts": (*PARTS, *(name for names in PART_NAMES.values() for name in names.values())),
}
"""The lists of fixed words that data/workbook.toml names; ``mistakes`` is handed in by the caller."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a sheet: heading, note and width for the blank workbook, and the name of its list of words.

    ``also`` are further headings under which it is read.
    """

    heading: str
    note: str
    width: int
    required: bool = False
    words: str = ""
    free: bool = False
    ignored: bool = False
    also: tuple[str, ...] = ()


@dataclass(frozen=True)
class Sheet:
    """A sheet of the rubric workbook and what it is for."""

    name: str
    purpose: str
    columns: tuple[Column, ...]


@dataclass(frozen=True, slots=True)
class Setting:
    """A setting: its name for teachers, its field in ``Settings``, what values it takes, what it does.

    ``kind`` is ``text``, ``whole number``, ``number``, ``share``, ``yes or no``, ``word``, ``moment``, ``deduction`` or
    ``time zone``.
    """

    name: str
    field: str
    kind: str
    explanation: str
    default: str | int | float | bool | Deduction | None
    words: tuple[str, ...] = ()
    least: float = 0.0
    most: float = float("inf")

    def shown(self) -> str:
        """The default as a teacher would write it."""
        if isinstance(self.default, bool):
            return "yes" if self.default else "no"
        if isinstance(self.default, Deduction):
            share = self.default.of == "share"
            return f"{self.default.amount * 100:g} %" if share else f"{self.default.amount:g} points"
        if self.kind == "share" and isinstance(self.default, float):
            return f"{self.default * 100:g} %"
        if isinstance(self.default, float):
            return f"{self.default:g}"
        return "" if self.default is None else str(self.default)


@dataclass(frozen=True, slots=True)
class FindFacts:
    """What goes with a word of the column Find: the forms of answer (the usual one first) and how many vectors."""

    answer_as: tuple[str, ...]
    least_vectors: int
    most_vectors: float


@cache
def sheets() -> tuple[Sheet, ...]:
    """The sheets of the workbook, in order."""
    return tuple(
        Sheet(each["name"], each["purpose"], tuple(Column(**column) for column in each["column"]))
        for each in _table("workbook.toml")["sheet"]
    )


def sheet(name: str) -> Sheet:
    """The sheet of this name; KeyError when there is none."""
    for each in sheets():
        if each.name == name:
            return each
    raise KeyError(name)


@cache
def examples() -> tuple[Mapping[str, str], ...]:
    """The example rows of the sheet Problems: heading → text."""
    return tuple(_table("workbook.toml")["example"])


@cache
def settings() -> tuple[Setting, ...]:
    """Every setting, in the order of the blank workbook."""
    defaults = {each.name: each.default for each in fields(Settings)}
    return tuple(
        Setting(**{**each, "words": tuple(each.get("words", ())), "default": defaults[each["field"]]})
        for each in _table("settings.toml")["setting"]
    )


@cache
def find_facts() -> Mapping[str, FindFacts]:
    """Word of the column Find → what goes with it."""
    facts = {}
    for word, each in _table("finds.toml").items():
        at_least, _, count = each["vectors"].rpartition(" ")
        facts[word] = FindFacts(tuple(each["answer_as"]), int(count), float("inf") if at_least else int(count))
    return facts


def _table(name: str) -> dict[str, Any]:
    return tomllib.loads(files("grader.rubric").joinpath("data", name).read_text(encoding="utf-8"))
