"""What several homeworks say together, on classes small enough to count by hand."""

from __future__ import annotations

import pytest

from grader.history.progress import Progress, progress
from grader.history.records import Answer, Homework, WrongTurn

STUDENTS = {f"s{i}": f"Student {i}" for i in range(10)}


def _homework(key: str, made: dict[str, set[int]], could: set[str], absent: frozenset[int] = frozenset()) -> Homework:
    """A homework of one problem: mistake → who made it; ``could`` are mistakes that its numbers can show."""
    return Homework(
        key,
        key,
        frozenset(("1", mistake) for mistake in could),
        tuple(Answer(f"s{i}", "1", i not in absent, 0.0, 4.0) for i in range(10)),
        tuple(WrongTurn(f"s{i}", "1", mistake, 1.0, 4.0) for mistake, who in made.items() for i in sorted(who)),
    )


def _found(*homeworks: Homework) -> Progress:
    found = progress(homeworks, STUDENTS, lambda id_: id_.upper(), frozenset({"slip"}))
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("counts", "trend"),
    [
        ((6, 6, 1), "fading"),
        ((6, 3, 0), "gone"),
        ((4, 4, 4), "staying"),
        ((2, 2, 8), "growing"),
        ((0, 0, 3), "new"),
        ((1, 1, 0), "gone"),
        ((2, 2, 1), "staying"),  # one student fewer is no trend
    ],
)
def test_the_trend_compares_the_last_with_all_before(counts: tuple[int, ...], trend: str) -> None:
    homeworks = [_homework(f"w{n}", {"m": set(range(count))}, {"m"}) for n, count in enumerate(counts)]
    (row,) = _found(*homeworks).rows
    assert row.trend == trend
    assert [(cell.made, cell.could) for cell in row.cells] == [(count, 10) for count in counts]


def test_a_homework_that_cannot_show_a_mistake_says_nothing_about_it() -> None:
    (row,) = _found(_homework("w1", {"m": {1, 2}}, {"m"}), _homework("w2", {}, {"other"})).rows
    assert [cell.could for cell in row.cells] == [10, 0]
    assert row.trend == "one homework only"
    assert row.staying == ()
    assert row.overcome == 0


def test_it_stays_with_those_who_made_it_twice_and_at_their_last_chance() -> None:
    found = _found(
        _homework("w1", {"m": {1, 2, 3}}, {"m"}),
        _homework("w2", {"m": {1, 2}}, {"m"}, frozenset({3})),
        _homework("w3", {"m": {1, 4}}, {"m"}, frozenset({2, 3})),
    )
    (row,) = found.rows
    # 1: always; 2: twice, and absent since; 3: once, and absent since; 4: once.
    assert row.staying == ("Student 1", "Student 2")
    assert row.overcome == 0


def test_those_who_had_the_chance_and_did_not_repeat_it_have_overcome_it() -> None:
    (row,) = _found(_homework("w1", {"m": {1, 2, 3}}, {"m"}), _homework("w2", {"m": {3}}, {"m"}, frozenset({2}))).rows
    assert row.overcome == 1
    assert row.staying == ("Student 3",)


def test_slips_and_students_who_have_left_are_not_followed() -> None:
    gone = WrongTurn("left school", "1", "m", 1.0, 1.0)
    first = _homework("w1", {"slip": {1}}, {"m"})
    first = Homework(first.key, first.title, first.could_show, first.answers, (*first.turns, gone))
    assert _found(first, _homework("w2", {}, {"m"})).rows == ()


def test_one_homework_is_no_progress() -> None:
    assert progress([_homework("w1", {"m": {1}}, {"m"})], STUDENTS, str) is None


def test_the_sentence_names_what_fades_and_what_stays() -> None:
    found = _found(
        _homework("w1", {"fades": set(range(6)), "stays": {1, 2, 3}}, {"fades", "stays"}),
        _homework("w2", {"stays": {1, 2, 3}}, {"fades", "stays"}),
    )
    assert found.sentence() == "Over 2 homeworks, fading or gone: FADES. Still staying or growing: STAYS."


def test_homeworks_of_one_title_are_told_apart_by_their_rubrics() -> None:
    first, second = _homework("week1/Vectors", {}, set()), _homework("week2/Vectors", {}, set())
    first, second = (Homework(h.key, "Vectors", h.could_show, h.answers, h.turns) for h in (first, second))
    assert _found(first, second).homeworks == ("Vectors (week1)", "Vectors (week2)")
