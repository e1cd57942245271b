"""A lesson of the class record, for its hand-outs."""

from __future__ import annotations

from solver.readings import Moved
from ui.checking.moving import moving_tilts
from ui.handouts.content import Lesson
from ui.record.record import Record
from ui.record.rows import Reading
from vision.reading import EvidencePicture


def lesson_of(record: Record, lesson_id: int) -> Lesson:
    """The lesson; its pictures stay in the record until they are printed.

    Raises the mistakes of `ui.record.errors`.
    """
    view = record.lesson_view(lesson_id)

    def pictures_of(clip_id: int) -> tuple[EvidencePicture, ...]:
        reading = view.reading_of(clip_id)
        return record.pictures(reading.id) if reading else ()

    def moved_of(reading: Reading) -> Moved | None:
        series = None if reading.onset_s is None else record.series(reading.id)
        if series is None or reading.onset_s is None:
            return None
        return moving_tilts(series, reading.onset_s)

    return Lesson(view, pictures_of, moved_of)
