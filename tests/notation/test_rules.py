"""Each rule of data/rules.toml does what it says, on its own example."""

from __future__ import annotations

from typing import Any

import pytest

from grader.notation.read import read
from grader.notation.readings import Conventions
from grader.notation.tables import load_table
from grader.notation.write import write_meaning

RULES = load_table("rules.toml")["rule"]


@pytest.mark.parametrize("rule", RULES, ids=[rule["says"][:60] for rule in RULES])
def test_rule(rule: dict[str, Any]) -> None:
    reading = read(rule["text"], rule["box"], Conventions(rule.get("mark", "point")))
    assert [write_meaning(sense.meaning) for sense in reading.senses] == rule["reads"]
