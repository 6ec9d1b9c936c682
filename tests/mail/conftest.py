from __future__ import annotations

import os
import ssl
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
import trustme

from grader.homework import Marked, mark_homework, read_homework


@dataclass(frozen=True)
class Certificates:
    """A certificate for this machine by an authority made for the test, and the authority's own file."""

    server: ssl.SSLContext
    authority: Path


@pytest.fixture(scope="session")
def certificates(tmp_path_factory: pytest.TempPathFactory) -> Certificates:
    authority = trustme.CA()
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    authority.issue_cert("127.0.0.1", "localhost").configure_cert(context)
    path = tmp_path_factory.mktemp("authority") / "authority.pem"
    authority.cert_pem.write_to_path(str(path))
    return Certificates(context, path)


@pytest.fixture
def in_memory(tmp_path: Path) -> Iterator[Path]:
    """A folder in memory where there is one: being killed is no matter of disks, and a busy disk makes long campaigns slow."""
    memory = Path("/dev/shm")
    if not os.access(memory, os.W_OK):
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=memory) as folder:
        yield Path(folder)


@pytest.fixture(scope="session")
def sample_marked(
    sample_rubric: Path, sample_exports: tuple[Path, ...], tmp_path_factory: pytest.TempPathFactory
) -> tuple[Marked, Path]:
    """The sample class marked, and the folder that the results were written into."""
    out = tmp_path_factory.mktemp("sample") / "results"
    rubric, export = read_homework(sample_rubric, sample_exports)
    return mark_homework(rubric, export, out, (sample_rubric, *sample_exports)), out
