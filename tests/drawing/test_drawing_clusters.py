"""What a class wrote: gathered into clusters from the marks, and drawn as dots with the mistakes that land there."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.marking.mark import COLUMNS
from grader.methods.solve import Solved
from grader.reports.drawing import Cluster, cluster_picture, clusters_of, left_out
from grader.reports.words import mistake_name
from tests.drawing.seen import Seen, numbers_in, overlapping
from tests.posed import handed_in, posed, ready, solved

RESULTANT = posed("resultant", "45 N at 20°; 30 N at 310°", unit="N", direction_as="standard position")
NAN = math.nan


def marked(answers: dict[str, dict[str, str] | str], problem: Any = RESULTANT) -> tuple[pd.DataFrame, Solved]:
    """The marks of a small class: name → what was handed in."""
    prepared = ready(problem)
    rows = []
    for name, answer in answers.items():
        for mark in handed_in(prepared, answer).values():
            row = {
                "student_id": f"S-{name}",
                "name": name,
                "section": "A",
                "problem": problem.label,
                "decided": "",
                "attempt": "",
            }
            rows.append(row | {f: getattr(mark, f) for f in mark.__dataclass_fields__})
    return pd.DataFrame(rows, columns=list(COLUMNS)), prepared.solved


def answer(magnitude: str, direction: str) -> dict[str, str]:
    return {"magnitude": magnitude, "direction": direction}


CLASS = {
    "Ada": answer("62.0 N", "353.0"),
    "Ben": answer("62.0 N", "353.0"),
    "Chiamaka": answer("62.04 N", "352.97"),
    "Dag": answer("62.0 N", "7.0"),
    "Esi": answer("62.0 N", "7.0"),
    "Femi": answer("44.7 N", "59.1"),
    "Gül": answer("3848 N", "353.0"),
    "Hana": answer("", "353.0"),
    "Ivo": answer("75 N", ""),
    "Jun": answer("", ""),
    "Kai": answer("13.3 N", "211.4"),
}  # fmt: skip


def test_equal_answers_are_one_cluster_and_all_right_ones_are_one() -> None:
    marks, one = marked(CLASS)
    clusters = clusters_of(marks, one)
    assert clusters[0].count == 3
    assert clusters[0].good
    assert clusters[0].students == ("Ada", "Ben", "Chiamaka")
    assert clusters[0].ids == ("S-Ada", "S-Ben", "S-Chiamaka")
    together = [c for c in clusters if "Dag" in c.students]
    assert [c.students for c in together] == [("Dag", "Esi")]
    assert sum(c.count for c in clusters) == len(CLASS) - 1
    assert left_out(marks, one) == {"blank": 1}


def test_a_cluster_bears_the_plain_name_of_its_mistake() -> None:
    marks, one = marked(CLASS)
    for cluster in clusters_of(marks, one):
        assert cluster.label == (
            mistake_name(cluster.mistake) if cluster.mistake else "right" if cluster.good else cluster.label
        )
    femi = next(c for c in clusters_of(marks, one) if c.students == ("Femi",))
    assert femi.mistake
    kai = next(c for c in clusters_of(marks, one) if c.students == ("Kai",))
    assert (kai.mistake, kai.label) == ("", "")


def test_half_answers_have_a_direction_or_a_length_alone() -> None:
    marks, one = marked(CLASS)
    kinds = {c.students[0]: c.kind for c in clusters_of(marks, one)}
    assert kinds["Hana"] == "direction"
    assert kinds["Ivo"] == "magnitude"
    assert kinds["Femi"] == "tip"


def test_the_order_of_the_marks_does_not_matter() -> None:
    marks, one = marked(CLASS)
    assert clusters_of(marks.sample(frac=1.0, random_state=7), one) == clusters_of(marks, one)


def test_triangles_give_a_cluster_for_each_part() -> None:
    problem = posed("triangle", "a=12; c=17; A=35°")
    marks, one = marked(
        {"Ada": {"b": "20.9", "B": "90.7", "C": "54.3"}, "Ben": {"b": "6.9", "B": "19.3", "C": "125.7"}}, problem
    )
    clusters = clusters_of(marks, one)
    assert {c.part for c in clusters} == {"b", "B", "C"}
    picture = cluster_picture(one, clusters)
    assert "b = 20.9" in picture.text


def test_every_answer_is_a_dot_at_its_tip() -> None:
    marks, one = marked(CLASS)
    clusters = clusters_of(marks, one)
    seen = Seen(cluster_picture(one, clusters, who=True).svg)
    dots = [e for e in seen.root.iter() if e.get("class") == "vd-dot"]
    assert len(dots) == len(clusters)
    assert sorted(int(d.attrib["data-count"]) for d in dots) == sorted(c.count for c in clusters)
    tail, tip = seen.arrow("right")
    scale = math.dist(tail, tip) / one.solution.part("magnitude").value
    femi = next(d for d in dots if "S-Femi" in d.attrib["data-students"])
    circle = next(e for e in femi.iter() if e.tag.endswith("circle"))
    x, y = float(circle.attrib["cx"]) - tail[0], tail[1] - float(circle.attrib["cy"])
    assert math.hypot(x, y) / scale == pytest.approx(44.7, abs=0.3)
    assert math.degrees(math.atan2(y, x)) == pytest.approx(59.1, abs=0.3)


def test_the_area_of_a_dot_is_in_proportion_to_its_count() -> None:
    one = solved("resultant", "45 N at 20°; 30 N at 310°")
    points = [Cluster(x=10.0 * k, y=20.0, count=count) for k, count in enumerate((1, 4, 9, 25))]
    seen = Seen(cluster_picture(one, points).svg)
    radii = sorted(float(e.attrib["r"]) for e in seen.root.iter() if e.get("class") == "vd-mark dot-open")
    assert [r / radii[0] for r in radii] == pytest.approx([1.0, 2.0, 3.0, 5.0], rel=0.01)


def test_what_nothing_explains_is_hollow_and_bears_no_label() -> None:
    marks, one = marked(CLASS)
    seen = Seen(cluster_picture(one, clusters_of(marks, one), who=True).svg)
    kai = next(e for e in seen.root.iter() if "S-Kai" in e.get("data-students", ""))
    assert any(e.get("class") == "vd-mark dot-open" for e in kai.iter())
    assert kai.attrib["data-mistake"] == ""


def test_far_answers_come_to_the_edge_and_are_named_below() -> None:
    marks, one = marked(CLASS)
    picture = cluster_picture(one, clusters_of(marks, one))
    seen = Seen(picture.svg)
    assert len([e for e in seen.root.iter() if e.get("data-beyond")]) == 1
    notes = " ".join(t.text for t in seen.texts() if "t-note" in t.kind)
    assert "3848 N" in notes


def test_dots_that_lie_on_each_other_have_one_label() -> None:
    _, one = marked(CLASS)

    def words(*clusters: Cluster) -> str:
        return " ".join(t.text for t in Seen(cluster_picture(one, clusters).svg).texts() if "t-note" not in t.kind)

    first = Cluster(-20.0, 30.0, count=3, label="lengths simply added", mistake="lengths-added")
    tied = replace(first, count=2, mistake="lengths-added / not-reversed")
    other = replace(first, count=2, label="square root not taken", mistake="root-not-taken")
    assert "5 × lengths simply added" in words(first, tied)
    assert "3 × lengths simply added; 2 × square root not taken" in words(first, other)
    apart = words(first, replace(other, x=30.0))
    assert ";" not in apart
    assert "2 × square root not taken" in apart


def test_a_direction_alone_lies_on_the_ring() -> None:
    marks, one = marked(CLASS)
    seen = Seen(cluster_picture(one, clusters_of(marks, one), who=True).svg)
    (ring,) = seen.named("ring")
    hana = next(e for e in seen.root.iter() if "S-Hana" in e.get("data-students", ""))
    circle = next(e for e in hana.iter() if e.tag.endswith("circle"))
    dx = float(circle.attrib["cx"]) - float(ring.attrib["cx"])
    dy = float(ring.attrib["cy"]) - float(circle.attrib["cy"])
    assert math.hypot(dx, dy) == pytest.approx(float(ring.attrib["r"]), abs=0.2)
    assert math.degrees(math.atan2(dy, dx)) % 360 == pytest.approx(353.0, abs=0.4)


def test_students_are_named_for_the_teacher_alone() -> None:
    marks, one = marked(CLASS)
    clusters = clusters_of(marks, one)
    plain, named = cluster_picture(one, clusters), cluster_picture(one, clusters, who=True)
    for name in CLASS:
        assert name not in plain.svg
        assert name not in plain.text
        if name != "Jun":
            assert name in named.svg
    seen = Seen(named.svg)
    assert all(d.get("tabindex") == "0" and d.get("aria-label") for d in seen.root.iter() if d.get("class") == "vd-dot")
    assert seen.root.get("role") == "group"
    assert Seen(plain.svg).root.get("role") == "img"


def test_the_text_tells_every_cluster() -> None:
    marks, one = marked(CLASS)
    picture = cluster_picture(one, clusters_of(marks, one), absent=1)
    assert "3 answers at 62 N, 353°: right" in picture.text
    assert {"44.7", "59.1", "13.3", "211.4", "3848"} <= numbers_in(picture.text)
    assert "1 student wrote no number" in picture.text


def test_a_class_that_wrote_nothing_still_has_a_picture() -> None:
    one = solved("resultant", "45 N at 20°; 30 N at 310°")
    assert "right answer" in cluster_picture(one, []).svg
    assert cluster_picture(solved("triangle", "a=12; c=17; A=35°"), []).svg.startswith("<svg")
    assert cluster_picture(solved("triangle", "a=5; b=12; A=60°"), []).svg.startswith("<svg")


def test_hostile_names_and_mistakes_stay_text() -> None:
    one = solved("resultant", "45 N at 20°; 30 N at 310°")
    bad = 'x"/><script>alert(1)</script>\u202e\x01@1@'
    point = Cluster(x=1.0, y=2.0, count=2, label=bad, mistake=bad, students=(bad, bad), ids=(bad, "b"))
    svg = cluster_picture(one, [point], who=True).svg
    tags = {e.tag.partition("}")[2] for e in Seen(svg).root.iter()}
    assert "script" not in tags
    assert "\u202e" not in svg


KINDS = st.one_of(
    st.builds(lambda m, d: {"x": m * math.cos(d), "y": m * math.sin(d)}, st.floats(0, 900), st.floats(0, 6.28)),
    st.builds(lambda d: {"direction": d}, st.floats(0, 359.9)),
    st.builds(lambda m: {"magnitude": m}, st.floats(0, 500)),
)
LABELS = st.sampled_from(
    ["", "supplement of the angle not taken; or plus for minus in the law of cosines", "calculator in radians"]
)


@settings(max_examples=80, deadline=None)
@given(st.lists(st.tuples(KINDS, st.integers(1, 60), LABELS), max_size=25), st.booleans())
def test_any_class_is_drawn_readably(written: list[tuple[dict[str, float], int, str]], who: bool) -> None:
    one = solved("resultant", "45 N at 20°; 30 N at 310°", direction_as="true bearing")
    points = [Cluster(count=count, label=label, mistake=label, **place) for place, count, label in written]
    points.append(Cluster(x=61.6, y=-7.6, count=30, verdict="right", label="right"))
    seen = Seen(cluster_picture(one, points, who=who).svg)
    left, top, right, bottom = seen.reach()
    assert min(left, top) >= 0
    assert right <= seen.width
    assert bottom <= seen.height
    assert overlapping(seen.texts()) == []


def test_thousands_of_students_make_a_picture_of_bounded_size() -> None:
    marks, one = marked({f"N{k}": answer(f"{k % 97}.{k % 10} N", f"{(k * 37) % 360}") for k in range(300)})
    many = pd.concat(
        [marks.assign(student_id=marks["student_id"] + f"-{k}", name=marks["name"] + f" {k}") for k in range(10)]
    )
    clusters = clusters_of(many, one)
    assert sum(c.count for c in clusters) == 3000
    plain = cluster_picture(one, clusters)
    assert len(plain.svg) < 200_000


def test_joining_keeps_the_place_that_most_wrote() -> None:
    marks, one = marked({"A": answer("62.1", "7.0"), "B": answer("62.1", "7.0"), "C": answer("62.2", "7.1")})
    for cluster in clusters_of(marks, one):
        if "A" in cluster.students:
            assert math.hypot(cluster.x, cluster.y) == pytest.approx(62.1)


def test_a_cluster_is_a_value() -> None:
    one = Cluster(x=1.0, y=2.0)
    assert replace(one, count=2).kind == "tip"
    assert Cluster(part="value", value=3.0).kind == "number"
    assert Cluster(x=3.0).kind == "half"
    assert math.isnan(one.direction)
