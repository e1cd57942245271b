"""Where board and body will be in the next frame, by the last ones."""

from __future__ import annotations

from collections.abc import Sequence
from math import radians

import numpy as np
from numpy.typing import NDArray

from vision.refine import Followed
from vision.scene import LEAN, SHIFT_X, SHIFT_Y, SLIP, TILT

Floats = NDArray[np.float64]

LEANING_RAD = radians(0.3)
FALLING_PER_S = 8.0
"""A lean grows by this rate: k of tins, 4 to 9 per second."""
PACE_FRAMES, RECENT = 8, 200
PACE_S = 0.09
SWAY = 0.05
AT_REST = 0.7


def foretold(followed: Sequence[Followed], time_s: float, in_hand: bool) -> Floats:
    """The unknowns ``(5,)`` at a time: tilt, and lean as long as the body stands, go on as in
    the last tenth of a second, for two frames alone tell a pace badly; a lean that has begun
    grows faster and faster.

    ``in_hand`` says that the phone is held, so that all it sees sways.
    """
    last = followed[-1]
    if len(followed) < 2:
        return last.own
    ahead_s = time_s - last.time_s
    step = _rates(followed[-2:])[-1] * ahead_s
    if in_hand or not last.body_seen:
        # Neither a hand's sway nor an edge mistaken for another runs on.
        step[TILT] = np.median(_rates(followed[-PACE_FRAMES:])[:, TILT]) * ahead_s
    else:
        slow = [TILT, LEAN] if last.own[LEAN] < LEANING_RAD else [TILT]
        step[slow] = _pace(followed)[slow] * ahead_s
    if last.own[LEAN] > LEANING_RAD and step[LEAN] > 0:
        step[LEAN] *= np.exp(FALLING_PER_S * ahead_s)
    if in_hand:
        # In a hand everything sways, and a body at rest on its board does so with it; the
        # slip it shows is how far phones that shift differ from phones that turn.
        step[SLIP] = 0.0
        if last.own[LEAN] < 1.5 * LEANING_RAD:
            step[LEAN] = -last.own[LEAN] * AT_REST
    elif not last.body_seen:
        step[[LEAN, SLIP]] = _when_last_seen(followed) - last.own[[LEAN, SLIP]]
    # A hand sways about where it began, so its shift is not carried on.
    step[[SHIFT_X, SHIFT_Y]] = -SWAY * last.own[[SHIFT_X, SHIFT_Y]]
    return last.own + step


def _when_last_seen(followed: Sequence[Followed]) -> Floats:
    """Lean and slip by the last frames in which the body was seen; in the very last
    another edge may have been taken for its outline."""
    seen = [f.own[[LEAN, SLIP]] for f in followed[-RECENT:] if f.body_seen]
    return np.median(seen[-PACE_FRAMES:], axis=0) if seen else followed[-1].own[[LEAN, SLIP]]


def _pace(followed: Sequence[Followed]) -> Floats:
    """How fast the unknowns changed over the last tenth of a second, ``(5,)``."""
    last = followed[-1]
    before = next((f for f in followed[-2::-1] if f.time_s < last.time_s - PACE_S), followed[0])
    return (last.own - before.own) / (last.time_s - before.time_s)


def _rates(followed: Sequence[Followed]) -> Floats:
    """How fast the unknowns changed from frame to frame, ``(M, 5)``."""
    own, time_s = np.stack([f.own for f in followed]), np.array([f.time_s for f in followed])
    return np.diff(own, axis=0) / np.diff(time_s)[:, None]
