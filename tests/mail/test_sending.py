"""Sending to a real server: encryption, logging in, refusals for now and for good, and lines that break."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from grader.errors import GraderError
from grader.mail.addresses import address
from grader.mail.deliver import Message, NoRecord, Outcome, Pace, deliver
from grader.mail.ledger import Ledger, open_ledger
from grader.mail.plan import plan_sending
from grader.mail.smtp import Server, connect
from tests.mail.conftest import Certificates
from tests.mail.people import YOU, message
from tests.mail.post_office import CUT, HOST, PASSWORD, USER, PostOffice, relay, running

pytestmark = pytest.mark.filterwarnings("ignore:Requiring AUTH while not requiring TLS")  # the office's own warning

QUICK = Pace(per_minute=0, waits=(0.001, 0.001))


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    with open_ledger(tmp_path) as opened:
        yield opened


def send(server: Server, ledger: Ledger, count: int = 3, pace: Pace = QUICK) -> dict[str, Outcome]:
    messages = [message(number) for number in range(1, count + 1)]
    return {each.student_id: each for each in deliver(messages, YOU, lambda: connect(server), ledger, pace)}


def results(outcomes: dict[str, Outcome]) -> dict[str, str]:
    return {student_id: outcome.result for student_id, outcome in outcomes.items()}


def plain(port: int) -> Server:
    return Server(HOST, port, "plain", timeout=5, longest_wait=5)


@pytest.mark.parametrize("security", ["starttls", "implicit"])
def test_it_encrypts_logs_in_and_delivers(security: str, certificates: Certificates, ledger: Ledger) -> None:
    office = PostOffice()
    with running(office, security, certificates.server, login=True) as port:
        server = Server(HOST, port, security, USER, PASSWORD, certificates.authority, timeout=5)  # type: ignore[arg-type]
        outcomes = send(server, ledger)
    assert set(results(outcomes).values()) == {"sent"}
    assert office.received() == {f"pilot{n}@example.org": 1 for n in (1, 2, 3)}
    assert office.connections == 1
    # Dots at the start of a line survive (RFC 5321 section 4.5.2).
    assert office.delivered[0][1].endswith(b"\r\n\r\n.Your feedback\r\n..and more\r\n")
    assert {entry.event for entry in ledger.entries().values()} == {"sent"}


@pytest.mark.parametrize("security", ["starttls", "implicit"])
def test_an_unknown_authority_stops_everything(security: str, certificates: Certificates, ledger: Ledger) -> None:
    office = PostOffice()
    with running(office, security, certificates.server) as port:
        server = Server(HOST, port, security, timeout=5)  # type: ignore[arg-type]
        with pytest.raises(GraderError, match=r"certificate of .* cannot be trusted"):
            send(server, ledger)
    assert office.delivered == []
    assert ledger.entries() == {}


def test_a_certificate_for_another_name_is_not_trusted(ledger: Ledger, tmp_path: Path) -> None:
    import ssl

    import trustme

    authority = trustme.CA()
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    authority.issue_cert("elsewhere.example.org").configure_cert(context)
    authority.cert_pem.write_to_path(str(tmp_path / "ca.pem"))
    with (
        running(PostOffice(), "starttls", context) as port,
        pytest.raises(GraderError, match="cannot be trusted"),
    ):
        send(Server(HOST, port, "starttls", ca_file=tmp_path / "ca.pem", timeout=5), ledger)


def test_without_encryption_on_offer_nothing_is_sent(ledger: Ledger) -> None:
    office = PostOffice()
    with running(office) as port, pytest.raises(GraderError, match="does not offer encryption"):
        send(Server(HOST, port, "starttls", timeout=5), ledger)
    assert office.log == []


def test_plain_connections_are_for_this_machine_alone() -> None:
    with pytest.raises(GraderError, match="to this machine itself"):
        Server("smtp.example.org", 25, "plain")
    with pytest.raises(GraderError, match="never sent without TLS"):
        Server("localhost", 25, "plain", user=USER)
    assert "secret" not in repr(Server("h.example.org", password="secret"))


def test_a_wrong_password_is_one_sentence(certificates: Certificates, ledger: Ledger) -> None:
    office = PostOffice()
    with running(office, "starttls", certificates.server, login=True) as port:
        server = Server(HOST, port, "starttls", USER, "low tide", certificates.authority, timeout=5)
        with pytest.raises(GraderError, match=r"does not accept the user and password \(reply 535\)") as caught:
            send(server, ledger)
    assert "low tide" not in str(caught.value)
    assert office.log == []


def test_a_server_without_login_is_named(certificates: Certificates, ledger: Ledger) -> None:
    office = PostOffice()
    office.hidden = "AUTH"
    with (
        running(office, "starttls", certificates.server) as port,
        pytest.raises(GraderError, match="does not offer a way to log in"),
    ):
        send(Server(HOST, port, "starttls", USER, PASSWORD, certificates.authority, timeout=5), ledger)


@pytest.mark.parametrize("event", ["MAIL", "RCPT", "DATA"])
@pytest.mark.parametrize("code", ["421 4.3.2 closing", "450 4.2.1 busy", "451 4.3.0 trouble"])
def test_what_is_put_off_is_tried_again(event: str, code: str, ledger: Ledger) -> None:
    asked: list[str] = []

    def says(heard: str, recipient: str) -> str | None:
        asked.append(heard)
        return code if heard == event and asked.count(event) == 2 else None

    office = PostOffice(says)
    with running(office) as port:
        outcomes = send(plain(port), ledger)
    assert set(results(outcomes).values()) == {"sent"}
    assert set(office.received().values()) == {1}
    assert len(office.delivered) == 3


@pytest.mark.parametrize(
    ("event", "code"), [("RCPT", "550 5.1.1 no such pilot"), ("RCPT", "553 5.1.3 bad"), ("DATA", "554 5.7.1 not here")]
)
def test_what_is_refused_for_good_is_not_tried_again(event: str, code: str, ledger: Ledger) -> None:
    refused: list[str] = []

    def says(heard: str, recipient: str) -> str | None:
        if heard == event and recipient.startswith("pilot2@"):
            refused.append(recipient)
            return code
        return None

    office = PostOffice(says)
    with running(office) as port:
        outcomes = send(plain(port), ledger)
    assert results(outcomes) == {"H001": "sent", "H002": "refused", "H003": "sent"}
    assert outcomes["H002"].code == int(code[:3])
    assert len(refused) == 1
    assert ledger.entries()["H002"].event == "refused"


def test_what_stays_busy_is_put_off_in_the_end(ledger: Ledger) -> None:
    office = PostOffice(lambda event, recipient: "450 4.2.1 busy" if recipient.startswith("pilot1@") else None)
    with running(office) as port:
        outcomes = send(plain(port), ledger)
    assert results(outcomes) == {"H001": "put off", "H002": "sent", "H003": "sent"}
    assert office.log.count("RCPT") == 2 + 1 + len(QUICK.waits)


def test_a_refused_sender_stops_the_run(ledger: Ledger) -> None:
    office = PostOffice(lambda event, recipient: "550 5.7.1 not you" if event == "MAIL" else None)
    with running(office) as port, pytest.raises(GraderError, match="as this sender"):
        send(plain(port), ledger)
    assert office.log == ["MAIL"]


def test_many_refusals_in_a_row_stop_the_run(ledger: Ledger) -> None:
    office = PostOffice(lambda event, recipient: "554 5.7.1 too many" if event == "DATA" else None)
    with running(office) as port:
        outcomes = send(plain(port), ledger, count=30)
    assert list(results(outcomes).values()) == ["refused"] * 5 + ["put off"] * 25
    assert office.log.count("DATA") == 5


def test_nobody_there_is_put_off(ledger: Ledger) -> None:
    office = PostOffice()
    with running(office) as port:
        pass
    waits: list[tuple[int, float]] = []
    outcomes = list(
        deliver(
            [message(1), message(2)], YOU, lambda: connect(plain(port)), ledger, QUICK, lambda *told: waits.append(told)
        )
    )
    assert {outcome.result for outcome in outcomes} == {"put off"}
    assert waits == [(2, 0.001), (2, 0.001)]
    assert ledger.entries() == {}


def in_the_body(seen: bytes) -> bool:
    return b"To: pilot2@" in seen


def at_the_last_line(seen: bytes) -> bool:
    return b"To: pilot2@" in seen and seen.endswith(b"\r\n.\r\n")


@pytest.mark.parametrize("lines", [0, 4000])
def test_a_line_that_breaks_in_the_body_is_tried_again(
    lines: int, ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The news of the break is there before the last line goes out: here the ledger waits for it."""
    office, written = PostOffice(), ledger.ending
    second = message(2)
    second = replace(second, data=second.data + (b"so many waves " * 60 + b"\r\n") * lines)
    with running(office) as port, relay(port, in_the_body) as wire:

        def slowly(student_id: str, fingerprint: str, message_id: str) -> None:
            written(student_id, fingerprint, message_id)
            assert student_id != "H002" or wire.down.wait(5)

        monkeypatch.setattr(ledger, "ending", slowly)
        messages = [message(1), second, message(3)]
        outcomes = list(deliver(messages, YOU, lambda: connect(plain(wire.port)), ledger, QUICK))
    assert {outcome.result for outcome in outcomes} == {"sent"}
    assert office.received() == {f"pilot{n}@example.org": 1 for n in (1, 2, 3)}


@pytest.mark.parametrize(("arrives", "count"), [(False, 0), (True, 1)])
def test_a_line_that_breaks_at_the_last_line_leaves_it_to_the_teacher(
    arrives: bool, count: int, ledger: Ledger
) -> None:
    office = PostOffice()
    with running(office) as port:
        with relay(port, at_the_last_line, after=arrives) as wire:
            outcomes = send(plain(wire.port), ledger)
        assert results(outcomes) == {"H001": "sent", "H002": "uncertain", "H003": "sent"}
        assert ledger.entries()["H002"].uncertain
        # A second run leaves it alone; the teacher's word sends it.
        again = send_rest(plain(port), ledger)
        assert again == {}
        assert office.received()["pilot2@example.org"] == count
        ledger.settle("H002", "fp", "sent" if arrives else "again")
        send_rest(plain(port), ledger)
    assert office.received() == {f"pilot{n}@example.org": 1 for n in (1, 2, 3)}


def send_rest(server: Server, ledger: Ledger, count: int = 3) -> dict[str, Outcome]:
    """What a later run does: send what the ledger leaves to be sent."""
    plan = plan_sending([_parcel(number) for number in range(1, count + 1)], ledger.entries())
    chosen = [message(parcel.number) for parcel in plan.to_send]
    return {each.student_id: each for each in deliver(chosen, YOU, lambda: connect(server), ledger, QUICK)}


def _parcel(number: int):  # type: ignore[no-untyped-def]
    from grader.mail.definitions import Letter, Parcel

    return Parcel(number, f"H{number:03d}", "fp", message(number).to, Letter(f"H{number:03d}", "", "", ""))


def test_a_server_that_hangs_up_instead_of_answering_the_last_line(certificates: Certificates, ledger: Ledger) -> None:
    office = PostOffice(lambda event, recipient: CUT if event == "END" and recipient.startswith("pilot2@") else None)
    with running(office, "starttls", certificates.server) as port:
        outcomes = send(Server(HOST, port, "starttls", ca_file=certificates.authority, timeout=5), ledger)
    assert results(outcomes) == {"H001": "sent", "H002": "uncertain", "H003": "sent"}
    assert set(office.received().values()) == {1}


def test_nonsense_after_the_last_line_proves_nothing(ledger: Ledger) -> None:
    office = PostOffice(lambda event, recipient: "ahoy there" if event == "END" and recipient[5] == "2" else None)
    with running(office) as port:
        outcomes = send(plain(port), ledger)
    assert results(outcomes) == {"H001": "sent", "H002": "uncertain", "H003": "sent"}


def test_letters_outside_ascii_need_a_server_that_takes_them(ledger: Ledger) -> None:
    to = address("søren@havn.example.org")
    letter = Message("H009", "fp", "<9@example.org>", to, "To: søren\r\n\r\nHej\r\n".encode())
    taking, refusing = PostOffice(), PostOffice()
    with running(taking) as port:
        (outcome,) = deliver([letter], YOU, lambda: connect(plain(port)), ledger, QUICK)
    assert outcome.result == "sent"
    assert taking.received() == {"søren@havn.example.org": 1}
    with running(refusing, enable_SMTPUTF8=False) as port:
        (outcome,) = deliver([letter], YOU, lambda: connect(plain(port)), NoRecord(), QUICK)
    assert (outcome.result, outcome.code) == ("refused", 553)
    assert refusing.delivered == []


def test_it_keeps_the_pace() -> None:
    clock = [0.0]
    slept: list[float] = []

    def sleep(seconds: float) -> None:
        slept.append(seconds)
        clock[0] += seconds

    with running(PostOffice()) as port:
        pace = Pace(per_minute=20, sleep=sleep, clock=lambda: clock[0])
        list(deliver([message(n) for n in range(1, 5)], YOU, lambda: connect(plain(port)), NoRecord(), pace))
    assert slept == [3.0, 3.0, 3.0]


def test_a_ledger_that_cannot_be_written_stops_before_the_last_line() -> None:
    class FullDisk(NoRecord):
        def ending(self, student_id: str, fingerprint: str, message_id: str) -> None:
            raise GraderError("the disk is full")

    office = PostOffice()
    with running(office) as port, pytest.raises(GraderError, match="full"):
        list(deliver([message(1)], YOU, lambda: connect(plain(port)), FullDisk(), QUICK))
    assert office.delivered == []


def test_what_the_server_hears_of_this_machine(ledger: Ledger) -> None:
    """No name of the machine: an address literal (RFC 5321 section 4.1.3)."""
    heard: list[bytes] = []

    def listen(seen: bytes) -> bool:
        heard.append(seen)
        return False

    with running(PostOffice()) as port, relay(port, listen) as wire:
        send(plain(wire.port), ledger, count=1)
    assert re.match(rb"ehlo \[127\.0\.0\.1\]\r\n", heard[-1])
