"""The examples in the docstrings are true."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

import grader

MODULES = [one.name for one in pkgutil.walk_packages(grader.__path__, "grader.") if not one.name.endswith("__main__")]


@pytest.mark.parametrize("name", MODULES)
def test_examples(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_there_are_examples() -> None:
    assert sum(doctest.testmod(importlib.import_module(name)).attempted for name in MODULES) > 100
