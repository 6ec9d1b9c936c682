"""``grader mail`` as a teacher runs it."""

from __future__ import annotations

import email
import email.policy
import os
import re
import signal
import stat
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from grader.cli import main
from grader.errors import GraderError
from grader.exchange.origin import ORIGIN_FILE, origin_file, recall
from grader.homework import Marked
from grader.mail.ledger import LEDGER_FILE, open_ledger
from grader.mail.password import find_password
from grader.marking.attempts import EXCUSED
from grader.marking.definitions import Student
from tests.mail.conftest import Certificates
from tests.mail.killing import Executioner, Moment
from tests.mail.people import marks_text, roster, write_marks
from tests.mail.post_office import HOST, PASSWORD, USER, PostOffice, running

pytestmark = pytest.mark.filterwarnings("ignore:Requiring AUTH while not requiring TLS")


def write_rubric(path: Path, students: Sequence[Student], title: str = "Tugs and tides") -> Path:
    from openpyxl import Workbook

    book = Workbook()
    problems = book.worksheets[0]
    problems.title = "Problems"
    problems.append(
        ("Problem", "Question", "Find", "Given", "Answer as", "Unit", "Magnitude to", "Direction to", "Points")
    )
    problems.append(
        (
            "1",
            "Two tugs pull.",
            "resultant",
            "52.0 N at 25°; 41.0 N at 318°",
            "magnitude and direction",
            "N",
            "0.1",
            "1",
            "2+2",
        )
    )
    settings = book.create_sheet("Settings")
    settings.append(("Setting", "Value"))
    settings.append(("title", title))
    people = book.create_sheet("Students")
    people.append(("Student ID", "Name", "Email", "Section"))
    for each in students:
        people.append((each.student_id, each.name, each.email, each.section))
    book.save(path)
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Results of three students, with a rubric that they remember."""
    results = tmp_path / "results"
    write_marks(results, marks_text(3))
    rubric = write_rubric(tmp_path / "rubric.xlsx", roster(3))
    (results / ORIGIN_FILE).write_bytes(origin_file(results, "Tugs and tides", rubric, ()))
    return results


def grader(*arguments: object, said: str = "", **environment: str) -> Result:
    clean = {name: None for name in os.environ if name.startswith("GRADER_MAIL")}
    return CliRunner().invoke(main, ["mail", *map(str, arguments)], input=said, env=clean | environment)


def sending(port: int, *more: object) -> tuple[object, ...]:
    server = ("--host", HOST, "--port", port, "--plain-for-testing", "--per-minute", 0)
    return ("--send", "--yes", "--from", "Ms Vega <vega@example.org>", *server, *more)


def drafts(folder: Path) -> dict[str, email.message.EmailMessage]:
    return {
        path.name: email.message_from_bytes(path.read_bytes(), policy=email.policy.strict)  # type: ignore[misc]
        for path in sorted((folder / "mail").iterdir())
    }


def test_drafts(folder: Path) -> None:
    result = grader(folder, "--from", "Ms Vega <vega@example.org>")
    assert result.exit_code == 0, result.output
    assert "3 drafts in" in result.output
    made = drafts(folder)
    assert list(made) == ["001.eml", "002.eml", "003.eml"]
    for number, message in enumerate(made.values(), start=1):
        assert str(message["To"]) == f"pilot{number}@example.org"
        assert str(message["From"]) == "Ms Vega <vega@example.org>"
        assert str(message["Subject"]) == "Feedback: Tugs and tides"
        text = message.get_body(("plain",)).get_content()  # type: ignore[union-attr]
        assert f"You wrote: {60 + number}.5 N" in text
    if os.name != "nt":
        assert {stat.S_IMODE(path.stat().st_mode) for path in (folder / "mail").iterdir()} == {0o600}
    assert not (folder / LEDGER_FILE).exists()


def test_drafts_name_a_sender_that_cannot_be_until_there_is_one(folder: Path) -> None:
    assert "--from" in grader(folder).output
    assert str(drafts(folder)["001.eml"]["From"]).endswith(".invalid")
    grader(folder, GRADER_MAIL_FROM="tide@example.org")
    assert str(drafts(folder)["001.eml"]["From"]) == "tide@example.org"


def test_old_drafts_go_and_other_files_stay(folder: Path) -> None:
    grader(folder)
    (folder / "mail" / "own notes.eml").write_text("mine")
    write_marks(folder, marks_text(2))
    grader(folder, "--only", "H001")
    assert len(list((folder / "mail").iterdir())) == 4
    grader(folder)
    assert {path.name for path in (folder / "mail").iterdir()} == {"001.eml", "002.eml", "own notes.eml"}


def test_who_is_excused_from_everything_gets_no_message(folder: Path, tmp_path: Path) -> None:
    lines = marks_text(3).splitlines()
    for place in (3, 4):  # the rows of H002
        cells = lines[place].split(",")
        cells[9], cells[10], cells[16] = "0.0", "0.0", EXCUSED
        lines[place] = ",".join(cells)
    write_marks(folder, "\r\n".join([*lines, ""]))
    write_rubric(
        tmp_path / "rubric.xlsx", [replace(each, email=each.email * (each.student_id != "H002")) for each in roster(3)]
    )
    result = grader(folder)
    # Nobody is left out: there is nothing to write, so no address is missed.
    assert result.exit_code == 0, result.output
    assert list(drafts(folder)) == ["001.eml", "003.eml"]


def test_selections(folder: Path) -> None:
    assert "H002 → " in grader(folder, "--section", "b", "--dry-run").output
    assert not (folder / "mail").exists()
    grader(folder, "--only", "H003", "--only", "H001")
    assert list(drafts(folder)) == ["001.eml", "003.eml"]
    assert "no student H999" in grader(folder, "--only", "H999").output
    assert "the sections are: A, B" in grader(folder, "--section", "C").output


def test_send_asks_first(folder: Path) -> None:
    office = PostOffice()
    with running(office) as port:
        asked = [each for each in sending(port) if each != "--yes"]
        for answer in ("n\n", ""):
            result = grader(folder, *asked, said=answer)
            assert "3 messages, each to its student, from vega@example.org through" in result.output
            assert result.exit_code != 0
        assert office.delivered == []
        assert grader(folder, *asked, said="y\n").exit_code == 0
    assert office.received() == {f"pilot{n}@example.org": 1 for n in (1, 2, 3)}


def test_each_gets_their_own_and_a_second_run_sends_nothing(folder: Path, certificates: Certificates) -> None:
    office = PostOffice()
    with running(office, "starttls", certificates.server, login=True) as port:
        arguments = [each for each in sending(port, "--user", USER) if each != "--plain-for-testing"]
        environment = {"GRADER_MAIL_PASSWORD": PASSWORD, "GRADER_MAIL_CA_FILE": str(certificates.authority)}
        first = grader(folder, *arguments, **environment)
        assert first.exit_code == 0, first.output
        assert "3 messages of 3 sent." in first.output
        second = grader(folder, *arguments, **environment)
    assert second.exit_code == 0
    assert "3 messages already sent" in second.output
    assert "Nothing is left to send." in second.output
    for (recipient, _), message in zip(office.delivered, office.messages()):
        assert str(message["To"]) == recipient
        number = int(recipient[5])
        text = str(message)
        assert f"{60 + number}.5 N" in text
        for other in {1, 2, 3} - {number}:
            assert f"{60 + other}.5 N" not in text
            assert f"Pilot {other}" not in text
            assert f"pilot{other}@" not in text


def test_by_implicit_tls(folder: Path, certificates: Certificates) -> None:
    office = PostOffice()
    with running(office, "implicit", certificates.server) as port:
        arguments = [each for each in sending(port, "--tls", "implicit") if each != "--plain-for-testing"]
        assert grader(folder, *arguments, "--ca-file", certificates.authority).exit_code == 0
    assert len(office.delivered) == 3


def test_what_is_said_and_kept_holds_no_address_name_or_answer(folder: Path) -> None:
    def says(event: str, recipient: str) -> str | None:
        return f"550 5.1.1 <{recipient}> is unknown" if event == "RCPT" and recipient[5] == "2" else None

    with running(PostOffice(says)) as port:
        result = grader(folder, *sending(port))
    assert result.exit_code == 1
    assert "2 messages of 3 sent." in result.output
    assert "1 message refused by the server (reply 550: no such mailbox, or not allowed): H002" in result.output
    kept = (folder / LEDGER_FILE).read_bytes()
    for personal in ("pilot", "Pilot", "61.5", "62.5", "Look at your drawing"):
        assert personal not in result.output
        assert personal.encode() not in kept


def test_changed_marks_need_again(folder: Path) -> None:
    office = PostOffice()
    with running(office) as port:
        grader(folder, *sending(port))
        write_marks(folder, marks_text(3).replace("62.5 N,62.5 N", "62.5 N,62.4 N"))
        told = grader(folder, *sending(port))
        assert told.exit_code == 1
        assert "The marks of 1 student changed after sending: H002" in told.output
        assert len(office.delivered) == 3
        assert grader(folder, *sending(port, "--again")).exit_code == 0
        assert office.received() == {"pilot1@example.org": 1, "pilot2@example.org": 2, "pilot3@example.org": 1}
        grader(folder, *sending(port, "--again"))
    assert len(office.delivered) == 4


def test_a_test_goes_to_oneself_and_does_not_count(folder: Path) -> None:
    office = PostOffice()
    with running(office) as port:
        arguments = [each for each in sending(port) if each != "--send"]
        result = grader(folder, *arguments, "--test", "vega@example.org", "--section", "A")
        assert result.exit_code == 0, result.output
        assert office.received() == {"vega@example.org": 2}
        assert not (folder / LEDGER_FILE).exists()
        assert all(str(message["To"]) == "vega@example.org" for message in office.messages())
        grader(folder, *sending(port))
    assert len(office.delivered) == 2 + 3


def test_dry_run_sends_and_writes_nothing(folder: Path) -> None:
    office = PostOffice()
    with running(office) as port:
        result = grader(folder, *sending(port, "--dry-run"))
        assert "Would be sent to H001, H002, H003." in result.output
        assert not (folder / LEDGER_FILE).exists()
        grader(folder, *sending(port, "--only", "H001"))
        assert "Would be sent to H002, H003." in grader(folder, *sending(port, "--dry-run")).output
    assert len(office.delivered) == 1


def test_the_uncertain_are_listed_and_settled(folder: Path) -> None:
    with open_ledger(folder) as ledger:
        for student_id in ("H001", "H002"):
            ledger.ending(student_id, "f", f"<{student_id}@example.org>")
    office = PostOffice()
    with running(office) as port:
        result = grader(folder, *sending(port))
        assert result.exit_code == 1
        assert "2 messages may or may not have arrived" in result.output
        assert "<H001@example.org>" in result.output
        assert office.received() == {"pilot3@example.org": 1}
        assert grader(folder, "--settle", "again", "H001").exit_code == 0
        assert grader(folder, "--settle", "sent", "H002").exit_code == 0
        grader(folder, *sending(port))
    assert office.received() == {"pilot1@example.org": 1, "pilot3@example.org": 1}


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--send"], "Say who sends"),
        (["--send", "--from", "v@example.org"], "Say which mail server"),
        (["--send", "--from", "v", "--host", "h"], "The sender cannot be used"),
        (["--send", "--from", "v@example.org\r\nBcc: x@example.org", "--host", "h"], "line break"),
        (["--send", "--test", "x@example.org"], "only one of"),
        (["--test", "nobody", "--from", "v@example.org"], "after --test cannot be used"),
        (["--settle", "sent"], "needs the ids"),
        (["--settle", "sent", "H999"], "no student H999"),
        (["H001"], "use --only H001"),
        (["--again"], "goes with --send"),
        (
            ["--send", "--from", "v@example.org", "--host", "smtp.example.org", "--plain-for-testing"],
            "this machine itself",
        ),
        (["--send", "--from", "v@example.org", "--host", "smtp.example.org", "--user", "v"], "GRADER_MAIL_PASSWORD"),
    ],
)
def test_what_cannot_be_meant_is_one_sentence(arguments: list[str], says: str, folder: Path) -> None:
    result = grader(folder, *arguments)
    assert result.exit_code == 2
    assert says in result.output
    assert result.output.count("\n") == 1
    assert not (folder / LEDGER_FILE).exists() or arguments[0] == "--settle"


def test_folders_that_are_none(tmp_path: Path) -> None:
    assert "is not a folder" in grader(tmp_path / "none").output
    assert "run grader mark" in grader(tmp_path).output
    write_marks(tmp_path, marks_text(1))
    assert "name it with --rubric" in grader(tmp_path).output
    (tmp_path / ORIGIN_FILE).write_text("title = ")
    assert "cannot be read" in grader(tmp_path).output


def test_the_rubric_may_be_named_and_its_roster_holds(folder: Path, tmp_path: Path) -> None:
    rubric = write_rubric(tmp_path / "other.xlsx", roster(2))
    result = grader(folder, "--rubric", rubric)
    assert result.exit_code == 1
    assert "1 student without a message (not in the sheet Students): H003" in result.output
    assert len(drafts(folder)) == 2


def test_shared_addresses(folder: Path, tmp_path: Path) -> None:
    shared = [Student(f"H{n:03d}", email="crew@example.org") for n in (1, 2, 3)]
    rubric = write_rubric(tmp_path / "other.xlsx", shared)
    refused = grader(folder, "--rubric", rubric)
    assert refused.exit_code == 2
    assert "one address for the students H001, H002, H003" in refused.output
    assert not (folder / "mail").exists()
    assert grader(folder, "--rubric", rubric, "--allow-shared-addresses").exit_code == 0


def test_from_marking_to_mail(
    sample_marked: tuple[Marked, Path], sample_rubric: Path, sample_exports: tuple[Path, ...]
) -> None:
    """The sample class: what marking leaves is all that ``grader mail`` needs."""
    _, out = sample_marked
    assert recall(out).rubric.resolve() == sample_rubric.resolve()  # type: ignore[union-attr]
    assert [path.resolve() for path in recall(out).exports] == [path.resolve() for path in sample_exports]
    result = grader(out)
    assert result.exit_code == 0, result.output
    assert len(drafts(out)) == 64


def test_addresses_from_the_export(tmp_path: Path) -> None:
    rubric = write_rubric(tmp_path / "rubric.xlsx", ())
    export = tmp_path / "answers.csv"
    export.write_text(
        "Student ID,Name,Email,Problem 1 magnitude,Problem 1 direction\n"
        "H001,Ada,ada@example.org,77.8 N,356\nH002,Bo,bo@example.org,12 N,10\n",
        encoding="utf-8",
    )
    out = tmp_path / "out"
    marked = CliRunner().invoke(main, ["mark", str(rubric), str(export), "--out", str(out)])
    assert marked.exit_code == 0, marked.output
    assert grader(out).exit_code == 0
    assert [str(message["To"]) for message in drafts(out).values()] == ["ada@example.org", "bo@example.org"]


def test_homework_files_read_back(tmp_path: Path) -> None:
    out, rubric = tmp_path / "a b" / "out", tmp_path / 'rübric "x"\n.xlsx'
    out.mkdir(parents=True)
    title = 'Tugs "and" tides\\\x7f\u2028é😀'
    (out / ORIGIN_FILE).write_bytes(origin_file(out, title, rubric, [tmp_path / "e.csv", tmp_path / "e.csv"]))
    found = recall(out)
    assert found.title == title
    assert found.rubric is not None
    assert found.rubric.resolve() == rubric.resolve()
    assert [path.resolve() for path in found.exports] == [(tmp_path / "e.csv").resolve()]


def test_passwords(monkeypatch: pytest.MonkeyPatch) -> None:
    import keyring
    from keyring.errors import KeyringError

    assert find_password("h", "u", {"GRADER_MAIL_PASSWORD": "p"}) == "p"
    asked: list[tuple[str, str]] = []
    monkeypatch.setattr(keyring, "get_password", lambda *key: asked.append(key) or "from the ring")
    assert find_password("smtp.example.org", "u", {}) == "from the ring"
    assert asked == [("grader mail smtp.example.org", "u")]

    def locked(service: str, user: str) -> str:
        raise KeyringError("locked")

    monkeypatch.setattr(keyring, "get_password", locked)
    with pytest.raises(GraderError, match="unlock"):
        find_password("h", "u", {})
    monkeypatch.setitem(sys.modules, "keyring", None)
    with pytest.raises(GraderError, match=re.escape("[keyring]")):
        find_password("h", "u", {})


@pytest.mark.parametrize("moment", [Moment("RCPT", 12), Moment("END", 12)])
def test_the_whole_program_killed_and_run_again(moment: Moment, tmp_path: Path) -> None:
    count = 24
    results = tmp_path / "results"
    write_marks(results, marks_text(count))
    rubric = write_rubric(tmp_path / "rubric.xlsx", roster(count))
    executioner = Executioner()
    office = PostOffice(on_event=executioner)
    with running(office) as port:
        command = [sys.executable, "-m", "grader.cli", "mail", results, "--rubric", rubric, *sending(port)]
        executioner.expect(moment)
        with subprocess.Popen(list(map(str, command)), stdout=subprocess.DEVNULL) as process:
            executioner.started(process.pid)
            assert process.wait(60) == -signal.SIGKILL
        executioner.expect(Moment("", 0))
        assert office.idle.wait(5)
        result = grader(results, "--rubric", rubric, *sending(port))
    received = office.received()
    assert set(received.values()) == {1}
    if moment.where == "END":
        assert "1 message may or may not have arrived" in result.output
        assert "H012" in result.output
    assert len(received) == count


def with_two_open(folder: Path) -> None:
    """Two parts of one student of the three need a look."""
    lines = marks_text(3).replace("wrong,0.0,2.0,obtuse-missed,0.9954", "needs a look,,2.0,,", 1)
    write_marks(folder, lines.replace("356°,right,2.0,2.0", "356°,needs a look,,2.0", 1))


def test_what_is_still_open_is_said_before_drafts_are_looked_at(folder: Path) -> None:
    assert "need a look" not in grader(folder).output
    with_two_open(folder)
    result = grader(folder)
    assert result.exit_code == 0, result.output
    said = "! 2 parts of 1 student still need a look, and the messages say so. To decide first, give points"
    assert result.output.index(said) < result.output.index("3 drafts in")
    assert "need a look" not in grader(folder, "--only", "H002").output


def test_answers_that_are_open_are_not_sent_unasked(folder: Path) -> None:
    with_two_open(folder)
    office = PostOffice()
    with running(office) as port:
        result = grader(folder, *sending(port))
        assert result.exit_code != 0
        assert "Nothing was sent: 2 parts of 1 student still need a look." in result.output
        assert "--with-open" in result.output
        asked = [each for each in sending(port) if each != "--yes"]
        assert "! 2 parts of 1 student" in grader(folder, *asked, said="n\n").output
        assert office.delivered == []
        assert grader(folder, *sending(port), "--only", "H002").exit_code == 0
        assert grader(folder, *sending(port), "--with-open").exit_code == 0
    assert office.received() == {f"pilot{n}@example.org": 1 for n in (1, 2, 3)}
