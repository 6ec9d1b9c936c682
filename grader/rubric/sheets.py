"""The sheets beside Problems: settings, columns, roster, mistakes, decisions."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from datetime import timedelta
from functools import partial
from typing import Any

from grader.exchange.cells import Cell, did_you_mean, fold, quoted
from grader.exchange.meanings import PARTS_OF_FORM, read_holds, wordings
from grader.exchange.table import RawTable
from grader.marking.definitions import ColumnRule, Decision, MistakeRule, OwnMistake, Settings, Student
from grader.methods.part_names import PART_NAMES, part_called, part_name
from grader.methods.problem import PARTS
from grader.rubric import cells
from grader.rubric.cells import CellError
from grader.rubric.credits import decided_points
from grader.rubric.layout import Setting, settings, sheet
from grader.rubric.problems import check_formula
from grader.rubric.source import Findings, SheetRow, rows_of


def read_settings(table: RawTable, findings: Findings) -> Settings:
    """The settings; a blank value is the default, and an unknown setting gets a warning."""
    known = {fold(each.name): each for each in settings()}
    values: dict[str, Any] = {}
    rows: dict[str, int] = {}
    for row in rows_of(table, sheet("Settings"), findings):
        name = row.needed("Setting", "the name of a setting")
        if not name:
            continue
        setting = known.get(fold(name.replace("_", " ")))
        if setting is None:
            hint = did_you_mean(name, [each.name for each in known.values()])
            row.warn(f"the setting {quoted(name)} is not known and has no effect.{' ' if hint else ''}{hint}")
            continue
        if setting.field in rows:
            row.fault("Setting", f"{quoted(name)} again", f"each setting once; row {rows[setting.field]} has it")
        rows.setdefault(setting.field, row.number)
        if not row.blank("Value"):
            values[setting.field] = row.read("Value", partial(_value, setting), setting.default)
    return Settings(**values)


def _value(setting: Setting, cell: Cell) -> Any:
    match setting.kind:
        case "word":
            return cells.word(cell, setting.words)
        case "yes or no":
            return cells.yes_or_no(cell)
        case "share":
            return cells.share(cell)
        case "text":
            return cells.text(cell)
        case "moment":
            return cells.moment(cell)
        case "time zone":
            return cells.time_zone(cell)
        case "deduction":
            return cells.deduction(cell)
    whole = setting.kind == "whole number"
    limits = f" from {setting.least:g} to {setting.most:g}" if setting.most < float("inf") else ""
    expected = f"a {setting.kind}{limits}"
    try:
        value = cells.number(cell)
    except CellError as error:
        raise CellError(expected) from error
    if not setting.least <= value <= setting.most or (whole and not value.is_integer()):
        raise CellError(expected)
    return int(value) if whole else value


def read_columns(table: RawTable, forms: Mapping[str, str], findings: Findings) -> tuple[ColumnRule, ...]:
    """What the columns of the export hold; ``forms`` maps each problem's label to the form of its answer."""
    rules = []
    rows: dict[str, int] = {}
    for row in rows_of(table, sheet("Columns"), findings):
        heading = row.needed("Column in the export", "a heading of the export")
        holds = row.needed("Holds", "what the column holds, such as student id or problem 1 magnitude")
        if heading and fold(heading) in rows:
            row.fault(
                "Column in the export", f"{quoted(heading)} again", f"each once; row {rows[fold(heading)]} has it"
            )
        rows.setdefault(fold(heading), row.number)
        if holds and read_holds(holds, forms) is None:
            remedy = did_you_mean(holds, wordings(forms))
            expected = "student id, name, email, section, attempt, submitted, ignore, or a problem of this rubric"
            row.fault("Holds", quoted(holds), f"{expected} such as {_example(forms)}", remedy)
        elif heading and holds:
            rules.append(ColumnRule(heading, holds))
    return tuple(rules)


def _example(forms: Mapping[str, str]) -> str:
    for label, form in forms.items():
        if form and form != "number":
            return f"“problem {label} {PARTS_OF_FORM[form][0]}”"
    return f"“problem {next(iter(forms), '1')}”"


def read_students(table: RawTable, forms: Mapping[str, str], findings: Findings) -> tuple[Student, ...]:
    """The roster; ``forms`` has the label of every problem, from which students can be excused."""
    students = []
    rows: dict[str, int] = {}
    for row in rows_of(table, sheet("Students"), findings):
        student_id = row.needed("Student ID", "the student's id")
        if student_id and student_id in rows:
            row.fault("Student ID", f"{quoted(student_id)} again", f"each student once; row {rows[student_id]} has it")
        rows.setdefault(student_id, row.number)
        email = row.text("Email")
        if email and not _address(email):
            row.fault("Email", quoted(email), "one address such as name@example.org")
        excused: tuple[str, ...] = row.read("Excused", lambda cell: cells.excused(cell, tuple(forms)), ())
        extra_time = row.read("Extra time", cells.duration, timedelta())
        students.append(Student(student_id, row.text("Name"), email, row.text("Section"), excused, extra_time))
    return tuple(students)


def _address(text: str) -> bool:
    local, at, domain = text.rpartition("@")
    return bool(local and at and domain) and not any(each.isspace() or each in ',;<>"' for each in text)


def read_mistakes(
    table: RawTable, forms: Mapping[str, str], known: Collection[str] | None, findings: Findings
) -> tuple[tuple[MistakeRule, ...], tuple[OwnMistake, ...]]:
    """Rules about known mistakes, and mistakes of the teacher's own. ``known`` None: any id passes for a known one."""
    rules: list[MistakeRule] = []
    own: list[OwnMistake] = []
    rows: dict[tuple[str, str], int] = {}
    for row in rows_of(table, sheet("Mistakes"), findings):
        mistake = row.needed("Mistake", "the id of a known mistake, or a name for one of your own")
        use = row.read("Use", cells.yes_or_no, True)
        feedback = row.text("Feedback")
        if not mistake:
            continue
        is_own = not (row.blank("Problem") and row.blank("Formula"))
        label = _label(row, forms) if is_own else ""
        if (mistake, label) in rows:
            row.fault("Mistake", f"{quoted(mistake)} again", f"each mistake once; row {rows[mistake, label]} has it")
        rows.setdefault((mistake, label), row.number)
        if not is_own:
            if known is not None and mistake not in known:
                remedy = did_you_mean(mistake, known) or "A mistake of your own needs a problem and a formula too."
                row.fault("Mistake", quoted(mistake), "the id of a known mistake", remedy)
            rules.append(MistakeRule(mistake, use, feedback))
            continue
        if known is not None and mistake in known:
            row.fault("Mistake", f"{quoted(mistake)}, a known mistake, with a problem or formula", "a new name")
        formula = row.needed("Formula", "what a student who makes this mistake would write, such as v/t")
        for part in filter(None, (part.strip() for part in formula.split(";"))):
            check_formula(row, "Formula", part)
        _check_formula_parts(row, formula, forms.get(label, ""))
        if use:
            own.append(OwnMistake(mistake, label, formula, feedback, row.number))
    return tuple(rules), tuple(own)


def _check_formula_parts(row: SheetRow, formula: str, form: str) -> None:
    if not formula or not form:
        return
    count = len(formula.split(";"))
    most = 6 if form == "triangle" else len(PARTS_OF_FORM[form])
    if count > most or any(not part.strip() for part in formula.split(";")):
        row.fault("Formula", quoted(formula), f"one formula, or one for each part with ; between (at most {most})")


def read_decisions(
    table: RawTable,
    forms: Mapping[str, str],
    finds: Mapping[str, str],
    students: Collection[str],
    possible: Callable[[str, str], float | None],
    chosen: Settings,
    findings: Findings,
) -> tuple[Decision, ...]:
    """What the teacher decided about single answers.

    ``forms`` and ``finds`` say of each problem the form of its answer and what it finds, ``students`` are the ids of the
    roster, if there is one, and ``possible`` tells the points of a problem and part, of which
    a verdict or a percentage takes its share.
    """
    decisions = []
    rows: dict[tuple[str, str, str], int] = {}
    for row in rows_of(table, sheet("Decisions"), findings):
        student_id = row.needed("Student ID", "the student's id")
        label = _label(row, forms)
        find, form = finds.get(label, ""), forms.get(label, "")
        part = row.read("Part", partial(_part, find), "")
        if part and form and part not in PARTS_OF_FORM[form]:
            names = (part_name(find, each) for each in PARTS_OF_FORM[form])
            row.fault("Part", quoted(part), f"a part of problem {label}: {', '.join(names)}, or blank")
        if row.blank("Points"):
            row.fault("Points", "nothing", "the points that you give")
        most = possible(label, part)
        points = row.read("Points", partial(decided_points, possible=most, settings=chosen), 0.0)
        key = (student_id, label, part)
        if student_id and key in rows:
            row.fault("Student ID", "a second decision on the same answer", f"one; row {rows[key]} has it")
        rows.setdefault(key, row.number)
        if student_id and students and student_id not in students:
            row.warn(f"student {student_id} is not in the sheet Students.")
        decisions.append(Decision(student_id, label, part, points, row.text("Note")))
    return tuple(decisions)


def _part(find: str, cell: Cell) -> str:
    """A part by its own name, or by the one that people have for it where a problem finds this."""
    part = part_called(find, cells.text(cell))
    return cells.word(cell, (*PARTS, *PART_NAMES.get(find, {}).values())) if part is None else part


def _label(row: SheetRow, forms: Mapping[str, str]) -> str:
    """The label in the column Problem, as the sheet Problems writes it; blank, with a fault, where it has none such."""
    said = row.needed("Problem", "the label of a problem")
    if not said:
        return ""
    for label in forms:
        if fold(label) == fold(said):
            return label
    row.fault("Problem", quoted(said), "a label of the sheet Problems", did_you_mean(said, forms))
    return ""
