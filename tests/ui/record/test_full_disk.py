"""A disk that is really full: nothing that was saved is lost, and it is said in words."""

from __future__ import annotations

import errno
import os
import subprocess
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from tests.ui import stand_in
from tests.vision.odd_clips import write_clip
from ui.record import clip_store
from ui.record.backup import back_up, backups
from ui.record.errors import RecordFullError
from ui.record.record import Record
from ui.record.rows import Lesson

SIZE = "3m"


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 3 MB in memory; only the superuser of a Linux may have one."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", f"size={SIZE}", "tmpfs", str(place)]
    try:
        subprocess.run(mount, check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("no disk can be mounted here")
    yield place
    subprocess.run(["umount", "--lazy", str(place)], check=True)


@pytest.fixture
def large_clip(tmp_path: Path) -> Path:
    """A clip of 1 MB or so."""
    noise = np.random.default_rng(1).integers(0, 255, (40, 128, 192, 3), np.uint8)
    return write_clip(tmp_path / "large.mp4", np.arange(40) / 30, noise)


def test_clips_and_readings_on_a_full_disk(small_disk: Path, large_clip: Path) -> None:
    record = Record(small_disk / "kept")
    lesson = record.add_lesson("Tins", date(2026, 11, 24))
    first = record.add_clip(lesson.id, "first.mp4", large_clip).clip
    content = record.clip_path(first).read_bytes()
    reading = record.save_reading(first.id, stand_in.toppling())
    with pytest.raises(RecordFullError, match="no room left on the disk"):
        for k in range(20):
            other = record.add_lesson(f"Tins {k}", date(2026, 11, 24))
            record.add_clip(other.id, f"{k}.mp4", large_clip)
    filling = small_disk / "filling"
    with pytest.raises(OSError, match="No space left"), filling.open("wb", buffering=0) as file:
        while True:
            file.write(bytes(4096))
    with pytest.raises(RecordFullError):
        for _ in range(200):
            record.save_reading(first.id, stand_in.toppling())
    assert record.clip_path(first).read_bytes() == content
    assert reading.id in {each.id for each in _readings(record)}
    with pytest.raises(RecordFullError):
        back_up(record)
    assert backups(record.place) == ()
    record.close()
    filling.unlink()
    again = Record(record.place.url)
    assert again.clip(first.id) == first
    kept = {again.clip_path(clip).name for each in again.lessons() for clip in again.clips(each.id)}
    assert {path.name for path in again.place.clips.iterdir()} == kept
    again.save_reading(first.id, stand_in.sliding())
    again.close()


def _readings(record: Record):  # type: ignore[no-untyped-def]
    from ui.record import lookups, schema

    with record.asking() as session:
        return lookups.all_of(session, schema.Reading)


def test_a_clip_that_finds_no_room_leaves_nothing(
    record: Record, lesson: Lesson, small_clip: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same without a disk of one's own, at the lowest seam: the call that writes."""

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(clip_store, "to_disk", full)
    with pytest.raises(RecordFullError, match="this change was not saved"):
        record.add_clip(lesson.id, "a.mp4", small_clip)
    monkeypatch.undo()
    assert record.clips(lesson.id) == ()
    assert list(record.place.clips.iterdir()) == []
    assert not record.add_clip(lesson.id, "a.mp4", small_clip).known
