"""Combining results whose uncertainties are known but may not tell the whole story.

``k`` results ``yᵢ`` with standard uncertainties ``uᵢ`` of what is fresh in each;
``τ`` is the standard deviation between them that the ``uᵢ`` do not explain, so that
``wᵢ = 1/(uᵢ² + τ²)`` weighs each. All in one unit of the caller's choice.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq
from scipy.stats import chi2

from solver.errors import InputError

Floats = NDArray[np.float64]

EXACT = 1e-12
"""An uncertainty smaller than that, against the spread of the results, is none."""


@dataclass(frozen=True)
class Combined:
    """A weighted mean of results."""

    mean: float
    u: float
    """Standard uncertainty of the mean."""
    between: float
    """τ, the standard deviation between the results beyond their uncertainties."""
    weights: Floats
    """Of each result, summing to 1."""


@dataclass(frozen=True)
class GroupAgreement:
    """Whether results differ by more than their uncertainties explain: Cochran's Q test."""

    q: float
    """Weighted sum of squares about the fixed-effect mean."""
    freedoms: int
    chance: float
    """Of a Q at least so large where all results measure the same."""

    @property
    def agree(self) -> bool:
        """Whether the test finds nothing at the 5 % level."""
        return self.chance >= 0.05

    @property
    def birge(self) -> float:
        """How many times wider than their uncertainties the results lie: ``√(Q/(k−1))``."""
        return sqrt(self.q / self.freedoms)


def fixed_effect(values: ArrayLike, u: ArrayLike) -> Combined:
    """The mean where the uncertainties tell the whole story: ``w = 1/u²``.

    Raises `InputError` for no values, or an uncertainty that is not above 0.
    """
    y, spread = _checked(values, u)
    if not (spread > 0).all():
        raise InputError(
            "A result without uncertainty cannot be weighed by it; give each an uncertainty."
        )
    return _weighed(y, spread, 0.0)


def agreement(values: ArrayLike, u: ArrayLike) -> GroupAgreement:
    """Cochran's Q against χ² with k − 1 degrees of freedom.

    Raises `InputError` for fewer than two values, or as `fixed_effect` does.
    """
    mean = fixed_effect(values, u).mean
    y, spread = _checked(values, u)
    if len(y) < 2:
        raise InputError("Agreement is between results: give at least two.")
    q = float(np.sum(np.square((y - mean) / spread)))
    return GroupAgreement(q, len(y) - 1, float(chi2.sf(q, len(y) - 1)))


def paule_mandel(values: ArrayLike, u: ArrayLike) -> Combined:
    """The mean with a random effect between results.

    τ² solves ``Σ wᵢ (yᵢ − ȳ)² = k − 1``, and is 0 where the uncertainties explain
    all (R. C. Paule and J. Mandel, J. Res. NBS 87 (1982) 377). An uncertainty may
    be 0. Raises `InputError` for no values.
    """
    y, spread = _checked(values, u)
    shift = float(y.mean())
    scale = float(max(np.abs(y - shift).max(), spread.max())) or 1.0
    z, s = (y - shift) / scale, np.where(spread < EXACT * scale, 0.0, spread / scale)
    variance = _excess(z, s)
    found = _weighed(z, s, variance) if variance or (s > 0).all() else _plain(z, s)
    return replace(
        found,
        mean=shift + scale * found.mean,
        u=scale * found.u,
        between=scale * found.between,
    )


def _excess(z: Floats, s: Floats) -> float:
    """τ² of results about 0 and within 1; at twice their sum of squares Q is below 1/2."""

    def surplus(variance: float) -> float:
        away = z - _weighed(z, s, variance).mean
        return float(np.sum(np.square(away) / (s**2 + variance))) - (len(z) - 1)

    low = EXACT if (s == 0).any() else 0.0
    if surplus(low) <= 0:
        return 0.0
    return float(brentq(surplus, low, 2 * float(z @ z), xtol=1e-14))


def _weighed(y: Floats, u: Floats, variance: float) -> Combined:
    weights = 1 / (u**2 + variance)
    total = float(weights.sum())
    return Combined(float(weights @ y) / total, total**-0.5, sqrt(variance), weights / total)


def _plain(y: Floats, u: Floats) -> Combined:
    """The plain mean, where some results are exact and all agree."""
    weights = np.full(len(y), 1 / len(y))
    return Combined(float(y.mean()), float(np.linalg.norm(weights * u)), 0.0, weights)


def _checked(values: ArrayLike, u: ArrayLike) -> tuple[Floats, Floats]:
    y, spread = np.asarray(values, float), np.asarray(u, float)
    if y.ndim != 1 or y.shape != spread.shape or len(y) == 0:
        raise InputError(
            f"There are {y.size} values and {spread.size} uncertainties; give as many of one as "
            "of the other, and at least one."
        )
    if not (np.isfinite(y).all() and np.isfinite(spread).all() and (spread >= 0).all()):
        raise InputError("Values and uncertainties must be finite, and no uncertainty below 0.")
    return y, spread
