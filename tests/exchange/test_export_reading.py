"""Exports as they come: every student and every answer is kept, or what was set aside is said."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.errors import GraderError, InputFaults
from grader.exchange.export import ANSWER_COLUMNS, Export, read_export, read_exports
from grader.marking.definitions import ColumnRule, Rubric, Settings, Student
from grader.methods.problem import Problem
from grader.notation.given import GivenVectors
from grader.rubric import read_rubric

Write = Callable[..., Path]

HEAD = "Student ID,Name,Q1 magnitude,Q1 direction\n"
ANA, BEN = "101,Ana Reyes,62.0 lb,353°\n", "102,Ben Okafor,,\n"
WRITTEN = {"101": (("magnitude", "62.0 lb"), ("direction", "353°")), "102": (("magnitude", ""), ("direction", ""))}


def written(export: Export) -> dict[str, tuple[tuple[str, object], ...]]:
    return dict(zip(export.answers["student_id"], export.answers["written"]))


def accounted(export: Export) -> None:
    """Every row of every table is the headings, a student's, or set aside; none is two of these."""
    for table in export.tables:
        aside = [each.row for each in export.set_aside if (each.file, each.sheet) == (table.file, table.sheet)]
        rows = [table.header + 1, *table.students, *aside]
        assert sorted(rows) == list(range(1, len(table.rows) + 1))


SHAPES = {
    "comma": (HEAD + ANA + BEN, "utf-8"),
    "byte order mark": ("\ufeff" + HEAD + ANA + BEN, "utf-8"),
    "UTF-16 little": ("\ufeff" + HEAD + ANA + BEN, "utf-16-le"),
    "UTF-16 big": ("\ufeff" + HEAD + ANA + BEN, "utf-16-be"),
    "UTF-16 without mark": (HEAD + ANA + BEN, "utf-16-le"),
    "UTF-32": (HEAD + ANA + BEN, "utf-32"),
    "Windows-1252": (HEAD + ANA + BEN, "cp1252"),
    "semicolon": ((HEAD + ANA + BEN).replace(",", ";"), "utf-8"),
    "tab": ((HEAD + ANA + BEN).replace(",", "\t"), "utf-8"),
    "announced separator": ("sep=;\n" + (HEAD + ANA + BEN).replace(",", ";"), "utf-8"),
    "CR LF": ((HEAD + ANA + BEN).replace("\n", "\r\n"), "utf-8"),
    "CR alone": ((HEAD + ANA + BEN).replace("\n", "\r"), "utf-8"),
    "no last line break": ((HEAD + ANA + BEN).rstrip(), "utf-8"),
    "all quoted": ("\n".join(f'"{x}"' for x in (HEAD + ANA + BEN).replace(",", '","').splitlines()), "utf-8"),
    "title lines": ("Harbour vectors\nExported 11 March,,,\n\n" + HEAD + ANA + BEN, "utf-8"),
    "maximum points": (HEAD + "Points Possible,,2,2\n" + ANA + BEN, "utf-8"),
    "maximum points, no id": (HEAD + ",Maximum points,2,2\n" + ANA + BEN, "utf-8"),
    "totals": (HEAD + ANA + BEN + "Average,,61.2,350\n", "utf-8"),
    "test student": (HEAD + ANA + '999,"Student, Test",1,1\n' + BEN, "utf-8"),
    "headings again": (HEAD + ANA + HEAD + BEN, "utf-8"),
    "empty rows": (HEAD + "\n,,,\n" + ANA + ",,,\n\n" + BEN + "\n\n", "utf-8"),
    "short rows": (HEAD + ANA + "102,Ben Okafor\n", "utf-8"),
    "trailing separators": (HEAD + ANA.replace("\n", ",,\n") + BEN, "utf-8"),
    "NUL bytes": (HEAD + ANA.replace("lb", "l\0b") + BEN, "utf-8"),
    "columns the other way": (
        "Q1 bearing,Q1 length,Full name,ID\n353°,62.0 lb,Ana Reyes,101\n,,Ben Okafor,102\n",
        "utf-8",
    ),
    "first and last name": (
        "First name,Last name,ID,Q1 R,Q1 θ\nAna,Reyes,101,62.0 lb,353°\nBen,Okafor,102,,\n",
        "utf-8",
    ),
    "scores beside answers": (
        "ID,Name,Q1 magnitude,Q1 magnitude score,Q1 direction,Q1 points\n"
        "101,Ana Reyes,62.0 lb,1,353°,2\n102,Ben Okafor,,0,,0\n",
        "utf-8",
    ),
}


@pytest.mark.parametrize(("content", "encoding"), SHAPES.values(), ids=SHAPES.keys())
def test_a_shape_of_export_gives_every_answer(tug: Rubric, file: Write, content: str, encoding: str) -> None:
    export = read_exports(file(content, encoding=encoding), tug)
    assert written(export) == WRITTEN
    assert list(export.answers["name"]) == ["Ana Reyes", "Ben Okafor"]
    accounted(export)


def test_what_is_set_aside_is_said(tug: Rubric, file: Write) -> None:
    text = (
        "Harbour vectors\n\n"
        + HEAD
        + "Points possible,,2,2\n"
        + ANA
        + HEAD
        + ",Cy Nakamura,1,2\n900,Test Student,1,2\n"
        "103,Di Moreau,(61.6, -7.6),353\n\nMean,,1,2\n"
    )
    export = read_exports(file(text), tug)
    assert [(each.row, each.reason.split(",")[0]) for each in export.set_aside] == [
        (1, "a line above the headings"),
        (2, "an empty row"),
        (4, "a row of maximum points"),
        (6, "the headings again"),
        (7, "no student id"),
        (8, "a test student"),
        (9, "5 cells under 4 headings"),
        (10, "an empty row"),
        (11, "a row of totals"),
    ]
    accounted(export)


def test_quoted_separators_quotes_and_line_breaks_are_part_of_the_answer(tug: Rubric, file: Write) -> None:
    text = 'ID,Q1,Remarks\n101,"(61.6, -7.6)\nor ""62.0""",x\n'
    assert written(read_exports(file(text), tug)) == {"101": (("whole", '(61.6, -7.6)\nor "62.0"'),)}


def test_a_semicolon_file_with_decimal_commas_in_every_answer(tug: Rubric, file: Write) -> None:
    text = "ID;Q1\n101;(61,6 , -7,6)\n102;(61,5 , -7,5)\n103;(61,4 , -7,4)\n"
    assert written(read_exports(file(text), tug))["102"] == (("whole", "(61,5 , -7,5)"),)


def test_answers_are_kept_as_written_to_the_last_space(tug: Rubric, file: Write) -> None:
    text = "ID,Q1\n 101 ,  62.0 \u00a0lb  \n"
    assert written(read_exports(file(text), tug)) == {"101": (("whole", "  62.0 \u00a0lb  "),)}


def test_cells_of_a_workbook_keep_their_type(tug: Rubric, workbook: Write) -> None:
    rows = [["ID", "Q1 magnitude", "Q1 direction"], [101.0, 62, 353.0000000000001], ["102", datetime(2026, 1, 2), None]]
    export = read_exports(workbook({"Answers": rows}), tug)
    assert written(export) == {
        "101": (("magnitude", 62), ("direction", 353.0000000000001)),
        "102": (("magnitude", datetime(2026, 1, 2)), ("direction", "")),
    }
    accounted(export)


def test_sheets_of_a_workbook_are_read_one_after_the_other_and_others_named(tug: Rubric, workbook: Write) -> None:
    sheets = {
        "Read me": [["Exported from the harbour"]],
        "Tuesday": [["Harbour"], [], ["ID", "Q1"], [101, "62 lb at 353°"]],
        "Thursday": [["Q1", "ID"], ["blank", 102]],
    }
    export = read_exports(workbook(sheets), tug)
    assert list(export.answers["source"]) == ["answers.xlsx, sheet Tuesday", "answers.xlsx, sheet Thursday"]
    assert list(export.answers["source_row"]) == [4, 2]
    assert export.notes == ("answers.xlsx: the sheet “Read me” has no heading for a student id and was not read.",)
    assert set(export.matches) == set(export.answers["source"])
    accounted(export)


def test_leading_zeros_and_percentages_that_a_workbook_only_shows(tug: Rubric, tmp_path: Path) -> None:
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.worksheets[0]
    for row in (["ID", "Q1 magnitude", "Q1 direction"], [42, 0.5, 97]):
        sheet.append(row)
    sheet["A2"].number_format, sheet["B2"].number_format, sheet["C2"].number_format = "00000", "0%", "000"
    book.save(tmp_path / "zeros.xlsx")
    export = read_exports(tmp_path / "zeros.xlsx", tug)
    assert written(export) == {"00042": (("magnitude", "50%"), ("direction", "097"))}


def test_a_formula_gives_its_stored_result_or_a_sentence(tug: Rubric, workbook: Write) -> None:
    path = workbook({"Answers": [["ID", "Q1"], [101, "=1/2"]]})
    with pytest.raises(InputFaults, match=r"answers\.xlsx, sheet Answers, row 2, column B: found a formula"):
        read_exports(path, tug)


def test_the_table_of_answers(rubric: Rubric, file: Write) -> None:
    text = (
        "ID,Email,Class,Attempt,Handed in,Submitted,2a y,2a x,1,2b,3\n7,a@example.org,B,1,?,noon,-7.6,61.6,R,v,none\n"
    )
    answers = read_export(file(text), rubric)
    assert tuple(answers.columns) == ANSWER_COLUMNS
    assert list(answers["problem"]) == ["1", "2a", "2b", "3"]
    assert list(answers["written"]) == [
        (("whole", "R"),),
        (("x", "61.6"), ("y", "-7.6")),
        (("value", "v"),),
        (("whole", "none"),),
    ]
    row = answers.iloc[0].to_dict()
    assert (row["student_id"], row["email"], row["section"], row["attempt"]) == ("7", "a@example.org", "B", "1")
    assert (row["source"], row["source_row"]) == ("answers.csv", 2)


def test_rows_may_be_split_over_files_and_reordered(tug: Rubric, file: Write) -> None:
    rows = [f"{number},Student {number},{number}.0,{number}°\n" for number in range(100, 130)]
    whole = read_export(file(HEAD + "".join(rows), "whole.csv"), tug)
    random.Random(3).shuffle(rows)
    parts = [file(HEAD + "".join(rows[i::3]), f"part{i}.csv") for i in range(3)]
    split = read_export(parts, tug)
    columns = ["student_id", "name", "problem", "written"]
    assert split[columns].sort_values("student_id").values.tolist() == whole[columns].values.tolist()


def test_the_last_attempt_counts_and_the_others_are_named(tug: Rubric, file: Write) -> None:
    text = "ID,Attempt,Q1\n101,2,second\n102,1,only\n101,Attempt 10,tenth\n101,1,first\n"
    export = read_exports(file(text), tug)
    assert written(export) == {"102": (("whole", "only"),), "101": (("whole", "tenth"),)}
    assert [(each.row, each.reason) for each in export.set_aside] == [
        (2, "attempt 2; attempt 10 counts"),
        (5, "attempt 1; attempt 10 counts"),
    ]
    accounted(export)


def test_the_roster_completes_the_export_and_strangers_are_kept(tug: Rubric, file: Write) -> None:
    roster = (
        Student("101", "Ana Reyes", "ana@example.org", "A"),
        Student("102", "Ben Okafor", "ben@example.org", "B"),
        Student("0104", "Cy Nakamura", "cy@example.org", "B"),
    )
    text = "ID,Name,Email,Q1\n101,A. R.,ana@elsewhere.example.org,1\n104,Cy,,2\n"
    export = read_exports(file(text), replace(tug, students=roster))
    assert export.answers[["name", "email", "section"]].values.tolist() == [
        ["Ana Reyes", "ana@example.org", "A"],
        ["Cy", "", ""],
    ]
    assert export.notes == (
        "answers.csv, row 2: the address of student 101 is not the one in the sheet Students, which is used.",
        "answers.csv, row 3: student 104 is not in the sheet Students; the sheet has 0104; marked all the same.",
        "2 of the 3 students in the sheet Students are in no export: 102 and 0104.",
    )


def test_mixed_encodings_are_read_and_the_lines_named(tug: Rubric, file: Write) -> None:
    data = (HEAD + ANA).encode() + BEN.replace(",,", ",7.6,S 83° E").encode("cp1252")
    export = read_exports(file(data), tug)
    assert written(export)["101"][1] == ("direction", "353°")
    assert written(export)["102"][1] == ("direction", "S 83° E")
    assert export.notes == (
        "answers.csv mixes encodings: it is UTF-8, but line 3 has other bytes, read as Windows-1252; "
        "check the letters there.",
    )


def test_windows_1252_is_reported(tug: Rubric, file: Write) -> None:
    export = read_exports(file(HEAD + ANA, encoding="cp1252"), tug)
    assert export.notes == (
        "answers.csv is not UTF-8 and was read as Windows-1252; check accented letters and degree signs.",
    )


REFUSALS = {
    "a missing column": (HEAD.replace("Q1 direction", "Remarks") + ANA, "no column for problem 1 direction"),
    "a missing problem": ("ID,Name\n101,Ana\n", "answers.csv, row 1: found no column for problem 1;"),
    "no student id": ("Name,Q1\nAna,62\n", "no row of headings with a student id"),
    "two columns for one thing": (
        "ID,Q1 size,Q1 length,Q1 angle\n1,2,3,4\n",
        "found 2 columns for problem 1 magnitude",
    ),
    "a student twice": (
        HEAD + ANA + BEN + ANA.replace("62", "63"),
        "row 4: found student 101 a second time (first in row 2)",
    ),
    "an attempt twice": ("ID,Attempt,Q1\n7,1,a\n7,1,b\n", "row 3: found student 7, attempt 1, a second time"),
    "ids cut short": (HEAD + ANA.replace("101", "1.01E+09"), "found the student id “1.01E+09”, of which"),
    "an empty file": ("", "answers.csv is empty"),
    "only line breaks": ("\n\n", "answers.csv is empty"),
    "only headings": (HEAD, "answers.csv has headings in row 1 and no student below them"),
    "only totals": (HEAD + "Total,,1,2\n", "no student below them"),
    "an open quotation mark": (HEAD + '101,"Ana,62,353\n102,Ben,1,2\n', "found a quotation mark that is never closed"),
}


@pytest.mark.parametrize(("content", "sentence"), REFUSALS.values(), ids=REFUSALS.keys())
def test_bad_input_gets_a_clear_sentence(tug: Rubric, file: Write, content: str, sentence: str) -> None:
    with pytest.raises(GraderError) as refusal:
        read_exports(file(content), tug)
    assert sentence in str(refusal.value)
    assert len(str(refusal.value).splitlines()) == 1


def test_all_faults_of_the_columns_come_at_once(rubric: Rubric, file: Write) -> None:
    with pytest.raises(InputFaults) as refusal:
        read_exports(file("ID,Q1 size,2a x,Q3 b\n1,2,3,4\n"), rubric)
    assert [fault.found.split(" (")[0] for fault in refusal.value.faults] == [
        "no column for problem 1 direction",
        "no column for problem 2a y",
        "no column for problem 2b",
        "no column for problem 3 B",
        "no column for problem 3 C",
    ]


def test_a_student_in_two_files_is_a_fault_with_both_rows(tug: Rubric, file: Write) -> None:
    paths = [file(HEAD + BEN + ANA, "tuesday.csv"), file(HEAD + ANA.replace("62", "63"), "thursday.csv")]
    with pytest.raises(InputFaults, match=r"thursday\.csv, row 2: .*student 101 .*\(first in tuesday\.csv, row 3\)"):
        read_exports(paths, tug)


def test_the_same_file_named_twice_is_read_once(tug: Rubric, file: Write) -> None:
    path = file(HEAD + ANA)
    export = read_exports([path, path], tug)
    assert len(export.answers) == 1
    assert export.notes == ("answers.csv was named twice and is read once.",)


def test_a_heading_of_the_sheet_columns_that_no_export_has(tug: Rubric, file: Write) -> None:
    ruled = replace(tug, columns=(ColumnRule("Tug one pul", "problem 1"),))
    with pytest.raises(InputFaults) as refusal:
        read_exports(file("ID,Tug one pull\n101,62\n"), ruled)
    assert str(refusal.value.faults[0]) == (
        "the rubric, sheet Columns, column Column in the export: found the heading “Tug one pul”, which answers.csv "
        "does not have; expected a heading of the export, letter for letter. Did you mean “Tug one pull”?"
    )


def test_the_sheet_columns_may_speak_of_an_export_that_is_not_at_hand(tug: Rubric, file: Write) -> None:
    rules = (
        ColumnRule("Tug: pull", "problem 1 magnitude"),
        ColumnRule("Tug: way", "problem 1 direction"),
        ColumnRule("First answer", "problem 1"),
        ColumnRule("Pupil", "student id"),
        ColumnRule("Register", "student id"),
        ColumnRule("Anything to say", "ignore"),
    )
    ruled = replace(tug, columns=rules)
    assert len(read_exports(file("Register,Tug: pull,Tug: way\n1,2,3\n"), ruled).answers) == 1
    assert len(read_exports(file("Pupil,First answer\n1,2 at 3\n"), ruled).answers) == 1


def test_a_heading_that_is_not_needed_is_missed_only_where_it_seems_a_slip(tug: Rubric, file: Write) -> None:
    ruled = replace(tug, columns=(ColumnRule("Handed in", "submitted"), ColumnRule("Pupil's class", "section")))
    assert len(read_exports(file("ID,Q1\n101,62\n"), ruled).answers) == 1
    with pytest.raises(InputFaults, match="Did you mean “Pupils clas”"):
        read_exports(file("ID,Q1,Pupils clas\n101,62,B\n"), ruled)


def test_a_due_time_without_times_is_said_to_do_nothing(tug: Rubric, file: Write) -> None:
    ruled = replace(tug, settings=Settings(due=datetime(2026, 3, 11)))
    assert read_exports(file("ID,Q1\n101,62\n"), ruled).notes == (
        "answers.csv does not say when answers were handed in, and no lateness was counted there.",
    )
    doubtful = file("ID,Q1,Date\n101,62,03/04/2026\n102,62,soon\n")
    assert [note.partition(", and")[0] for note in read_exports(doubtful, ruled).notes] == [
        "answers.csv: when row 2 was handed in can be read in two ways",
        "answers.csv: when row 3 was handed in is no date and time",
    ]


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("old.xls", b"\xd0\xcf\x11\xe0", "old.xls is an old workbook"),
        ("locked.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "locked with a password"),
        ("text.xlsx", b"Student ID,Q1\n", "text.xlsx is not an .xlsx workbook"),
        ("cut.xlsx", b"PK\x03\x04 and no more", "cut.xlsx is not an .xlsx workbook"),
        ("none.xlsx", b"", "none.xlsx is empty"),
    ],
)
def test_a_file_of_another_kind_gets_a_clear_sentence(
    tug: Rubric, file: Write, name: str, content: bytes, sentence: str
) -> None:
    with pytest.raises(GraderError, match=sentence):
        read_exports(file(content, name), tug)


def test_a_missing_file_and_a_folder_get_a_clear_sentence(tug: Rubric, tmp_path: Path) -> None:
    with pytest.raises(GraderError, match="does not exist"):
        read_exports(tmp_path / "nowhere.csv", tug)
    with pytest.raises(GraderError, match="is a folder"):
        read_exports(tmp_path, tug)
    with pytest.raises(GraderError, match="No export"):
        read_exports([], tug)


def test_an_empty_sheet_beside_a_filled_one_is_noted(tug: Rubric, workbook: Write) -> None:
    sheets = {"Tuesday": [["ID", "Q1"], [101, "62 at 353"]], "Wednesday": [["ID", "Q1"]]}
    export = read_exports(workbook(sheets), tug)
    assert export.notes == ("answers.xlsx: the sheet “Wednesday” has headings and no students.",)
    with pytest.raises(GraderError, match=r"answers\.xlsx has headings in row 1 and no student below them"):
        read_exports(workbook({"Wednesday": [["ID", "Q1"]]}), tug)


OTHER_ROWS = [
    "\n",
    ",,,\n",
    HEAD,
    "Average,,1,2\n",
    ",Maximum points,2,2\n",
    ",No Id,1,2\n",
    "x,Test Student,,\n",
    "9,Nine,,,5\n",
]


@given(
    others=st.lists(st.sampled_from(OTHER_ROWS), max_size=8),
    ids=st.sets(st.integers(1000, 1100), min_size=1, max_size=12),
    dice=st.randoms(use_true_random=False),
)
def test_whatever_stands_between_them_every_student_is_kept_and_every_row_accounted_for(
    tmp_path_factory: pytest.TempPathFactory, others: list[str], ids: set[int], dice: random.Random
) -> None:
    rows = [*others, *(f"{number},Name,{number}.0 lb,{number}°\n" for number in ids)]
    dice.shuffle(rows)
    path = tmp_path_factory.mktemp("rows") / "answers.csv"
    path.write_text(HEAD + "".join(rows), encoding="utf-8")
    export = read_exports(path, Rubric((Problem("1", "resultant", GivenVectors(())),)))
    assert written(export) == {
        str(number): (("magnitude", f"{number}.0 lb"), ("direction", f"{number}°")) for number in ids
    }
    accounted(export)


ROOT = Path(__file__).parents[2]


def test_the_sample_class() -> None:
    rubric = read_rubric(ROOT / "rubrics" / "harbour-vectors.xlsx")
    samples = [ROOT / "sample_submissions" / name for name in ("section-a.csv", "section-b.xlsx")]
    export = read_exports(samples, rubric)
    assert len(export.answers) == 64 * len(rubric.problems)
    assert (export.set_aside, export.notes) == ((), ())
    assert set(export.answers["student_id"]) == {student.student_id for student in rubric.students}
    accounted(export)
    by_words = read_exports(samples[1], replace(rubric, columns=()))
    assert list(by_words.answers["written"]) == list(export.answers["written"])[-len(by_words.answers) :]


def test_short_rows_are_noted(tug: Rubric, file: Write) -> None:
    export = read_exports(file(HEAD + ANA + "102,Ben\n103\n"), tug)
    assert export.notes == (
        "answers.csv: rows 3 and 4 end before the last column; what is missing was taken as blank.",
    )


def test_a_hostile_cell_takes_no_time(tug: Rubric, file: Write) -> None:
    cell = "1" + "_-" * 16_000
    assert written(read_exports(file(f"ID,Q1,Remarks {cell}\n101,{cell},x\n"), tug)) == {"101": (("whole", cell),)}


def test_a_rule_for_a_heading_that_no_export_has_is_noted(tug: Rubric, file: Write) -> None:
    ruled = replace(tug, columns=(ColumnRule("Locker", "ignore"),))
    (note,) = read_exports(file("ID,Q1\n101,62\n"), ruled).notes
    assert note == "the rubric, sheet Columns: no export has “Locker”; that row has no effect here."


def test_a_misspelt_part_is_never_the_whole_answer_in_silence(tug: Rubric, file: Write) -> None:
    with pytest.raises(InputFaults, match="Did you mean direction"):
        read_exports(file("ID,Q1 size,Q1 dirction\n101,62,353\n"), tug)
    with pytest.raises(InputFaults, match="Did you mean direction"):
        read_exports(file("ID,Question,Response\n101,Q1 size,62\n101,Q1 dirction,353\n"), tug)
