"""The measured motion as the equations of motion take it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray
from scipy.signal import medfilt

Floats = NDArray[np.float64]

SPIKE_TIMES = 6.0


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

    def window(self, start_s: float, end_s: float) -> NDArray[np.bool_]:
        """Which frames lie between two moments, both included."""
        return (self.time_s >= start_s) & (self.time_s <= end_s)


def first_kept(values: Floats, level: float) -> int | None:
    """The first index from which the values stay above a level, or None."""
    below = np.flatnonzero(~(values > level))
    first = int(below[-1]) + 1 if len(below) else 0
    return first if first < len(values) else None


def last_below(values: Floats, level: float, before: int) -> int:
    """The last index before another at which a value is below a level, or 0."""
    below = np.flatnonzero(values[:before] < level)
    return int(below[-1]) if len(below) else 0


def frame_noise(time_s: Floats, values: Floats) -> float:
    """Robust standard deviation of what changes from frame to frame.

    Fourth divided differences, so that frames may be unevenly spaced.
    """
    times = sliding_window_view(time_s, 5)
    gaps = times[:, :, None] - times[:, None, :] + np.eye(5)
    weights = 1 / np.prod(gaps, axis=2)
    weights /= np.linalg.norm(weights, axis=1, keepdims=True)
    fourth = np.sum(weights * sliding_window_view(values, 5), axis=1)
    return float(1.4826 * np.median(np.abs(fourth)))


def spikes(time_s: Floats, values: Floats, least: float) -> NDArray[np.bool_]:
    """Single frames so far from their neighbours, by several times the noise and by at
    ``least`` so much, that another edge was taken for the right one."""
    apart = np.abs(values - medfilt(values, 5))
    apart[:2] = apart[-2:] = 0.0  # there the median knows one side alone
    return apart >= max(SPIKE_TIMES * frame_noise(time_s, values), least)
