"""Dates and times as exports write them."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone
from typing import Any

import pytest

from grader.exchange.moments import Moments, in_zone, read_moment, read_moments, read_zone

MORNING = datetime(2026, 3, 14, 9, 5)
DAY = datetime(2026, 3, 14)


@pytest.mark.parametrize(
    ("written", "moment"),
    [
        ("2026-03-14 09:05", MORNING),
        ("2026-03-14T09:05:00", MORNING),  # ISO 8601
        ("20260314T09:05", MORNING),
        ("2026/03/14 9:05", MORNING),
        ("2026.03.14 09.05", MORNING),
        ("14 March 2026 9:05 am", MORNING),
        ("14 Mar 2026, 09:05", MORNING),
        ("14-Mar-2026 09:05", MORNING),
        ("Mar 14, 2026 at 9:05 AM", MORNING),
        ("March 14th, 2026, 9:05 a.m.", MORNING),
        ("Sat, 14 Mar 2026 09:05:00", MORNING),
        ("Saturday, March 14, 2026 9:05 AM", MORNING),
        ("14/03/2026 09:05", MORNING),
        ("14.03.2026 09:05", MORNING),
        ("3/14/2026 9:05 AM", MORNING),
        ("3/14/26 9:05", MORNING),
        ("  2026-03-14 09:05\u00a0", MORNING),
        (MORNING, MORNING),
        (date(2026, 3, 14), DAY),
        ("2026-03-14", DAY),
        ("14 March 2026", DAY),
        ("03.04.2026", datetime(2026, 4, 3)),  # day first where dots stand between (DIN 5008, common practice)
        ("03.04.26 9.05", datetime(2026, 4, 3, 9, 5)),
        ("03.14.2026 09:05", MORNING),
        ("12/03/2026 12:30 am", None),  # two readings
        ("04/04/2026", datetime(2026, 4, 4)),  # two readings, one day
        ("2026-02-30", None),
        ("31/31/2026", None),
        ("noon", None),
        ("2026-03-14 25:00", None),
        ("2026-03-14 9:05 about", None),
        ("14", None),
        (46000.5, None),
        ("", None),
    ],
)
def test_a_moment_is_read(written: Any, moment: datetime | None) -> None:
    read = read_moment(written)
    assert (read.certain if read else None) == moment


def test_half_days_are_counted_as_clocks_count_them() -> None:
    hours = [read_moment(f"2026-03-14 {each}") for each in ("12:30 am", "12:30 pm", "1:00 pm", "11:59 PM")]
    assert [each.certain.hour for each in hours if each and each.certain] == [0, 12, 13, 23]
    assert read_moment("2026-03-14 13:00 pm") is None


@pytest.mark.parametrize(
    ("text", "offset"),
    [
        ("+02:00", 2),
        ("-0500", -5),
        ("UTC+1", 1),
        ("Z", 0),
        ("utc", 0),
        ("−03:00", -3),
        ("Nowhere/Harbour", None),
        ("../x", None),
    ],
)
def test_time_zones(text: str, offset: int | None) -> None:
    zone = read_zone(text)
    assert (zone.utcoffset(DAY) if zone else None) == (None if offset is None else timedelta(hours=offset))


def test_a_moment_with_a_zone_is_put_on_the_clock_of_another() -> None:
    read = read_moment("2026-03-14T23:30:00Z")
    assert read is not None
    assert read.certain is not None
    assert in_zone(read.certain, timezone(timedelta(hours=2))) == datetime(2026, 3, 15, 1, 30)
    assert in_zone(read.certain, None) == datetime(2026, 3, 14, 23, 30)


COLUMN = ["03/04/2026", "04/04/2026", "25/04/2026", "", "soon"]


@pytest.mark.parametrize(
    ("cells", "order", "expected"),
    [
        (COLUMN, "as the export", datetime(2026, 4, 3)),  # the 25th tells
        (COLUMN[:2], "as the export", None),
        (COLUMN[:2], "month first", datetime(2026, 3, 4)),
        ([*COLUMN, "04/25/2026"], "as the export", None),  # both orders: nothing is told
        (["03.04.2026", "04/25/2026"], "as the export", datetime(2026, 4, 3)),
        (["03.04.2026"], "month first", datetime(2026, 3, 4)),  # the teacher's word
    ],
)
def test_a_column_of_dates_decides_together(cells: list[str], order: str, expected: datetime | None) -> None:
    read = read_moments(cells, order, "")
    assert read.moments[0] == expected
    assert (0 in read.doubtful) == (expected is None)


def test_what_is_no_time_is_told() -> None:
    assert read_moments(["", "soon", "2026-03-14"], "as the export", "") == Moments((None, None, DAY), (), (1,))
