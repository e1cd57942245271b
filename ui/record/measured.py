"""A measured clip as columns of the record, and back."""

from __future__ import annotations

import io
from collections import defaultdict
from dataclasses import fields
from datetime import UTC, datetime
from math import hypot

import numpy as np
from uncertainties import UFloat, nominal_value, std_dev

from ui.record import schema
from ui.record.pictures import packed_picture, png_of
from vision.reading import ClipReading, EvidencePicture, MotionSeries


def reading_columns(clip_id: int, reading: ClipReading, radius_m: float | None) -> schema.Reading:
    """The reading, with the angle's uncertainty part by part."""
    angle, largest, facts = reading.angle_rad, reading.largest_tilt_rad, reading.facts
    return schema.Reading(
        clip_id=clip_id,
        outcome=str(reading.outcome),
        angle_rad=None if angle is None else float(nominal_value(angle)),
        budget=[] if angle is None else budget(angle),
        onset_s=reading.onset_s,
        onset_frame=reading.onset_frame,
        largest_tilt_rad=None if largest is None else float(nominal_value(largest)),
        largest_tilt_u_rad=None if largest is None else float(std_dev(largest)),
        reasons=list(reading.reasons),
        by_hand=reading.by_hand,
        seconds_taken=float(reading.seconds_taken),
        width=facts.width,
        height=facts.height,
        frames_read=facts.frames_read,
        duration_s=float(facts.duration_s),
        frames_per_second=float(facts.frames_per_second),
        radius_m=radius_m,
        at=datetime.now(UTC),
        series=None if reading.series is None else packed(reading.series),
        evidence=[(str(rival.story), float(rival.behind)) for rival in reading.evidence],
    )


def picture_columns(picture: EvidencePicture) -> schema.Picture:
    """A picture of a reading that is yet to be named."""
    return schema.Picture(
        moment=picture.moment,
        frame=int(picture.frame),
        time_s=float(picture.time_s),
        jpeg=packed_picture(picture.png),
        plane_px=None if picture.plane_px is None else [list(row) for row in picture.plane_px],
    )


def picture_back(kept: schema.Picture) -> EvidencePicture:
    """A picture as it was measured; without its plane where that was not kept yet."""
    plane = None
    if kept.plane_px is not None:
        plane = tuple((float(a), float(b), float(c)) for a, b, c in kept.plane_px)
    return EvidencePicture(kept.moment, kept.frame, kept.time_s, png_of(kept.jpeg), plane)


def budget(angle: UFloat) -> list[tuple[str, float]]:
    """The parts of an angle's standard uncertainty by name, the largest first."""
    parts: defaultdict[str, float] = defaultdict(float)
    for variable, u in angle.error_components().items():
        name = variable.tag or "other"
        parts[name] = hypot(parts[name], float(u))
    return sorted(parts.items(), key=lambda part: -part[1])


def packed(series: MotionSeries) -> bytes:
    """The series as a compressed archive of arrays, every bit kept."""
    file = io.BytesIO()
    np.savez_compressed(file, **{each.name: getattr(series, each.name) for each in fields(series)})
    return file.getvalue()


def unpacked(content: bytes) -> MotionSeries:
    """The series back; nothing in it is run, whatever the archive holds."""
    with np.load(io.BytesIO(content), allow_pickle=False) as arrays:
        return MotionSeries(**{each.name: arrays[each.name] for each in fields(MotionSeries)})
