"""The engine under the record: how SQLite is set up, and how writers take turns."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.exc import NoSuchModuleError
from sqlalchemy.orm import Session

from ui.record.errors import RecordPlaceError
from ui.record.place import Place

WAIT_S = 20.0
"""How long a writer waits for another one."""
WRITES = "brinkangle_writes"


def new_engine(place: Place) -> Engine:
    """An engine for the place; nothing is opened yet. Raises `RecordPlaceError`."""
    arguments = {"timeout": WAIT_S} if place.database else {}
    try:
        # Each page in use has a connection; they wait for the database's turn, not for one another.
        engine = create_engine(place.url, connect_args=arguments, max_overflow=-1)
    except (NoSuchModuleError, ModuleNotFoundError) as error:
        raise RecordPlaceError(
            f"There is no driver for the database {place.url.render_as_string()}: {error}. "
            "Install it beside Brinkangle."
        ) from error
    if place.database:
        event.listen(engine, "connect", _set_up_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    return engine


def writing(engine: Engine) -> Engine:
    """The same engine for transactions that write: they take their turn from the start."""
    return engine.execution_options(**{WRITES: True})


def take_turn(session: Session) -> None:
    """Wait for the other writers; from here to the end of the transaction there is no other."""
    if session.connection().dialect.name != "sqlite":  # that one has taken its turn to begin with
        session.execute(text("UPDATE setting SET value = value WHERE name = 'turn'"))


def forget_log(engine: Engine) -> None:
    """Leave nothing of what was deleted in SQLite's write-ahead log, unless another reads it."""
    if engine.dialect.name == "sqlite":
        connection = engine.raw_connection()  # a checkpoint cannot be made inside a transaction
        try:
            connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
        finally:
            connection.close()


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
