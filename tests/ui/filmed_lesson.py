"""The hand-outs' invented lesson in a record, with a sample measured as its first clip."""

from __future__ import annotations

import shutil
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import numpy as np
from uncertainties import ufloat

from tests.vision.odd_clips import write_clip
from ui.handouts.demo import SAMPLE, invented_lesson
from ui.record.record import Record
from ui.record.rows import Clip, LessonView
from vision.measure import measure_clip
from vision.reading import ClipReading, ClipSetup


def fill(record: Record, folder: Path) -> None:
    """A lesson of sixteen clips; the angles of all but the first are invented."""
    view = invented_lesson().view
    lesson = record.add_lesson(view.lesson.title, view.lesson.day)
    bodies = {
        each.id: record.add_body(each.name, each.radius_m, each.radius_u_m, each.length_m).id
        for each in view.bodies
    }
    groups = {each.id: record.add_group(lesson.id, each.label).id for each in view.groups}
    surfaces = {each.id: record.add_surface(each.name).id for each in view.surfaces}
    measured = measure_clip(SAMPLE, ClipSetup(view.bodies[0].radius_m))
    clips = {}
    for row, film in zip(view.clips, _films(view.clips, folder), strict=True):
        clip = record.add_clip(lesson.id, row.name, film).clip
        assert row.group_id and row.body_id and row.surface_id
        record.change(
            clip, group_id=groups[row.group_id], body_id=bodies[row.body_id],
            surface_id=surfaces[row.surface_id], repeat=row.repeat,
        )  # fmt: skip
        reading = _invented(view, row, measured) if clips else measured
        record.save_reading(clip.id, reading, view.bodies[0].radius_m)
        clips[row.id] = clip.id
    for held in view.balance_readings:
        group = held.group_id and groups[held.group_id]
        record.add_balance_reading(
            lesson.id, bodies[held.body_id], held.overhang_m, held.end, group,
            held.edge_radius_m, held.scale_u_m,
        )  # fmt: skip
    for told in view.predictions:
        record.add_prediction(bodies[told.body_id], told.height_m, told.height_u_m, told.source)
    for read in view.student_readings:
        record.add_student_reading(
            clips[read.clip_id], read.by, read.protractor_rad, read.reads_to_rad, read.verdict,
            read.height_m, read.slip,
        )  # fmt: skip


def _films(clips: Iterable[Clip], folder: Path) -> Iterable[Path]:
    """The sample, then short films of which no two are alike."""
    for number, clip in enumerate(clips):
        path = folder / clip.name
        if number:
            yield write_clip(path, np.arange(12 + number) / 30)
        else:
            yield Path(shutil.copy(SAMPLE, path))


def _invented(view: LessonView, clip: Clip, measured: ClipReading) -> ClipReading:
    """What the invented lesson says of a clip, without pictures."""
    row = view.reading_of(clip.id)
    assert row is not None
    angle = None
    if row.angle_rad is not None:
        angle = row.angle_rad + sum(ufloat(0, u_rad, part) for part, u_rad in row.budget)
    return replace(
        measured, outcome=row.outcome, angle_rad=angle, onset_s=row.onset_s,
        onset_frame=row.onset_frame, reasons=row.reasons, series=None, pictures=(),
        evidence=row.evidence,
    )  # fmt: skip
