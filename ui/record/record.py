"""The class record: the one door to it.

Every change is one transaction that is on the disk when the call returns:
ending the process at any moment loses nothing that was said to be saved.
"""

from __future__ import annotations

import time
from datetime import UTC, date, datetime
from pathlib import Path

from sqlalchemy import URL, select

from ui.record import deletions, schema
from ui.record.changes import Changes
from ui.record.clips import Clips
from ui.record.lessons import Lessons
from ui.record.readings import Readings


class Record(Lessons, Readings, Changes, Clips):
    """A class record that is open.

    Raises, from any method, the mistakes of `ui.record.errors`.
    """

    def __init__(self, url_or_path: str | URL | Path, folder: Path | None = None) -> None:
        super().__init__(url_or_path, folder)
        self._tidy()

    def setting(self, name: str) -> str | None:
        with self.asking() as session:
            return session.scalar(select(schema.Setting.value).where(schema.Setting.name == name))

    def set_setting(self, name: str, value: str | None) -> None:
        """None takes it away."""
        with self.writing() as session:
            found = session.scalar(select(schema.Setting).where(schema.Setting.name == name))
            if found is not None:
                session.delete(found)
                session.flush()
            if value is not None:
                session.add(schema.Setting(name=name, value=value))

    def _tidy(self) -> None:
        """Finish what a process that ended had begun, and let go what is due."""
        with self.writing() as session:
            deletions.give_up(session, datetime.now(UTC))
        self.sweep()
        self.place.sweep(time.time())
        self.forget_due_clips(date.today())
