"""One connection to a mail server (RFC 5321, STARTTLS by RFC 3207, implicit TLS by RFC 8314): a message in two steps.

Replies are passed on as numbers only: servers repeat addresses in their texts.
"""

from __future__ import annotations

import contextlib
import ipaddress
import re
import smtplib
import socket
import ssl
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, TypeAlias

from grader.errors import GraderError
from grader.mail.definitions import MailAddress

Security: TypeAlias = Literal["implicit", "starttls", "plain"]

PORTS: dict[Security, int] = {"implicit": 465, "starttls": 587, "plain": 25}
_LONGEST_WAIT = 600.0  # seconds for the reply after the last line: RFC 5321 section 4.5.3.2.6
_LINE_START = re.compile(rb"^\.", re.MULTILINE)


class Refused(Exception):
    """The server answered that it does not take the message: for now (``temporary``, 4xx) or for good (5xx)."""

    def __init__(self, code: int, about: Literal["sender", "recipient", "message"]) -> None:
        super().__init__(code, about)
        self.code, self.about = code, about

    @property
    def temporary(self) -> bool:
        return 400 <= self.code < 500


class Dropped(Exception):
    """The connection ended. After the last line went out (``after_end``) nobody knows what became of the message."""

    def __init__(self, *, after_end: bool) -> None:
        super().__init__(after_end)
        self.after_end = after_end


class _Nonsense(Exception):
    """A reply that is none: nothing can be concluded from it."""


class Unreachable(Exception):
    """No connection for now; ``code`` is the server's reply, 0 where there was none."""

    def __init__(self, code: int = 0) -> None:
        super().__init__(code)
        self.code = code


@dataclass(frozen=True)
class Server:
    """A mail server and how to come in. Plain connections are for tests and to this machine alone."""

    host: str
    port: int = 0
    security: Security = "starttls"
    user: str = ""
    password: str = field(default="", repr=False)
    ca_file: Path | None = None
    timeout: float = 60.0
    longest_wait: float = _LONGEST_WAIT

    def __post_init__(self) -> None:
        if self.security == "plain":
            if not _is_loopback(self.host):
                raise GraderError("Without TLS nothing is sent except to this machine itself (localhost), for testing.")
            if self.user:
                raise GraderError("A password is never sent without TLS; leave --user out or use TLS.")

    @property
    def place(self) -> str:
        """``smtp.example.org:587``."""
        return f"{self.host}:{self.port or PORTS[self.security]}"


class Connection:
    """An open connection; see ``connect``."""

    def __init__(self, smtp: smtplib.SMTP, longest_wait: float) -> None:
        self._smtp = smtp
        self._longest_wait = longest_wait

    def transmit(self, sender: MailAddress, to: MailAddress, data: bytes, before_end: Callable[[], None]) -> int:
        """Hand over one message and return the server's reply to it.

        ``before_end`` is called when all but the last line has gone out; if it raises, the connection is closed and the
        server has no message. Raises Refused and Dropped.
        """
        after_end = False
        try:
            self._open(sender, to)
            body = data if data.endswith(b"\r\n") else data + b"\r\n"
            self._smtp.send(_LINE_START.sub(b"..", body))
            before_end()
            self._check_line()
            after_end = True
            self._smtp.send(b".\r\n")
            return self._accepted(self._last_reply(), "message", *range(200, 300))
        except (smtplib.SMTPException, _Nonsense) as error:
            self._smtp.close()
            raise Dropped(after_end=after_end) from error
        except Refused:
            raise
        except BaseException:
            self._smtp.close()
            raise

    def close(self) -> None:
        """End the connection, politely if the server still listens."""
        with contextlib.suppress(smtplib.SMTPException, OSError):
            self._smtp.quit()
        self._smtp.close()

    def reset(self) -> None:
        """Ready for the next message after a refusal. Raises Dropped."""
        try:
            self._smtp.rset()
        except smtplib.SMTPException as error:
            self._smtp.close()
            raise Dropped(after_end=False) from error

    def _open(self, sender: MailAddress, to: MailAddress) -> None:
        options = []
        if sender.international or to.international:
            if not self._smtp.has_extn("smtputf8"):
                raise Refused(553, "recipient")  # RFC 6531 section 3.5: 5.6.7, here said in the server's stead
            options = ["SMTPUTF8", "BODY=8BITMIME"]
        self._accepted(self._smtp.mail(sender.spec, options)[0], "sender", 250)
        self._accepted(self._smtp.rcpt(to.spec)[0], "recipient", 250, 251, 252)
        self._accepted(self._smtp.docmd("DATA")[0], "message", 354)

    def _check_line(self) -> None:
        """A line that broke under the body is noticed here as a rule, while it is still certain that nothing was sent.

        A server has nothing to say at this point: whatever can be read means the end of the conversation.
        """
        line = self._smtp.sock
        if line is None:
            raise smtplib.SMTPServerDisconnected("closed")
        patience = line.gettimeout()
        try:
            line.setblocking(False)
            line.recv(1)
        except (BlockingIOError, ssl.SSLWantReadError):
            line.settimeout(patience)
        except OSError as error:
            raise smtplib.SMTPServerDisconnected("broken") from error
        else:
            raise smtplib.SMTPServerDisconnected("closed, or spoken out of turn")

    def _last_reply(self) -> int:
        """The reply to the message; the longest wait is for this one alone."""
        line = self._smtp.sock
        patience = line.gettimeout() if line else None
        if line:
            line.settimeout(self._longest_wait)
        code = self._smtp.getreply()[0]
        if line and self._smtp.sock is line:
            line.settimeout(patience)
        return code

    def _accepted(self, code: int, about: Literal["sender", "recipient", "message"], *good: int) -> int:
        if code in good:
            return code
        if not 400 <= code < 600:
            raise _Nonsense(code)
        if code == 421:  # RFC 5321 section 3.8: the server is about to close the connection
            self._smtp.close()
        raise Refused(code, about)


def connect(server: Server) -> Connection:
    """A connection that is encrypted and logged in. Raises Unreachable when it may work later, GraderError otherwise."""
    with _understood(server):
        smtp = _greeted(server)
        try:
            if server.security == "starttls":
                smtp.ehlo()
                _require(smtp, server, "starttls", "encryption (STARTTLS)")
                smtp.starttls(context=_context(server))
            smtp.ehlo_or_helo_if_needed()
            if server.user:
                _require(smtp, server, "auth", "a way to log in")
                smtp.login(server.user, server.password)
        except BaseException:
            smtp.close()
            raise
        return Connection(smtp, server.longest_wait)


def _greeted(server: Server) -> smtplib.SMTP:
    port = server.port or PORTS[server.security]
    # A name is given, or the library would look this machine's own up and tell the server.
    if server.security == "implicit":
        smtp: smtplib.SMTP = smtplib.SMTP_SSL(
            server.host, port, "localhost", timeout=server.timeout, context=_context(server)
        )
    else:
        smtp = smtplib.SMTP(server.host, port, "localhost", timeout=server.timeout)
    if smtp.sock is not None:
        # The last line is small and must not wait for the news that the body has come in.
        smtp.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        own = ipaddress.ip_address(smtp.sock.getsockname()[0].partition("%")[0])
        smtp.local_hostname = f"[{own}]" if own.version == 4 else f"[IPv6:{own}]"  # RFC 5321 section 4.1.3
    return smtp


def _require(smtp: smtplib.SMTP, server: Server, extension: str, what: str) -> None:
    if not smtp.has_extn(extension):
        raise GraderError(f"{server.place} does not offer {what}; nothing was sent. Check --host, --port and --tls.")


def _context(server: Server) -> ssl.SSLContext:
    try:
        context = ssl.create_default_context(cafile=str(server.ca_file) if server.ca_file else None)
    except (OSError, ssl.SSLError) as error:
        raise GraderError(f"{server.ca_file} cannot be read as certificates in PEM form; check --ca-file.") from error
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    return context


@contextmanager
def _understood(server: Server) -> Iterator[None]:
    """The library's errors on the way in as ours: Unreachable where waiting may help, one sentence where it cannot."""
    place = server.place
    try:
        yield
    except smtplib.SMTPAuthenticationError as error:
        if 400 <= error.smtp_code < 500:
            raise Unreachable(error.smtp_code) from error
        raise GraderError(
            f"{place} does not accept the user and password (reply {error.smtp_code}); check them. Nothing was sent."
        ) from error
    except smtplib.SMTPServerDisconnected as error:
        raise Unreachable from error
    except smtplib.SMTPResponseException as error:
        if 400 <= error.smtp_code < 500:
            raise Unreachable(error.smtp_code) from error
        raise GraderError(f"{place} turns this program away (reply {error.smtp_code}). Nothing was sent.") from error
    except smtplib.SMTPException as error:
        raise GraderError(
            f"{place} offers no way to log in that this program knows; check --host and --port. Nothing was sent."
        ) from error
    except ssl.SSLCertVerificationError as error:
        raise GraderError(
            f"The certificate of {place} cannot be trusted ({error.verify_message}); nothing was sent. Check the host's "
            "name, or name the school's own certificate with --ca-file."
        ) from error
    except ssl.SSLError as error:
        raise GraderError(
            f"{place} does not speak TLS as expected; check --port and --tls. Nothing was sent."
        ) from error
    except UnicodeEncodeError as error:
        raise GraderError(
            "The user or password has letters outside ASCII, which this way to log in cannot carry. Nothing was sent."
        ) from error
    except OSError as error:
        raise Unreachable from error


def _is_loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host.lower() == "localhost"
