"""The measured motion as the equations of motion take it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


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
