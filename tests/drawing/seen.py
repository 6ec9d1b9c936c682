"""What stands in a drawing, read back from its SVG: vectors, angles, texts, and how far everything reaches."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from xml.etree import ElementTree

NAMESPACE = "{http://www.w3.org/2000/svg}"
_NUMBER = r"-?\d+(?:\.\d+)?"
_MOVES = re.compile(rf"([MLHVAZhvl])((?:\s*{_NUMBER})*)")

Point = tuple[float, float]


@dataclass(frozen=True)
class Written:
    """A text with the box that its letters fill, by a plain rule: 0.6 of the size for a sign, half of that for a thin one."""

    text: str
    kind: str
    left: float
    top: float
    right: float
    bottom: float


class Seen:
    """A drawing as a reader of the file sees it."""

    def __init__(self, svg: str) -> None:
        self.root = ElementTree.fromstring(svg)
        _, _, self.width, self.height = map(float, self.root.attrib["viewBox"].split())

    def named(self, name: str) -> list[ElementTree.Element]:
        return [element for element in self.root.iter() if element.get("data-of") == name]

    def arrow(self, name: str) -> tuple[Point, Point]:
        """Tail and tip of the vector of this name, on the screen."""
        (element,) = self.named(name)
        x, y = map(float, element.attrib["data-tip"].split())
        return points(element.attrib["d"])[0], (x, y)

    def direction(self, name: str) -> float:
        """The direction in which a vector is drawn, in degrees counterclockwise from the right."""
        (x0, y0), (x1, y1) = self.arrow(name)
        return math.degrees(math.atan2(y0 - y1, x1 - x0)) % 360.0

    def length(self, name: str) -> float:
        tail, tip = self.arrow(name)
        return math.dist(tail, tip)

    def arc(self, name: str) -> tuple[float, float]:
        """From where and how far an angle is drawn: start in degrees, sweep with counterclockwise positive."""
        (element,) = self.named(name)
        found = re.fullmatch(
            rf"M({_NUMBER}) ({_NUMBER})A({_NUMBER}) {_NUMBER} 0 ([01]) ([01]) ({_NUMBER}) ({_NUMBER})",
            element.attrib["d"],
        )
        assert found is not None, element.attrib["d"]
        x0, y0, radius, large, clockwise, x1, y1 = map(float, found.groups())
        cx, cy = map(float, element.attrib["data-center"].split())
        assert abs(math.dist((cx, cy), (x0, y0)) - radius) < 0.1, "the arc starts on its circle"
        start = math.degrees(math.atan2(cy - y0, x0 - cx)) % 360.0
        end = math.degrees(math.atan2(cy - y1, x1 - cx)) % 360.0
        sweep = -((start - end) % 360.0) if clockwise else (end - start) % 360.0
        assert (abs(sweep) > 180.0) == bool(large) or abs(abs(sweep) - 180.0) < 1.0
        return start, sweep

    def texts(self) -> list[Written]:
        """Every text that is seen without pointing at anything."""
        hidden = {id(text) for group in self.root.iter() if group.get("class") == "vd-who" for text in group.iter()}
        found = []
        for element in self.root.iter(f"{NAMESPACE}text"):
            if id(element) in hidden:
                continue
            size, text = float(element.attrib["font-size"]), element.text or ""
            thin = len(re.findall(r"[ .,:;()il°₀-₉]", text))
            width, x, y = 0.6 * size * (len(text) - thin / 2), float(element.attrib["x"]), float(element.attrib["y"])
            left = {"middle": x - width / 2, "end": x - width}.get(element.get("text-anchor", ""), x)
            found.append(Written(text, element.attrib["class"], left, y - 0.74 * size, left + width, y + 0.2 * size))
        return found

    def reach(self) -> tuple[float, float, float, float]:
        """The box around every line, shape and text."""
        xs, ys = [], []
        for element in self.root.iter():
            if element.get("class") == "sheet":
                continue
            if "d" in element.attrib:
                for x, y in points(element.attrib["d"]):
                    xs.append(x)
                    ys.append(y)
            if element.tag == f"{NAMESPACE}circle":
                cx, cy, r = (float(element.attrib[name]) for name in ("cx", "cy", "r"))
                xs += [cx - r, cx + r]
                ys += [cy - r, cy + r]
        for one in self.texts():
            xs += [one.left, one.right]
            ys += [one.top, one.bottom]
        return min(xs), min(ys), max(xs), max(ys)


def points(path: str) -> list[Point]:
    """The corner points of a path; of an arc its ends and the outermost points of its circle in between."""
    found: list[Point] = []
    x = y = x0 = y0 = 0.0
    for command, rest in _MOVES.findall(path):
        v = [float(n) for n in re.findall(_NUMBER, rest)]
        if command in "ML":
            for x, y in zip(v[::2], v[1::2]):
                found.append((x, y))
            if command == "M":
                x0, y0 = v[0], v[1]
        elif command == "H":
            x = v[0]
        elif command == "V":
            y = v[0]
        elif command == "h":
            x += v[0]
        elif command == "v":
            y += v[0]
        elif command == "l":
            for dx, dy in zip(v[::2], v[1::2]):
                x, y = x + dx, y + dy
                found.append((x, y))
        elif command == "A":
            x, y = v[5], v[6]
        elif command == "Z":
            x, y = x0, y0
        found.append((x, y))
    return found


def overlapping(texts: list[Written]) -> list[tuple[str, str]]:
    """Pairs of texts whose letters lie on each other."""
    found = []
    for i, a in enumerate(texts):
        for b in texts[:i]:
            across = min(a.right, b.right) - max(a.left, b.left)
            upward = min(a.bottom, b.bottom) - max(a.top, b.top)
            if across > 0.6 and upward > 0.6:
                found.append((a.text, b.text))
    return found


def numbers_in(text: str) -> set[str]:
    """The numbers of a text, with one kind of minus sign."""
    return set(re.findall(r"-?\d+(?:\.\d+)?", text.replace("−", "-")))
