"""Some scenes drawn as pictures, encoded, and measured from the file."""

from __future__ import annotations

import os
from math import degrees
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.scenes.engine import by_engine
from tests.scenes.film import render_clip
from tests.study.edges import underside
from tests.study.plain import found_line, turn_of
from tests.study.score import NAN, Score, plain_part, promised
from tests.study.trial import Course, Trial, course_of
from vision.clip import open_clip
from vision.measure import measure_clip
from vision.reading import ClipSetup

Floats = NDArray[np.float64]


def drawn_score(trial: Trial, folder: Path) -> Score:
    """Measure a trial's scene from a clip, drawn into the folder unless it is there already.
    Its lens is perfect: the renderer's."""
    path = _drawn(trial, folder)
    reading = measure_clip(path, ClipSetup(radius_m=trial.drawn.body.radius_m))
    course = course_of(trial, by_engine)
    row = {**plain_part(trial, course), "outcome": str(reading.outcome)}
    angle, truth = reading.angle_rad, course.truth.angle_rad
    if truth is None:
        return Score(**row)
    row["line_error"] = _line_error(trial, course, path)
    if angle is None or reading.outcome != course.truth.outcome:
        return Score(**row)
    return Score(
        **row,
        error=degrees(angle.nominal_value - truth),
        start_error=-trial.drawn.lift.start_deg,
        **promised(angle),
    )


def _drawn(trial: Trial, folder: Path) -> Path:
    """The trial's clip; one that was only half drawn never bears its name."""
    view = trial.drawn.view
    seed, number = trial.seed
    name = f"trial-{seed}-{number}-{max(view.width, view.height)}.mp4"
    path = folder / name
    if not path.exists():
        unfinished = folder / "unfinished" / name
        render_clip(trial.drawn, unfinished)
        for part in (".truth.json", ".trace.csv", ".mp4"):
            os.replace(unfinished.with_suffix(part), path.with_suffix(part))
    return path


def _line_error(trial: Trial, course: Course, path: Path) -> float:
    """Of a line detector on the frame at the true brink, against the first frame."""
    truth = course.truth
    if truth.angle_rad is None or truth.passes_s is None:
        return NAN
    at = int(np.argmin(np.abs(course.seen.time_s - truth.passes_s)))
    expected = underside(trial.drawn, course.seen.tilt_rad[[0, at]]).reshape(-1, 4)
    found = []
    with open_clip(path) as clip:
        for frame in clip:
            if frame.index in (0, at):
                grey = cv2.cvtColor(frame.bgr, cv2.COLOR_BGR2GRAY)
                found.append(found_line(grey, expected[len(found)]))
            if frame.index >= at:
                break
    if len(found) < 2 or any(line is None for line in found):
        return NAN
    return degrees(turn_of(np.array(found))[1] - truth.angle_rad)
