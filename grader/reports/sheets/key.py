"""Last sheet: the key, each problem with its answer and with the working of its methods side by side."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from grader.methods.part_names import part_name
from grader.methods.solution import Line, Solution, Working
from grader.reports import key
from grader.reports.sheets.page import Book, Page

NAME = "Key"
_WIDTHS = (20, 64, 3, 20, 64)  # step, working, a gap, step, working
_LAST = len(_WIDTHS)
_HEADING_HEIGHT = 24


def write_key(book: Book, solutions: Sequence[Solution]) -> None:
    """Write the sheet, one problem under the other."""
    page = Page(book, NAME, (key.CAUTION,))
    for index, width in enumerate(_WIDTHS):
        page.sheet.column_dimensions["ABCDE"[index]].width = width
    for solution in solutions:
        page.next_row += 1
        _write_problem(page, solution)
    page.freeze(1)
    page.prepare_print(_LAST, warning="For the teacher")


def _write_problem(page: Page, solution: Solution) -> None:
    row = page.next_row
    for column in range(1, _LAST + 1):
        page.put(row, column, key.heading(solution.problem) if column == 1 else None, "problem", begins=True)
    page.sheet.row_dimensions[row].height = _HEADING_HEIGHT
    page.next_row += 1
    for label, text in key.statement(solution.problem):
        _write_wide(page, label, text, "question")
    if solution.none:
        _write_wide(page, "Answer", solution.none, "answer, text")
    for part in solution.parts:
        row = page.next_row
        page.put(row, 1, f"Answer: {part_name(solution.problem.find, part.part)}", "label")
        page.put(row, 2, key.answer(part), "answer")
        page.put(row, 4, key.remark(part, solution.problem), "remark")
        page.next_row += 1
    for warning in solution.warnings:
        _write_wide(page, "Take note", warning, "warning")
    titles = key.method_titles(solution.workings)
    pairs = list(zip(titles, solution.workings))
    for index in range(0, len(pairs), 2):
        _write_workings(page, pairs[index : index + 2])


def _write_workings(page: Page, pairs: Sequence[tuple[str, Working]]) -> None:
    page.next_row += 1
    for column, (title, _) in zip((1, 4), pairs):
        page.put(page.next_row, column, title, "method")
    page.next_row += 1
    lines: list[Sequence[Line]] = [working.lines for _, working in pairs]
    for level in zip_longest(*lines):
        texts: list[tuple[str, float]] = []
        for column, line in zip((1, 4), level):
            if line is not None:
                page.put(page.next_row, column, line.step, "step")
                page.put(page.next_row, column + 1, line.text, "line")
                texts += [(line.step, _WIDTHS[column - 1]), (line.text, _WIDTHS[column])]
        page.fit(page.next_row, texts)
        page.next_row += 1


def _write_wide(page: Page, label: str, text: str, look: str) -> None:
    """A text across the page; spreadsheets do not fit the height of merged cells, so it is worked out here."""
    row = page.next_row
    page.put(row, 1, label, "label")
    page.put(row, 2, text, look)
    page.sheet.merge_cells(start_row=row, start_column=2, end_row=row, end_column=_LAST)
    page.fit(row, [(text, sum(_WIDTHS[1:]))])
    page.next_row += 1
