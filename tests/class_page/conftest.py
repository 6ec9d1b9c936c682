"""The sample class marked once, its page on disk, and a real browser to open it in."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from grader.homework import SAMPLE_EXPORTS, SAMPLE_RUBRIC, Marked, mark_homework, read_homework, sample
from grader.marking.mark import solve_all
from grader.reports.class_page.page import class_page

FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


@pytest.fixture(scope="session")
def marked() -> Marked:
    rubric, export = read_homework(sample(SAMPLE_RUBRIC), [sample(name) for name in SAMPLE_EXPORTS])
    return mark_homework(rubric, export)


@pytest.fixture(scope="session")
def page(marked: Marked) -> str:
    return class_page(marked.marks, solve_all(marked.rubric), marked.rubric)


@pytest.fixture(scope="session")
def page_file(page: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "class.html"
    path.write_text(page, encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """A Chromium of the system, never one that is downloaded."""
    playwright = pytest.importorskip("playwright.sync_api", reason="needs the Python package playwright")
    program = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if not program:
        pytest.skip("needs Chromium (Debian package chromium, or its path in the variable CHROMIUM)")
    with playwright.sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=program, args=list(FLAGS))
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def axe() -> str:
    """The source of axe-core (npm package of that name): its folder in AXE_CORE, or node_modules here or above."""
    places = [Path(os.environ["AXE_CORE"])] if os.environ.get("AXE_CORE") else []
    places += [root / "node_modules" / "axe-core" for root in Path(__file__).resolve().parents]
    for place in places:
        if (place / "axe.min.js").is_file():
            return (place / "axe.min.js").read_text(encoding="utf-8")
    pytest.skip("needs axe-core: npm install axe-core, and its folder in the variable AXE_CORE")
