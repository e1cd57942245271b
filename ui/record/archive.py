"""A backup as a file: a zip with the database, the clips, and what each should be."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from ui.record.clip_store import STORED, to_disk
from ui.record.errors import BackupError

FORMAT = 1
MANIFEST, DATABASE, CLIPS = "backup.json", "record.sqlite3", "clips/"
LARGEST_MANIFEST_BYTES = 10 * 1024**2
SPARE_BYTES = 64 * 1024**2
"""What a disk should have left after a backup was laid out."""


@dataclass(frozen=True)
class BackupFile:
    """A backup that can be read."""

    path: Path
    made_at: datetime
    """UTC."""
    with_clips: bool
    """Whether it has the clips and their frames, or figures alone."""
    files: dict[str, str]
    """SHA-256 of each file in it, by name."""

    @property
    def size(self) -> int:
        """Bytes."""
        return self.path.stat().st_size


def pack(
    target: Path, database: Path, clips: Iterable[Path], made_at: datetime, with_clips: bool
) -> BackupFile:
    """Write a backup; it is there as a whole or not at all. Raises `OSError`."""
    contents = {DATABASE: database, **{CLIPS + clip.name: clip for clip in clips}}
    files = {name: _sha256(path) for name, path in contents.items()}
    manifest = {
        "format": FORMAT,
        "made_at": made_at.isoformat(),
        "with_clips": with_clips,
        "files": files,
    }
    part = target.with_name(f".{target.name}.part")
    try:
        with zipfile.ZipFile(part, "w") as archive:
            archive.writestr(MANIFEST, json.dumps(manifest, indent=1))
            archive.write(database, DATABASE, zipfile.ZIP_DEFLATED)
            for name, path in contents.items():
                if path is not database:  # a clip cannot be made smaller
                    archive.write(path, name)
        to_disk(part)
        os.replace(part, target)
        to_disk(target.parent)
    finally:
        part.unlink(missing_ok=True)
    return BackupFile(target, made_at, with_clips, files)


def look_into(path: Path) -> BackupFile:
    """What a backup says of itself. Raises `BackupError` where it is none."""
    try:
        with zipfile.ZipFile(path) as archive:
            if archive.getinfo(MANIFEST).file_size > LARGEST_MANIFEST_BYTES:
                raise ValueError("its list of files is too long")
            return _described(path, json.loads(archive.read(MANIFEST)))
    except (OSError, zipfile.BadZipFile, KeyError, ValueError, TypeError, AttributeError) as error:
        raise BackupError(
            f"{path.name} is no backup of a class record, or is damaged ({error}). Choose a .zip "
            "that Brinkangle wrote."
        ) from error


def unpack(backup: BackupFile, folder: Path) -> None:
    """Lay a backup out in a folder, each file checked. Raises `BackupError` or `OSError`."""
    try:
        with zipfile.ZipFile(backup.path) as archive:
            _check_room(backup, archive, folder)
            for name, sha256 in backup.files.items():
                target = folder / name
                target.parent.mkdir(exist_ok=True)
                with archive.open(name) as packed, target.open("wb") as file:
                    shutil.copyfileobj(packed, file)
                if _sha256(target) != sha256:
                    raise zipfile.BadZipFile(f"{name} is not as it was written")
                to_disk(target)
    except (zipfile.BadZipFile, KeyError, EOFError, NotImplementedError, RuntimeError) as error:
        raise BackupError(
            f"{backup.path.name} is damaged ({error}). Nothing was replaced. Choose another backup."
        ) from error


def _described(path: Path, manifest: dict[str, Any]) -> BackupFile:
    if manifest["format"] != FORMAT:
        raise ValueError(f"its format is {manifest['format']}, this Brinkangle reads {FORMAT}")
    files = {str(name): str(sha256) for name, sha256 in manifest["files"].items()}
    for name in files:
        # A name is ours, and so can lead nowhere else.
        if name != DATABASE and not (
            name.startswith(CLIPS) and STORED.fullmatch(name.removeprefix(CLIPS))
        ):
            raise ValueError(f"it holds {name!r}")
    if DATABASE not in files:
        raise ValueError("it holds no database")
    made_at = datetime.fromisoformat(manifest["made_at"])
    return BackupFile(path, made_at, bool(manifest["with_clips"]), files)


def _check_room(backup: BackupFile, archive: zipfile.ZipFile, folder: Path) -> None:
    needed = sum(archive.getinfo(name).file_size for name in backup.files)
    free = shutil.disk_usage(folder).free
    if needed + SPARE_BYTES > free:
        raise BackupError(
            f"{backup.path.name} needs {needed / 1e6:.0f} MB and the disk has {free / 1e6:.0f} MB "
            "left. Nothing was replaced. Free some space and try again."
        )


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
