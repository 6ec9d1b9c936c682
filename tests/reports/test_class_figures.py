"""The figures of a class: counts, shares, scores, and whether everything was marked exactly once."""

from __future__ import annotations

import math

import pandas as pd
import pytest
from harbour_class import DECIDED, LABELS, PARTS, rows
from hypothesis import given
from hypothesis import strategies as st

from grader.reports import summary
from grader.reports.attribution import HABITS
from grader.reports.class_page.misconceptions import misconceptions
from grader.reports.words import VERDICT_SIGNS, amount, enumerated, mistake_name, one_line, percent, with_sign

IDS = list(dict.fromkeys(row["student_id"] for row in rows()))
TABLE = pd.DataFrame(rows())


def test_every_verdict_has_its_sign_and_those_that_earn_alike_share_it() -> None:
    assert VERDICT_SIGNS == {
        "right": "✓",
        "right, other form": "✓",
        "rounded too far": "≈",
        "rounded early": "≈",
        "follows on": "→",
        "wrong": "✗",
        "blank": "–",
        "needs a look": "?",
        "decided": "•",
    }


def test_every_verdict_occurs_and_the_counts_add_up(marks: pd.DataFrame) -> None:
    counts = summary.verdict_counts(marks)
    assert [each.verdict for each in counts] == list(VERDICT_SIGNS)
    assert all(each.count > 0 for each in counts)
    assert {each.verdict: each.count for each in counts} == marks["verdict"].value_counts().to_dict()
    assert sum(each.share for each in counts) == pytest.approx(1.0)


def test_a_class_that_was_marked_once_reconciles(marks: pd.DataFrame) -> None:
    found = summary.reconcile(marks, IDS, PARTS)
    assert found.complete
    assert found.sentence() == "66 students × 6 problems: 792 parts, each marked once."


def test_what_is_missing_double_or_unexpected_is_named(marks: pd.DataFrame) -> None:
    spoiled = pd.concat([marks.iloc[1:], marks.iloc[[5]], marks.iloc[[8]].assign(problem="99")])
    found = summary.reconcile(spoiled, IDS, PARTS)
    assert not found.complete
    assert found.missing == (("007", "1", "magnitude"),)
    assert found.sentence() == (
        "66 students × 6 problems: 792 parts expected, and the marks do not reconcile: 1 part not marked (007 1 magnitude), "
        f"1 part marked more than once (007 2b {PARTS['2b'][1]}), 1 part marked and not expected (007 99 magnitude)."
    )


def test_a_long_list_of_missing_parts_is_cut_with_its_number(marks: pd.DataFrame) -> None:
    sentence = summary.reconcile(marks.iloc[20:], IDS, PARTS).sentence()
    assert "20 parts not marked (" in sentence
    assert "and 15 more" in sentence


@given(
    st.lists(st.integers(0, len(TABLE) - 1), max_size=6, unique=True),
    st.lists(st.integers(0, len(TABLE) - 1), max_size=6, unique=True),
)
def test_reconciliation_counts_exactly_what_was_lost_and_doubled(lost: list[int], doubled: list[int]) -> None:
    doubled = [row for row in doubled if row not in lost]
    table = pd.concat([TABLE.drop(index=lost), TABLE.loc[doubled]])
    found = summary.reconcile(table, IDS, PARTS)
    assert (len(found.missing), len(found.repeated), len(found.unexpected)) == (len(lost), len(doubled), 0)
    assert found.complete == (not lost and not doubled)


@given(st.permutations(range(40)))
def test_no_figure_depends_on_the_order_of_the_rows(order: list[int]) -> None:
    few = TABLE.iloc[:40]
    mixed = few.iloc[order]
    assert summary.verdict_counts(mixed) == summary.verdict_counts(few)
    assert {each.student_id: each.total for each in summary.student_scores(mixed)} == {
        each.student_id: each.total for each in summary.student_scores(few)
    }
    assert {(each.mistake, frozenset(each.students), each.answered) for each in summary.common_mistakes(mixed)} == {
        (each.mistake, frozenset(each.students), each.answered) for each in summary.common_mistakes(few)
    }


@pytest.mark.parametrize("scope", [[], ["problem"], ["section"], ["problem", "section"]])
def test_mistakes_count_students_once_in_every_scope(marks: pd.DataFrame, scope: list[str]) -> None:
    counts = summary.common_mistakes(marks, by_problem="problem" in scope, by_section="section" in scope)
    # Mistakes that act together count each; of those that no answer can tell apart, the first counts.
    each_one = marks[marks["mistake"] != ""].assign(mistake=lambda rows: rows["mistake"].str.split(" + ", regex=False))
    each_one = each_one.explode("mistake").assign(mistake=lambda rows: rows["mistake"].str.split(" / ").str[0])
    expected = each_one.groupby([*scope, "mistake"])["student_id"].nunique()
    found = {
        tuple(x for x in (each.problem, each.section, each.mistake) if x is not None): each.count for each in counts
    }
    assert found == {key if isinstance(key, tuple) else (key,): n for key, n in expected.items()}
    answered = marks[marks["written"] != ""]
    for each in counts:
        within = answered
        for name in scope:
            within = within[within[name] == getattr(each, name)]
        assert each.answered == within["student_id"].nunique()
        assert each.share == each.count / each.answered


def test_the_most_common_mistake_comes_first_and_says_what_else_it_may_be(marks: pd.DataFrame) -> None:
    counts = summary.common_mistakes(marks)
    assert [each.count for each in counts] == sorted((each.count for each in counts), reverse=True)
    assert {each.mistake: each.also for each in counts} == {
        "supplement-not-taken": ("cosine-sign-flipped",),
        **dict.fromkeys(("radian-mode", "sign-lost", "sine-cosine-swapped"), ()),
    }


def test_every_report_counts_a_mistake_alike(marks: pd.DataFrame) -> None:
    counts = {each.mistake: (each.count, each.answered) for each in summary.common_mistakes(marks)}
    page = misconceptions(marks, dict(zip(marks["student_id"], marks["section"])))
    assert {each.id: (each.total.count, each.total.answered) for each in page if each.id not in HABITS} == counts


@pytest.mark.parametrize(
    ("share", "said"), [(1 / 40, "3 %"), (0.145, "15 %"), (0.0, "0 %"), (1.0, "100 %"), (0.0249, "2 %")]
)
def test_a_half_percent_is_rounded_up_as_spreadsheets_do(share: float, said: str) -> None:
    assert percent(share) == said.replace(" ", "\u00a0")


def test_by_problem_the_problems_stay_in_the_order_of_the_rubric(marks: pd.DataFrame) -> None:
    labels = [each.problem for each in summary.common_mistakes(marks, by_problem=True)]
    assert list(dict.fromkeys(labels)) == [label for label in LABELS if label in labels]


def test_scores_agree_with_the_sums_of_the_table(marks: pd.DataFrame) -> None:
    sums = marks.groupby("student_id")["points"].sum(min_count=0)
    waiting = marks[marks["points"].isna()].groupby("student_id").size()
    for each in summary.student_scores(marks):
        assert each.to_look_at == waiting.get(each.student_id, 0)
        assert each.possible == 23.0
        if each.to_look_at:
            assert each.total is None
            assert None in each.points.values()
        else:
            assert each.total == pytest.approx(sums[each.student_id])
            assert each.share == pytest.approx(sums[each.student_id] / 23)


def test_undecided_answers_are_listed_and_decided_ones_are_not(marks: pd.DataFrame) -> None:
    listed = summary.needing_a_look(marks)
    assert listed.index.tolist() == marks.index[marks["points"].isna()].tolist()
    assert len(listed)
    assert (marks["decided"] == DECIDED).any()


def test_marks_read_back_from_csv_give_the_same_figures(marks: pd.DataFrame, tmp_path) -> None:  # type: ignore[no-untyped-def]
    marks.to_csv(tmp_path / "marks.csv", index=False)
    texts = dict.fromkeys(("student_id", "problem", "attempt"), str)
    again = pd.read_csv(tmp_path / "marks.csv", dtype=texts)
    assert summary.verdict_counts(again) == summary.verdict_counts(marks)
    assert summary.common_mistakes(again, by_problem=True) == summary.common_mistakes(marks, by_problem=True)


def test_an_empty_class_has_figures_too(marks: pd.DataFrame) -> None:
    nobody = marks.iloc[:0]
    assert all(each.count == 0 and each.share == 0.0 for each in summary.verdict_counts(nobody))
    assert summary.common_mistakes(nobody) == ()
    assert summary.student_scores(nobody) == ()


@pytest.mark.parametrize(
    ("ids", "name"),
    [
        ("radian-mode", "calculator in radians"),
        ("supplement-not-taken / cosine-sign-flipped", "supplement of the angle not taken; or plus for minus in the law of cosines"),  # noqa: E501
        ("radian-mode + sign-lost", "calculator in radians; together with sign lost in the answer"),
        ("forgot the tide", "forgot the tide"),
        ("", ""),
    ],
)  # fmt: skip
def test_mistakes_are_called_by_their_plain_names(ids: str, name: str) -> None:
    assert mistake_name(ids) == name


@pytest.mark.parametrize(
    ("points", "text"), [(2.0, "2"), (1.5, "1.5"), (4 / 3, "1.33"), (0.0, "0"), (-0.001, "0"), (10.0, "10")]
)
def test_points_are_written_short(points: float, text: str) -> None:
    assert amount(points) == text


@given(st.floats(0, 1000))
def test_points_never_change_by_more_than_their_last_place(points: float) -> None:
    assert math.isclose(float(amount(points)), points, abs_tol=0.005 + 1e-9)


def test_a_verdict_never_speaks_by_its_sign_alone() -> None:
    assert [with_sign(verdict).split(" ", 1)[1] for verdict in VERDICT_SIGNS] == list(VERDICT_SIGNS)
    assert with_sign("something new") == "something new"


@given(st.text())
def test_one_line_holds_nothing_that_steers_a_terminal(text: str) -> None:
    line = one_line(text)
    assert line.isprintable() or not any(ord(sign) < 32 or 127 <= ord(sign) < 160 for sign in line)
    assert "\n" not in line
    assert "\x1b" not in line


def test_a_list_is_cut_only_when_it_is_long() -> None:
    assert enumerated(["a", "b"], 2) == "a; b"
    assert enumerated(["a", "b", "c"], 2) == "a; b; and 1 more"
