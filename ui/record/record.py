"""The class record: the one door to it.

Every change is one transaction that is on the disk when the call returns:
ending the process at any moment loses nothing that was said to be saved.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import URL, delete, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from solver.errors import ClipMissingError
from ui.record import deletions, lookups, rows, schema
from ui.record.checks import checked
from ui.record.clip_store import ClipStore, Incoming, stored_name
from ui.record.database import in_words, open_engine, writing
from ui.record.errors import AlreadyThereError, NotInRecordError
from ui.record.measured import picture_columns, reading_columns, unpacked
from ui.record.place import place_of
from ui.record.schema import LIVE
from vision.reading import ClipReading, EvidencePicture, MotionSeries

R = TypeVar("R", bound=rows.Row)

CHANGEABLE: Mapping[type[Any], frozenset[str]] = {
    rows.Lesson: frozenset({"title", "day", "code_hash", "keep_days"}),
    rows.Group: frozenset({"label"}),
    rows.Body: frozenset({"name", "radius_m", "radius_u_m", "length_m", "note"}),
    rows.Surface: frozenset({"name"}),
    rows.Clip: frozenset({"name", "group_id", "body_id", "surface_id", "repeat", "start_tilt_rad"}),
    rows.BalanceReading: frozenset(
        {"group_id", "body_id", "overhang_m", "end", "edge_radius_m", "scale_u_m"}
    ),
    rows.Prediction: frozenset({"height_m", "height_u_m", "source"}),
    rows.StudentReading: frozenset({"by", "verdict", "slip"}),
}
NAMED_TABLES = {"group_id": schema.Group, "body_id": schema.Body, "surface_id": schema.Surface}


class Record:
    """A class record that is open.

    Raises, from any method, the mistakes of `ui.record.errors`.
    """

    def __init__(self, url_or_path: str | URL | Path, folder: Path | None = None) -> None:
        self.place = place_of(url_or_path, folder)
        self._engine = open_engine(self.place)
        self.store = ClipStore(self.place.clips)
        self._tidy()

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    # Lessons, groups, bodies, surfaces

    def lessons(self) -> tuple[rows.Lesson, ...]:
        """All lessons, the latest day first."""
        with self.reading() as session:
            return lookups.all_of(session, schema.Lesson, schema.Lesson.day.desc())

    def lesson(self, lesson_id: int) -> rows.Lesson:
        return self._one(schema.Lesson, lesson_id)

    def lesson_view(self, lesson_id: int) -> rows.LessonView:
        """Everything of a lesson at one moment."""
        with self.reading() as session:
            return lookups.lesson_view(session, lesson_id)

    def add_lesson(self, title: str, day: date, keep_days: int | None = None) -> rows.Lesson:
        return self._add(schema.Lesson, title=title, day=day, keep_days=keep_days)

    def groups(self, lesson_id: int) -> tuple[rows.Group, ...]:
        with self.reading() as session:
            return lookups.all_of(session, schema.Group, lesson_id=lesson_id)

    def add_group(self, lesson_id: int, label: str) -> rows.Group:
        """Raises `AlreadyThereError` where the lesson has a group of that label."""
        return self._add(schema.Group, lesson_id=lesson_id, label=label)

    def bodies(self) -> tuple[rows.Body, ...]:
        """All bodies by name."""
        with self.reading() as session:
            return lookups.all_of(session, schema.Body, schema.Body.name)

    def body(self, body_id: int) -> rows.Body:
        return self._one(schema.Body, body_id)

    def add_body(
        self,
        name: str,
        radius_m: float,
        radius_u_m: float,
        length_m: float | None = None,
        note: str = "",
    ) -> rows.Body:
        """Raises `AlreadyThereError` where there is a body of that name."""
        return self._add(
            schema.Body,
            name=name,
            radius_m=radius_m,
            radius_u_m=radius_u_m,
            length_m=length_m,
            note=note,
        )

    def surfaces(self) -> tuple[rows.Surface, ...]:
        """All surfaces by name."""
        with self.reading() as session:
            return lookups.all_of(session, schema.Surface, schema.Surface.name)

    def add_surface(self, name: str) -> rows.Surface:
        """Raises `AlreadyThereError` where there is a surface of that name."""
        return self._add(schema.Surface, name=name)

    # Clips

    def clips(self, lesson_id: int) -> tuple[rows.Clip, ...]:
        with self.reading() as session:
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
            clip = deletions.live(session, schema.Clip, clip_id)
            doomed = _let_go(session, [clip])
            row: rows.Clip = clip.row()
        self._delete_files(doomed)
        return row

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
            doomed = _let_go(session, due)
            gone = tuple(clip.row() for clip in due)
        self._delete_files(doomed)
        return gone

    # Readings

    def save_reading(
        self, clip_id: int, reading: ClipReading, radius_m: float | None = None
    ) -> rows.Reading:
        """Keep what a clip was measured to say; the latest reading of a clip counts.

        ``radius_m`` is the base radius it was measured with.
        """
        with self.writing() as session:
            clip = deletions.live(session, schema.Clip, clip_id)
            columns = reading_columns(clip_id, reading, radius_m)
            session.add(columns)
            session.flush()
            if clip.stored is not None:
                session.add_all(picture_columns(columns.id, each) for each in reading.pictures)
            return columns.row()

    def reading_of(self, clip_id: int) -> rows.Reading | None:
        """The latest reading of a clip, if it was measured."""
        with self.reading() as session:
            return next(iter(lookups.latest_readings(session, [clip_id])), None)

    def pictures(self, reading_id: int) -> tuple[EvidencePicture, ...]:
        """The evidence pictures of a reading; none once its clip was deleted."""
        with self.reading() as session:
            query = select(schema.Picture).where(schema.Picture.reading_id == reading_id)
            return tuple(
                EvidencePicture(each.moment, each.frame, each.time_s, each.png)
                for each in session.scalars(query.order_by(schema.Picture.id))
            )

    def series(self, reading_id: int) -> MotionSeries | None:
        """The motion frame by frame, where the body was followed."""
        with self.reading() as session:
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
        with self.reading() as session:
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
        with self.reading() as session:
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
        return self.lesson_view(lesson_id).student_readings

    # Changing, removing, bringing back

    def change(self, row: R, **fields: Any) -> R:
        """Set the fields named, and those alone, as in ``change(clip, group_id=3)``."""
        return self.change_all([(row, fields)])[0]

    def change_all(self, changes: Iterable[tuple[R, Mapping[str, Any]]]) -> tuple[R, ...]:
        """Several changes in one transaction: all of them or none."""
        with self.writing() as session:
            return tuple(self._change(session, row, fields) for row, fields in changes)

    def remove(self, row: rows.Row) -> rows.Deletion:
        """Take a row out, with what hangs on it; `undo` brings it back.

        The files of clips taken out are deleted for good: only figures come back.
        """
        table = deletions.TABLES[type(row)]
        with self.writing() as session:
            deletion = deletions.remove(session, table, row.id, in_words_of(row))
            gone = select(schema.Clip).where(
                schema.Clip.deletion == deletion.id, schema.Clip.stored.is_not(None)
            )
            doomed = _let_go(session, session.scalars(gone).all())
            result = deletion.row()
        self._delete_files(doomed)
        return result

    def deletions(self) -> tuple[rows.Deletion, ...]:
        """What can be brought back, the latest first."""
        with self.reading() as session:
            query = select(schema.Deletion).order_by(schema.Deletion.id.desc())
            return tuple(each.row() for each in session.scalars(query))

    def undo(self, deletion_id: int | None = None) -> rows.Deletion | None:
        """Bring back what was removed last, or by the deletion named; None if nothing was."""
        with self.writing() as session:
            deletion = deletions.undo(session, deletion_id)
            return None if deletion is None else deletion.row()

    # Settings of the whole record

    def setting(self, name: str) -> str | None:
        with self.reading() as session:
            return session.scalar(select(schema.Setting.value).where(schema.Setting.name == name))

    def set_setting(self, name: str, value: str | None) -> None:
        """None takes it away."""
        with self.writing() as session:
            found = session.scalar(select(schema.Setting).where(schema.Setting.name == name))
            if found is not None:
                session.delete(found)
                session.flush()
            if value is not None:
                session.add(schema.Setting(name=name, value=value))

    # Behind the door

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees one moment and changes nothing."""
        with in_words(self.place), Session(self._engine) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session that is one transaction, on the disk when it is left."""
        with (
            in_words(self.place),
            Session(writing(self._engine), expire_on_commit=False) as session,
            session.begin(),
        ):
            yield session

    def _one(self, table: type[Any], row_id: int) -> Any:
        with self.reading() as session:
            return deletions.live(session, table, row_id).row()

    def _add(self, table: type[Any], **fields: Any) -> Any:
        with self.writing() as session:
            _check_named(session, fields)
            columns = table(**checked(**fields))
            session.add(columns)
            _flush(session, fields)
            return columns.row()

    def _change(self, session: Session, row: R, fields: Mapping[str, Any]) -> R:
        kind = type(row)
        if unknown := set(fields) - CHANGEABLE.get(kind, frozenset()):
            raise TypeError(f"{kind.__name__} has no {sorted(unknown)} that can be changed")
        columns = deletions.live(session, deletions.TABLES[kind], row.id)
        lesson = {"lesson_id": columns.lesson_id} if hasattr(columns, "lesson_id") else {}
        _check_named(session, {**lesson, **fields})
        kept = checked(**fields)
        for name, value in kept.items():
            setattr(columns, name, value)
        _flush(session, fields)
        session.refresh(columns)
        return columns.row()

    def _settle(
        self, session: Session, lesson_id: int, name: str, incoming: Incoming
    ) -> rows.AddedClip:
        """The clip's row, and its file in its place, in one transaction."""
        deletions.live(session, schema.Lesson, lesson_id)
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
                name=checked(name=name)["name"],
                added_at=datetime.now(UTC),
            )
            session.add(clip)
        if clip.stored is None:
            clip.stored = stored_name(lesson_id, incoming.sha256, incoming.suffix)
            clip.cropped = False
            session.flush()
            self.store.settle(incoming.path, clip.stored)
        return rows.AddedClip(clip.row(), known)

    def _delete_files(self, stored: Iterable[str]) -> None:
        with in_words(self.place):
            for name in stored:
                self.store.delete(name)

    def _tidy(self) -> None:
        """Finish what a process that ended had begun, and let go what is due."""
        with self.writing() as session:
            deletions.give_up(session, datetime.now(UTC))
            stored = select(schema.Clip.stored).where(schema.Clip.stored.is_not(None))
            self.store.sweep(set(session.scalars(stored)))
        self.forget_due_clips(date.today())


def in_words_of(row: rows.Row) -> str:
    """A row as a list of deletions names it."""
    kind = {"BalanceReading": "balance reading", "StudentReading": "student reading"}.get(
        type(row).__name__, type(row).__name__.lower()
    )
    for field in ("title", "label", "name", "by", "source"):
        if name := getattr(row, field, ""):
            return f"{kind} {name}"
    return kind


def _let_go(session: Session, clips: Iterable[schema.Clip]) -> list[str]:
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


def _check_named(session: Session, fields: Mapping[str, Any]) -> None:
    """See that what the fields name is there, and the group is of the same lesson."""
    for column, table in {
        "lesson_id": schema.Lesson,
        "clip_id": schema.Clip,
        **NAMED_TABLES,
    }.items():
        if (row_id := fields.get(column)) is None:
            continue
        named = deletions.live(session, table, row_id)
        if column == "group_id" and named.lesson_id != fields["lesson_id"]:
            raise NotInRecordError(f"The group {named.label} is of another lesson. Choose again.")


def _flush(session: Session, fields: Mapping[str, Any]) -> None:
    try:
        session.flush()
    except IntegrityError as error:
        name = fields.get("label") or fields.get("name") or "one"
        raise AlreadyThereError(f"There is {name} already. Choose another name.") from error
