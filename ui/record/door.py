"""The door every part of the record goes through: one engine, one folder, one turn at a time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from ui.record import schema
from ui.record.checks import checked
from ui.record.clip_store import ClipStore
from ui.record.complaints import in_words
from ui.record.database import open_engine
from ui.record.deletions import live
from ui.record.engine import take_turn, writing
from ui.record.errors import AlreadyThereError, NotInRecordError
from ui.record.place import place_of

NAMED: Mapping[str, type[Any]] = {
    "lesson_id": schema.Lesson,
    "clip_id": schema.Clip,
    "group_id": schema.Group,
    "body_id": schema.Body,
    "surface_id": schema.Surface,
}
"""The table whose row a column names."""


class Door:
    """A record's database and clips, opened."""

    def __init__(self, url_or_path: str | URL | Path, folder: Path | None = None) -> None:
        self.place = place_of(url_or_path, folder)
        self.engine = open_engine(self.place)
        self.store = ClipStore(self.place.clips)

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()

    @contextmanager
    def asking(self) -> Iterator[Session]:
        """A session that sees one moment and changes nothing."""
        with in_words(self.place), Session(self.engine) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session that is one transaction, on the disk when it is left."""
        with (
            in_words(self.place),
            Session(writing(self.engine), expire_on_commit=False) as session,
            session.begin(),
        ):
            take_turn(session)
            yield session

    def _one(self, table: type[Any], row_id: int) -> Any:
        with self.asking() as session:
            return live(session, table, row_id).row()

    def _add(self, table: type[Any], **fields: Any) -> Any:
        with self.writing() as session:
            check_named(session, fields)
            columns = table(**checked(**fields))
            session.add(columns)
            flush(session, fields)
            return columns.row()

    def sweep(self) -> None:
        """Remove the clips' files that no row names."""
        with self.writing() as session:
            wanted = select(schema.Clip.stored).where(schema.Clip.stored.is_not(None))
            self.store.sweep({name for name in session.scalars(wanted) if name})


def check_named(session: Session, fields: Mapping[str, Any]) -> None:
    """See that what the fields name is there, and the group is of the same lesson."""
    for column, table in NAMED.items():
        if (row_id := fields.get(column)) is None:
            continue
        named = live(session, table, row_id)
        if column == "group_id" and named.lesson_id != fields["lesson_id"]:
            raise NotInRecordError(f"The group {named.label} is of another lesson. Choose again.")


def flush(session: Session, fields: Mapping[str, Any]) -> None:
    try:
        session.flush()
    except IntegrityError as error:
        name = fields.get("label") or fields.get("name") or "one"
        raise AlreadyThereError(f"There is {name} already. Choose another name.") from error
