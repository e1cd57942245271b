"""The teacher's passphrase: set once, asked for at the door of a shared page."""

from __future__ import annotations

import os
import tempfile
import unicodedata
from pathlib import Path

from ui.sharing.hashing import LASTING, hashed, matches
from ui.sharing.refusals import DamagedHashError, PassphraseError

FILE = "teacher_passphrase.argon2"
LEAST, MOST = 12, 200
"""Characters. Length is what counts; no rule asks for digits or signs."""


def is_set(folder: Path) -> bool:
    """Whether a passphrase has been set on this machine."""
    return (folder / FILE).is_file()


def set_passphrase(folder: Path, words: str) -> None:
    """Keep the hash of a passphrase, readable by the owner's account alone.

    Raises `PassphraseError` for one too short or too long, or where it cannot be written.
    """
    words = _tidy(words)
    if not LEAST <= len(words) <= MOST or len(set(words)) < LEAST // 2:
        raise PassphraseError(
            f"A passphrase has {LEAST} to {MOST} characters and is no row of the same few: "
            "four words that do not belong together are easy to keep in mind."
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=folder)  # with mode 0600 from the first byte
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(hashed(words, LASTING))
        os.replace(name, folder / FILE)
    except OSError as error:
        raise PassphraseError(
            f"The passphrase could not be kept in {folder}: {error.strerror}."
        ) from error


def is_passphrase(folder: Path, words: str) -> bool:
    """Whether these are the teacher's words.

    Raises `PassphraseError` where none is set, or its file is damaged.
    """
    try:
        stored = (folder / FILE).read_text(encoding="ascii")
        return matches(stored, _tidy(words[: 2 * MOST]))
    except (OSError, UnicodeError, DamagedHashError) as error:
        raise PassphraseError(
            "No passphrase can be read on the teacher's machine. "
            "Set it there anew: brinkangle passphrase"
        ) from error


def _tidy(words: str) -> str:
    """One form for what keyboards compose in several, without spaces around it."""
    return unicodedata.normalize("NFKC", words).strip()
