"""QTI Results Reporting 2.1, 2.2 and 3.0 (1EdTech): what candidates answered, one row for each response.

Files are XML, alone, in folders or in zip archives; each holds one person's session. A file that is damaged is named and
the rest are read. Nothing is ever unpacked onto the disk, and no name inside an archive is used as a path.
"""

from __future__ import annotations

import zipfile
import zlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from grader.errors import GraderError
from grader.exchange.cells import Row, quoted, some_of
from grader.exchange.limits import MOST_MEMBERS, check_archive, check_declarations, check_size
from grader.exchange.table import RawTable

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

HEADINGS = ("Student ID", "Item", "Part", "Attempt", "Submitted", "Response")
"""The columns of the table that is made of results."""

NAMESPACES = (
    "http://www.imsglobal.org/xsd/imsqti_result_v2p1",
    "http://www.imsglobal.org/xsd/imsqti_result_v2p2",
    "http://www.imsglobal.org/xsd/imsqti_result_v3p0",
)
"""The namespaces of the three versions; those of 2.1 and 2.2 from memory. Any other is read too."""
_NOT_ANSWERS = frozenset({"numattempts", "duration", "completionstatus"})  # built-in variables of every item
_ROOT = "assessmentResult"
_HEAD = 4096
_LONGEST_FILE = 20_000_000


@dataclass(frozen=True, slots=True)
class _Response:
    """A response variable of one item result: ``values`` as written, ``ordered`` where their order has a meaning."""

    identifier: str
    values: tuple[str, ...]
    ordered: bool = False


@dataclass(frozen=True, slots=True)
class _ItemResult:
    """One attempt at one item."""

    item: str
    attempt: int | None
    moment: str
    responses: tuple[_Response, ...]


def is_results(head: bytes) -> bool:
    """Whether a file that begins with these bytes is XML with QTI results."""
    plain = head.replace(b"\0", b"")
    return b"<" in plain[:8] and _ROOT.encode() in plain


def read_results(path: Path, notes: list[str]) -> RawTable | None:
    """The results in one file, folder or zip archive as a table with ``HEADINGS``; None where there are none.

    Damaged files, files of another kind and sessions that name no person are told in ``notes``. Raises GraderError for
    an archive that cannot be opened or is made to do harm.
    """
    rows: list[Row] = []
    read = 0
    for name, data in _files(path, notes):
        try:
            found = _session(data, name)
        except GraderError as error:
            notes.append(f"{error} The other files were read." if path.is_dir() or _is_zip(path) else str(error))
            continue
        read += 1
        if not found:
            notes.append(f"{name} holds no response of any item.")
        rows += found
    if not read:
        return None
    return RawTable(path, (HEADINGS, *rows), notes=(), made=True)


def _files(path: Path, notes: list[str]) -> Iterator[tuple[str, bytes]]:
    """(how the file is called, its bytes) of every XML file there."""
    if path.is_dir():
        yield from _in_folder(path, notes)
    elif _is_zip(path):
        yield from _in_archive(path, notes)
    else:
        check_size(path)
        yield path.name, path.read_bytes()


def _is_zip(path: Path) -> bool:
    return path.is_file() and zipfile.is_zipfile(path)


def _in_folder(folder: Path, notes: list[str]) -> Iterator[tuple[str, bytes]]:
    paths = [each for each in sorted(folder.rglob("*")) if each.is_file() and not each.is_symlink()]
    if len(paths) > MOST_MEMBERS:
        raise GraderError(f"{folder} holds {len(paths):,} files, more than the {MOST_MEMBERS:,} that are read.")
    others = []
    for each in paths:
        if each.suffix.casefold() != ".xml":
            others.append(each.name)
            continue
        name = str(each.relative_to(folder))
        if each.stat().st_size > _LONGEST_FILE:
            notes.append(f"{name} is too long to be one person's results and was not read.")
            continue
        try:
            yield name, each.read_bytes()
        except OSError as error:
            notes.append(f"{name} cannot be read: {error.strerror or error}. The other files were read.")
    _note_others(folder.name, others, notes)


def _in_archive(path: Path, notes: list[str]) -> Iterator[tuple[str, bytes]]:
    check_size(path)
    others = []
    try:
        with zipfile.ZipFile(path) as archive:
            check_archive(archive, path.name)
            for entry in archive.infolist():
                name = _plain_name(entry.filename)
                if entry.is_dir():
                    continue
                if not name.casefold().endswith(".xml"):
                    others.append(name)
                    continue
                if entry.file_size > _LONGEST_FILE:
                    notes.append(f"{name} is too long to be one person's results and was not read.")
                    continue
                try:
                    yield name, archive.read(entry)
                except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError):
                    notes.append(f"{name} in {path.name} is damaged and was not read. The other files were read.")
    except (zipfile.BadZipFile, OSError) as error:
        raise GraderError(f"{path.name} is damaged and cannot be opened; export the answers again.") from error
    _note_others(path.name, others, notes)


def _plain_name(name: str) -> str:
    """The last part of a name in an archive, for sentences only; signs that are not for print are left out."""
    last = PurePosixPath(name.replace("\\", "/")).name or "a file without a name"
    return "".join(sign for sign in last if sign.isprintable())[:80]


def _note_others(where: str, others: list[str], notes: list[str]) -> None:
    if others:
        shown = some_of([*map(quoted, others)], 5)
        notes.append(f"{where}: {shown} {'is' if len(others) == 1 else 'are'} no XML and {_was(others)} not read.")


def _was(names: list[str]) -> str:
    return "was" if len(names) == 1 else "were"


def _session(data: bytes, name: str) -> list[Row]:
    """The rows of one file. Raises GraderError with its name."""
    from xml.etree.ElementTree import ParseError

    from defusedxml.common import DefusedXmlException
    from defusedxml.ElementTree import fromstring

    check_declarations(data, name, whole=True)
    try:
        root = fromstring(data, forbid_dtd=True)
    except DefusedXmlException as error:
        raise GraderError(f"{name} declares XML entities and was not read.") from error
    except (ParseError, ValueError, LookupError) as error:
        raise GraderError(f"{name} is damaged and was not read ({error}).") from error
    if _tag(root) != _ROOT:
        raise GraderError(f"{name} holds no assessment results ({quoted(_tag(root))} where {_ROOT} is expected).")
    student = _person(root)
    if not student:
        raise GraderError(f"{name} does not say whose results it holds, and was not read.")
    return [
        (student, each.item, part, "" if each.attempt is None else each.attempt, each.moment, value)
        for each in _numbered([_item_result(element) for element in root if _tag(element) == "itemResult"])
        for response in each.responses
        for part, value in _parts(each, response)
    ]


def _tag(element: Element) -> str:
    """The name of an element without its namespace; results in the wild name other versions, or none."""
    return str(element.tag).rpartition("}")[2]


def _children(element: Element, tag: str) -> list[Element]:
    return [child for child in element if _tag(child) == tag]


def _person(root: Element) -> str:
    """Whose results these are: ``context/@sourcedId``, or else the first session identifier."""
    for context in _children(root, "context"):
        said = (context.get("sourcedId") or "").strip()
        if said:
            return said
        for session in _children(context, "sessionIdentifier"):
            said = (session.get("identifier") or "").strip()
            if said:
                return said
    return ""


def _item_result(element: Element) -> _ItemResult:
    attempt = None
    responses = []
    for variable in _children(element, "responseVariable"):
        identifier = (variable.get("identifier") or "").strip()
        values = tuple(_value(each) for answer in _children(variable, "candidateResponse") for each in _values(answer))
        if identifier.casefold() == "numattempts":
            attempt = int(values[0]) if values and values[0].isdecimal() and len(values[0]) < 7 else None
        elif identifier.casefold() not in _NOT_ANSWERS:
            responses += _responses(variable, identifier, values)
    moment = (element.get("datestamp") or "").strip()
    item = (element.get("identifier") or "").strip() or (element.get("sequenceIndex") or "").strip()
    return _ItemResult(item, attempt, moment, tuple(responses))


def _responses(variable: Element, identifier: str, values: tuple[str, ...]) -> list[_Response]:
    base = (variable.get("baseType") or "").casefold()
    cardinality = (variable.get("cardinality") or "single").casefold()
    if base == "point":  # two numbers with a space between, as the standard writes them
        values = tuple(f"({', '.join(value.split())})" if value.strip() else "" for value in values)
    if cardinality == "record":
        named = [
            (each.get("fieldIdentifier") or "", _value(each))
            for answer in _children(variable, "candidateResponse")
            for each in _values(answer)
        ]
        return [_Response(f"{identifier} {field}".strip(), (value,)) for field, value in named]
    return [_Response(identifier, values, cardinality == "ordered" and len(values) > 1)]


def _values(answer: Element) -> list[Element]:
    return _children(answer, "value")


def _value(element: Element) -> str:
    return "".join(element.itertext()).strip()


def _numbered(results: list[_ItemResult]) -> list[_ItemResult]:
    """Results of one item that name no attempt, or the same, are attempts in the order of their times, or of the file."""
    counts = Counter(each.item for each in results)
    by_item: dict[str, list[_ItemResult]] = {}
    for each in results:
        by_item.setdefault(each.item, []).append(each)
    renumbered: dict[int, int] = {}
    for item, own in by_item.items():
        numbers = [each.attempt for each in own]
        if counts[item] > 1 and (None in numbers or len(set(numbers)) < len(own)):
            in_order = sorted(own, key=lambda each: each.moment) if all(each.moment for each in own) else own
            renumbered |= {id(each): place for place, each in enumerate(in_order, start=1)}
    return [replace(each, attempt=renumbered.get(id(each), each.attempt)) for each in results]


def _parts(result: _ItemResult, response: _Response) -> Iterator[tuple[str, str]]:
    """(part, value): a lone response is the whole item, several are parts of it, and so are ordered values."""
    own = response.identifier if len(result.responses) > 1 else ""
    if response.ordered:
        for place, value in enumerate(response.values, start=1):
            yield f"{own} {place}".strip(), value
    else:
        yield own, "; ".join(value for value in response.values if value)
