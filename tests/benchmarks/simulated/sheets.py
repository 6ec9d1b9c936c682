"""The sheets of exercises that the simulated class is given."""

from .fifth_sheet import FIFTH_SHEET
from .fourth_sheet import FOURTH_SHEET
from .problems import EXERCISES, Exercise
from .second_sheet import SECOND_SHEET
from .third_sheet import THIRD_SHEET

SHEETS: dict[str, tuple[Exercise, ...]] = {
    "first": EXERCISES,
    "second": SECOND_SHEET,
    "third": THIRD_SHEET,
    "fourth": FOURTH_SHEET,
    "fifth": FIFTH_SHEET,
}


def sheet_of(exercise: Exercise) -> tuple[Exercise, ...]:
    """All problems of the sheet that holds this one; none for an exercise outside the sheets."""
    return next((sheet for sheet in SHEETS.values() if exercise in sheet), ())
