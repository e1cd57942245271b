"""A fitted brink, of toppling or of sliding.

By the time a body is seen to lean the board has gone on, so the first visible
lean is not looked for. The equation of motion, driven by the measured tilt, is
fitted to the measured lean (vision.falling) or slip (vision.sliding) with the brink
unknown.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import radians, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import OptimizeResult, least_squares

from solver.motion import GRAVITY_M_S2, Drive
from vision.course import Course, last_below

Floats = NDArray[np.float64]

BEFORE_S = 1.5
"""Of rest before anything is seen that a fit takes in."""
AFTER_S = 1.0
"""What a fit takes in after the largest tilt where nothing was seen to go."""
FEWEST = 12
"""Frames of a window."""
SCAN_RAD = radians(0.1)
SCAN_FROM, SCAN_TO, SCAN_STRIDE = -25, 8, 4
LOWERED = 600
SETTLED = 1e-6
"""The relative fall of the cost at which a fit has ended."""
SEEN_TIMES = 2.0
"""Of the uncertainty of a frame, what is seen at the least."""
HAND_NEAR_S, HAND_U_S = 0.15, 0.1
TREMOR_SHARE = 0.2
"""Of the angle by which the lift's own accelerations shift the balance, how much the
fit may miss: they are known only as finely as the frames are spaced."""


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


@dataclass(frozen=True)
class Fitted:
    """A motion fitted to lean or slip, and what it makes of the frames of its window."""

    brink: Brink | None
    """None where the body was not seen to go: then the motion is the least that would have
    been seen, held to what was."""
    window: NDArray[np.bool_]
    """Of the course's frames, shape ``(N,)``."""
    model: Floats
    """Lean in radians or slip in metres in the window's frames."""
    pulls2: float
    """What the fit gave away to what is known beforehand: the sum of squared pulls."""


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


def fit_from_scan(
    residuals: Callable[[Floats], Floats], start: list[float], scale: list[float]
) -> OptimizeResult:
    """From the best of a scan of the first unknown, the others as they start."""
    costs: dict[int, float] = {}

    def cost(place: int) -> float:
        if place not in costs:
            tried = np.array([start[0] + place * SCAN_RAD, *start[1:]])
            costs[place] = float(np.sum(np.square(residuals(tried))))
        return costs[place]

    coarse = min(range(SCAN_FROM, SCAN_TO, SCAN_STRIDE), key=cost)
    near = range(max(coarse - SCAN_STRIDE + 1, SCAN_FROM), min(coarse + SCAN_STRIDE, SCAN_TO))
    start = [start[0] + min(near, key=cost) * SCAN_RAD, *start[1:]]
    step = [0.1 * s / max(abs(x), s) for s, x in zip(scale, start, strict=True)]
    return least_squares(
        residuals, start, loss="soft_l1", x_scale=scale, diff_step=step, ftol=SETTLED
    )


def least_seen(
    model: Callable[[float], Floats], off: Callable[[Floats], Floats], highest: float, level: float
) -> Floats:
    """Of the motions that would have been seen, the one nearest to what was; where none
    would, the one that goes farthest.

    ``model`` gives lean or slip for a brink, ``off`` its residuals in standard
    uncertainties; ``level`` is what is seen. The brink is lowered from ``highest``.
    """
    best, least, since = model(highest - LOWERED * SCAN_RAD), np.inf, 0
    for step in range(LOWERED):
        tried = model(highest - step * SCAN_RAD)
        if not np.max(tried) > level:
            continue
        cost = float(np.sum(np.sqrt(1 + np.square(off(tried))) - 1))
        since += 1
        if cost < least:
            best, least = tried, cost
        elif since > SCAN_TO:
            break
    return best


def brink_of(
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


def about_the_largest_tilt(course: Course) -> NDArray[np.bool_]:
    """The frames in which a body that did not go would have gone."""
    at = int(np.argmax(course.tilt_rad))
    start_s = min(course.time_s[at] - BEFORE_S, course.time_s[max(at - FEWEST, 0)])
    end_s = max(course.time_s[at] + AFTER_S, course.time_s[min(FEWEST, len(course.time_s) - 1)])
    return course.window(start_s, end_s)


def _passing(course: Course, window: NDArray[np.bool_], angle: float) -> float:
    """When the board first passed an angle for good before the window's end."""
    time_s, tilt = course.time_s[window], course.tilt_rad[window]
    last = last_below(tilt, angle, len(tilt))
    if last + 1 >= len(tilt):
        return float(time_s[-1])
    share = (angle - tilt[last]) / (tilt[last + 1] - tilt[last])
    return float(time_s[last] + np.clip(share, 0, 1) * (time_s[last + 1] - time_s[last]))
