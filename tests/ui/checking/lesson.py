"""A lesson in a record of its own, whose clips were measured by formula."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np

from tests.ui.checking.inked import drawn_brink, pictures
from tests.ui.stand_in import sliding, staying, toppling
from tests.vision.odd_clips import write_clip
from ui.record.record import Record
from ui.record.rows import Clip, Lesson

RADIUS_M = 0.034
TITLE = "Tea tins on a board"


@dataclass(frozen=True)
class CheckedLesson:
    """What is in it: a tin that toppled at 20°, a tub that slid at 19.8°, one that stayed.

    The plane of the tin's pictures is known; the tubs' are as records kept them before.
    """

    lesson: Lesson
    topples: Clip
    slides: Clip
    stays: Clip


def found(record: Record) -> CheckedLesson:
    """The lesson of a record that was `filled`."""
    (lesson,) = record.lessons()
    return CheckedLesson(lesson, *record.clips(lesson.id))


def filled(record: Record, folder: Path) -> CheckedLesson:
    """The lesson, with frames of a board in the evidence's ink."""
    lesson = record.add_lesson(TITLE, date(2026, 11, 25))
    tin = record.add_body("leaf tea tin", RADIUS_M, 0.0002)
    tub = record.add_body("seed tub", 0.040, 0.0002)
    clips = []
    for number, (body, reading) in enumerate(
        ((tin, toppling()), (tub, sliding()), (tub, staying())), 1
    ):
        film = write_clip(folder / f"film_{number}.mp4", np.arange(12 + number) / 30)
        clip = record.add_clip(lesson.id, f"table{number}_film.mp4", film).clip
        group = record.add_group(lesson.id, f"Table {number}")
        clips.append(record.change(clip, group_id=group.id, body_id=body.id, repeat=1))
        shown = pictures(20.6)
        if body is tin:
            shown = (shown[0], drawn_brink(20.1, yaw_deg=12, pitch_deg=12), shown[2])
        record.save_reading(clip.id, replace(reading, pictures=shown), body.radius_m)
    return CheckedLesson(lesson, *clips)
