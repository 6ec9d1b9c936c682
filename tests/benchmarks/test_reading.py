"""Reading, measured: share of a mixed corpus read as meant and texts per second, beside general-purpose parsers.

Run with ``python -m pytest tests/benchmarks/test_reading.py``; it prints its figures. pint, sympy and quantulum3 are
general-purpose libraries: none is made for this notation, and each is asked only for what it can give, one value with perhaps a
unit. The figures say what a reader of its own is worth, not how good those libraries are; and this reader's share is that of
the corpus it was made with, which is held at 100 % by the tests.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterable
from typing import Any

import pint
import pytest
import sympy

from grader.notation.read import _read_text, read
from grader.notation.readings import POINT, BoxKind, Quantity
from tests.notation.expectations import Line, agree, conventions, corpus, described
from tests.notation.fuzz_reading import BOXES, SLOWEST_ALLOWED, crowded, seconds_for

Text = tuple[str, BoxKind]

TEXTS_PER_SECOND = 40_000
CLASS_SECONDS = 4.0


def report(capsys: pytest.CaptureFixture[str], line: str) -> None:
    with capsys.disabled():
        print(f"\n    {line}", end="")


def class_texts(count: int) -> list[Text]:
    """Distinct answers as a class writes them: mostly plain, in the usual forms."""
    source = random.Random(7)
    forms: tuple[tuple[BoxKind, Callable[[], str]], ...] = (
        ("quantity", lambda: f"{source.uniform(1, 99):.1f}"),
        ("quantity", lambda: f"{source.uniform(1, 99):.2f} lb"),
        ("quantity", lambda: f"{-source.uniform(1, 99):.2f}"),
        ("quantity", lambda: f"{source.uniform(1, 999):.1f} km/h"),
        ("direction", lambda: f"{source.uniform(0, 360):.1f}°"),
        ("direction", lambda: f"{source.uniform(0, 360):.2f}"),
        ("direction", lambda: f"{source.uniform(0, 360):.1f} degrees"),
        ("direction", lambda: f"S {source.uniform(0, 90):.1f}° E"),
        ("direction", lambda: f"{source.uniform(0, 90):.1f}° S of E"),
        ("polar", lambda: f"{source.uniform(1, 99):.1f} N at {source.uniform(0, 360):.0f}°"),
        ("components", lambda: f"<{source.uniform(1, 99):.2f}, {-source.uniform(1, 99):.2f}>"),
    )
    texts: dict[Text, None] = {}
    while len(texts) < count:
        box, form = source.choice(forms)
        texts[form(), box] = None
    return list(texts)


def seconds(read_once: Callable[[str, BoxKind], object], texts: Iterable[Text], repeats: int = 3) -> float:
    texts = list(texts)
    best = float("inf")
    for _ in range(repeats):
        start = time.process_time()
        for text, box in texts:
            read_once(text, box)
        best = min(best, time.process_time() - start)
    return best


def uncached(text: str, box: BoxKind) -> object:
    return _read_text.__wrapped__(text, box, POINT)


def test_distinct_texts_a_second(capsys: pytest.CaptureFixture[str]) -> None:
    texts = class_texts(10_000)
    seconds(uncached, texts[:500], 1)  # the tables are opened when first needed
    rate = len(texts) / seconds(uncached, texts)
    corpus_texts = [(line["text"], line["box"]) for line in corpus("valid")]
    odd = len(corpus_texts) / seconds(uncached, corpus_texts)
    report(
        capsys,
        f"distinct texts a second, one core: {rate:,.0f} as a class writes; {odd:,.0f} for the oddities of the corpus",
    )
    assert rate > TEXTS_PER_SECOND / 4  # far below the target, so that a busy machine does not fail it


def test_the_slowest_of_crowded_texts(capsys: pytest.CaptureFixture[str]) -> None:
    """Texts filled up to the limit of length; ``python -m tests.notation.fuzz_reading`` tries them by the hundred thousand."""
    source = random.Random(11)
    timed: list[tuple[float, BoxKind, str]] = []
    for _ in range(2_000):
        text, box = crowded(source), source.choice(BOXES)
        timed.append((seconds_for(text, box), box, text))
    slowest = max(
        (min(took, *(seconds_for(text, box) for _ in range(3))), box, text)
        for took, box, text in sorted(timed, reverse=True)[:20]
    )
    took, box, text = slowest
    report(capsys, f"slowest of {len(timed):,} crowded texts: {took * 1000:.2f} ms in a {box} box: {text[:60]!r}")
    assert took < 2 * SLOWEST_ALLOWED  # twice the target, so that a busy machine does not fail it


LONG_RUNS = (
    "±" + "x" * 499,
    "at" + "\n" * 490 + "R",
    "62.0 ± " + "lb/" * 160,
    "-" * 240 + "1",
    "1/" * 120 + "1",
    "J1 " * 125,
)
"""Runs of one thing, each once the slowest text that was known."""


def test_the_longest_runs(capsys: pytest.CaptureFixture[str]) -> None:
    took, text = max((min(seconds_for(text, box) for _ in range(5)), text) for text in LONG_RUNS for box in BOXES)
    report(capsys, f"slowest of {len(LONG_RUNS)} texts that are one long run: {took * 1000:.2f} ms: {text[:20]!r}")
    assert took < 2 * SLOWEST_ALLOWED


def test_a_million_rows_of_a_real_class(capsys: pytest.CaptureFixture[str]) -> None:
    source = random.Random(3)
    few = class_texts(5_000)
    rows = source.choices(few, weights=[1.0 / (rank + 1) for rank in range(len(few))], k=1_000_000)
    _read_text.cache_clear()
    start = time.process_time()
    for text, box in rows:
        read(text, box)
    took = time.process_time() - start
    report(capsys, f"a million rows with a class's repetition: {took:.2f} s")
    assert took < 2 * CLASS_SECONDS


def plain_values() -> list[Line]:
    """The part of the corpus that a parser of quantities might be asked for: one value in a quantity box."""
    return [line for line in corpus("valid") if line["box"] == "quantity" and line["kind"] == "quantity"]


def test_beside_other_parsers(capsys: pytest.CaptureFixture[str]) -> None:
    lines = plain_values()

    def ours(line: Line) -> bool:
        senses = read(line["text"], line["box"], conventions(line)).senses
        return (
            len(senses) == 1
            and isinstance(senses[0].meaning, Quantity)
            and not agree(described(senses[0].meaning), line)
        )

    registry: Any = pint.UnitRegistry()

    def by_pint(text: str) -> float:
        return float(registry.Quantity(text).magnitude)

    def by_sympy(text: str) -> float:
        return float(sympy.sympify(text, evaluate=True))

    parsers: dict[str, Callable[[str], float]] = {"pint": by_pint, "sympy": by_sympy}
    quantulum = pytest.importorskip("quantulum3.parser", reason="quantulum3 is not installed")
    parsers["quantulum3"] = lambda text: float(quantulum.parse(text)[0].value)

    start = time.process_time()
    share = sum(map(ours, lines)) / len(lines)
    rate = len(lines) / (time.process_time() - start)
    report(capsys, f"share of {len(lines)} single values of the corpus read as meant, and texts a second:")
    report(capsys, f"{'this reader':12} {share:6.1%} (value, place and unit) {rate:8,.0f}")
    for name, parse in parsers.items():
        right = 0
        start = time.process_time()
        for line in lines:
            try:
                right += abs(parse(line["text"]) - line["value"]) <= 1e-6 * max(1.0, abs(line["value"]))
            except Exception:
                continue
        took = time.process_time() - start
        report(capsys, f"{name:12} {right / len(lines):6.1%} (value alone)           {len(lines) / took:8,.0f}")
        assert share > right / len(lines)
