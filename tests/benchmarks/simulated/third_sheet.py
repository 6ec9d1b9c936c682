"""A third sheet for the simulated class: sixteen exercises of the same kinds, set without a look at what they reveal.

What is tuned or checked on the first two sheets can be measured here once more, on exercises that neither of them holds.
"""

from .problems import Exercise, Vector, sheet_row

THIRD_SHEET: tuple[Exercise, ...] = (
    Exercise(
        sheet_row(
            "36",
            "Two tugs swing a tanker off the jetty. Find their joint pull.",
            "resultant",
            "27.5 kN at 100°; 44.0 kN at 205°",
            unit="kN",
        ),
        (Vector(27.5, 100), Vector(44, 205)),
    ),
    Exercise(
        sheet_row(
            "37",
            "Two deckhands drag a crate across the deck. Find the resultant by the parallelogram.",
            "resultant",
            "560 N at 290°; 830 N at 349°",
            method="parallelogram",
            unit="N",
            magnitude_to="1",
        ),
        (Vector(560, 290), Vector(830, 349)),
    ),
    Exercise(
        sheet_row(
            "38",
            "A patrol boat makes two runs. Where is it from the harbour mouth?",
            "resultant",
            "6.5 km S 34° E; 11.2 km N 77° E",
            direction_as="quadrant bearing",
            unit="km",
            magnitude_to="0.01",
        ),
        (Vector(6.5, 34, "quadrant", "S", "E"), Vector(11.2, 77, "quadrant", "N", "E")),
    ),
    Exercise(
        sheet_row(
            "39",
            "Three chains hold a floating crane. Find the resultant by components.",
            "resultant",
            "15 kN at 50°; 22 kN at 165°; 12 kN at 300°",
            method="components",
            unit="kN",
        ),
        (Vector(15, 50), Vector(22, 165), Vector(12, 300)),
    ),
    Exercise(
        sheet_row(
            "40",
            "A survey launch sails three legs. Where is it from its first buoy?",
            "resultant",
            "240 m at bearing 065°; 310 m at bearing 172°; 150 m at bearing 260°",
            direction_as="true bearing",
            unit="m",
            magnitude_to="1",
            direction_to="1",
        ),
        (Vector(240, 65, "true"), Vector(310, 172, "true"), Vector(150, 260, "true")),
    ),
    Exercise(
        sheet_row(
            "41",
            "Two cables pull on the head of a derrick. Which third pull holds it still?",
            "equilibrant",
            "72 kN at 195°; 58 kN at 278°",
            unit="kN",
        ),
        (Vector(72, 195), Vector(58, 278)),
    ),
    Exercise(
        sheet_row(
            "42",
            "A gull drone flies at the first velocity, a mapping drone at the second. "
            "Find the velocity of the gull drone seen from the mapping drone.",
            "difference",
            "8.5 m/s at 320°; 5.2 m/s at 48°",
            unit="m/s",
            magnitude_to="0.01",
        ),
        (Vector(8.5, 320), Vector(5.2, 48)),
    ),
    Exercise(
        sheet_row(
            "43",
            "A trawler runs straight to its fishing ground. How far east and north has it come?",
            "components",
            "26 km N 64° W",
            "components",
            direction_as="",
            unit="km",
        ),
        (Vector(26, 64, "quadrant", "N", "W"),),
        boxes=("x", "y"),
    ),
    Exercise(
        sheet_row(
            "44",
            "A gust strikes the container crane. Find the components of its velocity in kilometres per hour.",
            "components",
            "17.5 m/s at 38°",
            "components",
            direction_as="",
            unit="km/h",
        ),
        (Vector(17.5, 38),),
        factor=3.6,
        boxes=("x", "y"),
    ),
    Exercise(
        sheet_row(
            "45",
            "A dolphin post takes a push with these components. Find its size and direction.",
            "magnitude and direction",
            "(-9.6, -4.3) kN",
            unit="kN",
            magnitude_to="0.01",
        ),
        (Vector(said="pair", x=-9.6, y=-4.3),),
    ),
    Exercise(
        sheet_row(
            "46",
            "A raft has drifted as given (east, north). How far, and on what bearing?",
            "magnitude and direction",
            "(520, 275) m",
            direction_as="quadrant bearing",
            unit="m",
            magnitude_to="3 s.f.",
        ),
        (Vector(said="pair", x=520, y=275),),
    ),
    Exercise(
        sheet_row(
            "47",
            "A drone is to fly along the sea wall. Find its ground speed and the heading to steer.",
            "heading",
            "air speed 70 km/h; wind 22 km/h from W; track bearing 215°",
            direction_as="true bearing",
            unit="km/h",
        ),
        (Vector(22, 0, "point"), Vector(70, 215, "true")),
    ),
    Exercise(
        sheet_row(
            "48",
            "Two piers run out from one corner at the angle given. Solve the triangle that they make with the line "
            "between their ends.",
            "triangle",
            "a=52; b=71; C=68°",
            "triangle",
            direction_as="",
            unit="m",
        ),
        triangle={"a": 52, "b": 71, "C": 68},
        boxes=("c", "A", "B"),
    ),
    Exercise(
        sheet_row(
            "49",
            "Three buoys mark a turning basin, this far apart. Find the angles.",
            "triangle",
            "a=105; b=64; c=88",
            "triangle",
            direction_as="",
            unit="m",
        ),
        triangle={"a": 105, "b": 64, "c": 88},
        boxes=("A", "B", "C"),
    ),
    Exercise(
        sheet_row(
            "50",
            "From two lamps on the breakwater the angles to an anchored ship are taken. Solve the triangle.",
            "triangle",
            "A=58°; B=39°; c=240",
            "triangle",
            direction_as="",
            unit="m",
            magnitude_to="1",
        ),
        triangle={"A": 58, "B": 39, "c": 240},
        boxes=("a", "b", "C"),
    ),
    Exercise(
        sheet_row(
            "51",
            "Find the angle between the two gangways.",
            "angle between",
            "<-4, 1>; <3, 8>",
            "number",
            direction_as="",
        ),
        (Vector(said="pair", x=-4, y=1), Vector(said="pair", x=3, y=8)),
        boxes=("value",),
    ),
)
