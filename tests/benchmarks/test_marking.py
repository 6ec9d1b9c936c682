"""Figures for the main job: run by ``python -m pytest tests/benchmarks -s``; never part of the tests."""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from pathlib import Path

import pandas as pd
import pytest

import grader
from grader.exchange.export import read_exports

ROOT = Path(__file__).resolve().parent.parent.parent
RUBRIC = ROOT / "rubrics" / "harbour-vectors.xlsx"
EXPORTS = (ROOT / "sample_submissions" / "section-a.csv", ROOT / "sample_submissions" / "section-b.xlsx")


def say(capsys: pytest.CaptureFixture[str], text: str) -> None:
    with capsys.disabled():
        print(text)


def _class_of(students: int, folder: Path) -> Path:
    """Section A copied until the class has so many students, each with a number of their own."""
    rows = pd.read_csv(EXPORTS[0], dtype=str, keep_default_na=False, encoding="utf-8-sig")
    many = pd.concat([rows] * (students // len(rows) + 1), ignore_index=True).iloc[:students].copy()
    many[many.columns[0]] = [f"X{number:05d}" for number in range(students)]
    path = folder / "class.csv"
    many.to_csv(path, index=False)
    return path


def _timed(command: list[str]) -> tuple[float, float]:
    """(seconds, megabytes at the peak) of a whole process; the best of three."""
    best, peak = float("inf"), 0.0
    for _ in range(3):
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        best = min(best, time.perf_counter() - start)
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    return best, peak


def test_cold_start(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    seconds, _ = _timed([sys.executable, "-m", "grader.cli", "--help"])
    say(capsys, f"\ngrader --help: {seconds:.2f} s")
    export = _class_of(160, tmp_path)
    command = [sys.executable, "-m", "grader.cli", "mark", str(RUBRIC), str(export), "--out", str(tmp_path / "out")]
    seconds, peak = _timed(command)
    say(capsys, f"grader mark, 160 students × 6 problems, cold start to files written: {seconds:.2f} s, {peak:.0f} MB")


def test_throughput(capsys: pytest.CaptureFixture[str]) -> None:
    rubric = grader.read_rubric(RUBRIC)
    answers = read_exports(EXPORTS, rubric).answers
    for count in (10_000, 100_000, 1_000_000):
        table = pd.concat([answers] * (count // len(answers) + 1), ignore_index=True).iloc[:count]
        start = time.perf_counter()
        marks = grader.mark(rubric, table)
        seconds = time.perf_counter() - start
        say(
            capsys,
            f"mark: {count:>9,} answers in {seconds:6.2f} s, {count / seconds:>9,.0f} a second, {len(marks):,} marks",
        )
