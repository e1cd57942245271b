"""What a student gets of the class record: one lesson's clips, and room for their readings."""

from __future__ import annotations

from dataclasses import replace

from ui.record.here import the_record
from ui.record.record import Record
from ui.record.rows import LessonView, Reading, StudentReading
from ui.sharing.door import LONGEST_LABEL, Door
from ui.sharing.refusals import ClosedError, NotYoursError
from ui.sharing.roles import Role, Visitor
from ui.sharing.visitors import the_door
from vision.reading import EvidencePicture, MotionSeries


class StudentView:
    """The record as a student may use it; its methods are called as the record's are.

    Each call asks anew whether the student is still in. All of them raise `ClosedError`
    once the lesson has ended, and `NotYoursError` for what is of another lesson.
    """

    def __init__(self, record: Record, door: Door, visitor: Visitor) -> None:
        self._record, self._door, self._visitor = record, door, visitor

    def lesson_view(self, lesson_id: int | None = None) -> LessonView:
        """The lesson, without its code, its predictions, notes, and what others read."""
        own = self._lesson_id()
        if lesson_id not in (None, own):
            raise NotYoursError("That is another lesson.")
        whole = self._record.lesson_view(own)
        return replace(
            whole,
            lesson=replace(whole.lesson, code_hash=None),
            bodies=tuple(replace(body, note="") for body in whole.bodies),
            balance_readings=(),
            predictions=(),
            student_readings=(),
        )

    def reading_of(self, clip_id: int) -> Reading | None:
        """The latest reading of one of the lesson's clips, if it was measured."""
        return self._own_clip(clip_id).reading_of(clip_id)

    def pictures(self, reading_id: int) -> tuple[EvidencePicture, ...]:
        """The evidence pictures of a reading; none once its clip was deleted."""
        self._own_reading(reading_id)
        return self._record.pictures(reading_id)

    def series(self, reading_id: int) -> MotionSeries | None:
        """The motion of a reading, to know at what tilts the body was moving."""
        self._own_reading(reading_id)
        return self._record.series(reading_id)

    def add_student_reading(
        self,
        clip_id: int,
        by: str,
        protractor_rad: float,
        reads_to_rad: float,
        verdict: str,
        height_m: float | None = None,
        slip: str | None = None,
    ) -> StudentReading:
        """Keep a student's reading of one of the lesson's clips."""
        self._own_clip(clip_id)
        self._door.count_reading(self._visitor.key)
        return self._record.add_student_reading(
            clip_id,
            by.strip()[:LONGEST_LABEL],
            protractor_rad,
            reads_to_rad,
            verdict,
            height_m,
            slip,
        )

    def _own_clip(self, clip_id: int) -> LessonView:
        view = self.lesson_view()
        if all(clip.id != clip_id for clip in view.clips):
            raise NotYoursError("That clip is not of this lesson.")
        return view

    def _own_reading(self, reading_id: int) -> None:
        if all(reading.id != reading_id for reading in self.lesson_view().readings):
            raise NotYoursError("That reading is not of this lesson.")

    def _lesson_id(self) -> int:
        now = self._door.visitor_by_key(self._visitor.key)
        if now.role is not Role.STUDENT or now.lesson_id is None:
            raise ClosedError("The lesson has ended.")
        return now.lesson_id


def record_for(visitor: Visitor) -> Record | StudentView:
    """The record as a visitor may use it. Raises `NotYoursError` for a stranger."""
    if visitor.role is Role.TEACHER:
        return the_record()
    door = the_door()
    if visitor.role is not Role.STUDENT or door is None:
        raise NotYoursError("Come in by the door first.")
    return StudentView(the_record(), door, visitor)
