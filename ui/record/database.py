"""The database behind the record: opened, checked and up to date."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Engine

from ui.record.complaints import damaged, in_words
from ui.record.engine import new_engine
from ui.record.place import Place
from ui.record.updating import bring_up_to_date


def open_engine(place: Place) -> Engine:
    """An engine for the place's database, up to date; the folders are made.

    Raises `RecordPlaceError`, `RecordDamagedError`, `RecordNewerError`, `RecordFullError`
    or `RecordBusyError`.
    """
    place.make()
    engine = new_engine(place)
    try:
        with in_words(place):
            _check(engine, place)
            bring_up_to_date(engine, place)
    except BaseException:
        engine.dispose()
        raise
    return engine


def _check(engine: Engine, place: Place) -> None:
    if not place.database:
        return
    if _is_emptied(place.database, place):
        raise damaged(place, "the file is empty")
    with engine.connect() as connection:
        found = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar()
    if found != "ok":
        raise damaged(place, str(found))


def _is_emptied(database: Path, place: Place) -> bool:
    """Whether a file without content lies where there was a record."""
    was_used = any(place.clips.glob("clip-*")) or any(place.backups.glob("*.zip"))
    return was_used and database.exists() and database.stat().st_size == 0
