"""The ways in which a teacher writes roundings, allowances, points and shares."""

from __future__ import annotations

from datetime import datetime

import pytest

from grader.methods.problem import Allowance, Rounding
from grader.rubric import cells
from grader.rubric.cells import CellError

ROUNDINGS = [
    (0.1, Rounding("place", 0.1)),
    ("0.1", Rounding("place", 0.1)),
    ("0,01", Rounding("place", 0.01)),
    (1, Rounding("place", 1.0)),
    ("1°", Rounding("place", 1.0)),
    ("0.1 deg", Rounding("place", 0.1)),
    ("10", Rounding("place", 10.0)),
    ("3 s.f.", Rounding("figures", 3)),
    ("3sf", Rounding("figures", 3)),
    ("4 sig figs", Rounding("figures", 4)),
    ("2 significant figures", Rounding("figures", 2)),
    ("2 decimals", Rounding("place", 0.01)),
    ("1 d.p.", Rounding("place", 0.1)),
    ("Exact", Rounding("exact")),
]


@pytest.mark.parametrize(("cell", "rounding"), ROUNDINGS)
def test_roundings(cell: str | float, rounding: Rounding) -> None:
    assert cells.rounding(cell) == rounding


@pytest.mark.parametrize("cell", ["0.5", 5, "0", "-1", "tenth-ish", "0 s.f.", "13 s.f.", "2 m"])
def test_what_is_no_rounding(cell: str | float) -> None:
    with pytest.raises(CellError) as error:
        cells.rounding(cell)
    assert "3 s.f." in error.value.expected


ALLOWANCES = [
    (0.2, Allowance(amount=0.2)),
    ("0.2", Allowance(amount=0.2)),
    ("1%", Allowance(share=0.01)),
    ("1.5 %", Allowance(share=0.015)),
    ("0.5°", Allowance(degrees=0.5)),
    ("0.2; 0.5°", Allowance(amount=0.2, degrees=0.5)),
    ("0.5 deg; 1%", Allowance(share=0.01, degrees=0.5)),
]


@pytest.mark.parametrize(("cell", "allowance"), ALLOWANCES)
def test_allowances(cell: str | float, allowance: Allowance) -> None:
    assert cells.allowance(cell) == allowance


@pytest.mark.parametrize("cell", ["-0.2", "a bit", "0.2; 0.3", ";", "0.2;"])
def test_what_is_no_allowance(cell: str) -> None:
    with pytest.raises(CellError, match="an allowance such as"):
        cells.allowance(cell)


@pytest.mark.parametrize(
    ("cell", "points"),
    [(4, (4.0,)), ("4", (4.0,)), ("2 + 2", (2.0, 2.0)), ("1+0.5+0,5", (1.0, 0.5, 0.5)), (0, (0.0,)), ("2.5", (2.5,))],
)
def test_points(cell: str | float, points: tuple[float, ...]) -> None:
    assert cells.points(cell) == points


@pytest.mark.parametrize("cell", [-1, "-2", "2 + -1", "two", "2 +", "2; 2"])
def test_what_are_no_points(cell: str | float) -> None:
    with pytest.raises(CellError, match="points such as 4"):
        cells.points(cell)


@pytest.mark.parametrize(
    ("cell", "share"), [("75 %", 0.75), ("75%", 0.75), (0.75, 0.75), ("0,75", 0.75), (1, 1.0), (0, 0.0)]
)
def test_shares(cell: str | float, share: float) -> None:
    assert cells.share(cell) == share


@pytest.mark.parametrize("cell", ["75", 75, "110 %", -0.1, "most"])
def test_what_is_no_share(cell: str | float) -> None:
    with pytest.raises(CellError, match="a share such as 75 %"):
        cells.share(cell)


@pytest.mark.parametrize(
    ("cell", "value"), [("yes", True), ("No", False), (True, True), (False, False), ("off", False)]
)
def test_yes_or_no(cell: str | bool, value: bool) -> None:
    assert cells.yes_or_no(cell) is value


def test_damage_by_the_spreadsheet_is_named() -> None:
    with pytest.raises(CellError) as date:
        cells.text(datetime(2026, 1, 2))
    assert date.value.found == "the date or time “2026-01-02”"
    assert "format the cell as Text" in date.value.remedy
    with pytest.raises(CellError) as failed:
        cells.text("#REF!")
    assert failed.value.found == "the error #REF!"
