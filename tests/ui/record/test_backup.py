"""Backing up and restoring: checked first, and what was there is kept."""

from __future__ import annotations

import json
import shutil
import zipfile
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from tests.ui import stand_in
from ui.record import archive, updating
from ui.record.archive import look_into
from ui.record.backup import back_up, back_up_figures, backups, recover, restore
from ui.record.errors import BackupError, RecordDamagedError, RecordNewerError
from ui.record.record import Record
from ui.record.rows import Clip, Lesson


def _changed(record: Record, lesson: Lesson, clip: Clip) -> None:
    record.delete_clip_file(clip.id)
    record.remove(lesson)
    record.add_lesson("Later", date(2026, 11, 30))


def test_a_restored_record_is_what_it_was(
    record: Record, lesson: Lesson, clip: Clip, tmp_path: Path
) -> None:
    reading = record.save_reading(clip.id, stand_in.toppling())
    record.set_setting("passphrase", "$argon2id$x")
    whole = record.clip_reading(reading).pictures
    content = record.clip_path(clip).read_bytes()
    backup = back_up(record, tmp_path / "moved elsewhere.zip")
    _changed(record, lesson, clip)
    kept = restore(record, backup.path)
    assert record.lessons() == (lesson,)
    assert record.clips(lesson.id) == (clip,)
    assert record.clip_path(clip).read_bytes() == content
    assert record.pictures(reading.id) == whole
    assert record.setting("passphrase") == "$argon2id$x"
    restore(record, kept.path)
    assert [each.title for each in record.lessons()] == ["Later"]


def test_a_backup_moves_to_another_machine(
    record: Record, lesson: Lesson, clip: Clip, tmp_path: Path
) -> None:
    backup = back_up(record)
    other = Record(tmp_path / "other")
    other.add_lesson("There already", date(2026, 1, 1))
    kept = restore(other, backup.path)
    assert other.lessons() == (lesson,)
    assert other.clip_path(clip).read_bytes() == record.clip_path(clip).read_bytes()
    assert kept.path.parent == other.place.backups
    added = other.add_lesson("New", date(2026, 12, 1))
    assert other.lessons() == (added, lesson)
    other.close()


def test_another_process_sees_what_was_restored(record: Record, lesson: Lesson) -> None:
    backup = back_up(record)
    other = Record(record.place.url)
    other.add_lesson("Later", date(2026, 11, 30))
    restore(record, backup.path)
    assert other.lessons() == (lesson,)
    other.close()


def test_clips_that_a_backup_does_not_know_go_and_are_in_the_one_made_before(
    record: Record, lesson: Lesson, clips: tuple[Path, ...]
) -> None:
    backup = back_up(record)
    later = record.add_clip(lesson.id, "later.mp4", clips[3]).clip
    kept = restore(record, backup.path)
    assert list(record.place.clips.iterdir()) == []
    assert f"clips/{later.stored}" in kept.files


def _rewritten(backup: Path, change, target: Path) -> Path:  # type: ignore[no-untyped-def]
    """A backup with its contents changed by ``change(contents)``, bytes by name."""
    with zipfile.ZipFile(backup) as packed:
        contents = {name: packed.read(name) for name in packed.namelist()}
    change(contents)
    with zipfile.ZipFile(target, "w") as packed:
        for name, content in contents.items():
            packed.writestr(name, content)
    return target


def _in_manifest(**changes: object):  # type: ignore[no-untyped-def]
    def change(contents: dict[str, bytes]) -> None:
        manifest = json.loads(contents[archive.MANIFEST])
        manifest.update(changes)
        contents[archive.MANIFEST] = json.dumps(manifest).encode()

    return change


def _altered_clip(contents: dict[str, bytes]) -> None:
    name = next(name for name in contents if name.startswith("clips/"))
    contents[name] = contents[name][:-1] + b"?"


def _lost_clip(contents: dict[str, bytes]) -> None:
    name = next(name for name in contents if name.startswith("clips/"))
    del contents[name]


def _unlisted_clip(contents: dict[str, bytes]) -> None:
    manifest = json.loads(contents[archive.MANIFEST])
    manifest["files"] = {archive.DATABASE: manifest["files"][archive.DATABASE]}
    contents[archive.MANIFEST] = json.dumps(manifest).encode()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (_altered_clip, "not as it was written"),
        (_lost_clip, "is damaged"),
        (_unlisted_clip, "does not hold together"),
        (lambda contents: contents.pop(archive.MANIFEST), "no backup of a class record"),
        (lambda contents: contents.pop(archive.DATABASE), "is damaged"),
        (_in_manifest(format=99), "format is 99"),
        (_in_manifest(files={"../../out.txt": "0"}), "it holds '../../out.txt'"),
        (_in_manifest(files={"clips/../record.sqlite3": "0"}), "it holds"),
        (_in_manifest(files=3), "no backup of a class record"),
    ],
)
def test_a_backup_that_cannot_be_trusted_replaces_nothing(
    record: Record,
    lesson: Lesson,
    clip: Clip,
    tmp_path: Path,
    change,
    said: str,  # type: ignore[no-untyped-def]
) -> None:
    bad = _rewritten(back_up(record).path, change, tmp_path / "bad.zip")
    later = record.add_lesson("Later", date(2026, 11, 30))
    with pytest.raises(BackupError, match=said):
        restore(record, bad)
    assert record.lessons() == (later, lesson)
    assert record.clip_path(clip).is_file()
    assert not (tmp_path / "out.txt").exists()
    assert not list(record.place.folder.glob(".backup-*"))


def test_a_damaged_database_inside_is_found(record: Record, lesson: Lesson, tmp_path: Path) -> None:
    import hashlib

    def change(contents: dict[str, bytes]) -> None:
        contents[archive.DATABASE] = b"nothing like it" * 999
        manifest = json.loads(contents[archive.MANIFEST])
        sha256 = hashlib.sha256(contents[archive.DATABASE]).hexdigest()
        manifest["files"][archive.DATABASE] = sha256
        contents[archive.MANIFEST] = json.dumps(manifest).encode()

    bad = _rewritten(back_up(record).path, change, tmp_path / "bad.zip")
    with pytest.raises(BackupError, match="Nothing was replaced"):
        restore(record, bad)
    assert record.lessons() == (lesson,)


def test_a_clip_that_leads_out_of_the_store_is_refused(
    record: Record, lesson: Lesson, clip: Clip, tmp_path: Path
) -> None:
    from sqlalchemy import text

    precious = tmp_path / "precious.mp4"
    precious.write_text("not ours")
    other = Record(tmp_path / "other")
    there = other.add_lesson("Bait", date(2026, 1, 1))
    row = other.add_clip(there.id, "a.mp4", record.clip_path(clip)).clip
    with other.writing() as session:
        session.execute(
            text("UPDATE clip SET stored = :path WHERE id = :id"),
            {"path": str(precious), "id": row.id},
        )
    bait = back_up_figures(other)
    other.close()
    assert bait is not None
    with pytest.raises(BackupError, match="does not hold together"):
        restore(record, bait.path)
    assert record.lessons() == (lesson,)
    assert precious.read_text() == "not ours"


def test_a_backup_of_a_later_brinkangle_is_refused(record: Record, lesson: Lesson) -> None:
    from sqlalchemy import text

    with record.writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = '0999'"))
    backup = back_up(record)
    with record.writing() as session:
        session.execute(text(f"UPDATE alembic_version SET version_num = '{updating.NEWEST}'"))
    with pytest.raises(RecordNewerError):
        restore(record, backup.path)
    assert record.lessons() == (lesson,)


def test_what_is_no_backup_is_named(record: Record, tmp_path: Path) -> None:
    (tmp_path / "notes.zip").write_bytes(b"no zip")
    with pytest.raises(BackupError, match=r"notes\.zip is no backup"):
        restore(record, tmp_path / "notes.zip")
    with pytest.raises(BackupError, match=r"gone\.zip is no backup"):
        look_into(tmp_path / "gone.zip")


def test_a_disk_without_room_replaces_nothing(
    record: Record, lesson: Lesson, monkeypatch: pytest.MonkeyPatch
) -> None:
    backup = back_up(record)
    full = shutil._ntuple_diskusage(10**9, 10**9, 10_000)  # type: ignore[attr-defined]
    monkeypatch.setattr(shutil, "disk_usage", lambda _: full)
    with pytest.raises(BackupError, match="the disk has 0 MB left"):
        restore(record, backup.path)
    assert record.lessons() == (lesson,)


def test_a_damaged_record_is_set_aside_and_the_backup_takes_its_place(
    record: Record, lesson: Lesson, clip: Clip
) -> None:
    backup = back_up(record)
    record.close()
    database = record.place.database
    assert database is not None
    damaged = b"\xa5" * 20_000
    database.write_bytes(damaged)
    with pytest.raises(RecordDamagedError) as caught:
        Record(record.place.url)
    assert caught.value.backup == backup.path
    aside = recover(record.place, backup.path)
    assert aside.read_bytes() == damaged
    again = Record(record.place.url)
    assert again.lessons() == (lesson,)
    assert again.clip_path(clip).is_file()
    again.close()


def test_figures_recovered_find_the_clips_that_are_still_there(
    record: Record, lesson: Lesson, clip: Clip, clips: tuple[Path, ...]
) -> None:
    gone = record.add_clip(lesson.id, "gone.mp4", clips[2]).clip
    reading = record.save_reading(clip.id, stand_in.toppling())
    backup = back_up_figures(record)
    assert backup is not None
    record.close()
    assert record.place.database is not None
    record.place.database.write_bytes(b"\xa5" * 20_000)
    record.clip_path(gone).unlink()
    recover(record.place, backup.path)
    again = Record(record.place.url)
    assert again.clip_path(clip).is_file()
    assert again.clip(gone.id).stored is None
    assert again.reading_of(clip.id) == reading
    assert again.pictures(reading.id) == ()
    again.close()


def test_a_backup_that_is_none_sets_nothing_aside(record: Record, tmp_path: Path) -> None:
    with pytest.raises(BackupError):
        recover(record.place, tmp_path / "gone.zip")
    assert record.place.database is not None
    assert record.place.database.is_file()


def test_figures_are_copied_once_a_day_and_a_week_of_them_is_kept(
    record: Record, lesson: Lesson
) -> None:
    import os

    now = datetime.now(UTC)
    for day in range(9):
        then = now + timedelta(days=day)
        backup = back_up_figures(record, then)
        assert backup is not None
        os.utime(backup.path, (then.timestamp(), then.timestamp()))
        assert back_up_figures(record, then + timedelta(hours=3)) is None
    made = [each.made_at for each in backups(record.place)]
    assert made == [now + timedelta(days=day) for day in range(8, 1, -1)]


def test_other_zips_in_the_folder_are_passed_over(record: Record, lesson: Lesson) -> None:
    backup = back_up(record)
    (record.place.backups / "homework.zip").write_bytes(b"?")
    assert backups(record.place) == (backup,)
