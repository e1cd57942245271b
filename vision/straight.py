"""Straight lines through samples of which some lie elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.compiled import compiled

Floats = NDArray[np.float64]

ROUNDS = 8
SETTLED = 1e-3
"""Change of a line, in the samples' unit, at which the rounds have ended."""
NARROWEST, WIDEST = 0.08, 1.5
"""Bounds of the scatter by which samples are weighed."""
NEAREST, MOST_SPREAD = 0.15, 0.6
"""Samples that scatter more than this do not lie on one line."""
FEWEST = 5
STEEPEST = 1.0


@dataclass(frozen=True)
class StraightLines:
    """Lines ``offset + slope (s - middle)``; arrays of shape ``(L,)``, NaN where none was found."""

    offset: Floats
    slope: Floats
    middle: Floats
    """Mean of ``s`` of the samples on the line."""
    spread: Floats
    """Root mean square distance of those from it."""
    reach: Floats
    """Root mean square distance of their ``s`` from the middle."""
    samples: Floats
    on: NDArray[np.bool_]
    """Which samples lie on their line, shape ``(L, K)``."""


def robust_lines(s: Floats, across: Floats) -> StraightLines:
    """Tukey's biweight by reweighting (Beaton and Tukey, Technometrics 16 (1974) 147).

    Parameters
    ----------
    s : shape ``(L, K)``, where along each line its samples are
    across : shape ``(L, K)``, their distances from a line near the true one; NaN for none
    """
    fitted = np.full((len(s), 6), np.nan)
    on = np.zeros(s.shape, dtype=np.bool_)
    _fit_all(s, across, fitted, on)
    offset, slope, middle, spread, reach, samples = fitted.T
    return StraightLines(offset, slope, middle, spread, reach, samples, on)


@compiled
def _fit_all(s: Floats, across: Floats, fitted: Floats, on: NDArray[np.bool_]) -> None:
    """Fill in for each line what StraightLines says of it, ``(L, 6)`` and ``(L, K)``."""
    along, beside, left = np.empty((3, s.shape[1]))
    for k in range(len(s)):
        count = 0
        for j in range(s.shape[1]):
            if np.isfinite(across[k, j]):
                along[count], beside[count] = s[k, j], across[k, j]
                count += 1
        fitted[k, 5] = 0.0
        if count < FEWEST:
            continue
        offset, slope, scale = _reweighted(along[:count], beside[:count], left[:count])
        near = 3 * min(max(scale, NEAREST), MOST_SPREAD)
        n = x = xx = rr = 0.0
        for j in range(s.shape[1]):
            away = across[k, j] - offset - slope * s[k, j]
            if abs(away) < near:
                on[k, j] = True
                n, x, xx, rr = n + 1, x + s[k, j], xx + s[k, j] ** 2, rr + away * away
        fitted[k, 5] = n
        if n < FEWEST:
            on[k] = False
            continue
        middle = x / n
        fitted[k, 0], fitted[k, 1], fitted[k, 2] = offset + slope * middle, slope, middle
        fitted[k, 3] = np.sqrt(rr / (n - 2))
        fitted[k, 4] = np.sqrt(max(xx / n - middle * middle, 0.0))


@compiled
def _reweighted(s: Floats, across: Floats, left: Floats) -> tuple[float, float, float]:
    """Offset at ``s = 0``, slope, and the scatter by which samples were weighed; what is
    ``left`` is written over."""
    half = 0.0
    for j in range(len(s)):
        half, left[j] = max(half, abs(s[j])), across[j]
    offset, slope, scale = median(left), 0.0, NARROWEST
    for _ in range(ROUNDS):
        for j in range(len(s)):
            left[j] = abs(across[j] - offset - slope * s[j])
        scale = min(max(1.4826 * median(left), NARROWEST), WIDEST)
        w = wx = wy = wxx = wxy = 0.0
        for j in range(len(s)):
            x, y = s[j], across[j]
            weight = max(1 - ((y - offset - slope * x) / (4 * scale)) ** 2, 0.0) ** 2
            w, wx, wy = w + weight, wx + weight * x, wy + weight * y
            wxx, wxy = wxx + weight * x * x, wxy + weight * x * y
        before_offset, before_slope, spread = offset, slope, w * wxx - wx * wx
        slope = (w * wxy - wx * wy) / spread if spread > 0 else 0.0
        slope = min(max(slope, -STEEPEST), STEEPEST)
        offset = (wy - slope * wx) / w if w > 0 else 0.0
        if abs(offset - before_offset) + half * abs(slope - before_slope) <= SETTLED:
            break
    return offset, slope, scale


@compiled
def median(values: Floats) -> float:
    """Their median, by Hoare's selection (Communications of the ACM 4 (1961) 321); the values
    change places."""
    low, high, middle = 0, len(values) - 1, len(values) // 2
    while low < high:
        pivot, i, j = values[(low + high) // 2], low, high
        while i <= j:
            while values[i] < pivot:
                i += 1
            while values[j] > pivot:
                j -= 1
            if i <= j:
                values[i], values[j] = values[j], values[i]
                i, j = i + 1, j - 1
        low, high = low if middle <= j else i, high if middle >= i else j
    if len(values) % 2:
        return values[middle]
    below = values[0]
    for k in range(1, middle):
        below = max(below, values[k])
    return 0.5 * (below + values[middle])
