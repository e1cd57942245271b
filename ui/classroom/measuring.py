"""Which clips of a lesson are measured, which wait, and what is asked of the queue."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import isclose

from uncertainties import nominal_value

from solver.errors import InputError
from ui.classroom.queue import Queue, Save, Task
from ui.inputs import start_tilt
from ui.record.errors import NotInRecordError
from ui.record.record import Record
from ui.record.rows import Clip, LessonView, Reading
from vision.reading import ClipReading, ClipSetup

SAME_RADIUS = 0.02
"""A reading holds for a body whose radius differs by less, as a share: it moves the brink by
far less than the brink's own uncertainty."""


class Stage(StrEnum):
    """Where a clip is on its way to a reading."""

    MEASURED = "measured"
    UNDER_WAY = "being measured"
    QUEUED = "next in turn"
    WAITING = "waiting"
    NO_BODY = "needs a body"
    DELETED = "clip deleted"
    NOT_KEPT = "could not be kept"


@dataclass(frozen=True)
class State:
    """A clip, how far it is, and its reading if that holds."""

    clip: Clip
    stage: Stage
    share: float
    """Measured so far, 0 to 1."""
    reading: Reading | None
    note: str = ""
    """Why it is as it is, where that is not plain."""


def saving(record: Record) -> Save:
    """Keeps readings in a record, for good.

    A reading that no longer holds is not kept, and the save raises: `NotInRecordError`
    where the record was restored meanwhile and has another clip under that number,
    `InputError` where another tilt at the start was given.
    """

    def save(task: Task, reading: ClipReading) -> None:
        clip = record.clip(task.clip_id)
        if clip.sha256 != task.sha256:
            raise NotInRecordError("The record was replaced while this clip was measured.")
        if not isclose(clip.start_tilt_rad, nominal_value(task.setup.start_tilt_rad)):
            raise InputError("Its tilt at the start was changed meanwhile: measure it again.")
        record.save_reading(task.clip_id, reading, task.setup.radius_m)

    return save


def states(view: LessonView, queue: Queue | None = None) -> tuple[State, ...]:
    """How far each clip of a lesson is."""
    return tuple(_state(view, clip, queue) for clip in view.clips)


def _state(view: LessonView, clip: Clip, queue: Queue | None) -> State:
    progress = queue.progress(clip.id) if queue else None
    if progress:
        stage = Stage.UNDER_WAY if progress.under_way else Stage.QUEUED
        return State(clip, stage, progress.share, None)
    if queue and (words := queue.unsaved(clip.id)):
        return State(clip, Stage.NOT_KEPT, 0.0, None, words)
    reading, body = view.reading_of(clip.id), view.body(clip.body_id)
    if reading is not None and body is not None and not _holds(reading, body.radius_m):
        reading, note = None, "Its body has another radius than it was measured with."
    else:
        note = ""
    if reading is not None:
        return State(clip, Stage.MEASURED, 1.0, reading)
    if clip.stored is None:
        return State(clip, Stage.DELETED, 0.0, None, note)
    return State(clip, Stage.NO_BODY if body is None else Stage.WAITING, 0.0, None, note)


def _holds(reading: Reading, radius_m: float) -> bool:
    return reading.radius_m is None or isclose(reading.radius_m, radius_m, rel_tol=SAME_RADIUS)


def to_measure(states: Iterable[State]) -> tuple[Clip, ...]:
    """The clips that only wait to be asked for."""
    return tuple(state.clip for state in states if state.stage in (Stage.WAITING, Stage.NOT_KEPT))


def tasks(record: Record, view: LessonView, clips: Iterable[Clip]) -> tuple[Task, ...]:
    """What to ask of the queue; clips without a body or a file are left out."""
    return tuple(task for clip in clips if (task := _task(record, view, clip)) is not None)


def _task(record: Record, view: LessonView, clip: Clip) -> Task | None:
    body = view.body(clip.body_id)
    if body is None or clip.stored is None:
        return None
    setup = ClipSetup(body.radius_m, start_tilt(clip.start_tilt_rad))
    # A file that was lost is told by the measurement, as any other that cannot be read.
    return Task(clip.id, clip.sha256, record.store.folder / clip.stored, setup)
