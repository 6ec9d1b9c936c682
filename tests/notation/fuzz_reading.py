"""Generates and mutates texts, and reads them: ``python -m tests.notation.fuzz_reading --texts 2000000``.

Not collected by pytest. Counts exceptions and readings that break the promises of ``Reading``, and prints the slowest texts.
Times are of the processor, and a text that takes longer than the limit is timed again, three times, so that a busy machine
does not accuse it. ``crowded`` makes the texts that are hardest on a reader: filled up to the limit of length.
"""

from __future__ import annotations

import argparse
import heapq
import random
import re
import sys
import time
from collections import Counter
from typing import get_args

from grader.notation.read import MAX_LENGTH, _read_text
from grader.notation.readings import COMMA, POINT, BoxKind, Conventions, Reading
from tests.notation.expectations import CORPUS, corpus

SLOWEST_ALLOWED = 0.005  # seconds
SHOWN = 5  # of the slowest texts
BOXES: tuple[BoxKind, ...] = get_args(BoxKind)

PIECES = [*(CORPUS / "fuzz_pieces.txt").read_text(encoding="utf-8").split("\n"), "\n", "\t", " "]


STRUCTURE = [
    *"1(√^)-+*/<>[]=,;:|{}°'\"~_.!?&@∠±·×",
    "1(",
    "2^(",
    "(-",
    "sqrt",
    "sin",
    "cos ",
    "root of ",
    "square root ",
]
"""Signs on which a reader stacks, looks ahead or goes back."""

LABELS = ("R = ", "x=", "y: ", "θ = ", "A = ", "b=", "C1 = ")
ENDS = (", ", "; ", "\n", " and ", " or ", " so ", " ", ".", " = ")


def numeral(source: random.Random) -> str:
    return source.choice(("{:.0f}", "{:.1f}", "{:.2f}", "{:,.0f}", "{:.0e}", "0{:.0f}", "-{:.1f}")).format(
        10 ** source.uniform(0, 4)
    )


def word(source: random.Random) -> str:
    """Letters at random: a word that no table and no cache holds."""
    return "".join(source.choices("abcdefghijklmnopqrstuvwxyz", k=source.randint(1, 9)))


def crowded(source: random.Random) -> str:
    """A text as long as any that is read: few pieces over and over, an essay, calculations, statements, long blanks."""
    way = source.random()
    if way < 0.25:
        few = source.choices(PIECES, k=source.randint(1, 5))
        gap = source.choice(("", " ", ",", "\n", "="))
        parts = [source.choice(few) + gap for _ in range(MAX_LENGTH)]
    elif way < 0.4:
        one = "".join(source.choices(PIECES, k=source.randint(1, 3))) + source.choice(("", " "))
        parts = [one or "("] * MAX_LENGTH
    elif way < 0.55:
        few = source.choices(STRUCTURE, k=source.choice((2, 3, 4, 40)))
        parts = source.choices(few, k=MAX_LENGTH)
    elif way < 0.7:
        parts = [f"{numeral(source)} {word(source)}{source.choice(ENDS)}" for _ in range(100)]
    elif way < 0.75:
        parts = [f"{word(source)} " for _ in range(200)]
    elif way < 0.9:
        parts = [
            source.choice(LABELS) + numeral(source) + source.choice(("", "°", " lb", "N")) + source.choice(ENDS)
            for _ in range(100)
        ]
    else:
        sign = source.choice((" ", "\n", "\t", ".", "-", "_", "(", ",", "'", '"', "=", "0", "x", "&", "|", "1"))
        parts = [source.choice(PIECES), sign * source.randint(20, 480)] * 8
    return "".join(parts)[: MAX_LENGTH - source.choice((0, 0, 1, 7))]


def generated(source: random.Random, seeds: list[str]) -> str:
    """A text made of pieces, or a corpus text with a few characters changed, or two spliced, or one repeated."""
    way = source.random()
    if way < 0.3:
        gap = source.choice(("", " ", ""))
        return gap.join(source.choices(PIECES, k=source.randint(1, 14)))
    text = source.choice(seeds)
    if way < 0.35:
        return crowded(source)
    if way < 0.45:
        other = source.choice(seeds)
        return text[: source.randint(0, len(text))] + other[source.randint(0, len(other)) :]
    if way < 0.47:
        return (text or "(") * source.randint(2, max(2, MAX_LENGTH // max(1, len(text))))
    characters = list(text)
    for _ in range(source.randint(1, 4)):
        place = source.randint(0, len(characters))
        change = source.random()
        if change < 0.35:
            characters.insert(place, source.choice(PIECES))
        elif change < 0.6 and characters:
            del characters[min(place, len(characters) - 1)]
        elif change < 0.8 and len(characters) > 1:
            place = min(place, len(characters) - 2)
            characters[place], characters[place + 1] = characters[place + 1], characters[place]
        elif characters:
            characters[min(place, len(characters) - 1)] = source.choice("0123456789.,-+/()°NSEW'\" OlxijRθ√^=<>;:")
    return "".join(characters)


def broken(reading: Reading) -> str:
    """What is wrong with a reading, or nothing."""
    if bool(reading.senses) + bool(reading.reason) + reading.blank != 1:
        return "neither senses, nor a reason, nor blank"
    if len({repr(sense.meaning) for sense in reading.senses}) != len(reading.senses):
        return "one sense twice"
    return (
        "not a finite number"
        if re.search(r"=-?(?:nan|inf)\b", repr([sense.meaning for sense in reading.senses]))
        else ""
    )


def main() -> int:
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--texts", type=int, default=200_000)
    arguments.add_argument("--seed", type=int, default=1)
    options = arguments.parse_args()
    source = random.Random(options.seed)
    seeds = [line["text"] for name in ("valid", "two-readings", "unreadable") for line in corpus(name)]
    read_once = _read_text.__wrapped__
    faults: Counter[str] = Counter()
    counts: Counter[str] = Counter()
    slowest: list[tuple[float, str, str]] = []
    late = 0
    for box in BOXES:  # the tables are opened when first needed
        for seed in seeds:
            read_once(seed, box, POINT)
    began = time.perf_counter()
    for _ in range(options.texts):
        text = generated(source, seeds)
        box = source.choice(BOXES)
        conventions: Conventions = COMMA if source.random() < 0.2 else POINT
        start = time.process_time()
        try:
            reading = read_once(text, box, conventions)
        except Exception as error:
            faults[f"{type(error).__name__}: {error}"] += 1
            print(f"exception in a {box} box: {text!r}: {error!r}", file=sys.stderr)
            continue
        took = time.process_time() - start
        if took > (slowest[0][0] if len(slowest) == SHOWN else 0.0):
            took = min(took, *(seconds_for(text, box, conventions) for _ in range(3)))
            (heapq.heappush if len(slowest) < SHOWN else heapq.heappushpop)(slowest, (took, box, text))
            late += took > SLOWEST_ALLOWED
        if fault := broken(reading):
            faults[fault] += 1
            print(f"{fault} in a {box} box: {text!r}", file=sys.stderr)
        counts[
            "blank" if reading.blank else "set aside" if reading.reason else "doubt" if reading.doubtful else "read"
        ] += 1
    total = time.perf_counter() - began
    print(f"{options.texts} texts in {total:.0f} s: {dict(counts)}")
    for took, box, text in sorted(slowest, reverse=True):
        print(f"{took * 1000:.2f} ms in a {box} box: {text!r}")
    print(f"slower than {SLOWEST_ALLOWED * 1000:.0f} ms: {late or 'none'}; faults: {dict(faults) or 'none'}")
    return 1 if faults or late else 0


def seconds_for(text: str, box: BoxKind, conventions: Conventions = POINT) -> float:
    """Processor time of one reading, past the cache."""
    start = time.process_time()
    _read_text.__wrapped__(text, box, conventions)
    return time.process_time() - start


if __name__ == "__main__":
    sys.exit(main())
