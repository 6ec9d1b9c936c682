"""The class made by hand, as the reports take it: marks, key and rubric."""

from __future__ import annotations

from pathlib import Path

import harbour_class
import pandas as pd
import pytest

from grader.marking.definitions import Rubric, Settings
from grader.methods.solution import Solution


@pytest.fixture
def marks() -> pd.DataFrame:
    return pd.DataFrame(harbour_class.rows())


@pytest.fixture
def solutions() -> tuple[Solution, ...]:
    return harbour_class.solutions()


@pytest.fixture
def rubric(solutions: tuple[Solution, ...]) -> Rubric:
    return Rubric(
        problems=tuple(solution.problem for solution in solutions),
        path=Path("harbour.xlsx"),
        settings=Settings(title="Tugs & currents"),
        warnings=("Sheet Problems: the heading “Hint” is not known and was left out.",),
    )
