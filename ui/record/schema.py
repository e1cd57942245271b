"""The tables of the class record.

Each change here needs a step under ``migrations/versions``; a test compares
the two. A row is removed by naming the deletion that took it away, so that
undoing is to take that name off again. What a live row says of a removed one
is kept and not shown, and comes back with it.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import ClassVar

from sqlalchemy import (
    JSON,
    DateTime,
    Dialect,
    Double,
    ForeignKey,
    LargeBinary,
    MetaData,
    String,
    Text,
    TypeDecorator,
    UniqueConstraint,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship

from ui.record import rows
from vision.reading import ClipFacts, Outcome, Rival, Story

LONGEST_NAME = 200
LIVE = 0
"""In place of a deletion, for a row that was not removed."""

NAMES_OF_CONSTRAINTS = {
    "ix": "ix_%(table_name)s_%(column_0_name)s",
    "uq": "uq_%(table_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}


class Utc(TypeDecorator[datetime]):
    """A moment, kept without its zone because it is always UTC."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        return None if value is None else value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        return None if value is None else value.replace(tzinfo=UTC)


class Base(DeclarativeBase):
    """What all tables share."""

    metadata = MetaData(naming_convention=NAMES_OF_CONSTRAINTS)
    type_annotation_map: ClassVar = {
        float: Double,
        str: String(LONGEST_NAME),
        datetime: Utc,
        bytes: LargeBinary(2**31),
    }
    id: Mapped[int] = mapped_column(primary_key=True)


class Removable:
    """A row that can be removed and brought back."""

    deletion: Mapped[int] = mapped_column(default=LIVE, index=True)


class Lesson(Removable, Base):
    __tablename__ = "lesson"

    title: Mapped[str]
    day: Mapped[date]
    code_hash: Mapped[str | None]
    keep_days: Mapped[int | None]

    def row(self) -> rows.Lesson:
        return rows.Lesson(self.id, self.title, self.day, self.code_hash, self.keep_days)


class Group(Removable, Base):
    __tablename__ = "class_group"
    __table_args__ = (UniqueConstraint("lesson_id", "label", "deletion"),)

    lesson_id: Mapped[int] = mapped_column(ForeignKey("lesson.id"))
    label: Mapped[str]

    def row(self) -> rows.Group:
        return rows.Group(self.id, self.lesson_id, self.label)


class Body(Removable, Base):
    __tablename__ = "body"
    __table_args__ = (UniqueConstraint("name", "deletion"),)

    name: Mapped[str]
    radius_m: Mapped[float]
    radius_u_m: Mapped[float]
    length_m: Mapped[float | None]
    note: Mapped[str] = mapped_column(Text)

    def row(self) -> rows.Body:
        return rows.Body(
            self.id, self.name, self.radius_m, self.radius_u_m, self.length_m, self.note
        )


class Surface(Removable, Base):
    __tablename__ = "surface"
    __table_args__ = (UniqueConstraint("name", "deletion"),)

    name: Mapped[str]

    def row(self) -> rows.Surface:
        return rows.Surface(self.id, self.name)


class Clip(Removable, Base):
    __tablename__ = "clip"
    __table_args__ = (UniqueConstraint("lesson_id", "sha256", "deletion"),)

    lesson_id: Mapped[int] = mapped_column(ForeignKey("lesson.id"))
    sha256: Mapped[str] = mapped_column(String(64))
    name: Mapped[str] = mapped_column(Text)
    stored: Mapped[str | None] = mapped_column(String(80))
    cropped: Mapped[bool] = mapped_column(default=False)
    group_id: Mapped[int | None] = mapped_column(ForeignKey("class_group.id"))
    body_id: Mapped[int | None] = mapped_column(ForeignKey("body.id"))
    surface_id: Mapped[int | None] = mapped_column(ForeignKey("surface.id"))
    repeat: Mapped[int | None]
    start_tilt_rad: Mapped[float] = mapped_column(default=0.0)
    added_at: Mapped[datetime]

    group: Mapped[Group | None] = relationship(lazy="joined", viewonly=True)
    body: Mapped[Body | None] = relationship(lazy="joined", viewonly=True)
    surface: Mapped[Surface | None] = relationship(lazy="joined", viewonly=True)

    def row(self) -> rows.Clip:
        return rows.Clip(
            id=self.id,
            lesson_id=self.lesson_id,
            sha256=self.sha256,
            name=self.name,
            stored=self.stored,
            cropped=self.cropped,
            group_id=_live(self.group),
            body_id=_live(self.body),
            surface_id=_live(self.surface),
            repeat=self.repeat,
            start_tilt_rad=self.start_tilt_rad,
            added_at=self.added_at,
        )


class Reading(Removable, Base):
    __tablename__ = "reading"

    clip_id: Mapped[int] = mapped_column(ForeignKey("clip.id"), index=True)
    outcome: Mapped[str] = mapped_column(String(20))
    angle_rad: Mapped[float | None]
    budget: Mapped[list[tuple[str, float]]] = mapped_column(JSON)
    onset_s: Mapped[float | None]
    onset_frame: Mapped[int | None]
    largest_tilt_rad: Mapped[float | None]
    largest_tilt_u_rad: Mapped[float | None]
    reasons: Mapped[list[str]] = mapped_column(JSON)
    by_hand: Mapped[bool]
    seconds_taken: Mapped[float]
    width: Mapped[int]
    height: Mapped[int]
    frames_read: Mapped[int]
    duration_s: Mapped[float]
    frames_per_second: Mapped[float]
    radius_m: Mapped[float | None]
    at: Mapped[datetime]
    series: Mapped[bytes | None] = mapped_column(LargeBinary(2**31), deferred=True)
    evidence: Mapped[list[tuple[str, float]] | None] = mapped_column(JSON(none_as_null=True))

    def row(self) -> rows.Reading:
        return rows.Reading(
            id=self.id,
            clip_id=self.clip_id,
            outcome=Outcome(self.outcome),
            angle_rad=self.angle_rad,
            budget=tuple((name, u) for name, u in self.budget),
            onset_s=self.onset_s,
            onset_frame=self.onset_frame,
            largest_tilt_rad=self.largest_tilt_rad,
            largest_tilt_u_rad=self.largest_tilt_u_rad,
            reasons=tuple(self.reasons),
            by_hand=self.by_hand,
            seconds_taken=self.seconds_taken,
            facts=ClipFacts(
                self.width,
                self.height,
                self.frames_read,
                self.duration_s,
                self.frames_per_second,
            ),
            radius_m=self.radius_m,
            at=self.at,
            evidence=tuple(Rival(Story(name), behind) for name, behind in self.evidence or ()),
        )


class Picture(Base):
    """An evidence picture: part of a clip's frame, and gone with the clip."""

    __tablename__ = "picture"

    reading_id: Mapped[int] = mapped_column(ForeignKey("reading.id"), index=True)
    moment: Mapped[str] = mapped_column(String(40))
    frame: Mapped[int]
    time_s: Mapped[float]
    jpeg: Mapped[bytes]
    plane_px: Mapped[list[list[float]] | None] = mapped_column(JSON(none_as_null=True))


class BalanceReading(Removable, Base):
    __tablename__ = "balance_reading"

    lesson_id: Mapped[int] = mapped_column(ForeignKey("lesson.id"), index=True)
    group_id: Mapped[int | None] = mapped_column(ForeignKey("class_group.id"))
    body_id: Mapped[int] = mapped_column(ForeignKey("body.id"))
    overhang_m: Mapped[float]
    end: Mapped[str] = mapped_column(String(10))
    edge_radius_m: Mapped[float]
    scale_u_m: Mapped[float]

    group: Mapped[Group | None] = relationship(lazy="joined", viewonly=True)

    def row(self) -> rows.BalanceReading:
        return rows.BalanceReading(
            id=self.id,
            lesson_id=self.lesson_id,
            group_id=_live(self.group),
            body_id=self.body_id,
            overhang_m=self.overhang_m,
            end=self.end,
            edge_radius_m=self.edge_radius_m,
            scale_u_m=self.scale_u_m,
        )


class Prediction(Removable, Base):
    __tablename__ = "prediction"

    body_id: Mapped[int] = mapped_column(ForeignKey("body.id"), index=True)
    height_m: Mapped[float]
    height_u_m: Mapped[float]
    source: Mapped[str] = mapped_column(Text)

    def row(self) -> rows.Prediction:
        return rows.Prediction(self.id, self.body_id, self.height_m, self.height_u_m, self.source)


class StudentReading(Removable, Base):
    __tablename__ = "student_reading"

    clip_id: Mapped[int] = mapped_column(ForeignKey("clip.id"), index=True)
    by: Mapped[str]
    protractor_rad: Mapped[float]
    reads_to_rad: Mapped[float]
    height_m: Mapped[float | None]
    verdict: Mapped[str] = mapped_column(Text)
    slip: Mapped[str | None] = mapped_column(Text)
    at: Mapped[datetime]

    def row(self) -> rows.StudentReading:
        return rows.StudentReading(
            id=self.id,
            clip_id=self.clip_id,
            by=self.by,
            protractor_rad=self.protractor_rad,
            reads_to_rad=self.reads_to_rad,
            height_m=self.height_m,
            verdict=self.verdict,
            slip=self.slip,
            at=self.at,
        )


class Deletion(Base):
    __tablename__ = "deletion"
    # A deletion's number is never given again.
    __table_args__ = ({"sqlite_autoincrement": True},)

    what: Mapped[str] = mapped_column(Text)
    at: Mapped[datetime]

    def row(self) -> rows.Deletion:
        return rows.Deletion(self.id, self.what, self.at)


class Setting(Base):
    """What is set for the whole record, such as the hash of a passphrase."""

    __tablename__ = "setting"
    __table_args__ = (UniqueConstraint("name"),)

    name: Mapped[str]
    value: Mapped[str] = mapped_column(Text)


def _live(row: Group | Body | Surface | None) -> int | None:
    """Its number, if it was not removed."""
    return row.id if row is not None and row.deletion == LIVE else None
