"""The history file: what goes in comes out, marking again replaces, and a killed writer leaves it whole."""

from __future__ import annotations

import os
import signal
import sqlite3
import stat
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from grader.history.records import Answer, Homework, WrongTurn, in_order, together
from grader.history.store import HistoryError, history_path, read, record


def _homework(
    key: str, students: Sequence[str] = ("s1", "s2"), mistake: str = "radian-mode", title: str = ""
) -> Homework:
    return Homework(
        key,
        title or f"Homework {key}",
        frozenset({("1", "radian-mode"), ("2", "two-dropped")}),
        tuple(Answer(student, "1", True, None if student == "s2" else 2.5, 4.0) for student in sorted(students)),
        tuple(WrongTurn(student, "1", mistake, 0.9, 1.5) for student in sorted(students)),
    )


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return history_path(tmp_path / "week3.xlsx")


def test_it_is_kept_beside_the_rubric_and_made_on_first_use(path: Path) -> None:
    assert path.name == "week3.history.sqlite"
    assert read(path) == ()
    assert not path.exists()
    record(path, [_homework("one")])
    assert read(path) == (_homework("one"),)


@pytest.mark.skipif(os.name != "posix", reason="file modes are a matter of POSIX systems")
def test_only_its_owner_can_read_it(path: Path) -> None:
    before = os.umask(0)
    try:
        record(path, [_homework("one")])
    finally:
        os.umask(before)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_nothing_is_left_beside_it(path: Path) -> None:
    record(path, [_homework("one")])
    read(path)
    assert [each.name for each in path.parent.iterdir()] == [path.name]


def test_marking_again_replaces_and_never_doubles(path: Path) -> None:
    for mistake in ("radian-mode", "two-dropped", "two-dropped"):
        record(path, [_homework("one", mistake=mistake)])
    (kept,) = read(path)
    assert {turn.mistake for turn in kept.turns} == {"two-dropped"}
    assert len(kept.answers) == len(kept.turns) == 2


def test_a_section_marked_by_itself_leaves_the_others(path: Path) -> None:
    record(path, [_homework("one", ["s1", "s2"])])
    record(path, [_homework("one", ["s2", "s3"], "two-dropped")])
    (kept,) = read(path)
    assert {(turn.student, turn.mistake) for turn in kept.turns} == {
        ("s1", "radian-mode"),
        ("s2", "two-dropped"),
        ("s3", "two-dropped"),
    }


def test_homeworks_stay_in_the_order_in_which_they_were_first_recorded(path: Path) -> None:
    for key in ("one", "two", "three", "one"):
        record(path, [_homework(key)])
    assert [each.key for each in read(path)] == ["one", "two", "three"]


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(st.tuples(st.sampled_from("abc"), st.lists(st.sampled_from("pqrs"), min_size=1, unique=True)), max_size=6)
)
def test_the_file_says_what_the_same_updates_in_memory_say(
    tmp_path_factory: pytest.TempPathFactory, runs: list[tuple[str, list[str]]]
) -> None:
    path = tmp_path_factory.mktemp("history") / "x.history.sqlite"
    homeworks = [_homework(key, students, f"mistake-{place}") for place, (key, students) in enumerate(runs)]
    for homework in homeworks:
        record(path, [homework])

    def plain(found: Sequence[Homework]) -> list[tuple[object, ...]]:
        return [(each.key, each.title, each.could_show, set(each.answers), set(each.turns)) for each in found]

    assert plain(read(path)) == plain(together(homeworks))


def test_a_failure_in_the_middle_leaves_everything_as_it_was(path: Path) -> None:
    record(path, [_homework("one")])
    twice = Homework("two", "Two", answers=(Answer("s1", "1", True, 1, 2), Answer("s1", "1", True, 1, 2)))
    with pytest.raises(HistoryError):
        record(path, [_homework("one", mistake="two-dropped"), twice])
    assert read(path) == (_homework("one"),)


_WRITER = """
import sys
from pathlib import Path
from grader.history.records import Answer, Homework, WrongTurn
from grader.history.store import record
path, place = Path(sys.argv[1]), 0
while True:
    place += 1
    students = [f"s{i:04}" for i in range(400)]
    record(path, [Homework("one", f"run {place}", frozenset({("1", f"mistake-{place}")}),
        tuple(Answer(s, "1", True, float(place), 9e9) for s in students),
        tuple(WrongTurn(s, "1", f"mistake-{place}", 1.0, float(place)) for s in students))])
    print(place, flush=True)
"""


@pytest.mark.skipif(os.name != "posix", reason="needs SIGKILL")
def test_a_writer_killed_at_any_moment_leaves_one_whole_run(path: Path) -> None:
    root = Path(__file__).resolve().parents[2]
    seen = set()
    for place in range(12):
        writer = subprocess.Popen(
            [sys.executable, "-c", _WRITER, str(path)],
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": str(root)},
        )
        assert writer.stdout is not None
        writer.stdout.readline()  # one run is in; the kill falls somewhere into the next ones
        time.sleep(0.0017 * place)
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        writer.stdout.close()
        (kept,) = read(path)
        run = kept.title.removeprefix("run ")
        assert kept.could_show == {("1", f"mistake-{run}")}
        assert len(kept.answers) == len(kept.turns) == 400
        assert {answer.points for answer in kept.answers} == {float(run)}
        assert {turn.mistake for turn in kept.turns} == {f"mistake-{run}"}
        with sqlite3.connect(path) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        connection.close()
        seen.add(run)
    record(path, [_homework("two")])
    assert [each.key for each in read(path)] == ["one", "two"]


def test_a_file_of_another_kind_is_refused_and_left_alone(path: Path) -> None:
    path.write_bytes(b"minutes of the parents' evening, " * 40)
    for act in (lambda: read(path), lambda: record(path, [_homework("one")])):
        with pytest.raises(HistoryError, match=r"week3\.history\.sqlite"):
            act()
    assert path.read_bytes().startswith(b"minutes")


def test_a_database_of_another_program_is_refused(path: Path) -> None:
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE boats (name TEXT)")
    connection.close()
    with pytest.raises(HistoryError, match="another program"):
        record(path, [_homework("one")])
    with pytest.raises(HistoryError, match="another program"):
        read(path)


def test_a_file_of_a_later_version_is_refused(path: Path) -> None:
    record(path, [_homework("one")])
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA user_version = 99")
    connection.close()
    with pytest.raises(HistoryError, match="version"):
        read(path)


def test_where_it_cannot_be_written_one_sentence_says_so(tmp_path: Path) -> None:
    with pytest.raises(HistoryError, match="could not be written"):
        record(tmp_path / "no such folder" / "x.history.sqlite", [_homework("one")])
    (tmp_path / "y.history.sqlite").mkdir()
    with pytest.raises(HistoryError, match="could not be written"):
        record(tmp_path / "y.history.sqlite", [_homework("one")])


def test_the_homeworks_named_last_come_last() -> None:
    homeworks = [_homework(key) for key in ("c", "a", "b")]
    assert [each.key for each in in_order(homeworks, ["a", "c"])] == ["b", "a", "c"]
