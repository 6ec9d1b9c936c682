"""The history file: an SQLite database beside the rubric, made on first use.

A record is written in one transaction, so that a program killed at any moment leaves the file as it was before or after,
never between. SQLite's rollback journal is used and not its write-ahead log, which needs shared memory and so fails
on the network drives that schools keep their files on (sqlite.org, "Write-Ahead Logging", limitations).
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
from collections.abc import Iterable, Iterator
from pathlib import Path

from grader.errors import GraderError
from grader.history.records import Answer, Homework, WrongTurn

SUFFIX = ".history.sqlite"
VERSION = 1
_APPLICATION = 0x56484752  # marks the file as ours (SQLite: PRAGMA application_id)
_OWNER_ONLY = 0o600
_PATIENCE = 10.0  # seconds to wait for another program that is writing

_TABLES = """
CREATE TABLE homework (
    id INTEGER PRIMARY KEY,
    key TEXT NOT NULL UNIQUE,
    title TEXT NOT NULL
);
CREATE TABLE could_show (
    homework INTEGER NOT NULL REFERENCES homework ON DELETE CASCADE,
    problem TEXT NOT NULL,
    mistake TEXT NOT NULL,
    PRIMARY KEY (homework, problem, mistake)
) WITHOUT ROWID;
CREATE TABLE answer (
    homework INTEGER NOT NULL REFERENCES homework ON DELETE CASCADE,
    student TEXT NOT NULL,
    problem TEXT NOT NULL,
    answered INTEGER NOT NULL,
    points REAL,
    possible REAL NOT NULL,
    PRIMARY KEY (homework, student, problem)
) WITHOUT ROWID;
CREATE TABLE turn (
    homework INTEGER NOT NULL REFERENCES homework ON DELETE CASCADE,
    student TEXT NOT NULL,
    problem TEXT NOT NULL,
    mistake TEXT NOT NULL,
    chance REAL NOT NULL,
    lost REAL NOT NULL,
    PRIMARY KEY (homework, student, problem, mistake)
) WITHOUT ROWID;
"""


class HistoryError(GraderError):
    """The history cannot be read or kept; the marks themselves are not concerned."""


def history_path(rubric: Path) -> Path:
    """Where the history of a rubric is kept: ``week3.xlsx`` → ``week3.history.sqlite`` beside it."""
    return rubric.with_name(rubric.stem + SUFFIX)


def record(path: Path, homeworks: Iterable[Homework]) -> None:
    """Write marked homeworks into the history, all or none, and make the file (owner only) if it is not there.

    A homework marked again replaces what was kept of the same students; nothing is ever doubled. Raises HistoryError.
    """
    with _told(path, "written"):
        _make(path)
        with contextlib.closing(_connected(path)) as connection, connection:
            connection.execute("BEGIN IMMEDIATE")
            _prepare(connection, path)
            for homework in homeworks:
                _replace(connection, homework)


def read(path: Path) -> tuple[Homework, ...]:
    """The homeworks of a history in the order in which they were first recorded; none where there is no file.

    Raises HistoryError.
    """
    if not path.exists():
        return ()
    with _told(path, "read"), contextlib.closing(_connected(path)) as connection, connection:
        connection.execute("BEGIN")
        if not _ours(connection, path):
            return ()
        return tuple(
            _homework(connection, *row) for row in connection.execute("SELECT id, key, title FROM homework ORDER BY id")
        )


@contextlib.contextmanager
def _told(path: Path, done: str) -> Iterator[None]:
    try:
        yield
    except (sqlite3.Error, OSError) as error:
        reason = (error.strerror or "").lower() if isinstance(error, OSError) else str(error)
        raise HistoryError(f"The history {path} could not be {done}: {reason or 'unknown reason'}.") from error


def _make(path: Path) -> None:
    """An empty file that only its owner can read, before SQLite opens it: the journal beside it gets the same rights."""
    with contextlib.suppress(FileExistsError):
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, _OWNER_ONLY))


def _connected(path: Path) -> sqlite3.Connection:
    # Read and write even for reading: what a killed writer left half done is rolled back by the next to open the file.
    address = f"{path.resolve().as_uri()}?mode=rw"
    connection = sqlite3.connect(address, uri=True, timeout=_PATIENCE, isolation_level=None)
    connection.execute("PRAGMA foreign_keys = ON")
    return connection


def _prepare(connection: sqlite3.Connection, path: Path) -> None:
    if _ours(connection, path):
        return
    for statement in _TABLES.split(";"):
        if statement.strip():
            connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {_APPLICATION}")
    connection.execute(f"PRAGMA user_version = {VERSION}")


def _ours(connection: sqlite3.Connection, path: Path) -> bool:
    """Whether the file holds a history; False where it is still empty. Raises HistoryError for anything else."""
    tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if not tables:
        return False
    application = connection.execute("PRAGMA application_id").fetchone()[0]
    version = connection.execute("PRAGMA user_version").fetchone()[0]
    if application != _APPLICATION:
        raise HistoryError(f"{path} is a database of another program; move it away or rename the rubric.")
    if version != VERSION:
        raise HistoryError(f"{path} was written by another version of this program ({version}, here {VERSION}).")
    return True


def _replace(connection: sqlite3.Connection, homework: Homework) -> None:
    connection.execute(
        "INSERT INTO homework (key, title) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET title = excluded.title",
        (homework.key, homework.title),
    )
    id_ = connection.execute("SELECT id FROM homework WHERE key = ?", (homework.key,)).fetchone()[0]
    students = [(id_, student) for student in sorted(homework.students)]
    connection.executemany("DELETE FROM answer WHERE homework = ? AND student = ?", students)
    connection.executemany("DELETE FROM turn WHERE homework = ? AND student = ?", students)
    connection.execute("DELETE FROM could_show WHERE homework = ?", (id_,))
    connection.executemany(
        "INSERT INTO could_show VALUES (?, ?, ?)", ((id_, *pair) for pair in sorted(homework.could_show))
    )
    connection.executemany(
        "INSERT INTO answer VALUES (?, ?, ?, ?, ?, ?)",
        ((id_, a.student, a.problem, a.answered, a.points, a.possible) for a in homework.answers),
    )
    connection.executemany(
        "INSERT INTO turn VALUES (?, ?, ?, ?, ?, ?)",
        ((id_, t.student, t.problem, t.mistake, t.chance, t.lost) for t in homework.turns),
    )


def _homework(connection: sqlite3.Connection, id_: int, key: str, title: str) -> Homework:
    pairs = connection.execute("SELECT problem, mistake FROM could_show WHERE homework = ?", (id_,))
    answers = connection.execute(
        "SELECT student, problem, answered, points, possible FROM answer WHERE homework = ?", (id_,)
    )
    turns = connection.execute("SELECT student, problem, mistake, chance, lost FROM turn WHERE homework = ?", (id_,))
    return Homework(
        key,
        title,
        frozenset((problem, mistake) for problem, mistake in pairs),
        tuple(
            Answer(student, problem, bool(done), points, possible)
            for student, problem, done, points, possible in answers
        ),
        tuple(WrongTurn(*row) for row in turns),
    )
