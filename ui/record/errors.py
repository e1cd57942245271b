"""The mistakes the class record names.

::

    BrinkangleError
    └── RecordError
        ├── NotInRecordError       there is no such row, or it was removed
        ├── AlreadyThereError      two of one name, or one clip twice
        ├── RecordBusyError        another process kept writing for too long
        ├── RecordFullError        no room left on the disk
        ├── RecordPlaceError       the folder or the database cannot be used at all
        ├── RecordDamagedError     the database file is broken; it is left as it is
        ├── RecordNewerError       written by a later Brinkangle
        ├── BoardNotFoundError     what to keep of a picture is not known
        ├── BackupError            a backup that cannot be trusted, or not be made
        └── ImportRefusedError     a table that cannot be taken in; names the lines
"""

from __future__ import annotations

from pathlib import Path

from solver.errors import BrinkangleError


class RecordError(BrinkangleError):
    """Any mistake of the class record."""


class NotInRecordError(RecordError):
    """There is no such row, or it was removed."""


class AlreadyThereError(RecordError):
    """A name is taken, or a clip is there already."""


class RecordBusyError(RecordError):
    """Another process kept writing for longer than one can wait."""


class RecordFullError(RecordError):
    """There is no room left; nothing of the change was saved."""


class RecordPlaceError(RecordError):
    """The folder or the database cannot be used at all."""


class RecordDamagedError(RecordError):
    """The database file is broken. It is left untouched."""

    def __init__(self, message: str, database: Path, backup: Path | None) -> None:
        super().__init__(message)
        self.database = database
        self.backup = backup
        """The latest backup that was found, if any."""


class RecordNewerError(RecordError):
    """The record was written by a later Brinkangle."""


class BoardNotFoundError(RecordError):
    """Which part of a clip's picture is to be kept is not known."""


class BackupError(RecordError):
    """A backup cannot be made, or cannot be trusted."""


class ImportRefusedError(RecordError):
    """A table that cannot be taken in; nothing of it was."""

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("Nothing was taken in. " + " ".join(problems))
        self.problems = problems
        """One sentence each, beginning with the line."""
