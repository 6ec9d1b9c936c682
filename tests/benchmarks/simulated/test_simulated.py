"""The hand arithmetic of the simulated class against itself, against other routes, and against printed textbook values."""

import cmath
import math
import re
from collections import Counter
from functools import cache

import pytest

from . import PROBLEMS, Answer, Exercise, class_misconception, right_answers, students, wrong_answers
from .arithmetic import methods_of, right_answer, worked
from .hand import Hand, half_up, significant_exponent
from .judging import Written, apart, double_origins, early_decimals, is_right, right_rooms, single_origins
from .mistakes import Way, pairs_of_mistakes, single_mistakes
from .problems import HEADINGS, Vector, quadrant_to_standard
from .pupils import SHARES, visible_early, visible_mistakes
from .sheets import SHEETS

ALL = [exercise for sheet in SHEETS.values() for exercise in sheet]
BY_LABEL = {exercise.label: exercise for exercise in ALL}
PLANE = [exercise for exercise in ALL if exercise.find in ("resultant", "equilibrant", "difference")]
EACH_SHEET = pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)


@cache
def wrong(sheet: tuple[Exercise, ...]) -> list[Answer]:
    return wrong_answers(7, 3000, sheet)


def each(find: str) -> pytest.MarkDecorator:
    """The test runs once for every problem of this kind."""
    kind = [exercise for exercise in ALL if exercise.find == find]
    assert kind, find
    return pytest.mark.parametrize("exercise", kind, ids=lambda exercise: exercise.label)


def plain(find: str, vectors: tuple[Vector, ...] = (), **more: object) -> Exercise:
    """An exercise outside the list, for printed values."""
    row = dict(PROBLEMS[0]) | {"Problem": "printed", "Find": find, "Method": ""}
    return Exercise(row, vectors, **more)  # type: ignore[arg-type]


def arrow(vector: Vector) -> complex:
    return (
        complex(vector.x, vector.y)
        if vector.said == "pair"
        else cmath.rect(vector.size, math.radians(vector.direction))
    )


def degrees(number: complex) -> float:
    return math.degrees(cmath.phase(number)) % 360.0


# --- right answers by another route ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("exercise", PLANE, ids=lambda exercise: exercise.label)
def test_sums_agree_with_complex_numbers_by_every_method(exercise: Exercise) -> None:
    first, *rest = (arrow(vector) for vector in exercise.vectors)
    total = first - sum(rest) if exercise.find == "difference" else first + sum(rest)
    total = -total if exercise.find == "equilibrant" else total
    for method in methods_of(exercise):
        values = worked(exercise, method)
        assert values["magnitude"] == pytest.approx(abs(total), abs=1e-9)
        assert values["direction"] == pytest.approx(degrees(total), abs=1e-9)


@each("components")
def test_components_are_the_parts_of_a_complex_number(exercise: Exercise) -> None:
    number = arrow(exercise.vectors[0]) * exercise.factor
    assert right_answer(exercise) == pytest.approx({"x": number.real, "y": number.imag}, abs=1e-9)


@each("magnitude and direction")
def test_size_and_direction_are_those_of_a_complex_number(exercise: Exercise) -> None:
    number = arrow(exercise.vectors[0])
    assert right_answer(exercise) == pytest.approx({"magnitude": abs(number), "direction": degrees(number)})


@each("heading")
def test_heading_and_wind_add_up_to_the_track(exercise: Exercise) -> None:
    wind, track = exercise.vectors
    answer = right_answer(exercise)
    over_ground = cmath.rect(track.size, math.radians(answer["direction"])) + arrow(wind)
    assert apart("direction", degrees(over_ground), track.direction) == pytest.approx(0.0, abs=1e-9)
    assert abs(over_ground) == pytest.approx(answer["magnitude"])


@each("triangle")
def test_triangles_close_when_drawn(exercise: Exercise) -> None:
    """C at the origin, a and b laid off from it: the third side must be c, and its ends must show the angles A and B."""
    parts = exercise.triangle | right_answer(exercise)
    b_end = cmath.rect(parts["a"], 0.0)
    a_end = cmath.rect(parts["b"], math.radians(parts["C"]))
    assert abs(a_end - b_end) == pytest.approx(parts["c"])
    assert math.degrees(abs(cmath.phase((0 - b_end) / (a_end - b_end)))) == pytest.approx(parts["B"])
    assert math.degrees(abs(cmath.phase((0 - a_end) / (b_end - a_end)))) == pytest.approx(parts["A"])


@each("angle between")
def test_angle_between_is_a_difference_of_directions(exercise: Exercise) -> None:
    one, two = (degrees(arrow(vector)) for vector in exercise.vectors)
    assert right_answer(exercise)["value"] == pytest.approx(apart("direction", one, two))


def test_bearings_from_each_pole_and_side() -> None:
    """Surveying practice (from memory): counted from north or south toward east or west."""
    assert quadrant_to_standard("N", 35, "E") == 55
    assert quadrant_to_standard("N", 50, "W") == 140
    assert quadrant_to_standard("S", 28, "W") == 242
    assert quadrant_to_standard("S", 62, "E") == 332
    assert Vector(1, 140, "true").direction == 310


# --- printed values -------------------------------------------------------------------------------------------------------


def test_textbook_resultants() -> None:
    # OpenStax College Physics 2e, 3.3: 81.2 m at 36.6° N of E; Precalculus 2e, 8.8: 212.7 mph at bearing 142.8°.
    answer = right_answer(plain("resultant", (Vector(53, 20), Vector(34, 63))))
    assert (round(answer["magnitude"], 1), round(answer["direction"], 1)) == (81.2, 36.6)
    answer = right_answer(plain("resultant", (Vector(200, 140, "true"), Vector(16.2, 180, "true"))))
    assert (round(answer["magnitude"], 1), round(90 - answer["direction"] % 360 + 360, 1)) == (212.7, 142.8)


def test_textbook_heading() -> None:
    # OpenStax Precalculus 2e, 8.8, exercises: N 4.424° W.
    answer = right_answer(plain("heading", (Vector(60, 45, "point"), Vector(550, 90, "point"))))
    assert round(answer["direction"] - 90, 3) == 4.424


@pytest.mark.parametrize(
    ("given", "printed"),
    [
        # OpenStax Precalculus 2e, 8.2, exercises; for the last angle, exactly 98.32°, it prints 180 − 37.8 − 43.8 = 98.4.
        ({"C": 121.0, "a": 21.0, "b": 37.0}, {"A": 20.6, "B": 38.4, "c": 51.1}),
        ({"a": 3.1, "b": 3.5, "c": 5.0}, {"A": 37.8, "B": 43.8, "C": 98.3}),
    ],
)
def test_textbook_triangles(given: dict[str, float], printed: dict[str, float]) -> None:
    answer = right_answer(plain("triangle", triangle=given, boxes=tuple(printed)))
    assert {box: round(value, 1) for box, value in answer.items()} == printed


def test_textbook_angle_between() -> None:
    # OpenStax Precalculus 2e, 8.8, example: 59.5°.
    exercise = plain(
        "angle between", (Vector(said="pair", x=-3, y=4), Vector(said="pair", x=5, y=12)), boxes=("value",)
    )
    assert round(right_answer(exercise)["value"], 1) == 59.5


@pytest.mark.parametrize(
    ("find", "vectors", "magnitude", "direction"),
    [
        # OpenStax University Physics Volume 1, 2.3. The tug-of-war: 158.1 N at 18.1° S of W for exactly 158.155 and 18.14°.
        ("equilibrant", (Vector(160, -55), Vector(200, 30), Vector(140, 145)), 158.1, 198.1),
        # The skier's way back: 6.2 km, 21° S of E, for exactly 20.4°.
        ("equilibrant", (Vector(5, 90), Vector(3, 180), Vector(4, 225)), 6.2, 360 - 20.8),
        # x = 12.7 cm and y = 3.1 cm, for an exact y of 3.158 cm.
        ("resultant", (Vector(10, 35), Vector(7, -110), Vector(8, 30)), 13.1, 13.7),
    ],
)
def test_textbooks_that_rounded_early(
    find: str, vectors: tuple[Vector, ...], magnitude: float, direction: float
) -> None:
    """Each is reached with one decimal in the components, the inverse tangent keyed in one go."""
    values = worked(plain(find, vectors), "components", {}, Hand(1, ratios=False))
    assert {box: round(value or 0.0, 1) for box, value in values.items()} == {
        "magnitude": magnitude,
        "direction": direction,
    }


# --- mistakes by another route --------------------------------------------------------------------------------------------

TUGS = plain("resultant", (Vector(45, 20), Vector(30, 310)))


def mistaken(mistake: str, method: str, **steps: str) -> tuple[float | None, float | None]:
    assert any(way.mistakes == (mistake,) and way.steps == tuple(steps.items()) for way in single_mistakes(TUGS))
    values = worked(TUGS, method, steps)
    return tuple(None if values[box] is None else round(values[box] or 0.0, 2) for box in TUGS.boxes)  # type: ignore[return-value]


def test_the_worked_example() -> None:
    answer = right_answer(TUGS)
    assert (round(answer["magnitude"], 2), round(answer["direction"], 2)) == (62.04, 352.97)


def test_mistakes_of_the_worked_example() -> None:
    # The other diagonal of the parallelogram: |45 − 30∠290°| by complex numbers.
    other = abs(cmath.rect(45, 0) - cmath.rect(30, math.radians(70)))
    assert mistaken("supplement-not-taken", "parallelogram", supplement="not taken")[0] == round(other, 2)
    assert mistaken("cosine-sign-flipped", "parallelogram", cosine="sign flipped")[0] == round(other, 2)
    # 2025 + 900 is 2925; the root 54.08; the inverse tangent of 2/3 is 33.69°, laid off clockwise from 20°.
    assert mistaken("right-angle-assumed", "parallelogram", cosine="right angle") == (54.08, 346.31)
    # 2925 + 1350 cos 70° = 3386.73.
    assert mistaken("two-dropped", "parallelogram", cosine="two dropped")[0] == round(math.sqrt(3386.73), 2)
    # (2925 − 2700) cos 110° = −76.95: the sign dropped, and a sine of 3.2 has no angle.
    assert mistaken("cosine-last", "parallelogram", cosine="cosine last") == (8.77, None)
    # θ = 27.03° between the 45 and the resultant.
    assert mistaken("inner-angle-only", "parallelogram", **{"laid off": "not"})[1] == 27.03
    assert mistaken("turned-wrong-way", "parallelogram", **{"laid off": "wrong way"})[1] == 47.03
    assert mistaken("angle-from-other-force", "parallelogram", **{"laid off": "from the other"})[1] == 337.03
    # X = 42.286 + 19.284 and Y = 15.391 − 22.981: exchanged, added, squared without brackets, with + for every −.
    assert mistaken("components-swapped", "components", sums="swapped") == (62.04, 97.03)
    assert mistaken("tangent-upside-down", "components", tangent="upside down") == (62.04, 277.03)
    assert mistaken("squares-not-taken", "components", length="sum")[0] == round(61.5697 + 7.5902, 2)
    assert mistaken("negative-square-lost", "components", length="minus square")[0] == 61.1
    assert mistaken("signs-dropped", "components", signs="dropped") == (72.55, 31.93)
    minus = cmath.rect(45, math.radians(20)) - cmath.rect(30, math.radians(310))
    assert mistaken("subtracted-not-added", "components", combine="subtracted") == (
        round(abs(minus), 2),
        round(degrees(minus), 2),
    )


def test_radians_throughout() -> None:
    X = 45 * math.cos(20) + 30 * math.cos(310)
    Y = 45 * math.sin(20) + 30 * math.sin(310)
    magnitude, direction = mistaken("radian-mode", "components", calculator="radians")
    assert magnitude == round(math.hypot(X, Y), 2)
    shown = math.atan(Y / X)
    placed = 180 + shown if X < 0 else shown % 360
    assert direction == round(placed, 2)


@pytest.mark.parametrize("exercise", PLANE, ids=lambda exercise: exercise.label)
def test_a_mistake_that_both_methods_share_gives_one_answer(exercise: Exercise) -> None:
    shared = {"subtracted-not-added", "not-reversed", "reversed", "bearing-from-wrong-axis", "bearing-turned-wrong-way"}
    shared |= {"bearing-as-standard-angle", "answer-from-wrong-axis", "answer-letters-wrong"}
    ways = [way for way in single_mistakes(exercise) if way.mistakes[0] in shared]
    for way in ways:
        for method in methods_of(exercise):
            other = Way(way.mistakes, method, way.steps).answer(exercise)
            for box in exercise.boxes:
                one, two = way.answer(exercise)[box], other[box]
                assert one is not None and two is not None  # noqa: PT018
                assert apart(box, one, two) < 1e-9


def test_every_pair_differs_from_both_of_its_mistakes_and_from_the_right_answer() -> None:
    for exercise in ALL:
        right = right_answer(exercise)
        for pair in pairs_of_mistakes(exercise):
            assert len(set(pair.mistakes)) == 2
            values = pair.answer(exercise)
            assert all(value is None or math.isfinite(value) for value in values.values())
            assert set(values) == set(right)


# --- rounding -------------------------------------------------------------------------------------------------------------


def test_rounding_as_taught() -> None:
    assert half_up(12.25, -1) == 12.3
    assert half_up(-7.5902, -1) == -7.6
    assert half_up(1234.0, 1) == 1230.0
    assert [significant_exponent(value, 3) for value in (62.04, 0.0123, 99.96, 6416.6)] == [-1, -4, 0, 1]


def test_honest_working_stays_within_the_room() -> None:
    for exercise in ALL:
        right, room = right_answer(exercise), right_rooms(exercise)
        for method in methods_of(exercise):
            for hand in (Hand(4), Hand(4, ratios=False), Hand(asked=True), Hand(4, asked=True)):
                for box, value in worked(exercise, method, {}, hand).items():
                    assert value is not None
                    assert apart(box, value, right[box]) <= room[box] + 1e-9, (exercise.label, method, hand, box)


def test_rooms_are_small_beside_the_places_asked() -> None:
    """Otherwise nothing could be called wrong; only a result taken on as rounded may cost most of a place."""
    for exercise in ALL:
        room = right_rooms(exercise)
        for box in exercise.boxes:
            if box in ("x", "y", "magnitude", "value"):
                assert room[box] < 0.02, (exercise.label, box, room[box])


# --- the pupils -----------------------------------------------------------------------------------------------------------


def written(answer_numbers: tuple[tuple[str, float, int], ...]) -> tuple[Written, ...]:
    return tuple(Written(*number) for number in answer_numbers)


@EACH_SHEET
def test_the_problems_are_rows_of_the_sheet(sheet: tuple[Exercise, ...]) -> None:
    assert len(sheet) >= 14
    assert all(tuple(exercise.row) == HEADINGS for exercise in sheet)
    assert len(BY_LABEL) == len(ALL)


@pytest.mark.parametrize("exercise", ALL, ids=lambda exercise: exercise.label)
def test_the_numbers_beside_a_row_are_those_typed_in_it(exercise: Exercise) -> None:
    """Every number under `Given` stands among the data, and no vector holds a number that is not given."""
    given = [abs(float(number)) for number in re.findall(r"\d+(?:\.\d+)?", exercise.row["Given"])]
    held = [abs(number) for number in exercise.triangle.values()]
    for vector in exercise.vectors:
        if vector.said == "pair":
            held += [abs(vector.x), abs(vector.y)]
        else:
            held += [vector.size, *([vector.angle] if vector.said != "point" else [])]
    assert sorted(held) == sorted(given)


@EACH_SHEET
def test_the_same_seed_gives_the_same_answers(sheet: tuple[Exercise, ...]) -> None:
    assert wrong_answers(7, 300, sheet) == wrong(sheet)[:300]
    assert wrong_answers(8, 300, sheet) != wrong(sheet)[:300]
    assert right_answers(7, 50, sheet) == right_answers(7, 50, sheet)
    assert students(7, 5, sheet) == students(7, 5, sheet)


@EACH_SHEET
def test_answers_are_to_the_problems_of_the_sheet(sheet: tuple[Exercise, ...]) -> None:
    labels = {exercise.label for exercise in sheet}
    assert {answer.problem for answer in wrong(sheet)} == labels
    assert {answer.problem for answer in right_answers(7, 2000, sheet)} == labels


@EACH_SHEET
def test_kinds_come_in_their_shares(sheet: tuple[Exercise, ...]) -> None:
    answers = wrong(sheet)
    counted = Counter(answer.truth for answer in answers)
    for kind, share in SHARES:
        # Four standard deviations of a share among 3000.
        assert abs(counted[kind] / len(answers) - share) < 4 * math.sqrt(share * (1 - share) / len(answers))


@EACH_SHEET
def test_wrong_answers_are_wrong_and_right_ones_right(sheet: tuple[Exercise, ...]) -> None:
    for answer in wrong(sheet):
        if answer.numbers:
            assert not is_right(BY_LABEL[answer.problem], written(answer.numbers)), answer
    for answer in right_answers(7, 2000, sheet):
        assert is_right(BY_LABEL[answer.problem], written(answer.numbers)), answer


@EACH_SHEET
def test_every_answer_is_what_its_truth_gives(sheet: tuple[Exercise, ...]) -> None:
    """The written digits lead back to the mistakes made, within half of each place and the room for honest working."""
    for answer in wrong(sheet):
        exercise, parts = BY_LABEL[answer.problem], written(answer.numbers)
        if answer.truth in ("one mistake", "slip") and parts:
            assert answer.mistakes[0] in single_origins(exercise, parts), answer
        if answer.truth == "two mistakes":
            assert answer.mistakes in double_origins(exercise, parts), answer
        if answer.truth == "rounded early":
            assert answer.decimals in early_decimals(exercise, parts), answer


@EACH_SHEET
def test_what_is_told_apart_has_no_rival(sheet: tuple[Exercise, ...]) -> None:
    for answer in wrong(sheet):
        rivals = set(answer.alike) | set(answer.alike_pairs)
        assert answer.told_apart == (not rivals), answer
        if answer.truth in ("one mistake", "slip"):
            assert not set(answer.mistakes) & set(answer.alike)


@EACH_SHEET
def test_the_text_holds_the_number(sheet: tuple[Exercise, ...]) -> None:
    for answer in [*wrong(sheet), *right_answers(7, 500, sheet)]:
        texts = dict(answer.boxes)
        for box, value, exponent in answer.numbers:
            digits = re.search(r"-?\d+(?:\.\d+)?", texts[box])
            assert digits is not None, answer
            decimals = len(digits.group().partition(".")[2])
            assert decimals == max(0, -exponent), answer
            if box != "direction":
                assert float(digits.group()) == value, answer


@EACH_SHEET
def test_every_mistake_that_shows_is_made(sheet: tuple[Exercise, ...]) -> None:
    made = {mistake for answer in wrong_answers(11, 6000, sheet) for mistake in answer.mistakes}
    assert {mistake for exercise in sheet for mistake in visible_mistakes(exercise)} <= made


@EACH_SHEET
def test_early_rounding_leaves_the_band_somewhere_in_every_kind_of_problem(sheet: tuple[Exercise, ...]) -> None:
    assert 3 * sum(bool(visible_early(exercise)) for exercise in sheet) >= 2 * len(sheet)


@EACH_SHEET
def test_a_class_has_habits(sheet: tuple[Exercise, ...]) -> None:
    room = students(3, 150, sheet)
    common = class_misconception(3)
    holders = sum(sum(common in answer.mistakes for answer in answers) >= 3 for _, answers in room)
    assert 15 <= holders <= 70
    assert all([answer.problem for answer in answers] == [e.label for e in sheet] for _, answers in room)
    assert len({student for student, _ in room}) == 150
