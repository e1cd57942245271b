"""What the tests of the class record share: a record of their own, and clips of a few frames."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from tests.vision.odd_clips import write_clip
from ui.record.record import Record
from ui.record.rows import Clip, Lesson

LESSON_DAY = date(2026, 11, 24)


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    record = Record(tmp_path / "kept")
    yield record
    record.close()


@pytest.fixture
def lesson(record: Record) -> Lesson:
    return record.add_lesson("Tins on a board", LESSON_DAY)


@pytest.fixture
def clip(record: Record, lesson: Lesson, small_clip: Path) -> Clip:
    return record.add_clip(lesson.id, "table4_tea_2.mp4", small_clip).clip


@pytest.fixture(scope="session")
def clips(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, ...]:
    """Clips that differ, of a few kilobytes."""
    folder = tmp_path_factory.mktemp("small")
    return tuple(
        write_clip(folder / f"table{k}_tea_1.mp4", np.arange(12 + k) / 30) for k in range(1, 7)
    )


@pytest.fixture(scope="session")
def small_clip(clips: tuple[Path, ...]) -> Path:
    return clips[0]
