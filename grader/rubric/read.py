"""Reading a rubric workbook: every fault of the whole workbook at once, or a Rubric."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from grader.errors import Fault, GraderError, InputFaults
from grader.exchange.cells import did_you_mean, fold, listed, nearest, quoted
from grader.exchange.columns import ColumnMatcher
from grader.exchange.headrow import find_headings
from grader.exchange.own import is_feedback
from grader.exchange.table import RawTable
from grader.exchange.workbook import read_workbook
from grader.marking.definitions import Rubric
from grader.mistakes import catalogue
from grader.rubric import layout
from grader.rubric.credits import points_possible
from grader.rubric.problems import read_problems
from grader.rubric.sheets import read_columns, read_decisions, read_mistakes, read_settings, read_students
from grader.rubric.source import Findings


def read_rubric(path: str | Path, known_mistakes: Collection[str] | None = None) -> Rubric:
    """Read and check a rubric workbook; the file itself is never changed.

    ``known_mistakes`` are the ids against which the sheet Mistakes is checked, those of the catalogue if not given. Raises
    InputFaults with every fault of every sheet, and GraderError for a file that is no workbook. What is odd and does no
    harm (unknown headings and settings, an example left in place) is in ``Rubric.warnings``.
    """
    if known_mistakes is None:
        known_mistakes = catalogue.known_mistakes()
    path = Path(path)
    if path.suffix.lower() in (".csv", ".tsv", ".txt"):
        raise GraderError(
            f"{path.name} is a text file; a rubric is an .xlsx workbook, and is named before the exports. "
            "“grader new” writes a blank one."
        )
    findings = Findings(path.name)
    read = {fold(each.name) for each in layout.sheets()}
    raws = read_workbook(path, lambda name: fold(name) in read)
    _refuse_other_workbooks(path, {fold(each.sheet) for each in raws})
    tables = _named(raws, findings)

    def table(name: str) -> RawTable:
        return tables.get(name, RawTable(path, (), sheet=name))

    if "Problems" not in tables:
        raise InputFaults([_without_problems(path, raws)])
    problems, forms = read_problems(table("Problems"), findings)
    settings = read_settings(table("Settings"), findings)
    columns = read_columns(table("Columns"), forms, findings)
    students = read_students(table("Students"), forms, findings)
    mistakes, own_mistakes = read_mistakes(table("Mistakes"), forms, known_mistakes, findings)
    roster = {student.student_id for student in students}
    by_label = {problem.label: problem for problem in problems}

    def possible(label: str, part: str) -> float | None:
        return points_possible(by_label[label], part) if label in by_label else None

    finds = {problem.label: problem.find for problem in problems}
    decisions = read_decisions(table("Decisions"), forms, finds, roster, possible, settings, findings)
    if findings.faults:
        raise InputFaults(findings.faults)
    return Rubric(
        problems=problems,
        path=path,
        settings=settings,
        columns=columns,
        students=students,
        mistakes=mistakes,
        own_mistakes=own_mistakes,
        decisions=decisions,
        warnings=tuple(findings.warnings),
    )


def _refuse_other_workbooks(path: Path, names: Collection[str]) -> None:
    """Raise GraderError where a workbook is the feedback this program wrote, or an export of answers."""
    if is_feedback(names):
        raise GraderError(
            f"{path.name} is the feedback that this program wrote, no rubric; give the rubric it was made from."
        )
    if fold("Problems") in names:
        return
    try:
        tables = read_workbook(path)
    except InputFaults:  # formulas without results: whatever it is, it has no sheet Problems, which is said
        return
    matcher = ColumnMatcher(Rubric(()))
    if any(find_headings(table.rows, matcher) is not None for table in tables):
        raise GraderError(
            f"{path.name} has students and no sheet “Problems”: it looks like an export of answers, no rubric; give the "
            "rubric first and the exports after it."
        )


def _named(raws: Collection[RawTable], findings: Findings) -> dict[str, RawTable]:
    """The sheets that are read, by name; others pass, with a warning where the name is nearly one that is read."""
    known = {fold(each.name): each.name for each in layout.sheets()}
    found: dict[str, RawTable] = {}
    others = []
    for raw in raws:
        name = known.get(fold(raw.sheet))
        if name is None:
            others.append(raw.sheet)
        elif name in found:
            findings.faults.append(
                Fault(findings.file, f"the sheets “{found[name].sheet}” and “{raw.sheet}”", f"one sheet {name}")
            )
        else:
            found[name] = raw
    for other in others:
        near = nearest(other, known.values())
        if near and near not in found:
            hint = did_you_mean(other, known.values())
            findings.warnings.append(f"{findings.file}: the sheet {quoted(other)} is not read. {hint}")
    return found


def _without_problems(path: Path, raws: Collection[RawTable]) -> Fault:
    near = nearest("Problems", [raw.sheet for raw in raws])
    names = listed([quoted(raw.sheet) for raw in raws], "and")
    return Fault(
        file=path.name,
        found=f"no sheet “Problems” among {names}",
        expected="a rubric workbook with a sheet “Problems”",
        remedy=f"Rename the sheet {quoted(near)}."
        if near
        else "Start from the blank workbook that “grader new” writes.",
    )
