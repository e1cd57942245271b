"""A record with two lessons, and a door to them on a clock of our own."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import cv2
import numpy as np
import pytest
from argon2 import PasswordHasher

from tests.ui.stand_in import toppling
from ui.record.record import Record
from ui.record.rows import Clip, Lesson
from ui.samples import FOLDER
from ui.sharing.door import Door
from ui.sharing.passphrase import set_passphrase
from vision.reading import EvidencePicture

PHRASE = "seed tub under the ladder"
CLASSROOM, ELSEWHERE = "10.0.0.7", "10.0.0.8"


class Clock:
    """Time that passes when told."""

    now = 1000.0

    def __call__(self) -> float:
        return self.now


@dataclass(frozen=True)
class School:
    """Two lessons with a measured clip each."""

    record: Record
    lesson: Lesson
    clip: Clip
    other_lesson: Lesson
    other_clip: Clip


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The data folder of the record and the passphrase."""
    monkeypatch.setenv("BRINKANGLE_DATA", str(tmp_path / "data"))
    monkeypatch.delenv("BRINKANGLE_RECORD", raising=False)
    return tmp_path / "data"


@pytest.fixture(scope="session")
def lessons(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with two lessons, to be copied."""
    folder = tmp_path_factory.mktemp("lessons") / "data"
    record = Record(folder)
    add_lessons(record)
    record.close()
    return folder


@pytest.fixture
def school(lessons: Path, data: Path) -> Iterator[School]:
    """The record of two lessons."""
    shutil.copytree(lessons, data)
    record = Record(data)
    yield school_in(record)
    record.close()


@pytest.fixture
def light_hashes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hashes that take no time: what they cost is tested elsewhere."""
    light = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    monkeypatch.setattr("ui.sharing.passphrase.LASTING", light)
    monkeypatch.setattr("ui.sharing.door.FOR_A_LESSON", light)


@pytest.fixture
def door(school: School, data: Path, clock: Clock, light_hashes: None) -> Door:
    """A door whose passphrase is set; no lesson is open yet."""
    set_passphrase(data, PHRASE)
    return Door(data, school.record, clock)


def add_lessons(record: Record) -> None:
    """Two lessons with a measured clip each."""
    for title, file, table, pictures in (
        ("Toppling, set B", "leaf_tea_topples.mp4", "Table 4", toppling().pictures),
        ("Toppling, set C", "lump_on_rod_topples.mp4", "Table 1", _other_pictures()),
    ):
        lesson = record.add_lesson(title, date(2026, 11, 25))
        clip = record.add_clip(lesson.id, f"{table} of {title}.mp4", FOLDER / file).clip
        group = record.add_group(lesson.id, table)
        body = record.add_body(f"body of {title}", 0.0365, 0.0002, note="weigh it again")
        record.change(clip, group_id=group.id, body_id=body.id)
        record.save_reading(clip.id, replace(toppling(), pictures=pictures), 0.0365)


def _other_pictures() -> tuple[EvidencePicture, ...]:
    """Pictures that differ from the stand-in's."""
    _, png = cv2.imencode(".png", np.full((48, 64, 3), 99, np.uint8))
    return tuple(replace(each, png=png.tobytes()) for each in toppling().pictures)


def school_in(record: Record) -> School:
    """The two lessons of a record."""
    lesson, other = sorted(record.lessons(), key=lambda each: each.title)
    return School(record, lesson, *record.clips(lesson.id), other, *record.clips(other.id))
