"""What every part of the page works with: the record, its lesson, and the server's queue."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from solver.errors import BrinkangleError
from ui import desk
from ui.classroom.measuring import saving
from ui.classroom.queue import Queue
from ui.ending import at_the_end
from ui.record.record import Record
from ui.words import as_text

LESSON, TOLD = "class lesson", "class told"


@st.cache_resource(show_spinner=False)
def _queue(place: str, _record: Record) -> Queue:
    bench = desk.bench()
    queue = Queue(bench, saving(_record), bench.workers)
    at_the_end(queue.close)
    return queue


def queue_of(record: Record) -> Queue:
    """The one queue of this server for a record."""
    return _queue(str(record.place), record)


def attempt(what: Callable[[], object], done: str = "") -> bool:
    """Do something to the record from a callback, and have the page say how it went."""
    try:
        what()
    except BrinkangleError as error:
        tell(str(error), wrong=True)
        return False
    if done:
        tell(done)
    return True


def tell(words: str, wrong: bool = False) -> None:
    """Have the page say something at its top in the next run, once."""
    st.session_state.setdefault(TOLD, []).append((words, wrong))


def show_told() -> None:
    """Say what callbacks had to say."""
    for words, wrong in st.session_state.pop(TOLD, ()):
        (st.error if wrong else st.success)(as_text(words))
