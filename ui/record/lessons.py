"""Lessons, and the groups, bodies and surfaces in them."""

from __future__ import annotations

from datetime import date

from ui.record import lookups, rows, schema
from ui.record.door import Door


class Lessons(Door):
    """What the record knows of lessons."""

    def lessons(self) -> tuple[rows.Lesson, ...]:
        """All lessons, the latest day first."""
        with self.asking() as session:
            return lookups.all_of(session, schema.Lesson, schema.Lesson.day.desc())

    def lesson(self, lesson_id: int) -> rows.Lesson:
        return self._one(schema.Lesson, lesson_id)

    def lesson_view(self, lesson_id: int) -> rows.LessonView:
        """Everything of a lesson at one moment."""
        with self.asking() as session:
            return lookups.lesson_view(session, lesson_id)

    def add_lesson(self, title: str, day: date, keep_days: int | None = None) -> rows.Lesson:
        return self._add(schema.Lesson, title=title, day=day, keep_days=keep_days)

    def groups(self, lesson_id: int) -> tuple[rows.Group, ...]:
        with self.asking() as session:
            return lookups.all_of(session, schema.Group, lesson_id=lesson_id)

    def add_group(self, lesson_id: int, label: str) -> rows.Group:
        """Raises `AlreadyThereError` where the lesson has a group of that label."""
        return self._add(schema.Group, lesson_id=lesson_id, label=label)

    def bodies(self) -> tuple[rows.Body, ...]:
        """All bodies by name."""
        with self.asking() as session:
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
        with self.asking() as session:
            return lookups.all_of(session, schema.Surface, schema.Surface.name)

    def add_surface(self, name: str) -> rows.Surface:
        """Raises `AlreadyThereError` where there is a surface of that name."""
        return self._add(schema.Surface, name=name)
