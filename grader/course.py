"""Several marked homeworks of one course: the class page with what changed over time, and the history that remembers it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from grader.errors import GraderError
from grader.exchange.files import write_files
from grader.exchange.marksfile import MARKS_FILE, read_marks
from grader.exchange.origin import recall
from grader.history.records import Homework, in_order, together
from grader.history.store import HistoryError, history_path, read, record
from grader.marking.definitions import Rubric
from grader.marking.mark import prepare
from grader.rubric.read import read_rubric
from grader.rubric.settling import without_excused

if TYPE_CHECKING:
    import pandas as pd

    from grader.history.progress import Progress

CLASS_FILE = "class.html"


@dataclass(frozen=True)
class Folder:
    """A folder of results: the homework's key and title, the rubric it was marked with, and its marks."""

    path: Path
    key: str
    title: str
    rubric: Path | None
    marks: pd.DataFrame


@dataclass(frozen=True)
class Course:
    """The class page that was written, and notes for the teacher (a history that could not be kept)."""

    page: Path
    homeworks: tuple[str, ...]
    notes: tuple[str, ...] = ()


def key_of_homework(rubric: Rubric) -> tuple[str, str]:
    """What tells a homework apart from others, and its title: a workbook may serve a whole term, with new titles."""
    return _key(rubric.path, rubric.settings.title)


def open_folder(path: Path) -> Folder:
    """The marks of a folder that ``grader mark`` wrote, and what they came from; GraderError where it holds none."""
    if not path.is_dir():
        raise GraderError(f"{path} is not a folder; name a folder that grader mark wrote.")
    known = recall(path)
    # A folder that remembers nothing is at least told apart by its name.
    rubric = known.rubric.resolve() if known.rubric else None
    key, title = _key(rubric, known.title or ("" if rubric else path.name))
    marks = read_marks(path / MARKS_FILE)
    if marks is None:
        raise GraderError(f"{path} holds no {MARKS_FILE}; mark the homework into it with grader mark.")
    return Folder(path, key, title, rubric, without_excused(marks))


def _key(rubric: Path | None, title: str) -> tuple[str, str]:
    name = rubric.stem if rubric else ""
    return f"{name}/{title}", title or name or "Homework"


def class_over_time(folders: Sequence[Path], rubric_path: Path | None = None, out: Path | None = None) -> Course:
    """Write the class page of the last folder's homework, with what the earlier ones (oldest first) show over time.

    The results are kept in the history beside the rubric, which is made if it is not there; where it cannot be, a note says
    so and the page is written all the same. ``rubric_path`` names the rubric of the last folder if it has moved, ``out`` another
    folder for the page. Raises GraderError.
    """
    import pandas as pd

    from grader.reports.class_page.page import class_page

    opened = [open_folder(path) for path in folders]
    last = opened[-1]
    path = rubric_path or last.rubric
    if path is None:
        raise GraderError(f"{last.path} does not say which rubric it was marked by; name it with --rubric RUBRIC.xlsx.")
    if not path.is_file():
        raise GraderError(f"The rubric {path} of {last.path} is not there; name it with --rubric RUBRIC.xlsx.")
    rubrics = {last.key: read_rubric(path)}
    notes: list[str] = []
    for folder in opened:
        if folder.key not in rubrics and folder.rubric is not None and folder.rubric.is_file():
            rubrics[folder.key] = read_rubric(folder.rubric)
    given = [_homework(folder, rubrics.get(folder.key)) for folder in opened]
    files = dict.fromkeys(history_path(one) for one in (path, *(folder.rubric for folder in opened if folder.rubric)))
    past = [_kept(file, notes) for file in files]
    homeworks = in_order(together(*past, given), list(dict.fromkeys(folder.key for folder in opened)))
    same = [folder.marks for folder in opened if folder.key == last.key]
    marks = pd.concat(same).drop_duplicates(["student_id", "problem", "part"], keep="last", ignore_index=True)
    rubric = rubrics[last.key]
    solved = [one.solved for one in prepare(rubric).values()]
    page = class_page(marks, solved, rubric, _progress(homeworks, marks))
    (written,) = write_files(out or last.path, {CLASS_FILE: page.encode("utf-8")})
    notes += keep(path, homeworks)
    return Course(written, tuple(homework.title for homework in homeworks), tuple(dict.fromkeys(notes)))


def page_of(rubric: Rubric, marks: pd.DataFrame) -> bytes:
    """The class page of a homework just marked, with what an existing history shows over time.

    ``marks`` are those that count: without the ones from which students are excused.
    """
    from grader.reports.class_page.page import class_page

    prepared = prepare(rubric)
    file = history_path(rubric.path) if rubric.path else None
    over_time = None
    if file is not None and file.exists():
        past = _kept(file, [])
        key, _ = key_of_homework(rubric)
        over_time = _progress(in_order(together(past, [_record(rubric, marks)]), [key]), marks)
    solved = [one.solved for one in prepared.values()]
    return class_page(marks, solved, rubric, over_time).encode("utf-8")


def remember(rubric: Rubric, marks: pd.DataFrame) -> list[str]:
    """Bring an existing history up to date with a homework just marked; a note where that cannot be done.

    Without a history nothing is kept: the teacher begins one with ``grader class``.
    """
    if rubric.path is None or not history_path(rubric.path).exists():
        return []
    return keep(rubric.path, [_record(rubric, without_excused(marks))])


def keep(rubric_path: Path, homeworks: Iterable[Homework]) -> list[str]:
    """Write homeworks into the history beside a rubric; a note where that cannot be done."""
    try:
        record(history_path(rubric_path), homeworks)
    except HistoryError as error:
        return [f"{error} The page and the marks are not concerned."]
    return []


def _record(rubric: Rubric, marks: pd.DataFrame) -> Homework:
    from grader.reports.class_page.over_time import homework_record

    return homework_record(*key_of_homework(rubric), marks, prepare(rubric))


def _homework(folder: Folder, rubric: Rubric | None) -> Homework:
    """The record of a folder; without its rubric nobody can tell what its numbers could have shown, only what they did."""
    from grader.reports.class_page.over_time import homework_record

    return homework_record(folder.key, folder.title, folder.marks, prepare(rubric) if rubric else {})


def _kept(file: Path, notes: list[str]) -> tuple[Homework, ...]:
    try:
        return read(file)
    except HistoryError as error:
        notes.append(f"{error} The page and the marks are not concerned.")
        return ()


def _progress(homeworks: Sequence[Homework], marks: pd.DataFrame) -> Progress | None:
    from grader.reports.class_page.over_time import class_progress

    return class_progress(homeworks, marks)
