"""Measured courses without a camera: simulated motion, sampled as frames with noise."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, radians, sqrt

import numpy as np

from solver.motion import Drive, toppling_turn
from tests.scenes.equation import by_equation
from tests.scenes.lift import tilt_program
from tests.scenes.motion import Motion
from tests.scenes.scene import Board, Scene
from vision.brink import Brink
from vision.course import Course
from vision.falling import fit_fall, likely_rate
from vision.sliding import fit_slide

FLAT = Board(thickness_m=0.0, mat_thickness_m=0.0)
FOLLOWED_RAD = radians(12)


def toppling_brink(course: Course) -> Brink | None:
    """The brink of toppling, or None where the body did not go."""
    return fit_fall(course.where(np.isfinite(course.lean_rad))).brink


def sliding_brink(course: Course) -> Brink | None:
    """The angle of friction, or None where the body did not slip while it stood."""
    return fit_slide(course.where(np.isfinite(course.slip_m))).brink


def simulated(scene: Scene) -> Motion:
    """The scene's motion by the tests' own equation."""
    return by_equation(scene, tilt_program(scene.lift, scene.seed))


def rocked(scene: Scene, rocking_rad: float) -> Motion:
    """The scene's motion where the body sets off with some speed in hand."""
    motion, body = simulated(scene), scene.body
    step_s = float(motion.time_s[1] - motion.time_s[0])
    turning = tilt_program(scene.lift, scene.seed).acceleration_rad_s2[: len(motion.time_s)]
    drive = Drive(step_s, motion.tilt_rad, np.gradient(motion.tilt_rad, step_s), turning)
    k_per_s = likely_rate(body.radius_m, body.height_m, body.brink_rad)
    pivot_m = scene.board.body_at_m - body.radius_m
    turn, _ = toppling_turn(drive, body.brink_rad, k_per_s, pivot_m, rocking_rad)
    return replace(motion, lean_rad=turn - motion.tilt_rad)


def course_of(
    scene: Scene,
    motion: Motion | None = None,
    frames_per_second: float = 30.0,
    tilt_u_deg: float = 0.02,
    lean_u_deg: float = 0.05,
    slip_u_m: float = 1e-4,
) -> Course:
    """What a reader would measure until the body has leaned by 12°."""
    motion = simulated(scene) if motion is None else motion
    rng = np.random.default_rng([2, scene.seed])
    times = np.arange(0, motion.time_s[-1], 1 / frames_per_second)
    fallen = np.flatnonzero(motion.at(times).lean_rad > FOLLOWED_RAD)
    seen = motion.at(times[: fallen[0] + 1] if len(fallen) else times)
    count = len(seen.time_s)

    def noisy(values: np.ndarray, u: float) -> tuple[np.ndarray, np.ndarray]:
        return values + rng.normal(0, u, count), np.full(count, u)

    tilt, tilt_u = noisy(seen.tilt_rad, radians(tilt_u_deg))
    lean, lean_u = noisy(seen.lean_rad, radians(lean_u_deg))
    slip, slip_u = noisy(seen.slip_m, slip_u_m)
    return Course(
        time_s=seen.time_s,
        tilt_rad=tilt,
        tilt_u_rad=tilt_u,
        lean_rad=lean,
        lean_u_rad=lean_u,
        slip_m=slip,
        slip_u_m=slip_u,
        radius_m=scene.body.radius_m,
        height_m=scene.body.height_m,
        place_m=scene.board.body_at_m,
        turn_u_rad=np.hypot(tilt_u, lean_u),
    )


def u_deg(brink: Brink) -> float:
    """Standard uncertainty of a fitted brink, degrees."""
    return degrees(sqrt(brink.u_rad**2 + brink.tremor_u_rad**2))


def with_lean(course: Course, lean_rad: np.ndarray) -> Course:
    """The course with some lean added to what was measured."""
    return replace(course, lean_rad=course.lean_rad + lean_rad)
