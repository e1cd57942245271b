"""Work in processes of their own: one that dies costs its clip, not the page or the command."""

from __future__ import annotations

import logging
import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from queue import SimpleQueue
from tempfile import TemporaryDirectory
from typing import ParamSpec, TextIO, TypeVar
from uuid import uuid4

from solver.errors import BrinkangleError, ClipError
from ui.answer import unreadable
from vision.measure import measure_clip
from vision.reading import ClipReading, ClipSetup

P = ParamSpec("P")
R = TypeVar("R")

DIED = (
    "The process that reads clips broke off on this one: the file may be damaged, or memory ran "
    "out. Cut the clip to the seconds in which the board is raised, film at 1080p, and try again."
)

log = logging.getLogger(__name__)


class WorkerDiedError(BrinkangleError):
    """A worker process ended in the middle of its task."""


class Bench:
    """Worker processes, each kept for task after task; the rest of the tasks wait their turn."""

    def __init__(self, workers: int | None = None) -> None:
        self.workers = count = workers or os.cpu_count() or 1
        self._folder = TemporaryDirectory(prefix="brinkangle-bench-")
        self._threads = ThreadPoolExecutor(count, thread_name_prefix="bench")
        self._workers: SimpleQueue[ProcessPoolExecutor] = SimpleQueue()
        for _ in range(count):
            self._workers.put(_worker())

    def submit(self, task: Callable[P, R], *args: P.args, **kwargs: P.kwargs) -> Future[R]:
        """Run a task of an importable module; its future may raise `WorkerDiedError`."""
        return self._threads.submit(lambda: self._run(task, *args, **kwargs))

    def measure(self, path: Path, setup: ClipSetup) -> Ticket:
        """Have a clip measured."""
        progress = Path(self._folder.name) / uuid4().hex
        return Ticket(path, progress, self.submit(_measure, path, setup, progress))

    def close(self) -> None:
        """Stop at once, whatever is still being measured."""
        self._threads.shutdown(wait=False, cancel_futures=True)
        for child in multiprocessing.active_children():
            child.terminate()
        self._threads.shutdown()
        while not self._workers.empty():
            self._workers.get().shutdown()
        self._folder.cleanup()

    def _run(self, task: Callable[P, R], *args: P.args, **kwargs: P.kwargs) -> R:
        worker = self._workers.get()
        try:
            try:
                future = worker.submit(task, *args, **kwargs)
            except BrokenProcessPool:  # it died between two tasks: no fault of this one
                worker = _worker()
                future = worker.submit(task, *args, **kwargs)
            return future.result()
        except BrokenProcessPool as error:
            worker = _worker()
            raise WorkerDiedError(DIED) from error
        finally:
            self._workers.put(worker)


class Ticket:
    """A clip that is being measured, or has been."""

    def __init__(self, path: Path, progress: Path, future: Future[ClipReading]) -> None:
        self.path = path
        self._progress, self._future = progress, future
        self._began = time.perf_counter()

    @property
    def done(self) -> bool:
        return self._future.done()

    @property
    def share(self) -> float:
        """Of the clip that is measured, 0 to 1."""
        try:
            return float(self._progress.read_text() or 0.0)
        except FileNotFoundError:  # not begun, or finished
            return float(self.done)

    def reading(self) -> ClipReading:
        """Waits for it; what cannot be measured is unreadable, with the reason."""
        try:
            return self._future.result()
        except WorkerDiedError as error:
            reason = str(error)
        except Exception as error:
            log.exception("Measuring %s failed", self.path)
            reason = (
                f"Brinkangle itself failed on this clip ({type(error).__name__}: {error}). "
                "That is a fault of the program, not of the clip: please report it."
            )
        return unreadable(reason, time.perf_counter() - self._began)


def _worker() -> ProcessPoolExecutor:
    context = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(1, mp_context=context, initializer=_leave_with_parent)


def _leave_with_parent() -> None:
    """End this worker when the page or command that started it is gone, and only then.

    Ctrl-C in a terminal reaches workers too; what it means is for the parent to say.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    assert parent is not None

    def wait() -> None:
        parent.join()
        os._exit(1)

    threading.Thread(target=wait, daemon=True).start()


def _measure(path: Path, setup: ClipSetup, progress: Path) -> ClipReading:
    began = time.perf_counter()
    try:
        with progress.open("w") as file:
            return measure_clip(path, setup, lambda share: _tell(file, share))
    except ClipError as error:
        return unreadable(str(error), time.perf_counter() - began)
    finally:
        progress.unlink()


def _tell(file: TextIO, share: float) -> None:
    file.seek(0)
    file.write(f"{share:.4f}")
    file.flush()
