"""Writing results: everything or nothing, never over an input, and nothing that a spreadsheet program would run."""

from __future__ import annotations

import csv
import io
import os
import stat
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.errors import GraderError
from grader.exchange import files as files_module
from grader.exchange.csvfile import csv_bytes, harmless, neutralised, read_delimited
from grader.exchange.export import read_exports
from grader.exchange.files import check_output, write_files
from grader.exchange.gradebook import gradebook_files, gradebook_table
from grader.exchange.text import decode
from grader.exchange.workbook import read_workbook, workbook_bytes
from grader.marking.definitions import Rubric

Write = Callable[..., Path]

RESULTS = {"marks.csv": b"new marks", "feedback.xlsx": b"new feedback"}


def contents(folder: Path) -> dict[str, bytes]:
    return {each.name: each.read_bytes() for each in folder.iterdir()} if folder.exists() else {}


def test_files_go_into_a_new_folder_for_the_owner_only(tmp_path: Path) -> None:
    folder = tmp_path / "harbour" / "results"
    paths = write_files(folder, {"marks.csv": b"marks", "feedback.xlsx": lambda out: out.write(b"feedback")})
    assert contents(folder) == {"marks.csv": b"marks", "feedback.xlsx": b"feedback"}
    assert paths == (folder / "marks.csv", folder / "feedback.xlsx")
    assert {stat.S_IMODE(path.stat().st_mode) for path in paths} == {0o600}
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_an_existing_folder_is_replaced_file_by_file(tmp_path: Path) -> None:
    (tmp_path / "marks.csv").write_bytes(b"old marks")
    (tmp_path / "my notes.txt").write_bytes(b"kept")
    write_files(tmp_path, RESULTS)
    assert contents(tmp_path) == {**RESULTS, "my notes.txt": b"kept"}


@pytest.mark.parametrize("locked", ["marks.csv", "feedback.xlsx"])
@pytest.mark.parametrize("before", [{}, {"marks.csv": b"old"}, {"marks.csv": b"old", "feedback.xlsx": b"older"}])
def test_a_locked_file_leaves_everything_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, locked: str, before: dict[str, bytes]
) -> None:
    for name, content in before.items():
        (tmp_path / name).write_bytes(content)
    replace = os.replace

    def refuse(source: Path, target: Path) -> None:
        if Path(target).name == locked:
            raise PermissionError(13, "Permission denied")
        replace(source, target)

    monkeypatch.setattr(files_module.os, "replace", refuse)
    with pytest.raises(
        GraderError, match=rf"{locked} cannot be written: .*open in another program.* Nothing was changed"
    ):
        write_files(tmp_path, RESULTS)
    assert contents(tmp_path) == before


def test_an_interrupt_while_files_are_put_in_place_takes_them_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "marks.csv").write_bytes(b"old")
    replace = os.replace

    def interrupt(source: Path, target: Path) -> None:
        if Path(target).name == "feedback.xlsx":
            raise KeyboardInterrupt
        replace(source, target)

    monkeypatch.setattr(files_module.os, "replace", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_files(tmp_path, RESULTS)
    assert contents(tmp_path) == {"marks.csv": b"old"}


def test_file_systems_without_links_keep_the_old_file_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "marks.csv").write_bytes(b"old")

    def no_links(*_: object, **__: object) -> None:
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(files_module.os, "link", no_links)
    write_files(tmp_path, RESULTS)
    assert contents(tmp_path) == RESULTS


def test_a_full_disk_leaves_nothing_behind(tmp_path: Path) -> None:
    def full(_: object) -> None:
        raise OSError(28, "No space left on device")

    with pytest.raises(GraderError, match="the disk is full"):
        write_files(tmp_path / "results", {"marks.csv": b"marks", "feedback.xlsx": full})
    assert contents(tmp_path) == {}


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_really_full_disk_gets_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened = os.open
    monkeypatch.setattr(files_module.os, "open", lambda path, flags, mode: opened("/dev/full", os.O_WRONLY))
    monkeypatch.setattr(files_module.os, "fsync", lambda _: None)
    with pytest.raises(GraderError, match="the disk is full"):
        write_files(tmp_path, RESULTS)


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write everywhere")
def test_a_read_only_folder_gets_a_sentence(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(GraderError, match="may not be written"):
        write_files(tmp_path, RESULTS)
    tmp_path.chmod(0o700)
    assert contents(tmp_path) == {}


def test_a_fault_while_a_file_is_made_leaves_nothing_behind(tmp_path: Path) -> None:
    def broken(_: object) -> None:
        raise RuntimeError("no report")

    with pytest.raises(RuntimeError, match="no report"):
        write_files(tmp_path / "results", {"marks.csv": b"marks", "feedback.xlsx": broken})
    assert contents(tmp_path) == {}


def test_a_file_in_the_place_of_the_folder(tmp_path: Path) -> None:
    (tmp_path / "results").write_bytes(b"a file")
    for folder in (tmp_path / "results", tmp_path / "results" / "deeper"):
        with pytest.raises(GraderError, match="is a file"):
            write_files(folder, RESULTS)
    assert contents(tmp_path) == {"results": b"a file"}


def test_a_folder_in_the_place_of_a_file(tmp_path: Path) -> None:
    (tmp_path / "marks.csv").mkdir()
    with pytest.raises(GraderError, match="is a folder"):
        write_files(tmp_path, RESULTS)


def test_results_never_go_beside_an_input_not_even_by_a_link(tmp_path: Path) -> None:
    export = tmp_path / "export.csv"
    export.write_bytes(b"answers")
    (tmp_path / "link").symlink_to(tmp_path, target_is_directory=True)
    for folder in (tmp_path, tmp_path / "link"):
        with pytest.raises(GraderError, match=r"holds the input file export\.csv"):
            check_output(folder, RESULTS, [export])
    check_output(tmp_path / "results", RESULTS, [export])


@pytest.mark.parametrize("name", ["../marks.csv", "a/b.csv", "", ".."])
def test_names_with_a_path_are_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="plain file name"):
        write_files(tmp_path, {name: b""})


@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        "+cmd|' /C calc'!A0",
        "-2+3",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        " =1+1",
        "＝1",
        "-7.6 A1",
        "-7 m/s2",
        "-7 m!A1",
        "-7 |cmd",
        "-(3)",
        "--7",
        "-3 -4",
        "-7.6; A1",
        "-7.6; =1+1",
        "-7.6,A1",
    ],
)
def test_formulas_are_neutralised(text: str) -> None:
    assert neutralised(text) == f"'{text}"


@pytest.mark.parametrize(
    "text",
    [
        "-7.6",
        "−7°",
        "-7°",
        "+4",
        "-7,6",
        "-.5",
        "-6.2e-1",
        "62.0 lb",
        "-42,7 m/s",
        "-7.6 lb",
        "-1.042,7 N",
        "−7,5 °",
        "-50.4; -39.4",
        "-50.4, -39.4",
        "-50.4 m/s; −39.4 m/s",
        "S 83° E",
        "",
        "'x",
    ],
)
def test_plain_numbers_and_plain_text_stay(text: str) -> None:
    assert neutralised(text) == text


# Text that survives a round trip as it is: no lone surrogates, no NUL (dropped when read), nothing to neutralise.
CELLS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0\ufeff"), max_size=12).filter(
    lambda text: neutralised(text) == text
)


@given(
    rows=st.lists(st.lists(CELLS, min_size=2, max_size=5), min_size=1, max_size=6), delimiter=st.sampled_from(",;\t")
)
def test_what_is_written_as_csv_is_read_by_an_rfc_4180_reader(rows: list[list[str]], delimiter: str) -> None:
    text = csv_bytes(rows, delimiter).decode("utf-8-sig")
    assert list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)) == rows


@given(rows=st.lists(st.tuples(CELLS, CELLS), min_size=1, max_size=6))
def test_what_is_written_as_csv_is_read_back(
    tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[str, str]]
) -> None:
    path = tmp_path_factory.mktemp("csv") / "answers.csv"
    path.write_bytes(csv_bytes([("Student ID", "Q1"), *rows, ("last", "row")]))
    table = read_delimited(path, lambda row: int("Student ID" in row))
    assert table.rows[1:-1] == tuple(rows)


@given(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0\ufeff")))
def test_every_unicode_encoding_with_a_mark_is_read(text: str) -> None:
    for encoding in ("utf-8-sig", "utf-16", "utf-32"):
        assert decode(text.encode(encoding), "answers.csv").text == text


@given(st.binary(max_size=200))
def test_no_bytes_at_all_stop_the_reading_of_text(data: bytes) -> None:
    assert "\0" not in decode(data, "answers.csv").text


HEAD = "Harbour,,\nID,Q1,Remarks\n"


def test_the_gradebook_is_the_export_with_scores_added(tug: Rubric, file: Write) -> None:
    path = file(HEAD + 'Points possible,2,\n101,"62,0 lb at -7°","=HYPERLINK(""x"")"\n102,-7.6\nTotal,,\n')
    export = read_exports(path, tug)
    made = gradebook_files(export, {"101": (1.5, 2.0), "102": (None, 2.0)})
    assert list(made) == ["answers-scores.csv"]
    assert made["answers-scores.csv"].decode("utf-8") == (
        "\ufeffHarbour,,,,\r\nID,Q1,Remarks,Score,Points possible\r\nPoints possible,2,,,\r\n"
        '101,"62,0 lb at -7°","\'=HYPERLINK(""x"")",1.5,2\r\n102,-7.6,,,2\r\nTotal,,,,\r\n'
    )


def test_the_gradebook_keeps_the_separator_and_loads_back(tug: Rubric, file: Write, tmp_path: Path) -> None:
    export = read_exports(file("ID;Q1\n101;62,0\n", "tuesday.csv"), tug)
    (tmp_path / "back.csv").write_bytes(gradebook_files(export, {"101": (2, 2)})["tuesday-scores.csv"])
    again = read_exports(tmp_path / "back.csv", tug)
    assert list(again.answers["written"]) == list(export.answers["written"])
    assert again.tables[0].rows == (("ID", "Q1", "Score", "Points possible"), ("101", "62,0", "2", "2"))


def test_the_gradebook_of_a_workbook_holds_text_and_no_formula(tug: Rubric, workbook: Write, tmp_path: Path) -> None:
    from openpyxl import load_workbook

    rows = [["ID", "Q1", "Score"], [101, "62 lb", "old"], ["102", 353.0000000000001, None]]
    export = read_exports(workbook({"Tuesday": rows, "Notes": [["none"]]}), tug)
    assert export.tables[0].students == {2: "101", 3: "102"}
    made = gradebook_files(export, {"101": (2, 4), "102": (3.25, 4)})
    (tmp_path / "back.xlsx").write_bytes(made["answers-scores.xlsx"])
    (table,) = read_workbook(tmp_path / "back.xlsx")
    assert table.rows == (
        ("ID", "Q1", "Score", "Homework score", "Points possible"),
        (101, "62 lb", "old", 2, 4),
        ("102", 353.0000000000001, "", 3.25, 4),
    )
    (tmp_path / "hostile.xlsx").write_bytes(workbook_bytes({"S": [["=1+1", "@x", "\x01", "plain"]]}))
    cells = load_workbook(tmp_path / "hostile.xlsx")["S"][1]
    assert [cell.data_type for cell in cells] == ["s"] * 4
    assert [cell.value for cell in cells] == ["=1+1", "@x", "\N{REPLACEMENT CHARACTER}", "plain"]
    assert [bool(cell.quotePrefix) for cell in cells] == [True, True, False, False]


def test_every_row_of_every_file_is_in_the_gradebook(tug: Rubric, file: Write) -> None:
    above = file("ID,Q1\n1,a\n2,b\n", "a.csv")
    below = above.parent / "tuesday" / "a.csv"
    below.parent.mkdir()
    below.write_text("ID,Q1\n3,c\n\n4,d\n", encoding="utf-8")
    export = read_exports([above, below], tug)
    assert list(export.answers["source"])[2:] == ["tuesday/a.csv"] * 2
    assert [(each.file, each.row) for each in export.set_aside] == [("tuesday/a.csv", 3)]
    tables = gradebook_table(export, {})
    assert [len(each.rows) for each in tables] == [3, 4]
    assert list(gradebook_files(export, {})) == ["a-scores.csv", "a-scores-2.csv"]


def test_where_every_row_is_one_answer_each_has_its_own_score(tug: Rubric, file: Write) -> None:
    path = file("ID,Question,Part,Answer\n1,Q1,magnitude,62\n2,Q1,magnitude,60\n1,Q1,direction,353\n3,Q1,,62\n")
    export = read_exports(path, tug)
    parts = {
        ("1", "1", "magnitude"): (2.0, 2.0),
        ("1", "1", "direction"): (1.0, 2.0),
        ("2", "1", "magnitude"): (None, 2.0),
        ("2", "1", "direction"): (0.0, 2.0),
        ("3", "1", "magnitude"): (1.5, 2.0),
        ("3", "1", "direction"): (0.0, 2.0),
    }
    (table,) = gradebook_table(export, {"1": (3.0, 4.0), "2": (None, 4.0), "3": (1.5, 4.0)}, parts)
    assert [row[4:] for row in table.rows] == [
        ("Score", "Points possible", "Total score", "Total possible"),
        (2, 2, 3, 4),
        ("", 2, "", 4),
        (1, 2, 3, 4),
        (1.5, 4, 1.5, 4),
    ]


def test_a_student_with_several_rows_has_the_score_in_the_last(tug: Rubric, file: Write) -> None:
    path = file("ID,Attempt,Q1\n1,1,62\n2,1,60\n1,2,353\n")
    (table,) = gradebook_table(read_exports(path, tug), {"1": (3.0, 4.0), "2": (1.0, 4.0)})
    assert [row[3:] for row in table.rows] == [("Score", "Points possible"), ("", ""), (1, 4), (3, 4)]


@pytest.mark.parametrize(
    "text", ["'-15.3i + 3.3j", "-15.3i + 3.3j", "= 43.6 kN", "=sqrt(3848)", "-5(√2)", "-(3) N", "@ 20°"]
)
def test_answers_come_back_by_the_letter(tug: Rubric, file: Write, text: str) -> None:
    made = gradebook_files(read_exports(file(f'ID,Q1\n1,"{text}"\n'), tug), {"1": (1.0, 4.0)})
    (row,) = csv.DictReader(io.StringIO(made["answers-scores.csv"].decode("utf-8-sig"), newline=""))
    assert row["Q1"] == text


@pytest.mark.parametrize(
    "text",
    [
        "-2+3+cmd|' /C calc'!A0",
        '=HYPERLINK("http://example.org")',
        "=[other.xlsx]S!A1",
        "=dde (A1)",
        "='file:///etc/passwd'#$S.A1",
        "＝ｃｍｄ｜A0",
        "=sqrt(WEBSERVICE(A1))",
    ],
)
def test_a_formula_that_could_do_something_does_not(text: str) -> None:
    assert harmless(text) == f"'{text}"


def test_results_never_go_among_the_answers_of_a_folder(tmp_path: Path) -> None:
    (tmp_path / "sessions").mkdir()
    for out in (tmp_path / "sessions", tmp_path / "sessions" / "results"):
        with pytest.raises(GraderError, match="results never go among answers"):
            check_output(out, ["marks.csv"], [tmp_path / "sessions"])
