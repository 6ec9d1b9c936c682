"""Imports run one way, from the values up to the commands, and ``grader --help`` loads nothing heavy."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "grader"

LAYERS = (
    ("errors",),
    ("notation",),
    ("methods",),
    ("mistakes",),
    ("marking",),
    ("exchange",),
    ("rubric",),
    ("history",),
    ("reports",),
    ("mail",),
    ("course",),
    ("homework",),
    ("mail.command", "cli"),
)
"""What a file may import: its own layer and those before it. The command of a package is a part of the command line."""

HEAVY = {"jinja2", "numpy", "openpyxl", "pandas", "rich"}


@dataclass(frozen=True)
class Import:
    """One name that a file imports: the module it comes from, and whether the interpreter meets it when the file loads."""

    module: str
    line: int
    at_start: bool
    for_types: bool


def modules() -> dict[str, Path]:
    """Every module of the package by its dotted name."""
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


MODULES = modules()


def imports(name: str) -> tuple[Import, ...]:
    """Everything that a module imports, inside functions and for type checkers too."""
    return tuple(_imports(ast.parse(MODULES[name].read_text(encoding="utf-8")), at_start=True, for_types=False))


def _imports(node: ast.AST, *, at_start: bool, for_types: bool) -> Iterator[Import]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Import):
            yield from (Import(each.name, child.lineno, at_start, for_types) for each in child.names)
        elif isinstance(child, ast.ImportFrom):
            for each in child.names:
                whole = f"{child.module}.{each.name}"
                yield Import(whole if whole in MODULES else str(child.module), child.lineno, at_start, for_types)
        else:
            guard = isinstance(child, ast.If) and ast.unparse(child.test).endswith("TYPE_CHECKING")
            yield from _imports(
                child,
                at_start=at_start and not guard and not isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef),
                for_types=for_types or guard,
            )


def layer(name: str) -> int:
    """The place of a module among the layers: that of its longest name there."""
    inside = name.removeprefix("grader").removeprefix(".")
    places = {each: place for place, names in enumerate(LAYERS) for each in names}
    while inside not in places:
        assert inside, f"{name} belongs to no layer; add it to LAYERS"
        inside = inside.rpartition(".")[0]
    return places[inside]


def own(name: str) -> Iterator[Import]:
    return (each for each in imports(name) if each.module.split(".")[0] == "grader" and each.module != "grader")


@pytest.mark.parametrize("name", [name for name in MODULES if name != "grader"])
def test_no_file_imports_upward(name: str) -> None:
    upward = [f"line {each.line}: {each.module}" for each in own(name) if layer(each.module) > layer(name)]
    assert not upward


def test_no_files_import_each_other_in_a_circle() -> None:
    graph = {name: {each.module for each in own(name) if not each.for_types} - {name} for name in MODULES}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        pytest.fail(" → ".join(error.args[1]))


@pytest.mark.parametrize("name", [name for name in MODULES if name != "grader"])
def test_no_file_takes_what_another_keeps_private(name: str) -> None:
    tree = ast.parse(MODULES[name].read_text(encoding="utf-8"))
    taken = [
        f"line {node.lineno}: {each.name}"
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("grader.")
        for each in node.names
        if each.name.startswith("_")
    ]
    assert not taken


def test_help_loads_nothing_heavy() -> None:
    reached, waiting = set(), ["grader.cli"]
    while waiting:
        name = waiting.pop()
        if name in MODULES and name not in reached:
            reached.add(name)
            # A package's own file is run before any module in it.
            waiting += [each.module for each in imports(name) if each.at_start]
            waiting.append(name.rpartition(".")[0])
    assert {"grader", "grader.cli", "grader.mail.command"} <= reached
    heavy = {
        f"{name}, line {each.line}: {each.module}"
        for name in reached
        for each in imports(name)
        if each.at_start and each.module.split(".")[0] in HEAVY
    }
    assert not heavy
