"""Doing something from a callback, and saying in the next run how it went."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from solver.errors import BrinkangleError
from ui.words import as_text

SAID = "keeping said"


def say() -> None:
    """Say what callbacks had to say, once."""
    for words, wrong in st.session_state.pop(SAID, ()):
        (st.error if wrong else st.success)(as_text(words))


def attempt(what: Callable[[], object], done: str = "") -> None:
    """Do something from a callback, and have the next run say how it went."""
    said = st.session_state.setdefault(SAID, [])
    try:
        words = what()
    except (BrinkangleError, OSError) as error:
        said.append((str(error), True))
    else:
        said.append((done or str(words), False))
