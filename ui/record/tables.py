"""The tables a lesson is exported as, and their lines from and to the record's rows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ui.record.columns import Column
from ui.record.rows import Clip, LessonView, Reading

BODY = Column("body", needed=True)
TABLES: Mapping[str, tuple[Column, ...]] = {
    "bodies": (
        BODY,
        Column("radius", "number", "length", needed=True),
        Column("radius_u", "number", "length"),
        Column("length", "number", "length"),
        Column("note"),
    ),
    "clips": (
        Column("clip", needed=True),
        Column("sha256"),
        Column("group"),
        Column("body"),
        Column("surface"),
        Column("repeat", "count"),
        Column("start_tilt", "number", "angle"),
        Column("outcome", "outcome"),
        Column("angle", "number", "angle"),
        Column("angle_u", "number", "angle"),
        Column("angle_parts", "parts", "angle"),
        Column("onset", "number", "time"),
        Column("onset_frame", "count"),
        Column("largest_tilt", "number", "angle"),
        Column("largest_tilt_u", "number", "angle"),
        Column("by_hand", "flag"),
        Column("measured_with_radius", "number", "length"),
        Column("seconds_taken", "number"),
        Column("width_px", "count"),
        Column("height_px", "count"),
        Column("frames_read", "count"),
        Column("duration", "number", "time"),
        Column("frame_rate", "number", "rate"),
        Column("reasons", "lines"),
        Column("stories", "stories"),
        Column("measured_at", "moment"),
    ),
    "balance": (
        BODY,
        Column("group"),
        Column("overhang", "number", "length", needed=True),
        Column("end", "end", needed=True),
        Column("edge_radius", "number", "length"),
        Column("rule_zero_u", "number", "length"),
    ),
    "predictions": (
        BODY,
        Column("height", "number", "length", needed=True),
        Column("height_u", "number", "length"),
        Column("source"),
    ),
    "students": (
        Column("clip", needed=True),
        Column("sha256"),
        Column("by"),
        Column("protractor", "number", "angle", needed=True),
        Column("reads_to", "number", "angle", needed=True),
        Column("height", "number", "length"),
        Column("verdict"),
        Column("slip"),
        Column("read_at", "moment"),
    ),
}
"""In the order in which they are taken in."""
LESSON = (Column("title", needed=True), Column("day", "day", needed=True))

Values = dict[str, Any]
"""SI values by column name."""


def lesson_values(view: LessonView) -> Values:
    return {"title": view.lesson.title, "day": view.lesson.day}


def table_lines(view: LessonView, table: str) -> Iterator[Values]:
    """The lines of one table of a lesson."""
    yield from _LINES[table](view)


def _bodies(view: LessonView) -> Iterator[Values]:
    for body in view.bodies:
        yield {
            "body": body.name,
            "radius": body.radius_m,
            "radius_u": body.radius_u_m,
            "length": body.length_m,
            "note": body.note,
        }


def _clips(view: LessonView) -> Iterator[Values]:
    for clip in view.clips:
        group, body = view.group(clip.group_id), view.body(clip.body_id)
        surface, reading = view.surface(clip.surface_id), view.reading_of(clip.id)
        yield {
            **_named(clip),
            "group": group and group.label,
            "body": body and body.name,
            "surface": surface and surface.name,
            "repeat": clip.repeat,
            "start_tilt": clip.start_tilt_rad,
            **(_reading(reading) if reading else {}),
        }


def _reading(reading: Reading) -> Values:
    facts = reading.facts
    return {
        "outcome": reading.outcome,
        "angle": reading.angle_rad,
        "angle_u": reading.angle_u_rad,
        "angle_parts": reading.budget or None,
        "onset": reading.onset_s,
        "onset_frame": reading.onset_frame,
        "largest_tilt": reading.largest_tilt_rad,
        "largest_tilt_u": reading.largest_tilt_u_rad,
        "by_hand": reading.by_hand,
        "measured_with_radius": reading.radius_m,
        "seconds_taken": reading.seconds_taken,
        "width_px": facts.width,
        "height_px": facts.height,
        "frames_read": facts.frames_read,
        "duration": facts.duration_s,
        "frame_rate": facts.frames_per_second,
        "reasons": reading.reasons,
        "stories": [(each.story, each.behind) for each in reading.evidence] or None,
        "measured_at": reading.at,
    }


def _balance(view: LessonView) -> Iterator[Values]:
    for each in view.balance_readings:
        body, group = view.body(each.body_id), view.group(each.group_id)
        yield {
            "body": body and body.name,
            "group": group and group.label,
            "overhang": each.overhang_m,
            "end": each.end,
            "edge_radius": each.edge_radius_m,
            "rule_zero_u": each.scale_u_m,
        }


def _predictions(view: LessonView) -> Iterator[Values]:
    for each in view.predictions:
        body = view.body(each.body_id)
        yield {
            "body": body and body.name,
            "height": each.height_m,
            "height_u": each.height_u_m,
            "source": each.source,
        }


def _students(view: LessonView) -> Iterator[Values]:
    clips = {clip.id: clip for clip in view.clips}
    for each in view.student_readings:
        yield {
            **_named(clips[each.clip_id]),
            "by": each.by,
            "protractor": each.protractor_rad,
            "reads_to": each.reads_to_rad,
            "height": each.height_m,
            "verdict": each.verdict,
            "slip": each.slip,
            "read_at": each.at,
        }


def _named(clip: Clip) -> Values:
    return {"clip": clip.name, "sha256": clip.sha256}


_LINES = {
    "bodies": _bodies,
    "clips": _clips,
    "balance": _balance,
    "predictions": _predictions,
    "students": _students,
}
