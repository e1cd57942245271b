"""How a hand raises the board: noisy, paused, perhaps lowered again, always smooth."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from tests.scenes.scene import Lift

Floats = NDArray[np.float64]
STEP_S = 0.0005
_HAND_SMOOTHING_S = 0.06
_TREMOR_S = 0.12


@dataclass(frozen=True)
class TiltProgram:
    """The board's tilt and its two derivatives at every ``STEP_S``; shape ``(N,)``."""

    tilt_rad: Floats
    rate_rad_s: Floats
    acceleration_rad_s2: Floats

    @property
    def time_s(self) -> Floats:
        return np.arange(self.tilt_rad.size, dtype=float) * STEP_S


def tilt_program(lift: Lift, seed: int) -> TiltProgram:
    """A hand's lift: a noisy rate, pauses, perhaps lowered again, all smooth."""
    rng = np.random.default_rng(seed)
    rise = radians(lift.most_deg - lift.start_deg)
    rate = _hand_rate(radians(lift.rate_deg_s), rise, lift.jerk, rng)
    tilt = radians(lift.start_deg) + np.cumsum(rate) * STEP_S
    last = int(np.searchsorted(tilt, radians(lift.most_deg)))
    rate, tilt = rate[:last], tilt[:last]
    for pause_deg, pause_s in sorted(lift.pauses, reverse=True):
        at = int(np.searchsorted(tilt, radians(pause_deg)))
        if at < tilt.size:
            rate = np.insert(rate, at, np.zeros(_steps(pause_s)))
            tilt = np.insert(tilt, at, np.full(_steps(pause_s), tilt[at]))
    parts = [np.zeros(_steps(lift.wait_s)), rate, np.zeros(_steps(1.2))]
    if lift.lowered_again:
        parts += [-rate[::-1], np.zeros(_steps(0.6))]
    rate = gaussian_filter1d(np.concatenate(parts), _HAND_SMOOTHING_S / STEP_S, mode="nearest")
    tilt = radians(lift.start_deg) + np.concatenate([[0.0], np.cumsum(rate)[:-1]]) * STEP_S
    return TiltProgram(tilt, rate, np.gradient(rate, STEP_S))


def _steps(seconds: float) -> int:
    return round(seconds / STEP_S)


def _hand_rate(rate_rad_s: float, rise_rad: float, jerk: float, rng: np.random.Generator) -> Floats:
    count = int(3 * rise_rad / rate_rad_s / STEP_S) + _steps(2.0)
    tremor = gaussian_filter1d(rng.standard_normal(count), _TREMOR_S / STEP_S, mode="wrap")
    return rate_rad_s * np.maximum(0.0, 1 + jerk * tremor / tremor.std())
