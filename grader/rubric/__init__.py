"""The rubric workbook: read and checked, or written blank for a teacher to fill in."""

from grader.rubric.blank import write_blank
from grader.rubric.read import read_rubric

__all__ = ["read_rubric", "write_blank"]
