"""The Cramér–Rao bound of the angle: what no unbiased reading can better.

Cramér, Mathematical Methods of Statistics (1946), section 32.3; what is known
beforehand counts as observed (Van Trees, Detection, Estimation, and Modulation Theory I
(1968), section 2.4). The unknowns are those of the reader: the scene, the tilt in every
frame, the brink and the rate of falling; besides, after the brink, the slip of a body
that topples and the lean of one that slides. What is not told makes the bound lower, not
higher: the shape of the lift is known, and which edges are false.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log, radians, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import block_diag, coo_array, csc_array, hstack
from scipy.sparse.linalg import spsolve

from solver.motion import GRAVITY_M_S2, Drive, sliding_slip, toppling_turn
from tests.scenes.lift import STEP_S
from tests.scenes.scene import Body
from tests.study.edges import SeenEdges, lens_shift
from tests.study.trial import Course, Trial
from tests.vision.geometry import own_of
from vision.budget import LENS_SHARE
from vision.edges import Kind
from vision.falling import RATE_U
from vision.fit import BOARD_U, BODY_U, FOCAL_U, PLACE_U, TURN_U_RAD, Edges, edge_residuals
from vision.scene import BODY, CAMERA, LEAN, SLIP, TILT, Scene

Floats = NDArray[np.float64]

NUDGE = 1e-6
ANGLE_NUDGE_RAD = radians(0.05)
RATE_NUDGE = 0.01
BEFORE_S = 0.3
ANYTHING = 10.0
"""Of what is not known at all: an edge lost in a frame may leave its tilt untold."""
FIXED = 1e-6
"""Standard uncertainty of what is as good as known, radians or hinge depths."""


@dataclass(frozen=True)
class _Going:
    """How the body goes, and what that tells of the angle."""

    column: int
    """Of a frame's unknowns: which the equation of motion foretells."""
    free: int
    """And which is free once it has gone."""
    by_angle: Floats
    by_log_rate: Floats
    """Derivatives in every frame, shape ``(N,)``."""
    gone: NDArray[np.bool_]


def angle_bound_rad(
    trial: Trial, course: Course, seen: SeenEdges, start_u_rad: float = FIXED
) -> float:
    """Least standard deviation of the angle, radians; NaN where the body never went.

    ``start_u_rad`` is how well the tilt of the first frame is known.
    """
    own = own_of(trial.drawn, course.motion)
    going = _going(trial, course, trial.drawn.body.radius_m / seen.scene.radius)
    if not going.gone.any():
        return float("nan")
    white = _whitener(seen.put_in_u_px, trial.alike)
    common, tilt, free = _slopes(trial, seen, own, going)
    seen_part = white @ hstack([common, tilt, free])
    widths = np.concatenate(
        [_known(seen.scene), [LENS_SHARE / sqrt(3), ANYTHING, RATE_U], np.full(len(own), ANYTHING)]
    )
    widths[common.shape[1]] = start_u_rad
    widths = np.append(widths, np.full(free.shape[1], ANYTHING))
    information = csc_array(seen_part.T @ seen_part + coo_array(np.diag(widths**-2.0)))
    wanted = _angle_of(course, seen, going, common.shape[1], information.shape[0])
    return float(np.sqrt(wanted @ spsolve(information, wanted)))


def _angle_of(course: Course, seen: SeenEdges, going: _Going, common: int, count: int) -> Floats:
    """The angle from the unknowns: the body goes by how far the board is past it, so that
    what it tells is the angle less the error of the tilt about then, where it is seen."""
    time_s = course.seen.time_s
    first = time_s[int(np.argmax(going.gone))]
    board = [not line.is_outline for line in seen.scene.lines]
    tilt_seen = np.isfinite(seen.put_in_u_px[:, board]).any(axis=1)
    about = np.flatnonzero((time_s > first - BEFORE_S) & tilt_seen)
    wanted = np.zeros(count)
    wanted[common - 2] = 1.0
    wanted[common + about] = 1.0 / len(about)
    return wanted


def _slopes(
    trial: Trial, seen: SeenEdges, own: Floats, going: _Going
) -> tuple[csc_array, csc_array, csc_array]:
    """Derivatives of the points' distances in units of their noise, rows in the order of
    frame, line, point: by scene, lens, angle and rate; by each tilt; by what is free."""
    edges = Edges(seen.points, seen.put_in_u_px)
    now = edge_residuals(seen.scene, own, edges)

    def by(scene: Scene, moved: Floats) -> Floats:
        return np.nan_to_num((edge_residuals(scene, moved, edges) - now) / NUDGE)

    unit = np.eye(5)
    shared = [
        by(replace(seen.scene, shared=seen.scene.shared + nudge), own)
        for nudge in NUDGE * np.eye(len(seen.scene.shared))
    ]
    foretold = by(seen.scene, own + NUDGE * unit[going.column])
    normals = seen.scene.image_lines(own)[..., :2]
    bend = np.einsum("nlpk,nlk->nlp", lens_shift(seen.points, trial.drawn.view), normals)
    bend = np.nan_to_num(bend / seen.put_in_u_px[..., None])
    by_angle, by_rate = (foretold * d[:, None, None] for d in (going.by_angle, going.by_log_rate))
    common = np.stack([*shared, bend, by_angle, by_rate], axis=-1).reshape(now.size, -1)
    by_tilt = by(seen.scene, own + NUDGE * unit[TILT])
    by_free = by(seen.scene, own + NUDGE * unit[going.free]) * going.gone[:, None, None]
    return csc_array(common), _one_each(by_tilt), _one_each(by_free)[:, going.gone]


def _one_each(slopes: Floats) -> csc_array:
    """An unknown a frame: shape ``(N, L, 2)`` to ``(2 N L, N)``."""
    return csc_array(block_diag([frame.reshape(-1, 1) for frame in slopes]))


def _whitener(u_px: Floats, alike: float) -> csc_array:
    """Takes from every residual what the one before it foretold, where there was one."""
    there = np.repeat(np.isfinite(u_px), 2, axis=1)
    both = there[1:] & there[:-1]
    frames, width = there.shape
    before = np.zeros_like(there)
    before[1:] = both
    scale = np.where(before, 1 / sqrt(1 - alike**2), 1.0) * there
    rows = np.flatnonzero(before.ravel())
    every = np.arange(frames * width)
    values = np.concatenate([scale.ravel(), -alike * scale.ravel()[rows]])
    at = (np.concatenate([every, rows]), np.concatenate([every, rows - width]))
    return csc_array(coo_array((values, at), shape=(every.size, every.size)))


def _known(scene: Scene) -> Floats:
    """Standard uncertainties of the scene's unknowns before the picture speaks."""
    widths = [*TURN_U_RAD, FOCAL_U, 1.0, 1.0, *BODY_U]
    for k, line in enumerate(scene.lines):
        if line.kind is Kind.ALONG:
            widths += [BOARD_U, PLACE_U if k else FIXED]
        elif line.kind is Kind.ACROSS:
            widths += [PLACE_U, BOARD_U]
    assert len(widths) == len(scene.shared) >= CAMERA + BODY
    return np.array(widths)


def _going(trial: Trial, course: Course, metres: float) -> _Going:
    """By the solver's equations of motion, driven by the true lift."""
    drawn, seen, program = trial.drawn, course.seen, course.program
    drive = Drive(STEP_S, program.tilt_rad, program.rate_rad_s, program.acceleration_rad_s2)
    slides = course.truth.outcome == "slides"
    angle = course.truth.angle_rad
    assert angle is not None

    def course_by(angle_rad: float, log_rate: float) -> Floats:
        if slides:
            high_m = drawn.board.top_m + drawn.body.centre_height_m
            place_m = drawn.board.body_at_m
            fine = sliding_slip(drive, angle_rad, angle_rad, place_m, high_m) / metres
        else:
            pivot_m = drawn.board.body_at_m - drawn.body.radius_m
            fine = toppling_turn(drive, angle_rad, float(np.exp(log_rate)), pivot_m)[0]
            fine = fine - program.tilt_rad
        return np.interp(seen.time_s, program.time_s, fine)

    rate = log(rate_per_s(drawn.body))
    by_angle = _central(lambda d: course_by(angle + d, rate), ANGLE_NUDGE_RAD)
    by_rate = _central(lambda d: course_by(angle, rate + d), RATE_NUDGE)
    column, free = (SLIP, LEAN) if slides else (LEAN, SLIP)
    return _Going(column, free, by_angle, by_rate, np.abs(by_angle) > 0)


def _central(function, step: float) -> Floats:
    return (function(step) - function(-step)) / (2 * step)


def rate_per_s(body: Body) -> float:
    """k of the equation of motion: ``k² = m g l / I`` about the lower rim."""
    reach2 = body.radius_m**2 + body.centre_height_m**2
    about_rim = body.inertia_kg_m2 + body.mass_kg * reach2
    return sqrt(body.mass_kg * GRAVITY_M_S2 * sqrt(reach2) / about_rim)
