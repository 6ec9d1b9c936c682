"""The ledger of a mailing: what was about to leave, and what became of it, on the disk before anything goes on.

A message counts as sent from the moment before its last line goes out. The order of writing is what makes a run safe
that ends at any moment:

1. the whole message but its last line is handed to the server, which must drop it if the line stays away (RFC 5321
   section 4.1.1.4); a run that ends here has sent nothing;
2. ``ending`` is written and is on the disk;
3. the last line goes out and the server answers; a run that ends here leaves it *uncertain*;
4. ``sent`` or ``refused`` is written.

No later run sends to a student whose last entry is ``ending`` or ``sent`` unless the teacher says so. The ledger holds
student ids, fingerprints, message ids and the numbers of replies: no address, no name, nothing of an answer.
"""

from __future__ import annotations

import os
import secrets
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal, TypeAlias

from grader.errors import GraderError

LEDGER_FILE = "mail-ledger.sqlite"

Event: TypeAlias = Literal["ending", "sent", "refused", "settled sent", "settled again"]

_LAYOUT = 1
_TABLES = (
    "CREATE TABLE about (layout INTEGER NOT NULL, key BLOB NOT NULL)",
    "CREATE TABLE events (number INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, student_id TEXT NOT NULL,"
    " event TEXT NOT NULL, fingerprint TEXT NOT NULL, message_id TEXT NOT NULL, code INTEGER NOT NULL)",
)


@dataclass(frozen=True, slots=True)
class Entry:
    """The last thing that the ledger says about a student."""

    event: Event
    fingerprint: str
    message_id: str = ""
    at: str = ""

    @property
    def uncertain(self) -> bool:
        """Whether the message may have arrived or not."""
        return self.event == "ending"

    @property
    def sent(self) -> bool:
        return self.event in ("sent", "settled sent")


class Ledger:
    """The open ledger; nobody else can open it meanwhile. Every method returns after its entry is on the disk."""

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._connection = connection
        self._path = path
        ((self.key,),) = connection.execute("SELECT key FROM about").fetchall()

    def entries(self) -> Mapping[str, Entry]:
        """Student id → the last entry."""
        rows = self._connection.execute(
            "SELECT student_id, event, fingerprint, message_id, at FROM events ORDER BY number"
        )
        return {student_id: Entry(*rest) for student_id, *rest in rows}

    def ending(self, student_id: str, fingerprint: str, message_id: str) -> None:
        """The last line of the message is about to go out."""
        self._write(student_id, "ending", fingerprint, message_id, 0)

    def sent(self, student_id: str, fingerprint: str, message_id: str, code: int) -> None:
        """The server has taken the message over."""
        self._write(student_id, "sent", fingerprint, message_id, code)

    def refused(self, student_id: str, fingerprint: str, message_id: str, code: int) -> None:
        """The server has said that it did not take the message over."""
        self._write(student_id, "refused", fingerprint, message_id, code)

    def settle(self, student_id: str, fingerprint: str, as_: Literal["sent", "again"]) -> None:
        """The teacher's decision: the message counts as sent, or is to be sent again."""
        self._write(student_id, "settled sent" if as_ == "sent" else "settled again", fingerprint, "", 0)

    def _write(self, student_id: str, event: Event, fingerprint: str, message_id: str, code: int) -> None:
        try:
            self._connection.execute(
                "INSERT INTO events (at, student_id, event, fingerprint, message_id, code) VALUES (?, ?, ?, ?, ?, ?)",
                (_now(), student_id, event, fingerprint, message_id, code),
            )
        except sqlite3.Error as error:
            raise GraderError(f"{self._path} cannot be written: {error}. Sending has stopped.") from error


@contextmanager
def open_ledger(folder: Path) -> Iterator[Ledger]:
    """The ledger of a folder of results, made if it is not there, locked until the block ends or the process does.

    Raises GraderError when another process holds it, when it is damaged, or when it cannot be written.
    """
    path = folder / LEDGER_FILE
    connection = None
    try:
        # Made here, so that it and the journal beside it are the owner's alone.
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
        connection = sqlite3.connect(path, timeout=0, isolation_level=None)
        connection.execute("PRAGMA synchronous = EXTRA")
        connection.execute("PRAGMA locking_mode = EXCLUSIVE")
        connection.execute("BEGIN EXCLUSIVE")
        _lay_out(connection)
        connection.execute("COMMIT")
        ledger = Ledger(connection, path)
    except (OSError, sqlite3.Error, ValueError) as error:
        if connection is not None:
            connection.close()
        raise GraderError(_refusal(path, error)) from error
    try:
        yield ledger
    finally:
        connection.close()


def _lay_out(connection: sqlite3.Connection) -> None:
    ((layout,),) = connection.execute("PRAGMA user_version").fetchall()
    if layout == 0:
        for statement in _TABLES:
            connection.execute(statement)
        connection.execute("INSERT INTO about VALUES (?, ?)", (_LAYOUT, secrets.token_bytes(32)))
        connection.execute(f"PRAGMA user_version = {_LAYOUT}")
    elif layout != _LAYOUT:
        raise ValueError("it was written by another version of this program")


def _refusal(path: Path, error: Exception) -> str:
    if isinstance(error, sqlite3.OperationalError) and "locked" in str(error):
        return f"Another grader mail is at work in {path.parent}; let it end, then try again."
    return (
        f"{path} cannot be used: {error}. It says who has been written to: without it nothing is sent. "
        "Bring back a copy, or mark into a new folder if nothing has been sent yet."
    )


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds")
