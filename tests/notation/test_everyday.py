"""The short way of reading everyday answers gives exactly what the scanner gives."""

from __future__ import annotations

from typing import get_args

from hypothesis import given, settings
from hypothesis import strategies as st

from grader.notation.everyday import everyday_reading
from grader.notation.read import _read_thoroughly
from grader.notation.readings import COMMA, POINT, BoxKind
from tests.notation.expectations import corpus

DIGITS = st.from_regex(r"[-−]?\d{1,5}(\.\d{0,4})?", fullmatch=True)
UNITS = st.sampled_from(
    [
        "",
        "°",
        " °",
        " deg",
        "degrees",
        " N",
        "N",
        " lb",
        "lbs",
        " km/h",
        "km/h",
        " mph",
        " m/s",
        " kn",
        " kN",
        " m",
        "km",
        " cm",
        " mm",
        " ft",
        " mi",
        " knots",
        " s",
        " kg",
    ]
)
BOXES = st.sampled_from(get_args(BoxKind))
BEARINGS = st.builds(
    "{}{}{}{}{}".format,
    st.sampled_from("NSEW"),
    st.sampled_from(["", " "]),
    st.from_regex(r"\d{1,3}(\.\d{1,3})?", fullmatch=True),
    st.sampled_from(["", "°", "° ", " "]),
    st.sampled_from("NSEW"),
)


FROM_AN_AXIS = st.builds(
    "{}{} {} of {}".format, DIGITS, st.sampled_from(["°", "", " °"]), *[st.sampled_from("NSEW")] * 2
)
PAIRS = st.builds(
    "{}{}{}{}{}".format,
    st.sampled_from("<("),
    DIGITS,
    st.sampled_from([", ", ",", "; "]),
    DIGITS,
    st.sampled_from(">)"),
)
LENGTHS_AND_ANGLES = st.builds("{}{} at {}{}".format, DIGITS, UNITS, DIGITS, st.sampled_from(["°", "", " deg"]))


@settings(max_examples=3000, deadline=None)
@given(st.builds(str.__add__, DIGITS, UNITS) | BEARINGS | FROM_AN_AXIS | PAIRS | LENGTHS_AND_ANGLES, BOXES)
def test_the_short_way_agrees_with_the_long(text: str, box: BoxKind) -> None:
    short = everyday_reading(text, box)
    if short is not None:
        assert short == _read_thoroughly(text, box, POINT)


def test_the_short_way_agrees_on_every_text_of_the_corpora() -> None:
    taken = 0
    for name in ("valid", "two-readings", "unreadable"):
        for line in corpus(name):
            for box in get_args(BoxKind):
                short = everyday_reading(line["text"], box)
                if short is not None:
                    taken += 1
                    assert short == _read_thoroughly(line["text"], box, POINT)
    assert taken > 100


def test_the_decimal_mark_makes_no_difference_to_what_is_read_the_short_way() -> None:
    for text in ("62", "353°", "-7 km/h"):
        short = everyday_reading(text, "quantity")
        assert short is not None
        assert [sense.meaning for sense in short.senses] == [
            sense.meaning for sense in _read_thoroughly(text, "quantity", COMMA).senses
        ]
