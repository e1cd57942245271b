"""The record of this machine: opened once a process, for page and commands alike."""

from __future__ import annotations

from datetime import date
from threading import Lock

from ui.record.place import Place, default_place
from ui.record.record import Record

_open: dict[Place, Record] = {}
_tidied: dict[Place, date] = {}
_turn = Lock()


def the_record() -> Record:
    """The record that the environment names, else the one in the user's data folder.

    Raises the mistakes of `ui.record.errors`, until the record can be opened.
    """
    place = default_place()
    with _turn:
        if place not in _open:
            _open[place] = Record(place.url, place.folder)
            _tidied[place] = date.today()
        if _tidied[place] != (today := date.today()):  # a page that is left open for days
            _open[place].forget_due_clips(today)
            _tidied[place] = today
        return _open[place]


def close_records() -> None:
    """Let go of every record that is open; the next call opens anew."""
    with _turn:
        while _open:
            _open.popitem()[1].close()
