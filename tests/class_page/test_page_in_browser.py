"""The class page in a real browser: opened from disk with the network off, filtered, printed, reached by keyboard."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from grader.homework import Marked
from grader.reports.class_page.misconceptions import misconceptions
from grader.reports.class_page.turns import people
from grader.reports.statistics import wilson
from grader.reports.summary import as_text

PHONE, DESK = {"width": 360, "height": 740}, {"width": 1440, "height": 900}


@pytest.fixture
def opened(browser: Any, page_file: Path) -> Iterator[Any]:
    """The page at a desk, and everything it complained about or asked the network for."""
    context = browser.new_context(viewport=DESK, offline=True, reduced_motion="reduce")
    tab = context.new_page()
    tab.complaints = []
    tab.on(
        "console", lambda message: tab.complaints.append(message.text) if message.type in ("error", "warning") else None
    )
    tab.on("pageerror", lambda error: tab.complaints.append(str(error)))
    tab.on("request", lambda request: None if request.url.startswith("file:") else tab.complaints.append(request.url))
    tab.goto(page_file.as_uri())
    yield tab
    context.close()


def _shown(tab: Any) -> list[str]:
    return tab.eval_on_selector_all(".turn", "all => all.filter(e => !e.hidden).map(e => e.id)")


def test_it_opens_from_disk_with_the_network_off_and_without_complaint(opened: Any) -> None:
    assert opened.title() == "Vectors in the harbour: homework 3: the class"
    assert opened.locator("h1").count() == 1
    assert opened.locator(".problem svg").count() == 6
    opened.select_option("#f-section", "A")
    opened.emulate_media(color_scheme="dark")
    opened.emulate_media(media="print")
    assert opened.complaints == []


@pytest.mark.parametrize("size", [PHONE, {"width": 320, "height": 600}, DESK], ids=["phone", "narrow phone", "desk"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_runs_out_of_the_window(opened: Any, size: dict[str, int], scheme: str) -> None:
    opened.set_viewport_size(size)
    opened.emulate_media(color_scheme=scheme)
    assert opened.evaluate("document.documentElement.scrollWidth") <= size["width"]


def test_the_section_filter_counts_that_section_alone(opened: Any, marked: Marked) -> None:
    table = as_text(marked.marks)
    _, sections = people(table)
    found = {f"turn-{place}": each for place, each in enumerate(misconceptions(table, sections), start=1)}
    opened.select_option("#f-section", "B")
    shown = _shown(opened)
    assert set(shown) == {
        anchor for anchor, each in found.items() if any(sections[student] == "B" for student in each.students)
    }
    for anchor in shown:
        words = opened.locator(f"#{anchor} .count .in-words")
        if not words.count():
            continue
        here = next(count for count in found[anchor].by_section if count.of == "B")
        interval = wilson(here.count, here.answered)
        numbers = [int(number) for number in re.findall(r"\d+", words.inner_text())]
        expected = [here.count, here.answered, here.share * 100, interval.low * 100, interval.high * 100]
        assert numbers[:2] == expected[:2]
        assert numbers[2:] == pytest.approx(expected[2:], abs=0.51)
    names = opened.locator(".turn li:visible").count()
    assert names == sum(sum(sections[student] == "B" for student in each.students) for each in found.values())
    assert "section B" in opened.locator("#shown").inner_text()


def test_the_problem_filter_leaves_that_problem_and_its_wrong_turns(opened: Any, marked: Marked) -> None:
    table = as_text(marked.marks)
    _, sections = people(table)
    found = misconceptions(table, sections)
    opened.select_option("#f-problem", "3")
    assert opened.locator(".problem:visible").count() == 1
    assert len(_shown(opened)) == sum(any(count.of == "3" for count in each.by_problem) for each in found)


def test_the_filters_leave_the_students_concerned(opened: Any, marked: Marked) -> None:
    table = as_text(marked.marks)
    names, sections = people(table)
    found = misconceptions(table, sections)
    rows = "#students tbody tr:visible th"
    opened.locator("#students summary").click()
    everyone = opened.locator(rows).all_inner_texts()
    assert set(everyone) == {names[student] for each in found for student in each.students}
    opened.select_option("#f-turn", "turn-1")
    opened.select_option("#f-section", "B")
    assert set(opened.locator(rows).all_inner_texts()) == {
        names[student] for student in found[0].students if sections[student] == "B"
    }
    opened.get_by_role("button", name="Show everything").click()
    opened.get_by_text("Everything is shown.", exact=True).wait_for()
    opened.select_option("#f-problem", "3")
    assert set(opened.locator(rows).all_inner_texts()) == {
        names[student] for each in found for student, labels in each.problems_of.items() if "3" in labels
    }


def test_one_wrong_turn_alone_and_back_to_everything(opened: Any) -> None:
    everything = _shown(opened)
    before = opened.locator("#turns").inner_text()
    opened.select_option("#f-turn", "turn-1")
    assert _shown(opened) == ["turn-1"]
    opened.get_by_role("button", name="Show everything").click()
    opened.get_by_text("Everything is shown.", exact=True).wait_for()
    assert _shown(opened) == everything
    assert opened.locator("#turns").inner_text() == before


def test_a_filter_that_leaves_nothing_says_so(opened: Any) -> None:
    opened.select_option("#f-turn", "turn-1")
    hidden = opened.evaluate(
        """() => { const problems = [...document.querySelectorAll('.problem')];
        return problems.find(e => !e.dataset.turns.split(' ').includes('turn-1'))?.dataset.problem; }"""
    )
    assert hidden, "the first wrong turn of the sample is not made in every problem"
    opened.select_option("#f-problem", hidden)
    assert _shown(opened) == []
    assert opened.locator("#none").is_visible()


def test_a_link_to_a_hidden_wrong_turn_shows_it_again(opened: Any) -> None:
    opened.select_option("#f-turn", "turn-2")
    opened.locator(".lessons h3 a[href='#turn-1']").click()
    opened.locator("#turn-1").wait_for(state="visible")
    assert opened.locator("#f-turn").input_value() == ""


def test_the_keyboard_reaches_everything(opened: Any) -> None:
    """Every link, control, fold and dot of a picture gets the focus by the tab key, in the order of the page."""
    wanted = opened.evaluate(
        """() => [...document.querySelectorAll('a[href], button, select, summary, .vd-dot, .scroll')]
        .filter(e => e.checkVisibility()).map((e, i) => { e.dataset.stop = i; return i; })"""
    )
    reached = []
    for _ in range(len(wanted) + 5):
        opened.keyboard.press("Tab")
        stop = opened.evaluate("document.activeElement.dataset.stop")
        if stop is None:
            continue
        reached.append(int(stop))
        if int(stop) == wanted[-1]:
            break
    assert reached == wanted


def test_the_focus_can_be_seen(opened: Any) -> None:
    opened.keyboard.press("Tab")
    skip = opened.locator(".skip")
    assert skip.bounding_box()["x"] >= 0
    opened.keyboard.press("Enter")
    assert opened.evaluate("document.activeElement.id") == "tomorrow"
    opened.locator("nav a").first.focus()
    assert opened.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    opened.locator(".vd-dot").first.focus()
    style = "getComputedStyle(document.activeElement.querySelector('.vd-mark')).strokeWidth"
    assert float(opened.evaluate(style).removesuffix("px")) > 3


def test_a_dot_tells_who_when_it_has_the_focus(opened: Any) -> None:
    dot = opened.locator(".vd-dot").first
    who = dot.locator(".vd-who")
    assert who.evaluate("e => getComputedStyle(e).opacity") == "0"
    dot.focus()
    assert who.evaluate("e => getComputedStyle(e).opacity") == "1"


def test_the_filters_work_by_keyboard_alone(opened: Any) -> None:
    opened.locator("#f-problem").focus()
    opened.keyboard.type("4")
    assert opened.locator("#f-problem").input_value() == "4"
    assert opened.locator(".problem:visible").count() == 1


@pytest.mark.parametrize(("paper", "width", "height"), [("A4", 210, 297), ("Letter", 215.9, 279.4)])
def test_it_fits_on_paper(opened: Any, paper: str, width: float, height: float) -> None:
    pypdf = pytest.importorskip("pypdf", reason="needs the Python package pypdf")
    document = pypdf.PdfReader(io.BytesIO(opened.pdf(format=paper, prefer_css_page_size=False)))
    millimetre = 72 / 25.4
    box = document.pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((width * millimetre, height * millimetre), abs=1.5)
    assert len(document.pages) <= 14, "two pages for each of six problems, and two for the rest"
    text = "\n".join(page.extract_text() for page in document.pages)
    assert "Tomorrow" in text
    assert "Show everything" not in text
    # Nothing is cut at the right: laid out at the width inside the margins, nothing is wider than that.
    opened.emulate_media(media="print", color_scheme="dark")
    inside = int((width - 30) / 25.4 * 96)
    opened.set_viewport_size({"width": inside, "height": 1000})
    wide = opened.evaluate(
        """(inside) => [...document.querySelectorAll('body *')].filter(e => e.checkVisibility() && !e.closest('svg')
        && e.getBoundingClientRect().right > inside + 1).map(e => e.tagName + '.' + e.className)""",
        inside,
    )
    assert wide == []
    # Paper is white whatever the screen prefers.
    assert opened.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(252, 251, 247)"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_axe_finds_nothing(opened: Any, axe: str, scheme: str, size: dict[str, int]) -> None:
    """axe-core with the rules of WCAG 2.0 to 2.2, A and AA, and its best practices."""
    opened.set_viewport_size(size)
    opened.emulate_media(color_scheme=scheme)
    opened.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
    opened.evaluate(axe)
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    result = opened.evaluate("tags => axe.run(document, {runOnly: tags})", tags)
    found = [
        (each["id"], each["help"], [node["html"][:160] for node in each["nodes"][:3]]) for each in result["violations"]
    ]
    assert found == [], json.dumps(found, indent=1)
    assert len(result["passes"]) > 20


def test_the_page_serves_without_its_script(browser: Any, page_file: Path) -> None:
    context = browser.new_context(java_script_enabled=False, offline=True)
    tab = context.new_page()
    tab.goto(page_file.as_uri())
    assert tab.locator(".turn >> visible=true").count() > 10
    assert not tab.locator("#choose").is_visible()
    context.close()
