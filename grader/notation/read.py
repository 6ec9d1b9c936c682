"""Reads what students write: ``read("62.0 lb at S 83° E", "polar")`` is a length of 62.0 lb and a direction of 353°.

A text is cleaned (cleaning.py, encoding.py), mended (spoken.py, misread.py, slips.py), scanned into tokens (scanner.py) and
understood: as one value or vector (values.py, by the forms of grammar.py), or as several statements (statements.py). Every
doubt is kept: a reading has all senses of its text. The rules by which doubts are settled stand in data/rules.toml.
"""

from __future__ import annotations

import datetime
import re
from dataclasses import replace
from functools import lru_cache

from grader.notation.astray import A_SIDE_ALONE, astray_reason, is_beside_the_box
from grader.notation.cleaning import plain
from grader.notation.closing import called_the_answer, is_complete
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
from grader.notation.disowned import DISOWNED, disowned_by, is_crossed_out
from grader.notation.encoding import unscrambled
from grader.notation.everyday import everyday_reading
from grader.notation.expressions import MAX_BRACKETS
from grader.notation.hearing import spoken_commas
from grader.notation.idle import without_idle
from grader.notation.layouts import laid_out
from grader.notation.limits import MAX_EQUALS, MAX_LENGTH, MAX_PIECES, nests_deeper
from grader.notation.manner import without_equation_as_reason, without_reason, without_regret
from grader.notation.meanings import kinds_of, quantity
from grader.notation.numbering import behind_number
from grader.notation.origin import may_name_origin, with_origin_named
from grader.notation.parts import WORKING_NOTE
from grader.notation.pieces import PIECE
from grader.notation.readings import (
    GIVEN_UP,
    POINT,
    UNFINISHED,
    BoxKind,
    Conventions,
    DecimalMark,
    Direction,
    Meaning,
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
from grader.notation.reference_angles import without_reference_angle
from grader.notation.remarks import (
    SHORTEST_REMARK,
    has_size,
    is_unfinished,
    lies_in,
    may_remark,
    named_quadrant,
    silence,
)
from grader.notation.sameness import with_unit
from grader.notation.scanner import scan
from grader.notation.senses import (
    ANOTHER,
    NO_FORM,
    NOT_IN_QUADRANT,
    NOT_KNOWN,
    TWO_VALUES,
    distinct,
    every_sense,
    senses_at_once,
)
from grader.notation.sentences import SENTENCE_NOTE, is_sentence, right_angle, stated
from grader.notation.signed import without_sign_explained
from grader.notation.spoken import from_words
from grader.notation.spreadsheet import cell_text, date_in_text, date_reason, is_missing
from grader.notation.talk import NOT_THE_ANSWER, TALK_NOTE, Talk, is_of_the_talk, may_talk, stands, without_talk

CACHE_SIZE = 100_000


_DOT_PRODUCT = re.compile(r"\W*[A-Za-zûâ]\S{0,2}[ ]?[·.•∙⋅][ ]?[A-Za-zûâ]\S{0,2} ?= ?-?[\d.,]+\W*")
_REFERENCE = re.compile(r"ref|related", re.IGNORECASE)

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
    if box in ("angle", "direction") and _DOT_PRODUCT.fullmatch(text) is not None:
        return Reading(text, reason="a dot product is a step to an angle")
    dated = date_in_text(cleaned)
    if dated:
        return Reading(text, reason=dated)
    notes: list[str] = []
    if box in ("direction", "polar") and may_name_origin(cleaned):
        cleaned, open_turn = with_origin_named(cleaned, box, notes)
        if open_turn:
            return Reading(text, reason=open_turn)
    if box in ("direction", "polar") and "re" in cleaned.lower() and _REFERENCE.search(cleaned) is not None:
        cleaned = without_reference_angle(cleaned, notes)
    referred = bool(notes)
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
    if behind := behind_number(cleaned):
        other = _read_answer(text, behind, box, conventions.decimal_mark, notes)
        if other.senses:
            reading = Reading(text, tuple(distinct([*reading.senses, *other.senses])))
    if quadrant and not all(lies_in(sense.meaning, quadrant) for sense in reading.senses):
        return Reading(text, reason=NOT_IN_QUADRANT)
    if referred and any(
        isinstance(sense.meaning, Polar) and sense.meaning.direction is None for sense in reading.senses
    ):
        return Reading(text, reason="a reference angle, and no direction")
    return reading


def _read_answer(text: str, cleaned: str, box: BoxKind, mark: DecimalMark, notes: list[str]) -> Reading:
    """The reading of a text of which only its answer, perhaps with working, corrections and talk, is left."""
    talks = may_talk(cleaned)
    beside = without_talk(cleaned, box, numbers_only=True) if talks else None
    if beside is not None:
        reading = _read_beside(text, beside, box, mark, notes)
        if reading is not None:
            return reading
    reading = _read_said(text, cleaned, box, mark, notes)
    if beside is not None and is_of_the_talk(reading.senses, beside):
        return Reading(text, reason=NOT_THE_ANSWER)
    if (
        talks
        and (beside is None or len(cleaned) <= LONGEST_WEIGHED_AGAIN)
        and reading.reason.endswith(_MAY_BE_TALK)
        and (more := without_talk(cleaned, box, numbers_only=False)) is not None
    ):
        return _read_beside(text, more, box, mark, notes) or reading
    return reading


def _read_beside(text: str, talk: Talk, box: BoxKind, mark: DecimalMark, notes: list[str]) -> Reading | None:
    """The one sense of a text without what is said beside its answer, where that may stand alone."""
    reading = _read_said(text, talk.kept, box, mark, notes)
    if reading.reason.endswith(_MAY_BE_TALK) and not talk.remarks and len(talk.kept) <= LONGEST_WEIGHED_AGAIN:
        more = without_talk(talk.kept, box, numbers_only=False)
        if more is None:
            return None
        talk = more._replace(other=talk.other)
        reading = _read_said(text, talk.kept, box, mark, notes)
    if len(reading.senses) != 1 or not stands(reading.senses[0], talk, box):
        return None
    sense = reading.senses[0]
    return replace(reading, senses=(replace(sense, notes=(*sense.notes, TALK_NOTE)),))


LONGEST_WEIGHED_AGAIN = 130
"""A longer text is weighed without its other numbers, or without its remarks, not without both in turn."""

_MAY_BE_TALK = (NOT_KNOWN, NO_FORM, ANOTHER, A_SIDE_ALONE, DISOWNED, TWO_VALUES)


def _read_said(text: str, cleaned: str, box: BoxKind, mark: DecimalMark, notes: list[str]) -> Reading:
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
    if not text.isascii() and is_crossed_out(text):
        return Reading(text, reason="crossed out")
    if disowning := disowned_by(cleaned, box):
        return Reading(text, reason=f"“{disowning}” {DISOWNED}")
    cleaned = without_idle(cleaned, box, notes)
    if box == "quantity":
        cleaned = without_sign_explained(cleaned)
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
    senses, reason = every_sense(stated_alone if commas is None else commas.text, box, mark, noted)
    if commas is not None and commas.other and (commas.both or not senses):
        senses = distinct([*senses, *every_sense(commas.other, box, mark, noted)[0]])
    turned = remarked or (box == "angle" and "right" in cleaned) or " but " in cleaned
    if (not senses or turned) and reason not in (GIVEN_UP, UNFINISHED) and is_sentence(cleaned):
        senses, reason = _of_sentence(cleaned, box, mark, senses, reason)
        astray = astray_reason([sense.meaning for sense in senses], (), cleaned, box) if senses else ""
        if astray:
            return Reading(text, reason=astray)
    if not senses:
        return Reading(text, reason=reason)
    if all(
        is_beside_the_box(sense.meaning, sense.left_out, cleaned, box, WORKING_NOTE in sense.notes) for sense in senses
    ):
        lost = senses[0].left_out[0] if senses[0].left_out else ""
        return Reading(
            text,
            reason=f"it is not clear what “{lost}” belongs to"
            if lost
            else "it is not clear which of its values is the answer",
        )
    return Reading(text, tuple(senses))


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
        found = every_sense(parts.kept, box, mark)[0]
    found = found or every_sense(parts.kept, box, mark, passing=True)[0]
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
    senses, doubt = senses_at_once(text, box, mark)
    if len(senses) != 1 or doubt or isinstance(senses[0].meaning, Several) or senses[0].left_out:
        return None
    if not is_complete(senses[0].meaning, box) and not parts:
        return None
    return replace(senses[0], notes=(*senses[0].notes, WORKING_NOTE))


def _corrected_sense(said: Correction, box: BoxKind, mark: DecimalMark) -> Sense | None:
    """The one sense of what a student puts in place of the rest, where that is all that the box asks for."""
    senses, doubt = senses_at_once(said.after, box, mark)
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
        before = senses_at_once(said.before, box, mark)[0]
        if before and isinstance(before[0].meaning, Several):
            return None
        meaning = with_earlier_unit(meaning, before[0].meaning if len(before) == 1 else None)
    return Sense(meaning, (*notes, CORRECTED_NOTE.format(said.words)))
