"""Ending the process at any moment loses nothing that was said to be saved."""

from __future__ import annotations

import random
import shutil
import signal
import sqlite3
import time
from concurrent.futures import ThreadPoolExecutor
from multiprocessing.connection import Connection
from pathlib import Path

import pytest
from sqlalchemy import text

from tests.ui.record.writers import (
    begun,
    heard,
    write_so_many,
    write_until_killed,
    write_until_step,
)
from ui.record.place import ABANDONED_AFTER_S
from ui.record.record import Record
from ui.record.rows import Clip, Lesson
from vision.clip import first_frame

KILLS = 15
MANY_KILLS = 200
MOST_WORDS = 24
"""Said before a writer is killed: some three rounds of all it does."""
LONGEST_STEP_S = 0.03
PATIENCE_S = 120.0
FEWEST_STEPS, MOST_STEPS = 12, 60


def test_what_was_said_to_be_saved_outlives_the_process(
    tmp_path: Path, clips: tuple[Path, ...]
) -> None:
    _kill_and_look(tmp_path, clips, KILLS)


@pytest.mark.study
def test_what_was_said_to_be_saved_outlives_many_processes(
    tmp_path: Path, clips: tuple[Path, ...]
) -> None:
    _kill_and_look(tmp_path, clips, MANY_KILLS)


def _kill_and_look(tmp_path: Path, clips: tuple[Path, ...], kills: int) -> None:
    choose, kept = random.Random(20), tmp_path / "kept"
    Record(kept).close()
    for seed in range(kills):
        writer, ears = begun(write_until_killed, kept, list(clips), seed)
        said = _first_words(ears, choose.randint(1, MOST_WORDS))
        time.sleep(choose.uniform(0.0, LONGEST_STEP_S))
        writer.kill()
        writer.join()
        said += heard(ears)
        _look(kept, said)


def _first_words(ears: Connection, many: int) -> list[tuple[str, int, object]]:
    """So many, however slow the machine is; each is said when something is on the disk."""
    said = []
    for _ in range(many):
        assert ears.poll(PATIENCE_S), f"the writer said only {said}"
        said.append(ears.recv())
    return said


def test_ended_before_each_step_rows_and_files_agree(
    tmp_path: Path, clips: tuple[Path, ...]
) -> None:
    Record(tmp_path / "fresh").close()
    for step in range(1, MOST_STEPS):
        kept = shutil.copytree(tmp_path / "fresh", tmp_path / f"kept {step}")
        writer, ears = begun(write_until_step, kept, list(clips), step)
        said = heard(ears)
        writer.join()
        if said and said[-1][0] == "done":
            assert step > FEWEST_STEPS
            return
        assert writer.exitcode == -signal.SIGKILL
        if said:
            _look(kept, said)
    raise AssertionError("the writer was never done")


def _look(kept: Path, said: list[tuple[str, int, object]]) -> None:
    with sqlite3.connect(kept / "record.sqlite3") as raw:
        assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []
    raw.close()
    record = Record(kept)
    try:
        _nothing_said_is_missing(record, said)
        _rows_and_files_agree(record)
    finally:
        record.close()


def _nothing_said_is_missing(record: Record, said: list[tuple[str, int, object]]) -> None:
    """The last word on each thing holds, unless it was announced that it was about to change."""
    (_, lesson_id, title), *rest = said
    assert record.lesson(lesson_id).title == title
    view = record.lesson_view(lesson_id)
    groups = {group.id: group.label for group in view.groups}
    clips = {clip.id: clip for clip in view.clips}
    with record.asking() as session:
        angles = dict(session.execute(text("SELECT id, angle_rad FROM reading")).all())
    last: dict[int, str] = {}
    for what, row_id, value in rest:
        if what == "group":
            # One may have been taken out, and not yet brought back, when the process ended.
            assert groups.get(row_id) == value or record.deletions()[0].what == f"group {value}"
        elif what == "reading":
            assert angles[row_id] == value
        elif what == "adding":
            last = {clip_id: word for clip_id, word in last.items() if word != "deleted"}
        else:
            last[row_id] = what
    for clip_id, word in last.items():
        if word == "clip":
            assert clips[clip_id].stored is not None
        if word == "deleted":
            assert clips[clip_id].stored is None


def _rows_and_files_agree(record: Record) -> None:
    """Each clip's row has a sound file, and no file is there that no row names."""
    now = time.time()
    record.store.sweep(_stored(record), now + ABANDONED_AFTER_S + 1)
    files = {path.name for path in record.place.clips.iterdir()}
    assert files == _stored(record)
    for name in sorted(files)[-2:]:
        assert first_frame(record.place.clips / name).shape == (64, 96, 3)


def _stored(record: Record) -> set[str]:
    with record.asking() as session:
        found = session.scalars(text("SELECT stored FROM clip WHERE stored IS NOT NULL"))
        return set(found)


def test_a_class_of_thirty_hands_in_at_once(record: Record, clip: Clip) -> None:
    def hand_in(number: int) -> int:
        return record.add_student_reading(clip.id, f"pupil {number}", 0.3, 0.02, "agrees").id

    with ThreadPoolExecutor(30) as pupils:
        ids = list(pupils.map(hand_in, range(90)))
    assert len(set(ids)) == 90
    view = record.lesson_view(clip.lesson_id)
    assert {each.by for each in view.student_readings} == {f"pupil {k}" for k in range(90)}


def test_two_processes_write_at_once(record: Record, lesson: Lesson) -> None:
    marks, many = ("page", "command"), 40
    writers = [begun(write_so_many, record.place.folder, lesson.id, mark, many) for mark in marks]
    for writer, ears in writers:
        writer.join(PATIENCE_S)
        assert (writer.exitcode, heard(ears)) == (0, ["done"])
    labels = {group.label for group in record.groups(lesson.id)}
    assert labels == {f"{mark} {k}" for mark in marks for k in range(many)}
