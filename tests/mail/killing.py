"""A sender in a process of its own that dies (SIGKILL) at a chosen moment, and the count that is taken afterwards."""

from __future__ import annotations

import multiprocessing
import os
import signal
import time
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass
from pathlib import Path

from grader.mail.definitions import Letter, Parcel
from grader.mail.deliver import Pace, deliver
from grader.mail.ledger import Entry, Ledger, open_ledger
from grader.mail.plan import plan_sending
from grader.mail.smtp import Server, connect
from tests.mail.people import YOU, message
from tests.mail.post_office import HOST, PostOffice

LONGEST_RUN = 60.0
SERVER_EVENTS = ("connected", "EHLO", "MAIL", "RCPT", "DATA", "END")
LEDGER_MOMENTS = ("before ending", "after ending", "before sent", "after sent")

_processes = multiprocessing.get_context("forkserver")
_processes.set_forkserver_preload(["tests.mail.killing"])


@dataclass(frozen=True)
class Moment:
    """When a run dies: at the so-many-th of the server's events, or of the sender's own steps with the ledger."""

    where: str
    number: int


class _MortalLedger:
    """A ledger whose owner dies at a step."""

    def __init__(self, ledger: Ledger, moment: Moment) -> None:
        self._ledger, self._moment, self._count = ledger, moment, 0

    def _pass(self, where: str) -> None:
        if where == self._moment.where:
            self._count += 1
            if self._count == self._moment.number:
                os.kill(os.getpid(), signal.SIGKILL)

    def ending(self, student_id: str, fingerprint: str, message_id: str) -> None:
        self._pass("before ending")
        self._ledger.ending(student_id, fingerprint, message_id)
        self._pass("after ending")

    def sent(self, student_id: str, fingerprint: str, message_id: str, code: int) -> None:
        self._pass("before sent")
        self._ledger.sent(student_id, fingerprint, message_id, code)
        self._pass("after sent")

    def refused(self, student_id: str, fingerprint: str, message_id: str, code: int) -> None:
        self._ledger.refused(student_id, fingerprint, message_id, code)


def send_what_is_left(folder: Path, port: int, count: int, moment: Moment) -> None:
    """What ``grader mail --send`` does once the letters are made; see ``test_command`` for the whole of it."""
    with open_ledger(folder) as ledger:
        plan = plan_sending([_parcel(number) for number in range(1, count + 1)], ledger.entries())
        chosen = [message(parcel.number) for parcel in plan.to_send]
        server = Server(HOST, port, "plain", timeout=10, longest_wait=10)
        pace = Pace(per_minute=0, waits=(0.01, 0.01))
        for _ in deliver(chosen, YOU, lambda: connect(server), _MortalLedger(ledger, moment), pace):
            pass


def _parcel(number: int) -> Parcel:
    student_id = f"H{number:03d}"
    return Parcel(number, student_id, "fp", message(number).to, Letter(student_id, "", "", ""))


class Executioner:
    """Counts the server's events of one run and kills the sender at the chosen one, before the server goes on."""

    def __init__(self) -> None:
        self.moment = Moment("", 0)
        self.count = 0
        # The sender can be at its first letters before the one who started it knows its number.
        self._pid: Future[int] = Future()

    def expect(self, moment: Moment) -> None:
        """A new run is about to start, which dies at ``moment``."""
        self.moment, self.count, self._pid = moment, 0, Future()

    def started(self, pid: int | None) -> None:
        assert pid is not None
        self._pid.set_result(pid)

    def __call__(self, event: str) -> None:
        if event != self.moment.where and not (self.moment.where == "any" and event in SERVER_EVENTS):
            return
        self.count += 1
        if self.count == self.moment.number:
            pid = self._pid.result(LONGEST_RUN)
            os.kill(pid, signal.SIGKILL)
            _await_death(pid)


def _await_death(pid: int) -> None:
    for _ in range(5000):
        try:
            os.kill(pid, 0)
        except ProcessLookupError:
            return
        time.sleep(0.001)
    raise AssertionError("the sender did not die")


def run(folder: Path, port: int, count: int, executioner: Executioner, moment: Moment) -> int:
    """One run that dies at the moment, if it comes; returns the exit code (-9: killed)."""
    executioner.expect(moment)
    process = _processes.Process(target=send_what_is_left, args=(folder, port, count, moment))
    process.start()
    executioner.started(process.pid)
    process.join(LONGEST_RUN)
    assert process.exitcode is not None, "the run did not end"
    return process.exitcode


def entries(folder: Path) -> dict[str, Entry]:
    with open_ledger(folder) as ledger:
        return dict(ledger.entries())


def check(office: PostOffice, found: dict[str, Entry], count: int, *, finished: bool) -> list[str]:
    """Nobody has two; whoever the ledger calls sent has one; after a run to the end nobody is missed in silence.

    Returns the uncertain ones.
    """
    received = office.received()
    assert not [who for who, times in received.items() if times > 1]
    uncertain = [student_id for student_id, entry in found.items() if entry.uncertain]
    for number in range(1, count + 1):
        student_id, times = f"H{number:03d}", received[f"pilot{number}@example.org"]
        if student_id in found and found[student_id].sent:
            assert times == 1, student_id
        elif student_id not in uncertain:
            assert times == 0, student_id
            assert not finished, f"{student_id} was missed in silence"
    return uncertain


def settle_by_what_arrived(folder: Path, office: PostOffice, uncertain: list[str]) -> None:
    """The teacher's part: what arrived counts as sent, what did not goes out again."""
    received = office.received()
    with open_ledger(folder) as ledger:
        for student_id in uncertain:
            arrived = received[f"pilot{int(student_id[1:])}@example.org"]
            ledger.settle(student_id, "fp", "sent" if arrived else "again")


def campaign(
    folder: Path, port: int, office: PostOffice, executioner: Executioner, count: int, moment: Callable[[int], Moment]
) -> tuple[int, list[str]]:
    """Runs that die one after the other until one gets to the end; then the teacher settles what is uncertain.

    Returns how many were killed and who was uncertain. ``moment`` gives the moment of the n-th run.
    """
    killed = 0
    for number in range(1, 40 * count):
        code = run(folder, port, count, executioner, moment(number))
        assert office.idle.wait(5)
        check(office, entries(folder), count, finished=False)
        if code == 0:
            break
        assert code == -signal.SIGKILL
        killed += 1
    uncertain = check(office, entries(folder), count, finished=True)
    settle_by_what_arrived(folder, office, uncertain)
    assert run(folder, port, count, executioner, Moment("", 0)) == 0
    assert check(office, entries(folder), count, finished=True) == []
    assert len(office.delivered) == count
    return killed, uncertain
