"""Writing results: everything or nothing, and never over an input."""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import shutil
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import BinaryIO, TypeAlias

from grader.errors import GraderError

Content: TypeAlias = bytes | Callable[[BinaryIO], object]
"""The content of a file: its bytes, or a function that writes them into an open file (``workbook.save``)."""

_OWNER_FILE = 0o600
_OWNER_FOLDER = 0o700

_REASONS = {
    errno.EACCES: "it may not be written, or is open in another program",
    errno.EPERM: "it may not be written, or is open in another program",
    errno.EBUSY: "it is open in another program",
    errno.EROFS: "the disk is read-only",
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk quota is used up",
    errno.EFBIG: "files of that size are not allowed there",
    errno.ENAMETOOLONG: "the name is too long",
}


def check_output(folder: Path, names: Iterable[str] = (), inputs: Iterable[Path] = ()) -> None:
    """Refuse, before any work is done, a folder that results cannot or must not go into.

    That is: a file stands in its place, it holds one of the inputs, or one of the file names is a folder there. Raises
    GraderError.
    """
    if folder.exists() and not folder.is_dir():
        raise GraderError(f"{folder} is a file; results need a folder. Choose another name.")
    for parent in folder.parents:
        if parent.exists():
            if not parent.is_dir():
                raise GraderError(f"{folder} cannot be made: {parent} is a file. Choose another name.")
            break
    home = folder.resolve()
    for path in inputs:
        if path.is_dir() and path.resolve() in (home, *home.parents):
            raise GraderError(
                f"{folder} is the folder of answers {path.name}, or in it, and results never go among answers; "
                "choose another folder for the results."
            )
        if path.resolve().parent == home:
            raise GraderError(
                f"The folder {folder} holds the input file {path.name}, and results never go beside an input; "
                "choose another folder for the results."
            )
    for name in names:
        if Path(name).name != name or name in ("", ".", ".."):
            raise ValueError(f"a plain file name is needed, not {name!r}")
        target = folder / name
        if target.is_dir():
            raise GraderError(f"{target} is a folder, and a file of that name is to be written; move it away.")


def write_files(
    folder: Path, files: Mapping[str, Content], inputs: Iterable[Path] = (), *, keep_mode: bool = False
) -> tuple[Path, ...]:
    """Write a set of files into a folder, all or none, and return their paths.

    Everything is first written beside its place under a temporary name; only when all of it is on the disk is each
    file put in place by an atomic rename, and if one rename fails the earlier ones are taken back. Files can be read by
    their owner only (mode 600; a folder made here 700), unless ``keep_mode`` leaves a file that is replaced as open as it
    was; other files in the folder stay as they are. Raises GraderError, one sentence, with everything left as it was.
    """
    inputs = tuple(inputs)
    check_output(folder, files, inputs)
    made = _make_folder(folder)
    mark = f".{secrets.token_hex(6)}.part"
    done = False
    try:
        for name, content in files.items():
            _write_part(folder / f".{name}{mark}", folder / name, content)
            if keep_mode and (folder / name).exists():
                shutil.copymode(folder / name, folder / f".{name}{mark}")
        _put_in_place(folder, tuple(files), mark)
        done = True
    finally:
        for name in files:
            (folder / f".{name}{mark}").unlink(missing_ok=True)
        if not done:
            for each in made:
                with contextlib.suppress(OSError):
                    each.rmdir()
    return tuple(folder / name for name in files)


def _make_folder(folder: Path) -> list[Path]:
    """Make the folder with its parents; returns what was made, innermost first."""
    missing = [each for each in (folder, *folder.parents) if not each.exists()]
    made: list[Path] = []
    for each in reversed(missing):
        try:
            each.mkdir(mode=_OWNER_FOLDER)
        except OSError as error:
            for earlier in made:
                with contextlib.suppress(OSError):
                    earlier.rmdir()
            raise _refusal(folder, error) from error
        made.insert(0, each)
    return made


def _write_part(part: Path, target: Path, content: Content) -> None:
    try:
        descriptor = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), _OWNER_FILE)
        with open(descriptor, "wb") as file:
            if isinstance(content, bytes):
                file.write(content)
            else:
                content(file)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise _refusal(target, error) from error


def _put_in_place(folder: Path, names: tuple[str, ...], mark: str) -> None:
    kept: dict[str, Path | None] = {}
    try:
        for name in names:
            target = folder / name
            kept[name] = _keep_old(target, folder / f".{name}{mark}.old")
            os.replace(folder / f".{name}{mark}", target)
    except BaseException as error:  # an interrupt from the keyboard too must not leave half of the results
        _take_back(folder, kept)
        if isinstance(error, OSError):
            raise _refusal(target, error) from error
        raise
    for old in filter(None, kept.values()):
        old.unlink(missing_ok=True)


def _keep_old(target: Path, old: Path) -> Path | None:
    """Keep the file that is about to be replaced under a second name, so that it can come back."""
    if not os.path.lexists(target):
        return None
    try:
        os.link(target, old, follow_symlinks=False)
    except (OSError, NotImplementedError):  # some file systems have no links
        shutil.copy2(target, old, follow_symlinks=False)
    return old


def _take_back(folder: Path, kept: Mapping[str, Path | None]) -> None:
    for name, old in kept.items():
        target = folder / name
        with contextlib.suppress(OSError):
            if old is None:
                target.unlink(missing_ok=True)
            elif os.path.samestat(old.lstat(), target.lstat()):  # this one was never replaced
                old.unlink()
            else:
                os.replace(old, target)


def _refusal(path: Path, error: OSError) -> GraderError:
    reason = _REASONS.get(error.errno or 0, error.strerror or str(error))
    return GraderError(f"{path} cannot be written: {reason}. Nothing was changed; close it or choose another folder.")
