"""All rows of one record into another database."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection
from pathlib import Path

from sqlalchemy import Connection, Engine, Table, delete, insert, select, text

from ui.record.schema import Base

ROWS_AT_ONCE = 50


def copy_rows(source: Connection, target: Connection, leave_out: Collection[str] = ()) -> None:
    """Put the rows of ``source`` in the place of those of ``target``, in its transaction."""
    tables = Base.metadata.sorted_tables
    for table in reversed(tables):
        target.execute(delete(table))
    for table in tables:
        if table.name not in leave_out:
            _copy_table(source, target, table)
    if target.dialect.name == "postgresql":
        for table in tables:
            _count_on(target, table)


def _copy_table(source: Connection, target: Connection, table: Table) -> None:
    found = source.execution_options(yield_per=ROWS_AT_ONCE).execute(select(table))
    for some in found.mappings().partitions():
        target.execute(insert(table), [dict(row) for row in some])


def _count_on(target: Connection, table: Table) -> None:
    """Have PostgreSQL number new rows after those that came with their numbers."""
    target.execute(
        text(
            f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), "
            f"(SELECT coalesce(max(id), 0) + 1 FROM {table.name}), false)"
        )
    )


def copy_file(engine: Engine, target: Path) -> None:
    """A sound copy of an SQLite database, whoever is writing to it: its online backup."""
    connection, copy = engine.raw_connection(), sqlite3.connect(target)
    try:
        source = connection.driver_connection
        assert isinstance(source, sqlite3.Connection)
        source.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")  # one file, with nothing beside it
    finally:
        copy.close()
        connection.close()
