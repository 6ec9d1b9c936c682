"""How well a variant fits what is written, and how likely a random wrong answer is to fall there."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from grader.marking.options import Option
from grader.methods.solve import Solved, is_angular
from grader.methods.steps import difference
from grader.mistakes.side_by_side import Floats
from grader.mistakes.variants import SIGNED, Variants

# How much less likely an answer is than one to the digit. Chosen on a simulated class, as those of the diagnosis.
_LOOSE = 0.1  # fits within the room of the place asked, though the digits written are finer
_COARSE = 0.02  # fits only if zeros that stand where digits were asked are none: 500 for 464


def is_near(solved: Solved, variants: Variants, part: str, option: Option) -> NDArray[np.bool_]:
    """Which variants a written part may fit at all."""
    away = _away(variants.values[part], part, option)
    return away <= max(_loose_place(solved, part, option), _coarse_place(solved, part, option)) + variants.spreads[part]


def fit_of(solved: Solved, variants: Variants, rows: NDArray[np.intp], part: str, option: Option) -> Floats:
    """How well each of these variants fits a written part: 1 where the exact answer rounds to the digits written, less where
    rounding on the way has to help (it could have led to other digits as well), little within the place asked, 0 outside."""
    place, room = option.written.place, variants.spreads[part][rows]
    away = _away(variants.values[part][rows], part, option)
    # A row with decimals of its own says to the digit what comes out; the room of the place asked is not for it.
    # Where the altered steps lead nowhere the value is nan, which fits nothing.
    late = ~variants.early[rows]
    loosely = (away <= _loose_place(solved, part, option) + room) & late
    coarsely = (away <= _coarse_place(solved, part, option) + room) & late
    otherwise = np.where(loosely, _LOOSE, np.where(coarsely, _COARSE, 0.0))
    found: Floats = np.where(away <= place / 2 + room + 1e-9, place / (place + 2 * room + 1e-9), otherwise)
    found[away <= place / 2 + 1e-9] = 1.0
    if part == "direction" and option.direction is not None:
        found[~variants.shows_in(option.direction.form)[rows]] = 0.0
    return found


def _away(values: Floats, part: str, option: Option) -> Floats:
    """How far values of a part lie from what is written."""
    value = option.written.value
    return np.abs(difference(part, value if part in SIGNED else abs(value), values))


def _loose_place(solved: Solved, part: str, option: Option) -> float:
    """Half of the coarser place of the one written and the one asked."""
    return max(option.written.place, solved.solution.part(part).place) / 2 + 1e-9


def _coarse_place(solved: Solved, part: str, option: Option) -> float:
    """Half of the coarsest place that trailing zeros allow. Nobody rounds an angle to tens of degrees: 70° means 70°."""
    coarse = 0.0 if part == "direction" or is_angular(solved.problem, part) else option.written.coarsest
    return coarse / 2 + 1e-9


def cell_of(solved: Solved, part: str, option: Option) -> float:
    """The chance that a random wrong answer falls on this number, as finely as it is written."""
    key, written = solved.solution.part(part), option.written
    # 100 may stand for 98 to the nearest ten: as loosely as a mistake may fit it, so may a random number.
    coarse = 2 * _coarse_place(solved, part, option)
    width = max(written.place, 0.01 * key.place) + _COARSE * max(0.0, coarse - written.place) + 2 * key.spread
    if part == "direction":
        extent = 360.0
    elif is_angular(solved.problem, part):
        extent = 180.0 if abs(option.written.value) <= 180.0 else 360.0
    else:
        extent = 3.0 * max(abs(key.value), abs(option.written.value), key.place)
    return min(1.0, width / extent)
