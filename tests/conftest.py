"""What all tests share: the sample class, and how long property tests search."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

ROOT = Path(__file__).resolve().parent.parent

settings.register_profile("quick", max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("thorough", max_examples=2000, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile(os.environ.get("GRADER_TEST_PROFILE", "quick"))


@pytest.fixture(scope="session")
def sample_rubric() -> Path:
    return ROOT / "rubrics" / "harbour-vectors.xlsx"


@pytest.fixture(scope="session")
def sample_exports() -> tuple[Path, ...]:
    folder = ROOT / "sample_submissions"
    return folder / "section-a.csv", folder / "section-b.xlsx"
