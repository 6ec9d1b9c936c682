"""Letters as messages: RFC 5322 to the letter, and no name or title that adds anything to them."""

from __future__ import annotations

import email
import email.policy
from datetime import UTC, datetime, timedelta, timezone

import pytest

from grader.errors import GraderError
from grader.mail.addresses import address, sender
from grader.mail.compose import compose
from grader.mail.definitions import Drawing, Letter, MailAddress
from grader.mail.message import message_bytes, new_message_id
from grader.marking.definitions import Student
from tests.mail.people import YOU, rubric, some_rows

WHEN = datetime(2026, 3, 12, 8, 30, tzinfo=timezone(timedelta(hours=1)))
TO = MailAddress("ada@example.org")
PNG = b"\x89PNG\r\n\x1a\n" + bytes(range(256))


def letter(title: str = "Vectors in the harbour", name: str = "Ada") -> Letter:
    return compose(Student("H001", name), some_rows(), rubric(title=title), {"1": Drawing(PNG)})


def made(one: Letter | None = None, you: MailAddress = YOU, to: MailAddress = TO) -> bytes:
    return message_bytes(one or letter(), you, to, new_message_id(you), WHEN)


def parsed(data: bytes) -> email.message.EmailMessage:
    return email.message_from_bytes(data, policy=email.policy.strict)  # type: ignore[return-value]


def test_headers() -> None:
    back = parsed(made())
    assert str(back["From"]) == "Ms Vega <teacher@example.org>"
    assert str(back["To"]) == "ada@example.org"
    assert str(back["Subject"]) == "Feedback: Vectors in the harbour"
    assert back["Date"].datetime == WHEN
    assert back["Auto-Submitted"] == "auto-generated"  # RFC 3834 section 5
    assert str(back["Message-ID"]).endswith("@example.org>")
    assert len({new_message_id(YOU) for _ in range(50)}) == 50
    for name in ("From", "To", "Subject", "Date", "Message-ID", "MIME-Version"):
        assert len(back.get_all(name)) == 1


def test_lines_are_short_ascii_and_end_with_cr_lf() -> None:
    """RFC 5322 section 2.1.1 (78 signs a line, 998 at most) and RFC 2045 section 2.7 (7bit)."""
    data = made(letter(title="Kräfte im Hafen – " + "sehr " * 20))
    assert data.isascii()
    lines = data.split(b"\r\n")
    assert all(b"\n" not in line and b"\r" not in line for line in lines)
    assert max(map(len, lines)) <= 78


def test_the_parts_are_text_and_a_page_with_its_drawings() -> None:
    back = parsed(made())
    assert [part.get_content_type() for part in back.walk()] == [
        "multipart/alternative",
        "text/plain",
        "multipart/related",
        "text/html",
        "image/png",
    ]
    plain, page, drawing = (part for part in back.walk() if not part.is_multipart())
    one = letter()
    assert plain.get_content().replace("\r\n", "\n") == one.text
    assert page.get_content().replace("\r\n", "\n") == one.html
    assert drawing.get_content() == PNG
    assert str(drawing["Content-ID"]) == "<drawing-1>"
    assert drawing.get_content_disposition() == "inline"
    without = parsed(made(compose(Student("H1"), some_rows(), rubric())))
    assert [part.get_content_type() for part in without.walk()] == ["multipart/alternative", "text/plain", "text/html"]


NAMES = [
    "Søren Kjærgaard",
    "Vega, Ana María",
    'Ana "Tide" Vega',
    "Vega <vega@example.org>",
    "Łucja Żółw; Hafenmeisterin, Dr. " + "von der Mole " * 8,
    "日本 太郎",
    "a\r\nBcc: everybody@example.org",
    "a\nTo: everybody@example.org",
    "a\rSubject: none",
    "=?utf-8?q?a=0D=0ABcc=3A_all=40example=2Eorg?=",
    "=?utf-8?b?YQ0KQmNjOiBhbGxAZXhhbXBsZS5vcmc=?=",
    "a\x00b\x0bc\x0c\x1b",
    "a\u2028Bcc: x@example.org\u2029\x85Bcc: y@example.org",
    "\u202egro.elpmaxe\u202c",
    "(comment) name",
    "group: a@example.org;",
    "\\",
    '"',
    "name@",
    "\ud800",
    "x" * 5000,
    "ö" * 400,
    "=?" * 60,
    "?=",
    "",
]


@pytest.mark.parametrize("name", NAMES, ids=lambda name: repr(name[:30]))
def test_no_name_or_title_adds_a_header_or_a_recipient(name: str) -> None:
    back = parsed(made(letter(title=name, name=name)))
    assert [each.addr_spec for each in back["To"].addresses] == ["ada@example.org"]
    assert [each.addr_spec for each in back["From"].addresses] == ["teacher@example.org"]
    assert not {"Bcc", "Cc", "Reply-To"} & set(back.keys())
    assert len(back.keys()) == 9
    assert str(back["Subject"]).startswith("Feedback: ")


@pytest.mark.parametrize("name", NAMES, ids=lambda name: repr(name[:30]))
def test_no_name_of_the_sender_adds_anything(name: str) -> None:
    """The message is exactly what was meant, or there is one clear sentence and no message."""
    quoted = name.replace("\\", "\\\\").replace('"', '\\"')
    for text in (f"{name} <teacher@example.org>", f'"{quoted}" <teacher@example.org>'):
        you, data = from_sender(text)
        if data:
            back = parsed(data)
            assert [each.addr_spec for each in back["From"].addresses] == ["teacher@example.org"]
            assert back["From"].addresses[0].display_name == you.name
            assert len(back.keys()) == 9
            assert b"\r\nBcc" not in data


def from_sender(text: str) -> tuple[MailAddress, bytes]:
    """The sender as understood and a message from them; no bytes where they are refused."""
    try:
        you = sender(text)
        return you, made(you=you)
    except GraderError:
        return YOU, b""


def test_good_names_of_senders_arrive() -> None:
    for text, name in (
        ("Søren Kjærgaard <s@example.org>", "Søren Kjærgaard"),
        ('"Vega, Ana María" <s@example.org>', "Vega, Ana María"),
        ('"Ana \\"Tide\\" Vega" <s@example.org>', 'Ana "Tide" Vega'),
        ("s@example.org", ""),
    ):
        you = sender(text)
        assert (you.name, you.spec) == (name, "s@example.org")
        assert parsed(made(you=you))["From"].addresses[0].display_name == name


@pytest.mark.parametrize(
    "text",
    ["a\r\nBcc: b@example.org <s@example.org>", "a <b@example.org> <s@example.org>", "a, b <s@example.org>", "ö" * 400],
)
def test_bad_names_of_senders_are_refused(text: str) -> None:
    assert from_sender(text)[1] == b""


def test_an_international_address_reads_back() -> None:
    """RFC 6532: the headers are UTF-8; the standard library's strictest policy knows no such addresses."""
    to = address("søren@bücher.example")
    assert to.spec == "søren@xn--bcher-kva.example"
    data = made(to=to)
    assert "To: søren@xn--bcher-kva.example\r\n".encode() in data
    back = email.message_from_bytes(data, policy=email.policy.SMTPUTF8)
    assert len(back["To"].addresses) == 1


def test_the_date_is_of_the_clock_given() -> None:
    data = message_bytes(letter(), YOU, TO, "<1@example.org>", datetime(2026, 1, 1, tzinfo=UTC))
    assert b"Date: Thu, 01 Jan 2026 00:00:00 +0000\r\n" in data
