"""The templates of the class page and of the student's part, and the files that stand in them whole."""

from __future__ import annotations

import json
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from grader.reports.class_page import sentences
from grader.reports.drawing.sheet import Picture
from grader.reports.words import amount, percent

if TYPE_CHECKING:
    from jinja2 import Environment


@lru_cache(maxsize=1)
def environment() -> Environment:
    """The templates, with everything escaped that is not marked as safe by one of the filters ``drawn`` and ``as_is``."""
    from jinja2 import Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup

    made = Environment(
        loader=PackageLoader("grader.reports.class_page", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )

    def drawn(picture: Picture) -> Any:
        return Markup(picture.svg)  # the drawing has escaped what people wrote

    made.filters |= {
        "drawn": drawn,
        "as_is": Markup,
        "amount": amount,
        "percent": percent,
        "signed": sentences.signed,
        "capital": lambda text: text[:1].upper() + text[1:],
    }
    return made


@lru_cache(maxsize=4)
def asset(name: str) -> str:
    """A stylesheet or script of the package, as text."""
    return files("grader.reports.class_page").joinpath("templates", name).read_text(encoding="utf-8")


def in_script(value: object) -> str:
    """JSON that can stand inside a script element: no sign in it can end the element."""
    text = json.dumps(value, ensure_ascii=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
