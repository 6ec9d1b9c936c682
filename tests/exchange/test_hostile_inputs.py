"""Hostile inputs and what each got: cells in hostile_cells.csv, whole files in the table below."""

from __future__ import annotations

import csv
import io
import os
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from grader.errors import GraderError
from grader.exchange import limits
from grader.exchange.csvfile import FORMULA_STARTS, as_written, csv_bytes, neutralised
from grader.exchange.export import read_exports
from grader.homework import mark_homework, read_homework
from grader.marking.definitions import Rubric

Write = Callable[..., Path]

with (Path(__file__).parent / "hostile_cells.csv").open(encoding="utf-8", newline="") as table:
    CELLS = [
        row | {"content": row["content"].encode("latin-1", "backslashreplace").decode("unicode_escape")}
        for row in csv.DictReader(table)
    ]


@dataclass(frozen=True)
class Marked:
    """A class in which every student does one hostile thing, marked once; number → what the files hold for that student."""

    out: Path
    marks: list[dict[str, str]]
    scores: list[dict[str, str]]


@pytest.fixture(scope="module")
def marked(tmp_path_factory: pytest.TempPathFactory) -> Marked:
    from openpyxl import Workbook

    folder = tmp_path_factory.mktemp("hostile")
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Problems"
    for row in (["Problem", "Find", "Given"], ["1", "resultant", "30 N at 0°; 40 N at 90°"]):
        sheet.append(row)
    book.save(folder / "rubric.xlsx")
    rows = [["Student ID", "Name", "Section", "Q1"]]
    for number, each in enumerate(CELLS):
        student = {"student id": f"s{number}", "name": "Ana", "section": "A", "answer": "50 N at 53°"}
        student[each["where"]] = each["content"]
        rows.append(list(student.values()))
    out = io.StringIO(newline="")
    csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n").writerows(rows)
    (folder / "answers.csv").write_bytes(out.getvalue().encode("utf-8", "replace"))
    rubric, export = read_homework(folder / "rubric.xlsx", [folder / "answers.csv"])
    mark_homework(rubric, export, folder / "results", [folder / "rubric.xlsx", folder / "answers.csv"])

    def table(name: str) -> list[dict[str, str]]:
        with (folder / "results" / name).open(encoding="utf-8-sig", newline="") as file:
            return list(csv.DictReader(file))

    return Marked(folder / "results", table("marks.csv"), table("answers-scores.csv"))


def test_the_tables_are_long_enough() -> None:
    assert len(CELLS) + len(FILES) >= 90


@pytest.mark.parametrize(("number", "case"), list(enumerate(CELLS)), ids=[each["what"] for each in CELLS])
def test_a_hostile_cell_is_kept_as_text(marked: Marked, number: int, case: dict[str, str]) -> None:
    column = {"answer": "Q1", "name": "Name", "student id": "Student ID", "section": "Section"}[case["where"]]
    kept = marked.scores[number][column]
    came_in = case["content"].encode("utf-8", "replace").decode("utf-8").replace("\0", "")
    assert as_written(kept) == as_written(came_in)
    # A formula that can only show a number comes back by the letter, for the platform; one that can act does not.
    assert kept.startswith("'") == (case["in_csv"] == "apostrophe" or came_in.startswith("'"))
    assert (neutralised(came_in) != came_in) == (case["in_csv"] in ("apostrophe", "formula"))
    assert len(marked.marks) == 2 * len(CELLS)  # nobody is lost, and nobody is there twice
    for row in marked.marks[2 * number : 2 * number + 2]:
        assert row["verdict"]
        assert all(neutralised(cell) == cell for cell in row.values())


def test_no_cell_of_the_workbooks_is_a_formula_of_somebody_elses(marked: Marked) -> None:
    from openpyxl import load_workbook

    for sheet in load_workbook(marked.out / "feedback.xlsx").worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert not any(text in str(cell.value) for text in ("cmd", "HYPERLINK", "WEBSERVICE", "1+1"))
                elif isinstance(cell.value, str) and cell.value.startswith(FORMULA_STARTS):
                    assert cell.quotePrefix


def test_nothing_runs_in_the_page_of_the_class(marked: Marked) -> None:
    page = (marked.out / "class.html").read_text(encoding="utf-8")
    assert "<script>alert" not in page
    assert "<img src=x" not in page


def test_files_are_named_by_the_program_alone(marked: Marked) -> None:
    names = {path.name for path in marked.out.iterdir()}
    assert names == {
        *("marks.csv", "feedback.xlsx", "class.html", "answers-scores.csv", "oneroster.zip", "homework.toml"),
    }
    assert {path.stat().st_mode & 0o777 for path in marked.out.iterdir()} == {0o600}


def test_the_gradebook_package_holds_no_formula(marked: Marked) -> None:
    with zipfile.ZipFile(marked.out / "oneroster.zip") as archive:
        for name in archive.namelist():
            for row in csv.reader(io.StringIO(archive.read(name).decode("utf-8"), newline="")):
                assert all(neutralised(cell) == cell for cell in row)


# Whole files.

CONTENT = "[Content_Types].xml"
LAUGHS = '<!DOCTYPE r [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]>'
STEAL = '<!DOCTYPE r [<!ENTITY x SYSTEM "file:///etc/hostname">]>'
QTI = (
    '{}<assessmentResult xmlns="http://www.imsglobal.org/xsd/imsqti_result_v3p0"><context sourcedId="101"/>'
    '<itemResult identifier="q1"><responseVariable identifier="R"><candidateResponse><value>{}</value>'
    "</candidateResponse></responseVariable></itemResult></assessmentResult>"
)
FINE = QTI.format("", "62")


def packed(members: dict[str, bytes | str]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return out.getvalue()


def workbook_with(sheet: bytes | str, **others: bytes | str) -> bytes:
    """A workbook whose sheet is this XML, and whose other parts are sound."""
    from openpyxl import Workbook

    book = Workbook()
    book.worksheets[0].append(["ID", "Q1"])
    out = io.BytesIO()
    book.save(out)
    with zipfile.ZipFile(io.BytesIO(out.getvalue())) as archive:
        members: dict[str, bytes | str] = {name: archive.read(name) for name in archive.namelist()}
    return packed(members | {"xl/worksheets/sheet1.xml": sheet} | others)


def sheet_xml(rows: str, before: str = "") -> str:
    return (
        f'{before}<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{rows}'
        "</sheetData></worksheet>"
    )


def text_cell(place: str, text: str) -> str:
    return f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'


HEAD = f'<row r="1">{text_cell("A1", "ID")}{text_cell("B1", "Q1")}</row>'
ANA = f'<row r="2">{text_cell("A2", "101")}{text_cell("B2", "62")}</row>'


def lies_about_its_size() -> bytes:
    """A zip whose directory says that a member is small, and it is not."""
    data = bytearray(packed({"101.xml": FINE + " " * 400_000}))
    place = data.rindex(b"PK\x01\x02")
    data[place + 24 : place + 28] = (100).to_bytes(4, "little")
    return bytes(data)


def locked() -> bytes:
    data = bytearray(packed({"101.xml": FINE, "102.xml": FINE.replace("101", "102")}))
    for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        place = data.index(mark)
        data[place + offset] |= 1
    return bytes(data)


FILES: dict[str, tuple[str, Callable[[], bytes | str], str]] = {
    # what: (file name, its content, what it got)
    "a million columns": ("a.csv", lambda: "ID,Q1" + "," * 1_000_000 + "\n1,2\n", "1,000,002 columns, more than"),
    "a million columns in one answer row": (
        "a.csv",
        lambda: "ID,Q1\n1,2" + "," * 1_000_000,
        "row 2 has 1,000,002 columns",
    ),
    "a million columns by tabs": ("a.tsv", lambda: "ID\tQ1" + "\t" * 1_000_000 + "\n1\t2\n", "1,000,002 columns"),
    "an answer of 10 MB": (
        "a.csv",
        lambda: "ID,Q1\n1," + "9" * 10_000_000 + "\n",
        "column B holds 10,000,000 characters",
    ),
    "a heading of 10 MB": (
        "a.csv",
        lambda: "ID,Q1," + "x" * 10_000_000 + "\n1,2,3\n",
        "row 1, column C holds 10,000,000",
    ),
    "an answer of 10 MB in a workbook": (
        "a.xlsx",
        lambda: workbook_with(
            sheet_xml(f'{HEAD}<row r="2">{text_cell("A2", "1")}{text_cell("B2", "x" * 10_000_000)}</row>')
        ),
        "times its size",
    ),
    "an answer of 100 KB in a workbook": (
        "a.xlsx",
        lambda: workbook_with(
            sheet_xml(f'{HEAD}<row r="2">{text_cell("A2", "1")}{text_cell("B2", "xy" * 50_000)}</row>')
        ),
        "sheet Sheet, row 2, column B holds 100,000 characters",
    ),
    "a quotation mark that swallows the class": ("a.csv", lambda: 'ID,Q1\n1,"2\n2,3\n', "never closed"),
    "only a byte order mark": ("a.csv", lambda: b"\xef\xbb\xbf", "is empty"),
    "nothing but NUL": ("a.csv", lambda: b"\0" * 5000, "is empty"),
    "random bytes": ("a.csv", lambda: bytes(range(128, 256)) * 20, "no row of headings"),
    "a workbook that unpacks to much": (
        "a.xlsx",
        lambda: packed({CONTENT: "", **{f"{n}.bin": b"\0" * 4_000_000 for n in range(10)}}),
        "would unpack to 40 MB",
    ),
    "a workbook with one part packed a thousand times": (
        "a.xlsx",
        lambda: workbook_with(sheet_xml(HEAD + ANA), bomb=b"\0" * 9_000_000),
        "times its size",
    ),
    "a workbook with entities": (
        "a.xlsx",
        lambda: workbook_with(sheet_xml(HEAD + ANA, LAUGHS)),
        "declares XML entities",
    ),
    "a workbook that reads another file": (
        "a.xlsx",
        lambda: workbook_with(sheet_xml(HEAD + ANA, STEAL)),
        "declares XML entities",
    ),
    "a workbook with entities in UTF-16": (
        "a.xlsx",
        lambda: workbook_with(sheet_xml(HEAD + ANA, LAUGHS).encode("utf-16")),
        "declares XML entities",
    ),
    "entities behind a comment in a workbook": (
        "a.xlsx",
        lambda: workbook_with(sheet_xml(HEAD + ANA, "<?xml version='1.0'?> <!-- a > b --> " + LAUGHS)),
        "declares XML entities",
    ),
    "entities behind a comment without end in a workbook": (
        "a.xlsx",
        lambda: workbook_with(sheet_xml(HEAD + ANA, "<!--" + "xyz" * 200_000 + "-->" + LAUGHS)),
        "it was not opened",
    ),
    "a declaration as an answer": (
        "a.xml",
        lambda: QTI.format("", "<![CDATA[<!DOCTYPE r [<!ENTITY a 'b'>]>]]>"),
        "kept",
    ),
    "entities in the styles of a workbook": (
        "a.xlsx",
        lambda: workbook_with(sheet_xml(HEAD + ANA), **{"xl/styles.xml": LAUGHS + "<styleSheet/>"}),
        "declares XML entities",
    ),
    "a workbook as wide as can be": (
        "a.xlsx",
        lambda: workbook_with(
            sheet_xml(HEAD + "".join(f'<row r="{n}">{text_cell(f"XFD{n}", "x")}</row>' for n in range(2, 40)))
        ),
        "has more than 200,000 cells",
    ),
    "a workbook as long as can be": (
        "a.xlsx",
        lambda: workbook_with(sheet_xml(HEAD + ANA + '<row r="99999999"><c r="A99999999"><v>1</v></c></row>')),
        "has more than 20,000 rows",
    ),
    "a cell beyond the last column": (
        "a.xlsx",
        lambda: workbook_with(sheet_xml(HEAD + f'<row r="2">{text_cell("ZZZZZ2", "x")}</row>')),
        "is damaged",
    ),
    "a workbook without its sheet": ("a.xlsx", lambda: packed({CONTENT: "<Types/>"}), "is damaged"),
    "a workbook cut off": ("a.xlsx", lambda: workbook_with(sheet_xml(HEAD + ANA))[:-200], "not an .xlsx workbook"),
    "a workbook with a byte changed": (
        "a.xlsx",
        lambda: workbook_with(sheet_xml(HEAD + ANA)).replace(b"PK\x01\x02", b"PK\x01\x03"),
        "is damaged",
    ),
    "a web page as wide as can be": (
        "a.xls",
        lambda: "<table><tr><td>ID</td><td colspan=999999>Q1</td></tr><tr><td>1</td></tr></table>",
        "16,385 columns",
    ),
    "a workbook in XML with entities": (
        "a.xls",
        lambda: LAUGHS + '<Workbook xmlns="urn:schemas-microsoft-com:office:spreadsheet"/>',
        "declares XML entities",
    ),
    "results with entities": ("a.xml", lambda: QTI.format(LAUGHS, "&c;"), "declares XML entities"),
    "results that read another file": ("a.xml", lambda: QTI.format(STEAL, "&x;"), "declares XML entities"),
    "results with a document type elsewhere": (
        "a.xml",
        lambda: QTI.format('<!DOCTYPE assessmentResult SYSTEM "http://example.org/x.dtd">', "1"),
        "declares XML entities",
    ),
    "results with entities behind a long comment": (
        "a.xml",
        lambda: QTI.format("<!--" + "x" * 200_000 + "-->" + LAUGHS, "&c;"),
        "declares XML entities",
    ),
    "results nested without end": ("a.xml", lambda: QTI.format("", "<a>" * 100_000 + "</a>" * 100_000), "kept"),
    "results cut off": ("a.xml", lambda: FINE[:-5], "is damaged and was not read"),
    "an archive that climbs out": ("a.zip", lambda: packed({"../../../tmp/101.xml": FINE}), "kept"),
    "an archive with absolute names": ("a.zip", lambda: packed({"/etc/101.xml": FINE, "C:\\101b.xml": FINE}), "kept"),
    "an archive with names that print badly": (
        "a.zip",
        lambda: packed({"x\r\n\u202e\x1b[2Jlmx.exe": "x", "101.xml": FINE}),
        "kept",
    ),
    "an archive in an archive": ("a.zip", lambda: packed({"b.zip": packed({"101.xml": FINE})}), "no QTI results"),
    "an archive that unpacks to much": (
        "a.zip",
        lambda: packed({f"{n}.xml": b" " * 4_000_000 for n in range(10)}),
        "would unpack to 40 MB",
    ),
    "an archive with one dense member": ("a.zip", lambda: packed({"101.xml": b" " * 15_000_000}), "times its size"),
    "an archive of very many files": (
        "a.zip",
        lambda: packed({f"{n}.xml": "" for n in range(101)}),
        "holds 101 files, more than the 100",
    ),
    "an archive that lies about its sizes": ("a.zip", lies_about_its_size, "is damaged and was not read"),
    "an archive with a locked member": ("a.zip", locked, "kept"),
    "an archive cut off": ("a.zip", lambda: packed({"101.xml": FINE})[:-10], "no QTI results"),
}


@pytest.fixture
def low_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    """Limits that small files reach; the true ones would make these tests long, not different."""
    monkeypatch.setattr(limits, "MOST_CELLS", 200_000)
    monkeypatch.setattr(limits, "MOST_ROWS", 20_000)
    monkeypatch.setattr(limits, "MOST_MEMBERS", 100)
    monkeypatch.setattr(limits, "MOST_BYTES", 30_000_000)


@pytest.mark.usefixtures("low_limits")
@pytest.mark.parametrize(("name", "content", "got"), FILES.values(), ids=FILES.keys())
def test_a_hostile_file_gets_one_sentence_or_is_read(
    tug: Rubric, file: Write, tmp_path: Path, name: str, content: Callable[[], bytes | str], got: str
) -> None:
    path = file(content(), name)
    if got == "kept":
        export = read_exports(path, tug)
        assert len(export.answers)
        assert all(note.isprintable() for note in export.notes)
    else:
        with pytest.raises(GraderError) as refusal:
            read_exports(path, tug)
        said = str(refusal.value)
        assert got in said
        assert name in said
        assert len(said.splitlines()) == 1
        assert len(said) < 500
    assert [each.name for each in tmp_path.iterdir()] == [name]


def test_a_file_that_is_larger_than_any_export(tug: Rubric, tmp_path: Path) -> None:
    for name in ("a.csv", "a.xlsx", "a.xml"):
        with (tmp_path / name).open("wb") as out:
            out.write(b"ID,Q1\n")
            out.truncate(limits.MOST_BYTES + 1)  # a hole on the disk, not bytes
        with pytest.raises(GraderError, match="MB, more than the 150 MB"):
            read_exports(tmp_path / name, tug)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes with names")
def test_what_is_no_file_is_not_waited_for(tug: Rubric, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "a.csv")
    for path in (tmp_path / "a.csv", Path("/dev/zero")):
        with pytest.raises(GraderError, match="is no file that can be read as a whole"):
            read_exports(path, tug)


def test_links_in_a_folder_are_not_followed(tug: Rubric, tmp_path: Path) -> None:
    folder = tmp_path / "sessions"
    folder.mkdir()
    (tmp_path / "other.xml").write_text(FINE.replace("101", "999"), encoding="utf-8")
    (folder / "101.xml").write_text(FINE, encoding="utf-8")
    (folder / "link.xml").symlink_to(tmp_path / "other.xml")
    (folder / "round").symlink_to(folder, target_is_directory=True)
    assert set(read_exports(folder, tug).answers["student_id"]) == {"101"}


def test_writing_and_reading_hostile_text_gives_it_back() -> None:
    contents = [each["content"].encode("utf-8", "replace").decode() for each in CELLS]
    rows = list(csv.reader(io.StringIO(csv_bytes([[each] for each in contents]).decode("utf-8-sig"), newline="")))
    assert [as_written(row[0]) for row in rows] == [as_written(each) for each in contents]
