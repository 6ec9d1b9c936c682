"""A marked class made by hand: 66 invented students of a harbour course, six problems, every verdict.

The table is built by plain rules below and not by the engine, so that the reports are checked against figures that
anyone can work out from the same rules.
"""

from __future__ import annotations

from grader.methods.problem import Problem, Rounding
from grader.methods.solution import Line, PartKey, Solution, Working
from grader.notation.given import GivenVectors

FIRST_NAMES = (
    *("Adaeze", "Søren", "Mei-Ling", "Seán", "Zoë", "Đorđe", "Guðrún", "Łukasz", "Ngọc Ánh", "Itziar", "ליאורה"),
    *("Maximiliane Friederike Charlotte", "Ömer", "Anaïs", "Tāne", "Kwabena", "Ilse", "Ravi", "Chiara", "Nils"),
    *("Oyuunchimeg", "João"),
)
LAST_NAMES = ("Okonkwo", "O'Driscoll van der Westhuizen-Kjærgaard", "بن يوسف")

LABELS = ("1", "2a", "2b", "3", "4", "10")
PARTS = {label: ("x", "y") if label == "3" else ("magnitude", "direction") for label in LABELS}
POSSIBLE = {label: (1.0, 2.0) if label == "4" else (2.0, 2.0) for label in LABELS}

# written, read as, verdict, share of the points (None: not decided), mistake, chance, note
KINDS = (
    ("62.0 N", "62.0 N", "right", 1.0, "", None, ""),
    ("62.00", "62.00 N", "right", 1.0, "", None, ""),
    ("215°", "215°", "right, other form", 1.0, "", None, "read as an angle in standard position"),
    ("62", "62 N", "rounded too far", 0.75, "", None, ""),
    ("61.4 N", "61.4 N", "rounded early", 0.75, "", None, ""),
    ("6° S of E", "354°", "follows on", 1.0, "", None, ""),
    ("-7.6", "−7.6", "wrong", 0.0, "sine-cosine-swapped", 0.93, ""),
    ('=HYPERLINK("http://example.org")', "", "wrong", 0.0, "", None, ""),
    ("+44.1 N", "44.1 N", "wrong", 0.0, "supplement-not-taken / cosine-sign-flipped", 0.81, ""),
    ("@SUM(A1)", "", "wrong", 0.0, "radian-mode + sign-lost", 0.55, ""),
    ("", "", "blank", 0.0, "", None, ""),
    ("6 2.0", "", "needs a look", None, "", None, "can be read as 62.0 or as 6 and 2.0"),
    ("[bold]??[/bold]", "", "needs a look", None, "", None, "cannot be read: “?” is no number"),
    ("see my drawing", "", "decided", 0.5, "", None, "cannot be read: no number in it"),
)
DECIDED = "the drawing shows it"


def student(number: int) -> tuple[str, str, str]:
    """Id, name and section; some ids look like numbers, and two students share a name."""
    id_ = ("007", "7")[number] if number < 2 else f"H{1000 + number}"
    name = "Ilse Brandt" if number in (3, 40) else f"{FIRST_NAMES[number % 22]} {LAST_NAMES[number // 22]}"
    return id_, name, "AB"[number // 4 % 2]


def rows(students: int = 66) -> list[dict[str, object]]:
    """The rows of the marks, by the rules: the kind of an answer follows from the student's and the part's number."""
    table = []
    for number in range(students):
        id_, name, section = student(number)
        for place, label in enumerate(LABELS):
            for side, part in enumerate(PARTS[label]):
                # Three quarters of the class write something right; the others go through every kind.
                kind = (number + 5 * place + 3 * side) % (len(KINDS) if number % 4 == 0 else 6)
                written, read_as, verdict, share, mistake, chance, note = KINDS[kind]
                possible = POSSIBLE[label][side]
                table.append(
                    {
                        "student_id": id_,
                        "name": name,
                        "section": section,
                        "problem": label,
                        "part": part,
                        "written": written,
                        "read_as": read_as,
                        "expected": "62.0 N",
                        "verdict": verdict,
                        "points": float("nan") if share is None else share * possible,
                        "points_possible": possible,
                        "mistake": mistake,
                        "mistake_chance": float("nan") if chance is None else chance,
                        "other_mistakes": "",
                        "feedback": "Right." if verdict == "right" else "Go through your working line by line. " * 3,
                        "note": note,
                        "decided": DECIDED if share == 0.5 else "",
                        "attempt": "1",
                    }
                )
    return table


def solutions() -> tuple[Solution, ...]:
    return tuple(_solution(label) for label in LABELS)


def _solution(label: str) -> Solution:
    problem = Problem(
        label=label,
        find="resultant",
        given=GivenVectors(()),
        question="Two tugs pull a barge with 45 N at 20° and 30 N at 310°. Find the resultant. " * 2,
        given_text="45 N at 20°; 30 N at 310°",
        answer_as="components" if label == "3" else "magnitude and direction",
        method="parallelogram",
        magnitude_to=Rounding("place", 0.1),
        points=POSSIBLE[label],
    )
    keys = tuple(
        PartKey(
            part, 352.9703 if side else 62.0426, 1.0 if side else 0.1, 0.003, f"{part} of {label}", points, side == 1
        )
        for side, (part, points) in enumerate(zip(PARTS[label], POSSIBLE[label]))
    )
    # By hand, with a pocket calculator: R² = 45² + 30² − 2 · 45 · 30 · cos 110° = 3848.45
    chained = Working(
        "parallelogram",
        (
            Line("triangle angle", f"180° − 70° = 110° ({label})"),
            Line("law of cosines", "R² = 45² + 30² − 2 · 45 · 30 · cos 110° = 3848.4544"),
            Line("length", "R = √3848.4544 = 62.0359"),
        ),
    )
    summed = Working("components", (Line("x-sum", f"X = 42.2862 + 19.2836 = 61.5698 ({label})"),), asked=False)
    warnings = ("The two forces are nearly at a right angle.",) if label == "2b" else ()
    return Solution(problem, keys, (chained, summed), warnings=warnings)
