"""A long sweep: a run of 200 messages is killed at one of its 802 events, for many events, and each time brought to its end.

Every seventh event by default (about a minute); GRADER_KILL_STRIDE sets another step (odd, to meet events of all kinds).
"""

from __future__ import annotations

import os
import tempfile
from itertools import chain, repeat
from pathlib import Path

from tests.mail.killing import LEDGER_MOMENTS, Executioner, Moment, campaign
from tests.mail.post_office import PostOffice, running

MEMORY = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None  # being killed is no matter of disks
STUDENTS = 200
EVENTS = 2 + 4 * STUDENTS


def test_killed_at_many_moments_of_a_run_of_200() -> None:
    stride = int(os.environ.get("GRADER_KILL_STRIDE", "7"))
    moments = [Moment("any", number) for number in range(1, EVENTS + 1, stride)]
    moments += [Moment(where, number) for where in LEDGER_MOMENTS for number in range(1, STUDENTS + 1, 5 * stride)]
    killed = uncertain = 0
    for first in moments:
        executioner = Executioner()
        office = PostOffice(on_event=executioner)
        with tempfile.TemporaryDirectory(dir=MEMORY) as folder, running(office) as port:
            runs = chain([first], repeat(Moment("", 0)))
            deaths, unsure = campaign(
                Path(folder), port, office, executioner, STUDENTS, lambda _, runs=runs: next(runs)
            )
        killed += deaths
        uncertain += len(unsure)
    print(f"\n{killed} kills of a run of {STUDENTS}: nobody had two, {uncertain} left to the teacher, nobody missed")
    assert killed == len(moments)
