"""Words that are asked for at the door, kept as Argon2id hashes alone."""

from __future__ import annotations

from threading import Lock

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError, VerifyMismatchError
from argon2.profiles import RFC_9106_LOW_MEMORY

from ui.sharing.refusals import DamagedHashError

_HASHER = PasswordHasher.from_parameters(RFC_9106_LOW_MEMORY)
# Each hash takes 64 MiB: many guesses at once must not fill the memory.
_ONE_AT_A_TIME = Lock()


def hashed(words: str) -> str:
    """The hash of some words, with its own salt."""
    with _ONE_AT_A_TIME:
        return _HASHER.hash(words)


def matches(stored: str, words: str) -> bool:
    """Whether these are the words. Raises `DamagedHashError` for what is no hash."""
    with _ONE_AT_A_TIME:
        try:
            return _HASHER.verify(stored, words)
        except VerifyMismatchError:
            return False
        except (InvalidHashError, VerificationError) as error:
            raise DamagedHashError("What was kept of the word is damaged.") from error
