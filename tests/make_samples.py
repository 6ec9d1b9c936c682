"""Make the sample class: two rubrics, the exports of two class sections, and what was meant by every answer.

Run by hand: ``python tests/make_samples.py``. Nothing here uses the package. Students, their habits and what each does
on each problem are in tests/samples/students.csv; answers that no habit produces are in hand_written.csv. Every run
writes the same bytes.
"""

from __future__ import annotations

import csv
import datetime
import random
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Font
from samples import rubric_books
from samples.by_hand import PROBLEMS, check_right_answers
from samples.pupils import SEED, Pupil, Written, answers_of, read_pupils

TESTS = Path(__file__).resolve().parent
SAMPLES = TESTS / "samples"
ROOT = TESTS.parent

# heading -> what the column holds; a box for one part, or for a whole problem
HEADINGS_A = {
    "Register no.": "student id",
    "Student": "name",
    "Mail": "email",
    "Class": "section",
    "Handed in": "submitted",
    "Tugs: pull": "problem 1 magnitude",
    "Tugs: direction": "problem 1 direction",
    "Lines: pull": "problem 2 magnitude",
    "Lines: direction": "problem 2 direction",
    "Ebb: east part": "problem 3 x",
    "Ebb: north part": "problem 3 y",
    "Buoys: distance": "problem 4 magnitude",
    "Buoys: direction": "problem 4 direction",
    "Float: pull": "problem 5 magnitude",
    "Float: bearing": "problem 5 direction",
    "Third tug: pull": "problem 6 magnitude",
    "Third tug: bearing": "problem 6 direction",
    "Anything to say?": "ignore",
}
HEADINGS_B = {
    "Pupil ID": "student id",
    "Pupil": "name",
    "Address": "email",
    "Group": "section",
    "Sent": "submitted",
    "No. 1, whole answer": "problem 1",
    "No. 2, size": "problem 2 magnitude",
    "No. 2, angle": "problem 2 direction",
    "No. 3, both components": "problem 3",
    "No. 4, whole answer": "problem 4",
    "No. 5, whole answer": "problem 5",
    "No. 6, size": "problem 6 magnitude",
    "No. 6, bearing": "problem 6 direction",
    "Remarks": "ignore",
}
REMARKS = {
    "H1019": "I was not sure about number 4",
    "H1077": "sorry, put both in one box",
    "H1117": "Can I hand in 4 tomorrow?",
    "H1249": "was at training",
    "H1303": "no calculator at home",
}


def handed_in(pupil: Pupil) -> datetime.datetime | None:
    """An afternoon or evening of two days; None for a pupil who was absent."""
    if set(pupil.plan.values()) == {"blank"}:
        return None
    dice = random.Random(f"{SEED} {pupil.student_id}")
    return datetime.datetime(2026, 3, dice.choice((10, 11)), 14) + datetime.timedelta(minutes=dice.randrange(60 * 9))


def row_of(pupil: Pupil, headings: dict[str, str], answers: dict[tuple[str, str], Written]) -> Iterator[str]:
    moment = handed_in(pupil)
    about = {
        "student id": pupil.student_id,
        "name": pupil.name,
        "email": pupil.email,
        "section": pupil.section,
        "submitted": f"{moment:%Y-%m-%d %H:%M}" if moment else "",
        "ignore": REMARKS.get(pupil.student_id, ""),
    }
    for holds in headings.values():
        if holds in about:
            yield about[holds]
            continue
        _, label, *part = holds.split()
        texts = answers[pupil.student_id, label].texts
        yield texts[PROBLEMS[label].parts.index(part[0])] if part else texts[0]


def write_section_a(pupils: list[Pupil], answers: dict[tuple[str, str], Written], path: Path) -> None:
    # RFC 4180 line ends; the byte-order mark is what spreadsheet programs write.
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(HEADINGS_A)
        writer.writerows(row_of(pupil, HEADINGS_A, answers) for pupil in pupils)


def write_section_b(pupils: list[Pupil], answers: dict[tuple[str, str], Written], path: Path) -> None:
    book = Workbook()
    book.properties.created = rubric_books.WRITTEN_ON
    sheet = book.worksheets[0]
    sheet.title = "Group B"
    sheet.append(list(HEADINGS_B))
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    for at, pupil in enumerate(pupils, start=2):
        for number, (text, holds) in enumerate(
            zip(row_of(pupil, HEADINGS_B, answers), HEADINGS_B.values(), strict=True), start=1
        ):
            cell = sheet.cell(at, number)
            if holds == "submitted":
                cell.value, cell.number_format = handed_in(pupil), "yyyy-mm-dd hh:mm"
            elif pupil.typed_numbers and holds.startswith("problem") and is_number(text):
                cell.value = float(text)
            elif text:
                cell.value = text
    for letter, width in zip("ABCDEFGHIJKLMN", (10, 24, 38, 7, 17, 30, 16, 16, 28, 28, 30, 14, 16, 24)):
        sheet.column_dimensions[letter].width = width
    sheet.freeze_panes = "C2"
    rubric_books.save(book, path)


def is_number(text: str) -> bool:
    """Whether a number cell gives back this very text; 142.50000000000003 stays text, as exports have it."""
    try:
        return f"{float(text):.15g}" == text
    except ValueError:
        return False


def truth_rows(pupils: Iterable[Pupil], answers: dict[tuple[str, str], Written]) -> Iterator[tuple[str, ...]]:
    for pupil in pupils:
        for label, problem in PROBLEMS.items():
            written = answers[pupil.student_id, label]
            for at, part in enumerate(problem.parts):
                yield pupil.student_id, label, part, written.texts[min(at, len(written.texts) - 1)], written.meant[at]


def main() -> None:
    check_right_answers()
    pupils = read_pupils()
    answers = answers_of(pupils)
    truth = list(truth_rows(pupils, answers))
    with (SAMPLES / "truth.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("student_id", "problem", "part", "written", "meant"))
        writer.writerows(truth)

    submissions, rubrics = ROOT / "sample_submissions", ROOT / "rubrics"
    for folder in (submissions, rubrics):
        folder.mkdir(exist_ok=True)
    sections = {name: [pupil for pupil in pupils if pupil.section == name] for name in "AB"}
    write_section_a(sections["A"], answers, submissions / "section-a.csv")
    write_section_b(sections["B"], answers, submissions / "section-b.xlsx")
    columns = [*HEADINGS_A.items(), *HEADINGS_B.items()]
    students = [(p.student_id, p.name, p.email, p.section) for p in pupils]
    rubric_books.save(rubric_books.vector_book(columns, students), rubrics / "harbour-vectors.xlsx")
    rubric_books.save(rubric_books.triangle_book(), rubrics / "harbour-triangles.xlsx")

    print(f"{len(pupils)} students, {len(truth)} parts")
    for meant, count in Counter(row[-1] for row in truth).most_common():
        print(f"{count:5d}  {meant}")


if __name__ == "__main__":
    main()
