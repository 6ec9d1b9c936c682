"""Drafts: the messages as files to look at, one for each student, named by number alone."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from grader.errors import GraderError
from grader.exchange.files import write_files
from grader.mail.definitions import MailAddress, Parcel
from grader.mail.message import message_bytes, new_message_id

DRAFTS_FOLDER = "mail"
NO_SENDER = MailAddress("your-teacher@sender.invalid")  # RFC 2606: a domain that nobody will ever have

_DRAFT = re.compile(r"\d{3,}\.eml")


def draft_name(number: int) -> str:
    """``007.eml``: the place of the student in the marks, which tells a stranger nothing."""
    return f"{number:03d}.eml"


def write_drafts(
    folder: Path, parcels: Sequence[Parcel], sender: MailAddress, date: datetime, *, all_of_them: bool
) -> tuple[Path, ...]:
    """Write the drafts into the folder ``mail`` of the results, all or none, and return their paths.

    ``all_of_them``: the parcels are the whole class, so drafts left from an earlier run are removed.
    """
    files = {
        draft_name(parcel.number): message_bytes(parcel.letter, sender, parcel.to, new_message_id(sender), date)
        for parcel in parcels
    }
    target = folder / DRAFTS_FOLDER
    paths = write_files(target, files)
    if all_of_them:
        try:
            for path in target.iterdir():
                if _DRAFT.fullmatch(path.name) and path.name not in files:
                    path.unlink()
        except OSError as error:
            raise GraderError(f"The old drafts in {target} cannot be removed; remove the folder by hand.") from error
    return paths
