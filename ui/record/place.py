"""Where a record lives: the database, the clips, the backups."""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from platformdirs import user_data_path
from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from ui.record.errors import RecordPlaceError

DATABASE_NAME = "record.sqlite3"
CLIPS_ASIDE = "clips-set-aside-"
WORKSHOP = ".backup-"
ABANDONED_AFTER_S = 3600.0
"""Age at which a passing file is taken to be left behind by a process that ended."""
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

    def set_clips_aside(self) -> Path | None:
        """Move clips of no record we know out of the way, rather than sweep them away."""
        if not any(self.clips.glob("clip-*")):
            return None
        aside = self.folder / f"{CLIPS_ASIDE}{datetime.now(UTC):%Y-%m-%d-%H%M%S-%f}"
        self.clips.rename(aside)
        self.clips.mkdir(mode=0o700)
        return aside

    def clips_aside(self) -> tuple[Path, ...]:
        """Folders of clips that were set aside, the latest first."""
        return tuple(sorted(self.folder.glob(f"{CLIPS_ASIDE}*"), reverse=True))

    def delete_clips_aside(self, folder: Path) -> None:
        """Delete one of those folders for good. Raises `OSError`."""
        if folder in self.clips_aside():
            shutil.rmtree(folder)

    def sweep(self, now_s: float) -> None:
        """Remove half-made backups that a process left behind."""
        for path in (*self.folder.glob(f"{WORKSHOP}*"), *self.backups.glob(".*.part")):
            with suppress(FileNotFoundError):  # it was finished just now
                if now_s - path.stat().st_mtime > ABANDONED_AFTER_S:
                    shutil.rmtree(path) if path.is_dir() else path.unlink()


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
