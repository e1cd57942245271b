"""A lesson of the class record, for its hand-outs."""

from __future__ import annotations

from ui.handouts.content import Lesson
from ui.record.record import Record


def lesson_of(record: Record, lesson_id: int) -> Lesson:
    """The lesson with the pictures of its clips. Raises the mistakes of `ui.record.errors`."""
    view = record.lesson_view(lesson_id)
    pictures = {reading.clip_id: record.pictures(reading.id) for reading in view.readings}
    return Lesson(view, pictures)
