"""Words that are asked for at the door, kept as Argon2id hashes alone."""

from __future__ import annotations

from threading import Lock

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError, VerifyMismatchError
from argon2.profiles import RFC_9106_LOW_MEMORY

from ui.sharing.refusals import DamagedHashError

LASTING = PasswordHasher.from_parameters(RFC_9106_LOW_MEMORY)
FOR_A_LESSON = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)
"""For a code drawn by lot and worth nothing after the lesson: thirty may come in at once."""
# Each hash takes up to 64 MiB: many guesses at once must not fill the memory.
_ONE_AT_A_TIME = Lock()


def hashed(words: str, hasher: PasswordHasher) -> str:
    """The hash of some words, with its own salt."""
    with _ONE_AT_A_TIME:
        return hasher.hash(words)


def matches(stored: str, words: str) -> bool:
    """Whether these are the words. Raises `DamagedHashError` for what is no hash."""
    with _ONE_AT_A_TIME:
        try:
            return LASTING.verify(stored, words)  # by what the hash says of itself
        except VerifyMismatchError:
            return False
        except (InvalidHashError, VerificationError) as error:
            raise DamagedHashError("What was kept of the word is damaged.") from error
