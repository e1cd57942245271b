"""The same record in a PostgreSQL server, where one is installed with its Python driver."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from tests.ui import stand_in
from tests.ui.record.writers import begun, write_so_many
from ui.record.backup import back_up, restore
from ui.record.errors import AlreadyThereError, RecordPlaceError
from ui.record.exporting import lesson_as_json
from ui.record.importing import take_in
from ui.record.record import Record

pytest.importorskip("psycopg")


def _programs() -> Path:
    for place in (shutil.which("initdb"), *Path("/usr/lib/postgresql").glob("*/bin/initdb")):
        if place and Path(place).exists():
            return Path(place).parent
    pytest.skip("PostgreSQL is not installed")


@pytest.fixture(scope="module")
def server() -> Iterator[str]:
    """The address of a server of our own, reached by a socket; it will not run as superuser."""
    programs = _programs()
    user = {"user": "nobody"} if os.geteuid() == 0 else {}
    with TemporaryDirectory(prefix="pg-", ignore_cleanup_errors=True) as folder:
        if user:
            shutil.chown(folder, "nobody")
        data = f"{folder}/data"

        def run(program: str, *arguments: str) -> None:
            command = [str(programs / program), "-D", data, *arguments]
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL, **user)  # type: ignore[call-overload]

        run("initdb", "-U", "teacher", "-A", "trust", "-E", "UTF8")
        run("pg_ctl", "-w", "-l", f"{folder}/log", "-o", f"-k {folder} -h ''", "start")
        yield f"postgresql+psycopg://teacher@/postgres?host={folder}"
        run("pg_ctl", "-m", "immediate", "stop")


@pytest.fixture
def away(server: str, tmp_path: Path) -> Iterator[Record]:
    record = Record(server, tmp_path / "data")
    yield record
    for lesson in record.lessons():
        record.remove(lesson)
    record.close()


def test_a_lesson_is_kept_there(away: Record, server: str, small_clip: Path) -> None:
    lesson = away.add_lesson("Tins", date(2026, 11, 24))
    group, body = away.add_group(lesson.id, "Table 4"), away.add_body("tea Ω", 0.034, 0.0002)
    clip = away.add_clip(lesson.id, "a.mp4", small_clip).clip
    clip = away.change(clip, group_id=group.id, body_id=body.id, repeat=2)
    reading = away.save_reading(clip.id, stand_in.toppling())
    with pytest.raises(AlreadyThereError):
        away.add_group(lesson.id, "Table 4")
    away.undo(away.remove(group).id)
    again = Record(server, away.place.folder)
    view = again.lesson_view(lesson.id)
    assert (view.groups, view.clips, view.readings) == ((group,), (clip,), (reading,))
    assert len(again.pictures(reading.id)) == 3
    assert again.series(reading.id) is not None
    again.close()


def test_a_backup_moves_to_a_file_and_back(away: Record, tmp_path: Path, small_clip: Path) -> None:
    lesson = away.add_lesson("Tubs", date(2026, 11, 25))
    clip = away.add_clip(lesson.id, "a.mp4", small_clip).clip
    reading = away.save_reading(clip.id, stand_in.sliding())
    backup = back_up(away)
    here = Record(tmp_path / "here")
    restore(here, backup.path)
    assert here.lesson_view(lesson.id) == away.lesson_view(lesson.id)
    assert here.clip_path(clip).is_file()
    here.add_group(lesson.id, "Table 9")
    restore(away, back_up(here).path)
    assert [group.label for group in away.groups(lesson.id)] == ["Table 9"]
    assert away.reading_of(clip.id) == reading
    assert away.add_group(lesson.id, "Table 10").id > away.groups(lesson.id)[0].id
    here.close()


def test_a_lesson_is_exported_and_taken_in(away: Record, small_clip: Path) -> None:
    lesson = away.add_lesson("Tins", date(2026, 11, 24))
    clip = away.add_clip(lesson.id, "a.mp4", small_clip).clip
    away.save_reading(clip.id, stand_in.toppling())
    content = lesson_as_json(away.lesson_view(lesson.id))
    again = take_in(away, "x.json", content)
    assert lesson_as_json(away.lesson_view(again.id)) == content
    take_in(away, "x.json", content, lesson.id)
    assert lesson_as_json(away.lesson_view(lesson.id)) == content


def test_two_processes_write_there(away: Record, server: str) -> None:
    lesson, many = away.add_lesson("Tins", date(2026, 11, 24)), 20
    writers = [begun(write_so_many, server, lesson.id, mark, many) for mark in ("page", "command")]
    for writer, _ in writers:
        writer.join(60)
        assert writer.exitcode == 0
    assert len(away.groups(lesson.id)) == 2 * many


def test_a_server_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(RecordPlaceError, match="cannot be used"):
        Record(f"postgresql+psycopg://teacher:hunter2@/x?host={tmp_path}", tmp_path)
