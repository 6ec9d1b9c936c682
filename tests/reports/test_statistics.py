"""Test statistics against general-purpose libraries on random tables, and against worked examples."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.reports.statistics import (
    complete_rows,
    corrected_discrimination,
    correlation_interval,
    cronbach_alpha,
    difficulty,
    extreme_groups,
    kr20,
    upper_minus_lower,
    wilson,
)

SEEDS = range(12)


def _scores(seed: int, right_or_wrong: bool = False) -> np.ndarray:
    """A class of a random size whose students have an ability, so that the problems hang together."""
    generator = np.random.default_rng(seed)
    students, problems = int(generator.integers(8, 120)), int(generator.integers(2, 12))
    ability = generator.normal(size=(students, 1))
    answer = ability + generator.normal(size=(students, problems)) + generator.normal(size=(1, problems))
    return (answer > 0).astype(float) if right_or_wrong else np.clip(np.round(2 * answer + 2) / 2, 0, 4)


@pytest.mark.parametrize(("count", "total"), [(0, 10), (10, 10), (1, 3), (9, 64), (5, 5000), (41, 64), (2500, 5000)])
@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.99])
def test_wilson_agrees_with_statsmodels(count: int, total: int, confidence: float) -> None:
    proportion = pytest.importorskip("statsmodels.stats.proportion")
    low, high = proportion.proportion_confint(count, total, alpha=1 - confidence, method="wilson")
    found = wilson(count, total, confidence)
    assert (found.low, found.high) == pytest.approx((low, high), abs=1e-12)


def test_wilson_agrees_with_scipy() -> None:
    stats = pytest.importorskip("scipy.stats")
    expected = stats.binomtest(9, 64).proportion_ci(confidence_level=0.95, method="wilson")
    found = wilson(9, 64)
    assert (found.low, found.high) == pytest.approx((expected.low, expected.high), abs=1e-12)


@given(st.integers(1, 5000).flatmap(lambda total: st.tuples(st.integers(0, total), st.just(total))))
def test_a_wilson_interval_holds_the_share_and_stays_between_0_and_1(pair: tuple[int, int]) -> None:
    count, total = pair
    found = wilson(count, total)
    assert 0 <= found.low <= count / total <= found.high <= 1
    mirrored = wilson(total - count, total)
    assert mirrored.low == pytest.approx(1 - found.high, abs=1e-12)


def test_nobody_asked_says_nothing() -> None:
    found = wilson(0, 0)
    assert (found.low, found.high) == (0, 1)


@pytest.mark.parametrize("seed", SEEDS)
def test_corrected_discrimination_agrees_with_scipy(seed: int) -> None:
    stats = pytest.importorskip("scipy.stats")
    for right_or_wrong in (False, True):
        table = _scores(seed, right_or_wrong)
        found = corrected_discrimination(table)
        for j in range(table.shape[1]):
            rest = np.delete(table, j, axis=1).sum(axis=1)
            if np.ptp(table[:, j]) == 0 or np.ptp(rest) == 0:
                assert math.isnan(found[j])
                continue
            # The point-biserial is Pearson's correlation with a variable that is 0 or 1.
            expected = stats.pointbiserialr(table[:, j], rest) if right_or_wrong else stats.pearsonr(table[:, j], rest)
            assert found[j] == pytest.approx(expected.statistic, abs=1e-10)


@pytest.mark.parametrize("seed", SEEDS)
def test_alpha_agrees_with_pingouin(seed: int) -> None:
    pingouin = pytest.importorskip("pingouin")
    pandas = pytest.importorskip("pandas")
    table = _scores(seed)
    expected, _ = pingouin.cronbach_alpha(pandas.DataFrame(table))
    assert cronbach_alpha(table) == pytest.approx(expected, abs=1e-10)


@pytest.mark.parametrize("seed", SEEDS)
def test_alpha_leaves_out_students_with_an_open_score_as_pingouin_does(seed: int) -> None:
    pingouin = pytest.importorskip("pingouin")
    pandas = pytest.importorskip("pandas")
    table = _scores(seed)
    table[0, 0] = table[3, -1] = np.nan
    expected, _ = pingouin.cronbach_alpha(pandas.DataFrame(table), nan_policy="listwise")
    assert cronbach_alpha(table) == pytest.approx(expected, abs=1e-10)
    assert len(complete_rows(table)) == len(table) - 2


@pytest.mark.parametrize("seed", SEEDS)
def test_kr20_is_alpha_for_right_and_wrong(seed: int) -> None:
    pingouin = pytest.importorskip("pingouin")
    pandas = pytest.importorskip("pandas")
    table = _scores(seed, right_or_wrong=True)
    expected, _ = pingouin.cronbach_alpha(pandas.DataFrame(table))
    assert kr20(table) == pytest.approx(expected, abs=1e-10)


@pytest.mark.parametrize("seed", SEEDS)
def test_upper_minus_lower_agrees_with_pandas(seed: int) -> None:
    pandas = pytest.importorskip("pandas")
    table = _scores(seed)
    frame = pandas.DataFrame(table)
    size = min(len(frame) // 2, max(1, round(0.27 * len(frame))))
    order = frame.sum(axis=1).sort_values(ascending=False, kind="stable").index
    expected = (frame.loc[order[:size]].mean() - frame.loc[order[-size:]].mean()) / 4
    possible = np.full(table.shape[1], 4.0)
    assert upper_minus_lower(table, possible) == pytest.approx(expected.to_numpy(), abs=1e-12)


def test_of_sixty_four_students_seventeen_are_the_upper_group() -> None:
    upper, lower = extreme_groups(np.arange(64.0).reshape(-1, 1))
    assert (len(upper), len(lower)) == (17, 17)
    assert upper[0] == 63
    assert lower[-1] == 0


def test_difficulty_is_the_share_of_points_earned_by_those_whose_score_is_settled() -> None:
    table = [[4.0, 0.0], [2.0, np.nan], [0.0, 1.0]]
    assert difficulty(table, [4.0, 2.0]) == pytest.approx([0.5, 0.25])


@pytest.mark.parametrize("figure", [cronbach_alpha, kr20])
@pytest.mark.parametrize("table", [np.zeros((0, 3)), np.ones((5, 3)), np.ones((5, 1)), np.full((4, 2), np.nan)])
def test_what_the_data_cannot_give_is_nan(figure, table) -> None:  # type: ignore[no-untyped-def]
    assert math.isnan(figure(table))


def test_a_class_of_one_has_no_groups_and_no_correlation() -> None:
    one = [[1.0, 0.0]]
    assert [len(group) for group in extreme_groups(one)] == [0, 0]
    assert np.isnan(corrected_discrimination(one)).all()
    assert np.isnan(upper_minus_lower(one, [1, 1])).all()


def test_scores_of_the_wrong_shape_are_refused() -> None:
    with pytest.raises(ValueError, match="row per student"):
        cronbach_alpha([1.0, 2.0])


@pytest.mark.parametrize("seed", SEEDS)
def test_the_interval_of_a_correlation_agrees_with_scipy(seed: int) -> None:
    stats = pytest.importorskip("scipy.stats")
    table = _scores(seed)
    result = stats.pearsonr(table[:, 0], table[:, 1])
    expected, found = result.confidence_interval(0.95), correlation_interval(result.statistic, len(table))
    assert (found.low, found.high) == pytest.approx((expected.low, expected.high), abs=1e-12)


def test_a_correlation_of_nothing_may_be_anything() -> None:
    for r, students in ((0.9, 3), (math.nan, 50)):
        found = correlation_interval(r, students)
        assert (found.low, found.high) == (-1, 1)
    whole = correlation_interval(1.0, 50)
    assert (whole.low, whole.high) == (1, 1)
