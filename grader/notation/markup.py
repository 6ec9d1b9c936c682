"""Left-overs of mark-up in an answer: HTML tags, MathML from an equation editor, LaTeX fragments.

Each is turned into plain notation: ``\\frac{3\\pi}{4}`` and its MathML into ``((3π)/(4))``.
"""

from __future__ import annotations

import html
import re

MAX_NESTING = 12
"""Deeper nesting than any answer has; what lies deeper is left as it stands and will not be read."""

_TAG = re.compile(
    r"""
    < (?P<close> / )?
      (?P<name> p | br | div | span | b | i | em | strong | sup | sub | u | font | table | tbody | tr | td | li | ul | ol
              | pre | code | small | big | o:p | center | h[1-6] | a | mark | tt
              | (?:[a-z]{1,6}:)? (?: math | m(?:row|n|i|o|frac|sqrt|root|sup|sub|subsup|text|space|style|fenced|over|under|padded|stack)
                | semantics | annotation(?:-xml)? ) )
      (?P<rest> \s[^<>]{0,200} )? \s* (?P<empty> / )? \s*
    >
    """,
    re.VERBOSE | re.IGNORECASE,
)

_BREAKS = {"p", "br", "div", "tr", "li", "table", "ul", "ol", "h1", "h2", "h3", "h4", "h5", "h6"}


class _Node:
    """An open element: its name and the texts of its finished children."""

    __slots__ = ("name", "parts")

    def __init__(self, name: str) -> None:
        self.name = name
        self.parts: list[str] = []

    def text(self) -> str:
        return _RENDER.get(self.name, "".join)(self.parts)


def _joined(parts: list[str]) -> str:
    return "".join(parts)


def _children(parts: list[str], count: int) -> list[str]:
    kept = [part for part in parts if part.strip()]
    return kept + [""] * (count - len(kept))


def _fraction(parts: list[str]) -> str:
    above, below = _children(parts, 2)[:2]
    return f"(({above})/({below}))"


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


_RENDER = {
    "mfrac": _fraction,
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
    "sup": lambda parts: _raised("", _joined(parts)),
    "sub": lambda parts: f"_{_joined(parts)}",
}


def from_tags(text: str) -> str:
    """The text without its tags; fractions, roots and powers are kept as plain notation.

    >>> from_tags("<math><mfrac><mn>3</mn><mn>4</mn></mfrac></math>")
    '((3)/(4))'
    """
    stack = [_Node("")]
    position = 0
    for match in _TAG.finditer(text):
        if match.start() > position:
            stack[-1].parts.append(text[position : match.start()])
        position = match.end()
        name = match["name"].lower().rpartition(":")[2]
        if name in _BREAKS:
            stack[-1].parts.append("\n")
        elif name == "mspace":
            stack[-1].parts.append(" ")
        elif match["close"]:
            _close(stack, name)
        elif not match["empty"] and len(stack) <= MAX_NESTING:
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


_LATEX_WORDS = {
    "left": "", "right": "", "big": "", "Big": "", "bigl": "", "bigr": "", "Bigl": "", "Bigr": "", "displaystyle": "",
    "text": "", "textrm": "", "mathrm": "", "mathbf": "", "mathit": "", "mbox": "", "rm": "", "bf": "", "boldsymbol": "", "operatorname": "", "mathsf": "", "textbf": "",
    "hat": "", "widehat": "", "vec": "", "overrightarrow": "", "overline": "", "bar": "", "boxed": "", "underline": "", "limits": "",
    "imath": "i", "jmath": "j", "langle": "<", "rangle": ">", "lbrace": "{", "rbrace": "}", "lvert": "|", "rvert": "|", "Vert": "|", "vert": "|", "lVert": "|", "rVert": "|",
    "circ": "°", "degree": "°", "prime": "′", "angle": "∠", "theta": "θ", "phi": "φ", "varphi": "φ", "alpha": "α", "beta": "β", "gamma": "γ", "pi": "π",
    "cdot": "·", "times": "×", "div": "/", "ast": "*", "approx": "≈", "simeq": "≈", "cong": "≈", "sim": "~", "pm": "±", "to": "⇒", "rightarrow": "⇒",
    "Rightarrow": "⇒", "implies": "⇒", "therefore": "⇒", "quad": " ", "qquad": " ", "sqrt": "√", "emptyset": "Ø", "varnothing": "Ø",
    "sin": "sin", "cos": "cos", "tan": "tan", "arctan": "atan", "arcsin": "asin", "arccos": "acos", "newline": "\n", "and": " and ", "lb": "lb", "N": "N",
}  # fmt: skip

_LINES = re.compile(r"\\(?:begin|end)\s*\{\s*(?:aligned|align\*?|gather\*?|gathered|split|equation\*?|eqnarray\*?)\s*\}")
_QUANTITY = re.compile(r"\\(?:qty|SI|num|unit|si|ang)\s*\{([^{}]*)\}(?:\s*\{([^{}]*)\})?")
_LONE_SIGN = re.compile(r"\{\s*([-+.,=])\s*\}")
_ENVIRONMENT = re.compile(r"\\(?:begin|end)\s*\{\s*(?:[pbvBV]?matrix|array|cases|smallmatrix)\s*\}(?:\{[clr| ]{0,9}\})?")
_FRACTION = re.compile(r"\\[dt]?frac\s*(?:\{([^{}]*)\}|(\d))\s*(?:\{([^{}]*)\}|(\d))")
_ROOT = re.compile(r"\\sqrt\s*\{([^{}]*)\}")
_DEGREE_POWER = re.compile(r"\^\s*(?:\{\s*(?:\\circ|\\degree|o|0|°)\s*\}|\\circ|\\degree|°)")
_POWER = re.compile(r"\^\s*\{([^{}]*)\}")
_PRIME_POWER = re.compile(r"\^\s*(?:\{\s*(?:\\prime|')\s*\}|\\prime)")
_SUBSCRIPT = re.compile(r"_\s*\{\s*(?:\\text\s*)?([A-Za-z]*)\s*\}")
_WRAPPED = re.compile(r"\\(?:text|textrm|mathrm|mbox|mathbf|textbf|operatorname|hat|widehat|vec|overrightarrow|overline|boxed|boldsymbol)\s*\{([^{}]*)\}")
_COMMAND = re.compile(r"\\([A-Za-z]+)")


def from_latex(text: str) -> str:
    r"""The text with its LaTeX commands turned into plain notation.

    >>> from_latex(r"\langle -30, 11 \rangle"), from_latex(r"\frac{3\pi}{4}")
    ('< -30, 11  >', '((3π)/(4))')
    """
    if "\\" in text or "^" in text or "_" in text:
        text = _DEGREE_POWER.sub("°", text)
        text = _PRIME_POWER.sub("′", text)
        text = _SUBSCRIPT.sub(r"_\1", text)
    text = _LONE_SIGN.sub(r"\1", text)
    text = _QUANTITY.sub(_quantity, text)
    if _LINES.search(text):
        text = _LINES.sub(" ", text).replace("&", "").replace("\\\\", "\n")
    if _ENVIRONMENT.search(text):
        text = _ENVIRONMENT.sub(_bracket, text).replace("\\\\", ",").replace("&", ",")
    for _ in range(MAX_NESTING):
        before = text
        text = _FRACTION.sub(_latex_fraction, text)
        text = _ROOT.sub(r"√(\1)", text)
        text = _POWER.sub(r"^(\1)", text)
        text = _WRAPPED.sub(_wrapped, text)
        if text == before:
            break
    text = text.replace("\\\\", "\n").replace("\\(", " ").replace("\\)", " ").replace("\\[", " ").replace("\\]", " ")
    text = re.sub(r"\\[,;:! ]", " ", text)
    text = _COMMAND.sub(lambda match: _LATEX_WORDS.get(match[1], "\\" + match[1]) + (" " if match[1] in ("rangle", "langle") else ""), text)
    text = text.replace("\\{", "{").replace("\\}", "}").replace("\\%", "%").replace("\\|", "|")
    return text.replace("$", " ")


def _latex_fraction(match: re.Match[str]) -> str:
    above, below = match[1] or match[2] or "", match[3] or match[4] or ""
    if above.strip().isalpha() and below.strip().isalpha() and "π" not in above:
        return f" {above.strip()}/{below.strip()}"  # a unit: km over h
    return f"(({above})/({below}))"


def _quantity(match: re.Match[str]) -> str:
    """A number with its unit, or an angle in degrees; minutes; seconds."""
    if match[0].startswith("\\ang"):
        parts = [part.strip() for part in match[1].split(";")]
        return "".join(part + sign for part, sign in zip(parts, "°'\"") if part)
    return f"{match[1]} {match[2] or ''} "


def _bracket(match: re.Match[str]) -> str:
    return " < " if match[0].startswith("\\begin") else " > "


def _wrapped(match: re.Match[str]) -> str:
    inner = match[1]
    command = match[0][1:]
    if command.startswith(("text", "mathrm", "mbox", "operatorname")):
        return f" {inner.strip()} " if inner.strip() else " "
    return inner
