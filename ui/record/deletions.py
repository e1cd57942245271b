"""Removing rows so that they can be brought back, bringing them back, and giving them up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import Select, delete, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from ui.record import rows, schema
from ui.record.errors import AlreadyThereError, NotInRecordError
from ui.record.schema import LIVE

UNDO_DAYS = 30
"""Days for which a removal can be taken back."""

TABLES: Mapping[type[Any], type[Any]] = {
    rows.Lesson: schema.Lesson,
    rows.Group: schema.Group,
    rows.Body: schema.Body,
    rows.Surface: schema.Surface,
    rows.Clip: schema.Clip,
    rows.Reading: schema.Reading,
    rows.BalanceReading: schema.BalanceReading,
    rows.Prediction: schema.Prediction,
    rows.StudentReading: schema.StudentReading,
}
CHILDREN: Mapping[type[Any], tuple[tuple[type[Any], str], ...]] = {
    schema.Lesson: (
        (schema.Group, "lesson_id"),
        (schema.BalanceReading, "lesson_id"),
        (schema.Clip, "lesson_id"),
    ),
    schema.Clip: ((schema.Reading, "clip_id"), (schema.StudentReading, "clip_id")),
    schema.Body: ((schema.Prediction, "body_id"), (schema.BalanceReading, "body_id")),
}
"""What goes with a row: by table and the column that names the row."""
MENTIONS: Mapping[type[Any], tuple[tuple[type[Any], str], ...]] = {
    schema.Group: ((schema.Clip, "group_id"), (schema.BalanceReading, "group_id")),
    schema.Body: ((schema.Clip, "body_id"),),
    schema.Surface: ((schema.Clip, "surface_id"),),
}
"""What stays, and says no more of it."""


def live(session: Session, table: type[Any], row_id: int) -> Any:
    """The row, if it is there and was not removed; else `NotInRecordError`."""
    found = session.get(table, row_id)
    if found is None or found.deletion != LIVE:
        name = table.__tablename__.replace("class_", "").replace("_", " ")
        raise NotInRecordError(
            f"This {name} is no longer in the record: it was removed on another page. Reload."
        )
    return found


def remove(session: Session, table: type[Any], row_id: int, what: str) -> schema.Deletion:
    """Take a row out, and what hangs on it."""
    live(session, table, row_id)
    return _take_out(session, table, [row_id], what)


def remove_readings(session: Session, clip: schema.Clip) -> schema.Deletion | None:
    """Take out all that a clip was measured to say, as one deletion; None where it was not."""
    table = schema.Reading
    query = select(table.id).where(table.clip_id == clip.id, table.deletion == LIVE)
    ids = session.scalars(query).all()
    return _take_out(session, table, ids, f"readings of {clip.name}") if ids else None


def _take_out(
    session: Session, table: type[Any], row_ids: Sequence[int], what: str
) -> schema.Deletion:
    deletion = schema.Deletion(what=what, at=datetime.now(UTC))
    session.add(deletion)
    session.flush()
    for each, ids in _with_children(table, select(table.id).where(table.id.in_(row_ids))):
        session.execute(
            update(each)
            .where(each.id.in_(ids), each.deletion == LIVE)
            .values(deletion=deletion.id)
            .execution_options(synchronize_session=False)
        )
    session.expire_all()
    return deletion


def undo(session: Session, deletion_id: int | None) -> schema.Deletion | None:
    """Bring back what a deletion took, the latest one unless told; None where there is none."""
    if deletion_id is None:
        latest = select(schema.Deletion).order_by(schema.Deletion.id.desc()).limit(1)
        deletion = session.scalar(latest)
    else:
        deletion = session.get(schema.Deletion, deletion_id)
    if deletion is None:
        return None
    try:
        for table in TABLES.values():
            session.execute(
                update(table).where(table.deletion == deletion.id).values(deletion=LIVE)
            )
    except IntegrityError as error:
        raise AlreadyThereError(
            f"The {deletion.what} cannot be brought back: another of that name or content was "
            "added since. Rename or remove that one, and undo again."
        ) from error
    session.delete(deletion)
    return deletion


def give_up(session: Session, now: datetime) -> None:
    """Remove for good what was taken out more than `UNDO_DAYS` ago."""
    old = select(schema.Deletion.id).where(schema.Deletion.at < now - timedelta(days=UNDO_DAYS))
    for deletion_id in session.scalars(old).all():
        for table in TABLES.values():
            gone = select(table.id).where(table.deletion == deletion_id)
            for each, ids in reversed(list(_with_children(table, gone))):
                _forget(session, each, session.scalars(ids).all())
        session.execute(delete(schema.Deletion).where(schema.Deletion.id == deletion_id))


def _with_children(
    table: type[Any], ids: Select[tuple[int]]
) -> Iterable[tuple[type[Any], Select[tuple[int]]]]:
    """The rows' table with their numbers, then those of the rows that hang on them."""
    yield table, ids
    for child, column in CHILDREN.get(table, ()):
        yield from _with_children(child, select(child.id).where(getattr(child, column).in_(ids)))


def _forget(session: Session, table: type[Any], ids: Iterable[int]) -> None:
    for mentioning, column in MENTIONS.get(table, ()):
        named = getattr(mentioning, column).in_(ids)
        session.execute(update(mentioning).where(named).values({column: None}))
    if table is schema.Reading:
        session.execute(delete(schema.Picture).where(schema.Picture.reading_id.in_(ids)))
    session.execute(delete(table).where(table.id.in_(ids)))
