"""A second sheet for the simulated class: fourteen exercises of the same kinds, set without a look at what they reveal.

What is tuned on the first sheet can be measured here, on numbers, quadrants and forms that it was not tuned on.
"""

from .problems import Exercise, Vector, sheet_row

SECOND_SHEET: tuple[Exercise, ...] = (
    Exercise(
        sheet_row(
            "22",
            "A tug and a workboat tow a pontoon. Find their joint pull.",
            "resultant",
            "38.5 kN at 12°; 26.0 kN at 331°",
            unit="kN",
        ),
        (Vector(38.5, 12), Vector(26, 331)),
    ),
    Exercise(
        sheet_row(
            "23",
            "Two winches haul a yacht up the slipway. Find the resultant by the parallelogram.",
            "resultant",
            "410 N at 155°; 275 N at 218°",
            method="parallelogram",
            unit="N",
            magnitude_to="1",
        ),
        (Vector(410, 155), Vector(275, 218)),
    ),
    Exercise(
        sheet_row(
            "24",
            "Three ropes are made fast to one ring. Find the resultant by components.",
            "resultant",
            "8.4 kN at 200°; 5.9 kN at 285°; 7.2 kN at 340°",
            method="components",
            unit="kN",
            magnitude_to="0.01",
            direction_to="1",
        ),
        (Vector(8.4, 200), Vector(5.9, 285), Vector(7.2, 340)),
    ),
    Exercise(
        sheet_row(
            "25",
            "A pilot boat makes two runs. Where is it from the pilot station?",
            "resultant",
            "14 km N 22° W; 9 km S 71° W",
            direction_as="quadrant bearing",
            unit="km",
        ),
        (Vector(14, 22, "quadrant", "N", "W"), Vector(9, 71, "quadrant", "S", "W")),
    ),
    Exercise(
        sheet_row(
            "26",
            "Two hawsers pull on a mooring post. Which third pull holds it still?",
            "equilibrant",
            "19 kN at 72°; 33 kN at 164°",
            unit="kN",
        ),
        (Vector(19, 72), Vector(33, 164)),
    ),
    Exercise(
        sheet_row(
            "27",
            "A ferry sails at the first velocity, a yacht at the second. Find the velocity of the ferry seen from the yacht.",
            "difference",
            "21 km/h at bearing 205°; 13 km/h at bearing 318°",
            direction_as="true bearing",
            unit="km/h",
        ),
        (Vector(21, 205, "true"), Vector(13, 318, "true")),
    ),
    Exercise(
        sheet_row(
            "28",
            "A towline pulls on a lighter. Find the components of its pull.",
            "components",
            "940 N at 233°",
            "components",
            direction_as="",
            unit="N",
            magnitude_to="1",
        ),
        (Vector(940, 233),),
        boxes=("x", "y"),
    ),
    Exercise(
        sheet_row(
            "29",
            "The tide runs out past the mole. Find its components (east, north) in metres per second.",
            "components",
            "5.4 km/h at bearing 117°",
            "components",
            direction_as="",
            unit="m/s",
            magnitude_to="0.01",
        ),
        (Vector(5.4, 117, "true"),),
        factor=1 / 3.6,
        boxes=("x", "y"),
    ),
    Exercise(
        sheet_row(
            "30",
            "A chain pulls on an anchor with these components. Find the size and direction of the pull.",
            "magnitude and direction",
            "(36.2, -21.5) kN",
            unit="kN",
        ),
        (Vector(said="pair", x=36.2, y=-21.5),),
    ),
    Exercise(
        sheet_row(
            "31",
            "A loose skiff has drifted as given (east, north). How far, and on what bearing?",
            "magnitude and direction",
            "(-128, 305) m",
            direction_as="true bearing",
            unit="m",
            magnitude_to="3 s.f.",
            direction_to="1",
        ),
        (Vector(said="pair", x=-128, y=305),),
    ),
    Exercise(
        sheet_row(
            "32",
            "A launch is to cross the fairway due east. Find its speed over the ground and the heading to steer.",
            "heading",
            "water speed 12 km/h; current 3.5 km/h from NW; track E",
            direction_as="quadrant bearing",
            unit="km/h",
            magnitude_to="0.01",
        ),
        (Vector(3.5, 315, "point"), Vector(12, 0, "point")),
    ),
    Exercise(
        sheet_row(
            "33",
            "Two breakwaters meet at the angle given. Solve the triangle that they make with the line between their heads.",
            "triangle",
            "a=63; b=94; C=112°",
            "triangle",
            direction_as="",
            unit="m",
        ),
        triangle={"a": 63, "b": 94, "C": 112},
        boxes=("c", "A", "B"),
    ),
    Exercise(
        sheet_row(
            "34",
            "From two bollards on the quay the angles to a wreck are taken. Solve the triangle.",
            "triangle",
            "A=36°; B=101°; c=85",
            "triangle",
            direction_as="",
            unit="m",
        ),
        triangle={"A": 36, "B": 101, "c": 85},
        boxes=("a", "b", "C"),
    ),
    Exercise(
        sheet_row(
            "35",
            "Find the angle between the jibs of the two cranes.",
            "angle between",
            "<2, 7>; <6, -3>",
            "number",
            direction_as="",
        ),
        (Vector(said="pair", x=2, y=7), Vector(said="pair", x=6, y=-3)),
        boxes=("value",),
    ),
)
