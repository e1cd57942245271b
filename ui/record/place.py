"""Where a record lives: the database, the clips, the backups."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path
from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from ui.record.errors import RecordPlaceError

DATABASE_NAME = "record.sqlite3"
FOLDER_SETTING = "BRINKANGLE_DATA"
URL_SETTING = "BRINKANGLE_RECORD"


@dataclass(frozen=True)
class Place:
    """A database and the folder beside it."""

    url: URL
    folder: Path
    """Holds ``clips/`` and ``backups/``."""

    @property
    def clips(self) -> Path:
        return self.folder / "clips"

    @property
    def backups(self) -> Path:
        return self.folder / "backups"

    @property
    def database(self) -> Path | None:
        """The database's file, where it is one."""
        if self.url.get_backend_name() != "sqlite" or not self.url.database:
            return None
        return Path(self.url.database)

    def make(self) -> None:
        """Make the folders, for the owner alone. Raises `RecordPlaceError`."""
        try:
            for folder in (self.folder, self.clips, self.backups):
                folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as error:
            raise RecordPlaceError(
                f"The class record cannot be kept in {self.folder}: {error.strerror}. Name "
                f"another folder in the environment variable {FOLDER_SETTING}."
            ) from error


def place_of(url_or_path: str | URL | Path, folder: Path | None = None) -> Place:
    """The place of a database given by URL, or by the path of an SQLite file or its folder."""
    if isinstance(url_or_path, URL) or (isinstance(url_or_path, str) and "://" in url_or_path):
        try:
            url = make_url(url_or_path)
        except ArgumentError as error:
            raise RecordPlaceError(
                f"The address of the class record is no database URL: {error}. Write it like "
                "postgresql+psycopg://user@host/name."
            ) from error
        path = Path(url.database) if url.get_backend_name() == "sqlite" and url.database else None
        return Place(url, folder or (path.parent if path else _user_folder()))
    path = Path(url_or_path)
    if path.is_dir() or not path.suffix:
        path = path / DATABASE_NAME
    return Place(URL.create("sqlite", database=str(path)), folder or path.parent)


def default_place() -> Place:
    """The place this user's environment names, else their data folder."""
    folder = Path(os.environ.get(FOLDER_SETTING) or _user_folder())
    if url := os.environ.get(URL_SETTING):
        return place_of(url, folder if os.environ.get(FOLDER_SETTING) else None)
    return place_of(folder / DATABASE_NAME)


def _user_folder() -> Path:
    return user_data_path("brinkangle", appauthor=False)
