"""Straight edges drawn by algebra: each pixel holds exactly its share of either side."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def half_plane(shape: tuple[int, int], middle: Floats, angle_rad: float) -> Floats:
    """Share of each pixel on the far side of a line, shape ``shape``.

    The line passes through ``middle`` (x, y) at ``angle_rad`` from x towards y; the
    far side is that of the direction turned from x towards y. Pixel centres are on
    whole numbers. The share of a unit square beyond a line is the second
    difference of a parabola.
    """
    normal = np.array([-np.sin(angle_rad), np.cos(angle_rad)])
    y, x = np.mgrid[: shape[0], : shape[1]]
    beyond = (x - middle[0]) * normal[0] + (y - middle[1]) * normal[1]
    a, b = np.sort(np.maximum(np.abs(normal), 1e-6))[::-1]

    def parabola(t: Floats) -> Floats:
        return np.square(np.maximum(t, 0)) / 2

    reach, flat = (a + b) / 2, (a - b) / 2
    share = parabola(beyond + reach) - parabola(beyond + flat)
    share += parabola(beyond - reach) - parabola(beyond - flat)
    return np.clip(share / (a * b), 0, 1)


def segment(middle: Floats, angle_rad: float, length: float) -> Floats:
    """x1, y1, x2, y2 of a stretch of that line, shape ``(4,)``."""
    half = length / 2 * np.array([np.cos(angle_rad), np.sin(angle_rad)])
    return np.concatenate([middle - half, middle + half])
