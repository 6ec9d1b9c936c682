"""The corpora: each line a text as somebody wrote it, the box it stood in, and what it means.

``corpus("valid")`` gives the lines of corpus/valid.jsonl; ``expect(meaning, line)`` compares. A line has ``box``, ``text``,
``mark`` where the decimal mark is the comma, ``kind`` and the numbers of that kind, and ``source``: the role in which it was
written. Adding a line adds a test.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from grader.notation.readings import (
    Components,
    Conventions,
    Direction,
    Labelled,
    Meaning,
    NoSolution,
    Polar,
    Quantity,
    Several,
)

CORPUS = Path(__file__).parent / "corpus"

Line = dict[str, Any]


def corpus(name: str) -> list[Line]:
    with (CORPUS / f"{name}.jsonl").open(encoding="utf-8") as lines:
        return [json.loads(line) for line in lines if line.strip()]


def label(line: Line) -> str:
    return f"{line['box']}: {line['text']}"[:60]


def conventions(line: Line) -> Conventions:
    return Conventions(line.get("mark", "point"))


def described(meaning: Meaning | None) -> Any:
    """A meaning in the form of the corpus lines."""
    if meaning is None:
        return None
    if isinstance(meaning, Quantity):
        unit = meaning.unit.symbol if meaning.unit else None
        return {"kind": "quantity", "value": meaning.number.value, "place": meaning.number.place, "unit": unit}
    if isinstance(meaning, Direction):
        return {"kind": "direction", "angle": meaning.angle, "angle_place": meaning.place, "form": meaning.form}
    if isinstance(meaning, Polar):
        parts = {"magnitude": described(meaning.magnitude), "direction": described(meaning.direction)}
        return {"kind": "polar", **parts}
    if isinstance(meaning, Components):
        return {"kind": "components", "x": described(meaning.x), "y": described(meaning.y)}
    if isinstance(meaning, Labelled):
        return {"kind": "labelled", "parts": {name: described(part) for name, part in meaning.parts.items()}}
    if isinstance(meaning, Several):
        return {"kind": "several", "meanings": [described(one) for one in meaning.meanings]}
    assert isinstance(meaning, NoSolution)
    return {"kind": "none"}


def agree(found: Any, expected: Any, where: str = "") -> list[str]:
    """Where the two differ; numbers to a millionth, angles around the circle."""
    if isinstance(expected, dict):
        if not isinstance(found, dict):
            return [f"{where}: {found} for {expected}"]
        names = set(expected) - {"box", "text", "mark", "source", "why"}
        return [fault for name in sorted(names) for fault in agree(found.get(name), expected[name], f"{where}.{name}")]
    if isinstance(expected, list):
        if not isinstance(found, list) or len(found) != len(expected):
            return [f"{where}: {found} for {expected}"]
        return [fault for one, other in zip(found, expected, strict=True) for fault in agree(one, other, where)]
    if isinstance(expected, float | int) and isinstance(found, float | int):
        gap = abs(found - expected)
        if where.endswith(".angle"):
            gap = abs((found - expected + 180.0) % 360.0 - 180.0)
        return [] if gap <= 1e-6 * max(1.0, abs(expected)) else [f"{where}: {found} for {expected}"]
    return [] if found == expected else [f"{where}: {found!r} for {expected!r}"]


def expect(meaning: Meaning, line: Line) -> None:
    faults = agree(described(meaning), line)
    if faults:
        pytest.fail(f"{line['text']!r} in a {line['box']} box: " + "; ".join(faults))
