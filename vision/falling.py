"""Fit the brink of toppling to the measured lean."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log, radians, sqrt

import numpy as np
from numpy.typing import NDArray

from solver.motion import GRAVITY_M_S2, toppling_turn
from vision.brink import (
    BEFORE_S,
    SEEN_TIMES,
    Fitted,
    about_the_largest_tilt,
    brink_of,
    fit_from_scan,
    least_seen,
)
from vision.course import Course, first_kept, last_below
from vision.drive import on_frames, smooth_drive

Floats = NDArray[np.float64]

SEEN_RAD = radians(0.5)
GONE_RAD = radians(3.0)
FITTED_RAD = radians(8.0)
RATE_U = 0.06
"""Relative uncertainty of k from a body's size alone."""
FLOOR_RAD = radians(0.02)
SHARE = 0.02
"""The outline's own lean is less sure the further it has gone."""
OFFSET_U_RAD = radians(0.2)
RIM_UNEVEN_M = 0.0001
"""How far rims and boards are from flat under a body: it rocks by this across its base."""


def falls_in(course: Course) -> tuple[int, int, NDArray[np.bool_]] | None:
    """The last frame before a fall is seen, the first in which the body has gone, and the
    window that is fitted; None where it did not go."""
    gone = first_kept(course.lean_rad, GONE_RAD)
    if gone is None:
        return None
    at = last_below(course.lean_rad, SEEN_RAD, gone)
    last = last_below(course.lean_rad, FITTED_RAD, len(course.time_s))
    return at, gone, course.window(course.time_s[at] - BEFORE_S, course.time_s[last])


def fit_fall(course: Course) -> Fitted:
    """Fit a toppling to a course in which the body was seen in every frame."""
    falls = falls_in(course)
    if falls is None:
        return _least_fall(course)
    at, _, window = falls
    fit = _fit_lean(_Lean(course, window), float(course.tilt_rad[at]) - radians(0.3))
    # A lift in jerks throws a body off before the board has come to its brink.
    assert fit.brink is not None
    onset_s = min(fit.brink.onset_s, float(course.time_s[at]))
    return replace(fit, brink=replace(fit.brink, onset_s=onset_s))


def lean_u_rad(course: Course) -> Floats:
    """Standard uncertainty with which a lean is compared with a law of motion."""
    share = SHARE * course.lean_rad
    return np.sqrt(course.turn_u_rad**2 + FLOOR_RAD**2 + share**2)


def likely_rate(radius_m: float, height_m: float, brink_rad: float) -> float:
    """k of a body of this size that topples at this angle, per second.

    ``k² = g l / (l² + κ²)`` with ``l = r / sin(brink)`` and the gyration radius
    between that of a tube and that of a solid of uniform density,
    ``κ² ≈ H²/12 + 3r²/8``.
    """
    reach = radius_m / np.sin(max(brink_rad, radians(1.0)))
    gyration2 = height_m**2 / 12 + 3 * radius_m**2 / 8
    return sqrt(GRAVITY_M_S2 * reach / (reach**2 + gyration2))


class _Lean:
    """The lean a toppling would show in the frames of a window."""

    def __init__(self, course: Course, window: NDArray[np.bool_]) -> None:
        self.course, self.window = course, window
        self.drive = smooth_drive(course, window)
        self.seen, self.u = course.lean_rad[window], lean_u_rad(course)[window]

    def likely_rate(self, brink: float) -> float:
        return likely_rate(self.course.radius_m, self.course.height_m, brink)

    def model(self, brink: float, rate: float, rocking: float = 0.0) -> Floats:
        pivot_m = self.course.place_m - self.course.radius_m
        turn, free = toppling_turn(self.drive, brink, rate, pivot_m, rocking)
        # Against the tilt as measured: what the spline smoothed away is no lean.
        off = self._on_frames(turn) - self.course.tilt_rad[self.window]
        return np.where(self._on_frames(free.astype(np.float64)) > 0.5, off, 0.0)

    def _on_frames(self, values: Floats) -> Floats:
        return on_frames(self.drive, self.course, self.window, values)


def _least_fall(course: Course) -> Fitted:
    lean = _Lean(course, about_the_largest_tilt(course))
    model = least_seen(
        lambda brink: lean.model(brink, lean.likely_rate(brink)),
        lambda tried: (lean.seen - tried) / lean.u,
        float(np.max(course.tilt_rad)),
        max(SEEN_RAD, SEEN_TIMES * float(np.median(lean.u))),
    )
    return Fitted(None, lean.window, model, pulls2=0.0)


def _fit_lean(lean: _Lean, guess: float) -> Fitted:
    """Unknowns: brink, log k, an offset of the lean that the camera may leave, and how far
    the body rocked as it set off.

    Set off from rest, the moment of take-off tells the brink; rocking blurs that, and
    the growth of the lean, which tends to the brink backwards in time, tells it as well.
    """
    rocking_u = RIM_UNEVEN_M / (2 * lean.course.radius_m)

    def residuals(unknown: Floats) -> Floats:
        brink, log_rate, offset, rocking = unknown
        misfit = (lean.seen - offset - lean.model(brink, exp(log_rate), rocking)) / lean.u
        off_likely = (log_rate - log(lean.likely_rate(brink))) / RATE_U
        return np.append(misfit, [offset / OFFSET_U_RAD, off_likely, rocking / rocking_u])

    start = [guess, log(lean.likely_rate(guess)), 0.0, 0.0]
    fit = fit_from_scan(residuals, start, [radians(0.1), 0.1, radians(0.02), radians(0.05)])
    brink, log_rate, _, rocking = (float(value) for value in fit.x)
    return Fitted(
        brink_of(lean.course, lean.window, lean.drive, fit, exp(log_rate)),
        lean.window,
        lean.model(brink, exp(log_rate), rocking),
        pulls2=float(np.sum(np.square(residuals(fit.x)[-2:]))),
    )
