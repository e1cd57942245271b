"""One row of the study: how wrong each way of reading is, and what was promised."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees, hypot
from typing import Any

import numpy as np
from uncertainties import UFloat

from solver.propagation import linear
from tests.study.bound import angle_bound_rad
from tests.study.chain import read
from tests.study.edges import SeenEdges, seen
from tests.study.plain import first_visible, picture_turn
from tests.study.trial import Course, Trial, course_of
from tests.vision.geometry import own_of
from vision.reading import level_start
from vision.refine import Motion
from vision.scene import TILT
from vision.verdict import UncertainError, Verdict

NAN = float("nan")
START = "start tilt"
GEOMETRY = ("edge noise", "camera and focal length", "lens")


@dataclass(frozen=True)
class Score:
    """Degrees unless the name says otherwise; NaN where there is nothing to say."""

    number: int
    true_outcome: str
    outcome: str
    angle_deg: float
    yaw_deg: float
    pitch_deg: float
    roll_deg: float
    distance_m: float
    rate_deg_s: float
    jerk: float
    focal_error: float
    noise_px: float
    radius_mm: float
    alike: float
    plain_error: float
    """Of the board's edge in the picture at the first visible lean."""
    edge_error: float
    """Of the board's edge in the picture at the true brink."""
    line_error: float = NAN
    """Of the line a detector finds there; drawn clips only."""
    error: float = NAN
    half_width: float = NAN
    bound: float = NAN
    """Cramér–Rao, of the whole error."""
    known_start_bound: float = NAN
    """The same were the start known: of geometry and fall together."""
    start_error: float = NAN
    geometry_error: float = NAN
    fall_error: float = NAN
    """The three parts of the error: where the board started, tilt, brink given the tilt."""
    start_u: float = NAN
    geometry_u: float = NAN
    fall_u: float = NAN
    """Their standard uncertainties as budgeted."""

    @property
    def was_read(self) -> bool:
        return bool(np.isfinite(self.error))

    @property
    def other_error(self) -> float:
        """Of geometry and fall together."""
        return self.error - self.start_error

    @property
    def held(self) -> bool:
        """Whether the 95 % interval holds the truth."""
        return abs(self.error) <= self.half_width


def score(trial: Trial) -> Score:
    """Measure a trial by geometry alone."""
    course = course_of(trial)
    edges = seen(trial, course)
    try:
        motion, verdict = read(trial, course, edges)
    except UncertainError:
        return Score(**plain_part(trial, course), outcome="unreadable")
    row = {**plain_part(trial, course), "outcome": str(verdict.outcome)}
    if verdict.angle_rad is None or row["outcome"] != row["true_outcome"]:
        return Score(**row)
    return Score(**row, **_parts(trial, course, motion, verdict), **_bound(trial, course, edges))


def plain_part(trial: Trial, course: Course) -> dict[str, Any]:
    """What a row says before anything is measured."""
    drawn, truth, tilt = trial.drawn, course.truth, course.seen.tilt_rad
    angle = truth.angle_rad
    plain = edge = NAN
    if angle is not None:
        shown = tilt[first_visible(course.seen)]
        turn = np.degrees(picture_turn(trial, np.array([tilt[0], shown, angle])))
        plain, edge = (float(t) - degrees(angle) for t in turn[1:])
    return {
        "number": trial.seed[1],
        "true_outcome": truth.outcome,
        "angle_deg": NAN if angle is None else degrees(angle),
        "yaw_deg": drawn.view.yaw_deg,
        "pitch_deg": drawn.view.pitch_deg,
        "roll_deg": drawn.view.roll_deg,
        "distance_m": drawn.view.distance_m,
        "rate_deg_s": drawn.lift.rate_deg_s,
        "jerk": drawn.lift.jerk,
        "focal_error": trial.focal_error,
        "noise_px": trial.noise_px,
        "radius_mm": 1000 * drawn.body.radius_m,
        "alike": trial.alike,
        "plain_error": plain,
        "edge_error": edge,
    }


def promised(angle: UFloat) -> dict[str, float]:
    """Half-width of the 95 % interval, and the budget in three parts, degrees."""
    by_tag = {part.tag: degrees(u) for part, u in angle.error_components().items()}
    return {
        "half_width": degrees(linear(angle, {"angle": angle}).half_width),
        "start_u": by_tag.get(START, 0.0),
        "geometry_u": hypot(*(by_tag.get(name, 0.0) for name in GEOMETRY)),
        "fall_u": hypot(*(u for name, u in by_tag.items() if name not in (START, *GEOMETRY))),
    }


def _parts(trial: Trial, course: Course, motion: Motion, verdict: Verdict) -> dict[str, float]:
    """The error and its three parts, which add up to it, with what was promised of each."""
    angle, truth, start = verdict.angle_rad, course.truth.angle_rad, trial.drawn.lift.start_deg
    assert angle is not None and truth is not None
    passes = course.truth.passes_s
    at = int(np.argmin(np.abs(motion.time_s - (verdict.onset_s if passes is None else passes))))
    true_tilt = own_of(trial.drawn, course.motion)[at, TILT]
    tilt = degrees(motion.own[at, TILT] - true_tilt)
    error = degrees(angle.nominal_value - truth)
    return {
        "error": error,
        "start_error": -start,
        "geometry_error": tilt + start,
        "fall_error": error - tilt,
        **promised(angle),
    }


def _bound(trial: Trial, course: Course, edges: SeenEdges) -> dict[str, float]:
    start_u = level_start().std_dev
    return {
        "bound": degrees(angle_bound_rad(trial, course, edges, start_u)),
        "known_start_bound": degrees(angle_bound_rad(trial, course, edges)),
    }
