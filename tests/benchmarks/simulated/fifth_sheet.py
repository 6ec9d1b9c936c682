"""A fifth sheet for the simulated class: sixteen exercises of the same kinds, set without a look at what they reveal.

What is tuned or checked on the first four sheets can be measured here once more, on exercises that none of them holds.
"""

from .problems import Exercise, Vector, sheet_row

FIFTH_SHEET: tuple[Exercise, ...] = (
    Exercise(
        sheet_row(
            "68",
            "Two tugs ease a container ship out of its berth. What single pull would do the same?",
            "resultant",
            "34.5 kN at 8°; 41.5 kN at 129°",
            unit="kN",
        ),
        (Vector(34.5, 8), Vector(41.5, 129)),
    ),
    Exercise(
        sheet_row(
            "69",
            "A buoy tender sails to one buoy and on to the next. Find its displacement by the parallelogram.",
            "resultant",
            "12.6 km N 18° E; 4.5 km N 83° E",
            direction_as="quadrant bearing",
            method="parallelogram",
            unit="km",
            direction_to="1",
        ),
        (Vector(12.6, 18, "quadrant", "N", "E"), Vector(4.5, 83, "quadrant", "N", "E")),
    ),
    Exercise(
        sheet_row(
            "70",
            "A drone inspects three cranes one after the other. Where is it then from its start? Work by components.",
            "resultant",
            "430 m at bearing 118°; 275 m at bearing 024°; 360 m at bearing 301°",
            direction_as="true bearing",
            method="components",
            unit="m",
        ),
        (Vector(430, 118, "true"), Vector(275, 24, "true"), Vector(360, 301, "true")),
    ),
    Exercise(
        sheet_row(
            "71",
            "A water taxi calls at an island and goes on to the marina. Find its displacement; "
            "count the direction from east.",
            "resultant",
            "3.8 km S 56° E; 7.1 km S 12° W",
            unit="km",
            magnitude_to="0.01",
        ),
        (Vector(3.8, 56, "quadrant", "S", "E"), Vector(7.1, 12, "quadrant", "S", "W")),
    ),
    Exercise(
        sheet_row(
            "72",
            "Two tugs pull on a grounded freighter, which does not move. Find by components the force that holds it.",
            "equilibrant",
            "26.5 kN at 143°; 24.0 kN at 216°",
            method="components",
            unit="kN",
        ),
        (Vector(26.5, 143), Vector(24, 216)),
    ),
    Exercise(
        sheet_row(
            "73",
            "A customs launch has the first velocity, a sloop the second. Find the velocity of the launch seen from the sloop.",
            "difference",
            "16.5 km/h at 211°; 7.5 km/h at 96°",
            unit="km/h",
        ),
        (Vector(16.5, 211), Vector(7.5, 96)),
    ),
    Exercise(
        sheet_row(
            "74",
            "A capstan and a sailor haul on one mooring ring. Find the resultant by the parallelogram.",
            "resultant",
            "920 N at 64°; 210 N at 187°",
            method="parallelogram",
            unit="N",
            magnitude_to="1",
        ),
        (Vector(920, 64), Vector(210, 187)),
    ),
    Exercise(
        sheet_row(
            "75",
            "A supply ship goes straight out to a platform. How far east and north has it come?",
            "components",
            "33 km S 73° E",
            "components",
            direction_as="",
            unit="km",
        ),
        (Vector(33, 73, "quadrant", "S", "E"),),
        boxes=("x", "y"),
    ),
    Exercise(
        sheet_row(
            "76",
            "A sea breeze drives a lost balloon over the docks. Find the components of its velocity in metres per second.",
            "components",
            "27 km/h at 163°",
            "components",
            direction_as="",
            unit="m/s",
            magnitude_to="0.01",
        ),
        (Vector(27, 163),),
        factor=1 / 3.6,
        boxes=("x", "y"),
    ),
    Exercise(
        sheet_row(
            "77",
            "The load on a crane's pulley has these components. Find its size and direction.",
            "magnitude and direction",
            "(12.8, 5.7) kN",
            unit="kN",
            magnitude_to="0.01",
            direction_to="0.01",
        ),
        (Vector(said="pair", x=12.8, y=5.7),),
    ),
    Exercise(
        sheet_row(
            "78",
            "A diver surfaces at the point given (east, north of the boat). How far away is that, and in which direction?",
            "magnitude and direction",
            "(-187, 264) m",
            direction_as="quadrant bearing",
            unit="m",
            magnitude_to="3 s.f.",
            direction_to="1",
        ),
        (Vector(said="pair", x=-187, y=264),),
    ),
    Exercise(
        sheet_row(
            "79",
            "A drone is to carry a line out to a ship at anchor. Find its ground speed and the heading to fly.",
            "heading",
            "air speed 55 km/h; wind 18 km/h toward bearing 205°; track bearing 312°",
            direction_as="true bearing",
            unit="km/h",
        ),
        (Vector(18, 205, "true"), Vector(55, 312, "true")),
    ),
    Exercise(
        sheet_row(
            "80",
            "A floating pier has a bend in it. Solve the triangle that its two arms make with the line from end to end.",
            "triangle",
            "a=28; b=45; C=136°",
            "triangle",
            direction_as="",
            unit="m",
            magnitude_to="0.01",
        ),
        triangle={"a": 28, "b": 45, "C": 136},
        boxes=("c", "A", "B"),
    ),
    Exercise(
        sheet_row(
            "81",
            "The distances between three cranes on the quays are known. Find the angles of their triangle.",
            "triangle",
            "a=72; b=95; c=113",
            "triangle",
            direction_as="",
            unit="m",
        ),
        triangle={"a": 72, "b": 95, "c": 113},
        boxes=("A", "B", "C"),
    ),
    Exercise(
        sheet_row(
            "82",
            "A swimmer is seen from both corners of the boat ramp. Solve the triangle.",
            "triangle",
            "A=28°; B=117°; c=64",
            "triangle",
            direction_as="",
            unit="m",
        ),
        triangle={"A": 28, "B": 117, "c": 64},
        boxes=("a", "b", "C"),
    ),
    Exercise(
        sheet_row(
            "83",
            "Find the angle between the wakes of the two ferries.",
            "angle between",
            "<-7, 3>; <-2, 9>",
            "number",
            direction_as="",
            direction_to="1",
        ),
        (Vector(said="pair", x=-7, y=3), Vector(said="pair", x=-2, y=9)),
        boxes=("value",),
    ),
)
