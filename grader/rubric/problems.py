"""The sheet Problems: each row a problem, checked as far as the row alone tells."""

from __future__ import annotations

import re

from grader.errors import Fault, NotationError
from grader.exchange.cells import listed, quoted, some_of
from grader.exchange.columns import asked_parts
from grader.exchange.meanings import PARTS_OF_FORM
from grader.exchange.table import RawTable
from grader.methods.problem import ANSWER_FORMS, DIRECTION_FORMS, FINDS, METHODS, Allowance, Problem, Rounding
from grader.notation.given import Given, GivenExpression, GivenTriangle, GivenVectors
from grader.notation.units import Unit
from grader.rubric import cells
from grader.rubric.layout import EXAMPLE_MARK, FindFacts, find_facts, sheet
from grader.rubric.source import Findings, SheetRow, rows_of

_VALUE = re.compile(r"\s*[+\-−]?[\d.,]+")


def read_problems(table: RawTable, findings: Findings) -> tuple[tuple[Problem, ...], dict[str, str]]:
    """The problems, and label → form of the answer for every row with a label, faulty ones too (``""`` if unknown).

    The other sheets speak of labels; with the labels of faulty rows at hand one fault does not bring on others.
    """
    problems: list[Problem] = []
    forms: dict[str, str] = {}
    rows: dict[str, int] = {}
    any_row = False
    without_points: list[str] = []
    before = len(findings.faults)
    for row in rows_of(table, sheet("Problems"), findings):
        any_row = True
        faults = len(findings.faults)
        label = row.needed("Problem", "a label such as 1 or 2a")
        if label and label.casefold() in rows:
            row.fault("Problem", f"{quoted(label)} again", f"each label once; row {rows[label.casefold()]} has it")
        elif label:
            rows[label.casefold()] = row.number
        problem = _problem(row, label)
        if row.blank("Points"):
            without_points.append(str(row.number))
        if label:
            forms.setdefault(label, problem.answer_as if problem else "")
        if problem is not None and len(findings.faults) == faults:
            problems.append(problem)
            if EXAMPLE_MARK.casefold() in problem.question.casefold():
                row.warn("this is still the example of the blank workbook; write a problem of your own over it.")
    if without_points:
        rows_said = f"row{'s' if len(without_points) > 1 else ''} {some_of(without_points)}"
        findings.warnings.append(
            f"{findings.file}, sheet {table.sheet}: no points are given in {rows_said}; 1 point for each problem there."
        )
    if not any_row and len(findings.faults) == before:
        findings.faults.append(
            Fault(findings.file, "no problem", "a row for each problem below the headings", table.sheet)
        )
    return tuple(problems), forms


def _problem(row: SheetRow, label: str) -> Problem | None:
    """The problem of a row, or None where too much of it is faulty to go on; every fault is noted in the row."""
    find = _find(row)
    answer_as = row.read("Answer as", lambda cell: cells.word(cell, ANSWER_FORMS), "")
    facts = find_facts().get(find)
    if facts and answer_as and answer_as not in facts.answer_as:
        fitting = listed([f"“{each}”" for each in facts.answer_as])
        row.fault("Answer as", f"“{answer_as}” with Find “{find}”", f"{fitting}", "Blank means the first of these.")
        answer_as = ""
    direction_as = row.read("Direction as", lambda cell: cells.word(cell, DIRECTION_FORMS), "any")
    given = _given(row, find, facts, direction_as)
    points: tuple[float, ...] = row.read("Points", cells.points, (1.0,))
    formula = _formula(row, find, given)
    method = row.read("Method", lambda cell: cells.word(cell, METHODS), "either")
    unit = _unit(row)
    magnitude_to = row.read("Magnitude to", cells.rounding, Rounding("figures", 3))
    direction_to = row.read("Direction to", cells.rounding, Rounding("place", 1.0))
    allow = row.read("Allow", cells.allowance, Allowance())
    if facts is None or given is None:
        return None
    problem = Problem(
        label=label,
        find=find,
        given=given,
        question=row.text("Question"),
        given_text=row.text("Given"),
        answer_as=answer_as or facts.answer_as[0],
        direction_as=direction_as,
        method=method,
        unit=unit,
        magnitude_to=magnitude_to,
        direction_to=direction_to,
        allow=allow,
        points=points,
        formula=formula,
        row=row.number,
    )
    _check_points(row, problem)
    return problem


def _find(row: SheetRow) -> str:
    if row.blank("Find"):
        row.fault("Find", "nothing", f"what is to be found: {listed(FINDS)}")
        return ""
    return row.read("Find", lambda cell: cells.word(cell, FINDS), "")


def _given(row: SheetRow, find: str, facts: FindFacts | None, direction_as: str) -> Given | None:
    """The data, read in the notation that the word in Find calls for; unknown words leave it unread."""
    written = row.needed("Given", "the data, such as 30 N at 20°; 45 N S 40° E")
    if not written or facts is None:
        return None
    from grader.notation.given import read_given

    try:
        given = read_given(find, written, direction_as)
    except NotationError as error:
        note_unreadable(row, "Given", error)
        return None
    if isinstance(given, GivenVectors):
        _warn_of_units(row, given)
    count = len(given.vectors) if isinstance(given, GivenVectors) else 0
    if isinstance(given, GivenVectors) and not facts.least_vectors <= count <= facts.most_vectors:
        exactly = "" if facts.least_vectors == facts.most_vectors else "at least "
        row.fault(
            "Given",
            f"{_vectors(count)} for Find “{find}”",
            f"{exactly}{_vectors(facts.least_vectors)}",
            "Vectors are separated by ; ." if count < facts.least_vectors else _for_a_sum(find),
        )
    return given


def _warn_of_units(row: SheetRow, given: GivenVectors) -> None:
    """A number without a unit beside one with a unit is taken in the unit asked, which may not be what was meant."""
    lengths = {each.text: [q for q in (each.magnitude, each.x, each.y) if q is not None] for each in given.vectors}
    bare = [text for text, said in lengths.items() if all(each.unit is None for each in said)]
    symbols = list(
        dict.fromkeys(each.unit.symbol for said in lengths.values() for each in said if each.unit is not None)
    )
    if bare and symbols:
        row.warn(
            f"{listed([*map(quoted, bare)], 'and')} in the column Given {'has' if len(bare) == 1 else 'have'} no unit, where "
            f"another vector has {listed(symbols, 'and')}; write the unit beside each."
        )


def _vectors(count: int) -> str:
    return "1 vector" if count == 1 else f"{count} vectors"


def _for_a_sum(find: str) -> str:
    return "For the sum of several vectors use Find “resultant”." if find in PARTS_OF_FORM else ""


def _formula(row: SheetRow, find: str, given: Given | None) -> str:
    if find != "expression":
        if not row.blank("Answer"):
            row.warn("the column Answer is read only where Find is “expression”; here it is not.")
        return ""
    written = row.needed("Answer", "the formula of the answer, such as v*t")
    names = check_formula(row, "Answer", written) if written else frozenset()
    if isinstance(given, GivenExpression) and names - given.values.keys():
        unknown = listed(sorted(names - given.values.keys()), "and")
        row.fault(
            "Answer", f"{quoted(written)}, in which {unknown} has no value", "names that the column Given defines"
        )
    return written


def check_formula(row: SheetRow, heading: str, written: str) -> frozenset[str]:
    """The names that a formula uses; a fault is noted where it cannot be read."""
    from grader.notation.formula import parse_formula

    try:
        return parse_formula(written).names
    except NotationError as error:
        note_unreadable(row, heading, error)
        return frozenset()


def note_unreadable(row: SheetRow, heading: str, error: NotationError) -> None:
    """A fault for a text that the notation reader refuses; its reason says why, what was expected, or both."""
    why, expects, expected = error.reason.rpartition("expected ")
    reason = why.rstrip(" ;") if expects else error.reason
    row.fault(
        heading, f"{quoted(error.text)}{f' ({reason})' if reason else ''}", expected if expects else "data that fit"
    )


def _unit(row: SheetRow) -> Unit | None:
    written = row.text("Unit")
    if not written:
        return None
    from grader.notation.units import find_unit, unit

    try:
        return unit(written)
    except NotationError as error:
        value = _VALUE.match(written)
        alone = written[value.end() :].strip() if value else ""
        if alone and find_unit(alone) is not None:
            row.fault("Unit", quoted(written), "a unit without a number", f"Write the unit alone: {alone}")
            return None
        note_unreadable(row, "Unit", error)
        return None


def _check_points(row: SheetRow, problem: Problem) -> None:
    """Points for each part need as many numbers as the answer has parts."""
    count = len(problem.points)
    parts = asked_parts(problem)
    if count in (1, len(parts)):
        return
    if isinstance(problem.given, GivenTriangle):
        parts_said = f"the parts not given ({listed(parts, 'and')})"
    else:
        parts_said = listed(parts, "and")
    row.fault("Points", f"points for {count} parts", f"one number, or {len(parts)} with + between, for {parts_said}")
