"""The command ``grader mail``: drafts to look at, and sending them."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from grader.errors import GraderError

if TYPE_CHECKING:
    from contextlib import AbstractContextManager

    from grader.mail.addresses import AddressBook
    from grader.mail.definitions import MailAddress, Parcel, StudentMarks
    from grader.mail.deliver import Message, Outcome, Record
    from grader.mail.ledger import Entry, Ledger
    from grader.mail.mailing import Drawings, Selection
    from grader.mail.smtp import Server
    from grader.marking.definitions import Rubric

_LEFT = 1  # the exit code where somebody is left without a message


@click.command("mail")
@click.argument("folder", metavar="FOLDER", type=click.Path(path_type=Path))
@click.argument("ids", metavar="[ID...]", nargs=-1)
@click.option(
    "--rubric", metavar="RUBRIC.xlsx", type=click.Path(path_type=Path), help="If FOLDER does not remember it."
)
@click.option(
    "--from",
    "sender",
    metavar="ADDRESS",
    envvar="GRADER_MAIL_FROM",
    show_envvar=True,
    help="You: “Name <you@example.org>”.",
)
@click.option("--only", metavar="ID", multiple=True, help="Only this student; may be given several times.")
@click.option("--section", metavar="SECTION", default="", help="Only this section.")
@click.option("--allow-shared-addresses", "shared", is_flag=True, help="Several students may share an address.")
@click.option("--dry-run", is_flag=True, help="Say what would be done; write and send nothing.")
@click.option("--send", is_flag=True, help="Send, after asking you.")
@click.option("--test", "test", metavar="ADDRESS", help="Send everything to yourself at this address instead.")
@click.option("--again", is_flag=True, help="With --send: also to those whose marks changed after sending.")
@click.option(
    "--settle", type=click.Choice(["sent", "again"]), help="Decide for the students ID... whose mail is uncertain."
)
@click.option("--yes", is_flag=True, help="Do not ask before sending.")
@click.option("--with-open", is_flag=True, help="With --yes: also while answers still need a look.")
@click.option("--host", envvar="GRADER_MAIL_HOST", show_envvar=True, help="The mail server.")
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    envvar="GRADER_MAIL_PORT",
    show_envvar=True,
    help="Its port [587; implicit TLS 465].",
)
@click.option("--user", envvar="GRADER_MAIL_USER", show_envvar=True, default="", help="The account's user name.")
@click.option(
    "--tls",
    type=click.Choice(["starttls", "implicit"]),
    envvar="GRADER_MAIL_TLS",
    show_envvar=True,
    help="How it is encrypted.",
)
@click.option(
    "--ca-file",
    type=click.Path(path_type=Path),
    envvar="GRADER_MAIL_CA_FILE",
    show_envvar=True,
    help="The server's own authority.",
)
@click.option(
    "--per-minute", type=click.FloatRange(0), default=30.0, show_default=True, help="How fast; 0 for no limit."
)
@click.option("--plain-for-testing", "plain", is_flag=True, help="Without TLS, to this machine alone.")
def mail(**given: Any) -> None:
    """Write each student's feedback as a message, and send it.

    Without --send it writes one draft (.eml) for each student into FOLDER/mail, to look at. Each message holds one
    student's data alone. The password comes from GRADER_MAIL_PASSWORD or the system's keyring. Nobody gets a message
    twice, whatever happens on the way; where that cannot be known, you decide with --settle.

    \b
    Examples:
      grader mail results
      grader mail results --test you@example.org --only H1007 --host smtp.example.org --user you
      grader mail results --send
      grader mail results --settle again H1007
    """
    wish = _Wish(**given)
    wish.check()
    if wish.settle:
        _settle(wish)
    elif wish.send or wish.test:
        _send(wish)
    else:
        _write_drafts(wish)


@dataclass(frozen=True)
class _Wish:
    """What the teacher asked for."""

    folder: Path
    ids: tuple[str, ...]
    rubric: Path | None
    sender: str | None
    only: tuple[str, ...]
    section: str
    shared: bool
    dry_run: bool
    send: bool
    test: str | None
    again: bool
    settle: Literal["sent", "again"] | None
    yes: bool
    with_open: bool
    host: str | None
    port: int | None
    user: str
    tls: Literal["starttls", "implicit"] | None
    ca_file: Path | None
    per_minute: float
    plain: bool

    def check(self) -> None:
        """Refuse what cannot be meant together."""
        if sum(map(bool, (self.settle, self.send, self.test))) > 1:
            raise GraderError("Give only one of --send, --test and --settle.")
        if bool(self.ids) != bool(self.settle):
            raise GraderError(
                "--settle needs the ids of the students, such as: --settle again H1007 H1012"
                if self.settle
                else f"“{self.ids[0]}” is not understood; to write to one student alone, use --only {self.ids[0]}"
            )
        if self.again and not self.send:
            raise GraderError("--again goes with --send.")

    @property
    def selection(self) -> Selection:
        from grader.mail.mailing import Selection

        return Selection(self.only, self.section)


@dataclass(frozen=True)
class _Class:
    """The marked class: its marks, its rubric and its addresses."""

    marks: tuple[StudentMarks, ...]
    rubric: Rubric
    book: AddressBook

    def parcels(self, selection: Selection, key: bytes) -> tuple[Parcel, ...]:
        from grader.mail.mailing import parcels_of

        return parcels_of(self.marks, self.rubric, self.book, key, selection, _drawings(self.rubric))

    def without(self, selection: Selection) -> dict[str, str]:
        return {
            each.student_id: self.book.without[each.student_id]
            for each in self.marks
            if selection.holds(each) and each.student_id in self.book.without
        }


def _drawings(rubric: Rubric) -> Drawings | None:
    """How a student's missed problems are drawn; None where the optional package for images is not installed."""
    from grader.mail.definitions import Drawing
    from grader.marking.mark import solve_all
    from grader.reports.drawing.missed import missed_pictures
    from grader.reports.drawing.png import MISSING, can_draw_png, png_of

    if not can_draw_png():
        click.echo(f"The messages have no drawings. {MISSING}", err=True)
        return None
    solved = solve_all(rubric)

    def drawn(student: StudentMarks) -> dict[str, Drawing]:
        rows = [row for row in student.rows if not row.excused]
        pictures = missed_pictures(solved, rows, rubric.settings.show_answers, "light")
        return {label: Drawing(png_of(picture, 1.5), picture.text) for label, picture in pictures.items()}

    return drawn


def _read_class(wish: _Wish, *, with_addresses: bool = True) -> _Class:
    from grader.exchange.marksfile import MARKS_FILE
    from grader.exchange.origin import recall
    from grader.mail.addresses import AddressBook, address_book, needing_an_export
    from grader.mail.mailing import check_selection, marks_path
    from grader.mail.marks import read_marks
    from grader.rubric.read import read_rubric

    marks = read_marks(marks_path(wish.folder, MARKS_FILE))
    homework = recall(wish.folder)
    path = wish.rubric or homework.rubric
    if path is None:
        raise GraderError(
            f"{wish.folder} does not say which rubric it was marked by; name it with --rubric RUBRIC.xlsx."
        )
    rubric = read_rubric(path)
    check_selection(marks, wish.selection)
    to_write_to = [each for each in marks if not each.excused]
    if not with_addresses:
        return _Class(marks, rubric, AddressBook({}, {}))
    in_exports: dict[str, str] = {}
    if homework.exports and needing_an_export(to_write_to, rubric.students):
        from grader.exchange.export import read_exports

        answers = read_exports(homework.exports, rubric).answers
        in_exports = dict(zip(map(str, answers["student_id"]), map(str, answers["email"])))
    book = address_book(to_write_to, rubric.students, in_exports, path.name, allow_shared=wish.shared)
    return _Class(marks, rubric, book)


def _write_drafts(wish: _Wish) -> None:
    from grader.exchange.cells import counted
    from grader.mail.addresses import sender
    from grader.mail.drafts import DRAFTS_FOLDER, NO_SENDER, draft_name, write_drafts
    from grader.mail.mailing import still_open
    from grader.mail.terminal import say_open, say_without

    marked = _read_class(wish)
    parcels = marked.parcels(wish.selection, b"")
    say_open(still_open(marked.marks, parcels))
    you = sender(wish.sender) if wish.sender else NO_SENDER
    if wish.dry_run:
        for parcel in parcels:
            click.echo(f"{parcel.student_id} → {wish.folder / DRAFTS_FOLDER / draft_name(parcel.number)}")
        click.echo(f"{counted(len(parcels), 'draft')} would be written. Nothing was written.")
    else:
        paths = write_drafts(wish.folder, parcels, you, _now(), all_of_them=wish.selection.everybody)
        click.echo(
            f"{counted(len(paths), 'draft')} in {wish.folder / DRAFTS_FOLDER}. Look at some; to send, add --send."
        )
        if not wish.sender:
            click.echo("They name no sender yet; give --from “Your Name <you@example.org>”.")
    without = marked.without(wish.selection)
    say_without(without)
    if without:
        sys.exit(_LEFT)


def _send(wish: _Wish) -> None:
    from grader.exchange.cells import counted
    from grader.mail.addresses import sender
    from grader.mail.deliver import NoRecord
    from grader.mail.mailing import messages_of, still_open
    from grader.mail.plan import Plan, plan_sending
    from grader.mail.terminal import say_open, say_plan, say_uncertain, say_without

    if not wish.sender:
        raise GraderError("Say who sends: --from “Your Name <you@example.org>” or GRADER_MAIL_FROM.")
    you, to_self = sender(wish.sender), _test_address(wish)
    server = None if wish.dry_run else _server(wish)
    marked = _read_class(wish)
    with _ledger(wish) as ledger:
        parcels = marked.parcels(wish.selection, ledger.key if ledger else b"")
        entries = ledger.entries() if ledger else {}
        plan = Plan(parcels) if wish.test else plan_sending(parcels, entries, again=wish.again)
        without = marked.without(wish.selection)
        say_without(without)
        say_plan(plan)
        waiting = still_open(marked.marks, plan.to_send)
        say_open(waiting)
        outcomes: Sequence[Outcome] = ()
        if plan.to_send and server is None:
            click.echo(f"Would be sent to {', '.join(parcel.student_id for parcel in plan.to_send)}.")
            click.echo(f"{counted(len(plan.to_send), 'message')} would be sent. Nothing was sent.")
        elif plan.to_send and server is not None:
            messages = messages_of(plan.to_send, you, _now(), to_self)
            _confirm(wish, server, you, len(messages), waiting)
            outcomes = _deliver(wish, server, you, messages, ledger or NoRecord())
        elif not plan.uncertain and not plan.changed:
            click.echo("Nothing is left to send.")
        uncertain = _uncertain(marked, wish, ledger.entries() if ledger else {})
        say_uncertain(uncertain)
    if without or plan.changed or uncertain or any(outcome.result != "sent" for outcome in outcomes):
        sys.exit(_LEFT)


def _deliver(
    wish: _Wish, server: Server, you: MailAddress, messages: Sequence[Message], record: Record
) -> list[Outcome]:
    from grader.mail.deliver import Pace, deliver
    from grader.mail.smtp import connect
    from grader.mail.terminal import say_outcomes, say_wait, sending_bar

    outcomes: list[Outcome] = []
    try:
        with sending_bar(len(messages)) as advance:
            for outcome in deliver(messages, you, lambda: connect(server), record, Pace(wish.per_minute), say_wait):
                outcomes.append(outcome)
                advance()
    finally:  # also where it was interrupted: what has gone out is said
        say_outcomes(outcomes, len(messages), recorded=not wish.test)
    return outcomes


def _settle(wish: _Wish) -> None:
    from grader.exchange.cells import counted
    from grader.mail.compose import as_told
    from grader.mail.ledger import open_ledger
    from grader.mail.mailing import Selection, check_selection
    from grader.mail.marks import fingerprint

    marked = _read_class(wish, with_addresses=False)
    check_selection(marked.marks, Selection(wish.ids))
    rows = {each.student_id: each.rows for each in marked.marks}
    decision = wish.settle or "sent"
    with open_ledger(wish.folder) as ledger:
        entries = ledger.entries()
        for student_id in dict.fromkeys(wish.ids):
            entry = entries.get(student_id)
            known = entry.fingerprint if entry and (entry.uncertain or entry.sent) else ""
            now = fingerprint(student_id, as_told(rows[student_id], marked.rubric), ledger.key)
            ledger.settle(student_id, known or now, decision)
    count = counted(len(set(wish.ids)), "student")
    click.echo(
        f"Recorded: {count} counted as written to."
        if decision == "sent"
        else f"Recorded: the next --send writes to {count} again."
    )


def _uncertain(marked: _Class, wish: _Wish, entries: Mapping[str, Entry]) -> dict[str, Entry]:
    chosen = [each.student_id for each in marked.marks if wish.selection.holds(each)]
    return {
        student_id: entries[student_id]
        for student_id in chosen
        if student_id in entries and entries[student_id].uncertain
    }


def _ledger(wish: _Wish) -> AbstractContextManager[Ledger | None]:
    from grader.mail.ledger import LEDGER_FILE, open_ledger

    if wish.test or (wish.dry_run and not (wish.folder / LEDGER_FILE).exists()):
        return nullcontext()
    return open_ledger(wish.folder)


def _test_address(wish: _Wish) -> MailAddress | None:
    from grader.mail.addresses import address

    if not wish.test:
        return None
    try:
        return address(wish.test)
    except ValueError as error:
        raise GraderError(f"The address after --test cannot be used: {error}.") from error


def _server(wish: _Wish) -> Server:
    from grader.mail.password import find_password
    from grader.mail.smtp import Server

    if not wish.host:
        raise GraderError("Say which mail server sends: --host smtp.example.org or GRADER_MAIL_HOST.")
    security = wish.tls or ("implicit" if wish.port == 465 else "starttls")
    server = Server(wish.host, wish.port or 0, "plain" if wish.plain else security, wish.user, "", wish.ca_file)
    if not wish.user:
        return server
    from dataclasses import replace

    return replace(server, password=find_password(wish.host, wish.user, os.environ))


def _confirm(wish: _Wish, server: Server, you: MailAddress, count: int, waiting: Mapping[str, int]) -> None:
    from grader.exchange.cells import counted
    from grader.mail.terminal import DECIDE_FIRST, open_in_words

    how = {"implicit": "TLS", "starttls": "TLS by STARTTLS", "plain": "not encrypted"}[server.security]
    where = "all to the test address" if wish.test else "each to its student"
    click.echo(f"{counted(count, 'message')}, {where}, from {you.spec} through {server.place} ({how}).")
    if wish.send and wish.yes and waiting and not wish.with_open:
        raise GraderError(
            f"Nothing was sent: {open_in_words(waiting)}. {DECIDE_FIRST} To send all the same, add --with-open."
        )
    if not wish.yes and not click.confirm("Send now?"):
        raise GraderError("Nothing was sent.")


def _now() -> Any:
    from datetime import datetime

    return datetime.now().astimezone()
