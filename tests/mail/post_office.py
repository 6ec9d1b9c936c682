"""A mail server of the harbour: real SMTP on this machine alone, told what to refuse, and whom to kill when."""

from __future__ import annotations

import email
import email.policy
import socket
import ssl
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from email.message import EmailMessage
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword, Session

HOST = "127.0.0.1"
USER, PASSWORD = "harbour", "ebb-and-flow"

Says = Callable[[str, str], str | None]
"""Told (event, recipient) with the events MAIL, RCPT, DATA and END; answers with another reply, CUT, or None for yes."""

CUT = "cut the connection"


class PostOffice:
    """Takes messages in, and keeps for each the recipient of the envelope and the bytes."""

    def __init__(
        self, says: Says = lambda event, recipient: None, on_event: Callable[[str], None] | None = None
    ) -> None:
        self.says = says
        self.on_event = on_event or (lambda event: None)
        self.delivered: list[tuple[str, bytes]] = []
        self.hidden = ""  # an extension that is not offered
        self.connections = 0
        self.log: list[str] = []
        self.idle = threading.Event()  # cleared while a message is being stored
        self.idle.set()

    def received(self) -> Counter[str]:
        """Recipient → how many messages."""
        return Counter(recipient for recipient, _ in self.delivered)

    def messages(self) -> list[EmailMessage]:
        """The messages, parsed under the strictest policy."""
        return [email.message_from_bytes(data, policy=email.policy.strict) for _, data in self.delivered]  # type: ignore[misc]

    def _answer(self, server: SMTP, event: str, recipient: str) -> str | None:
        self.log.append(event)
        self.on_event(event)
        said = self.says(event, recipient)
        if said == CUT:
            server.transport.abort()
            return "421 4.3.2 closing"
        return said

    # The names below are those by which aiosmtpd finds its hooks.

    async def handle_EHLO(
        self, server: SMTP, session: Session, envelope: Envelope, hostname: str, responses: list[str]
    ) -> list[str]:
        self.on_event("EHLO")
        session.host_name = hostname
        return [line for line in responses if not (self.hidden and self.hidden in line)]

    async def handle_MAIL(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        if said := self._answer(server, "MAIL", ""):
            return said
        envelope.mail_from = address
        envelope.mail_options.extend(options)
        return "250 OK"

    async def handle_RCPT(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        if said := self._answer(server, "RCPT", address):
            return said
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        recipient = envelope.rcpt_tos[0]
        self.idle.clear()
        try:
            if said := self._answer(server, "DATA", recipient):
                return said
            assert isinstance(envelope.original_content, bytes)
            self.delivered += [(each, envelope.original_content) for each in envelope.rcpt_tos]
            return self._answer(server, "END", recipient) or "250 OK"
        finally:
            self.idle.set()


class _Controller(Controller):
    """The library's controller on a port that the system chooses."""

    def factory(self) -> SMTP:
        self.handler.connections += 1
        self.handler.on_event("connected")
        return super().factory()

    def _trigger_server(self) -> None:
        self.port = self.server.sockets[0].getsockname()[1]
        self.handler.connections -= 1  # the library's own look whether it works
        quiet, self.handler.on_event = self.handler.on_event, lambda event: None
        super()._trigger_server()
        self.handler.on_event = quiet


@contextmanager
def running(
    office: PostOffice, tls: str = "none", certificate: ssl.SSLContext | None = None, login: bool = False, **more: Any
) -> Iterator[int]:
    """Run an office and give its port. ``tls`` is none, starttls or implicit."""

    def authenticate(server: SMTP, session: Session, envelope: Envelope, mechanism: str, data: Any) -> AuthResult:
        good = isinstance(data, LoginPassword) and (data.login, data.password) == (USER.encode(), PASSWORD.encode())
        return AuthResult(success=good, handled=False)

    wanted: dict[str, Any] = {"hostname": HOST, "port": 0, "enable_SMTPUTF8": True, **more}
    if tls == "starttls":
        wanted |= {"tls_context": certificate, "require_starttls": True}
    elif tls == "implicit":
        wanted |= {"ssl_context": certificate}
    if login:
        wanted |= {"authenticator": authenticate, "auth_required": True, "auth_require_tls": tls == "starttls"}
    controller = _Controller(office, **wanted)
    controller.start()
    try:
        yield controller.port
    finally:
        controller.stop()


@dataclass(frozen=True)
class Wire:
    """A wire to an office; ``down`` is set once it has broken and its end is closed."""

    port: int
    down: threading.Event


@contextmanager
def relay(port: int, cut_when: Callable[[bytes], bool], *, after: bool = False) -> Iterator[Wire]:
    """A wire to an office that breaks once, when ``cut_when`` says so of all that the client has said.

    The bytes that decide it are lost, or (``after``) arrive while the answer to them is lost.
    """
    listener = socket.create_server((HOST, 0))
    broken, down = threading.Event(), threading.Event()

    def pump(source: socket.socket, target: socket.socket, watch: bool) -> None:
        seen, breaks = b"", False
        try:
            while chunk := source.recv(4096):
                if not watch or broken.is_set():
                    target.sendall(chunk)
                    continue
                seen += chunk
                if cut_when(seen):
                    broken.set()
                    breaks = True
                    if after:
                        source.shutdown(socket.SHUT_RDWR)
                        target.sendall(chunk)
                    return
                target.sendall(chunk)
        except OSError:
            pass
        finally:
            for end in (source, target):
                try:
                    end.shutdown(socket.SHUT_RDWR if end is source else socket.SHUT_WR)
                except OSError:
                    continue
            if breaks:
                down.set()

    def accept() -> None:
        while True:
            try:
                client, _ = listener.accept()
            except OSError:
                return
            office = socket.create_connection((HOST, port))
            for ends in ((client, office, True), (office, client, False)):
                threading.Thread(target=pump, args=ends, daemon=True).start()

    threading.Thread(target=accept, daemon=True).start()
    try:
        yield Wire(listener.getsockname()[1], down)
    finally:
        listener.close()
