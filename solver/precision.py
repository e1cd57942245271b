"""Repeatability and reproducibility in the words and by the formulas of ISO 5725-2:1994.

A class is an experiment with ``p`` groups and ``nᵢ`` repeats in each; the design may
be unbalanced. Formulas of its clause 7.4.5. Results are in the readings' own unit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.stats import f

from solver.errors import InputError

LIMIT_FACTOR = 2.8
"""From s_r to the repeatability limit, from s_R to the reproducibility limit (ISO 5725-6)."""


@dataclass(frozen=True)
class Precision:
    """How a class's readings scatter; what the design cannot show is None."""

    mean: float
    """Of all readings."""
    groups: int
    readings: int
    repeatability: float | None
    """s_r, the standard deviation of one group's repeats; None where no group repeated."""
    between: float | None
    """s_L, the standard deviation between groups; None for one group, or without repeats."""
    variance_ratio: float | None
    """Mean square between groups over that within; None likewise, and where s_r is 0."""
    chance: float | None
    """Of a ratio at least so large where the groups do not differ."""

    @property
    def reproducibility(self) -> float | None:
        """s_R, the standard deviation of single readings of different groups."""
        if self.repeatability is None or self.between is None:
            return None
        return sqrt(self.repeatability**2 + self.between**2)

    @property
    def repeatability_limit(self) -> float | None:
        """Two repeats of one group differ by more in 1 case of 20: ``2.8 s_r``."""
        return None if self.repeatability is None else LIMIT_FACTOR * self.repeatability


def precision(groups: Sequence[Sequence[float]]) -> Precision:
    """The precision of a class from its readings, group by group.

    ``s_r² = Σ(nᵢ−1)sᵢ²/Σ(nᵢ−1)`` and ``s_L² = (s_d² − s_r²)/n̄``, taken as 0 where
    it comes out below, with ``s_d² = Σnᵢ(ȳᵢ−ȳ)²/(p−1)`` and
    ``n̄ = (Σnᵢ − Σnᵢ²/Σnᵢ)/(p−1)``. Raises `InputError` where a group is empty, or
    there is none.
    """
    if not groups or not all(len(group) for group in groups):
        raise InputError("Every group needs at least one reading; leave out those without.")
    counts = np.array([len(group) for group in groups])
    means = np.array([np.mean(group) for group in groups])
    total, mean = int(counts.sum()), float(counts @ means / counts.sum())
    within, freedoms = _within(groups), total - len(groups)
    repeatability = sqrt(within / freedoms) if freedoms else None
    if len(groups) == 1 or repeatability is None:
        return Precision(mean, len(groups), total, repeatability, None, None, None)
    across = float(counts @ np.square(means - mean)) / (len(groups) - 1)
    effective = (total - float(counts @ counts) / total) / (len(groups) - 1)
    between = sqrt(max(0.0, across - repeatability**2) / effective)
    ratio = across / repeatability**2 if repeatability else None
    chance = None if ratio is None else float(f.sf(ratio, len(groups) - 1, freedoms))
    return Precision(mean, len(groups), total, repeatability, between, ratio, chance)


def _within(groups: Sequence[Sequence[float]]) -> float:
    """Sum of squares about the groups' own means."""
    return float(sum(np.sum(np.square(_array(group) - np.mean(group))) for group in groups))


def _array(group: Sequence[float]) -> NDArray[np.float64]:
    return np.asarray(group, float)
