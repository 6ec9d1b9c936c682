"""QTI Results Reporting 2.1, 2.2 and 3.0: structure as in the example files that 1EdTech publishes with the standard."""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from grader.errors import GraderError, InputFaults
from grader.exchange.export import Export, read_exports
from grader.exchange.qti import NAMESPACES
from grader.marking.definitions import ColumnRule, Rubric, Settings

Write = Callable[..., Path]


def variable(identifier: str, *values: str, cardinality: str = "single", base: str = "string", right: str = "") -> str:
    said = "".join(f"<value>{value}</value>" for value in values)
    correct = f"<correctResponse><value>{right}</value></correctResponse>" if right else ""
    return (
        f'<responseVariable identifier="{identifier}" cardinality="{cardinality}" baseType="{base}">'
        f"{correct}<candidateResponse>{said}</candidateResponse></responseVariable>"
    )


def item(identifier: str, *variables: str, attempt: int | None = 1, moment: str = "2026-03-10T09:30:00") -> str:
    tried = variable("numAttempts", str(attempt), base="integer") if attempt is not None else ""
    outcome = (
        '<outcomeVariable identifier="SCORE" cardinality="single" baseType="float"><value>1.0</value></outcomeVariable>'
    )
    return (
        f'<itemResult identifier="{identifier}" sequenceIndex="1" datestamp="{moment}" sessionStatus="final">'
        f"{variable('duration', '41.2', base='duration')}{tried}{''.join(variables)}{outcome}</itemResult>"
    )


def session(person: str, *items: str, namespace: str = NAMESPACES[-1], context: str = "") -> str:
    context = context or (
        f'<context sourcedId="{person}"><sessionIdentifier sourceID="harbour" identifier="s-{person}"/></context>'
    )
    test = f'<testResult identifier="homework" datestamp="2026-03-10T09:40:00">{variable("PASSED", "1")}</testResult>'
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><assessmentResult xmlns="{namespace}">{context}{test}'
        f"{''.join(items)}</assessmentResult>"
    )


ANA = (
    item("harbour-q1", variable("RESPONSE", "62.0 lb at 353°", right="62.0")),
    item("harbour-q2a", variable("RESPONSE", "61.6", "-7.6", cardinality="ordered", base="float")),
)


def written(export: Export) -> dict[tuple[str, str, str], object]:
    names = ("student_id", "problem", "attempt", "written")
    return {(s, p, a): w for s, p, a, w in zip(*(export.answers[name] for name in names))}


@pytest.mark.parametrize("namespace", [*NAMESPACES, "http://example.org/another-version"])
def test_each_version_gives_the_answers(two: Rubric, file: Write, namespace: str) -> None:
    export = read_exports(file(session("101", *ANA, namespace=namespace), "101.xml"), two)
    assert written(export) == {
        ("101", "1", "1"): (("whole", "62.0 lb at 353°"),),
        ("101", "2a", "1"): (("x", "61.6"), ("y", "-7.6")),
    }
    assert export.set_aside == ()
    assert export.answers["submitted_at"].tolist() == [datetime(2026, 3, 10, 9, 30)] * 2
    (shown,) = export.matches.values()
    assert [(match.heading, match.holds) for match in shown] == [
        ("harbour-q1", "problem 1"),
        ("harbour-q2a 1", "problem 2a x"),
        ("harbour-q2a 2", "problem 2a y"),
    ]


RESPONSES: dict[str, tuple[Iterable[str], dict[str, object]]] = {
    "skipped": ([item("q1", variable("RESPONSE")), ANA[1]], {"1": (("whole", ""),)}),
    "blank value": ([item("q1", variable("RESPONSE", "")), ANA[1]], {"1": (("whole", ""),)}),
    "several values": (
        [item("q1", variable("RESPONSE", "62.0", "353", cardinality="multiple")), ANA[1]],
        {"1": (("whole", "62.0; 353"),)},
    ),
    "responses named by their parts": (
        [item("q1", variable("direction", "353"), variable("magnitude", "62")), ANA[1]],
        {"1": (("magnitude", "62"), ("direction", "353"))},
    ),
    "responses in their order": (
        [item("q1", variable("RESPONSE_1", "62"), variable("RESPONSE_2", "353")), ANA[1]],
        {"1": (("magnitude", "62"), ("direction", "353"))},
    ),
    "a point": (
        [ANA[0], item("q2a", variable("RESPONSE", "61.6 -7.6", base="point"))],
        {"2a": (("whole", "(61.6, -7.6)"),)},
    ),
    "a record": (
        [
            ANA[0],
            item(
                "q2a",
                '<responseVariable identifier="R" cardinality="record"><candidateResponse>'
                '<value fieldIdentifier="x" baseType="float">61.6</value>'
                '<value fieldIdentifier="y" baseType="float">-7.6</value></candidateResponse></responseVariable>',
            ),
        ],
        {"2a": (("x", "61.6"), ("y", "-7.6"))},
    ),
    "marks in the answer": (
        [item("q1", variable("RESPONSE", "&lt;b&gt;62&lt;/b&gt; &amp; 353")), ANA[1]],
        {"1": (("whole", "<b>62</b> & 353"),)},
    ),
}


@pytest.mark.parametrize(("items", "expected"), RESPONSES.values(), ids=RESPONSES.keys())
def test_responses_of_every_kind(two: Rubric, file: Write, items: Iterable[str], expected: dict[str, object]) -> None:
    export = read_exports(file(session("101", *items), "101.xml"), two)
    found = dict(zip(export.answers["problem"], export.answers["written"]))
    assert {problem: found[problem] for problem in expected} == expected


def test_attempts_are_kept_and_numbered(two: Rubric, file: Write) -> None:
    items = [
        item("q1", variable("R", "second"), attempt=2, moment="2026-03-11T09:00:00"),
        item("q1", variable("R", "first"), attempt=1),
        item("q2a", variable("R", "only")),
    ]
    export = read_exports(file(session("101", *items), "101.xml"), two)
    assert written(export) == {
        ("101", "1", "1"): (("whole", "first"),),
        ("101", "1", "2"): (("whole", "second"),),
        ("101", "2a", "1"): (("whole", "only"),),
    }


def test_attempts_without_a_number_go_by_their_times(two: Rubric, file: Write) -> None:
    items = [
        item("q1", variable("R", "later"), attempt=None, moment="2026-03-11T09:00:00"),
        item("q1", variable("R", "earlier"), attempt=None),
        item("q2a", variable("R", "only"), attempt=None),
    ]
    found = written(read_exports(file(session("101", *items), "101.xml"), two))
    assert found["101", "1", "2"] == (("whole", "later"),)


def test_who_it_is_may_stand_in_the_session_identifier(two: Rubric, file: Write) -> None:
    context = '<context><sessionIdentifier sourceID="harbour" identifier="103"/></context>'
    export = read_exports(file(session("", *ANA, context=context), "103.xml"), two)
    assert set(export.answers["student_id"]) == {"103"}


def test_items_are_mapped_by_the_sheet_columns(two: Rubric, file: Write) -> None:
    path = file(session("101", item("i-7f", variable("R", "62")), item("i-80", variable("R", "7"))), "101.xml")
    with pytest.raises(InputFaults, match=r"found no item for problem 1 \(not understood: “i-7f”, “i-80”\)"):
        read_exports(path, two)
    rules = (ColumnRule("i-7f", "problem 1"), ColumnRule("I-80", "problem 2a"))
    assert len(read_exports(path, replace(two, columns=rules)).answers) == 2


def make_zip(path: Path, members: dict[str, str | bytes]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return path


MEMBERS = {
    "a/101.xml": session("101", *ANA),
    "../../102.xml": session("102", *ANA),
    "broken.xml": session("103", *ANA)[:-30],
    "nobody.xml": session("", *ANA, context="<context/>"),
    "other.xml": "<report/>",
    "read me.txt": "hello",
    "empty.xml": "",
}
TOLD = (
    "broken.xml is damaged",
    "nobody.xml does not say whose",
    "other.xml holds no assessment results",
    "“read me.txt”",
)


def test_a_zip_is_read_without_unpacking_and_what_is_broken_is_named(two: Rubric, tmp_path: Path) -> None:
    path = make_zip(tmp_path / "sessions.zip", MEMBERS)
    export = read_exports(path, two)
    assert list(dict.fromkeys(export.answers["student_id"])) == ["101", "102"]
    told = " ".join(export.notes)
    assert all(each in told for each in TOLD)
    assert "empty.xml is damaged" in told
    assert [each.name for each in tmp_path.iterdir()] == ["sessions.zip"]
    assert not (tmp_path.parent / "102.xml").exists()


def test_a_folder_is_read_with_its_folders(two: Rubric, tmp_path: Path) -> None:
    for name, content in MEMBERS.items():
        place = tmp_path / "sessions" / name.replace("../", "")
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(str(content), encoding="utf-8")
    export = read_exports(tmp_path / "sessions", two)
    assert sorted(set(export.answers["student_id"])) == ["101", "102"]
    assert all(each in " ".join(export.notes) for each in TOLD)


def test_a_folder_without_results_gets_a_sentence(two: Rubric, tmp_path: Path) -> None:
    (tmp_path / "answers.csv").write_text("ID,Q1\n1,2\n", encoding="utf-8")
    with pytest.raises(GraderError, match="is a folder without QTI results; name the files of answers in it"):
        read_exports(tmp_path, two)


def test_one_broken_file_alone_is_an_error(two: Rubric, file: Write) -> None:
    with pytest.raises(GraderError, match=r"101\.xml holds no QTI results that can be read. 101\.xml is damaged"):
        read_exports(file(session("101", *ANA)[:-9], "101.xml"), two)


def test_a_problem_that_nobody_answered_is_noted(two: Rubric, file: Write) -> None:
    export = read_exports(file(session("101", ANA[0]), "101.xml"), two)
    assert "no item for problem 2a; taken as blank for everybody." in " ".join(export.notes)
    assert len(export.answers) == 2


def test_times_with_a_zone_are_put_on_the_homeworks_clock(two: Rubric, file: Write) -> None:
    path = file(session("101", item("q1", variable("R", "1"), moment="2026-03-10T23:30:00Z"), ANA[1]), "101.xml")
    settings = Settings(due=datetime(2026, 3, 11), time_zone="+02:00")
    export = read_exports(path, replace(two, settings=settings))
    assert export.answers["submitted_at"].tolist()[0] == datetime(2026, 3, 11, 1, 30)
    export = read_exports(path, replace(two, settings=replace(settings, time_zone="")))
    assert "its times name a time zone" in " ".join(export.notes)
