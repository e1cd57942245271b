"""What one would read without a model of the scene: the board's edge in the picture."""

from __future__ import annotations

from math import radians

import numpy as np
from numpy.typing import NDArray

from tests.scenes.motion import Motion
from tests.study.edges import underside
from tests.study.trial import Trial
from vision.lines import find_segments

Floats = NDArray[np.float64]

VISIBLE_LEAN_RAD = radians(1.0)
VISIBLE_SLIP_M = 0.002
NEAR_PX, ALIKE_RAD = 8.0, radians(6.0)
"""How near to the true edge, and how parallel, a found line must be to be taken for it."""


def first_visible(motion: Motion) -> int:
    """The frame in which a lean of 1° or a slip of 2 mm is first seen; the last if never."""
    shown = (motion.lean_rad > VISIBLE_LEAN_RAD) | (motion.slip_m > VISIBLE_SLIP_M)
    return int(np.argmax(shown)) if shown.any() else len(shown) - 1


def picture_turn(trial: Trial, tilts_rad: Floats) -> Floats:
    """Turn of the board's near edge in the picture since the first of some tilts,
    radians, by a resting camera and without any error of reading."""
    return turn_of(underside(trial.drawn, tilts_rad).reshape(-1, 4))


def turn_of(segments: Floats) -> Floats:
    """Turn of a segment since its first position, positive, radians; ``(N, 4)`` to ``(N,)``."""
    along = segments[:, 2:] - segments[:, :2]
    angle = np.unwrap(np.arctan2(along[:, 1], along[:, 0]), period=np.pi)
    return np.abs(angle - angle[0])


def found_line(grey: NDArray[np.uint8], expected: Floats) -> Floats | None:
    """The longest segment by the LSD detector that may be the edge, shape ``(4,)``.

    ``expected`` is where the edge truly is: a reader who knows that reads best.
    """
    segments = find_segments(grey, 0.2 * float(np.hypot(*(expected[2:] - expected[:2]))))
    along = expected[2:] - expected[:2]
    along = along / np.hypot(*along)
    normal = np.array([-along[1], along[0]])
    middle = (segments[:, :2] + segments[:, 2:]) / 2
    off = np.abs((middle - expected[:2]) @ normal)
    way = segments[:, 2:] - segments[:, :2]
    length = np.hypot(way[:, 0], way[:, 1])
    slant = np.abs(np.arcsin(np.clip(way @ normal / length, -1, 1)))
    may_be = (off < NEAR_PX) & (slant < ALIKE_RAD)
    if not may_be.any():
        return None
    return np.asarray(segments[may_be][np.argmax(length[may_be])])
