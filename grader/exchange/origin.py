"""A small file in the folder of results that remembers which rubric and exports they came from. Nothing personal is in it."""

from __future__ import annotations

import json
import os
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from grader.errors import GraderError

ORIGIN_FILE = "homework.toml"


@dataclass(frozen=True)
class Origin:
    """The title of a homework and the files its results came from; ``rubric`` is None where it was not remembered."""

    title: str = ""
    rubric: Path | None = None
    exports: tuple[Path, ...] = ()


def origin_file(folder: Path, title: str, rubric: Path | None, exports: Iterable[Path]) -> bytes:
    """The content of the file. Paths are relative to the folder, so that a homework may be moved as a whole."""
    lines = [
        "# What these results came from. Paths start from this folder.",
        f"title = {_quoted(title)}",
        *([f"rubric = {_quoted(_from(folder, rubric))}"] if rubric else []),
        "exports = [",
        *(f"    {_quoted(_from(folder, path))}," for path in dict.fromkeys(exports)),
        "]",
        "",
    ]
    return "\n".join(lines).encode("utf-8", errors="replace")


def recall(folder: Path) -> Origin:
    """What the folder remembers; an empty Origin where it has no such file. Raises GraderError for a damaged one."""
    path = folder / ORIGIN_FILE
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Origin()
    except (OSError, ValueError) as error:
        raise GraderError(
            f"{path} cannot be read; run grader mark again, or remove it and name the rubric with --rubric."
        ) from error
    rubric, exports = table.get("rubric"), table.get("exports")
    return Origin(
        str(table.get("title", "")),
        folder / rubric if isinstance(rubric, str) else None,
        tuple(folder / each for each in exports if isinstance(each, str)) if isinstance(exports, list) else (),
    )


def _from(folder: Path, path: Path) -> str:
    try:
        return Path(os.path.relpath(path.resolve(), folder.resolve())).as_posix()
    except ValueError:  # another drive: there is no way from here to there
        return path.resolve().as_posix()


def _quoted(text: str) -> str:
    """A TOML basic string: JSON's escapes are a part of TOML's, but DEL must be escaped too."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
