"""What the board and the body do, and what a reader should make of it."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, degrees, radians

import numpy as np
from numpy.typing import NDArray

from tests.scenes.scene import Scene

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Motion:
    """The practical step by step; every array has shape ``(N,)``."""

    time_s: Floats
    tilt_rad: Floats
    lean_rad: Floats
    slip_m: Floats
    gap_m: Floats
    """Of the lower rim off the board's top: zero until the body has left it."""

    def at(self, time_s: Floats) -> Motion:
        """The motion at other times, by linear interpolation."""
        return Motion(
            time_s,
            np.interp(time_s, self.time_s, self.tilt_rad),
            np.interp(time_s, self.time_s, self.lean_rad),
            np.interp(time_s, self.time_s, self.slip_m),
            np.interp(time_s, self.time_s, self.gap_m),
        )


@dataclass(frozen=True)
class Truth:
    """What the clip shows, and the value a reader should find."""

    outcome: str
    angle_rad: float | None
    passes_s: float | None
    """When the board passes that angle."""


def truth_of(scene: Scene, motion: Motion) -> Truth:
    """Topples where it leans for good, slides where it slips first, else stays."""
    leans = np.flatnonzero(motion.lean_rad > radians(12))
    slips = np.flatnonzero(motion.slip_m > 0.005)
    if slips.size and (not leans.size or slips[0] < leans[0]):
        outcome, angle = "slides", atan(scene.board.friction)
    elif leans.size:
        outcome, angle = "topples", scene.body.brink_rad
    else:
        return Truth("stays", None, None)
    passed = np.flatnonzero(motion.tilt_rad >= angle)
    return Truth(outcome, angle, float(motion.time_s[passed[0]]) if passed.size else None)


def first_tilt_deg(motion: Motion, amount: Floats, above: float) -> float:
    """The board's tilt when an amount first passes a value, degrees."""
    return degrees(motion.tilt_rad[int(np.argmax(amount > above))])
