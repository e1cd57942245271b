"""Straight lines through samples of which some lie elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

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
    known = np.isfinite(across)
    s, across = np.where(known, s, 0.0), np.where(known, across, 0.0)
    offset, slope = _medians(across, known), np.zeros(len(s))
    half = np.abs(s).max(axis=1, initial=0.0)
    left, scale = across - offset[:, None], np.full(len(s), NARROWEST)
    going = np.ones(len(s), dtype=bool)
    for _ in range(ROUNDS):
        wide = np.maximum(1.4826 * _medians(np.abs(left), known), NARROWEST)
        # A line that has settled stays, whatever those beside it still do.
        scale = np.where(going, np.minimum(wide, WIDEST), scale)
        found = _weighted(s, across, known * _biweight(left / (4 * scale[:, None])))
        moved = np.abs(found[0] - offset) + half * np.abs(found[1] - slope)
        offset, slope = np.where(going, found[0], offset), np.where(going, found[1], slope)
        left = across - offset[:, None] - slope[:, None] * s
        going &= moved > SETTLED
        if not going.any():
            break
    on = known & (np.abs(left) < 3 * np.clip(scale, NEAREST, MOST_SPREAD)[:, None])
    return _on_line(s, left, on, offset, slope)


def _biweight(left: Floats) -> Floats:
    return np.square(np.maximum(1 - np.square(left), 0.0))


def _weighted(s: Floats, across: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """Offset at ``s = 0`` and slope of each line by weighted least squares."""
    ws = weight * s
    w, wx = weight.sum(axis=1), ws.sum(axis=1)
    wy, wxx, wxy = (np.einsum("lk,lk->l", *p) for p in ((weight, across), (ws, s), (ws, across)))
    slope, offset = np.zeros(len(s)), np.zeros(len(s))
    spread = w * wxx - wx * wx
    np.divide(w * wxy - wx * wy, spread, out=slope, where=spread > 0)
    slope = np.minimum(np.maximum(slope, -STEEPEST), STEEPEST)
    np.divide(wy - slope * wx, w, out=offset, where=w > 0)
    return offset, slope


def _on_line(
    s: Floats, left: Floats, on: NDArray[np.bool_], offset: Floats, slope: Floats
) -> StraightLines:
    n = on.sum(axis=1).astype(np.float64)
    with np.errstate(invalid="ignore", divide="ignore"):
        spread = np.sqrt(np.einsum("lk,lk,lk->l", left, left, on) / (n - 2))
        middle = np.einsum("lk,lk->l", s, on) / n
        apart = s - middle[:, None]
        reach = np.sqrt(np.einsum("lk,lk,lk->l", apart, apart, on) / n)
    few = (n < FEWEST) | ~np.isfinite(spread)
    offset = offset + slope * middle
    offset, slope, middle, spread, reach = (
        np.where(few, np.nan, each) for each in (offset, slope, middle, spread, reach)
    )
    return StraightLines(offset, slope, middle, spread, reach, n, on & ~few[:, None])


def _medians(values: Floats, known: NDArray[np.bool_]) -> Floats:
    """Median of the known values of each row; NaN where there is none."""
    count = known.sum(axis=1)
    table = np.sort(np.where(known, values, np.inf), axis=1)
    row = np.arange(len(table))
    middle = 0.5 * (
        table[row, (count - 1) // 2] + table[row, np.minimum(count // 2, len(table.T) - 1)]
    )
    return np.where(count > 0, middle, np.nan)
