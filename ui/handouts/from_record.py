"""A lesson of the class record, for its hand-outs."""

from __future__ import annotations

from functools import partial

from ui.checking.moving import moved_of
from ui.handouts.content import Lesson
from ui.record.record import Record
from vision.reading import EvidencePicture


def lesson_of(record: Record, lesson_id: int) -> Lesson:
    """The lesson; its pictures stay in the record until they are printed.

    Raises the mistakes of `ui.record.errors`.
    """
    view = record.lesson_view(lesson_id)

    def pictures_of(clip_id: int) -> tuple[EvidencePicture, ...]:
        reading = view.reading_of(clip_id)
        return record.pictures(reading.id) if reading else ()

    return Lesson(view, pictures_of, partial(moved_of, record))
