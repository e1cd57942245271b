"""The database behind the record: opened, checked, up to date, its mistakes in words."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.exc import DBAPIError, InterfaceError, NoSuchModuleError, OperationalError
from sqlalchemy.orm import Session

from ui.record.errors import (
    RecordBusyError,
    RecordDamagedError,
    RecordError,
    RecordFullError,
    RecordNewerError,
    RecordPlaceError,
)
from ui.record.place import Place

WAIT_S = 20.0
"""How long a writer waits for another one."""
NEWEST = "0001"
"""The last step under ``migrations/versions``."""
MIGRATIONS = Path(__file__).parent / "migrations"

WRITES = "brinkangle_writes"

FULL = (
    "There is no room left on the disk: this change was not saved, and nothing saved before is "
    "lost. Free some space, or delete clips that are no longer needed, and do it again."
)
BUSY = (
    f"Another page or command kept writing to the class record for more than {WAIT_S:.0f} "
    "seconds: this change was not saved. Wait until it is done, and do it again."
)


def open_engine(place: Place) -> Engine:
    """An engine for the place's database, up to date; the folders are made.

    Raises `RecordPlaceError`, `RecordDamagedError`, `RecordNewerError`, `RecordFullError`
    or `RecordBusyError`.
    """
    place.make()
    engine = _engine(place)
    try:
        with in_words(place):
            _check(engine, place)
            _bring_up_to_date(engine, place)
    except BaseException:
        engine.dispose()
        raise
    return engine


def writing(engine: Engine) -> Engine:
    """The same engine for transactions that write: they take their turn from the start."""
    return engine.execution_options(**{WRITES: True})


@contextmanager
def in_words(place: Place) -> Iterator[None]:
    """Turn what a database or a disk complains of into the record's own mistakes."""
    try:
        yield
    except DBAPIError as error:
        raise _named(error, place) from error
    except OSError as error:
        if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
            raise RecordFullError(FULL) from error
        raise RecordPlaceError(
            f"The class record in {place.folder} could not be read or written: {error.strerror}. "
            "Check that the folder is there and is yours to write to."
        ) from error


def revision(engine: Engine) -> str | None:
    """The step the database is at; None for an empty one."""
    with engine.connect() as connection:
        if not inspect(connection).has_table("alembic_version"):
            return None
        return connection.scalar(text("SELECT version_num FROM alembic_version"))


def _engine(place: Place) -> Engine:
    arguments = {"timeout": WAIT_S} if place.database else {}
    try:
        engine = create_engine(place.url, connect_args=arguments)
    except (NoSuchModuleError, ModuleNotFoundError) as error:
        raise RecordPlaceError(
            f"There is no driver for the database {place.url.render_as_string()}: {error}. "
            "Install it beside Brinkangle."
        ) from error
    if place.database:
        event.listen(engine, "connect", _set_up_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    return engine


def _set_up_sqlite(connection: Any, _: object) -> None:
    connection.isolation_level = None  # the driver would begin late, and not before reading
    for setting in (
        "journal_mode=WAL",
        "synchronous=FULL",  # what was said to be saved outlives a power cut
        "foreign_keys=ON",
        "secure_delete=ON",  # what is deleted is overwritten
    ):
        connection.execute(f"PRAGMA {setting}")


def _begin_sqlite(connection: Connection) -> None:
    # A transaction that reads first and writes later could find that another
    # wrote in between; taking the turn at once leaves only waiting.
    writes = connection.get_execution_options().get(WRITES)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _check(engine: Engine, place: Place) -> None:
    if not place.database:
        return
    with engine.connect() as connection:
        found = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar()
    if found != "ok":
        raise damaged(place, str(found))


def _bring_up_to_date(engine: Engine, place: Place) -> None:
    if (now := revision(engine)) == NEWEST:
        return
    from alembic import command
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    known = {step.revision for step in ScriptDirectory.from_config(config).walk_revisions()}
    if now is not None and now not in known:
        raise RecordNewerError(
            f"The class record at {where(place)} was written by a later Brinkangle (its schema is "
            f"{now}, this one knows up to {NEWEST}). It was left as it is. Update Brinkangle."
        )
    with writing(engine).begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


def where(place: Place) -> str:
    """The place in words; never a password."""
    return str(place.database or place.url.render_as_string(hide_password=True))


def damaged(place: Place, found: str) -> RecordDamagedError:
    """The mistake for a broken file, naming the latest backup."""
    database = place.database or place.folder
    backups = sorted(place.backups.glob("*.zip"), key=lambda path: path.stat().st_mtime)
    backup = backups[-1] if backups else None
    offer = (
        f"The latest backup is {backup.name}: restore it, and the damaged file is set aside."
        if backup
        else f"There is no backup in {place.backups}. Set it aside to begin a new record."
    )
    return RecordDamagedError(
        f"The class record {database} is damaged ({found}). It was left as it is. {offer}",
        database,
        backup,
    )


def _named(error: DBAPIError, place: Place) -> RecordError:
    code = getattr(error.orig, "sqlite_errorcode", None)
    primary = code & 0xFF if isinstance(code, int) else None
    if primary == sqlite3.SQLITE_FULL:
        return RecordFullError(FULL)
    if primary in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return RecordBusyError(BUSY)
    if primary in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return damaged(place, str(error.orig))
    if isinstance(error, (OperationalError, InterfaceError)):
        return RecordPlaceError(
            f"The class record at {where(place)} cannot be used: {error.orig}. Check that it is "
            "there and is yours to write to."
        )
    return RecordError(f"The class record refused this: {error.orig}.")


def take_turn(session: Session) -> None:
    """Let one writer at a time go on; SQLite sees to that itself."""
    if session.get_bind().dialect.name != "sqlite":
        session.execute(text("UPDATE setting SET value = value WHERE name = 'turn'"))


def forget_log(engine: Engine) -> None:
    """Leave nothing of what was deleted in SQLite's write-ahead log, unless another reads it."""
    if engine.dialect.name == "sqlite":
        connection = engine.raw_connection()  # a checkpoint cannot be made inside a transaction
        try:
            connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
        finally:
            connection.close()
