"""The senses of a text of which only its answer is left: said in digits, mended, scanned into tokens, understood."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from grader.notation.astray import astray_reason
from grader.notation.bearings import bearings_kept
from grader.notation.beside import BESIDE_NOTE
from grader.notation.bracketed import without_named_at_end
from grader.notation.calculations import parted_at_commas, worked_out
from grader.notation.circles import has_too_many_digits
from grader.notation.claims import tells_another
from grader.notation.closeness import are_close
from grader.notation.closing import LAST_LINE_NOTE
from grader.notation.contradiction import contradicted_by, two_values
from grader.notation.giving_up import gives_up
from grader.notation.hearing import as_said
from grader.notation.impossible import says_both, says_none
from grader.notation.leftovers import left_out, lost_part
from grader.notation.limits import LONGEST_LOOKED_AT_TWICE
from grader.notation.manner import without_method
from grader.notation.meanings import kinds_of
from grader.notation.parts import WORKING_NOTE
from grader.notation.pieces import Token
from grader.notation.readings import (
    GIVEN_UP,
    BoxKind,
    DecimalMark,
    Direction,
    Meaning,
    NoSolution,
    Polar,
    Sense,
)
from grader.notation.reference import with_references_behind, with_units_behind
from grader.notation.remarks import (
    has_size,
    lies_in,
    named_quadrant,
    passed_over,
    unsaid,
    without_parts_named,
    without_size,
)
from grader.notation.same_angle import with_radians_known
from grader.notation.scanner import scan
from grader.notation.seafaring import as_sailed, points_from_nowhere, unsaid_at_sea
from grader.notation.sentences import without_passed
from grader.notation.slips import repaired
from grader.notation.spoken import from_words, in_one_line
from grader.notation.statements import meanings
from grader.notation.units_apart import two_units, with_unit_joined
from grader.notation.values import TWICE_NOTE
from grader.notation.vector_sums import last_sum, named_first

NOT_KNOWN = "is not a word or sign that is known here"
NO_FORM = "the parts do not make a form of answer that is known"
ANOTHER = "is another direction than the one that follows"
TWO_VALUES = "two values for one thing"
NOT_IN_QUADRANT = "the direction does not lie in the quadrant that is named"


def every_sense(
    text: str, box: BoxKind, mark: DecimalMark, notes: Sequence[str] = (), passing: bool = False
) -> tuple[list[Sense], str]:
    """The senses of both scans of a text, or why there is none; ``passing`` as in _senses."""
    said = _said(text, box)
    said.notes.extend(notes)
    senses, doubt, reason = _senses(said, box, mark, False, passing)
    if doubt and (senses or len(text) <= LONGEST_LOOKED_AT_TWICE):
        senses += _senses(said, box, mark, True, passing)[0]
    return (distinct(senses) if len(senses) > 1 else senses), reason


def senses_at_once(text: str, box: BoxKind, mark: DecimalMark) -> tuple[list[Sense], bool]:
    """The senses of the first scan of a text, and whether a second scan may find others."""
    senses, doubt, _ = _senses(_said(text, box), box, mark, False)
    return senses, doubt


def distinct(senses: list[Sense]) -> list[Sense]:
    """The senses without those that mean the same as one before."""
    kept: list[Sense] = []
    for sense in senses:
        if all(sense.meaning != known.meaning for known in kept):
            kept.append(sense)
    return kept


class _Said(NamedTuple):
    """A text before it is scanned: as written, with its number words in digits, and what it says of an angle's size."""

    text: str
    in_digits: str
    size: str
    notes: list[str]


def _said(text: str, box: BoxKind) -> _Said:
    text, remark = without_method(text)
    text = as_said(text, box)
    if box == "components":
        text = last_sum(text)
    elif box == "polar":
        text = named_first(text)
    size = ""
    if box in ("angle", "direction", "quantity"):
        text = in_one_line(text)
        text, size = without_size(without_parts_named(text))
    notes = [f"left out a remark on the method: {remark}"] if remark else []
    return _Said(text, as_sailed(from_words(text, notes), box, notes), size, notes)


def _senses(
    said: _Said, box: BoxKind, mark: DecimalMark, second: bool, passing: bool = False
) -> tuple[list[Sense], bool, str]:
    """The senses of one scan, whether a second scan may find others, and why there is none.

    ``passing`` says that words of a sentence may be passed over.
    """
    text, size, notes = said.text, said.size, said.notes.copy()
    written = said.in_digits
    if box in ("components", "polar") and "," in written and ("sin" in written or "cos" in written):
        written = parted_at_commas(written)
    mended, choice = repaired(worked_out(written, mark, notes), box, mark, second, notes)
    result = scan(mended, box, mark, second)
    tokens = with_references_behind(with_units_behind(with_unit_joined(result.tokens, box)), box)
    if box == "quantity":
        tokens = without_named_at_end(tokens)
    doubt = result.doubt or choice
    if box in ("angle", "direction", "polar"):
        tokens = with_radians_known(tokens)
    if passing:
        tokens, note = without_passed(mended, tokens, box)
        notes.append(note)
    kinds = kinds_of(tokens)
    missing = (
        unsaid(text, tokens, kinds, box)
        or unsaid_at_sea(said.in_digits, tokens, kinds, box)
        or points_from_nowhere(said.in_digits, box)
        or two_units(tokens, kinds, box)
    )
    if missing:
        return [], doubt, missing
    if ("?" in kinds or "0" in kinds) and gives_up(text, kinds):
        return [], False, GIVEN_UP
    if "0" in kinds and says_none(mended, tokens):
        return [Sense(NoSolution())], False, ""
    if "0" in kinds and says_both(mended, tokens):
        return [], False, "gives a value and says that something is impossible"
    found = meanings(tokens, box)
    if not found:
        value, note = passed_over(mended, tokens, box)
        found = meanings(value, box)
        notes.append(note)
    if not found:
        return [], doubt, _why(tokens, kinds)
    if has_too_many_digits([meaning for meaning, _ in found], tokens, box):
        return [], doubt, "no angle has more than three digits before its decimals"
    found = bearings_kept(found, tokens)
    if box == "quantity":
        found = [(_length_alone(meaning), more) for meaning, more in found]
    if box in ("direction", "polar") and len(found) == 1 and WORKING_NOTE in found[0][1]:
        meaning = found[0][0]
        direction = meaning.direction if isinstance(meaning, Polar) else meaning
        if isinstance(direction, Direction) and (other := contradicted_by(tokens, direction)):
            return [], doubt, f"“{other}” {ANOTHER}"
    if clash := two_values(text, tokens, kinds, box):
        return [], doubt, f"{clash} are {TWO_VALUES}"
    astray = astray_reason([meaning for meaning, _ in found], tokens, text, box)
    if astray:
        return [], doubt, astray
    quadrant = named_quadrant(text)
    if quadrant and len(found) > 1:
        found = [one for one in found if lies_in(one[0], quadrant)] or found
    if quadrant and not all(lies_in(meaning, quadrant) for meaning, _ in found):
        return [], doubt, NOT_IN_QUADRANT
    left = [_left_out(tokens, meaning, more) for meaning, more in found]
    if (
        len(found) == 1
        and left[0]
        and LAST_LINE_NOTE not in found[0][1]
        and BESIDE_NOTE not in found[0][1]
        and (lost := lost_part(tokens, found[0][0], left[0], box))
    ):
        return [], doubt, f"it is not clear what “{lost}” belongs to"
    if len(found) == 1 and left[0] and box in ("quantity", "angle", "direction") and tells_another(text):
        return [], doubt, f"it is not clear whether “{left[0][0]}” or the other is the answer"
    if size:
        if not all(has_size(meaning, size) for meaning, _ in found):
            return [], doubt, f"the angle is not {size}, as it is said to be"
        notes.append(f"said to be {size}, and is")
    notes = [note for note in (*notes, *result.notes) if note]
    senses = [
        Sense(meaning, _notes(notes, more) if notes or more else (), out)
        for (meaning, more), out in zip(found, left, strict=True)
    ]
    return senses, doubt, ""


def _length_alone(meaning: Meaning) -> Meaning:
    """A length whose direction is no more than its own number again: ``6√2 m (about 8.49)``."""
    if not isinstance(meaning, Polar) or meaning.magnitude is None or meaning.direction is None:
        return meaning
    length, direction = meaning.magnitude.number, meaning.direction
    bare = direction.form == "plain angle" and not direction.sign
    return (
        meaning.magnitude
        if bare and are_close(length.value, direction.written, length.place, direction.place)
        else meaning
    )


def _left_out(tokens: Sequence[Token], meaning: Meaning, notes: tuple[str, ...]) -> tuple[str, ...]:
    """What left_out finds, but for the other form of an answer that stands in two, and nothing beside."""
    return () if TWICE_NOTE in notes and WORKING_NOTE not in notes else left_out(tokens, meaning)


def _notes(scanned: list[str], more: tuple[str, ...]) -> tuple[str, ...]:
    """All notes, without those on working that was left out."""
    if WORKING_NOTE in more:
        scanned = [note for note in scanned if "left standing" not in note]
    return tuple(dict.fromkeys((*scanned, *more)))


def _why(tokens: Sequence[Token], kinds: str) -> str:
    if "?" in kinds:
        return f"“{tokens[kinds.index('?')].text}” {NOT_KNOWN}"
    if not any(kind in "nma" for kind in kinds):
        return "no number and no direction in it"
    return NO_FORM
