"""The data tables of this package, opened when they are first needed."""

from __future__ import annotations

from functools import cache
from typing import Any

FOLDER = "data"


def table_text(name: str) -> str:
    """The text of a table in the folder ``data``."""
    from importlib.resources import files

    return (files("grader.notation") / FOLDER / name).read_text(encoding="utf-8")


@cache
def load_table(name: str) -> dict[str, Any]:
    """A TOML table of the folder ``data``, by file name."""
    import tomllib

    return tomllib.loads(table_text(name))


@cache
def compass_points() -> dict[str, float]:
    """The 32 points of the compass by their letters (``NbE``): degrees clockwise from north.

    Source: Bowditch, American Practical Navigator, table of compass points (from memory).
    """
    import csv
    from io import StringIO

    return {row["letters"]: float(row["bearing"]) for row in csv.DictReader(StringIO(table_text("compass_points.csv")))}
