"""What the names in an imported table mean: rows that are there, or new ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from solver.errors import InputError
from ui.record import schema
from ui.record.checks import checked
from ui.record.schema import LIVE
from ui.record.tables import Values


@dataclass
class Finder:
    """Finds the rows that a lesson's tables name."""

    session: Session
    lesson: schema.Lesson

    def body(self, name: str) -> schema.Body:
        if (body := self.one(schema.Body, name=_checked("name", name))) is None:
            raise InputError(
                f"The body {name} is not in the record. Add it first, with its radius, or import "
                "the table of bodies."
            )
        return body

    def clip(self, values: Values, may_be_new: bool) -> schema.Clip:
        """The lesson's clip of that content, else of that name, else a new one without a file."""
        digest, name = values.get("sha256"), _checked("name", values["clip"])
        found = self.all(schema.Clip, lesson_id=self.lesson.id)
        if digest:
            alike = [clip for clip in found if clip.sha256 == digest.strip().lower()]
        else:
            alike = [clip for clip in found if clip.name == name]
        if len(alike) > 1:
            raise InputError(f"The lesson has {len(alike)} clips named {name}. Give their sha256.")
        if alike:
            return alike[0]
        if not may_be_new:
            raise InputError(f"The lesson has no clip {name}. Add the clip first, or its figures.")
        clip = schema.Clip(
            lesson_id=self.lesson.id,
            sha256=_digest(digest) if digest else _digest_of_name(self.lesson.id, name),
            name=name,
            added_at=datetime.now(UTC),
        )
        self.session.add(clip)
        self.session.flush()
        return clip

    def group(self, label: str) -> schema.Group:
        label = _checked("label", label)
        group = self.one(schema.Group, lesson_id=self.lesson.id, label=label)
        return group or self.new(schema.Group(lesson_id=self.lesson.id, label=label))

    def surface(self, name: str) -> schema.Surface:
        name = _checked("name", name)
        return self.one(schema.Surface, name=name) or self.new(schema.Surface(name=name))

    def new(self, row: Any) -> Any:
        self.session.add(row)
        self.session.flush()
        return row

    def one(self, table: type[Any], **named: Any) -> Any:
        return next(iter(self.all(table, **named)), None)

    def all(self, table: type[Any], **named: Any) -> Sequence[Any]:
        wanted = [getattr(table, name) == value for name, value in named.items()]
        query = select(table).where(table.deletion == LIVE, *wanted).order_by(table.id)
        return self.session.scalars(query).all()


def _checked(name: str, value: Any) -> Any:
    return checked(**{name: value})[name]


def _digest(typed: str) -> str:
    digest = typed.strip().lower()
    if len(digest) != 64 or set(digest) - set("0123456789abcdef"):
        raise InputError(f"sha256 is {typed[:70]!r}; it must be 64 figures 0-9, a-f, or empty.")
    return digest


def _digest_of_name(lesson_id: int, name: str) -> str:
    """Stands for the content of a clip that was never seen, and is like no clip's own."""
    return sha256(f"a clip known by name alone: {lesson_id} {name}".encode()).hexdigest()
