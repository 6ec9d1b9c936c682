"""LaTeX fragments from an equation editor, as plain notation: ``\\frac{3\\pi}{4}`` is ``((3π)/(4))``.

Brackets are undone from the inside out, so that nesting costs a pass each; deeper nesting than MAX_NESTING is left as it
stands and will not be read.
"""

from __future__ import annotations

import re

from grader.notation.tables import load_table

MAX_NESTING = 12

_LINES = re.compile(
    r"\\(?:begin|end)\s*\{\s*(?:aligned|align\*?|gather\*?|gathered|split|equation\*?|eqnarray\*?)\s*\}"
)
_QUANTITY = re.compile(r"\\(?:qty|SI|num|unit|si|ang)\s*\{([^{}]*)\}(?:\s*\{([^{}]*)\})?")
_DOUBLED = re.compile(r"\\\\([A-Za-z]+|[,;!])")
"""A backslash that a program wrote twice: ``6\\\\sqrt{2}``."""
_UNCLOSED = re.compile(r"\\(?:text|textrm|mathrm|mbox|textbf|mathbf)\s*\{(?![^{}]*\})")
_BARE_COMMAND = re.compile(r"(?<![\\A-Za-z])(sqrt|d?frac)(?=\s?\{)")
"""``6sqrt{2}``: a command that lost its backslash."""
_TAKES_MORE = frozenset(("frac", "dfrac", "tfrac", "begin", "end"))
_STROKE_OF_A_UNIT = re.compile(r"(?<=\d)( ?(?:ft|k?m|mi))\\(?=(?:s|h|hr|sec)\b)")
"""``6.5 m\\s``: the wrong stroke."""
_LONE_SIGN = re.compile(r"\{\s*([-+.,=])\s*\}")
_ENVIRONMENT = re.compile(
    r"\\(?:begin|end)\s*\{\s*(?:[pbvBV]?matrix|array|cases|smallmatrix)\s*\}(?:\{[clr| ]{0,9}\})?"
)
_FRACTION = re.compile(r"\\(?:[dtc]|nice|s)?frac\s*(?:\{([^{}]*)\}|(\d))\s*(?:\{([^{}]*)\}|(\d))")
_BLANK = re.compile(r"\\[hv]space\*?\s*\{[^{}]*\}")
_COLOUR = re.compile(r"\\color\s*\{[^{}]*\}|\\textcolor\s*\{[^{}]*\}\s*(?=\{)")
_HIGHER_ROOT = re.compile(r"\\sqrt\s*\[\s*([3-9])\s*\]\s*\{([^{}]*)\}")
_ROOT = re.compile(r"\\sqrt\s*\{([^{}]*)\}")
_DEGREE_POWER = re.compile(
    r"\^\s*(?:\{\s*(?:\\circ|\\degree|(?:\\text|\\mathrm)\s*\{\s*o\s*\}|o|0|°)\s*\}|\\circ|\\degree|°)"
)
_POWER = re.compile(r"\^\s*\{([^{}]*)\}")
_PRIME_POWER = re.compile(r"\^\s*(?:\{\s*(?:\\prime|')\s*\}|\\prime)")
_SUBSCRIPT = re.compile(r"_\s*\{\s*(?:\\text\s*)?(\\?[A-Za-z]*)\s*\}")
_WRAPPED = re.compile(
    r"\\(?:text|textrm|mathrm|mbox|mathbf|textbf|operatorname|hat|widehat|vec|overrightarrow|overline|underline|bar|boxed|fbox|framebox|boldsymbol|bm|mathit|mathsf|textit|textcolor)\s*\{([^{}]*)\}"
)
_COMMAND = re.compile(r"\\([A-Za-z]+)")


def from_latex(text: str) -> str:
    r"""The text with its LaTeX commands turned into plain notation.

    >>> from_latex(r"\langle -30, 11 \rangle"), from_latex(r"\frac{3\pi}{4}")
    ('<  -30, 11 > ', '((3π)/(4))')
    """
    if "\\\\" in text:
        text = _with_single_strokes(text)
    if "{" in text:
        text = _BARE_COMMAND.sub(r"\\\1", text)
    if "\\" in text or "^" in text or "_" in text:
        text = _DEGREE_POWER.sub("°", text)
        text = _PRIME_POWER.sub("′", text)
        text = _SUBSCRIPT.sub(r"_\1", text)
    if "\\" in text:
        text = _STROKE_OF_A_UNIT.sub(r"\1/", text)
        text = _BLANK.sub(" ", text)
        text = _COLOUR.sub(lambda match: "\\textcolor" if "text" in match[0] else "", text)
        text = text.replace("&=", "=")
        if "~~" not in text:
            text = text.replace("~", " ")
    text = _LONE_SIGN.sub(r"\1", text)
    text = _QUANTITY.sub(_quantity, text)
    if _LINES.search(text):
        text = _LINES.sub(" ", text).replace("&", "").replace("\\\\", "\n")
    if _ENVIRONMENT.search(text):
        text = _ENVIRONMENT.sub(_bracket, text).replace("\\\\", ",").replace("&", ",")
    for _ in range(MAX_NESTING):
        before = text
        text = _FRACTION.sub(_latex_fraction, text)
        text = _HIGHER_ROOT.sub(r"(\2)^((1)/(\1))", text)
        text = _ROOT.sub(r"√(\1)", text)
        text = _POWER.sub(r"^(\1)", text)
        text = _WRAPPED.sub(_wrapped, text)
        if text == before:
            break
    text = _UNCLOSED.sub(" ", text.replace("{}", " "))
    text = text.replace("\\\\", "\n").replace("\\(", " ").replace("\\)", " ").replace("\\[", " ").replace("\\]", " ")
    text = re.sub(r"\\[,;:! ]", " ", text)
    text = _COMMAND.sub(_command, text)
    text = text.replace("\\{", "{").replace("\\}", "}").replace("\\%", "%").replace("\\|", "|")
    return text.replace("$", " ")


def _with_single_strokes(text: str) -> str:
    """The text with one backslash for two, where each pair stands before a command and none stands alone."""
    pairs = _DOUBLED.findall(text)
    commands = load_table("latex.toml")["commands"]
    known = all(word in commands or word in _TAKES_MORE or not word.isalpha() for word in pairs)
    if not known or text.count("\\") != 2 * len(pairs):
        return text
    return text.replace("\\\\", "\\")


def _command(match: re.Match[str]) -> str:
    """What a command becomes; an unknown one stays, and will be named as unreadable."""
    word = match[1]
    plain: str = load_table("latex.toml")["commands"].get(word, "\\" + word)
    return plain + " " if word in ("rangle", "langle") else plain


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
    glued = match.string[: match.start()][-1:].isalpha()
    return " " + inner if glued else inner  # \\cdot\\vec{b} is no command cdotb
