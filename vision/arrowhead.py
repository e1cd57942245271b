"""Robust least squares where each frame has unknowns of its own.

The unknowns are a few ``shared`` by all frames and a few ``own`` in each, so
the normal matrix is an arrowhead: own unknowns are eliminated frame by frame
(the Schur complement, as in bundle adjustment; Triggs et al., Vision Algorithms,
LNCS 1883 (2000) 298, section 6).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

BEND = 2.0
"""Residuals beyond this many standard uncertainties count less (Cauchy)."""
RIDGE = 1e-9


class Linearised(Protocol):
    """A problem at one point of its unknowns."""

    @property
    def residuals(self) -> Floats:
        """In standard uncertainties, ``(N, M)``; zero where there is no observation."""

    def derivatives(self) -> Floats:
        """By the own and then by the shared unknowns, ``(N, M, K + S)``; zero likewise."""


class Problem(Protocol):
    """Observations that shared and own unknowns are to explain."""

    def at(self, shared: Floats, own: Floats) -> Linearised:
        """The problem where shared ``(S,)`` and own ``(N, K)`` are these."""


@dataclass(frozen=True)
class Prior:
    """What is known of the shared unknowns beforehand, each of shape ``(S,)``."""

    centre: Floats
    u: Floats


@dataclass(frozen=True)
class Solution:
    """Where the fit ended."""

    shared: Floats
    """Shape ``(S,)``."""
    own: Floats
    """Shape ``(N, K)``."""
    shared_covariance: Floats
    """Shape ``(S, S)``, for residuals of unit variance."""
    own_covariance: Floats
    """Shape ``(N, K, K)``: of the own unknowns were the shared ones known."""
    own_by_shared: Floats
    """Shape ``(N, K, S)``: how the own unknowns follow the shared ones."""
    residuals: Floats
    """Shape ``(N, M)``."""


def solve(
    problem: Problem,
    shared: Floats,
    own: Floats,
    prior: Prior,
    steps: int = 30,
    settled: float = 1e-6,
) -> Solution:
    """Levenberg–Marquardt with Cauchy weights.

    ``settled`` is the relative fall of the cost at which the fit has ended.
    """
    damping = 1e-3
    now = _Linear(problem.at(shared, own), prior, shared, own)
    for _ in range(steps):
        step_shared, step_own = now.step(damping)
        tried_shared, tried_own = shared + step_shared, own + step_own
        tried = problem.at(tried_shared, tried_own)
        cost = _cost(tried.residuals, prior, tried_shared)
        if not cost < now.cost:
            damping *= 8
            if damping > 1e6:
                break
            continue
        fall = now.cost - cost
        shared, own, damping = tried_shared, tried_own, damping / 6
        now = _Linear(tried, prior, shared, own)
        if fall < settled * cost:
            break
    return now.solution()


def robust_chi_squared(residuals: Floats) -> float:
    """Their sum of squares by Cauchy's loss."""
    return float(BEND**2 * np.sum(np.log1p(np.square(residuals / BEND))))


def weight_root(residuals: Floats, bend: float = BEND) -> NDArray[Any]:
    """Root of the weight that loss gives each residual."""
    return np.asarray(1 / np.sqrt(1 + np.square(residuals / bend)))


def _cost(residuals: Floats, prior: Prior, shared: Floats) -> float:
    pulls = np.sum(np.square((shared - prior.centre) / prior.u))
    return robust_chi_squared(residuals) + float(pulls)


class _Linear:
    """The problem linearised at one point, with the weights of that point."""

    def __init__(self, at: Linearised, prior: Prior, shared: Floats, own: Floats) -> None:
        self._shared, self._own = shared, own
        self._residuals = at.residuals
        self.cost = _cost(self._residuals, prior, shared)
        root = weight_root(self._residuals)[..., None]
        rows = np.concatenate([at.derivatives(), self._residuals[..., None]], axis=-1) * root
        products, k = np.swapaxes(rows, 1, 2) @ rows, own.shape[1]
        # A frame in which nothing was seen keeps its unknowns.
        self._own_normal = products[:, :k, :k] + RIDGE * np.eye(k)
        self._cross = products[:, :k, k:-1]
        self._own_slope = products[:, :k, -1:]
        of_shared = products[:, k:-1, k:].sum(axis=0)
        self._shared_normal = of_shared[:, :-1] + np.diag(prior.u**-2)
        self._shared_slope = of_shared[:, -1] + (shared - prior.centre) / prior.u**2

    def step(self, damping: float) -> tuple[Floats, Floats]:
        """Step of the shared and of the own unknowns."""
        own_normal = self._own_normal * (1 + damping * np.eye(self._own_normal.shape[1]))
        eliminated = np.linalg.solve(own_normal, self._cross)
        slope = np.linalg.solve(own_normal, self._own_slope)
        schur = self._shared_normal * (1 + damping * np.eye(len(self._shared)))
        schur = schur - np.tensordot(self._cross, eliminated, ((0, 1), (0, 1)))
        towards = self._shared_slope - np.tensordot(self._cross, slope, ((0, 1), (0, 1)))[:, 0]
        shared = -np.linalg.solve(schur, towards)
        return shared, -slope[..., 0] - eliminated @ shared

    def solution(self) -> Solution:
        """The point itself, with its covariances."""
        eliminated = np.linalg.solve(self._own_normal, self._cross)
        schur = self._shared_normal - np.tensordot(self._cross, eliminated, ((0, 1), (0, 1)))
        return Solution(
            shared=self._shared,
            own=self._own,
            shared_covariance=np.linalg.inv(schur),
            own_covariance=np.linalg.inv(self._own_normal),
            own_by_shared=-eliminated,
            residuals=self._residuals,
        )
