"""Find the brink by the equation of motion.

By the time a body is seen to lean the board has gone on, so the first visible
lean is not looked for. The equation of motion, driven by the measured tilt, is
fitted to the measured lean (or slip) with the brink unknown.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import log, radians, sqrt

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_smoothing_spline
from scipy.optimize import OptimizeResult, least_squares
from scipy.signal import medfilt

from solver.motion import GRAVITY_M_S2, Drive, sliding_slip, toppling_turn

Floats = NDArray[np.float64]

BEFORE_S = 1.5
LEAN_SEEN_RAD = radians(0.5)
LEAN_GONE_RAD = radians(3.0)
LEAN_FITTED_RAD = radians(8.0)
SLIP_SEEN_M = 0.0015
UPRIGHT_RAD = radians(1.5)
SLIDING_M, SLIDING_S, SLIDING_SURE = 0.005, 0.5, 4.0
SLIP_FITTED_M = 0.020
GRID_HZ = 480.0
RATE_U = 0.06
"""Relative uncertainty of k from a body's size alone."""
LEAN_FLOOR_RAD = radians(0.02)
LEAN_SHARE = 0.02
"""The outline's own lean is less sure the further it has gone."""
SLIP_FLOOR_M = 0.0002
SLIP_SHARE = 0.03
SLIP_OFFSET_U_M = 0.001
OFFSET_U_RAD = radians(0.2)
RIM_UNEVEN_M = 0.0001
"""How far rims and boards are from flat under a body: it rocks by this across its base."""
LESS_U_RAD = radians(1.0)
"""How much less the angle of friction may be in motion than at rest."""
FEWEST_RESTED = 5
HAND_NEAR_S, HAND_U_S = 0.15, 0.1
WORTH = 4.0
"""Fall of half the chi-squared that one more unknown must bring."""
TILT_FLOOR_RAD = radians(0.003)
SPIKE_TIMES, SPIKE_RAD = 6.0, radians(0.1)
"""A tilt so far from its neighbours', in their noise and in angle, is a false edge's."""
TREMOR_SHARE = 0.2
"""Of the angle by which the lift's own accelerations shift the balance, how much the
fit may miss: they are known only as finely as the frames are spaced."""


@dataclass(frozen=True)
class Course:
    """The measured motion in metres and radians; arrays of shape ``(N,)``."""

    time_s: Floats
    tilt_rad: Floats
    tilt_u_rad: Floats
    lean_rad: Floats
    lean_u_rad: Floats
    slip_m: Floats
    slip_u_m: Floats
    radius_m: float
    height_m: float
    """Of the body, as far as its outline is seen."""
    place_m: float
    """Where the body's axis meets the board, up the slope from the hinge."""
    turn_u_rad: Floats
    """Of tilt and lean together, the body's turn."""

    def where(self, frames: NDArray[np.bool_]) -> Course:
        """The course in some of its frames."""
        return replace(
            self,
            time_s=self.time_s[frames],
            tilt_rad=self.tilt_rad[frames],
            tilt_u_rad=self.tilt_u_rad[frames],
            lean_rad=self.lean_rad[frames],
            lean_u_rad=self.lean_u_rad[frames],
            slip_m=self.slip_m[frames],
            slip_u_m=self.slip_u_m[frames],
            turn_u_rad=self.turn_u_rad[frames],
        )


@dataclass(frozen=True)
class Brink:
    """A fitted brink of toppling, or of sliding."""

    angle_rad: float
    u_rad: float
    """Standard uncertainty from the fit alone."""
    tremor_u_rad: float
    """Standard uncertainty from how smooth the lift is taken to be."""
    onset_s: float
    """When the board passed the angle, or the body went if that was earlier."""
    rate_per_s: float | None
    """The fitted k of a toppling."""
    misfit: float
    """Root mean square residual in standard uncertainties."""


def toppling_brink(course: Course) -> Brink | None:
    """Fit the brink of toppling, or None where the body did not go."""
    course = course.where(np.isfinite(course.lean_rad))
    gone = _first_kept(course.lean_rad, LEAN_GONE_RAD)
    if gone is None:
        return None
    seen = _last_below(course.lean_rad, LEAN_SEEN_RAD, gone)
    last = _last_below(course.lean_rad, LEAN_FITTED_RAD, len(course.time_s))
    window = _window(course, course.time_s[seen] - BEFORE_S, course.time_s[last])
    drive = smooth_drive(course, window)
    fit = _fit_lean(course, window, drive, float(course.tilt_rad[seen]) - radians(0.3))
    brink = _brink(course, window, drive, fit, float(np.exp(fit.x[1])))
    # A lift in jerks throws a body off before the board has come to its brink.
    return replace(brink, onset_s=min(brink.onset_s, float(course.time_s[seen])))


def sliding_brink(course: Course) -> Brink | None:
    """Fit the angle of friction, or None where the body did not slip while it stood."""
    course = course.where(np.isfinite(course.slip_m))
    off = _slips_off(course)
    if off is None:
        return None
    rested = (course.time_s >= course.time_s[off] - BEFORE_S) & (
        course.time_s < course.time_s[off] - SLIDING_S
    )
    if rested.sum() < FEWEST_RESTED:
        return None
    base = float(np.median(course.slip_m[rested]))
    course = replace(course, slip_m=course.slip_m - base)
    seen = _last_below(course.slip_m, SLIP_SEEN_M, off)
    beyond = np.flatnonzero(course.slip_m[off:] > SLIP_FITTED_M)
    last = off + int(beyond[0]) - 1 if len(beyond) else len(course.slip_m) - 1
    window = _window(course, course.time_s[seen] - BEFORE_S, course.time_s[max(last, off)])
    drive = smooth_drive(course, window)
    fit = _fit_slip(course, window, drive, float(course.tilt_rad[seen]) - radians(0.3))
    return _brink(course, window, drive, fit, None)


def _slips_off(course: Course) -> int | None:
    """The first frame by which an upright body has slipped 5 mm, and surely so, in half a
    second, and goes on to twice that within a second."""
    slip = medfilt(course.slip_m, 5)
    least = max(SLIDING_M, SLIDING_SURE * float(np.median(course.slip_u_m)))
    later, before = (
        np.interp(course.time_s + shift, course.time_s, slip) for shift in (1.0, -SLIDING_S)
    )
    upright = medfilt(np.abs(course.lean_rad), 5) < UPRIGHT_RAD
    slides = upright & (slip - before > least) & (later - before > 2 * least)
    first = np.flatnonzero(slides)
    return int(first[0]) if len(first) else None


def brink_by_hand(course: Course, onset_s: float) -> Brink:
    """The brink where a person says it is along the time axis.

    The tilt there is read from a straight line through the frames around it; a moment
    is set to about a tenth of a second (common practice).
    """
    near = np.abs(course.time_s - onset_s) < HAND_NEAR_S
    near |= np.arange(len(near)) == np.argmin(np.abs(course.time_s - onset_s))
    degree = 1 if near.sum() > 1 else 0
    line = np.polynomial.Polynomial.fit(course.time_s[near], course.tilt_rad[near], degree)
    return Brink(
        angle_rad=float(line(onset_s)),
        u_rad=abs(float(line.deriv()(onset_s))) * HAND_U_S,
        tremor_u_rad=0.0,
        onset_s=onset_s,
        rate_per_s=None,
        misfit=0.0,
    )


def likely_rate(radius_m: float, height_m: float, brink_rad: float) -> float:
    """k of a body of this size that topples at this angle, per second.

    ``k² = g l / (l² + κ²)`` with ``l = r / sin(brink)`` and the gyration radius
    between that of a tube and that of a solid of uniform density,
    ``κ² ≈ H²/12 + 3r²/8``.
    """
    reach = radius_m / np.sin(max(brink_rad, radians(1.0)))
    gyration2 = height_m**2 / 12 + 3 * radius_m**2 / 8
    return sqrt(GRAVITY_M_S2 * reach / (reach**2 + gyration2))


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
    noise = _frame_noise(time_s, tilt)
    true = np.abs(tilt - medfilt(tilt, 5)) < max(SPIKE_TIMES * noise, SPIKE_RAD)
    true[:2] = true[-2:] = True  # there the median knows one side alone
    time_s, tilt, u_rad = time_s[true], tilt[true], np.maximum(u_rad[true], TILT_FLOOR_RAD)
    trust = np.square(np.median(u_rad) / u_rad)
    spline = _stiffest(time_s, tilt, trust, noise)
    grid = np.arange(start_s, end_s + 1 / GRID_HZ, 1 / GRID_HZ)
    return Drive(1 / GRID_HZ, spline(grid), spline.derivative(1)(grid), spline.derivative(2)(grid))


def _frame_noise(time_s: Floats, values: Floats) -> float:
    """Robust standard deviation of what changes from frame to frame.

    Fourth divided differences, so that frames may be unevenly spaced.
    """
    times = sliding_window_view(time_s, 5)
    gaps = times[:, :, None] - times[:, None, :] + np.eye(5)
    weights = 1 / np.prod(gaps, axis=2)
    weights /= np.linalg.norm(weights, axis=1, keepdims=True)
    fourth = np.sum(weights * sliding_window_view(values, 5), axis=1)
    return float(1.4826 * np.median(np.abs(fourth)))


def _stiffest(time_s: Floats, tilt: Floats, trust: Floats, noise: float) -> BSpline:
    """The stiffest cubic spline that passes the data as near as their noise."""
    low, high = -12.0, 2.0
    for _ in range(24):
        middle = (low + high) / 2
        spline = make_smoothing_spline(time_s, tilt, trust, lam=10**middle)
        apart = np.average(np.square(spline(time_s) - tilt), weights=trust)
        if sqrt(float(apart)) > noise:
            high = middle
        else:
            low = middle
    return make_smoothing_spline(time_s, tilt, trust, lam=10**low)


def _window(course: Course, start_s: float, end_s: float) -> NDArray[np.bool_]:
    return (course.time_s >= start_s) & (course.time_s <= end_s)


def _at(drive: Drive, course: Course, window: NDArray[np.bool_], values: Floats) -> Floats:
    """Values on the drive's grid at the times of the window's frames."""
    grid_s = course.time_s[window][0] + drive.step_s * np.arange(len(values))
    return np.interp(course.time_s[window], grid_s, values)


def _fit_lean(
    course: Course, window: NDArray[np.bool_], drive: Drive, guess: float
) -> OptimizeResult:
    """Unknowns: brink, log k, an offset of the lean that the camera may leave, and how far
    the body rocked as it set off.

    Set off from rest, the moment of take-off tells the brink; rocking blurs that, and
    the growth of the lean, which tends to the brink backwards in time, tells it as well.
    """
    lean = course.lean_rad[window]
    u = np.sqrt(course.turn_u_rad[window] ** 2 + LEAN_FLOOR_RAD**2 + (LEAN_SHARE * lean) ** 2)
    pivot_m, rocking_u = course.place_m - course.radius_m, RIM_UNEVEN_M / (2 * course.radius_m)

    def residuals(unknown: Floats) -> Floats:
        brink, log_rate, offset, rocking = unknown
        likely = log(likely_rate(course.radius_m, course.height_m, brink))
        turn, free = toppling_turn(drive, brink, float(np.exp(log_rate)), pivot_m, rocking)
        # Against the tilt as measured: what the spline smoothed away is no lean.
        off = _at(drive, course, window, turn) - course.tilt_rad[window]
        model = np.where(_at(drive, course, window, free.astype(np.float64)) > 0.5, off, 0.0)
        misfit = (lean - offset - model) / u
        pulls = [(log_rate - likely) / RATE_U, offset / OFFSET_U_RAD, rocking / rocking_u]
        return np.append(misfit, pulls)

    start = [guess, log(likely_rate(course.radius_m, course.height_m, guess)), 0.0, 0.0]
    return _least_squares(residuals, start, [radians(0.1), 0.1, radians(0.02), radians(0.05)])


def _fit_slip(
    course: Course, window: NDArray[np.bool_], drive: Drive, guess: float
) -> OptimizeResult:
    """Unknowns: angle of friction, and an offset of the slip; and, where the slip asks for
    it by Akaike's criterion, how much less the angle is in motion than at rest."""
    slip = course.slip_m[window]
    u = np.sqrt(course.slip_u_m[window] ** 2 + SLIP_FLOOR_M**2 + (SLIP_SHARE * slip) ** 2)

    def misfit(friction: float, offset: float, less: float) -> Floats:
        model = sliding_slip(drive, friction, friction - less, course.place_m, course.height_m / 2)
        apart = (slip - offset - _at(drive, course, window, model)) / u
        return np.append(apart, [offset / SLIP_OFFSET_U_M, less / LESS_U_RAD])

    alike = _least_squares(lambda x: misfit(x[0], x[1], 0.0), [guess, 0.0], [radians(0.1), 1e-4])
    apart = _least_squares(
        lambda x: misfit(x[0], x[1], abs(x[2])),
        [guess, 0.0, radians(0.3)],
        [radians(0.1), 1e-4, 0.02],
    )
    return apart if apart.cost < alike.cost - WORTH else alike


def _least_squares(
    residuals: Callable[[Floats], Floats], start: list[float], scale: list[float]
) -> OptimizeResult:
    """From the best of a scan of the first unknown, the others as they start."""
    scan = [[angle, *start[1:]] for angle in start[0] + radians(0.1) * np.arange(-25, 8)]
    start = min(scan, key=lambda unknown: float(np.sum(np.square(residuals(np.array(unknown))))))
    step = [0.1 * s / max(abs(x), s) for s, x in zip(scale, start, strict=True)]
    return least_squares(residuals, start, loss="soft_l1", x_scale=scale, diff_step=step)


def _brink(
    course: Course,
    window: NDArray[np.bool_],
    drive: Drive,
    fit: OptimizeResult,
    rate: float | None,
) -> Brink:
    angle = float(fit.x[0])
    misfit = sqrt(float(np.mean(np.square(fit.fun))))
    covariance = np.linalg.pinv(fit.jac.T @ fit.jac) * max(1.0, misfit) ** 2
    shake = float(np.std(drive.acceleration_rad_s2))
    # In units of the angle: what an angular acceleration of the board does to the balance.
    stiffness = rate**2 if rate is not None else GRAVITY_M_S2 / course.place_m
    return Brink(
        angle_rad=angle,
        u_rad=sqrt(float(covariance[0, 0])),
        tremor_u_rad=TREMOR_SHARE * shake / stiffness,
        onset_s=_passing(course, window, angle),
        rate_per_s=rate,
        misfit=misfit,
    )


def _passing(course: Course, window: NDArray[np.bool_], angle: float) -> float:
    """When the board first passed an angle for good before the window's end."""
    time_s, tilt = course.time_s[window], course.tilt_rad[window]
    last = _last_below(tilt, angle, len(tilt))
    if last + 1 >= len(tilt):
        return float(time_s[-1])
    share = (angle - tilt[last]) / (tilt[last + 1] - tilt[last])
    return float(time_s[last] + np.clip(share, 0, 1) * (time_s[last + 1] - time_s[last]))


def _first_kept(values: Floats, level: float) -> int | None:
    """The first index from which the values stay above a level, or None."""
    below = np.flatnonzero(~(values > level))
    first = int(below[-1]) + 1 if len(below) else 0
    return first if first < len(values) else None


def _last_below(values: Floats, level: float, before: int) -> int:
    below = np.flatnonzero(values[:before] < level)
    return int(below[-1]) if len(below) else 0
