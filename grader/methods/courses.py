"""Holding a track through wind or current: the heading to steer and the speed over the ground.

Standard navigation practice (the wind triangle): the craft's own velocity plus that of the air or water must lie along the track.
"""

from __future__ import annotations

import numpy as np

from grader.errors import ProblemError
from grader.methods.calculator import DEGREES, Calculator, Value
from grader.methods.components import answer_form_step
from grader.methods.directions import counted_line, number
from grader.methods.steps import Method, Quantities, Step, values_of
from grader.methods.vectors import constant, direction_steps, in_unit
from grader.notation.given import GivenHeading
from grader.notation.units import Unit

CANNOT_HOLD = "cannot hold that track"


def why_not(given: GivenHeading, unit: Unit | None) -> str:
    """A sentence when the craft cannot hold its track, else an empty text."""
    method = by_wind_triangle(given, unit)
    speed, flow = float(method.data["V"]), float(method.data["w"])
    across = abs(flow * np.sin(np.radians(_flow_angle(given) - given.track.angle)))
    drift = "wind" if given.medium == "air" else "current"
    if across > speed + 1e-12:
        return (
            f"{CANNOT_HOLD}: the {drift} pushes across it at {number(round(float(across), 4))}, "
            f"more than the craft's own {number(speed)}"
        )
    if values_of(method)["magnitude"] <= 1e-12:
        against = float(DEGREES.cos(_flow_angle(given) - given.track.angle)) < -1e-9
        if against:
            return f"{CANNOT_HOLD}: the {drift} against it is at least as fast as the craft"
        return f"{CANNOT_HOLD}: the {drift} across it takes all the speed that the craft has"
    return ""


def by_wind_triangle(given: GivenHeading, unit: Unit | None) -> Method:
    """By the triangle of velocities: the law of sines gives the angle to steer into the wind."""
    data, steps = _data(given, unit)
    steps += [
        Step("off", "angle between", "angle", lambda q, _: np.abs(_turned(q["wd"], q["tr"])),
             "the angle between the track, {tr}, and the flow, {wd}: γ = {off}"),
        Step("soff", "sine of triangle angle", "function", lambda q, c: c.sin(q["off"])),
        Step("coff", "cosine of triangle angle", "function", lambda q, c: c.cos(q["off"])),
        Step("cross", "flow across the track", "length", lambda q, _: q["w"] * np.asarray(q["soff"]),
             "across the track the flow makes {w} · sin {off} = {cross}"),
        Step("ratio", "law of sines", "ratio", lambda q, _: q["cross"] / np.asarray(q["V"]),
             "sin κ = {cross} / {V} = {ratio}"),
        Step("kappa", "inverse sine", "angle", lambda q, c: c.asin(q["ratio"]), "κ = sin⁻¹({ratio}) = {kappa}"),
        Step("against", "turn", "exact", lambda q, _: np.where(_turned(q["wd"], q["tr"]) > 0, -1.0, 1.0)),
        Step("heading", "steer into the flow", "angle",
             lambda q, _: np.mod(q["tr"] + np.multiply(q["against"], q["kappa"]), 360.0),
             "steer κ off the track, into the flow: {tr} {against:sign} {kappa} = {heading} in standard position"),
        Step("ck", "cosine of correction", "function", lambda q, c: c.cos(q["kappa"])),
        Step("own", "own speed along the track", "length", lambda q, _: q["V"] * np.asarray(q["ck"]),
             "along the track the craft makes {V} · cos {kappa} = {own}"),
        Step("help", "flow along the track", "length", lambda q, _: q["w"] * np.asarray(q["coff"]),
             "and the flow adds {w} · cos {off} = {help}"),
        Step("ground", "ground speed", "length", lambda q, _: q["own"] + np.asarray(q["help"]),
             "ground speed: {own} + ({help}) = {ground}"),
        answer_form_step("heading"),
    ]  # fmt: skip
    return Method("parallelogram", data, tuple(steps), {"magnitude": "ground", "direction": "answer"})


def by_axes(given: GivenHeading, unit: Unit | None) -> Method | None:
    """The triangle of velocities with the flow resolved along the axes: for a track along one of them, else None.

    Across and along are read off the drawing, so the angle to steer is taken as positive and laid off against the flow.
    """
    if given.track.angle % 90:
        return None
    north_south = given.track.angle % 180 == 90
    across, along = ("cw", "sw") if north_south else ("sw", "cw")
    forward = 1.0 if given.track.angle % 360 in (0, 90) else -1.0
    data, steps = _data(given, unit)
    steps += [
        Step("cw", "cosine", "function", lambda q, c: c.cos(q["wd"])),
        Step("sw", "sine", "function", lambda q, c: c.sin(q["wd"])),
        Step("cross", "flow across the track", "length", lambda q, _: np.abs(q["w"] * np.asarray(q[across]))),
        Step("help", "flow along the track", "length", lambda q, _: forward * q["w"] * np.asarray(q[along])),
        Step("ratio", "law of sines", "ratio", lambda q, _: q["cross"] / np.asarray(q["V"])),
        Step("kappa", "inverse sine", "angle", lambda q, c: c.asin(q["ratio"])),
        Step("against", "turn", "exact", lambda q, _: np.where(_turned(q["wd"], q["tr"]) > 0, -1.0, 1.0)),
        Step("heading", "steer into the flow", "angle",
             lambda q, _: np.mod(q["tr"] + np.multiply(q["against"], q["kappa"]), 360.0)),
        Step("ck", "cosine of correction", "function", lambda q, c: c.cos(q["kappa"])),
        Step("own", "own speed along the track", "length", lambda q, _: q["V"] * np.asarray(q["ck"])),
        Step("ground", "ground speed", "length", lambda q, _: q["own"] + np.asarray(q["help"])),
        answer_form_step("heading"),
    ]  # fmt: skip
    return Method("parallelogram", data, tuple(steps), {"magnitude": "ground", "direction": "answer"})


def by_components(given: GivenHeading, unit: Unit | None) -> Method:
    """By components: with the ground speed g along the track unknown, (g·t − w) must have the craft's own speed."""
    data, steps = _data(given, unit)

    def ground(q: Quantities, _: Calculator) -> Value:
        return np.asarray(q["along"] + np.sqrt(np.square(q["V"]) - np.square(q["across"])), dtype=float)

    steps += [
        Step("cw", "cosine", "function", lambda q, c: c.cos(q["wd"])),
        Step("sw", "sine", "function", lambda q, c: c.sin(q["wd"])),
        Step("wx", "x-component", "length", lambda q, _: q["w"] * np.asarray(q["cw"]), "flow: x = {w} · cos {wd} = {wx}"),
        Step("wy", "y-component", "length", lambda q, _: q["w"] * np.asarray(q["sw"]), "flow: y = {w} · sin {wd} = {wy}"),
        Step("tx", "cosine of track", "function", lambda q, c: c.cos(q["tr"])),
        Step("ty", "sine of track", "function", lambda q, c: c.sin(q["tr"])),
        Step("along", "flow along the track", "length",
             lambda q, _: q["wx"] * np.asarray(q["tx"]) + q["wy"] * np.asarray(q["ty"]),
             "along the track: ({wx}) · cos {tr} + ({wy}) · sin {tr} = {along}"),
        Step("across", "flow across the track", "length",
             lambda q, _: q["wy"] * np.asarray(q["tx"]) - q["wx"] * np.asarray(q["ty"]),
             "across it: ({wy}) · cos {tr} − ({wx}) · sin {tr} = {across}"),
        Step("ground", "ground speed", "length", ground, "ground speed: {along} + √({V}² − ({across})²) = {ground}"),
        Step("hx", "own x", "length", lambda q, _: q["ground"] * np.asarray(q["tx"]) - q["wx"],
             "own velocity: x = {ground} · cos {tr} − ({wx}) = {hx}"),
        Step("hy", "own y", "length", lambda q, _: q["ground"] * np.asarray(q["ty"]) - q["wy"],
             "own velocity: y = {ground} · sin {tr} − ({wy}) = {hy}"),
        *direction_steps("hx", "hy", "tan", "shown", "heading", "θ"),
        answer_form_step("heading"),
    ]  # fmt: skip
    return Method("components", data, tuple(steps), {"magnitude": "ground", "direction": "answer"})


def _turned(flow: Value, track: Value) -> Value:
    """From the track to the flow, −180° to 180°, counterclockwise positive."""
    turned: Value = np.mod(np.subtract(flow, track) + 180.0, 360.0) - 180.0
    return turned


def _flow_angle(given: GivenHeading) -> float:
    return (given.flow_direction.angle + (180.0 if given.flow_from else 0.0)) % 360


def _data(given: GivenHeading, unit: Unit | None) -> tuple[dict[str, float], list[Step]]:
    speed, flow = in_unit(given.speed, unit), in_unit(given.flow, unit)
    if speed <= 0:
        raise ProblemError(f"The craft's own speed is {number(speed)}; expected a speed above zero.")
    if flow < 0:
        raise ProblemError(f"The speed of the wind or current is {number(flow)}; expected zero or more.")
    named = "blows from" if given.flow_from else "sets toward"
    flow_name = "wind" if given.medium == "air" else "current"
    flow_line = counted_line(given.flow_direction, f"the {flow_name} {named}")
    toward = f"the {flow_name} moves toward {{wn}} + 180° → {{wd}}" if given.flow_from else ""
    steps = [
        Step("wn", "standard direction", "exact angle", constant(given.flow_direction.angle), flow_line, 1, given.flow_direction),
        Step("wd", "flow direction", "exact angle",
             (lambda q, _: np.mod(np.asarray(q["wn"]) + 180.0, 360.0)) if given.flow_from else (lambda q, _: q["wn"]),
             toward, 1),
        Step("tr", "standard direction", "exact angle", constant(given.track.angle),
             counted_line(given.track, "the track"), 2, given.track),
    ]  # fmt: skip
    return {"V": speed, "w": flow}, steps
