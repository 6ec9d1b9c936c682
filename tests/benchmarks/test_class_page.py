"""How large the class page is, how long it takes to make, and how it behaves in a browser, for 160 and for 5,000 students.

Run by ``python -m pytest tests/benchmarks/test_class_page.py -s``; prints figures.
"""

from __future__ import annotations

import os
import shutil
import time
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from grader.homework import SAMPLE_EXPORTS, SAMPLE_RUBRIC, Marked, mark_homework, read_homework, sample
from grader.marking.mark import solve_all
from grader.reports.class_page.page import class_page

SECTION = 32
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
]


@pytest.fixture(scope="module")
def marked() -> Marked:
    return mark_homework(*read_homework(sample(SAMPLE_RUBRIC), [sample(name) for name in SAMPLE_EXPORTS]))


def enlarged(marks: pd.DataFrame, students: int) -> pd.DataFrame:
    """The sample class over and over, with ids, names and sections of their own; unexplained answers are all different."""
    generator = np.random.default_rng(students)
    ids = list(dict.fromkeys(marks["student_id"]))
    by_id = dict(list(marks.groupby("student_id")))
    copies = []
    for place in range(students):
        rows = by_id[ids[place % len(ids)]].copy()
        rows["student_id"] = f"P{place:05}"
        rows["name"] = rows["name"] + f" {place:05}"
        rows["section"] = f"{place // SECTION + 1}"
        free = rows["verdict"].eq("wrong") & rows["mistake"].eq("")
        rows.loc[free, "value"] = rows.loc[free, "value"] * generator.uniform(0.5, 2.0)
        copies.append(rows)
    return pd.concat(copies, ignore_index=True)


@pytest.mark.parametrize(("students", "megabytes", "seconds"), [(64, 1.0, 1.0), (160, 2.0, 1.0), (5000, 8.0, 20.0)])
def test_size_and_time(marked: Marked, tmp_path: Path, students: int, megabytes: float, seconds: float) -> None:
    marks = enlarged(marked.marks, students)
    solved = solve_all(marked.rubric)
    class_page(marked.marks, solved, marked.rubric)  # the templates are compiled once
    start = time.perf_counter()
    page = class_page(marks, solved, marked.rubric)
    took = time.perf_counter() - start
    size = len(page.encode("utf-8")) / 1e6
    print(f"\n{students:>5} students: {size:.2f} MB, made in {took:.2f} s")
    assert size < megabytes
    assert took < seconds
    _in_a_browser(page, tmp_path / "class.html", students)


def _in_a_browser(page: str, path: Path, students: int) -> None:
    driver = pytest.importorskip("playwright.sync_api", reason="the browser's part needs the Python package playwright")
    program = os.environ.get("CHROMIUM") or shutil.which("chromium")
    if not program:
        pytest.skip("the browser's part needs Chromium")
    path.write_text(page, encoding="utf-8")
    with driver.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=FLAGS)
        tab = browser.new_page(viewport={"width": 1440, "height": 900})
        start = time.perf_counter()
        tab.goto(path.as_uri())
        opened = time.perf_counter() - start
        times = tab.evaluate(
            """() => [['section', '2'], ['problem', '2'], ['section', '']].map(([name, value]) => {
                const select = document.getElementById('f-' + name), start = performance.now();
                select.value = value;
                select.dispatchEvent(new Event('change', {bubbles: true}));
                document.body.offsetHeight; // lay the page out
                return Math.round(performance.now() - start);
            })"""
        )
        nodes = tab.evaluate("document.querySelectorAll('*').length")
        browser.close()
    print(f"      in Chromium: open after {opened:.2f} s, {nodes} elements, a filter takes {times} ms")
    assert opened < 10
    assert max(times) < 2000
