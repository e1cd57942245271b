"""What the tests of the classroom share."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.ui.classroom.clips import still
from ui.record.here import close_records, the_record
from ui.record.record import Record


@pytest.fixture
def record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Record]:
    """An empty record in a folder of its own: the one that page and command open."""
    monkeypatch.setenv("BRINKANGLE_DATA", str(tmp_path / "data"))
    monkeypatch.delenv("BRINKANGLE_RECORD", raising=False)
    close_records()
    yield the_record()
    close_records()


@pytest.fixture(scope="session")
def still_clips(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, ...]:
    """Clips of different content, each a few frames in which nothing moves."""
    folder = tmp_path_factory.mktemp("still")
    return tuple(still(folder / f"{seed}.mp4", seed).read_bytes() for seed in range(6))
