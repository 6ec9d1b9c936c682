"""The sender is killed at many moments: nobody gets two messages, and nobody is missed in silence."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.mail.killing import LEDGER_MOMENTS, SERVER_EVENTS, Executioner, Moment, campaign, check, entries, run
from tests.mail.post_office import PostOffice, running


@pytest.mark.parametrize("number", range(1, 15))
def test_killed_at_every_event_of_a_run_of_three(number: int, in_memory: Path) -> None:
    """A run of three messages has 14 events: the server sees it connect and greet, and four for each message."""
    executioner = Executioner()
    office = PostOffice(on_event=executioner)
    with running(office) as port:
        first, others = Moment("any", number), Moment("", 0)
        killed, uncertain = campaign(in_memory, port, office, executioner, 3, lambda n: first if n == 1 else others)
    assert killed == 1
    # Only between the last line (DATA: it is in, END: it is stored) and the reply is it uncertain.
    assert len(uncertain) == (number > 2 and (number - 3) % 4 in (2, 3))


@pytest.mark.parametrize(
    ("where", "arrived"), [("before ending", 0), ("after ending", 0), ("before sent", 1), ("after sent", 1)]
)
def test_killed_between_the_ledger_and_the_line(where: str, arrived: int, in_memory: Path) -> None:
    executioner = Executioner()
    office = PostOffice(on_event=executioner)
    with running(office) as port:
        assert run(in_memory, port, 3, executioner, Moment(where, 2)) == -9
        assert office.idle.wait(5)
        assert len(office.delivered) == 1 + arrived
        uncertain = check(office, entries(in_memory), 3, finished=False)
        assert uncertain == (["H002"] if where in ("after ending", "before sent") else [])
        run(in_memory, port, 3, executioner, Moment("", 0))
    assert check(office, entries(in_memory), 3, finished=True) == uncertain


@pytest.mark.parametrize("stride", [5, 20])
def test_a_class_of_200_with_a_kill_every_few_messages(stride: int, in_memory: Path) -> None:
    """Each run dies at another kind of moment, a few messages further on, until the class is through."""
    kinds = (*SERVER_EVENTS[2:], *LEDGER_MOMENTS)
    executioner = Executioner()
    office = PostOffice(on_event=executioner)
    with running(office) as port:
        killed, uncertain = campaign(
            in_memory, port, office, executioner, 200, lambda n: Moment(kinds[n % len(kinds)], stride + n % 5)
        )
    assert killed >= 200 // (stride + 5)
    # Four of the eight kinds of moment lie between the last line and the ledger's last word.
    assert killed / 4 < len(uncertain) < killed * 3 / 4


def test_a_second_process_waits_for_its_turn(in_memory: Path) -> None:
    from grader.errors import GraderError
    from grader.mail.ledger import open_ledger

    with open_ledger(in_memory), pytest.raises(GraderError, match="Another grader mail"), open_ledger(in_memory):
        pass
    executioner = Executioner()
    office = PostOffice(on_event=executioner)
    with running(office) as port:
        with open_ledger(in_memory):
            assert run(in_memory, port, 3, executioner, Moment("", 0)) == 1
        assert office.delivered == []
        assert run(in_memory, port, 3, executioner, Moment("", 0)) == 0
    assert len(office.delivered) == 3
