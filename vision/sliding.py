"""Fit the angle of friction to the measured slip."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
from numpy.typing import NDArray
from scipy.signal import medfilt

from solver.motion import sliding_slip
from vision.brink import (
    BEFORE_S,
    FEWEST,
    SEEN_TIMES,
    Fitted,
    about_the_largest_tilt,
    brink_of,
    fit_from_scan,
    least_seen,
)
from vision.course import Course, first_kept, last_below
from vision.drive import on_frames, smooth_drive
from vision.falling import GONE_RAD

Floats = NDArray[np.float64]

SEEN_M = 0.0015
FITTED_M = 0.020
UPRIGHT_RAD = radians(1.5)
LEAST_M, WITHIN_S, SURE_TIMES = 0.005, 0.5, 4.0
HALTED_S, HALTED_M = 0.3, 0.001
"""A slide has come to its end where it goes no farther than this in such a time."""
FEWEST_RESTED = 5
FLOOR_M = 0.0002
SHARE = 0.03
OFFSET_U_M = 0.001
LESS_U_RAD = radians(1.0)
"""How much less the angle of friction may be in motion than at rest."""
WORTH = 4.0
"""Fall of half the chi-squared that one more unknown must bring."""


def fit_slide(course: Course) -> Fitted:
    """Fit a slide to a course in which the body was seen in every frame."""
    off = _slips_off(course)
    base = None if off is None else _base(course, off)
    if off is None or base is None:
        return _least_slide(course)
    course = replace(course, slip_m=course.slip_m - base)
    at = last_below(course.slip_m, SEEN_M, off)
    ended = (course.slip_m > FITTED_M) | (_grows_by(course, HALTED_S) < HALTED_M)
    later = np.flatnonzero(ended[off:])
    last = off + int(later[0]) - 1 if len(later) else len(course.slip_m) - 1
    window = course.window(course.time_s[at] - BEFORE_S, course.time_s[max(last, off)])
    return _fit_slip(_Slip(course, window), float(course.tilt_rad[at]) - radians(0.3))


def slip_u_m(course: Course) -> Floats:
    """Standard uncertainty with which a slip, counted from rest, is compared with a law."""
    return np.sqrt(course.slip_u_m**2 + FLOOR_M**2 + (SHARE * course.slip_m) ** 2)


def _slips_off(course: Course) -> int | None:
    """The first frame by which an upright body has slipped 5 mm, and surely so, in half a
    second, and goes on to twice that within a second, or stays there until it topples."""
    slip = medfilt(course.slip_m, 5)
    least = max(LEAST_M, SURE_TIMES * float(np.median(course.slip_u_m)))
    later, before = (
        np.interp(course.time_s + shift, course.time_s, slip) for shift in (1.0, -WITHIN_S)
    )
    lowest_after = np.minimum.accumulate(slip[::-1])[::-1]
    topples = first_kept(course.lean_rad, GONE_RAD) is not None
    goes_on = (later - before > 2 * least) | (topples & (lowest_after - before > least))
    upright = medfilt(np.abs(course.lean_rad), 5) < UPRIGHT_RAD
    first = np.flatnonzero(upright & (slip - before > least) & goes_on)
    return int(first[0]) if len(first) else None


def _grows_by(course: Course, seconds: float) -> Floats:
    """How much farther the body has slipped so much later, metres; infinite where the
    course does not say."""
    slip = medfilt(course.slip_m, 5)
    later_s = course.time_s + seconds
    grown = np.interp(later_s, course.time_s, slip) - slip
    return np.where(later_s > course.time_s[-1], np.inf, grown)


def _base(course: Course, off: int) -> float | None:
    """The slip at rest before a slide, or None where the body was not seen to rest."""
    rested = course.window(course.time_s[off] - BEFORE_S, course.time_s[off] - WITHIN_S)
    rested &= course.time_s < course.time_s[off] - WITHIN_S
    return float(np.median(course.slip_m[rested])) if rested.sum() >= FEWEST_RESTED else None


class _Slip:
    """The slip a slide would show in the frames of a window."""

    def __init__(self, course: Course, window: NDArray[np.bool_]) -> None:
        self.course, self.window = course, window
        self.drive = smooth_drive(course, window)
        self.seen, self.u = course.slip_m[window], slip_u_m(course)[window]

    def model(self, friction: float, less: float = 0.0) -> Floats:
        place_m, centre_m = self.course.place_m, self.course.height_m / 2
        slip = sliding_slip(self.drive, friction, friction - less, place_m, centre_m)
        return on_frames(self.drive, self.course, self.window, slip)


def _least_slide(course: Course) -> Fitted:
    window = about_the_largest_tilt(course)
    rested = float(np.median(course.slip_m[window][: FEWEST // 2]))
    slip = _Slip(replace(course, slip_m=course.slip_m - rested), window)
    model = least_seen(
        slip.model,
        lambda tried: (slip.seen - tried) / slip.u,
        float(np.max(course.tilt_rad)),
        max(LEAST_M / 2, SEEN_TIMES * float(np.median(slip.u))),
    )
    return Fitted(None, window, model, pulls2=0.0)


def _fit_slip(slip: _Slip, guess: float) -> Fitted:
    """Unknowns: angle of friction, and an offset of the slip; and, where the slip asks for
    it by Akaike's criterion, how much less the angle is in motion than at rest."""

    def misfit(friction: float, offset: float, less: float) -> Floats:
        apart = (slip.seen - offset - slip.model(friction, less)) / slip.u
        return np.append(apart, [offset / OFFSET_U_M, less / LESS_U_RAD])

    alike = fit_from_scan(lambda x: misfit(x[0], x[1], 0.0), [guess, 0.0], [radians(0.1), 1e-4])
    apart = fit_from_scan(
        lambda x: misfit(x[0], x[1], abs(x[2])),
        [guess, 0.0, radians(0.3)],
        [radians(0.1), 1e-4, 0.02],
    )
    fit = apart if apart.cost < alike.cost - WORTH else alike
    less = abs(float(fit.x[2])) if fit is apart else 0.0
    return Fitted(
        brink_of(slip.course, slip.window, slip.drive, fit, None),
        slip.window,
        slip.model(float(fit.x[0]), less),
        pulls2=(less / LESS_U_RAD) ** 2,
    )
