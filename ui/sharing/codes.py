"""Lesson codes: short enough for a whiteboard, too many to guess."""

from __future__ import annotations

import secrets

ALPHABET = "CDFHJKMNPQRTVWXY34679"
"""No vowels, so that no words arise; no 0, 1 I L, 2 Z, 5 S, 8 B, G or U, which look like others."""
LENGTH = 8


def new_code() -> str:
    """A code nobody can foresee, such as ``KX4T-7QMR``: 21⁸, about 4·10¹⁰ are possible."""
    letters = "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))
    return f"{letters[: LENGTH // 2]}-{letters[LENGTH // 2 :]}"


def tidy_code(typed: str) -> str | None:
    """What was typed, in the form it is hashed in; None where it cannot be any code."""
    letters = "".join(letter for letter in typed.upper() if letter not in " -–—\t\r\n")
    if len(letters) != LENGTH or not set(letters) <= set(ALPHABET):
        return None
    return letters
