"""What ``grader mail`` says on the terminal: counts and student ids, never an address, a name or an answer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from grader.exchange.cells import counted
from grader.mail.deliver import Outcome, Result
from grader.mail.ledger import Entry
from grader.mail.plan import Plan
from grader.reports.words import one_line

if TYPE_CHECKING:
    from collections.abc import Callable

_REPLIES = {
    0: "the connection ended",
    421: "the server is closing",
    450: "the mailbox is busy",
    451: "the server has trouble",
    452: "the server is full",
    550: "no such mailbox, or not allowed",
    551: "the mailbox has moved",
    552: "the mailbox is full",
    553: "the address is not accepted",
    554: "refused",
}
"""Replies in words, after RFC 5321 section 4.2.3."""

DECIDE_FIRST = "To decide first, give points on the first sheet of feedback.xlsx and mark into the same folder again."

_SETTLE = (
    "Look into the account's sent messages, or ask the student, and then run: grader mail FOLDER --settle sent ID … "
    "(it arrived) or --settle again ID … (it did not)."
)


def say_without(without: Mapping[str, str]) -> None:
    """Name the students who get no message, by the reason."""
    for reason in dict.fromkeys(without.values()):
        ids = [student_id for student_id, each in without.items() if each == reason]
        click.echo(f"! {counted(len(ids), 'student')} without a message ({reason}): {_listed(ids)}")


def open_in_words(still_open: Mapping[str, int]) -> str:
    """``50 parts of 12 students still need a look``."""
    parts, students = sum(still_open.values()), counted(len(still_open), "student")
    return f"{counted(parts, 'part')} of {students} still {'needs' if parts == 1 else 'need'} a look"


def say_open(still_open: Mapping[str, int]) -> None:
    """Say how many parts the teacher has not decided yet, where there are any."""
    if still_open:
        click.echo(f"! {open_in_words(still_open)}, and the messages say so. {DECIDE_FIRST}")


def say_plan(plan: Plan) -> None:
    """Say what is not sent in this run, and why."""
    if plan.sent:
        click.echo(f"{counted(len(plan.sent), 'message')} already sent; not sent again.")
    if plan.changed:
        ids = _listed([each.student_id for each in plan.changed])
        click.echo(
            f"! The marks of {counted(len(plan.changed), 'student')} changed after sending: {ids}. "
            "To send them the new ones, add --again."
        )


def say_uncertain(uncertain: Mapping[str, Entry]) -> None:
    """List the messages whose fate nobody knows, for the teacher to decide."""
    if not uncertain:
        return
    click.echo(f"! {counted(len(uncertain), 'message')} may or may not have arrived; nothing is sent there again:")
    for student_id, entry in uncertain.items():
        click.echo(f"    {one_line(student_id)}   {entry.at}   {entry.message_id}")
    click.echo(_SETTLE)


def say_wait(count: int, seconds: float) -> None:
    """Say that the server put messages off, and when they are tried again."""
    click.echo(f"{counted(count, 'message')} put off by the server; trying again in {seconds:g} seconds.")


def say_outcomes(outcomes: Sequence[Outcome], total: int, recorded: bool) -> None:
    """Say how the sending of ``total`` messages went: how many went out, and who got nothing and why."""
    by: dict[Result, list[Outcome]] = {}
    for outcome in outcomes:
        by.setdefault(outcome.result, []).append(outcome)
    click.echo(f"{counted(len(by.get('sent', [])), 'message')} of {total} sent.")
    if len(outcomes) < total:
        click.echo(f"! Stopped early; {counted(total - len(outcomes), 'message')} not settled. Run the command again.")
    for result, says, then in (
        ("refused", "refused by the server", "Check the addresses in the sheet Students and run the command again."),
        ("put off", "not sent", "Run the command again later; nobody gets a message twice."),
    ):
        each = by.get(result, [])  # type: ignore[call-overload]
        for code in dict.fromkeys(outcome.code for outcome in each):
            ids = [outcome.student_id for outcome in each if outcome.code == code]
            reply = f"reply {code}" if code else "no reply"
            reason = f"{reply}: {_REPLIES[code]}" if code in _REPLIES else reply
            click.echo(f"! {counted(len(ids), 'message')} {says} ({reason}): {_listed(ids)}")
        if each:
            click.echo(f"  {then}")
    if not recorded:
        click.echo("These were tests to yourself: no student counts as written to.")


@contextmanager
def sending_bar(total: int) -> Iterator[Callable[[], None]]:
    """A progress bar on a terminal; nothing where the output is piped. Call what it gives after each message."""
    from rich.console import Console

    console = Console()
    if not console.is_terminal:
        yield lambda: None
        return
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console, transient=True) as bar:
        task = bar.add_task("Sending", total=total)
        yield lambda: bar.advance(task)


def _listed(ids: Sequence[str]) -> str:
    return ", ".join(map(one_line, ids))
