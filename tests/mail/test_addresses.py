"""Addresses: what is one, whose it is, and two students at one."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from grader.errors import GraderError, InputFaults
from grader.mail.addresses import address, address_book, needing_an_export, sender
from grader.mail.definitions import StudentMarks
from grader.marking.definitions import Student
from tests.mail.people import some_rows


@pytest.mark.parametrize(
    ("text", "spec"),
    [
        ("ada@example.org", "ada@example.org"),
        ("Ada.Nilsson+tug@Mail.Example.ORG", "Ada.Nilsson+tug@mail.example.org"),
        ("o'driscoll@example.org", "o'driscoll@example.org"),
        ("søren@example.org", "søren@example.org"),
        ("ada@bücher.example", "ada@xn--bcher-kva.example"),
        ("ada@xn--bcher-kva.example", "ada@xn--bcher-kva.example"),
        ("用户@例子.example", "用户@xn--fsqu00a.example"),
    ],
)
def test_addresses(text: str, spec: str) -> None:
    found = address(text)
    assert found.spec == spec
    assert found.international == (not spec.isascii())


@pytest.mark.parametrize(
    "text",
    [
        "",
        "ada",
        "ada@",
        "@example.org",
        "ada@@example.org",
        "ada@localhost",
        "ada@example..org",
        "ada@-example.org",
        "ada@exa_mple.org",
        ".ada@example.org",
        "ada.@example.org",
        "a..b@example.org",
        "ada nilsson@example.org",
        "ada@example.org, bo@example.org",
        "ada@example.org;bo@example.org",
        "Ada <ada@example.org>",
        '"ada"@example.org',
        "ada@example.org\r\nBcc: bo@example.org",
        "ada@example.org\nRCPT TO:<bo@example.org>",
        "ada@example.org\x00",
        "ada\u200b@example.org",
        "ada\u202e@example.org",
        "ada\xa0@example.org",
        "ada(x)@example.org",
        "ada@[127.0.0.1]",
        "ada@example.org>",
        "a" * 65 + "@example.org",
        "ö" * 33 + "@example.org",
        "ada@" + "a" * 64 + ".org",
        "ada@" + "abcdef." * 40 + "org",
        "ada@straße.example",  # IDNA 2003 and 2008 differ
        "ada@ex\u2024ample.org",
    ],
)
def test_what_is_no_address_is_refused_without_repeating_it(text: str) -> None:
    with pytest.raises(ValueError, match=r"^(it|its|the part) ") as caught:
        address(text)
    assert not text or text not in str(caught.value)
    with pytest.raises(GraderError, match="--from"):
        sender(f"Ms Vega <{text}>")


def marks(*ids: str) -> Sequence[StudentMarks]:
    return [StudentMarks(student_id, "", "A", some_rows()) for student_id in ids]


def test_the_roster_comes_before_the_export() -> None:
    roster = (Student("H1", email="one@example.org"), Student("H2"))
    book = address_book(marks("H1", "H2"), roster, {"H1": "other@example.org", "H2": "two@example.org"}, "r.xlsx")
    assert {each: found.spec for each, found in book.addresses.items()} == {
        "H1": "one@example.org",
        "H2": "two@example.org",
    }
    assert book.without == {}


def test_who_is_not_in_the_roster_is_not_written_to() -> None:
    book = address_book(
        marks("H1", "H9"), (Student("H1", email="one@example.org"),), {"H9": "nine@example.org"}, "r.xlsx"
    )
    assert list(book.addresses) == ["H1"]
    assert book.without == {"H9": "not in the sheet Students"}


def test_without_a_roster_the_export_is_it() -> None:
    book = address_book(marks("H1", "H2"), (), {"H1": "one@example.org", "H2": "", "H3": "three@example.org"}, "r.xlsx")
    assert list(book.addresses) == ["H1"]
    assert book.without == {"H2": "no address"}


def test_two_students_with_one_address() -> None:
    roster = (Student("H1", email="Same@example.org"), Student("H2", email="same@Example.org"))
    with pytest.raises(InputFaults, match="students H1, H2") as caught:
        address_book(marks("H1", "H2"), roster, {}, "r.xlsx")
    assert "example.org" not in str(caught.value)
    assert "--allow-shared-addresses" in str(caught.value)
    assert len(address_book(marks("H1", "H2"), roster, {}, "r.xlsx", allow_shared=True).addresses) == 2
    # Somebody who is not marked is not written to and shares nothing.
    assert len(address_book(marks("H1"), roster, {}, "r.xlsx").addresses) == 1


def test_every_bad_address_is_reported_by_the_student() -> None:
    roster = (Student("H1", email="no good"), Student("H2", email=""), Student("H3", email="three@example.org"))
    with pytest.raises(InputFaults) as caught:
        address_book(marks("H1", "H2", "H3"), roster, {"H2": "x@example.org\r\nBcc: y@example.org"}, "r.xlsx")
    first, second = map(str, caught.value.faults)
    assert "r.xlsx, sheet Students, column Email: found an address of student H1" in first
    assert "the export: found an address of student H2" in second
    assert "no good" not in first
    assert "Bcc" not in second


@pytest.mark.parametrize(
    ("roster", "needed"),
    [
        ((), True),
        ((Student("H1", email="one@example.org"),), False),
        ((Student("H1"),), True),
        ((Student("H2", email="two@example.org"),), False),
    ],
)
def test_exports_are_opened_only_where_an_address_is_missing(roster: tuple[Student, ...], needed: bool) -> None:
    assert needing_an_export(marks("H1"), roster) is needed
