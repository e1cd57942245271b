"""The record of this machine."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from ui.record import backup, here
from ui.record.backup import backups
from ui.record.errors import RecordFullError
from ui.record.here import close_records, the_record
from ui.record.place import default_place, place_of


@pytest.fixture(autouse=True)
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("BRINKANGLE_DATA", str(tmp_path / "data"))
    monkeypatch.delenv("BRINKANGLE_RECORD", raising=False)
    yield tmp_path / "data"
    close_records()


def test_it_is_opened_once(data: Path) -> None:
    assert default_place() == place_of(data / "record.sqlite3")
    assert the_record() is the_record()
    assert the_record().place.folder == data


def test_the_environment_may_name_any_database(
    data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BRINKANGLE_RECORD", f"sqlite:///{tmp_path / 'other.db'}")
    assert the_record().place.database == tmp_path / "other.db"
    assert the_record().place.clips == data / "clips"


def test_without_the_environment_it_is_in_the_users_data(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv("BRINKANGLE_DATA")
    assert default_place().folder.name == "brinkangle"


def test_each_day_figures_are_copied_and_due_clips_go(
    monkeypatch: pytest.MonkeyPatch, small_clip: Path
) -> None:
    record = the_record()
    lesson = record.add_lesson("Tins", date(2026, 11, 24), keep_days=1)
    # The clip is due already; the record looks at that when opened, and then each day.
    clip = record.add_clip(lesson.id, "a.mp4", small_clip).clip
    assert the_record().clip(clip.id).stored == clip.stored
    assert backups(record.place) == ()

    class LaterDay(date):
        @classmethod
        def today(cls) -> date:
            return date(2099, 1, 1)

    monkeypatch.setattr(here, "date", LaterDay)
    assert the_record().clip(clip.id).stored is None
    assert [each.with_clips for each in backups(record.place)] == [False]


def test_a_copy_that_cannot_be_made_keeps_the_record_open(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    the_record().add_lesson("Tins", date(2026, 11, 24))
    close_records()

    def full(*_: object) -> None:
        raise RecordFullError("no room")

    monkeypatch.setattr(here, "back_up_figures", full)
    with caplog.at_level(logging.ERROR):
        assert len(the_record().lessons()) == 1
    assert "daily copy" in caplog.text
    assert backup.backups(the_record().place) == ()
