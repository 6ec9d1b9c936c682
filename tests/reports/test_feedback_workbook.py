"""The feedback workbook, saved and opened again: what stands where, how it looks, how it prints."""

from __future__ import annotations

import io
import re
import zipfile

import pandas as pd
import pytest
from harbour_class import DECIDED, LABELS
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from grader.marking.definitions import Rubric
from grader.methods.solution import Solution
from grader.reports.sheets import charts, class_mistakes, feedback, key, scores, to_look_at
from grader.reports.sheets.looks import LOOKS, OPEN_GROUND, VERDICT_LOOKS
from grader.reports.summary import common_mistakes
from grader.reports.words import VERDICT_SIGNS, mistake_name, with_others
from grader.reports.workbook import feedback_workbook
from tests.posed import solved

NAMES = ["To look at", "Scores", "Feedback", "Class mistakes", "Charts", "Key"]
TABLES = NAMES[:4]


def saved(workbook: Workbook) -> bytes:
    buffer = io.BytesIO()
    workbook.save(buffer)
    return buffer.getvalue()


@pytest.fixture
def content(marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric) -> bytes:
    return saved(feedback_workbook(marks, solutions, rubric))


@pytest.fixture
def book(content: bytes) -> Workbook:
    return load_workbook(io.BytesIO(content))


def table(sheet: Worksheet) -> list[dict[str, object]]:
    """The table of a sheet: a dictionary by heading for each row."""
    rows = list(sheet.iter_rows(values_only=True))
    head = next(i for i, row in enumerate(rows) if row[0] in ("Student ID", "Problem"))
    return [dict(zip(rows[head], row)) for row in rows[head + 1 :]]


def test_the_sheets_stand_in_the_order_in_which_a_teacher_needs_them(book: Workbook) -> None:
    assert book.sheetnames == NAMES
    assert book.active is not None
    assert book.active.title == "To look at"
    assert NAMES == [to_look_at.NAME, scores.NAME, feedback.NAME, class_mistakes.NAME, charts.NAME, key.NAME]


def test_the_marks_are_not_changed(marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric) -> None:
    before = marks.copy(deep=True)
    feedback_workbook(marks, solutions, rubric)
    pd.testing.assert_frame_equal(marks, before)


def test_each_sheet_says_quietly_that_marks_are_suggestions(book: Workbook) -> None:
    for name in TABLES:
        top = " ".join(str(book[name].cell(row, 1).value) for row in (2, 3))
        assert "Marks are suggestions; the teacher decides." in top


# ---- to look at


def test_undecided_answers_are_listed_with_room_for_points_and_note(book: Workbook, marks: pd.DataFrame) -> None:
    listed = table(book["To look at"])
    waiting = marks[marks["points"].isna()]
    assert [(r["Student ID"], r["Problem"], r["Part"], r["Written"], r["Why"]) for r in listed] == list(
        waiting[["student_id", "problem", "part", "written", "note"]].itertuples(index=False, name=None)
    )
    assert not any(row[name] for row in listed for name in ("Your points", "Your note (the student reads it)"))
    # What stands in the problem's other box helps to see what is meant.
    boxes = {(row.student_id, row.problem, row.part): row.written for row in marks.itertuples()}
    for row in listed:
        other = {"magnitude": "direction", "direction": "magnitude", "x": "y", "y": "x"}[str(row["Part"])]
        written = boxes[row["Student ID"], row["Problem"], other]
        assert row["Rest of the answer"] == (f"{other}: {written}" if written not in ("", row["Written"]) else None)


def test_a_class_without_sections_has_no_column_for_them(
    marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric, book: Workbook
) -> None:
    without = load_workbook(io.BytesIO(saved(feedback_workbook(marks.assign(section=""), solutions, rubric))))
    for name in ("To look at", "Scores", "Feedback"):
        assert without[name].column_dimensions["C"].hidden
        assert not book[name].column_dimensions["C"].hidden


def test_points_typed_by_the_teacher_are_checked_against_the_points_possible(book: Workbook) -> None:
    (check,) = book["To look at"].data_validations.dataValidation
    assert (check.type, check.operator, check.formula1) == ("decimal", "between", "0")
    assert re.fullmatch(r"\$K\d+", str(check.formula2))
    assert check.errorStyle == "warning"
    assert len(table(book["To look at"])) == sum(area.size["rows"] for area in check.sqref.ranges)


def test_when_nothing_needs_a_look_the_sheet_says_so(
    marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric
) -> None:
    clean = marks[~marks["verdict"].isin(["needs a look", "decided"])]
    sheet = load_workbook(io.BytesIO(saved(feedback_workbook(clean, solutions, rubric))))["To look at"]
    texts = [cell.value for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str)]
    assert "✓ Nothing here: every answer could be read and judged." in texts


# ---- feedback


def test_every_part_has_its_feedback_in_the_order_of_the_marks(book: Workbook, marks: pd.DataFrame) -> None:
    listed = table(book["Feedback"])
    assert len(listed) == len(marks)
    for row, (_, mark) in zip(listed, marks.iterrows()):
        assert (row["Student ID"], row["Problem"], row["Part"]) == (mark["student_id"], mark["problem"], mark["part"])
        assert (row["Written"] or "") == mark["written"]
        assert row["Verdict"] == f"{VERDICT_SIGNS[mark['verdict']]} {mark['verdict']}"
        assert row["Points"] is None if pd.isna(mark["points"]) else row["Points"] == mark["points"]
        assert (row["Probable mistake"] or "") == mistake_name(mark["mistake"])
        assert row["Comment"] == mark["feedback"]


def test_parts_are_called_as_people_do_and_every_look_has_its_reason(
    marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric
) -> None:
    heading = solved("heading", "water speed 9 km/h; current 5 km/h toward E; track N", label="1").solution
    looked = marks["verdict"] == "needs a look"
    silent = marks.assign(note=marks["note"].mask(looked, ""))
    book = load_workbook(io.BytesIO(saved(feedback_workbook(silent, (heading, *solutions[1:]), rubric))))
    listed = table(book["Feedback"])
    assert {row["Part"] for row in listed if row["Problem"] == "1"} == {"Ground speed", "Heading"}
    assert {row["Part"] for row in listed if row["Problem"] == "2a"} == {"magnitude", "direction"}
    notes = [str(row["Note for you"]) for row in listed if str(row["Verdict"]).endswith("needs a look")]
    assert len(notes) == looked.sum()
    assert all(note.endswith("more than one way to take it") for note in notes)
    key = [str(cell.value) for row in book["Key"].iter_rows() for cell in row]
    assert {"Answer: Ground speed", "Answer: Heading"} <= set(key)


def test_a_decision_stands_beside_the_answer(book: Workbook) -> None:
    notes = [str(row["Note for you"]) for row in table(book["Feedback"])]
    assert any(note.startswith(f"Decided by you: {DECIDED}\n") for note in notes)


# ---- class mistakes


def test_class_mistakes_hold_counts_shares_and_names(book: Workbook, marks: pd.DataFrame) -> None:
    listed = [row for row in table(book["Class mistakes"]) if row["Problem"] != "all"]
    counts = common_mistakes(marks, by_problem=True)
    assert [(row["Problem"], row["Probable mistake"], row["Students"]) for row in listed] == [
        (each.problem, with_others(mistake_name(each.mistake), each.also), each.count) for each in counts
    ]
    notes = [cell.comment.text for row in book["Class mistakes"].iter_rows() for cell in row if cell.comment]
    assert len(notes) == sum(bool(each.also) for each in common_mistakes(marks)[:10]) + sum(
        bool(each.also) for each in counts
    )
    assert set(notes) == {f"The same answers also fit:\n{mistake_name('cosine-sign-flipped')}"}
    names = marks.set_index("student_id")["name"].to_dict()
    for row, each in zip(listed, counts):
        assert int(str(row["Section A"])) + int(str(row["Section B"])) == each.count
        assert all(names[student] in str(row["Students concerned"]) for student in each.students)


def test_two_students_of_one_name_are_told_apart_by_id(
    marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric
) -> None:
    everyone = marks.assign(mistake="lengths-added", written="75 N")
    row = table(feedback_workbook(everyone, solutions, rubric)["Class mistakes"])[0]
    assert "Ilse Brandt (H1003)" in str(row["Students concerned"])
    assert "Ilse Brandt (H1040)" in str(row["Students concerned"])
    assert row["Students"] == 66
    assert row["Share"] == 1.0


def test_one_section_alone_needs_no_columns_of_its_own(
    marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric
) -> None:
    book = feedback_workbook(marks.assign(section="A"), solutions, rubric)
    assert "Section A" not in table(book["Class mistakes"])[0]
    assert "Section average" not in [cell.value for cell in book["Scores"]["B"]]


# ---- the key


def test_the_key_shows_every_line_of_both_methods_side_by_side(book: Workbook, solutions: tuple[Solution, ...]) -> None:
    sheet = book["Key"]
    left = [sheet.cell(row, 2).value for row in range(1, sheet.max_row + 1)]
    right = [sheet.cell(row, 5).value for row in range(1, sheet.max_row + 1)]
    for solution in solutions:
        chained, summed = solution.workings
        start = left.index(chained.lines[0].text)
        assert left[start : start + 3] == [line.text for line in chained.lines]
        assert right[start] == summed.lines[0].text
        assert f"{solution.parts[0].shown} (" in " ".join(map(str, left))
    labels = [sheet.cell(row, 4).value for row in range(1, sheet.max_row + 1)]
    assert labels.count("By components (not asked for: a check)") == len(LABELS)


# ---- safety


def test_no_text_becomes_a_formula_on_any_sheet(book: Workbook) -> None:
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert sheet.title == "Scores"
                elif isinstance(cell.value, str) and cell.value[0] in "=+-@":
                    assert cell.data_type == "s"
                    assert cell.quotePrefix


def test_what_students_wrote_is_never_inside_a_formula(
    marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric
) -> None:
    hostile = '"&WEBSERVICE("http://example.org")&"'
    marks = marks.assign(student_id=hostile + marks["student_id"], name=hostile, section=hostile)
    sheet = feedback_workbook(marks, solutions, rubric)["Scores"]
    formulas = [cell.value for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
    assert formulas
    assert not any("WEBSERVICE" in str(formula) for formula in formulas)


def test_a_label_with_quotation_marks_stays_text_inside_its_formula(
    marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric
) -> None:
    label = '1" ; x'
    renamed = marks.assign(problem=marks["problem"].replace({"1": label}))
    rest = [Solution(type(s.problem)(label, s.problem.find, s.problem.given), ()) for s in solutions[:1]]
    sheet = feedback_workbook(renamed, [*rest, *solutions[1:]], rubric)["Scores"]
    formulas = [str(cell.value) for cell in sheet["D"] if cell.data_type == "f"]
    assert any('"1"" ; x"' in formula for formula in formulas)


def test_text_that_a_workbook_cannot_hold_is_made_harmless(
    marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric
) -> None:
    marks.loc[0, "written"] = "62\x00.0\x1b[31m \ud800"
    marks.loc[1, "feedback"] = "long " * 10_000
    book = load_workbook(io.BytesIO(saved(feedback_workbook(marks, solutions, rubric))))
    assert table(book["Feedback"])[0]["Written"] == "62�.0�[31m �"
    assert len(str(table(book["Feedback"])[1]["Comment"])) == 32_767


def test_missing_texts_and_columns_leave_cells_empty(
    marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric
) -> None:
    sparse = marks.drop(columns=["note", "decided", "attempt"]).replace({"written": {"": None}})
    listed = table(load_workbook(io.BytesIO(saved(feedback_workbook(sparse, solutions, rubric))))["Feedback"])
    assert all(row["Written"] != "nan" for row in listed)
    assert all(row["Note for you"] is None for row in listed if not str(row["Verdict"]).endswith("needs a look"))


def test_a_class_without_students_still_makes_a_workbook(
    marks: pd.DataFrame, solutions: tuple[Solution, ...], rubric: Rubric
) -> None:
    book = load_workbook(io.BytesIO(saved(feedback_workbook(marks.iloc[:0], solutions, rubric))))
    assert book.sheetnames == NAMES


# ---- looks and print


@pytest.mark.parametrize("name", NAMES)
def test_every_sheet_prints_in_landscape_as_wide_as_the_paper(book: Workbook, name: str) -> None:
    sheet = book[name]
    assert sheet.page_setup.orientation == "landscape"
    assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
    assert sheet.sheet_properties.pageSetUpPr is not None
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.oddHeader is not None
    assert sheet.oddFooter is not None
    assert sheet.oddHeader.left.text == f"Tugs && currents · {name}"
    assert sheet.oddHeader.right.text == ("For the teacher" if name == "Key" else "Confidential: student records")
    assert sheet.oddFooter.right.text == "Page &P of &N"


@pytest.mark.parametrize("name", TABLES)
def test_headings_stay_in_view_repeat_in_print_and_offer_filters(book: Workbook, name: str) -> None:
    sheet = book[name]
    head = next(row for row in range(1, 12) if sheet.cell(row, 1).value in ("Student ID", "Problem"))
    assert sheet.freeze_panes == f"C{head + 1}"
    assert sheet.print_title_rows == f"${head}:${head}"
    last_column = sheet.cell(head, sheet.max_column).column_letter
    assert sheet.auto_filter.ref == f"A{head}:{last_column}{sheet.max_row}"
    assert all(isinstance(sheet.cell(head, column).value, str) for column in range(1, sheet.max_column + 1))


def test_rows_are_high_enough_for_wrapped_text(book: Workbook) -> None:
    sheet = book["Feedback"]
    for row in range(4, sheet.max_row + 1):
        comment = str(sheet.cell(row, 14).value)
        height = sheet.row_dimensions[row].height or 17
        assert height >= 15 * len(comment) / (1.2 * sheet.column_dimensions["N"].width)


@pytest.mark.parametrize("name", NAMES)
def test_numbers_written_as_text_are_not_flagged_and_the_file_is_well_ordered(content: bytes, name: str) -> None:
    xml = zipfile.ZipFile(io.BytesIO(content)).read(f"xl/worksheets/sheet{NAMES.index(name) + 1}.xml").decode()
    # The order of elements in a sheet is fixed by ECMA-376 part 1, 18.3.1.99 (from memory).
    order = re.findall(r"<(sheetData|autoFilter|mergeCells|conditionalFormatting|dataValidations|printOptions|pageMargins|pageSetup|headerFooter|ignoredErrors)\b", xml)  # fmt: skip # noqa: E501
    expected = ["sheetData", "autoFilter", "mergeCells", "conditionalFormatting", "dataValidations", "printOptions", "pageMargins", "pageSetup", "headerFooter", "ignoredErrors"]  # fmt: skip # noqa: E501
    assert list(dict.fromkeys(order)) == [each for each in expected if each in order]
    assert order[-1] == "ignoredErrors"
    assert 'numberStoredAsText="1"' in xml


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2 (from memory)."""
    shares = [int(colour[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    red, green, blue = (s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(ink: str, ground: str) -> float:
    light, dark = sorted((luminance(ink), luminance(ground)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_measure_of_contrast_gives_the_known_values() -> None:
    assert contrast("000000", "FFFFFF") == pytest.approx(21.0)
    assert contrast("767676", "FFFFFF") == pytest.approx(4.54, abs=0.005)  # the lightest passing grey (common practice)


@pytest.mark.parametrize("look", LOOKS)
def test_every_look_keeps_the_contrast_of_wcag_aa(look: str) -> None:
    assert contrast(LOOKS[look].ink, LOOKS[look].ground) >= 4.5
    assert contrast(LOOKS[look].ink, OPEN_GROUND) >= 4.5 or LOOKS[look].ground != "FFFFFF"


def test_every_verdict_has_a_look_and_two_that_share_one_differ_in_words() -> None:
    assert set(VERDICT_LOOKS) == set(VERDICT_SIGNS)
    assert set(VERDICT_LOOKS.values()) <= set(LOOKS)
