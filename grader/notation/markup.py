"""Left-overs of mark-up in an answer: HTML tags, and MathML from an equation editor, as plain notation."""

from __future__ import annotations

import html
import re
from collections.abc import Callable

MAX_NESTING = 12
"""Deeper nesting than any answer has; what lies deeper is left as it stands and will not be read."""

_TAG = re.compile(
    r"""
    < (?P<close> / )?
      (?P<name> p | br | div | span | b | i | em | ins | strong | sup | sub | u | font
              | table | tbody | tr | td | th | li | ul | ol
              | s | del | strike | pre | code | small | big | o:p | center | h[1-6] | a | mark | tt
              | (?:[a-z]{1,6}:)?
                (?: math | semantics | annotation(?:-xml)?
                  | m(?:row|n|i|o|table|tr|td|frac|sqrt|root|sup|sub|subsup|text|space|style|fenced|over|under|padded|stack) ) )
      (?P<rest> \s[^<>]{0,200} )? \s* (?P<empty> / )? \s*
    >
    """,
    re.VERBOSE | re.IGNORECASE,
)

_COMMENT = re.compile(r"<!--[^>]*-->")

_CELLS = {"td", "th", "mtd"}
"""Cells of a table: what stands in two of them is never one number."""

_BREAKS = {"mtr", "mtable", "p", "br", "div", "tr", "li", "table", "ul", "ol", "h1", "h2", "h3", "h4", "h5", "h6"}


class _Node:
    """An open element: its name and the texts of its finished children."""

    __slots__ = ("name", "parts")

    def __init__(self, name: str) -> None:
        self.name = name
        self.parts: list[str] = []

    def text(self) -> str:
        return _RENDER.get(self.name, _joined)(self.parts)


def _joined(parts: list[str]) -> str:
    return "".join(parts)


def _children(parts: list[str], count: int) -> list[str]:
    kept = [part for part in parts if part.strip()]
    return kept + [""] * (count - len(kept))


def _fraction(parts: list[str]) -> str:
    above, below = _children(parts, 2)[:2]
    return f"(({above})/({below}))"


def _root(parts: list[str]) -> str:
    inside, order = _children(parts, 2)[:2]
    return f"√({inside})" if order.strip() == "2" else f"({inside})^((1)/({order}))"


def _power(parts: list[str]) -> str:
    base, exponent = _children(parts, 2)[:2]
    return _raised(base, exponent)


def _raised(base: str, exponent: str) -> str:
    exponent = html.unescape(exponent).replace("−", "-")
    if exponent.strip() in ("°", "∘", "º", "o", "0", "⁰", "○"):
        return f"{base}°"
    if exponent.strip() in ("′", "'", "″", '"'):
        return base + exponent
    return f"{base}^({exponent})"


_RENDER: dict[str, Callable[[list[str]], str]] = {
    "mfrac": _fraction,
    "mroot": _root,
    "msqrt": lambda parts: f"√({_joined(parts)})",
    "msup": _power,
    "msub": lambda parts: "_".join(_children(parts, 2)[:2]),
    "mover": lambda parts: _children(parts, 1)[0],
    "munder": lambda parts: _children(parts, 1)[0],
    "mfenced": lambda parts: f"({', '.join(_children(parts, 0))})",
    "mspace": lambda parts: " ",
    "mtext": lambda parts: f" {_joined(parts)} ",
    "annotation": lambda parts: "",
    "annotation-xml": lambda parts: "",
    "s": lambda parts: f"~~{_joined(parts).strip()}~~",
    "del": lambda parts: f"~~{_joined(parts).strip()}~~",
    "strike": lambda parts: f"~~{_joined(parts).strip()}~~",
    "sup": lambda parts: _raised("", _joined(parts)),
    "msubsup": lambda parts: _raised("_".join(_children(parts, 3)[:2]), _children(parts, 3)[2]),
    "sub": lambda parts: f"_{_joined(parts)}",
}


def from_tags(text: str) -> str:
    """The text without its tags; fractions, roots and powers are kept as plain notation.

    >>> from_tags("<math><mfrac><mn>3</mn><mn>4</mn></mfrac></math>")
    '((3)/(4))'
    """
    if "<!--" in text:
        text = _COMMENT.sub("", text)
    stack = [_Node("")]
    position = 0
    for match in _TAG.finditer(text):
        if match.start() > position:
            stack[-1].parts.append(text[position : match.start()])
        position = match.end()
        name = match["name"].lower().rpartition(":")[2]
        if name in _BREAKS:
            stack[-1].parts.append("\n")
        elif name in _CELLS:
            stack[-1].parts.append("\t" if match["close"] else "")
        elif name == "mspace":
            stack[-1].parts.append(" ")
        elif match["close"]:
            _close(stack, name)
        elif not match["empty"] and len(stack) <= MAX_NESTING:
            if name == "mn" and stack[-1].parts and stack[-1].parts[-1][-1:].isdigit():
                stack[-1].parts.append(" ")  # two numbers side by side are not one
            stack.append(_Node(name))
    stack[-1].parts.append(text[position:])
    while len(stack) > 1:
        _close(stack, stack[-1].name)
    return stack[0].text()


def _close(stack: list[_Node], name: str) -> None:
    if not any(node.name == name for node in stack[1:]):
        return
    while len(stack) > 1:
        node = stack.pop()
        stack[-1].parts.append(node.text())
        if node.name == name:
            return
