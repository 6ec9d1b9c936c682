"""The key: each problem with its answer and its working, in the words that the terminal and the workbook share."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from grader.exchange.cells import counted, listed
from grader.marking.definitions import Rubric
from grader.methods.part_names import part_name
from grader.methods.problem import Problem
from grader.methods.solution import PartKey, Solution, Working
from grader.methods.solve import is_angular
from grader.notation.write import decimals_of, write_direction, write_number
from grader.reports.words import amount, mistake_name, one_line

if TYPE_CHECKING:
    from rich.console import Console, Group, RenderableType
    from rich.text import Text

    from grader.marking.prepared import Prepared

CAUTION = "For teaching: not for rigging, lifting or navigation."

_METHOD_NAMES = {"parallelogram": "the parallelogram", "sines and cosines": "the laws of sines and cosines"}
_FORM_WORDS = {"standard position": " in standard position", "true bearing": " as a true bearing"}
_ORDINALS = ("first", "second")
_STEP_WIDTH = 24


def heading(problem: Problem) -> str:
    """``Problem 1 · resultant · 4 points``."""
    return f"Problem {problem.label} · {problem.find} · {_points(sum(problem.points))}"


def statement(problem: Problem) -> tuple[tuple[str, str], ...]:
    """What the problem says, as (label, text): its question and its data, where it has them."""
    rows = (("Question", problem.question), ("Given", problem.given_text), ("Formula", problem.formula))
    return tuple((label, text) for label, text in rows if text.strip())


def answer(part: PartKey) -> str:
    """``62.0 N (2 points)``."""
    return f"{part.shown} ({_points(part.points)})"


def remark(part: PartKey, problem: Problem) -> str:
    """What stands behind the printed answer: the exact value, the place asked, and what is accepted, in the form asked.

    An empty text where the answer is that there is none.
    """
    if not math.isfinite(part.value):
        return ""
    decimals = decimals_of(part.place) if part.place > 0 else 1
    form = "standard position" if problem.direction_as == "any" else problem.direction_as
    sign = "°" if is_angular(problem, part.part) else ""

    def said(value: float, places: int) -> str:
        return (
            write_direction(value, form, 10.0**-places) if part.circular else write_number(value, 10.0**-places) + sign
        )

    values = (part.value, *part.others)
    exact = " or ".join(said(value, decimals + 3) for value in values)
    words = _FORM_WORDS.get(form, "") if part.circular else ""
    reach = part.place / 2 + part.spread
    if part.circular and form == "true bearing":
        reach = -reach  # bearings grow clockwise
    ranges = [(said(value - reach, decimals + 1), said(value + reach, decimals + 1)) for value in values]
    accepted = " or ".join(f"from {low} to {high}" for low, high in ranges)
    return f"{exact}{words}, asked to {part.place:g}{sign}; accepted {accepted}"


def method_titles(workings: Sequence[Working]) -> tuple[str, ...]:
    """A title for each working: which method it is, and whether the problem asks for it or it is there as a check.

    Two workings by one method belong to the two triangles that fit the data.
    """
    often = Counter(working.method for working in workings)
    seen: Counter[str] = Counter()
    titles = []
    for working in workings:
        title = f"By {method_name(working.method)}"
        if often[working.method] > 1:
            title = f"The {_ORDINALS[min(seen[working.method], 1)]} triangle, by {method_name(working.method)}"
        seen[working.method] += 1
        titles.append(title if working.asked else f"{title} (not asked for: a check)")
    return tuple(titles)


def key_text(solutions: Sequence[Solution], rubric: Rubric, reveal: Mapping[str, Sequence[str]] | None = None) -> Group:
    """The key for a rich console, which leaves colour and frames out where its output is piped.

    ``reveal`` says for each problem's label what these numbers can and cannot reveal, a sentence each.
    """
    from rich.console import Group
    from rich.text import Text

    opening: list[RenderableType] = []
    if rubric.settings.title:
        opening.append(Text(one_line(rubric.settings.title), style="bold"))
    points = sum(sum(solution.problem.points) for solution in solutions)
    opening.append(Text(f"{counted(len(solutions), 'problem')}, {_points(points)}. {CAUTION}", style="dim"))
    opening.extend(_note(warning) for warning in rubric.warnings)
    problems = (_problem(each, (reveal or {}).get(each.problem.label, ())) for each in solutions)
    return Group(*opening, *problems)


def print_key(
    console: Console,
    solutions: Sequence[Solution],
    rubric: Rubric,
    reveal: Mapping[str, Sequence[str]] | None = None,
) -> None:
    """Print the key on a console."""
    console.print(key_text(solutions, rubric, reveal), highlight=False)


def print_suggestions(console: Console, rubric: Rubric, suggestions: Mapping[str, str]) -> None:
    """Print what can be changed in the column Given, and for which problems nothing better was found.

    ``suggestions`` has a sentence for each problem's label, empty where there is none.
    """
    from rich.text import Text

    given = {problem.label: problem.given_text for problem in rubric.problems}
    better = {label: said for label, said in suggestions.items() if said}
    for label, said in better.items():
        console.print(Text(f"Problem {label}", style="bold cyan"))
        console.print(_pairs([("now", one_line(given[label])), ("better", one_line(said))]))
    if not better:
        console.print("No numbers near those given reveal more mistakes, in any problem.", highlight=False)
    elif len(better) < len(suggestions):
        others = [label for label in suggestions if label not in better]
        problems = f"problem{'s' if len(others) > 1 else ''} {listed(others, 'and')}"
        console.print(Text(f"For {problems} no numbers near those given reveal more."))


def _problem(solution: Solution, reveal: Sequence[str]) -> Group:
    from rich.console import Group
    from rich.text import Text

    blocks: list[RenderableType] = [Text(), Text(heading(solution.problem), style="bold cyan")]
    said = [(label, one_line(text)) for label, text in statement(solution.problem)]
    if solution.none:
        said.append(("Answer", solution.none))
    blocks.append(_pairs(said))
    if solution.parts:
        problem = solution.problem
        rows = [
            (f"Answer: {part_name(problem.find, part.part)}", answer(part), remark(part, problem))
            for part in solution.parts
        ]
        blocks.append(_answers(rows))
    blocks.extend(_note(warning) for warning in solution.warnings)
    for title, working in zip(method_titles(solution.workings), solution.workings):
        blocks += [Text(), Text(f"  {title}", style="bold")]
        blocks.append(_pairs([(line.step, line.text) for line in working.lines], width=_STEP_WIDTH))
    if reveal:
        blocks += [Text(), Text("  What these numbers can reveal", style="bold")]
        blocks.append(_pairs([("•", sentence) for sentence in reveal], width=1))
    return Group(*blocks)


def _pairs(rows: Iterable[tuple[str, str]], width: int | None = None) -> RenderableType:
    """Labels and texts in two columns without a frame; long texts wrap within theirs."""
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    grid = Table.grid(padding=(0, 2))
    grid.add_column(max_width=width, min_width=8 if width is None else None)
    grid.add_column()
    for label, text in rows:
        grid.add_row(Text(label, style="dim"), Text(text))
    return Padding(grid, (0, 0, 0, 4))


def _answers(rows: Iterable[tuple[str, str, str]]) -> RenderableType:
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    grid = Table.grid(padding=(0, 2))
    for label, shown, behind in rows:
        grid.add_row(Text(label, style="dim"), Text.assemble((shown, "bold"), "\n" if behind else "", (behind, "dim")))
    return Padding(grid, (0, 0, 0, 4))


def _note(sentence: str) -> Text:
    from rich.text import Text

    return Text(f"  ! {one_line(sentence)}", style="yellow")


def _points(points: float) -> str:
    return f"{amount(points)} {'point' if points == 1 else 'points'}"


def method_name(method: str) -> str:
    """What a sentence calls a method: *by* ``the parallelogram``, ``components``, ``the laws of sines and cosines``."""
    return _METHOD_NAMES.get(method, method)


def print_mistakes(console: Console, rubric: Rubric) -> None:
    """Print, problem by problem, the answers that each single mistake would lead to, to the places asked."""
    from rich.table import Table

    from grader.marking.mark import prepare

    for label, prepared in prepare(rubric).items():
        led = _where_mistakes_lead(prepared)
        if not led:
            continue
        table = Table(title=f"Problem {label}: where mistakes lead", title_justify="left", box=None, pad_edge=False)
        table.add_column("Mistake", overflow="fold")
        for part in prepared.solved.solution.parts:
            table.add_column(part_name(prepared.problem.find, part.part), justify="right")
        table.add_column("By")
        for mistake, answers in led.items():
            for place, (shown, methods) in enumerate(answers.items()):
                table.add_row("" if place else mistake_name(mistake), *shown, ", ".join(methods))
        console.print(table, highlight=False)
        console.print()


def _where_mistakes_lead(prepared: Prepared) -> dict[str, dict[tuple[str, ...], dict[str, None]]]:
    """Mistake → the answers it leads to, each as shown and once → the methods in which it does."""
    from grader.marking.reveal import SECOND_MISSED, second_triangle_shows
    from grader.methods.solve import show

    variants, solution = prepared.singles, prepared.solved.solution
    led: dict[str, dict[tuple[str, ...], dict[str, None]]] = {}

    def add(mistake: str, values: Sequence[float], method: str) -> None:
        shown = tuple(
            "–" if math.isnan(value) else show(prepared.problem, part.part, value, part.place, prepared.solved.unit)
            for part, value in zip(solution.parts, values)
        )
        led.setdefault(mistake, {}).setdefault(shown, {})[method] = None

    for i, way in enumerate(variants.ways):
        add(way.name, [float(variants.values[part.part][i]) for part in solution.parts], way.method)
    if second_triangle_shows(prepared):
        triangles = zip(*((part.value, *part.others) for part in solution.parts))
        for values, working in zip(triangles, solution.workings):
            add(SECOND_MISSED, values, working.method)
    return led
