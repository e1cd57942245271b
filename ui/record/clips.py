"""Clips: taken in, found again, and let go."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from solver.errors import ClipMissingError
from ui.record import lookups, rows, schema
from ui.record.blanking import blanked_frame, board_alone
from ui.record.board_area import Area
from ui.record.checks import checked
from ui.record.clip_store import Incoming, stored_name, to_disk
from ui.record.complaints import in_words
from ui.record.deletions import live
from ui.record.door import Door
from ui.record.engine import forget_log
from ui.record.errors import BoardNotFoundError, NotInRecordError
from ui.record.schema import LIVE, LONGEST_NAME
from vision.reading import Marks


class Clips(Door):
    """What the record knows of clips."""

    def clips(self, lesson_id: int) -> tuple[rows.Clip, ...]:
        with self.asking() as session:
            return lookups.all_of(session, schema.Clip, lesson_id=lesson_id)

    def clip(self, clip_id: int) -> rows.Clip:
        return self._one(schema.Clip, clip_id)

    def add_clip(
        self, lesson_id: int, name: str, content: bytes | memoryview | Path
    ) -> rows.AddedClip:
        """Keep an uploaded clip, the picture alone; the same content only once a lesson.

        A clip whose file was deleted takes the file back. Raises `ClipError` where it
        is no clip that can be read.
        """
        with in_words(self.place):
            incoming = self.store.receive(name, content)
            try:
                with self.writing() as session:
                    return self._settle(session, lesson_id, name, incoming)
            except Exception:
                self.sweep()  # the file may have found its place and the row not
                raise
            finally:
                incoming.path.unlink(missing_ok=True)

    def clip_path(self, clip: rows.Clip) -> Path:
        """The clip's file. Raises `ClipMissingError` where it was deleted."""
        path = self.store.folder / (clip.stored or "")
        if clip.stored is None or not path.is_file():
            raise ClipMissingError(
                f"The clip {clip.name} was deleted; its figures are kept. Upload it again to "
                "measure it again."
            )
        return path

    def delete_clip_file(self, clip_id: int) -> rows.Clip:
        """Delete a clip's file and its frames for good; its figures stay."""
        with self.writing() as session:
            clip = live(session, schema.Clip, clip_id)
            doomed = let_go(session, [clip])
            row: rows.Clip = clip.row()
        self._delete_files(doomed)
        return row

    def keep_board_alone(
        self, clip_id: int, how: Callable[..., Area] = board_alone, marks: Marks | None = None
    ) -> rows.Clip:
        """Blank all of a measured clip's picture but the board's part, and of its frames.

        What is blanked is gone for good; the figures stay, and the clip can be measured
        again. It takes as long as measuring: ``how`` may hand `board_alone` to a worker.
        Raises `BoardNotFoundError` and `ClipError`; the clip is then left as it is.
        """
        clip = self.clip(clip_id)
        path = self.clip_path(clip)
        with self.asking() as session:
            reading = next(iter(lookups.latest_readings(session, [clip_id])), None)
        if clip.cropped:
            return clip
        if reading is None or reading.largest_tilt_rad is None:
            raise BoardNotFoundError(
                f"{clip.name} was not measured, so where the board is in it is not known. Measure "
                "it first, or delete it."
            )
        with in_words(self.place):
            passing = self.store.passing("mp4")
            try:
                area = how(path, passing, clip.start_tilt_rad, reading.largest_tilt_rad, marks)
                to_disk(passing)
                return self._replace(clip, passing, area, reading.facts.width)
            finally:
                passing.unlink(missing_ok=True)

    def forget_due_clips(self, today: date) -> tuple[rows.Clip, ...]:
        """Delete the files of clips whose keeping time is over; their figures stay."""
        with self.writing() as session:
            query = select(schema.Clip, schema.Lesson).join(
                schema.Lesson, schema.Clip.lesson_id == schema.Lesson.id
            )
            kept = query.where(
                schema.Clip.stored.is_not(None), schema.Lesson.keep_days.is_not(None)
            )
            due = [
                clip
                for clip, lesson in session.execute(kept).all()
                if lesson.day + timedelta(days=lesson.keep_days or 0) < today
            ]
            doomed = let_go(session, due)
            gone = tuple(clip.row() for clip in due)
        self._delete_files(doomed)
        return gone

    def _settle(
        self, session: Session, lesson_id: int, name: str, incoming: Incoming
    ) -> rows.AddedClip:
        """The clip's row, and its file in its place, in one transaction."""
        live(session, schema.Lesson, lesson_id)
        clip = session.scalar(
            select(schema.Clip).where(
                schema.Clip.lesson_id == lesson_id,
                schema.Clip.sha256 == incoming.sha256,
                schema.Clip.deletion == LIVE,
            )
        )
        known = clip is not None
        if clip is None:
            clip = schema.Clip(
                lesson_id=lesson_id,
                sha256=incoming.sha256,
                name=checked(name=shortened(name))["name"],
                added_at=datetime.now(UTC),
            )
            session.add(clip)
        if clip.stored is None:
            clip.stored = stored_name(incoming.sha256, incoming.suffix)
            clip.cropped = False
            session.flush()
            self.store.settle(incoming.path, clip.stored)
        return rows.AddedClip(clip.row(), known)

    def _replace(self, before: rows.Clip, passing: Path, area: Area, width: int) -> rows.Clip:
        """Put a blanked clip in the place of the whole one, and blank its frames."""
        with self.writing() as session:
            clip = live(session, schema.Clip, before.id)
            if clip.stored != before.stored:
                raise NotInRecordError(f"{before.name} was deleted meanwhile. Reload.")
            readings = select(schema.Reading.id).where(schema.Reading.clip_id == clip.id)
            frames = select(schema.Picture).where(schema.Picture.reading_id.in_(readings))
            for frame in session.scalars(frames):
                frame.jpeg = blanked_frame(frame.jpeg, area, width)
            clip.stored, clip.cropped = stored_name(clip.sha256, "mp4"), True
            session.flush()
            self.store.settle(passing, clip.stored)
            row: rows.Clip = clip.row()
        self._delete_files([before.stored or ""])
        return row

    def _delete_files(self, stored: Iterable[str]) -> None:
        with in_words(self.place):
            for name in stored:
                self.store.delete(name)
            forget_log(self.engine)


def shortened(name: str) -> str:
    """A file name that fits, its ending kept."""
    if len(name) <= LONGEST_NAME:
        return name
    return name[: LONGEST_NAME - 20] + "…" + name[-19:]


def let_go(session: Session, clips: Iterable[schema.Clip]) -> list[str]:
    """Take clips' files and frames out of the record; returns the files to delete."""
    clips = list(clips)
    doomed = [clip.stored for clip in clips if clip.stored is not None]
    readings = select(schema.Reading.id).where(
        schema.Reading.clip_id.in_([clip.id for clip in clips])
    )
    session.execute(delete(schema.Picture).where(schema.Picture.reading_id.in_(readings)))
    for clip in clips:
        clip.stored = None
    session.flush()
    return doomed
