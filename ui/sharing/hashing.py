"""Words that are asked for at the door, kept as Argon2id hashes alone."""

from __future__ import annotations

from threading import Lock

from argon2 import PasswordHasher
from argon2.exceptions import VerifyMismatchError
from argon2.profiles import RFC_9106_LOW_MEMORY

_HASHER = PasswordHasher.from_parameters(RFC_9106_LOW_MEMORY)
# Each hash takes 64 MiB: many guesses at once must not fill the memory.
_ONE_AT_A_TIME = Lock()


def hashed(words: str) -> str:
    """The hash of some words, with its own salt."""
    with _ONE_AT_A_TIME:
        return _HASHER.hash(words)


def matches(stored: str, words: str) -> bool:
    """Whether these are the words. Raises `argon2.exceptions.InvalidHashError` for no hash."""
    with _ONE_AT_A_TIME:
        try:
            return _HASHER.verify(stored, words)
        except VerifyMismatchError:
            return False
