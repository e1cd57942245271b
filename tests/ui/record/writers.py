"""Processes that write to a record and say what is saved: to be killed, or to run side by side."""

from __future__ import annotations

import multiprocessing
import random
from contextlib import suppress
from datetime import date
from itertools import count
from multiprocessing.connection import Connection
from pathlib import Path

from tests.ui import stand_in
from ui.record.record import Record

FRESH = multiprocessing.get_context("forkserver")
FRESH.set_forkserver_preload([__name__])


def write_until_killed(folder: Path, clips: list[Path], seed: int, said: Connection) -> None:
    """Add, change and delete for ever; each thing is said once the record has said it is saved."""
    choose, record = random.Random(seed), Record(folder)
    lesson = record.add_lesson(f"lesson {seed}", date(2026, 11, 24))
    said.send(("lesson", lesson.id, lesson.title))
    for k in count():
        group = record.add_group(lesson.id, f"Table {k}")
        said.send(("group", group.id, group.label))
        clip = record.add_clip(lesson.id, f"{k}.mp4", choose.choice(clips)).clip
        said.send(("clip", clip.id, clip.stored))
        clip = record.change(clip, group_id=group.id, repeat=k % 9 + 1)
        said.send(("change", clip.id, (clip.group_id, clip.repeat)))
        reading = record.save_reading(clip.id, stand_in.toppling())
        said.send(("reading", reading.id, reading.angle_rad))
        if choose.random() < 0.4:
            said.send(("deleting", clip.id, None))
            record.delete_clip_file(clip.id)
            said.send(("deleted", clip.id, None))
        if choose.random() < 0.3:
            record.undo(record.remove(group).id)
            said.send(("group", group.id, group.label))


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
