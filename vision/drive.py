"""The board's tilt, smooth enough to drive an equation of motion."""

from __future__ import annotations

from functools import cache
from math import radians, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_smoothing_spline
from scipy.optimize import brentq

from solver.motion import Drive
from vision.course import Course, frame_noise, spikes

Floats = NDArray[np.float64]

GRID_HZ = 480.0
LOG_LAM = -12.0, 2.0
"""From a spline through every point to a straight line."""
SURE = 0.01
"""Of that scale: how stiff a spline is, to a fiftieth."""
TILT_FLOOR_RAD = radians(0.003)
SPIKE_RAD = radians(0.1)


def smooth_drive(course: Course, window: NDArray[np.bool_]) -> Drive:
    """The board's tilt and its derivatives over the window, by a smoothing spline.

    A frame in which another edge was taken for the board's is left out. A hand trembles
    at some hertz, so fourth differences from frame to frame are taken for noise, and the
    spline is as stiff as leaves that much noise over (Morozov's discrepancy principle).
    """
    start_s, end_s = course.time_s[window][[0, -1]]
    near = (course.time_s > start_s - 1.0) & (course.time_s < end_s + 1.0)
    time_s, tilt, u_rad = (
        values[near] for values in (course.time_s, course.tilt_rad, course.tilt_u_rad)
    )
    noise = frame_noise(time_s, tilt)
    true = ~spikes(time_s, tilt, SPIKE_RAD)
    time_s, tilt, u_rad = time_s[true], tilt[true], np.maximum(u_rad[true], TILT_FLOOR_RAD)
    trust = np.square(np.median(u_rad) / u_rad)
    spline = _stiffest(time_s, tilt, trust, noise)
    grid = np.arange(start_s, end_s + 1 / GRID_HZ, 1 / GRID_HZ)
    return Drive(1 / GRID_HZ, spline(grid), spline.derivative(1)(grid), spline.derivative(2)(grid))


def _stiffest(time_s: Floats, tilt: Floats, trust: Floats, noise: float) -> BSpline:
    """The stiffest cubic spline that passes the data as near as their noise."""

    @cache
    def spline(log_lam: float) -> BSpline:
        return make_smoothing_spline(time_s, tilt, trust, lam=10**log_lam)

    def too_far(log_lam: float) -> float:
        apart = np.average(np.square(spline(log_lam)(time_s) - tilt), weights=trust)
        return sqrt(float(apart)) - noise

    if too_far(LOG_LAM[0]) > 0:
        return spline(LOG_LAM[0])
    if too_far(LOG_LAM[1]) <= 0:
        return spline(LOG_LAM[1])
    return spline(brentq(too_far, *LOG_LAM, xtol=SURE))


def on_frames(drive: Drive, course: Course, window: NDArray[np.bool_], values: Floats) -> Floats:
    """Values on the drive's grid at the times of the window's frames."""
    grid_s = course.time_s[window][0] + drive.step_s * np.arange(len(values))
    return np.interp(course.time_s[window], grid_s, values)
