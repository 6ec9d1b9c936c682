"""Bytes to text: the encodings in which spreadsheet and form programs save."""

from __future__ import annotations

import codecs
from dataclasses import dataclass

_MARKS = (  # the four-byte mark first: the UTF-16 mark is its beginning
    (codecs.BOM_UTF32_LE, "utf-32-le", "UTF-32"),
    (codecs.BOM_UTF32_BE, "utf-32-be", "UTF-32"),
    (codecs.BOM_UTF8, "utf-8", "UTF-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16-be", "UTF-16"),
)


@dataclass(frozen=True, slots=True)
class Decoded:
    """The text of a file, the name of its encoding, and what a teacher should know about it."""

    text: str
    encoding: str
    notes: tuple[str, ...] = ()


def decode(data: bytes, file: str) -> Decoded:
    """The text of a file: UTF-8, UTF-16 or UTF-32 where the bytes say so, else Windows-1252, reported in a note.

    Bytes that are not UTF-8 in a file that otherwise is are read as Windows-1252 one by one, and the lines named.
    NUL bytes are dropped, and a note says how many.
    """
    for mark, codec, name in _MARKS:
        if data.startswith(mark):
            if codec == "utf-8":
                return _decode_utf8(data[len(mark) :], file)
            return _without_nul(Decoded(data[len(mark) :].decode(codec, errors="replace"), name), file)
    wide = _wide_codec(data)
    if wide:
        return _without_nul(Decoded(data.decode(wide, errors="replace"), "UTF-16"), file)
    return _decode_utf8(data, file)


def _wide_codec(data: bytes) -> str:
    """UTF-16 without its mark: mostly Latin text has a NUL in every second byte, on one side only."""
    sample = data[:4096]
    if len(sample) < 4 or len(data) % 2:
        return ""
    half = len(sample) // 2
    even, odd = sample[0::2].count(0) / half, sample[1::2].count(0) / half
    if odd > 0.6 and even < 0.05:
        return "utf-16-le"
    if even > 0.6 and odd < 0.05:
        return "utf-16-be"
    return ""


def _decode_utf8(data: bytes, file: str) -> Decoded:
    try:
        return _without_nul(Decoded(data.decode("utf-8"), "UTF-8"), file)
    except UnicodeDecodeError:
        pass
    lines = data.splitlines(keepends=True)
    odd_lines = []
    any_utf8 = False
    texts = []
    for number, line in enumerate(lines, start=1):
        text, odd, wide = _decode_line(line)
        texts.append(text)
        any_utf8 = any_utf8 or wide
        if odd:
            odd_lines.append(number)
    if not any_utf8:
        note = f"{file} is not UTF-8 and was read as Windows-1252; check accented letters and degree signs."
        whole = "".join(_windows(bytes([byte])) if byte > 0x7F else chr(byte) for byte in data)
        return _without_nul(Decoded(whole, "Windows-1252", (note,)), file)
    shown = ", ".join(map(str, odd_lines[:8])) + (f" and {len(odd_lines) - 8} more" if len(odd_lines) > 8 else "")
    note = (
        f"{file} mixes encodings: it is UTF-8, but {'lines' if len(odd_lines) > 1 else 'line'} {shown} "
        f"{'have' if len(odd_lines) > 1 else 'has'} other bytes, read as Windows-1252; check the letters there."
    )
    return _without_nul(Decoded("".join(texts), "UTF-8 and Windows-1252", (note,)), file)


def _decode_line(line: bytes) -> tuple[str, bool, bool]:
    """(text, whether some bytes were not UTF-8, whether some characters needed UTF-8's longer forms)."""
    parts: list[str] = []
    odd = wide = False
    while line:
        try:
            good, line = line.decode("utf-8"), b""
        except UnicodeDecodeError as error:
            good = line[: error.start].decode("utf-8")
            bad = line[error.start : error.end]
            line = line[error.end :]
            wide = wide or not good.isascii()
            parts += [good, *(_windows(bytes([byte])) for byte in bad)]
            odd = True
            continue
        wide = wide or not good.isascii()
        parts.append(good)
    return "".join(parts), odd, wide


def _windows(byte: bytes) -> str:
    try:
        return byte.decode("cp1252")
    except UnicodeDecodeError:  # five bytes have no character there
        return "\N{REPLACEMENT CHARACTER}"


def _without_nul(decoded: Decoded, file: str) -> Decoded:
    text = decoded.text.removeprefix("\ufeff")
    count = text.count("\0")
    if not count:
        return Decoded(text, decoded.encoding, decoded.notes)
    note = f"{file} holds {count} NUL {'byte' if count == 1 else 'bytes'}, which were left out."
    return Decoded(text.replace("\0", ""), decoded.encoding, (*decoded.notes, note))
