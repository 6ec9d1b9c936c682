"""Colours: contrast as WCAG 2.2 AA asks, and roles that differ without colour."""

from __future__ import annotations

import re

import pytest

from grader.reports.drawing.sheet import HEADS
from grader.reports.drawing.theme import DARK, LIGHT, READ, SEEN, stylesheet


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it (from memory)."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: str, b: str) -> float:
    light, dark = sorted((luminance(a), luminance(b)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_measure_itself() -> None:
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(
        4.54, abs=0.01
    )  # the well-known lightest grey for text on white


@pytest.mark.parametrize("table", [LIGHT, DARK], ids=["light", "dark"])
def test_letters_have_at_least_four_and_a_half_to_one(table: dict[str, str]) -> None:
    for name in READ:
        assert contrast(table[name], table["paper"]) >= 4.5, name


@pytest.mark.parametrize("table", [LIGHT, DARK], ids=["light", "dark"])
def test_lines_have_at_least_three_to_one(table: dict[str, str]) -> None:
    for name in SEEN:
        assert contrast(table[name], table["paper"]) >= 3.0, name


def rule(name: str) -> dict[str, str]:
    found = re.search(rf"\.vd \.{name}\{{([^}}]*)\}}", stylesheet("light"))
    assert found is not None
    return dict(part.split(":", 1) for part in found[1].split(";"))


def test_given_right_and_yours_differ_in_grey() -> None:
    strokes = {
        name: (rule(name)["stroke-width"], rule(name).get("stroke-dasharray", ""))
        for name in ("given", "right", "yours")
    }
    assert len(set(strokes.values())) == 3
    assert strokes["yours"][1]
    assert float(strokes["right"][0]) > 1.4 * float(strokes["given"][0])
    assert HEADS["right"] != HEADS["given"] != HEADS["yours"]
    assert rule("yours-head")["fill"] != rule("right-head")["fill"]


def test_explained_and_unexplained_dots_differ_in_grey() -> None:
    assert rule("dot-open")["fill"] == LIGHT["paper"]
    assert rule("dot-wrong")["fill"] != LIGHT["paper"]


def test_a_fixed_theme_has_no_properties_and_a_page_theme_has_both() -> None:
    assert "var(" not in stylesheet("light")
    assert "var(" not in stylesheet("dark")
    page = stylesheet("page")
    assert "prefers-color-scheme:dark" in page
    assert "@media print" in page
    assert LIGHT["ink"] in page
    assert DARK["ink"] in page
    assert not re.search(r"<\w+>", page)
