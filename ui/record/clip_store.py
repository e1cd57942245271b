"""The clips of the record: files of ours in one folder, the picture alone.

A file is never named by its owner. It is made ready under a passing name,
and takes its place inside the transaction that writes its row; a file whose
row is not there, because the process ended in between, is swept away when the
record is next opened.
"""

from __future__ import annotations

import hashlib
import os
import re
import time
from collections.abc import Set
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from uuid import uuid4

from solver.errors import ClipFormatError, ClipMissingError, ClipSizeError
from ui.record.place import ABANDONED_AFTER_S
from ui.record.remux import picture_alone
from ui.uploads import clip_suffix
from vision.clip import LARGEST_BYTES

STORED = re.compile(r"clip-[0-9a-f]{32}-[0-9a-f]{8}\.[a-z0-9]{3,4}")
PASSING_PREFIX = "passing-"


@dataclass(frozen=True)
class Incoming:
    """A clip that is ready to take its place."""

    path: Path
    sha256: str
    """Of what was handed over."""
    suffix: str


class ClipStore:
    """The folder of clips."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def receive(self, name: str, content: bytes | memoryview | Path) -> Incoming:
        """Take a clip in under a passing name, without sound, place or other data.

        Raises `ClipError` where it is no clip that can be read, `OSError` where it
        cannot be written.
        """
        size = _size(content) if isinstance(content, Path) else len(content)
        suffix = clip_suffix(name, size)
        handed_over, ready = self.passing(suffix), self.passing(suffix)
        try:
            if isinstance(content, Path):
                source = content
            else:
                handed_over.write_bytes(content)
                source = handed_over
            with source.open("rb") as file:
                sha256 = hashlib.file_digest(file, "sha256").hexdigest()
            picture_alone(source, ready, name)
            to_disk(ready)
        except BaseException:
            ready.unlink(missing_ok=True)
            raise
        finally:
            handed_over.unlink(missing_ok=True)
        return Incoming(ready, sha256, suffix)

    def passing(self, suffix: str) -> Path:
        """A fresh passing name."""
        return self.folder / f"{PASSING_PREFIX}{uuid4().hex}.{suffix}"

    def settle(self, passing: Path, stored: str) -> None:
        """Give a passing file its name; it is there as a whole or not at all."""
        os.replace(passing, self.folder / stored)
        to_disk(self.folder)

    def delete(self, stored: str) -> None:
        """Remove a clip's file for good."""
        (self.folder / stored).unlink(missing_ok=True)
        to_disk(self.folder)

    def sweep(self, wanted: Set[str], now_s: float | None = None) -> None:
        """Remove clips that no row names, and passing files left behind.

        Call it while no other process can be settling a file.
        """
        now_s = time.time() if now_s is None else now_s
        for path in self.folder.iterdir():
            with suppress(FileNotFoundError):  # another process swept it first
                left = now_s - path.stat().st_mtime > ABANDONED_AFTER_S
                passing = path.name.startswith(PASSING_PREFIX)
                orphan = STORED.fullmatch(path.name) and path.name not in wanted
                if orphan or (passing and left):
                    path.unlink()


def stored_name(sha256: str, suffix: str) -> str:
    """A name of ours that no file had before, so that deleting one never takes another."""
    return f"clip-{sha256[:32]}-{uuid4().hex[:8]}.{suffix}"


def to_disk(path: Path) -> None:
    """See a file, or a folder's list of names, onto the disk itself."""
    if path.is_dir() and os.name == "nt":
        return  # Windows keeps a folder's list by itself, and opens no folder
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _size(path: Path) -> int:
    try:
        size = path.stat().st_size
    except OSError as error:
        raise ClipMissingError(
            f"{path.name} is not there or cannot be read. Check the name, or copy it again."
        ) from error
    if not path.is_file():
        raise ClipFormatError(f"{path.name} is no file that holds a clip. Name a clip.")
    if size > LARGEST_BYTES:
        raise ClipSizeError(
            f"{path.name} is {size / 1024**3:.1f} GB; the limit is "
            f"{LARGEST_BYTES / 1024**3:.0f} GB. Film at 1080p, or cut the clip."
        )
    if not os.access(path, os.R_OK):
        raise ClipMissingError(f"{path.name} may not be read by this user. Copy it elsewhere.")
    return size
