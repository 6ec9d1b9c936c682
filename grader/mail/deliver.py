"""The sending of a list of messages: in order, at a steady pace, again where waiting may help, never twice."""

from __future__ import annotations

import time
from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal, Protocol, TypeAlias

from grader.errors import GraderError
from grader.mail.definitions import MailAddress
from grader.mail.smtp import Connection, Dropped, Refused, Unreachable

Result: TypeAlias = Literal["sent", "refused", "put off", "uncertain"]

_IN_A_ROW = 5  # so many failures one after the other are the server's or the sender's, not the students'


@dataclass(frozen=True)
class Message:
    """One message, ready to go out."""

    student_id: str
    fingerprint: str
    message_id: str
    to: MailAddress
    data: bytes = field(repr=False)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one message.

    ``sent``: the server took it over. ``refused``: it never will. ``put off``: it did not, and may at another time.
    ``uncertain``: the connection ended between the last line and the reply. ``code`` is the server's reply, 0 for none.
    """

    student_id: str
    result: Result
    code: int = 0


class Record(Protocol):
    """What is written down on the way (see ``Ledger``); each call returns when it is on the disk."""

    def ending(self, student_id: str, fingerprint: str, message_id: str) -> None: ...
    def sent(self, student_id: str, fingerprint: str, message_id: str, code: int) -> None: ...
    def refused(self, student_id: str, fingerprint: str, message_id: str, code: int) -> None: ...


class NoRecord:
    """Nothing is written down: for messages that a teacher sends to themselves."""

    def ending(self, student_id: str, fingerprint: str, message_id: str) -> None:
        """Leaves no trace."""

    def sent(self, student_id: str, fingerprint: str, message_id: str, code: int) -> None:
        """Leaves no trace."""

    def refused(self, student_id: str, fingerprint: str, message_id: str, code: int) -> None:
        """Leaves no trace."""


@dataclass(frozen=True)
class Pace:
    """How fast: ``per_minute`` messages at most (0: no limit), and how long to wait, in seconds, before each new try.

    Servers that put strangers off want to be tried again after minutes (RFC 5321 section 4.5.4.1 asks for no haste).
    """

    per_minute: float = 30.0
    waits: tuple[float, ...] = (10.0, 60.0, 300.0)
    sleep: Callable[[float], None] = time.sleep
    clock: Callable[[], float] = time.monotonic


def deliver(
    messages: Sequence[Message],
    sender: MailAddress,
    connect: Callable[[], Connection],
    record: Record,
    pace: Pace | None = None,
    on_wait: Callable[[int, float], None] = lambda count, seconds: None,
) -> Iterator[Outcome]:
    """Send the messages and yield what became of each, as soon as it is settled.

    What was put off (4xx, or a connection that ended before the message was complete) is tried again after each of
    ``pace.waits``, the others first. A message whose fate is uncertain is never tried again. When the server cannot be
    reached for good, or turns away several messages in a row, the rest is put off untried. GraderError from ``connect``
    or ``record`` ends the run; nothing is on its way then that is not written down. ``on_wait`` is told, before each
    wait, how many messages were put off and for how many seconds.
    """
    line = _Line(sender, connect, record, pace or Pace())
    try:
        waiting = list(messages)
        for wait in (0.0, *line.pace.waits):
            if not waiting or line.refusals >= _IN_A_ROW:
                break
            if wait:
                on_wait(len(waiting), wait)
                line.pace.sleep(wait)
            waiting = yield from line.round(waiting)
        yield from (Outcome(each.student_id, "put off", line.codes.get(each.student_id, 0)) for each in waiting)
    finally:
        line.hang_up()


class _Line:
    """The connection in use and what is known of it."""

    def __init__(self, sender: MailAddress, connect: Callable[[], Connection], record: Record, pace: Pace) -> None:
        self.sender, self.connect, self.record, self.pace = sender, connect, record, pace
        self.connection: Connection | None = None
        self.codes: dict[str, int] = {}
        self.last: float | None = None
        self.refusals = 0

    def round(self, messages: Sequence[Message]) -> Generator[Outcome, None, list[Message]]:
        """One try for each message; returns those that were put off."""
        put_off: list[Message] = []
        in_a_row = 0
        for number, message in enumerate(messages):
            if in_a_row >= _IN_A_ROW or self.refusals >= _IN_A_ROW:
                return [*put_off, *messages[number:]]
            try:
                outcome = self._try(message)
            except Unreachable as error:
                self.codes[message.student_id] = error.code
                return [*put_off, *messages[number:]]
            if outcome.result == "put off":
                in_a_row += 1
                self.codes[message.student_id] = outcome.code
                put_off.append(message)
                continue
            in_a_row = 0
            self.refusals = self.refusals + 1 if outcome.result == "refused" else 0
            yield outcome
        return put_off

    def hang_up(self) -> None:
        if self.connection is not None:
            self.connection.close()
            self.connection = None

    def _try(self, message: Message) -> Outcome:
        self._keep_pace()
        about = (message.student_id, message.fingerprint, message.message_id)
        ending = False

        def before_end() -> None:
            nonlocal ending
            self.record.ending(*about)
            ending = True

        try:
            if self.connection is None:
                self.connection = self.connect()
            code = self.connection.transmit(self.sender, message.to, message.data, before_end)
        except Dropped as error:
            self.connection = None
            if ending and not error.after_end:  # the last line never went out
                self.record.refused(*about, 0)
            return Outcome(message.student_id, "uncertain" if error.after_end else "put off")
        except Refused as error:
            if ending or not error.temporary:
                self.record.refused(*about, error.code)
            if error.about == "sender" and not error.temporary:
                raise GraderError(
                    f"The server does not let you send as this sender (reply {error.code}); check --from. Sending has "
                    "stopped; what was sent before is in the ledger."
                ) from error
            self._clear_line()
            return Outcome(message.student_id, "put off" if error.temporary else "refused", error.code)
        self.record.sent(*about, code)
        return Outcome(message.student_id, "sent", code)

    def _clear_line(self) -> None:
        try:
            if self.connection is not None:
                self.connection.reset()
        except Dropped:
            self.connection = None

    def _keep_pace(self) -> None:
        now = self.pace.clock()
        if self.pace.per_minute and self.last is not None:
            self.pace.sleep(max(0.0, self.last + 60.0 / self.pace.per_minute - now))
        self.last = self.pace.clock()
