"""Rubric workbooks made for a test: sheet → rows of heading → cell."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

TUGS: dict[str, Any] = {"Problem": "1", "Find": "resultant", "Given": "52 N at 15°; 38 N at 300°", "Points": 2}


@pytest.fixture
def book(tmp_path: Path) -> Callable[..., Path]:
    """Write sheets, each a list of rows as dictionaries, into a workbook; without the sheet Problems it has the tugs."""

    def write(name: str = "rubric.xlsx", **sheets: list[dict[str, Any]]) -> Path:
        from openpyxl import Workbook

        workbook = Workbook()
        workbook.remove(workbook.worksheets[0])
        for title, rows in {"Problems": [TUGS], **sheets}.items():
            sheet = workbook.create_sheet(title)
            headings = list(dict.fromkeys(heading for row in rows for heading in row))
            sheet.append(headings)
            for row in rows:
                sheet.append([row.get(heading) for heading in headings])
        workbook.save(tmp_path / name)
        return tmp_path / name

    return write
