"""Robust least squares where each frame has unknowns of its own.

The unknowns are a few ``shared`` by all frames and a few ``own`` in each, so
the normal matrix is an arrowhead: own unknowns are eliminated frame by frame
(the Schur complement, as in bundle adjustment; Triggs et al., Vision Algorithms,
LNCS 1883 (2000) 298, section 6).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from solver.compiled import compiled

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


def weight(residuals: Floats) -> Floats:
    """The weight that loss gives each residual."""
    return np.asarray(1 / (1 + np.square(residuals / BEND)))


def _cost(residuals: Floats, prior: Prior, shared: Floats) -> float:
    pulls = np.sum(np.square((shared - prior.centre) / prior.u))
    return robust_chi_squared(residuals) + float(pulls)


def normal_equations(
    derivatives: Floats, residuals: Floats, bend: float = BEND
) -> tuple[Floats, Floats]:
    """Each frame's normal matrix, ``(N, P, P)``, and right side, ``(N, P)``, from derivatives
    ``(N, M, P)`` and residuals ``(N, M)``, weighted by that loss; NaN are passed over."""
    frames, _, unknowns = derivatives.shape
    normal, slope = np.zeros((frames, unknowns, unknowns)), np.zeros((frames, unknowns))
    _gather(derivatives, residuals, bend, normal, slope)
    return normal, slope


@compiled
def _gather(
    derivatives: Floats, residuals: Floats, bend: float, normal: Floats, slope: Floats
) -> None:
    frames, rows, unknowns = derivatives.shape
    for k in range(frames):
        for m in range(rows):
            r = residuals[k, m]
            if not np.isfinite(r):
                continue
            weight, row = 1 / (1 + (r / bend) ** 2), derivatives[k, m]
            for p in range(unknowns):
                # An edge answers to few of all unknowns.
                if row[p] == 0.0:
                    continue
                weighted = weight * row[p]
                slope[k, p] += weighted * r
                for q in range(p + 1):
                    normal[k, p, q] += weighted * row[q]
        for p in range(unknowns):
            for q in range(p):
                normal[k, q, p] = normal[k, p, q]


class _Linear:
    """The problem linearised at one point, with the weights of that point."""

    def __init__(self, at: Linearised, prior: Prior, shared: Floats, own: Floats) -> None:
        self._shared, self._own = shared, own
        self._residuals = at.residuals
        self.cost = _cost(self._residuals, prior, shared)
        k = own.shape[1]
        self._normal, self._slope = normal_equations(at.derivatives(), at.residuals)
        self._shared_normal = self._normal[:, k:, k:].sum(axis=0) + np.diag(prior.u**-2)
        pulls = (shared - prior.centre) / prior.u**2
        self._shared_slope = self._slope[:, k:].sum(axis=0) + pulls
        # A frame in which nothing was seen keeps its unknowns.
        self._normal[:, range(k), range(k)] += RIDGE

    def step(self, damping: float) -> tuple[Floats, Floats]:
        """Step of the shared and of the own unknowns."""
        schur = self._shared_normal * (1 + damping * np.eye(len(self._shared)))
        towards = self._shared_slope.copy()
        eliminated, slope = self._eliminated(damping, schur, towards)
        shared = -np.linalg.solve(schur, towards)
        return shared, -slope - eliminated @ shared

    def solution(self) -> Solution:
        """The point itself, with its covariances."""
        schur, k = self._shared_normal.copy(), self._own.shape[1]
        eliminated, _ = self._eliminated(0.0, schur, self._shared_slope.copy())
        return Solution(
            shared=self._shared,
            own=self._own,
            shared_covariance=np.linalg.inv(schur),
            own_covariance=np.asarray(np.linalg.inv(self._normal[:, :k, :k])),
            own_by_shared=-eliminated,
            residuals=self._residuals,
        )

    def _eliminated(self, damping: float, schur: Floats, towards: Floats) -> tuple[Floats, Floats]:
        """The own unknowns by the shared ones and without them, ``(N, K, S)`` and ``(N, K)``;
        what they explain is taken from the shared ones' equations."""
        frames, k = self._own.shape
        eliminated, slope = np.empty((frames, k, len(self._shared))), np.empty((frames, k))
        _eliminate(self._normal, self._slope, damping, schur, towards, eliminated, slope)
        return eliminated, slope


@compiled
def _eliminate(
    normal: Floats,
    right: Floats,
    damping: float,
    schur: Floats,
    towards: Floats,
    eliminated: Floats,
    slope: Floats,
) -> None:
    """By Cholesky's factors of each frame's own block."""
    frames, own, shared = eliminated.shape
    root = np.empty((own, own))
    for k in range(frames):
        for p in range(own):
            for q in range(p + 1):
                value = normal[k, p, q] * (1 + damping if p == q else 1.0)
                for j in range(q):
                    value -= root[p, j] * root[q, j]
                root[p, q] = np.sqrt(value) if p == q else value / root[q, q]
        for column in range(shared + 1):
            last = column == shared
            solved = slope[k] if last else eliminated[k, :, column]
            for p in range(own):
                value = right[k, p] if last else normal[k, p, own + column]
                for j in range(p):
                    value -= root[p, j] * solved[j]
                solved[p] = value / root[p, p]
            for p in range(own - 1, -1, -1):
                value = solved[p]
                for j in range(p + 1, own):
                    value -= root[j, p] * solved[j]
                solved[p] = value / root[p, p]
            for row in range(shared):
                for p in range(own):
                    taken = normal[k, p, own + row] * solved[p]
                    if last:
                        towards[row] -= taken
                    else:
                        schur[row, column] -= taken
