"""How common mistakes are, relative to each other, by the weights of wording.toml."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from grader.mistakes.catalogue import wordings


def weight_of(ids: Iterable[str]) -> float:
    """How common mistakes are, relative to each other: the product over those acting together, 1 for an average one.

    A mistake that the teacher wrote down for this very problem is as common as the commonest of the catalogue.
    """
    table, commonest = _relative_weights()
    product = 1.0
    for id_ in ids:
        product *= table.get(id_, commonest)
    return product


def rank_of(ids: Iterable[str], kinds: Iterable[str]) -> float:
    """How well mistakes stand among names that no answer can tell apart, on a problem of these kinds: as common as they are,
    or as the words for the kind say."""
    table, product = wordings(), 1.0
    commonest = max(wording.weight for wording in table.values())
    for id_ in ids:
        product *= table[id_].on(kinds).weight if id_ in table else commonest
    return product


@lru_cache(maxsize=1)
def _relative_weights() -> tuple[dict[str, float], float]:
    table = {id_: wording.weight for id_, wording in wordings().items()}
    average = sum(table.values()) / len(table)
    return {id_: weight / average for id_, weight in table.items()}, max(table.values()) / average
