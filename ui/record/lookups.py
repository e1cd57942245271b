"""Questions to the record, answered with frozen rows."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from ui.record import rows, schema
from ui.record.deletions import live
from ui.record.schema import LIVE


def all_of(session: Session, table: type[Any], *order: Any, **named: Any) -> tuple[Any, ...]:
    """The live rows whose columns are as named, in order, then by number."""
    wanted = [getattr(table, column) == value for column, value in named.items()]
    query = select(table).where(table.deletion == LIVE, *wanted).order_by(*order, table.id)
    return tuple(each.row() for each in session.scalars(query))


def among(
    session: Session, table: type[Any], column: str, values: Iterable[int]
) -> tuple[Any, ...]:
    """The live rows whose column is one of the values, by number."""
    named = getattr(table, column).in_(sorted(values))
    query = select(table).where(table.deletion == LIVE, named).order_by(table.id)
    return tuple(each.row() for each in session.scalars(query))


def latest_readings(session: Session, clip_ids: Iterable[int]) -> tuple[rows.Reading, ...]:
    """The latest live reading of each clip that has one."""
    table = schema.Reading
    latest = (
        select(func.max(table.id))
        .where(table.deletion == LIVE, table.clip_id.in_(sorted(clip_ids)))
        .group_by(table.clip_id)
    )
    query = select(table).where(table.id.in_(latest)).order_by(table.clip_id)
    return tuple(each.row() for each in session.scalars(query))


def lesson_view(session: Session, lesson_id: int) -> rows.LessonView:
    """Everything of a lesson. Raises `NotInRecordError`."""
    lesson = live(session, schema.Lesson, lesson_id).row()
    clips = all_of(session, schema.Clip, lesson_id=lesson_id)
    clip_ids = {clip.id for clip in clips}
    balance = all_of(session, schema.BalanceReading, lesson_id=lesson_id)
    body_ids = {each.body_id for each in (*clips, *balance) if each.body_id is not None}
    surface_ids = {clip.surface_id for clip in clips if clip.surface_id is not None}
    return rows.LessonView(
        lesson=lesson,
        groups=all_of(session, schema.Group, lesson_id=lesson_id),
        bodies=among(session, schema.Body, "id", body_ids),
        surfaces=among(session, schema.Surface, "id", surface_ids),
        clips=clips,
        readings=latest_readings(session, clip_ids),
        balance_readings=balance,
        predictions=among(session, schema.Prediction, "body_id", body_ids),
        student_readings=among(session, schema.StudentReading, "clip_id", clip_ids),
    )
