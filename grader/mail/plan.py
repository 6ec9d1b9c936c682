"""Who gets a message in this run, and who does not and why: a pure comparison of the letters with the ledger."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from grader.mail.definitions import Parcel
from grader.mail.ledger import Entry


@dataclass(frozen=True)
class Plan:
    """``to_send`` goes out; ``sent`` has gone out as it is; ``changed`` has gone out with other marks; ``uncertain`` may
    or may not have arrived, and the teacher decides."""

    to_send: tuple[Parcel, ...] = ()
    sent: tuple[Parcel, ...] = ()
    changed: tuple[Parcel, ...] = ()
    uncertain: tuple[Parcel, ...] = ()


def plan_sending(parcels: Sequence[Parcel], entries: Mapping[str, Entry], *, again: bool = False) -> Plan:
    """Sort the parcels by what the ledger says. ``again`` sends those whose marks changed; never the uncertain ones."""
    to_send: list[Parcel] = []
    sent: list[Parcel] = []
    changed: list[Parcel] = []
    uncertain: list[Parcel] = []
    for parcel in parcels:
        entry = entries.get(parcel.student_id)
        if entry is None or entry.event in ("refused", "settled again"):
            to_send.append(parcel)
        elif entry.uncertain:
            uncertain.append(parcel)
        elif entry.fingerprint == parcel.fingerprint:
            sent.append(parcel)
        else:
            (to_send if again else changed).append(parcel)
    return Plan(tuple(to_send), tuple(sent), tuple(changed), tuple(uncertain))
