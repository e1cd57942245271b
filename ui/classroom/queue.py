"""Clips waiting to be measured, and the threads that measure and save them.

The threads belong to the server, not to a page: each reading is saved as its clip
finishes, whether or not anybody looks. What was not saved is still waiting in the
record, so that nothing is lost when the server ends, and measuring can be taken up again.
"""

from __future__ import annotations

import logging
import threading
from collections import OrderedDict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from solver.errors import BrinkangleError
from ui.jobs import DIED
from vision.reading import ClipReading, ClipSetup

log = logging.getLogger(__name__)


class Ticket(Protocol):
    """A clip that is being measured."""

    @property
    def share(self) -> float: ...
    def reading(self) -> ClipReading: ...


class Measures(Protocol):
    """A bench of workers, such as `ui.jobs.Bench`."""

    def measure(self, path: Path, setup: ClipSetup) -> Ticket: ...


@dataclass(frozen=True)
class Task:
    """One clip to be measured."""

    clip_id: int
    sha256: str
    """Of the clip's content, to know it by when its reading is kept."""
    path: Path
    setup: ClipSetup


Save = Callable[[Task, ClipReading], None]
"""Keeps the reading of a task for good; may raise `BrinkangleError` or `OSError`."""


@dataclass(frozen=True)
class Progress:
    """How far the queue is with a clip it has in hand."""

    under_way: bool
    share: float
    """Of the clip that is measured, 0 to 1."""


class Queue:
    """Measures tasks in their order, a few at a time, and saves each reading at once."""

    def __init__(self, bench: Measures, save: Save, at_once: int) -> None:
        self._bench, self._save, self._at_once = bench, save, at_once
        self._lock = threading.Lock()
        self._waiting: OrderedDict[int, Task] = OrderedDict()
        self._under_way: dict[int, Ticket | None] = {}
        self._unsaved: dict[int, str] = {}
        self._threads: set[threading.Thread] = set()
        self._closed = False

    def add(self, tasks: Iterable[Task]) -> None:
        """Have clips measured; one that is in hand already is not taken twice."""
        with self._lock:
            for task in tasks:
                self._unsaved.pop(task.clip_id, None)
                if task.clip_id not in self._under_way:
                    self._waiting.setdefault(task.clip_id, task)
            for _ in range(min(self._at_once - len(self._threads), len(self._waiting))):
                thread = threading.Thread(target=self._work, daemon=True, name="class-queue")
                self._threads.add(thread)
                thread.start()

    def stop(self, clip_ids: Iterable[int] | None = None) -> None:
        """Begin no more of these clips, or of any; what is under way is finished and saved."""
        with self._lock:
            for clip_id in list(self._waiting if clip_ids is None else clip_ids):
                self._waiting.pop(clip_id, None)

    def close(self) -> None:
        """Begin and save nothing more: what is under way was broken off and is not to be believed.

        Call it before the bench is closed.
        """
        with self._lock:
            self._waiting.clear()
            self._closed = True

    def progress(self, clip_id: int) -> Progress | None:
        """Of a clip that waits its turn or is under way; None for any other."""
        with self._lock:
            if clip_id in self._under_way:
                ticket = self._under_way[clip_id]
                return Progress(True, ticket.share if ticket else 0.0)
            return Progress(False, 0.0) if clip_id in self._waiting else None

    def unsaved(self, clip_id: int) -> str | None:
        """Why a clip's reading could not be kept, in a plain sentence; None where it was."""
        with self._lock:
            return self._unsaved.get(clip_id)

    def wait(self, timeout_s: float | None = None) -> bool:
        """Until nothing is in hand; whether that is so."""
        with self._lock:
            threads = list(self._threads)
        for thread in threads:
            thread.join(timeout_s)
        return not self._threads

    def _work(self) -> None:
        while (task := self._next()) is not None:
            try:
                self._measure(task)
            finally:
                with self._lock:
                    del self._under_way[task.clip_id]

    def _next(self) -> Task | None:
        with self._lock:
            if not self._waiting:
                self._threads.discard(threading.current_thread())
                return None
            clip_id, task = self._waiting.popitem(last=False)
            self._under_way[clip_id] = None
            return task

    def _measure(self, task: Task) -> None:
        """One that fails must not keep the rest from being measured: it is told and logged."""
        try:
            reading = self._read(task)
            if reading.reasons == (DIED,) and not self._closed:
                reading = self._read(task)  # once may be the end of the server, or of memory
            if not self._closed:
                self._save(task, reading)
        except (BrinkangleError, OSError) as error:
            self._tell(task, f"The reading could not be kept: {error}")
        except Exception as error:
            self._tell(
                task,
                f"Brinkangle itself failed on this clip ({type(error).__name__}: {error}). That "
                "is a fault of the program: please report it, and measure the clip again.",
            )

    def _read(self, task: Task) -> ClipReading:
        ticket = self._bench.measure(task.path, task.setup)
        with self._lock:
            self._under_way[task.clip_id] = ticket
        return ticket.reading()

    def _tell(self, task: Task, words: str) -> None:
        log.exception("Clip %d has no reading", task.clip_id)
        with self._lock:
            self._unsaved[task.clip_id] = words
