"""Every line of the corpora: read as meant, in both senses, or set aside with a reason.

The lines were written by people in given roles (``source``) who had not seen the reader; each stated meaning was judged
against the rules in grader/notation/data/rules.toml.
"""

from __future__ import annotations

import pytest

from grader.notation.read import read
from tests.notation.expectations import Line, agree, conventions, corpus, described, expect, label


@pytest.mark.parametrize("line", corpus("valid"), ids=label)
def test_read_as_meant(line: Line) -> None:
    reading = read(line["text"], line["box"], conventions(line))
    assert not reading.reason
    assert len(reading.senses) == 1, [described(sense.meaning) for sense in reading.senses]
    expect(reading.senses[0].meaning, line)


@pytest.mark.parametrize("line", corpus("two-readings"), ids=label)
def test_every_sense_is_kept(line: Line) -> None:
    senses = [described(sense.meaning) for sense in read(line["text"], line["box"], conventions(line)).senses]
    assert len(senses) >= 2
    for expected in line["senses"]:
        assert any(not agree(found, expected) for found in senses), (expected, senses)


@pytest.mark.parametrize("line", corpus("unreadable"), ids=label)
def test_set_aside(line: Line) -> None:
    reading = read(line["text"], line["box"], conventions(line))
    assert not reading.senses
    assert reading.blank == line["blank"]
    assert line["blank"] or reading.reason


def test_the_corpus_is_large_enough() -> None:
    assert len({line["text"] for line in corpus("valid")}) >= 600
    assert len({line["source"] for line in corpus("valid")}) >= 7
