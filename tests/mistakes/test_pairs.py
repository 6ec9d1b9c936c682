"""The pairs of mistakes of the table, found and run side by side, beside the same pairs made and run one by one."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from grader.methods.steps import values_of
from grader.mistakes.side_by_side import run_many
from grader.mistakes.variants import _Tables
from grader.mistakes.ways import alterations_of
from tests.posed import posed, ready


@pytest.mark.parametrize(
    ("find", "given"),
    [
        ("resultant", "36.0 kN at bearing 072°; 51.0 kN S 15° W"),
        ("components", "310 m, bearing 214°"),
        ("triangle", "a=47; b=30; C=57°"),
        ("heading", "air speed 90 km/h; wind 25 km/h from SW; track N"),
    ],
)
def test_pairs_are_those_that_two_alterations_allow_and_run_as_they_do_alone(find: str, given: str) -> None:
    solved = ready(posed(find, given)).solved
    for method in solved.every_way:
        tables = _Tables(method, alterations_of(method, solved.problem), solved, 4)
        pairs = tables.pairs()
        together = {
            (i, j): both
            for (i, (first, one)), (j, (second, other)) in combinations(enumerate(tables.ways), 2)
            if first != second and (both := one.with_(other)) is not None
        }
        assert list(zip(pairs.first.tolist(), pairs.second.tolist())) == list(together)
        answers = run_many(method, [way for _, way in tables.ways], pairs).answers
        for row, both in list(enumerate(together.values()))[::7]:
            alone = values_of(both.of(method))
            for part, value in alone.items():
                np.testing.assert_allclose(answers[part][row, 0], value, rtol=1e-9, atol=1e-9, equal_nan=True)
