"""A letter as an Internet message (RFC 5322), checked against what was meant before it leaves this module."""

from __future__ import annotations

import email
import email.errors
import email.policy
import secrets
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage

from grader.errors import GraderError
from grader.mail.definitions import Letter, MailAddress

_OUR_HEADERS = {
    "from",
    "to",
    "subject",
    "date",
    "message-id",
    "auto-submitted",
    "content-language",
    "mime-version",
    "content-type",
}


def new_message_id(sender: MailAddress) -> str:
    """A message id that nothing can be read from: random, at the sender's domain."""
    return f"<{secrets.token_hex(16)}@{sender.domain}>"


def message(letter: Letter, sender: MailAddress, to: MailAddress, message_id: str, date: datetime) -> EmailMessage:
    """The message: plain text, and HTML with its drawings inside; nothing in it is fetched from anywhere.

    Auto-Submitted (RFC 3834) keeps absence notices from answering to it. ``date`` knows its time zone.
    """
    international = sender.international or to.international
    made = EmailMessage(policy=email.policy.SMTPUTF8 if international else email.policy.SMTP)
    made["From"] = _header_address(sender)
    made["To"] = _header_address(to)
    made["Subject"] = letter.subject
    made["Date"] = date
    made["Message-ID"] = message_id
    made["Auto-Submitted"] = "auto-generated"
    made.set_content(letter.text, cte="quoted-printable")
    made.add_alternative(letter.html, subtype="html", cte="quoted-printable")
    _, html = made.iter_parts()
    for picture in letter.pictures:
        html.add_related(
            picture.png,
            "image",
            "png",
            cid=f"<{picture.content_id}>",
            disposition="inline",
            filename=f"{picture.content_id}.png",
        )
    made["Content-Language"] = "en"
    return made


def message_bytes(letter: Letter, sender: MailAddress, to: MailAddress, message_id: str, date: datetime) -> bytes:
    """The message as it is sent: lines end with CR LF (RFC 5321).

    It is parsed again under the strictest policy and compared with what was meant, so that no name or title can add a
    header or a recipient, whatever the library makes of it. Raises GraderError, naming the student by the id.
    """
    try:
        data = message(letter, sender, to, message_id, date).as_bytes()
        international = sender.international or to.international
        # The standard library calls a local part outside ASCII a defect even where RFC 6531 allows it.
        back = email.message_from_bytes(data, policy=email.policy.SMTPUTF8 if international else email.policy.strict)
        meant = [("from", sender), ("to", to), ("subject", letter.subject)]
        found = [
            *(("from", _mail_address(each)) for each in back["From"].addresses),
            *(("to", _mail_address(each)) for each in back["To"].addresses),
            ("subject", str(back["Subject"])),
        ]
        if found != meant or sorted(name.lower() for name, _ in back.items()) != sorted(_OUR_HEADERS):
            raise ValueError("the message does not read back as it was meant")
    except (ValueError, IndexError, email.errors.MessageError) as error:
        raise GraderError(
            f"The message to student {letter.student_id} cannot be written safely. Use a plainer title in the rubric and "
            "a plainer name for the sender."
        ) from error
    return data


def _header_address(one: MailAddress) -> Address:
    local, _, domain = one.spec.rpartition("@")
    return Address(one.name, local, domain)


def _mail_address(one: Address) -> MailAddress:
    # Raw UTF-8 in a header (RFC 6532) is handed out as escaped bytes.
    spec, name = (
        text.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
        for text in (f"{one.username}@{one.domain}", one.display_name)
    )
    return MailAddress(spec, name)
