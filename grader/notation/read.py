"""Reads what students write: ``read("62.0 lb at S 83° E", "polar")`` is a length of 62.0 lb and a direction of 353°.

A text is cleaned (cleaning.py, encoding.py), mended (spoken.py, misread.py, slips.py), scanned into tokens (scanner.py) and
understood: as one value or vector (values.py, by the forms of grammar.py), or as several statements (statements.py). Every
doubt is kept: a reading has all senses of its text. The rules by which doubts are settled stand in data/rules.toml.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from grader.notation.astray import astray_reason
from grader.notation.beside import BESIDE_NOTE
from grader.notation.calculations import parted_at_commas, worked_out
from grader.notation.circles import has_too_many_digits
from grader.notation.cleaning import plain
from grader.notation.closing import LAST_LINE_NOTE, called_the_answer, is_complete
from grader.notation.contradiction import contradicted_by
from grader.notation.corners import with_parts_named
from grader.notation.corrections import (
    CORRECTED_NOTE,
    NOT_SAID_AGAIN,
    Correction,
    correction,
    corrects_the_unit,
    is_partial,
    may_correct,
    takes_back,
    tells_a_side,
    with_earlier_unit,
)
from grader.notation.encoding import unscrambled
from grader.notation.everyday import everyday_reading
from grader.notation.expressions import MAX_BRACKETS
from grader.notation.giving_up import gives_up
from grader.notation.hearing import as_said, spoken_commas
from grader.notation.layouts import laid_out
from grader.notation.leftovers import left_out, lost_part
from grader.notation.limits import LONGEST_LOOKED_AT_TWICE, MAX_EQUALS, MAX_LENGTH, MAX_PIECES, nests_deeper
from grader.notation.manner import without_equation_as_reason, without_method, without_reason, without_regret
from grader.notation.meanings import kinds_of, quantity
from grader.notation.parts import WORKING_NOTE
from grader.notation.pieces import PIECE, Token
from grader.notation.readings import (
    GIVEN_UP,
    POINT,
    UNFINISHED,
    BoxKind,
    Conventions,
    DecimalMark,
    Direction,
    Meaning,
    NoSolution,
    Polar,
    Quantity,
    Reading,
    Sense,
    Several,
)
from grader.notation.reasons import (
    has_telling_reason,
    holds_more,
    is_another,
    leaves_a_choice,
    leaves_a_right_angle,
    may_stand,
    rests_on_a_reason,
)
from grader.notation.reference import with_references_behind, with_units_behind
from grader.notation.remarks import (
    SHORTEST_REMARK,
    has_size,
    is_unfinished,
    lies_in,
    may_remark,
    named_quadrant,
    passed_over,
    says_both,
    says_none,
    silence,
    unsaid,
    without_parts_named,
    without_size,
)
from grader.notation.same_angle import with_radians_known
from grader.notation.sameness import with_unit
from grader.notation.scanner import scan
from grader.notation.seafaring import as_sailed, points_from_nowhere, unsaid_at_sea
from grader.notation.sentences import SENTENCE_NOTE, is_sentence, right_angle, stated, without_passed
from grader.notation.slips import repaired
from grader.notation.spoken import from_words, in_one_line
from grader.notation.spreadsheet import cell_text, date_in_text, date_reason, is_missing
from grader.notation.statements import meanings
from grader.notation.values import TWICE_NOTE
from grader.notation.vector_sums import last_sum, named_first

CACHE_SIZE = 100_000


_MAY_HAVE_ASIDES = re.compile(
    r"[\n√⇒?±]|=[^=]*=|~~|\[ ?[-\d]|sin|cos|tan|check|verif|proof|hop|same|know|dunno|idk|unk|forgot|no (?:idea|clue)|wrong|with"
    r"|couldn|could not|can'?t|didn|sure"
    r"|[dty] be\b|right a|\bQ|\blet\b|\((?:correct|maybe|i think|i guess|not sure|is )",
    re.IGNORECASE,
)
"""One of these is in every text with working, or with a remark of its student's on the answer, and in few others."""


def read(text: object, box: BoxKind, conventions: Conventions = POINT) -> Reading:
    """Everything that a cell's content can mean, as an answer in a box of this kind.

    ``text`` is a string, or a number or date as a spreadsheet program hands it over. Never raises: what cannot be read
    has a ``reason``, an empty cell is ``blank``.

    >>> read("62.0 lb", "quantity").senses[0].meaning.number.value
    62.0
    >>> read("S 83° E", "direction").senses[0].meaning.angle
    353.0
    """
    if type(text) is str:
        return _read_text(text, box, conventions)
    if is_missing(text):
        return Reading("")
    if isinstance(text, datetime.date):
        return Reading(str(text), reason=date_reason(text.month, text.day, text.year))
    written, reason = cell_text(text)
    if reason:
        return Reading(written, reason=reason)
    return _read_text(written, box, conventions if isinstance(text, str) else POINT)


@lru_cache(maxsize=CACHE_SIZE)
def _read_text(text: str, box: BoxKind, conventions: Conventions) -> Reading:
    if conventions.decimal_mark != "comma" or "." not in text:
        everyday = everyday_reading(text, box)
        if everyday is not None:
            return everyday
    return _read_thoroughly(text, box, conventions)


def _read_thoroughly(text: str, box: BoxKind, conventions: Conventions) -> Reading:
    if len(text) > MAX_LENGTH:
        return Reading(text, reason=f"longer than {MAX_LENGTH} characters; answers are shorter")
    cleaned = plain(text)
    silent = silence(cleaned)
    if silent is not None:
        return Reading(text, reason=silent)
    if len(cleaned) > MAX_LENGTH:
        return Reading(text, reason=f"longer than {MAX_LENGTH} characters; answers are shorter")
    if nests_deeper(cleaned, MAX_BRACKETS):
        # Each bracket that never closes is tried both as a product and as a remark: the tries double with every one.
        return Reading(text, reason=f"more than {MAX_BRACKETS} brackets inside each other")
    if len(cleaned) > MAX_PIECES and len(PIECE.findall(cleaned)) > MAX_PIECES:
        return Reading(text, reason=f"more than {MAX_PIECES} numbers, words and signs; answers have fewer")
    if cleaned.count("=") > MAX_EQUALS:
        return Reading(text, reason=f"more than {MAX_EQUALS} equals signs; answers have fewer")
    if may_remark(cleaned) and is_unfinished(cleaned):
        begun = any(map(str.isdigit, from_words(cleaned, [])))
        return Reading(text, reason=UNFINISHED if begun else GIVEN_UP)
    dated = date_in_text(cleaned)
    if dated:
        return Reading(text, reason=dated)
    notes: list[str] = []
    quadrant = 0
    if box == "triangle":
        cleaned = with_parts_named(laid_out(cleaned))
    if _MAY_HAVE_ASIDES.search(cleaned) is not None:
        from grader.notation.asides import without_asides

        quadrant = named_quadrant(cleaned)
        cleaned, aside = without_asides(cleaned, text, box, conventions.decimal_mark, notes)
        if aside:
            return Reading(text, reason=aside)
    reading = _read_answer(text, cleaned, box, conventions.decimal_mark, notes)
    if quadrant and not all(lies_in(sense.meaning, quadrant) for sense in reading.senses):
        return Reading(text, reason=NOT_IN_QUADRANT)
    return reading


NOT_IN_QUADRANT = "the direction does not lie in the quadrant that is named"


def _read_answer(text: str, cleaned: str, box: BoxKind, mark: DecimalMark, notes: list[str]) -> Reading:
    """The reading of a text of which only its answer, perhaps with working and corrections, is left."""
    called = called_the_answer(cleaned)
    if called and (answer := _called_sense(called, box, mark)) is not None:
        return Reading(text, (replace(answer, meaning=_with_unit_of_working(answer.meaning, cleaned, box, mark)),))
    taken_back = correction(cleaned) if may_correct(cleaned) else None
    if taken_back is None and corrects_the_unit(cleaned):
        return Reading(text, reason=NOT_SAID_AGAIN)
    if taken_back is not None:
        corrected = _corrected_sense(taken_back, box, mark)
        if corrected is not None:
            return Reading(text, (corrected,))
        if is_partial(taken_back, box) or (box == "direction" and tells_a_side(taken_back.before)):
            return Reading(text, reason=NOT_SAID_AGAIN)
    remarked = may_remark(cleaned)
    if remarked and "=" in cleaned and (shown := without_equation_as_reason(cleaned, box)):
        found = _called_sense(shown, box, mark, parts=box == "triangle")
        if found is not None:
            return Reading(text, (found,))
    stated_alone = without_reason(cleaned, box) if remarked else cleaned
    if box == "polar" and len(stated_alone) > SHORTEST_REMARK:
        stated_alone = without_regret(stated_alone)
    noted = list(notes)
    if not text.isascii() and unscrambled(text) != text:
        noted.append("put right signs that came in another encoding")
    commas = spoken_commas(stated_alone, box, mark) if " comma " in stated_alone.lower() else None
    senses, reason = _every_sense(stated_alone if commas is None else commas.text, box, mark, noted)
    if commas is not None and commas.other and (commas.both or not senses):
        senses = _distinct([*senses, *_every_sense(commas.other, box, mark, noted)[0]])
    turned = remarked or (box == "angle" and "right" in cleaned) or " but " in cleaned
    if (not senses or turned) and reason not in (GIVEN_UP, UNFINISHED) and is_sentence(cleaned):
        senses, reason = _of_sentence(cleaned, box, mark, senses, reason)
        astray = astray_reason([sense.meaning for sense in senses], (), cleaned, box) if senses else ""
        if astray:
            return Reading(text, reason=astray)
    return Reading(text, tuple(senses)) if senses else Reading(text, reason=reason)


def _every_sense(
    text: str, box: BoxKind, mark: DecimalMark, notes: Sequence[str] = (), passing: bool = False
) -> tuple[list[Sense], str]:
    """The senses of both scans of a text, or why there is none; ``passing`` as in _senses."""
    said = _said(text, box)
    said.notes.extend(notes)
    senses, doubt, reason = _senses(said, box, mark, False, passing)
    if doubt and (senses or len(text) <= LONGEST_LOOKED_AT_TWICE):
        senses += _senses(said, box, mark, True, passing)[0]
    return (_distinct(senses) if len(senses) > 1 else senses), reason


def _of_sentence(
    text: str, box: BoxKind, mark: DecimalMark, senses: list[Sense], reason: str
) -> tuple[list[Sense], str]:
    """The senses of a text of sentences, where it has none as a whole or none but what stands in a reason."""
    if leaves_a_choice(text):
        return [], "weighs one answer against another"
    parts = stated(text, box)
    told = has_telling_reason(parts)
    crossed = leaves_a_right_angle(parts, box, senses)
    lost = bool(parts.left_out) and any(sense.left_out for sense in senses)
    if senses and not (told or crossed or lost):
        return senses, reason
    square = right_angle(parts, box)
    found = [square] if square is not None else senses
    if square is None and parts.kept != text:
        found = _every_sense(parts.kept, box, mark)[0]
    found = found or _every_sense(parts.kept, box, mark, passing=True)[0]
    if (
        found
        and not (crossed and square is None)
        and not holds_more(senses, found)
        and all(may_stand(sense, parts, box) for sense in found)
    ):
        return [replace(sense, notes=(*sense.notes, SENTENCE_NOTE)) for sense in found], ""
    if crossed or (told and (rests_on_a_reason(parts, senses) or is_another(found, senses, box))):
        return [], "it is not clear what is the answer and what a reason for it"
    return senses, reason


def _with_unit_of_working(meaning: Meaning, text: str, box: BoxKind, mark: DecimalMark) -> Meaning:
    """A length with the unit that the same number has in the working: ``R = 45.9 N`` and then ``Answer: (45.9; 45.8°)``."""
    length = meaning.magnitude if isinstance(meaning, Polar) else meaning
    if not isinstance(length, Quantity) or length.unit is not None:
        return meaning
    tokens = scan(from_words(text, []), box, mark).tokens
    for index, token in enumerate(tokens):
        behind = kinds_of(tokens[index : index + 2])
        if token.number is None or token.number.value != length.number.value or (token.kind != "m" and behind != "nN"):
            continue
        return with_unit(meaning, quantity(tokens[index : index + (1 if token.kind == "m" else 2)]).unit)
    return meaning


def _called_sense(text: str, box: BoxKind, mark: DecimalMark, parts: bool = False) -> Sense | None:
    """The one sense of what a student calls the answer, where that is all that the box asks for."""
    senses, doubt, _ = _senses(_said(text, box), box, mark, False)
    if len(senses) != 1 or doubt or isinstance(senses[0].meaning, Several) or senses[0].left_out:
        return None
    if not is_complete(senses[0].meaning, box) and not parts:
        return None
    return replace(senses[0], notes=(*senses[0].notes, WORKING_NOTE))


def _corrected_sense(said: Correction, box: BoxKind, mark: DecimalMark) -> Sense | None:
    """The one sense of what a student puts in place of the rest, where that is all that the box asks for."""
    senses, doubt, _ = _senses(_said(said.after, box), box, mark, False)
    if len(senses) != 1 or doubt or senses[0].left_out:
        return None
    meaning, notes = senses[0].meaning, senses[0].notes
    if isinstance(meaning, Direction) and meaning.form == "plain angle" and tells_a_side(said.before):
        return None  # to the left and less than 15° above the horizontal, I'd say 14.6°
    if not (box == "triangle" or is_complete(meaning, box)) or not takes_back(said, meaning, box):
        return None
    if said.size and not has_size(meaning, said.size):
        return None
    if box in ("quantity", "polar", "components"):
        before = _senses(_said(said.before, box), box, mark, False)[0]
        if before and isinstance(before[0].meaning, Several):
            return None
        meaning = with_earlier_unit(meaning, before[0].meaning if len(before) == 1 else None)
    return Sense(meaning, (*notes, CORRECTED_NOTE.format(said.words)))


def _distinct(senses: list[Sense]) -> list[Sense]:
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
    tokens, doubt = with_references_behind(with_units_behind(result.tokens)), result.doubt or choice
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
    if box in ("direction", "polar") and len(found) == 1 and WORKING_NOTE in found[0][1]:
        meaning = found[0][0]
        direction = meaning.direction if isinstance(meaning, Polar) else meaning
        if isinstance(direction, Direction) and (other := contradicted_by(tokens, direction)):
            return [], doubt, f"“{other}” is another direction than the one that follows"
    astray = astray_reason([meaning for meaning, _ in found], tokens, text, box)
    if astray:
        return [], doubt, astray
    quadrant = named_quadrant(text)
    if quadrant and not all(lies_in(meaning, quadrant) for meaning, _ in found):
        return [], doubt, NOT_IN_QUADRANT
    left = [() if TWICE_NOTE in more else left_out(tokens, meaning) for meaning, more in found]
    if (
        len(found) == 1
        and left[0]
        and LAST_LINE_NOTE not in found[0][1]
        and BESIDE_NOTE not in found[0][1]
        and (lost := lost_part(tokens, found[0][0], left[0], box))
    ):
        return [], doubt, f"it is not clear what “{lost}” belongs to"
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


def _notes(scanned: list[str], more: tuple[str, ...]) -> tuple[str, ...]:
    """All notes, without those on working that was left out."""
    if WORKING_NOTE in more:
        scanned = [note for note in scanned if "left standing" not in note]
    return tuple(dict.fromkeys((*scanned, *more)))


def _why(tokens: Sequence[Token], kinds: str) -> str:
    if "?" in kinds:
        return f"“{tokens[kinds.index('?')].text}” is not a word or sign that is known here"
    if not any(kind in "nma" for kind in kinds):
        return "no number and no direction in it"
    return "the parts do not make a form of answer that is known"
