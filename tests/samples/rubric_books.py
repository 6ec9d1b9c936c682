"""The two rubric workbooks of the harbour, laid out for a teacher to read, print and change."""

from __future__ import annotations

import datetime
import io
import re
import textwrap
import zipfile
from collections.abc import Iterable, Sequence
from pathlib import Path

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.header_footer import HeaderFooterItem, _HeaderFooterPart
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

WRITTEN_ON = datetime.datetime(2026, 3, 2, 8, 0, 0)
HEADING_FONT = Font(name="Calibri", size=11, bold=True, color="FFFFFF")
HEADING_FILL = PatternFill("solid", start_color="1F4E5F")
BODY_FONT = Font(name="Calibri", size=11)
BAND_FILL = PatternFill("solid", start_color="EFF5F7")
THIN = Side(style="thin", color="C5D3D8")
GRID = Border(left=THIN, right=THIN, top=THIN, bottom=THIN)

Rows = Sequence[Sequence[str | float | None]]

# heading, width, note
PROBLEM_COLUMNS = (
    ("Problem", 11, "The label that students see: 1, 2a"),
    ("Question", 52, "The wording, shown on the key and in feedback"),
    ("Find", 17, "What is asked; choose from the list"),
    ("Given", 40, "The data as on the board, vectors separated by semicolons"),
    ("Answer as", 17, "The parts of the answer; choose from the list"),
    ("Direction as", 14, "The form in which the direction is asked; choose from the list"),
    ("Method", 16, "Blank: either method"),
    ("Unit", 8, "Blank: no unit asked"),
    ("Magnitude to", 12, "0.1, 1, 3 s.f. or exact"),
    ("Direction to", 11, "In degrees: 1 or 0.1"),
    ("Allow", 8, "Extra allowance; blank: only what honest rounding needs"),
    ("Points", 9, "One number shared by the parts, or one for each part: 2 + 2"),
)
CHOICES = {
    "Find": "resultant,equilibrant,difference,components,magnitude and direction,angle between,dot product,unit vector,"
    "heading,ramp,triangle,expression",
    "Answer as": "magnitude and direction,components,number,triangle",
    "Direction as": "standard position,quadrant bearing,true bearing,from an axis,any",
    "Method": "parallelogram,components,either",
}
TO = "magnitude and direction"
VECTOR_PROBLEMS: Rows = (
    (
        "1",
        "Two tugs pull a barge: one with 52.0 kN at 25°, the other with 41.0 kN at 318°. Draw the parallelogram. "
        "How hard do they pull together, and in which direction (0° to 360° from the positive x-axis)?",
        *("resultant", "52.0 kN at 25°; 41.0 kN at 318°", TO, "standard position", "parallelogram", "kN"),
        *("0.1", "1", None, "2 + 2"),
    ),
    (
        "2",
        "Two mooring lines hold the bow of a trawler: 200 lb at 22° and 470 lb at 164°. Use the parallelogram to "
        "find the resultant pull and its direction.",
        *("resultant", "200 lb at 22°; 470 lb at 164°", TO, "standard position", "parallelogram", "lb"),
        *("0.1", "0.1", None, "2 + 2"),
    ),
    (
        "3",
        "The ebb sets through the harbour mouth at 3.40 knots, 213° from the positive x-axis (east). Find its "
        "components.",
        *("components", "3.40 knots at 213°", "components", None, "components", "knots"),
        *("0.01", None, None, "2 + 2"),
    ),
    (
        "4",
        "A drone flies from the buoy at (4.5, -1.5) straight to the buoy at (-2.9, 2.6); the chart grid is in "
        "kilometers. How far does it fly, and in which direction?",
        *(TO, "(4.5, -1.5) to (-2.9, 2.6)", TO, "standard position", "components", "km"),
        *("0.01", "0.1", None, "2 + 2"),
    ),
    (
        "5",
        "Three lines hold a float: 185 N toward N 42° E, 240 N toward S 66° E and 140 N toward S 22° W. Find the "
        "resultant by components and give its direction as a quadrant bearing.",
        *("resultant", "185 N N 42° E; 240 N S 66° E; 140 N S 22° W", TO, "quadrant bearing", "components", "N"),
        *("0.1", "0.1", None, "2 + 2"),
    ),
    (
        "6",
        "Two tugs pull a ship with 34.0 kN at bearing 073° and 22.5 kN at bearing 155°. With what force and at what "
        "true bearing must a third tug pull so that the ship stays where it is?",
        *("equilibrant", "34.0 kN at bearing 073°; 22.5 kN at bearing 155°", TO, "true bearing", "components", "kN"),
        *("0.1", "1", None, "2 + 2"),
    ),
)
TRIANGLE_PROBLEMS: Rows = (
    (
        "1",
        "From the lighthouse L the two ends of a sandbank are sighted. Side a = 8.4 km, side c = 11.2 km, angle "
        "A = 42°. Solve the triangle; if there are two, give both.",
        *("triangle", "a=8.4; c=11.2; A=42°", "triangle", None, None, "km", "0.1", "0.1", None, "6"),
    ),
    (
        "2",
        "Two radio masts stand 21.0 km and 37.0 km from the pilot station, and the lines to them make an angle of "
        "118°. Solve the triangle.",
        *("triangle", "C=118°; a=21.0; b=37.0", "triangle", None, None, "km", "0.1", "0.1", None, "3"),
    ),
    (
        "3",
        "A ferry makes 6.50 knots through the water. The current sets toward the southeast at 2.20 knots. Which true "
        "bearing must the ferry steer to make good due north, and at what speed does she go over the ground?",
        "heading",
        "water speed 6.50 knots; current 2.20 knots toward SE; track N",
        *(TO, "true bearing", "either", "knots", "0.01", "0.1", None, "2 + 2"),
    ),
    (
        "4",
        "An 850 lb skiff rests on a slipway that rises at 12°. Find the parts of its weight along the slipway and "
        "square to it.",
        *("ramp", "850 lb on 12°", "components", None, None, "lb", "0.1", None, None, "2 + 2"),
    ),
    (
        "5",
        "Two crane cables pull along <7, -4> and <-2, 9>. What is the angle between them?",
        *("angle between", "<7, -4>; <-2, 9>", "number", None, None, None, None, "0.1", None, "3"),
    ),
    (
        "6",
        "A winch pulls with the force 5i + 2j while the barge moves by 3i - 7j. Find the dot product.",
        *("dot product", "5i + 2j; 3i - 7j", "number", None, None, None, "exact", None, None, "2"),
    ),
)


def new_book(title: str) -> Workbook:
    book = Workbook()
    del book[book.sheetnames[0]]
    book.properties.title = title
    book.properties.creator = "Harbour school"
    book.properties.created = WRITTEN_ON
    return book


def as_typed(value: str | float | None) -> str | float | None:
    """A number where a teacher who types it gets a number cell: 1, 0.1."""
    if isinstance(value, str) and re.fullmatch(r"\d+(\.\d+)?", value):
        return float(value) if "." in value else int(value)
    return value


def lines_of(value: str | float | None, width: float) -> int:
    """How many lines the text takes in a column so many characters wide, by whole words."""
    return 1 if value is None else len(textwrap.wrap(str(value), max(4, int(width * 0.9) - 2)))


def add_sheet(
    book: Workbook, name: str, columns: Iterable[tuple[str, float, str]], rows: Rows, landscape: bool = False
) -> Worksheet:
    """A sheet with a frozen heading row, borders, wrapped text, banded rows and titles repeated in print."""
    sheet: Worksheet = book.create_sheet(name)
    columns = tuple(columns)
    for number, (heading, width, note) in enumerate(columns, start=1):
        cell = sheet.cell(1, number, heading)
        cell.font, cell.fill, cell.border = HEADING_FONT, HEADING_FILL, GRID
        cell.alignment = Alignment(wrap_text=True, vertical="center", horizontal="left", indent=1)
        if note:
            cell.comment = Comment(note, "Harbour school", width=260, height=60)
        sheet.column_dimensions[get_column_letter(number)].width = width
    for at, row in enumerate(rows, start=2):
        for number, value in enumerate(row, start=1):
            cell = sheet.cell(at, number, as_typed(value))
            cell.font, cell.border = BODY_FONT, GRID
            cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal="left", indent=1)
            if at % 2:
                cell.fill = BAND_FILL
        lines = max(lines_of(value, column[1]) for value, column in zip(row, columns, strict=True))
        sheet.row_dimensions[at].height = 15 * lines + 3
    sheet.freeze_panes = "B2" if landscape else "A2"
    sheet.row_dimensions[1].height = 34 if landscape else 21
    sheet.print_title_rows = "1:1"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.page_setup.orientation = "landscape" if landscape else "portrait"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_margins.left = sheet.page_margins.right = 0.4
    sheet.HeaderFooter.oddFooter = HeaderFooterItem(center=_HeaderFooterPart(text="&A, page &P of &N"))
    return sheet


def add_problems(book: Workbook, rows: Rows) -> None:
    sheet = add_sheet(book, "Problems", PROBLEM_COLUMNS, rows, landscape=True)
    for number, (heading, _, _) in enumerate(PROBLEM_COLUMNS, start=1):
        if heading in CHOICES:
            rule = DataValidation(type="list", formula1=f'"{CHOICES[heading]}"', allow_blank=True)
            letter = get_column_letter(number)
            rule.add(f"{letter}2:{letter}200")
            sheet.add_data_validation(rule)


def settings_rows(title: str) -> Rows:
    return (
        ("Title", title),
        ("Carried decimals", 4),
        ("Decimal mark", "as the export"),
        ("Dropped zeros", "accept"),
        ("Show answers", "no"),
        ("Credit unit missing", 0.75),
        ("Credit rounded too far", 0.75),
        ("Credit rounded early", 0.75),
    )


SETTING_COLUMNS = (("Setting", 28, ""), ("Value", 44, ""))
COLUMN_COLUMNS = (("Column in the export", 30, "The heading, letter by letter"), ("Holds", 28, "What it holds"))
STUDENT_COLUMNS = (("Student ID", 13, ""), ("Name", 30, ""), ("Email", 48, ""), ("Section", 10, ""))
MISTAKE_COLUMNS = (
    ("Mistake", 24, "The name of a mistake, or a name of your own"),
    ("Use", 8, "yes or no"),
    ("Feedback", 64, "Your own words to the student; blank keeps the words that come with the program"),
    ("Problem", 12, "For a mistake of your own: the problem on which it is made"),
    ("Formula", 34, "For a mistake of your own: what comes out, one formula for each part"),
)
DECISION_COLUMNS = (
    ("Student ID", 13, ""),
    ("Problem", 12, ""),
    ("Part", 14, "Blank: the whole problem"),
    ("Points", 9, "What you decided; it always wins"),
    ("Note", 44, "Why, for yourself and the student"),
)
MISTAKES: Rows = (
    (
        "obtuse-missed",
        "yes",
        "Two angles have this sine. Look at your drawing: is the angle at the first line really less than 90°?",
        None,
        None,
    ),
    (
        "points-added",
        "yes",
        "You added the two points. The way from one buoy to the next is end minus start.",
        "4",
        "sqrt(1.6^2 + 1.1^2); 34.51",
    ),
)


def vector_book(columns: Rows, students: Rows) -> Workbook:
    book = new_book("Vectors in the harbour")
    add_problems(book, VECTOR_PROBLEMS)
    add_sheet(book, "Settings", SETTING_COLUMNS, settings_rows("Vectors in the harbour: homework 3"))
    add_sheet(book, "Columns", COLUMN_COLUMNS, columns)
    add_sheet(book, "Students", STUDENT_COLUMNS, students)
    add_sheet(book, "Mistakes", MISTAKE_COLUMNS, MISTAKES, landscape=True)
    add_sheet(book, "Decisions", DECISION_COLUMNS, ())
    return book


def triangle_book() -> Workbook:
    book = new_book("Triangles and currents in the harbour")
    add_problems(book, TRIANGLE_PROBLEMS)
    add_sheet(book, "Settings", SETTING_COLUMNS, settings_rows("Triangles and currents in the harbour: homework 4"))
    return book


def save(book: Workbook, path: Path) -> None:
    """Write the workbook with the same bytes every time: the day of saving and the times in the zip are fixed."""
    memory = io.BytesIO()
    book.save(memory)
    stamp = WRITTEN_ON.strftime("%Y-%m-%dT%H:%M:%SZ")
    with zipfile.ZipFile(memory) as saved, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as fixed:
        for name in saved.namelist():
            content = saved.read(name)
            if name == "docProps/core.xml":
                content = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + stamp.encode(), content)
            entry = zipfile.ZipInfo(name, date_time=WRITTEN_ON.timetuple()[:6])
            entry.compress_type = zipfile.ZIP_DEFLATED
            fixed.writestr(entry, content)
