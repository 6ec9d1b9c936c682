"""A fourth sheet for the simulated class: sixteen exercises of the same kinds, set without a look at what they reveal.

What is tuned or checked on the first three sheets can be measured here once more, on exercises that none of them holds.
"""

from .problems import Exercise, Vector, sheet_row

FOURTH_SHEET: tuple[Exercise, ...] = (
    Exercise(
        sheet_row(
            "52",
            "Two tugs press a coaster against the quay wall. Find the push of both together.",
            "resultant",
            "63 kN at 248°; 57 kN at 322°",
            unit="kN",
        ),
        (Vector(63, 248), Vector(57, 322)),
    ),
    Exercise(
        sheet_row(
            "53",
            "A strong tug and a weak one have their lines on a dry dock gate. Find the resultant by the parallelogram.",
            "resultant",
            "96 kN at 118°; 21 kN at 259°",
            method="parallelogram",
            unit="kN",
            direction_to="1",
        ),
        (Vector(96, 118), Vector(21, 259)),
    ),
    Exercise(
        sheet_row(
            "54",
            "Three slings of a crane meet at one shackle. Find the resultant by components.",
            "resultant",
            "6.4 kN at 78°; 9.1 kN at 192°; 4.7 kN at 231°",
            method="components",
            unit="kN",
            magnitude_to="0.01",
        ),
        (Vector(6.4, 78), Vector(9.1, 192), Vector(4.7, 231)),
    ),
    Exercise(
        sheet_row(
            "55",
            "A drone takes off from the harbour office and flies two legs. Where is it from the office?",
            "resultant",
            "850 m N 41° W; 620 m N 26° E",
            direction_as="quadrant bearing",
            unit="m",
            magnitude_to="1",
        ),
        (Vector(850, 41, "quadrant", "N", "W"), Vector(620, 26, "quadrant", "N", "E")),
    ),
    Exercise(
        sheet_row(
            "56",
            "A tug on its way to a wreck changes course once. Find its displacement.",
            "resultant",
            "5.3 km at bearing 283°; 8.8 km at bearing 196°",
            direction_as="true bearing",
            unit="km",
            magnitude_to="0.01",
        ),
        (Vector(5.3, 283, "true"), Vector(8.8, 196, "true")),
    ),
    Exercise(
        sheet_row(
            "57",
            "Two chains pull on a channel buoy. Which pull of a third chain keeps it in its place?",
            "equilibrant",
            "310 N at 335°; 445 N at 58°",
            unit="N",
            magnitude_to="1",
        ),
        (Vector(310, 335), Vector(445, 58)),
    ),
    Exercise(
        sheet_row(
            "58",
            "A lifeboat has the first velocity, a drifting barge the second. "
            "Find the velocity of the lifeboat seen from the barge.",
            "difference",
            "19 km/h N 15° W; 11 km/h S 48° W",
            direction_as="quadrant bearing",
            unit="km/h",
        ),
        (Vector(19, 15, "quadrant", "N", "W"), Vector(11, 48, "quadrant", "S", "W")),
    ),
    Exercise(
        sheet_row(
            "59",
            "A stay holds the mast of a floating crane. Find the components of the force in it.",
            "components",
            "7.35 kN at 304°",
            "components",
            direction_as="",
            unit="kN",
            magnitude_to="0.01",
        ),
        (Vector(7.35, 304),),
        boxes=("x", "y"),
    ),
    Exercise(
        sheet_row(
            "60",
            "A drone heads home from the lighthouse. Find the components of its velocity (east, north) "
            "in kilometres per hour.",
            "components",
            "6.2 m/s at bearing 341°",
            "components",
            direction_as="",
            unit="km/h",
        ),
        (Vector(6.2, 341, "true"),),
        factor=3.6,
        boxes=("x", "y"),
    ),
    Exercise(
        sheet_row(
            "61",
            "A boathook pushes off a dinghy with these components. Find the size and direction of the push.",
            "magnitude and direction",
            "(-44.5, 71.2) N",
            unit="N",
            direction_to="1",
        ),
        (Vector(said="pair", x=-44.5, y=71.2),),
    ),
    Exercise(
        sheet_row(
            "62",
            "A buoy torn loose in a gale is found where given (east, north of its station). How far off, and on what bearing?",
            "magnitude and direction",
            "(-6.8, -15.3) km",
            direction_as="true bearing",
            unit="km",
            magnitude_to="0.01",
        ),
        (Vector(said="pair", x=-6.8, y=-15.3),),
    ),
    Exercise(
        sheet_row(
            "63",
            "A barge under its own power is to keep due south down the channel. Find its speed over the ground and "
            "the heading to steer.",
            "heading",
            "water speed 9.5 km/h; current 2.8 km/h from NE; track S",
            direction_as="quadrant bearing",
            unit="km/h",
            magnitude_to="0.01",
        ),
        (Vector(2.8, 225, "point"), Vector(9.5, 270, "point")),
    ),
    Exercise(
        sheet_row(
            "64",
            "From a crane's foot two ropes run along the ground to two bollards. Solve the triangle of the foot and "
            "the bollards.",
            "triangle",
            "a=118; b=75; C=57°",
            "triangle",
            direction_as="",
            unit="m",
        ),
        triangle={"a": 118, "b": 75, "C": 57},
        boxes=("c", "A", "B"),
    ),
    Exercise(
        sheet_row(
            "65",
            "The sides of a three-cornered mooring basin have been measured. Find its angles.",
            "triangle",
            "a=46; b=83; c=59",
            "triangle",
            direction_as="",
            unit="m",
            direction_to="1",
        ),
        triangle={"a": 46, "b": 83, "c": 59},
        boxes=("A", "B", "C"),
    ),
    Exercise(
        sheet_row(
            "66",
            "Two watchmen at the ends of a jetty sight the same tug. Solve the triangle.",
            "triangle",
            "A=74°; B=52°; c=165",
            "triangle",
            direction_as="",
            unit="m",
        ),
        triangle={"A": 74, "B": 52, "c": 165},
        boxes=("a", "b", "C"),
    ),
    Exercise(
        sheet_row(
            "67",
            "Find the angle between the two tow ropes.",
            "angle between",
            "<-2, -6>; <5, 1>",
            "number",
            direction_as="",
        ),
        (Vector(said="pair", x=-2, y=-6), Vector(said="pair", x=5, y=1)),
        boxes=("value",),
    ),
)
