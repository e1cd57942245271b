"""Taking a lesson's tables into the record: all of them or nothing, and nothing twice."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from math import isclose
from typing import Any

from sqlalchemy.orm import Session

from solver.errors import InputError
from ui.inputs import RADIUS_U_M
from ui.record import rows, schema
from ui.record.checks import checked
from ui.record.deletions import live
from ui.record.finding_rows import Finder
from ui.record.incoming import Incoming, read_file, refuse
from ui.record.record import Record
from ui.record.tables import Values


def take_in(record: Record, name: str, content: bytes, lesson_id: int | None = None) -> rows.Lesson:
    """Take a JSON or CSV file into a lesson, or a JSON file as a lesson of its own.

    Clips are known by what was uploaded (SHA-256) or by name; what the record has
    already is not added again. Raises `ImportRefusedError` with each line that is
    wrong, and then nothing was taken in.
    """
    incoming = read_file(name, content)
    with record.writing() as session:
        taking = _Taking(session, _lesson(session, incoming, lesson_id))
        for table, lines in incoming.tables.items():
            for where, values in lines:
                taking.take(table, where, values)
        refuse(taking.problems)
        lesson: rows.Lesson = taking.lesson.row()
    return lesson


def _lesson(session: Session, incoming: Incoming, lesson_id: int | None) -> schema.Lesson:
    if lesson_id is not None:
        lesson: schema.Lesson = live(session, schema.Lesson, lesson_id)
        return lesson
    if incoming.lesson is None:
        refuse(["A CSV table says nothing of its lesson. Choose the lesson it belongs to."])
    lesson = schema.Lesson(**checked(**(incoming.lesson or {})))
    session.add(lesson)
    session.flush()
    return lesson


@dataclass
class _Taking(Finder):
    """One import under way."""

    problems: list[str] = field(default_factory=list)
    _clips: dict[int, str] = field(default_factory=dict)
    """Where each clip was first named."""
    _matched: set[tuple[type[Any], int]] = field(default_factory=set)
    """Rows that a line has stood for already."""

    def take(self, table: str, where: str, values: Values) -> None:
        try:
            with self.session.begin_nested():  # a line that is wrong leaves the session sound
                _TAKERS[table](self, where, values)
                self.session.flush()
        except InputError as error:
            self.problems.append(f"{where}: {error}")

    def take_body(self, _: str, values: Values) -> None:
        given = checked(
            name=values["body"],
            radius_m=values["radius"],
            radius_u_m=values.get("radius_u", RADIUS_U_M),
            length_m=values.get("length"),
            note=values.get("note", ""),
        )
        body = self.one(schema.Body, name=given["name"])
        if body is None:
            self.session.add(schema.Body(**given))
        elif not _close(body.radius_m, given["radius_m"]):
            raise InputError(
                f"The body {body.name} has a radius of {1000 * body.radius_m:g} mm in the record "
                f"and {1000 * given['radius_m']:g} mm here. Change one, or give this body another "
                "name."
            )

    def take_clip(self, where: str, values: Values) -> None:
        clip = self.clip(values, may_be_new=bool(values.get("sha256") or values.get("outcome")))
        if clip.id in self._clips:
            raise InputError(
                f"The clip {clip.name} has a line already ({self._clips[clip.id]}): a clip is of "
                "one group. Leave one of the lines."
            )
        meant: dict[str, Callable[[Any], Any]] = {
            "group": lambda label: ("group_id", self.group(label).id),
            "body": lambda name: ("body_id", self.body(name).id),
            "surface": lambda name: ("surface_id", self.surface(name).id),
            "repeat": lambda number: ("repeat", number),
            "start_tilt": lambda tilt_rad: ("start_tilt_rad", tilt_rad),
        }
        given = dict(mean(values[name]) for name, mean in meant.items() if name in values)
        for name, value in checked(**given).items():  # what is left empty stays as it was
            setattr(clip, name, value)
        if values.get("outcome"):
            self._take_reading(clip, values)
        self._clips[clip.id] = where

    def _take_reading(self, clip: schema.Clip, values: Values) -> None:
        if values["outcome"] in ("topples", "slides") and values.get("angle") is None:
            raise InputError(f"A clip that {values['outcome']} needs its angle_deg.")
        parts = values.get("angle_parts")
        if parts is None:
            parts = [("imported", values["angle_u"])] if values.get("angle_u") else []
        angle, at = values.get("angle"), values.get("measured_at")
        for there in self.all(schema.Reading, clip_id=clip.id, outcome=values["outcome"]):
            if _close(there.angle_rad, angle) and at in (None, there.at):
                return
        self.session.add(
            schema.Reading(
                clip_id=clip.id,
                outcome=values["outcome"],
                **checked(
                    angle_rad=angle,
                    largest_tilt_rad=values.get("largest_tilt"),
                    radius_m=values.get("measured_with_radius"),
                ),
                budget=parts,
                onset_s=values.get("onset"),
                onset_frame=values.get("onset_frame"),
                largest_tilt_u_rad=values.get("largest_tilt_u"),
                reasons=values.get("reasons", []),
                by_hand=values.get("by_hand", False),
                seconds_taken=values.get("seconds_taken", 0.0),
                width=values.get("width_px", 0),
                height=values.get("height_px", 0),
                frames_read=values.get("frames_read", 0),
                duration_s=values.get("duration", 0.0),
                frames_per_second=values.get("frame_rate", 0.0),
                at=at or datetime.now(UTC),
                evidence=values.get("stories"),
            )
        )

    def take_balance(self, _: str, values: Values) -> None:
        group = values.get("group")
        self._add_unless_there(
            schema.BalanceReading,
            lesson_id=self.lesson.id,
            group_id=group and self.group(group).id,
            body_id=self.body(values["body"]).id,
            overhang_m=values["overhang"],
            end=values["end"],
            edge_radius_m=values.get("edge_radius", 0.0),
            scale_u_m=values.get("rule_zero_u", 0.0),
        )

    def take_prediction(self, _: str, values: Values) -> None:
        self._add_unless_there(
            schema.Prediction,
            body_id=self.body(values["body"]).id,
            height_m=values["height"],
            height_u_m=values.get("height_u", 0.0),
            source=values.get("source", ""),
        )

    def take_student(self, _: str, values: Values) -> None:
        given = {
            "clip_id": self.clip(values, may_be_new=False).id,
            "by": values.get("by", ""),
            "protractor_rad": values["protractor"],
            "reads_to_rad": values["reads_to"],
            "height_m": values.get("height"),
            "verdict": values.get("verdict", ""),
            "slip": values.get("slip"),
        }
        if (at := values.get("read_at")) is not None:
            self._add_unless_there(schema.StudentReading, **given, at=at)
        else:
            self._add_unless_there(schema.StudentReading, **given, new={"at": datetime.now(UTC)})

    def _add_unless_there(
        self, table: type[Any], new: Mapping[str, Any] | None = None, **given: Any
    ) -> None:
        """Add a row, unless one like it is there that no line has stood for yet."""
        given = checked(**given)
        known = {name: value for name, value in given.items() if not isinstance(value, float)}
        for row in self.all(table, **known):
            numbers = [name for name in given if name not in known]
            if (table, row.id) not in self._matched and all(
                _close(getattr(row, name), given[name]) for name in numbers
            ):
                self._matched.add((table, row.id))
                return
        row = self.new(table(**given, **(new or {})))
        self._matched.add((table, row.id))


_TAKERS: Mapping[str, Callable[[_Taking, str, Values], None]] = {
    "bodies": _Taking.take_body,
    "clips": _Taking.take_clip,
    "balance": _Taking.take_balance,
    "predictions": _Taking.take_prediction,
    "students": _Taking.take_student,
}


def _close(first: float | None, second: float | None) -> bool:
    """Whether two numbers differ by no more than a unit's conversion."""
    if first is None or second is None:
        return first is second
    return isclose(first, second, rel_tol=1e-9, abs_tol=1e-15)
