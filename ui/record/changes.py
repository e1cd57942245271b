"""Changing rows, removing them, and bringing them back."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from ui.record import deletions, rows, schema
from ui.record.checks import checked
from ui.record.clips import Clips, let_go
from ui.record.door import check_named, flush

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


class Changes(Clips):
    """What can be done to any row."""

    def change(self, row: R, **fields: Any) -> R:
        """Set the fields named, and those alone, as in ``change(clip, group_id=3)``.

        A clip's readings are taken out with another tilt at the start: they hold no longer.
        """
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
            doomed = let_go(session, session.scalars(gone).all())
            result = deletion.row()
        self._delete_files(doomed)
        return result

    def forget_readings(self, clip_id: int) -> rows.Deletion | None:
        """Take out what a clip was measured to say, at once; `undo` brings it back.

        The clip then waits to be measured. None where it waits already.
        """
        with self.writing() as session:
            clip = deletions.live(session, schema.Clip, clip_id)
            deletion = deletions.remove_readings(session, clip)
            return None if deletion is None else deletion.row()

    def deletions(self) -> tuple[rows.Deletion, ...]:
        """What can be brought back, the latest first."""
        with self.asking() as session:
            query = select(schema.Deletion).order_by(schema.Deletion.id.desc())
            return tuple(each.row() for each in session.scalars(query))

    def undo(self, deletion_id: int | None = None) -> rows.Deletion | None:
        """Bring back what was removed last, or by the deletion named; None if nothing was."""
        with self.writing() as session:
            deletion = deletions.undo(session, deletion_id)
            return None if deletion is None else deletion.row()

    def _change(self, session: Session, row: R, fields: Mapping[str, Any]) -> R:
        kind = type(row)
        if unknown := set(fields) - CHANGEABLE.get(kind, frozenset()):
            raise TypeError(f"{kind.__name__} has no {sorted(unknown)} that can be changed")
        columns = deletions.live(session, deletions.TABLES[kind], row.id)
        start_tilt = getattr(columns, "start_tilt_rad", None)
        lesson = {"lesson_id": columns.lesson_id} if hasattr(columns, "lesson_id") else {}
        check_named(session, {**lesson, **fields})
        kept = checked(**fields)
        for name, value in kept.items():
            setattr(columns, name, value)
        flush(session, fields)
        session.refresh(columns)
        if getattr(columns, "start_tilt_rad", None) != start_tilt:
            deletions.remove_readings(session, columns)
        return columns.row()


def in_words_of(row: rows.Row) -> str:
    """A row as a list of deletions names it."""
    kind = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", type(row).__name__).lower()
    for field in ("title", "label", "name", "by", "source"):
        if name := getattr(row, field, ""):
            return f"{kind} {name}"
    return kind
