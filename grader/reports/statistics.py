"""Test statistics: how hard each problem was, whether it tells strong work from weak, how far the set can be trusted.

Pure functions of numbers. A table of scores has a row per student and a column per problem, shape (students, problems);
nan stands for a score that is not settled yet. Shares lie between 0 and 1. A figure that the data cannot give (nobody
answered, everyone has the same score) is nan.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

EXTREME_SHARE = 0.27
"""The share of the class in the upper and in the lower group: Kelley 1939, The selection of upper and lower groups for
the validation of test items, Journal of Educational Psychology 30, 17–24 (27 % separates them best under normality)."""


@dataclass(frozen=True, slots=True)
class Interval:
    """The limits of an interval for a share."""

    low: float
    high: float


def wilson(count: float, total: float, confidence: float = 0.95) -> Interval:
    """The score interval for a share of ``count`` in ``total``; (0, 1) where the total is 0.

    Wilson 1927, Probable inference, the law of succession, and statistical inference, Journal of the American
    Statistical Association 22, 209–212. Unlike the textbook interval it stays between 0 and 1 and holds for small classes.
    """
    if total <= 0:
        return Interval(0.0, 1.0)
    z = NormalDist().inv_cdf(0.5 + confidence / 2)
    share = count / total
    weight = 1 + z * z / total
    middle = (share + z * z / (2 * total)) / weight
    reach = z / weight * math.sqrt(share * (1 - share) / total + z * z / (4 * total * total))
    # At a share of 0 or 1 the limit is exactly 0 or 1, which rounding would miss by a hair.
    low = 0.0 if count <= 0 else max(0.0, middle - reach)
    high = 1.0 if count >= total else min(1.0, middle + reach)
    return Interval(low, high)


def difficulty(scores: ArrayLike, possible: ArrayLike) -> Floats:
    """The share of the points that was earned on each problem (high is easy), over the settled scores; shape (problems,)."""
    table = _table(scores)
    settled = np.isfinite(table)
    with np.errstate(invalid="ignore", divide="ignore"):
        means = np.where(settled, table, 0.0).sum(axis=0) / settled.sum(axis=0)
        return np.asarray(means / np.asarray(possible, dtype=float), dtype=float)


def corrected_discrimination(scores: ArrayLike) -> Floats:
    """The correlation of each problem with the total of the others, −1 to 1; shape (problems,).

    The corrected point-biserial (item–rest correlation; Henrysson 1963, Psychometrika 28, 211–218): the problem itself is
    left out of the total, which would otherwise correlate with its own part. Only students with every score settled count.
    """
    table = complete_rows(scores)
    rest = table.sum(axis=1, keepdims=True) - table
    return np.array([_correlation(table[:, j], rest[:, j]) for j in range(table.shape[1])], dtype=float)


def correlation_interval(r: float, students: int, confidence: float = 0.95) -> Interval:
    """The interval of a correlation over so many students; (−1, 1) where there are fewer than four or none is known.

    Fisher 1921, On the “probable error” of a coefficient of correlation deduced from a small sample, Metron 1, 3–32:
    artanh r is nearly normal with the standard deviation 1/√(n − 3).
    """
    if students < 4 or math.isnan(r):
        return Interval(-1.0, 1.0)
    if abs(r) >= 1.0:
        return Interval(r, r)
    middle, reach = math.atanh(r), NormalDist().inv_cdf(0.5 + confidence / 2) / math.sqrt(students - 3)
    return Interval(math.tanh(middle - reach), math.tanh(middle + reach))


def extreme_groups(scores: ArrayLike, share: float = EXTREME_SHARE) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The rows of the upper and of the lower group, among students with every score settled.

    Each group has ``share`` of them, rounded, at least one. Students with equal totals keep the order of the table.
    """
    table = _table(scores)
    settled = np.flatnonzero(np.isfinite(table).all(axis=1))
    if len(settled) < 2:
        return np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.intp)
    size = min(len(settled) // 2, max(1, round(share * len(settled))))
    order = settled[np.argsort(-np.round(table[settled].sum(axis=1), 9), kind="stable")]
    return order[:size], order[len(order) - size :]


def upper_minus_lower(scores: ArrayLike, possible: ArrayLike, share: float = EXTREME_SHARE) -> Floats:
    """The share of points earned by the upper group minus that of the lower group, −1 to 1; shape (problems,)."""
    table = _table(scores)
    upper, lower = extreme_groups(table, share)
    if not len(upper):
        return np.full(table.shape[1], np.nan)
    most = np.asarray(possible, dtype=float)
    return np.asarray((table[upper].mean(axis=0) - table[lower].mean(axis=0)) / most, dtype=float)


def cronbach_alpha(scores: ArrayLike) -> float:
    """Cronbach's alpha of the set: how far the problems measure one thing, 1 at best.

    Cronbach 1951, Coefficient alpha and the internal structure of tests, Psychometrika 16, 297–334: k/(k−1) · (1 − Σ
    variances of the problems / variance of the total). Only students with every score settled count.
    """
    table = complete_rows(scores)
    students, problems = table.shape
    if students < 2 or problems < 2:
        return math.nan
    total = float(table.sum(axis=1).var(ddof=1))
    if total <= 1e-12:
        return math.nan
    return float(problems / (problems - 1) * (1 - float(table.var(axis=0, ddof=1).sum()) / total))


def kr20(right: ArrayLike) -> float:
    """Kuder and Richardson's formula 20 (1937, Psychometrika 2, 151–160): alpha for problems that are right (1) or not (0).

    k/(k−1) · (1 − Σ p(1−p) / variance of the total), both variances over n.
    """
    table = complete_rows(right)
    students, problems = table.shape
    if students < 2 or problems < 2:
        return math.nan
    total = float(table.sum(axis=1).var())
    if total <= 1e-12:
        return math.nan
    p = table.mean(axis=0)
    return float(problems / (problems - 1) * (1 - float((p * (1 - p)).sum()) / total))


def complete_rows(scores: ArrayLike) -> Floats:
    """The rows of a table in which every score is settled."""
    table = _table(scores)
    return table[np.isfinite(table).all(axis=1)]


def _table(scores: ArrayLike) -> Floats:
    table = np.asarray(scores, dtype=float)
    if table.ndim != 2:
        raise ValueError(f"scores need a row per student and a column per problem; got {table.ndim} dimensions")
    return table


def _correlation(first: Floats, second: Floats) -> float:
    if len(first) < 3:
        return math.nan
    a, b = first - first.mean(), second - second.mean()
    size = math.sqrt(float(a @ a) * float(b @ b))
    return float(a @ b) / size if size > 1e-12 else math.nan
