"""Drawings as PNG, where the optional package is installed, and what is said where it is not."""

from __future__ import annotations

import importlib
import struct
from typing import Any

import pytest

from grader.errors import GraderError
from grader.reports.drawing import png_of, problem_picture
from grader.reports.drawing.png import MISSING, can_draw_png
from tests.posed import solved

ONE = solved("resultant", "45 N at 20°; 30 N at 310°")
needs_package = pytest.mark.skipif(not can_draw_png(), reason="the extra “pictures” is not installed")


def test_without_the_package_the_message_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> Any:
        raise ImportError(name)

    monkeypatch.setattr("grader.reports.drawing.png.import_module", missing)
    with pytest.raises(GraderError, match=r"pip install '\.\[pictures\]'") as caught:
        png_of(problem_picture(ONE, theme="light"))
    assert str(caught.value) == MISSING


@pytest.mark.parametrize("theme", ["auto", "page"])
def test_a_picture_for_a_page_is_refused(theme: Any) -> None:
    with pytest.raises(GraderError, match="theme light or dark"):
        png_of(problem_picture(ONE, theme=theme))


@needs_package
def test_the_image_has_the_size_of_the_picture_and_is_the_same_each_time() -> None:
    picture = problem_picture(ONE, student=(40.0, 10.0), show_right=True, theme="light")
    data = png_of(picture, zoom=2.0)
    assert data[:8] == b"\x89PNG\r\n\x1a\n"  # PNG specification, section 5.2 (from memory)
    assert struct.unpack(">II", data[16:24]) == (2 * picture.width, 2 * picture.height)
    assert data == png_of(picture, zoom=2.0)


@needs_package
def test_letters_reach_the_image() -> None:
    picture = problem_picture(ONE, theme="light")
    rasteriser = importlib.import_module("resvg_py")
    without = bytes(
        rasteriser.svg_to_bytes(
            svg_string=picture.svg.replace("<text ", "<desc ").replace("</text>", "</desc>"), zoom=2.0
        )
    )
    assert png_of(picture) != without
