"""The record of this machine: opened once a process, for page and commands alike."""

from __future__ import annotations

import logging
from datetime import date
from threading import Lock

from ui.record.backup import back_up_figures
from ui.record.errors import RecordError
from ui.record.place import Place, default_place
from ui.record.record import Record

log = logging.getLogger(__name__)

_open: dict[Place, Record] = {}
_looked_after: dict[Place, date] = {}
_turn = Lock()


def the_record() -> Record:
    """The record that the environment names, else the one in the user's data folder.

    Raises the mistakes of `ui.record.errors`, until the record can be opened.
    """
    place = default_place()
    with _turn:
        if place not in _open:
            _open[place] = Record(place.url, place.folder)
        if _looked_after.get(place) != (today := date.today()):
            _look_after(_open[place], today)
            _looked_after[place] = today
        return _open[place]


def close_records() -> None:
    """Let go of every record that is open; the next call opens anew."""
    with _turn:
        _looked_after.clear()
        while _open:
            _open.popitem()[1].close()


def _look_after(record: Record, today: date) -> None:
    """What is due once a day, also on a page that is left open."""
    record.forget_due_clips(today)
    if not record.lessons():
        return
    try:
        back_up_figures(record)
    except RecordError:  # such as a full disk: no reason to keep the record shut
        log.exception("The daily copy of the figures could not be made")
