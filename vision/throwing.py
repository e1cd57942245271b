"""How a body goes over that was sliding: caught by an edge, a seam or a stop."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.course import Course
from vision.falling import falls_in, lean_u_rad, likely_rate

Floats = NDArray[np.float64]

CAUGHT_S = 0.5
"""Before it is seen to lean, in which it may have been caught."""
MOMENTS = 60


@dataclass(frozen=True)
class Throw:
    """A fitted fall out of a slide."""

    caught_s: float
    window: NDArray[np.bool_]
    """Of the course's frames, shape ``(N,)``."""
    model: Floats
    """Lean in the window's frames, radians."""


def fit_throw(course: Course) -> Throw | None:
    """Fit the lean of a body caught at some moment, or None where it did not go.

    From then on ``turn″ = k² (turn − brink)``, so that the turn since then is
    ``p (cosh kτ − 1) + q sinh kτ`` with ``p`` how far past its brink it was caught and
    ``k q`` its speed: linear in both. ``k`` is that of a body of this size.
    """
    falls = falls_in(course)
    if falls is None:
        return None
    at, gone, window = falls
    tilt = course.tilt_rad[window]
    rate = likely_rate(course.radius_m, course.height_m, float(course.tilt_rad[at]))
    tried = np.linspace(course.time_s[at] - CAUGHT_S, course.time_s[gone], MOMENTS)
    fits = [_caught(course, window, float(s), rate, tilt) for s in tried]
    best = int(np.argmin([cost for cost, _ in fits]))
    return Throw(float(tried[best]), window, fits[best][1])


def _caught(
    course: Course, window: NDArray[np.bool_], caught_s: float, rate: float, tilt: Floats
) -> tuple[float, Floats]:
    """Sum of squares in standard uncertainties, and the lean in the window's frames."""
    time_s, u = course.time_s[window], lean_u_rad(course)[window]
    since = rate * np.maximum(time_s - caught_s, 0.0)
    lifted = np.where(since > 0, tilt - np.interp(caught_s, time_s, tilt), 0.0)
    basis = np.column_stack([np.cosh(since) - 1, np.sinh(since)]) / u[:, None]
    share, *_ = np.linalg.lstsq(basis, (course.lean_rad[window] + lifted) / u, rcond=None)
    model = (basis @ share) * u - lifted
    return float(np.sum(np.square((course.lean_rad[window] - model) / u))), model
