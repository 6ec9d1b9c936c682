"""Drawings as PNG, for mail: a picture there must be an image with a text beside it, not SVG."""

from __future__ import annotations

from functools import lru_cache
from importlib import import_module
from importlib.util import find_spec
from typing import Any

from grader.errors import GraderError
from grader.reports.drawing.sheet import Picture
from grader.reports.drawing.theme import FONT

MISSING = (
    "Pictures in mail need one more package, resvg-py, which is not installed. "
    "In the folder of this program's README, run: python -m pip install '.[pictures]' (with the python that runs this "
    "program), or make the mail without pictures."
)
NO_LETTERS = (
    "Pictures in mail need a font, and this machine has none that can be found. "
    "Install one (on Debian: fonts-dejavu-core), or make the mail without pictures."
)
OF_A_PAGE = (
    "This drawing takes its colours from a page, which an image does not have; draw it with the theme light or dark."
)


def can_draw_png() -> bool:
    """Whether the optional package for PNG is installed."""
    return find_spec("resvg_py") is not None


def png_of(picture: Picture, zoom: float = 2.0) -> bytes:
    """The PNG of a picture that was drawn with the theme ``light`` or ``dark``; its text alternative is ``picture.text``.

    ``zoom`` is image pixels per unit of the viewBox. The same picture gives the same bytes on the same machine. Raises
    GraderError, with what to do, where the optional package or any font is missing, or where the picture has another theme.
    """
    if "var(--vd-" in picture.svg or "<style>" not in picture.svg:
        raise GraderError(OF_A_PAGE)
    rasteriser = _rasteriser()
    if not _has_letters():
        raise GraderError(NO_LETTERS)
    return _drawn(rasteriser, picture.svg, zoom)


def _rasteriser() -> Any:
    try:
        return import_module("resvg_py")
    except ImportError as error:
        raise GraderError(MISSING) from error


def _drawn(rasteriser: Any, svg: str, zoom: float) -> bytes:
    try:
        return bytes(rasteriser.svg_to_bytes(svg_string=svg, zoom=zoom))
    except ValueError as error:
        raise GraderError(f"A drawing could not be turned into an image: {error}.") from error


@lru_cache(maxsize=1)
def _has_letters() -> bool:
    """Without a font the rasteriser leaves all text out and says nothing, so one letter is drawn and looked for."""
    blank = '<svg xmlns="http://www.w3.org/2000/svg" width="20" height="20">{}</svg>'
    letter = '<text x="2" y="16" font-size="16" font-family="{font}">R</text>'.replace("{font}", FONT)
    rasteriser = _rasteriser()
    return _drawn(rasteriser, blank.format(""), 1.0) != _drawn(rasteriser, blank.format(letter), 1.0)
