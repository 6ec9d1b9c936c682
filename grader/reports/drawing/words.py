"""Titles and sentences that the drawings share."""

from __future__ import annotations

from collections.abc import Iterable

from grader.methods.solve import Solved
from grader.reports.words import one_line


def title_of(solved: Solved) -> str:
    """``Problem 2a: resultant``."""
    return one_line(f"Problem {solved.problem.label}: {solved.problem.find}")


def sentence(pieces: Iterable[str]) -> str:
    """Pieces joined as sentences, each with a capital and a full stop."""
    told = [one_line(piece).strip().rstrip(".") for piece in pieces if piece.strip()]
    return " ".join(f"{piece[:1].upper()}{piece[1:]}." for piece in told)
