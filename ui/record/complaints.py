"""What databases and disks complain of, as the record's own mistakes."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError

from ui.record.engine import WAIT_S
from ui.record.errors import (
    RecordBusyError,
    RecordDamagedError,
    RecordError,
    RecordFullError,
    RecordPlaceError,
)
from ui.record.place import Place

POSTGRES_FULL = "53100"
"""SQLSTATE of a full disk (PostgreSQL documentation, appendix A)."""
NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
FULL = (
    "There is no room left on the disk: this change was not saved, and nothing saved before is "
    "lost. Free some space, or delete clips that are no longer needed, and do it again."
)
BUSY = (
    f"Another page or command kept writing to the class record for more than {WAIT_S:.0f} "
    "seconds: this change was not saved. Wait until it is done, and do it again."
)


@contextmanager
def in_words(place: Place) -> Iterator[None]:
    """Turn what a database or a disk complains of into the record's own mistakes."""
    try:
        yield
    except DBAPIError as error:
        raise _named(error.orig, place) from error
    except sqlite3.Error as error:  # of a connection that SQLAlchemy is not asked about
        raise _named(error, place) from error
    except OSError as error:
        if error.errno in NO_ROOM:
            raise RecordFullError(FULL) from error
        raise RecordPlaceError(
            f"The class record in {place.folder} could not be read or written: {error.strerror}. "
            "Check that the folder is there and is yours to write to."
        ) from error


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


def _named(complaint: BaseException | None, place: Place) -> RecordError:
    code = getattr(complaint, "sqlite_errorcode", None)
    primary = code & 0xFF if isinstance(code, int) else None
    if primary == sqlite3.SQLITE_FULL or getattr(complaint, "sqlstate", None) == POSTGRES_FULL:
        return RecordFullError(FULL)
    if primary in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return RecordBusyError(BUSY)
    if primary in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return damaged(place, str(complaint))
    return RecordPlaceError(
        f"The class record at {where(place)} cannot be used: {complaint}. Check that it is there "
        "and is yours to write to."
    )
