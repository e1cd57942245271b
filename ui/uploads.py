"""Clips handed over by a browser, kept once on this machine until they are deleted."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path, PurePath

from solver.errors import ClipFormatError
from ui.files import write_whole

LARGEST_UPLOAD_MB = 500
SUFFIXES = ("mp4", "mov", "m4v", "webm", "mkv", "avi")


@dataclass(frozen=True)
class KeptClip:
    """A clip on this machine."""

    path: Path
    sha256: str
    name: str
    """As its owner calls it: to be shown as text, never to be made a path."""

    def in_own_name(self, words: str) -> str:
        """A message about the file on this machine, with the owner's name for it."""
        return words.replace(self.path.name, self.name)


def keep(name: str, content: bytes | memoryview, folder: Path) -> KeptClip:
    """Copy an upload into ``folder`` under a name of ours; the same content only once.

    Raises `ClipFormatError` where nothing came, or the name is not a clip's.
    """
    suffix = clip_suffix(name, len(content))
    sha256 = hashlib.sha256(content).hexdigest()
    path = folder / f"clip-{sha256[:16]}.{suffix}"
    if not path.exists():
        write_whole(path, content)
    return KeptClip(path, sha256, name)


def clip_suffix(name: str, size: int) -> str:
    """How the name of a clip of so many bytes ends, without the dot.

    Raises `ClipFormatError` where nothing came, or the name is not a clip's.
    """
    suffix = PurePath(name).suffix.lower().removeprefix(".")
    if size == 0:
        raise ClipFormatError(
            f"{name} came empty (0 bytes): phones hand over a clip they are still saving or "
            "fetching. Open it once on the phone, wait until it plays, and upload it again."
        )
    if suffix not in SUFFIXES:
        raise ClipFormatError(
            f"{name} does not end like a clip ({', '.join(SUFFIXES)}). Export it as mp4 or mov."
        )
    return suffix


def at_hand(path: Path) -> KeptClip:
    """A clip that is on this machine already, such as a sample."""
    with path.open("rb") as file:
        return KeptClip(path, hashlib.file_digest(file, "sha256").hexdigest(), path.name)
