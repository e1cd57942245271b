"""Readings: measured, by balancing, predicted, and by students."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import select

from ui.record import lookups, rows, schema
from ui.record.deletions import live
from ui.record.door import Door
from ui.record.measured import picture_back, picture_columns, reading_columns, unpacked
from vision.reading import ClipReading, EvidencePicture, MotionSeries


class Readings(Door):
    """What the record knows of readings."""

    def save_reading(
        self, clip_id: int, reading: ClipReading, radius_m: float | None = None
    ) -> rows.Reading:
        """Keep what a clip was measured to say; the latest reading of a clip counts.

        ``radius_m`` is the base radius it was measured with.
        """
        columns = reading_columns(clip_id, reading, radius_m)
        pictures = [picture_columns(each) for each in reading.pictures]
        with self.writing() as session:
            clip = live(session, schema.Clip, clip_id)
            session.add(columns)
            session.flush()
            for picture in pictures if clip.stored is not None else ():
                picture.reading_id = columns.id
                session.add(picture)
            return columns.row()

    def reading_of(self, clip_id: int) -> rows.Reading | None:
        """The latest reading of a clip, if it was measured."""
        with self.asking() as session:
            return next(iter(lookups.latest_readings(session, [clip_id])), None)

    def pictures(self, reading_id: int) -> tuple[EvidencePicture, ...]:
        """The evidence pictures of a reading; none once its clip was deleted."""
        with self.asking() as session:
            query = select(schema.Picture).where(schema.Picture.reading_id == reading_id)
            kept = session.scalars(query.order_by(schema.Picture.id))
            return tuple(picture_back(each) for each in kept)

    def series(self, reading_id: int) -> MotionSeries | None:
        """The motion frame by frame, where the body was followed."""
        with self.asking() as session:
            content = session.scalar(
                select(schema.Reading.series).where(schema.Reading.id == reading_id)
            )
        return None if content is None else unpacked(content)

    def clip_reading(self, reading: rows.Reading) -> ClipReading:
        """A reading whole, with series and pictures."""
        return reading.as_measured(self.series(reading.id), self.pictures(reading.id))

    def add_balance_reading(
        self,
        lesson_id: int,
        body_id: int,
        overhang_m: float,
        end: str,
        group_id: int | None = None,
        edge_radius_m: float = 0.0,
        scale_u_m: float = 0.0,
    ) -> rows.BalanceReading:
        return self._add(
            schema.BalanceReading,
            lesson_id=lesson_id,
            group_id=group_id,
            body_id=body_id,
            overhang_m=overhang_m,
            end=end,
            edge_radius_m=edge_radius_m,
            scale_u_m=scale_u_m,
        )

    def balance_readings(self, lesson_id: int) -> tuple[rows.BalanceReading, ...]:
        with self.asking() as session:
            return lookups.all_of(session, schema.BalanceReading, lesson_id=lesson_id)

    def add_prediction(
        self, body_id: int, height_m: float, height_u_m: float, source: str
    ) -> rows.Prediction:
        return self._add(
            schema.Prediction,
            body_id=body_id,
            height_m=height_m,
            height_u_m=height_u_m,
            source=source,
        )

    def predictions(self, body_id: int) -> tuple[rows.Prediction, ...]:
        with self.asking() as session:
            return lookups.all_of(session, schema.Prediction, body_id=body_id)

    def add_student_reading(
        self,
        clip_id: int,
        by: str,
        protractor_rad: float,
        reads_to_rad: float,
        verdict: str,
        height_m: float | None = None,
        slip: str | None = None,
    ) -> rows.StudentReading:
        return self._add(
            schema.StudentReading,
            clip_id=clip_id,
            by=by,
            protractor_rad=protractor_rad,
            reads_to_rad=reads_to_rad,
            height_m=height_m,
            verdict=verdict,
            slip=slip,
            at=datetime.now(UTC),
        )

    def student_readings(self, lesson_id: int) -> tuple[rows.StudentReading, ...]:
        """All of a lesson's clips."""
        with self.asking() as session:
            return lookups.lesson_view(session, lesson_id).student_readings
