"""The students of the sample class and what each writes on each problem, with what was meant by it."""

from __future__ import annotations

import csv
import dataclasses
import random
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from samples.by_hand import PROBLEMS, Care, Outcome, SampleProblem, work
from samples.pen import Habits, switch_digits

FOLDER = Path(__file__).resolve().parent
SEED = 20260312
PLAIN_LETTERS = str.maketrans(
    {"ø": "o", "Ø": "O", "ł": "l", "Ł": "L", "đ": "d", "Đ": "D", "ð": "d", "ß": "ss", "ı": "i", "æ": "ae"}
)
"""Letters that do not fall apart into a plain letter and a mark."""
WHOLE_ANSWERS_IN_B = frozenset("1345")
"""Problems for which the second section has one box for the whole answer."""


@dataclass(frozen=True)
class Pupil:
    student_id: str
    name: str
    section: str
    habits: Habits
    typed_numbers: bool
    plan: dict[str, str]

    @property
    def email(self) -> str:
        plain = unicodedata.normalize("NFKD", self.name.translate(PLAIN_LETTERS))
        words = "".join(c for c in plain if c.isascii() and (c.isalpha() or c in " -")).lower().split()
        return f"{'.'.join(words)}@example.org"


@dataclass(frozen=True)
class Written:
    """What stands in the boxes of a problem: one text for each part, or one for both; and what was meant."""

    texts: tuple[str, ...]
    meant: tuple[str, str]


def read_pupils() -> list[Pupil]:
    names = [field.name for field in dataclasses.fields(Habits)]
    with (FOLDER / "students.csv").open(encoding="utf-8", newline="") as file:
        return [
            Pupil(
                row["student_id"],
                row["name"],
                row["section"],
                # A blank cell is the usual habit; "none" is nothing at all.
                Habits(**{name: row[name].removeprefix("none") for name in names if row[name]}),
                row["typed"] == "numbers",
                {label: row[label] or "right" for label in PROBLEMS},
            )
            for row in csv.DictReader(file)
        ]


def read_hand_written() -> dict[tuple[str, str], Written]:
    """Answers written out in full, by student and problem."""
    found: dict[tuple[str, str], list[dict[str, str]]] = {}
    with (FOLDER / "hand_written.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            found.setdefault((row["student_id"], row["problem"]), []).append(row)
    answers = {}
    for key, rows in found.items():
        texts = tuple(row["written"] for row in rows)
        first, second = rows[0]["meant"].split(" | ") if len(rows) == 1 else (rows[0]["meant"], rows[1]["meant"])
        answers[key] = Written(texts, (first, second))
    return answers


def whole_box(pupil: Pupil, problem: SampleProblem) -> bool:
    """Whether this pupil's section has one box for the whole answer."""
    return pupil.section == "B" and problem.label in WHOLE_ANSWERS_IN_B


def same(value: float | None, other: float | None, decimals: int, circular: bool) -> bool:
    """Whether both numbers are the same when rounded to so many decimals."""
    if value is None or other is None:
        return value is other
    gap = round(value, decimals) - round(other, decimals)
    if circular:
        gap = (gap + 180) % 360 - 180
    return abs(gap) < 10.0**-decimals / 2


def outcome_of(action: str, problem: SampleProblem) -> Outcome:
    """What comes of an action of the plan that is a way of working."""
    label = problem.label
    word, _, rest = action.partition(" ")
    if word == "early":
        return work(label, care=Care(results=int(rest)))
    if word == "trig":
        return work(label, care=Care(ratios=int(rest)))
    if word == "by":
        method, _, mistakes = rest.partition(": ")
        return work(label, frozenset(mistakes.split("+")), by=method)
    return work(label, frozenset(action.split("+")))


def meant_by(action: str) -> str:
    word, _, rest = action.partition(" ")
    if word in {"early", "trig"}:
        return f"rounded early {rest}"
    mistakes = rest.partition(": ")[2] if word == "by" else action
    return f"mistake {mistakes.replace('+', ' + ')}"


def random_outcome(problem: SampleProblem, dice: random.Random) -> Outcome:
    """A wrong answer with nothing behind it, of a size that looks possible."""
    right = work(problem.label)
    assert right.first is not None
    first = right.first * dice.choice((dice.uniform(0.35, 0.8), dice.uniform(1.25, 1.9)))
    second = dice.uniform(-3, 3) if problem.parts == ("x", "y") else dice.uniform(0, 360)
    return Outcome(first, second)


class Hand:
    """One pupil at one problem: turns an action of the plan into what is written and what was meant."""

    def __init__(self, pupil: Pupil, problem: SampleProblem, dice: random.Random) -> None:
        self.habits, self.problem, self.dice = pupil.habits, problem, dice
        self.whole = whole_box(pupil, problem)
        self.right = work(problem.label)

    def write(self, plan: str) -> Written:
        actions = [action.strip() for action in plan.split("/")]
        if len(actions) == 1:
            return self.put_down(*self.answer(actions[0]))
        outcome, meant, hooks = self.answer(actions[0])
        return self.put_down(outcome, (meant[0], "right"), {**hooks, "only": "first"})

    def answer(self, action: str) -> tuple[Outcome, tuple[str, str], dict[str, str]]:
        """The numbers reached, what is meant by each part, and how the writing itself goes wrong."""
        word, _, rest = action.partition(" ")
        if action == "right":
            return self.right, ("right", "right"), {}
        if action == "blank":
            return Outcome(None, None), ("blank", "blank"), {}
        if action == "random":
            return random_outcome(self.problem, self.dice), ("random", "random"), {}
        if action == "far":
            return self.right, ("rounded too far", "rounded too far"), {"slip": "far"}
        if word == "follows":
            return self.follow_on(rest)
        if word == "slip":
            return self.slip(rest)
        outcome = outcome_of(action, self.problem)
        meant = meant_by(action)
        parts = zip((outcome.first, outcome.second), (self.right.first, self.right.second), self.problem.decimals)
        circular = (False, self.problem.parts[1] == "direction")
        words = ["right" if same(a, b, d, c) else meant for (a, b, d), c in zip(parts, circular, strict=True)]
        if outcome.second is None:
            words[1] = "blank"
        if meant.startswith("mistake") and words == ["right", "right"]:
            raise ValueError(f"problem {self.problem.label}: {action} gives the right answer; choose other numbers")
        return outcome, (words[0], words[1]), {}

    def follow_on(self, slip: str) -> tuple[Outcome, tuple[str, str], dict[str, str]]:
        """A slip in the length, and a direction worked out rightly from the wrong length."""
        assert self.right.first is not None
        wrong = float(switch_digits(f"{self.right.first:.{self.problem.decimals[0]}f}"))
        outcome = work(self.problem.label, given_length=wrong)
        return outcome, (f"slip {slip}", "follows on"), {}

    def slip(self, name: str) -> tuple[Outcome, tuple[str, str], dict[str, str]]:
        meant = (f"slip {name}", f"slip {name}")
        first, second = self.right.first, self.right.second
        assert first is not None
        assert second is not None
        if name == "decimal-point-moved":
            return Outcome(first * 10, second), (meant[0], "right"), {}
        if name == "sign-lost":
            return Outcome(-first, second), (meant[0], "right"), {}
        if name == "parts-interchanged" and self.problem.parts == ("x", "y"):
            return Outcome(second, first), meant, {}
        if name == "other-problem":  # the answer to the fifth problem in the boxes of the sixth
            return work("5"), meant, {}
        return self.right, meant, {"slip": name}

    def put_down(self, outcome: Outcome, meant: tuple[str, str], hooks: dict[str, str] | None = None) -> Written:
        hooks = hooks or {}
        slip, habits, problem = hooks.get("slip", ""), self.habits, self.problem
        if slip == "far":
            habits = dataclasses.replace(habits, places="one fewer")
        cut = slip == "cut-off"
        texts = self.components(outcome, habits, cut) if problem.parts == ("x", "y") else None
        if texts is None:
            second_habits = self.habits if "only" in hooks else habits
            texts = self.size_and_direction(outcome, habits, second_habits, slip, cut and "only" not in hooks)
        if self.whole and len(texts) == 2:
            number = habits.number(outcome.first, problem.decimals[0]) if outcome.first is not None else ""
            texts = (habits.write_whole(number, *texts, problem.unit),)
        return Written(texts, self.judge(meant, slip))

    def components(self, outcome: Outcome, habits: Habits, cut: bool) -> tuple[str, ...]:
        if self.whole:
            return (habits.write_vector(outcome, self.problem, cut),)
        pairs = zip((outcome.first, outcome.second), self.problem.decimals, strict=True)
        return tuple(
            "" if value is None else habits.write_part(habits.number(value, decimals, cut), self.problem.unit)
            for value, decimals in pairs
        )

    def size_and_direction(
        self, outcome: Outcome, habits: Habits, second_habits: Habits, slip: str, cut_second: bool
    ) -> tuple[str, str]:
        problem = self.problem
        size = direction = ""
        if outcome.first is not None:
            number = habits.number(outcome.first, problem.decimals[0], slip == "cut-off")
            if slip == "digits-switched":
                number = switch_digits(number)
            size = habits.write_size(number, problem.unit)
        if outcome.second is not None:
            direction = second_habits.write_direction(outcome, problem.decimals[1], problem.form, cut_second)
        return (direction, size) if slip == "parts-interchanged" else (size, direction)

    def judge(self, meant: tuple[str, str], slip: str) -> tuple[str, str]:
        """Finer words for right parts: the unit is missing, the form is another one; nothing lost by rounding far."""
        words = list(meant)
        problem, vector = self.problem, self.problem.parts == ("x", "y")
        for at, value in enumerate((self.right.first, self.right.second)):
            assert value is not None
            decimals = problem.decimals[at]
            dropped_zero = same(value, round(value, max(0, decimals - 1)), decimals, False)
            if words[at] == "rounded too far" and (decimals == 0 or dropped_zero):
                words[at] = "right"
            # 77.789 cut is 77.7, but 142.402 cut is 142.4 as it should be.
            if slip == "cut-off" and value * 10**decimals % 1 < 0.5:
                words[at] = "right"
            if words[at] != "right":
                continue
            template = self.habits.parts if vector else self.habits.size
            if (at == 0 or vector) and not self.habits.names_unit(template):
                words[at] = "unit missing"
            if at == 1 and not vector and self.habits.other_form(problem.form):
                words[at] = "right other form"
        return words[0], words[1]


def answers_of(pupils: Iterable[Pupil]) -> dict[tuple[str, str], Written]:
    hand_written = read_hand_written()
    answers = {}
    for pupil in pupils:
        for label, problem in PROBLEMS.items():
            key = (pupil.student_id, label)
            # A die for each answer: a change to one student changes no other's answers.
            dice = random.Random(f"{SEED} {pupil.student_id} {label}")
            plan = pupil.plan[label]
            answers[key] = hand_written.pop(key) if plan == "hand" else Hand(pupil, problem, dice).write(plan)
    if hand_written:
        raise ValueError(f"hand_written.csv has answers that no plan asks for: {sorted(hand_written)}")
    return answers
