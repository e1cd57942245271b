"""Processes that write to a record and say what is saved: to be killed, or to run side by side."""

from __future__ import annotations

import multiprocessing
import os
import random
import shutil
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from datetime import date
from itertools import count
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from types import ModuleType
from unittest.mock import patch

from sqlalchemy import Engine
from sqlalchemy import event as events

from tests.ui import stand_in
from ui.record.board_area import Area
from ui.record.record import Record

_FRESH = multiprocessing.get_context("forkserver")
_FRESH.set_forkserver_preload([__name__])


def begun(target: Callable[..., None], *args: object) -> tuple[BaseProcess, Connection]:
    """A process of its own that runs ``target(*args, mouth)``, and an ear to what it says."""
    ears, mouth = _FRESH.Pipe(duplex=False)
    process = _FRESH.Process(target=target, args=(*args, mouth), daemon=True)
    # It must not run this process's script again: that may be a page under test.
    with patch.dict(sys.modules, {"__main__": ModuleType("__main__")}):
        process.start()
    mouth.close()
    return process, ears


def write_until_killed(folder: Path, clips: list[Path], seed: int, said: Connection) -> None:
    """Add, change and delete for ever; each thing is said once the record has said it is saved."""
    choose, record = random.Random(seed), Record(folder)
    lesson = record.add_lesson(f"lesson {seed}", date(2026, 11, 24))
    said.send(("lesson", lesson.id, lesson.title))
    for k in count():
        group = record.add_group(lesson.id, f"Table {k}")
        said.send(("group", group.id, group.label))
        said.send(("adding", 0, None))
        clip = record.add_clip(lesson.id, f"{k}.mp4", choose.choice(clips)).clip
        said.send(("clip", clip.id, clip.stored))
        clip = record.change(clip, group_id=group.id, repeat=k % 9 + 1)
        said.send(("clip", clip.id, clip.stored))
        reading = record.save_reading(clip.id, stand_in.toppling())
        said.send(("reading", reading.id, reading.angle_rad))
        if choose.random() < 0.4:
            said.send(("deleting", clip.id, None))
            record.delete_clip_file(clip.id)
            said.send(("deleted", clip.id, None))
        if choose.random() < 0.3:
            record.undo(record.remove(group).id)
            said.send(("group", group.id, group.label))


def write_until_step(folder: Path, clips: list[Path], step: int, said: Connection) -> None:
    """Once through all that touches clips' files, ended just before the given step.

    A step is a file renamed or removed, or a transaction committed.
    """
    record, left = Record(folder), step

    def count_down(event: str, _: object) -> None:
        nonlocal left
        if event in ("os.rename", "os.remove", "commit"):
            left -= 1
            if left == 0:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(count_down)
    events.listen(Engine, "commit", lambda _: count_down("commit", ()))
    lesson = record.add_lesson(f"step {step}", date(2026, 11, 24))
    said.send(("lesson", lesson.id, lesson.title))
    clip, other = (record.add_clip(lesson.id, path.name, path).clip for path in clips[:2])
    said.send(("clip", clip.id, clip.stored))
    said.send(("clip", other.id, other.stored))
    reading = record.save_reading(clip.id, stand_in.toppling())
    said.send(("reading", reading.id, reading.angle_rad))
    said.send(("deleting", clip.id, None))
    record.delete_clip_file(clip.id)
    said.send(("deleted", clip.id, None))
    said.send(("adding", 0, None))
    again = record.add_clip(lesson.id, "again.mp4", clips[0]).clip
    said.send(("clip", again.id, again.stored))
    record.keep_board_alone(again.id, _blank)
    record.change(lesson, keep_days=0)
    said.send(("deleting", again.id, None))
    said.send(("deleting", other.id, None))
    record.forget_due_clips(date(2099, 1, 1))
    said.send(("done", 0, None))


def _blank(path: Path, target: Path, *_: object) -> Area:
    shutil.copyfile(path, target)
    return Area(0, 0, 64, 48)


def write_so_many(folder: Path, lesson_id: int, mark: str, many: int, said: Connection) -> None:
    """Add so many groups, as fast as it goes."""
    record = Record(folder)
    for k in range(many):
        record.add_group(lesson_id, f"{mark} {k}")
    record.close()
    said.send("done")


def heard(ears: Connection) -> list[tuple[str, int, object]]:
    """All that a process said before it ended."""
    said = []
    with suppress(EOFError, OSError):
        while True:
            said.append(ears.recv())
    return said
