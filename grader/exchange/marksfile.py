"""The file of marks: what a folder of results keeps for the next run, for the class page and for mail."""

from __future__ import annotations

import io
import math
from pathlib import Path
from typing import TYPE_CHECKING

from grader.errors import GraderError
from grader.exchange.csvfile import as_written, neutralised
from grader.exchange.limits import check_size

if TYPE_CHECKING:
    import pandas as pd

MARKS_FILE = "marks.csv"

_NUMBERS = ("points", "points_possible", "mistake_chance", "value")
_NEEDED = frozenset({"student_id", "problem", "part", "points", "verdict", "written", "decided"})


def marks_csv(marks: pd.DataFrame) -> bytes:
    """The marks as CSV (RFC 4180, UTF-8). Texts that a spreadsheet program would run as a formula get an apostrophe."""
    table = marks.copy()
    for column in table.columns:
        if table[column].dtype.kind not in "iufb":  # object, or the string type that newer pandas infers
            distinct = {value: neutralised(str(value)) for value in table[column].unique()}
            table[column] = table[column].map(distinct)
    return str(table.to_csv(index=False, lineterminator="\r\n")).encode("utf-8", errors="replace")


def read_marks(path: Path) -> pd.DataFrame | None:
    """The marks that an earlier run wrote, texts as they were before writing; None where the file is not there.

    Raises GraderError for a file that is no table of marks.
    """
    import pandas as pd

    if not path.exists():
        return None
    refusal = f"{path} is not a table of marks as this program writes it; move it away, or choose another folder."
    try:
        check_size(path)
        text = path.read_bytes().decode("utf-8-sig")
        table = pd.read_csv(io.StringIO(text), dtype=str, keep_default_na=False)
        for name in table.columns:
            if name in _NUMBERS:
                table[name] = pd.Series(
                    [float(cell) if cell else math.nan for cell in table[name].tolist()], dtype=float
                )
            else:
                table[name] = pd.Series([as_written(cell) for cell in table[name].tolist()], dtype=object)
    except (OSError, ValueError, pd.errors.ParserError) as error:
        raise GraderError(refusal) from error
    if not set(table.columns) >= _NEEDED:
        raise GraderError(refusal)
    return table
