"""Addresses: which student is written to at which one, and what no header or envelope may carry."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from grader.errors import Fault, GraderError, InputFaults
from grader.mail.definitions import MailAddress, StudentMarks
from grader.marking.definitions import Student
from grader.reports.words import one_line

# RFC 5322 section 3.2.3 (atext) and RFC 6531 section 3.3 (any character above ASCII); quoted local parts are not taken.
_LOCAL = re.compile(
    r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~\-\u00a1-\U0010ffff]+(\.[A-Za-z0-9!#$%&'*+/=?^_`{|}~\-\u00a1-\U0010ffff]+)*"
)
_LABEL = re.compile(r"[A-Za-z0-9]([A-Za-z0-9\-]{0,61}[A-Za-z0-9])?")
# RFC 5322 section 3.4: a name of plain words, or in quotation marks, before the address.
_SENDER = re.compile(r'\s*(?:"(?P<quoted>(?:[^"\\]|\\.)*)"|(?P<name>[^"<>@,:;\\()]*?))\s*<(?P<spec>[^<>]*)>\s*')
_LONGEST_LOCAL, _LONGEST_DOMAIN = 64, 255  # octets, RFC 5321 section 4.5.3.1


@dataclass(frozen=True)
class AddressBook:
    """Student id → address, and the students who get no message, each with the reason."""

    addresses: Mapping[str, MailAddress]
    without: Mapping[str, str]


def address(text: str) -> MailAddress:
    """A checked bare address; ValueError, with the reason as a clause, for anything that is not exactly one."""
    if any(not sign.isprintable() or sign.isspace() for sign in text):
        raise ValueError("it holds a space, a line break or an invisible character")
    if any(sign in text for sign in ',;<>"()[]\\:'):
        raise ValueError("it is not one bare address")
    local, at, domain = text.rpartition("@")
    if not at or not local or not domain or "@" in local:
        raise ValueError("it does not have the form name@domain")
    if not _LOCAL.fullmatch(local):
        raise ValueError("the part before the @ has a dot too many or a sign that is not allowed there")
    ascii_domain = _domain(domain)
    if len(local.encode()) > _LONGEST_LOCAL or len(ascii_domain) > _LONGEST_DOMAIN:
        raise ValueError("it is too long")
    return MailAddress(f"{local}@{ascii_domain}")


def sender(text: str) -> MailAddress:
    """The sender as ``Name <address>`` or a bare address; GraderError for anything else."""
    found = _SENDER.fullmatch(text)
    try:
        if one_line(text) != text.strip():
            raise ValueError("it holds a line break or an invisible character")
        if "<" in text and not found:
            raise ValueError("it does not have the form Name <name@domain>; quote a name that holds a comma")
        checked = address(found["spec"] if found else text.strip())
    except ValueError as error:
        raise GraderError(f'The sender cannot be used: {error}. Give --from "Your Name <you@example.org>".') from error
    # An encoded word (RFC 2047) inside a name would be decoded again on its way, whatever it holds.
    name = re.sub(r"\\(.)", r"\1", found["quoted"] or found["name"] or "") if found else ""
    return MailAddress(checked.spec, one_line(name.replace("=?", "= ?")))


def _domain(domain: str) -> str:
    """The domain in ASCII. RFC 5890: what IDNA cannot take back to what was written is not guessed at."""
    try:
        encoded = domain.encode("idna").decode("ascii") if not domain.isascii() else domain
        faithful = domain.isascii() or encoded.encode("ascii").decode("idna") == domain.lower()
    except UnicodeError as error:
        raise ValueError("its domain is no name of the internet") from error
    if not faithful:
        raise ValueError("its domain has letters that are written in several ways; give it in its xn-- form")
    labels = encoded.split(".")
    if len(labels) < 2 or not all(_LABEL.fullmatch(label) for label in labels):
        raise ValueError("its domain is no name of the internet")
    return encoded.lower()


def needing_an_export(marks: Sequence[StudentMarks], roster: Sequence[Student]) -> bool:
    """Whether the sheet Students leaves an address to be looked up in the exports."""
    known = {student.student_id: student.email for student in roster}
    return any(not known[each.student_id] if each.student_id in known else not roster for each in marks)


def address_book(
    marks: Sequence[StudentMarks],
    roster: Sequence[Student],
    in_exports: Mapping[str, str],
    file: str,
    *,
    allow_shared: bool = False,
) -> AddressBook:
    """The address of every marked student: the roster's, or where it has none, the one in the export.

    Where there is a roster, only its students are written to. ``file`` names the rubric in messages. Raises InputFaults,
    naming students by their ids alone, for addresses that cannot be used and for two students with one address.
    """
    known = {student.student_id: student for student in roster}
    found: dict[str, MailAddress] = {}
    without: dict[str, str] = {}
    faults: list[Fault] = []
    for each in marks:
        student = known.get(each.student_id)
        if roster and student is None:
            without[each.student_id] = "not in the sheet Students"
            continue
        text = (student.email if student else "") or in_exports.get(each.student_id, "")
        if not text:
            without[each.student_id] = "no address"
            continue
        try:
            found[each.student_id] = address(text)
        except ValueError as error:
            place = ("Students", file) if student and student.email else ("", "the export")
            faults.append(
                Fault(
                    place[1],
                    sheet=place[0],
                    column="Email" if place[0] else "",
                    found=f"an address of student {each.student_id} that cannot be used: {error}",
                    expected="one address such as name@example.org",
                    remedy="Write the right address into the sheet Students.",
                )
            )
    if not allow_shared:
        faults += _shared(found, file)
    if faults:
        raise InputFaults(faults)
    return AddressBook(found, without)


def _shared(found: Mapping[str, MailAddress], file: str) -> Iterable[Fault]:
    owners: dict[str, list[str]] = {}
    for student_id, each in found.items():
        owners.setdefault(each.spec.casefold(), []).append(student_id)
    for ids in owners.values():
        if len(ids) > 1:
            yield Fault(
                file,
                sheet="Students",
                column="Email",
                found=f"one address for the students {', '.join(ids)}",
                expected="an address of each student's own",
                remedy="Correct it, or give --allow-shared-addresses if they really share it.",
            )
