"""The ledger, and the plan that is made from it."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from grader.errors import GraderError
from grader.mail.definitions import Letter, MailAddress, Parcel
from grader.mail.ledger import LEDGER_FILE, Entry, Ledger, open_ledger
from grader.mail.plan import plan_sending


def test_the_last_entry_counts_and_outlives_the_process(tmp_path: Path) -> None:
    with open_ledger(tmp_path) as ledger:
        key = ledger.key
        ledger.ending("H1", "one", "<1@example.org>")
        ledger.sent("H1", "one", "<1@example.org>", 250)
        ledger.ending("H2", "two", "<2@example.org>")
        ledger.ending("H3", "three", "<3@example.org>")
        ledger.refused("H3", "three", "<3@example.org>", 550)
    with open_ledger(tmp_path) as ledger:
        assert ledger.key == key
        found = ledger.entries()
        assert {each: entry.event for each, entry in found.items()} == {"H1": "sent", "H2": "ending", "H3": "refused"}
        assert found["H2"].uncertain
        assert found["H2"].message_id == "<2@example.org>"
        ledger.settle("H2", "two", "again")
        assert ledger.entries()["H2"].event == "settled again"
        ledger.settle("H2", "two", "sent")
        assert ledger.entries()["H2"].sent


@pytest.mark.skipif(os.name == "nt", reason="modes are of POSIX systems")
def test_it_is_the_owners_alone(tmp_path: Path) -> None:
    os.umask(0)
    with open_ledger(tmp_path) as ledger:
        ledger.ending("H1", "one", "<1@example.org>")
        for path in tmp_path.iterdir():
            assert stat.S_IMODE(path.stat().st_mode) == 0o600, path.name


def test_nothing_personal_is_in_it(tmp_path: Path) -> None:
    with open_ledger(tmp_path) as ledger:
        ledger.ending("H1", "0" * 32, "<1@example.org>")
        tables = ledger._connection.execute("SELECT sql FROM sqlite_master WHERE name = 'events'").fetchall()
    assert "address" not in str(tables)
    assert "name" not in str(tables)


def test_another_process_has_to_wait(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from grader.mail.ledger import open_ledger\n"
        "with open_ledger(Path(sys.argv[1])): pass"
    )
    command = [sys.executable, "-c", code, str(tmp_path)]
    with open_ledger(tmp_path):
        held = subprocess.run(command, capture_output=True, text=True, check=False)
    assert "Another grader mail is at work" in held.stderr
    assert subprocess.run(command, capture_output=True, check=False).returncode == 0


@pytest.mark.parametrize(
    "content", [b"not a database at all, but long enough to look", b"SQLite format 3\x00" + b"\xff" * 4096]
)
def test_a_damaged_ledger_stops_everything(content: bytes, tmp_path: Path) -> None:
    (tmp_path / LEDGER_FILE).write_bytes(content)
    with pytest.raises(GraderError, match="without it nothing is sent"), open_ledger(tmp_path):
        pass
    assert (tmp_path / LEDGER_FILE).read_bytes() == content


def test_a_ledger_of_a_later_version_is_left_alone(tmp_path: Path) -> None:
    with open_ledger(tmp_path):
        pass
    connection = sqlite3.connect(tmp_path / LEDGER_FILE)
    connection.execute("PRAGMA user_version = 99")
    connection.close()
    with pytest.raises(GraderError, match="another version"), open_ledger(tmp_path):
        pass


def test_a_full_disk_is_one_sentence(tmp_path: Path) -> None:
    with open_ledger(tmp_path) as ledger:
        ledger._connection.execute("PRAGMA max_page_count = 1")
        with pytest.raises(GraderError, match="cannot be written: database or disk is full"):
            _fill(ledger)


def _fill(ledger: Ledger) -> None:
    for number in range(1000):
        ledger.ending(f"H{number}", "f" * 32, "<1@example.org>")


def test_no_folder(tmp_path: Path) -> None:
    with pytest.raises(GraderError, match="cannot be used"), open_ledger(tmp_path / "none"):
        pass


def parcel(student_id: str, fingerprint: str = "now") -> Parcel:
    letter = Letter(student_id, "", "", "")
    return Parcel(1, student_id, fingerprint, MailAddress("a@example.org"), letter)


def test_the_plan() -> None:
    entries = {
        "sent": Entry("sent", "now"),
        "changed": Entry("sent", "before"),
        "uncertain": Entry("ending", "now"),
        "uncertain and changed": Entry("ending", "before"),
        "refused": Entry("refused", "now"),
        "settled sent": Entry("settled sent", "now"),
        "settled and changed": Entry("settled sent", "before"),
        "settled again": Entry("settled again", "before"),
        "somebody else": Entry("sent", "now"),
    }
    parcels = [parcel(each) for each in ("new", *list(entries)[:-1])]

    def ids(chosen: tuple[Parcel, ...]) -> list[str]:
        return [each.student_id for each in chosen]

    plan = plan_sending(parcels, entries)
    assert ids(plan.to_send) == ["new", "refused", "settled again"]
    assert ids(plan.sent) == ["sent", "settled sent"]
    assert ids(plan.changed) == ["changed", "settled and changed"]
    assert ids(plan.uncertain) == ["uncertain", "uncertain and changed"]
    again = plan_sending(parcels, entries, again=True)
    assert ids(again.to_send) == ["new", "changed", "refused", "settled and changed", "settled again"]
    assert ids(again.uncertain) == ids(plan.uncertain)
