"""Which clips wait, and that readings are in the record as each clip finishes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import radians
from pathlib import Path

import pytest
from uncertainties import nominal_value

from solver.errors import InputError
from tests.ui.stand_in import StandInBench, toppling
from ui.answer import unreadable
from ui.classroom.arrivals import take_in
from ui.classroom.measuring import Stage, saving, states, tasks, to_measure
from ui.classroom.queue import Queue
from ui.record.errors import NotInRecordError
from ui.record.here import close_records, the_record
from ui.record.record import Record
from ui.record.rows import LessonView

NAMES = ("table1_tea_1.mp4", "table2_tea_1.mp4", "table3_jar_1.mp4")


@pytest.fixture
def lesson(record: Record, still_clips: tuple[bytes, ...]) -> int:
    record.add_body("Leaf tea tin", 0.034, 0.0002)
    lesson = record.add_lesson("Tea tins", date(2026, 11, 25))
    take_in(record, lesson.id, zip(NAMES, still_clips, strict=False))
    return lesson.id


def stages(record: Record, lesson: int, queue: Queue | None = None) -> list[Stage]:
    return [state.stage for state in states(record.lesson_view(lesson), queue)]


def queue_of(record: Record) -> Queue:
    return Queue(StandInBench(toppling()), saving(record), 2)


def all_tasks(record: Record, view: LessonView, queue: Queue | None = None):  # type: ignore[no-untyped-def]
    return tasks(record, view, to_measure(states(view, queue)))


def test_clips_with_a_body_wait_and_are_measured_and_kept(record: Record, lesson: int) -> None:
    assert stages(record, lesson) == [Stage.WAITING, Stage.WAITING, Stage.NO_BODY]
    queue, view = queue_of(record), record.lesson_view(lesson)
    queue.add(all_tasks(record, view))
    assert queue.wait(10)
    assert stages(record, lesson, queue) == [Stage.MEASURED, Stage.MEASURED, Stage.NO_BODY]
    reading = record.reading_of(view.clips[0].id)
    assert reading is not None and reading.radius_m == 0.034


def test_measuring_is_taken_up_again_after_the_process_has_gone(
    record: Record, lesson: int
) -> None:
    """Another process finds what was measured in the record, and the rest waiting."""
    view = record.lesson_view(lesson)
    record.save_reading(view.clips[0].id, toppling(), 0.034)
    close_records()
    again = the_record()
    assert stages(again, lesson) == [Stage.MEASURED, Stage.WAITING, Stage.NO_BODY]
    assert [clip.name for clip in to_measure(states(again.lesson_view(lesson)))] == [NAMES[1]]


def test_one_that_could_not_be_read_is_measured_too(record: Record, lesson: int) -> None:
    view = record.lesson_view(lesson)
    record.save_reading(view.clips[0].id, unreadable("No body was found."))
    assert stages(record, lesson)[0] is Stage.MEASURED


def test_a_reading_taken_with_another_radius_does_not_hold(record: Record, lesson: int) -> None:
    view = record.lesson_view(lesson)
    record.save_reading(view.clips[0].id, toppling(), 0.034)
    (body,) = record.bodies()
    record.change(body, radius_m=0.0342)
    assert stages(record, lesson)[0] is Stage.MEASURED
    record.change(body, radius_m=0.0365)
    state = states(record.lesson_view(lesson))[0]
    assert state.stage is Stage.WAITING and "another radius" in state.note


def test_a_clip_whose_file_was_deleted_is_not_measured(record: Record, lesson: int) -> None:
    view = record.lesson_view(lesson)
    record.delete_clip_file(view.clips[0].id)
    view = record.lesson_view(lesson)
    assert stages(record, lesson)[0] is Stage.DELETED
    assert tasks(record, view, [view.clips[0], view.clips[2]]) == ()


def test_the_tilt_at_the_start_and_the_radius_go_with_the_task(record: Record, lesson: int) -> None:
    clip = record.lesson_view(lesson).clips[1]
    clip = record.change(clip, start_tilt_rad=radians(2))
    (task,) = tasks(record, record.lesson_view(lesson), [clip])
    assert task.path == record.clip_path(clip)
    assert task.setup.radius_m == 0.034
    assert nominal_value(task.setup.start_tilt_rad) == pytest.approx(radians(2))


def test_a_reading_of_a_clip_that_was_removed_meanwhile_is_told(
    record: Record, lesson: int
) -> None:
    queue, view = queue_of(record), record.lesson_view(lesson)
    found = all_tasks(record, view)
    record.remove(view.clips[0])
    queue.add(found)
    assert queue.wait(10)
    assert "no longer in the record" in (queue.unsaved(view.clips[0].id) or "")
    assert record.reading_of(view.clips[1].id) is not None


def test_a_file_that_was_lost_is_told_by_the_measurement(record: Record, lesson: int) -> None:
    view = record.lesson_view(lesson)
    record.clip_path(view.clips[0]).unlink()
    assert isinstance(tasks(record, view, view.clips)[0].path, Path)


def test_a_reading_is_not_kept_for_another_clip_of_the_same_number(
    record: Record, lesson: int
) -> None:
    first, second, *_ = record.lesson_view(lesson).clips
    (task,) = tasks(record, record.lesson_view(lesson), [first])
    with pytest.raises(NotInRecordError, match="replaced"):
        saving(record)(replace(task, clip_id=second.id), toppling())
    assert record.reading_of(second.id) is None


def test_a_reading_is_not_kept_where_the_tilt_at_the_start_was_changed_meanwhile(
    record: Record, lesson: int
) -> None:
    first, *_ = record.lesson_view(lesson).clips
    (task,) = tasks(record, record.lesson_view(lesson), [first])
    record.change(first, start_tilt_rad=radians(2))
    with pytest.raises(InputError, match="measure it again"):
        saving(record)(task, toppling())
