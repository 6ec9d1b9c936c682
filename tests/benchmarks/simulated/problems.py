"""The problems of the simulated class: a harbour, twenty-one exercises, numbers chosen so that mistakes show.

Each exercise is the row that a teacher would type in the sheet `Problems`, and beside it the same data as plain numbers, typed
a second time, so that the arithmetic here does not lean on anybody's reader.
"""

from dataclasses import dataclass, field
from typing import Literal

Said = Literal["standard", "quadrant", "true", "point", "pair"]
DirectionForm = Literal["standard position", "quadrant bearing", "true bearing", ""]


@dataclass(frozen=True)
class Vector:
    """A given vector: a size with an angle as it was said, or (`said="pair"`) a pair of components.

    `angle` is in degrees: from the positive x-axis, clockwise from north, or, for a quadrant bearing, from the letter `pole`
    (N or S) toward the letter `side` (E or W).
    """

    size: float = 0.0
    angle: float = 0.0
    said: Said = "standard"
    pole: str = ""
    side: str = ""
    x: float = 0.0
    y: float = 0.0

    @property
    def direction(self) -> float:
        """Degrees anticlockwise from the positive x-axis."""
        if self.said == "true":
            return (90.0 - self.angle) % 360.0
        if self.said == "quadrant":
            return quadrant_to_standard(self.pole, self.angle, self.side)
        return self.angle % 360.0


def quadrant_to_standard(pole: str, angle: float, side: str) -> float:
    """Degrees anticlockwise from the positive x-axis of the quadrant bearing `pole` `angle` `side`."""
    turned = angle if side == "E" else -angle
    return (90.0 - turned if pole == "N" else 270.0 + turned) % 360.0


@dataclass(frozen=True)
class Exercise:
    """One problem: the teacher's row, and the same data as numbers.

    `vectors` holds the given vectors in the order of the row (for a heading: the wind or current as it blows, then the track,
    whose size is the speed through the air or water). `triangle` holds the given parts. `factor` converts the given unit into
    the unit asked. `boxes` are the parts a pupil fills in.
    """

    row: dict[str, str]
    vectors: tuple[Vector, ...] = ()
    triangle: dict[str, float] = field(default_factory=dict)
    factor: float = 1.0
    boxes: tuple[str, ...] = ("magnitude", "direction")

    def __hash__(self) -> int:
        return hash(self.label)

    @property
    def label(self) -> str:
        return self.row["Problem"]

    @property
    def find(self) -> str:
        return self.row["Find"]

    @property
    def unit(self) -> str:
        return self.row["Unit"]

    @property
    def form(self) -> str:
        return self.row["Direction as"]


HEADINGS = (
    "Problem",
    "Question",
    "Find",
    "Given",
    "Answer as",
    "Direction as",
    "Method",
    "Unit",
    "Magnitude to",
    "Direction to",
    "Allow",
    "Points",
)


def sheet_row(
    label: str,
    question: str,
    find: str,
    given: str,
    answer_as: str = "magnitude and direction",
    direction_as: str = "standard position",
    method: str = "",
    unit: str = "",
    magnitude_to: str = "0.1",
    direction_to: str = "0.1",
    points: str = "4",
) -> dict[str, str]:
    cells = (
        label,
        question,
        find,
        given,
        answer_as,
        direction_as,
        method,
        unit,
        magnitude_to,
        direction_to,
        "",
        points,
    )
    return dict(zip(HEADINGS, cells, strict=True))


def _at(size: float, angle: float) -> Vector:
    return Vector(size, angle)


def _bearing(size: float, angle: float) -> Vector:
    return Vector(size, angle, "true")


def _quadrant(size: float, pole: str, angle: float, side: str) -> Vector:
    return Vector(size, angle, "quadrant", pole, side)


def _pair(x: float, y: float) -> Vector:
    return Vector(said="pair", x=x, y=y)


def _point(size: float, standard: float) -> Vector:
    return Vector(size, standard, "point")


EXERCISES: tuple[Exercise, ...] = (
    Exercise(
        sheet_row(
            "1", "Two tugs pull a barge. Find their joint pull.", "resultant", "52 kN at 25°; 31 kN at 88°", unit="kN"
        ),
        (_at(52, 25), _at(31, 88)),
    ),
    Exercise(
        sheet_row(
            "2",
            "Two mooring lines hold a buoy. Find the resultant by the parallelogram.",
            "resultant",
            "48.0 kN at 310°; 37.0 kN at 72°",
            method="parallelogram",
            unit="kN",
            direction_to="1",
        ),
        (_at(48, 310), _at(37, 72)),
    ),
    Exercise(
        sheet_row(
            "3",
            "A small tug and a large one pull against each other. Find the resultant.",
            "resultant",
            "20 kN at 40°; 55 kN at 185°",
            unit="kN",
        ),
        (_at(20, 40), _at(55, 185)),
    ),
    Exercise(
        sheet_row(
            "4",
            "Three lines meet at a bollard. Find the resultant by components.",
            "resultant",
            "24 kN at 15°; 38 kN at 130°; 17 kN at 247°",
            method="components",
            unit="kN",
        ),
        (_at(24, 15), _at(38, 130), _at(17, 247)),
    ),
    Exercise(
        sheet_row(
            "5",
            "Two cables pull on a crane's hook. Which pull holds it still?",
            "equilibrant",
            "64 kN at 34°; 41 kN at 117°",
            unit="kN",
        ),
        (_at(64, 34), _at(41, 117)),
    ),
    Exercise(
        sheet_row(
            "6",
            "Drone A flies at the first velocity, drone B at the second. Find the velocity of A seen from B.",
            "difference",
            "14.0 m/s at 62°; 9.0 m/s at 155°",
            unit="m/s",
            magnitude_to="0.01",
        ),
        (_at(14, 62), _at(9, 155)),
    ),
    Exercise(
        sheet_row(
            "7",
            "A cable pulls on a gantry. Find the components of its pull.",
            "components",
            "86 kN at 148°",
            "components",
            direction_as="",
            unit="kN",
        ),
        (_at(86, 148),),
        boxes=("x", "y"),
    ),
    Exercise(
        sheet_row(
            "8",
            "A current sets across the harbour. Find its components in metres per second.",
            "components",
            "12.5 km/h at 292°",
            "components",
            direction_as="",
            unit="m/s",
            magnitude_to="0.01",
        ),
        (_at(12.5, 292),),
        factor=1 / 3.6,
        boxes=("x", "y"),
    ),
    Exercise(
        sheet_row(
            "9",
            "A pilot boat runs to a buoy. How far east and north has it come?",
            "components",
            "47 km S 28° W",
            "components",
            direction_as="",
            unit="km",
        ),
        (_quadrant(47, "S", 28, "W"),),
        boxes=("x", "y"),
    ),
    Exercise(
        sheet_row(
            "10",
            "The trolley of a crane is displaced as given. Find how far and in which direction.",
            "magnitude and direction",
            "(-14.7, 9.2) m",
            unit="m",
        ),
        (_pair(-14.7, 9.2),),
    ),
    Exercise(
        sheet_row(
            "11",
            "A fender takes a push with these components. Find its size and direction.",
            "magnitude and direction",
            "(-18.4, -31.6) kN",
            unit="kN",
            direction_to="1",
            magnitude_to="3 s.f.",
        ),
        (_pair(-18.4, -31.6),),
    ),
    Exercise(
        sheet_row(
            "12",
            "A buoy has drifted as given (east, north). How far, and on what bearing?",
            "magnitude and direction",
            "(235, -412) m",
            direction_as="quadrant bearing",
            unit="m",
            magnitude_to="1",
        ),
        (_pair(235, -412),),
    ),
    Exercise(
        sheet_row(
            "13",
            "A dredger makes two runs. Where is it from its berth?",
            "resultant",
            "22 km N 35° E; 31 km S 62° E",
            direction_as="quadrant bearing",
            unit="km",
        ),
        (_quadrant(22, "N", 35, "E"), _quadrant(31, "S", 62, "E")),
    ),
    Exercise(
        sheet_row(
            "14",
            "A survey drone flies two legs. Where is it from the pier?",
            "resultant",
            "180 m at bearing 140°; 95 m at bearing 237°",
            direction_as="true bearing",
            unit="m",
            magnitude_to="1",
        ),
        (_bearing(180, 140), _bearing(95, 237)),
    ),
    Exercise(
        sheet_row(
            "15",
            "A ferry makes two legs. Find its displacement; count the direction from east.",
            "resultant",
            "9.6 km S 21° W; 7.4 km N 50° W",
            unit="km",
            magnitude_to="0.01",
        ),
        (_quadrant(9.6, "S", 21, "W"), _quadrant(7.4, "N", 50, "W")),
    ),
    Exercise(
        sheet_row(
            "16",
            "A drone is to fly due north over the breakwater. Find its ground speed and heading.",
            "heading",
            "air speed 90 km/h; wind 25 km/h from SW; track N",
            direction_as="quadrant bearing",
            unit="km/h",
        ),
        (_point(25, 45), _point(90, 90)),
    ),
    Exercise(
        sheet_row(
            "17",
            "A launch is to cross to the mole. Find its speed over the ground and the heading to steer.",
            "heading",
            "water speed 16 km/h; current 5 km/h toward bearing 140°; track bearing 068°",
            direction_as="true bearing",
            unit="km/h",
            magnitude_to="0.01",
        ),
        (_bearing(5, 140), _bearing(16, 68)),
    ),
    Exercise(
        sheet_row(
            "18",
            "Two sides of a quay basin and the angle between them are known. Solve the triangle.",
            "triangle",
            "a=80; b=46; C=35°",
            "triangle",
            direction_as="",
            unit="m",
        ),
        triangle={"a": 80, "b": 46, "C": 35},
        boxes=("c", "A", "B"),
    ),
    Exercise(
        sheet_row(
            "19",
            "Three marks in the roads stand this far apart. Find the angles.",
            "triangle",
            "a=38; b=57; c=81",
            "triangle",
            direction_as="",
            unit="m",
        ),
        triangle={"a": 38, "b": 57, "c": 81},
        boxes=("A", "B", "C"),
    ),
    Exercise(
        sheet_row(
            "20",
            "From both ends of a pier the angles to a buoy are taken. Solve the triangle.",
            "triangle",
            "A=47°; B=68°; c=120",
            "triangle",
            direction_as="",
            unit="m",
        ),
        triangle={"A": 47, "B": 68, "c": 120},
        boxes=("a", "b", "C"),
    ),
    Exercise(
        sheet_row(
            "21",
            "Find the angle between the two booms.",
            "angle between",
            "<5, -2>; <-3, 4>",
            "number",
            direction_as="",
        ),
        (_pair(5, -2), _pair(-3, 4)),
        boxes=("value",),
    ),
)

PROBLEMS: tuple[dict[str, str], ...] = tuple(exercise.row for exercise in EXERCISES)
