"""Small tables of names over values: ``A;B;C`` and on the next line ``40,0°;75,5°;64,5°``."""

from __future__ import annotations

import re

from grader.notation.records import sort_of_name
from grader.notation.units import find_unit

MOST_COLUMNS = 6
LONGEST_LINE = 120
"""Of a small table; longer lines are working, and long blanks in them cost time."""

_SEPARATORS = tuple(map(re.compile, (r"\s*\|\s*", r"\s*\t\s*", r"\s*;\s*", r"\s*,\s*", r"\s{2,}", r"\s")))
"""What parts the columns: the first of these that the line of names has."""

_RULE = re.compile(r"[-=+|:\s─━┼]*")
_NAME = re.compile(
    r"(?:side |angle |∠ ?)?(?P<name>[^\W\d]\w{0,11})(?: ?[(\[/] ?(?P<unit>[A-Za-z°][\w°/·^-]*) ?[)\]]?)?"
)
_VALUE = re.compile(r"[-+−]?[\d.√][^=;\n]*")


_BULLET = re.compile(r" *(?:[-–—*·] +(?=[A-Za-zθφα-γ|∠])|[•▪◦‣●○] *)")
"""A dash is one before a word alone: before a number it is a minus sign."""


def without_bullets(text: str) -> str:
    """The lines of a list without the marks before them, where every line has one.

    >>> without_bullets("- magnitude 206 lb\\n- direction 18°"), without_bullets("- 5\\n- 3"), without_bullets("• 5 N\\n• 3 N")
    ('magnitude 206 lb\\ndirection 18°', '- 5\\n- 3', '5 N\\n3 N')
    """
    lines = [line for line in text.split("\n") if line.strip()]
    found = [_BULLET.match(line) for line in lines]
    if len(lines) < 2 or None in found:
        return text
    return "\n".join(line[match.end() :] for line, match in zip(lines, found, strict=True) if match)


def with_names_beside(text: str) -> str:
    """The table with each name beside its value; any other text as it stands.

    >>> with_names_beside("A;B\\n40,0°;75,5°"), with_names_beside("x (m) | y (m)\\n3.5 | -2.0")
    ('A = 40,0°; B = 75,5°', 'x = 3.5 m; y = -2.0 m')
    """
    lines = [line.strip(" |") for line in text.split("\n") if _RULE.fullmatch(line) is None]
    if len(lines) != 2 or any(map(str.isdigit, lines[0])):
        return text
    heads, values = lines
    if max(map(len, lines)) > LONGEST_LINE:
        return text
    separator = next((one for one in _SEPARATORS if one.search(heads.strip()) is not None), None)
    if separator is None:
        return text
    names = [_NAME.fullmatch(head) for head in separator.split(heads.strip())]
    cells = separator.split(values.strip())
    if not len(names) == len(cells) <= MOST_COLUMNS:
        return text
    parts: dict[str, str] = {}
    for name, cell in zip(names, cells, strict=True):
        if name is None or not sort_of_name(name["name"]) or name["name"].upper() in ("N", "S", "E", "W"):
            return text
        if _VALUE.fullmatch(cell) is None or (name["unit"] and find_unit(name["unit"]) is None):
            return text
        bare = bool(name["unit"]) and cell[-1].isdigit()
        parts[name["name"]] = f"{cell} {name['unit']}" if bare else cell
    if len(parts) < len(names):
        return text
    return "; ".join(f"{name} = {cell}" for name, cell in parts.items())
