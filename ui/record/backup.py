"""Backing a record up, and restoring it: everything is checked before anything is replaced."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import Engine, String, select, type_coerce, update
from sqlalchemy.orm import Session

from ui.record import schema
from ui.record.archive import CLIPS, DATABASE, BackupFile, look_into, pack, unpack
from ui.record.clip_store import STORED
from ui.record.complaints import in_words
from ui.record.copying import copy_file, copy_rows
from ui.record.database import open_engine
from ui.record.door import Door
from ui.record.engine import writing
from ui.record.errors import BackupError, RecordDamagedError
from ui.record.place import WORKSHOP, Place, place_of

FIGURES_KEPT = 7
"""Daily copies of the figures that are kept."""
OLD_ENOUGH_H = 20.0
STORED_CLIPS = select(type_coerce(schema.Clip.stored, String)).where(
    schema.Clip.stored.is_not(None)
)


def back_up(record: Door, target: Path | None = None) -> BackupFile:
    """Write the whole record, clips and all, into one file.

    Raises `RecordFullError` where there is no room, `RecordPlaceError` where it cannot be
    written.
    """
    now = datetime.now(UTC)
    target = target or _fresh(record.place.backups / f"brinkangle-{now:%Y-%m-%d-%H%M%S}.zip")
    with in_words(record.place), _workshop(record.place) as folder:
        with record.writing() as session:  # no clip can come or go meanwhile
            clips = _snapshot(session, record, folder)
        return pack(target, folder / DATABASE, clips, now, with_clips=True)


def back_up_figures(record: Door, now: datetime | None = None) -> BackupFile | None:
    """Once a day a copy of all figures, without clips and their frames; None if it was not due."""
    now = now or datetime.now(UTC)
    earlier = sorted(record.place.backups.glob("figures-*.zip"))
    made = [datetime.fromtimestamp(path.stat().st_mtime, UTC) for path in earlier]
    if made and (now - max(made)).total_seconds() < OLD_ENOUGH_H * 3600:
        return None
    with in_words(record.place), _workshop(record.place) as folder:
        with record.writing():  # so that all tables are of one moment, in any database
            _copy_to_file(record, folder / DATABASE, without_pictures=True)
        target = record.place.backups / f"figures-{now:%Y-%m-%d-%H%M%S}.zip"
        backup = pack(target, folder / DATABASE, (), now, with_clips=False)
        for old in earlier[: -FIGURES_KEPT + 1]:
            old.unlink(missing_ok=True)
    return backup


def backups(place: Place) -> tuple[BackupFile, ...]:
    """The backups in the record's folder that can be read, the latest first."""
    found = []
    for path in place.backups.glob("*.zip"):
        with suppress(BackupError):  # some other zip that was put there
            found.append(look_into(path))
    return tuple(sorted(found, key=lambda backup: backup.made_at, reverse=True))


def restore(record: Door, path: Path) -> BackupFile:
    """Put a backup in the place of the record; returns the backup made of what was there.

    Raises `BackupError`, `RecordNewerError` or `RecordFullError`, and then nothing was replaced.
    """
    backup = look_into(path)
    now = datetime.now(UTC)
    aside = _fresh(record.place.backups / f"before-restoring-{now:%Y-%m-%d-%H%M%S}.zip")
    with in_words(record.place), _workshop(record.place) as new, _workshop(record.place) as old:
        unpack(backup, new)
        engine = _checked(backup, new)
        try:
            with engine.connect() as source, record.writing() as session:
                clips = _snapshot(session, record, old)
                kept = pack(aside, old / DATABASE, clips, now, with_clips=True)
                copy_rows(source, session.connection())
                _settle_clips(session, record, backup, new)
        finally:
            engine.dispose()
            record.sweep()
    return kept


def recover(place: Place, path: Path) -> Path:
    """Set a damaged record aside and restore a backup; returns where the damaged one is.

    Clips that the backup names and does not hold are taken over from the damaged record.
    """
    look_into(path)
    aside = set_aside(place)
    record = Door(place.url, place.folder)
    try:
        restore(record, path)
    finally:
        record.close()
    return aside


def set_aside(place: Place) -> Path:
    """Rename a damaged database, with what lies beside it, and leave it otherwise untouched."""
    database = place.database
    if database is None:
        raise BackupError("Only a database that is a file can be set aside.")
    aside = _fresh(
        database.with_name(f"damaged-{datetime.now(UTC):%Y-%m-%d-%H%M%S}-{database.name}")
    )
    with in_words(place):
        for ending in ("", "-wal", "-shm"):
            with suppress(FileNotFoundError):  # the log is not always there
                os.rename(f"{database}{ending}", f"{aside}{ending}")
    return aside


def _snapshot(session: Session, record: Door, folder: Path) -> list[Path]:
    """Database and clips as they were when the turn was taken; returns the clips."""
    _copy_to_file(record, folder / DATABASE)
    (folder / CLIPS).mkdir(exist_ok=True)
    clips = []
    for stored in session.scalars(STORED_CLIPS):
        clips.append(folder / CLIPS / stored)
        _link(record.place.clips / stored, clips[-1])
    return clips


def _copy_to_file(record: Door, target: Path, without_pictures: bool = False) -> None:
    if record.place.database and not without_pictures:
        copy_file(record.engine, target)
        return
    place = place_of(target)
    engine = open_engine(place)
    try:
        with record.engine.connect() as source, writing(engine).begin() as connection:
            copy_rows(source, connection, ("picture",) if without_pictures else ())
    finally:
        engine.dispose()


def _checked(backup: BackupFile, folder: Path) -> Engine:
    """An engine for the database of a backup, sound and up to date."""
    place = place_of(folder / DATABASE)
    try:
        engine = open_engine(place)
    except RecordDamagedError as error:
        raise BackupError(
            f"The database in {backup.path.name} is damaged. Nothing was replaced. Choose another "
            "backup."
        ) from error
    with engine.connect() as connection:
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
        stored = set(connection.scalars(STORED_CLIPS))
    missing = {name for name in stored if CLIPS + name not in backup.files}
    strange = {name for name in stored if not STORED.fullmatch(name)}  # could lead elsewhere
    if broken or strange or (backup.with_clips and missing):
        engine.dispose()
        raise BackupError(
            f"{backup.path.name} does not hold together: rows or clips are missing. Nothing was "
            "replaced. Choose another backup."
        )
    return engine


def _settle_clips(session: Session, record: Door, backup: BackupFile, new: Path) -> None:
    """Give the clips of a backup their places; a clip that is nowhere counts as deleted."""
    for name in backup.files:
        if name != DATABASE:
            record.store.settle(new / name, name.removeprefix(CLIPS))
    there = {path.name for path in record.place.clips.iterdir()}
    for name in set(session.scalars(STORED_CLIPS)) - there:
        for folder in record.place.clips_aside():
            if (folder / name).exists():
                _link(folder / name, record.place.clips / name)
                there.add(name)
                break
    table = schema.Clip
    gone = table.stored.is_not(None) & table.stored.not_in(there)
    session.execute(update(table).where(gone).values(stored=None))


@contextmanager
def _workshop(place: Place) -> Iterator[Path]:
    """A passing folder on the same disk as the clips."""
    with TemporaryDirectory(prefix=WORKSHOP, dir=place.folder) as name:
        yield Path(name)


def _link(source: Path, target: Path) -> None:
    """The same file under another name; a copy where the disk has no such thing."""
    try:
        os.link(source, target)
    except (OSError, NotImplementedError):
        shutil.copyfile(source, target)


def _fresh(path: Path) -> Path:
    """The path, numbered where it is taken."""
    fresh, number = path, 1
    while fresh.exists():
        number += 1
        fresh = path.with_stem(f"{path.stem}-{number}")
    return fresh
