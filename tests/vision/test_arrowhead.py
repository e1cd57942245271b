"""The arrowhead solver against dense least squares on the same problem."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from scipy.optimize import least_squares

from vision.arrowhead import BEND, Prior, solve

SHARED, OWN, FRAMES, SEEN = 4, 2, 9, 7


@dataclass(frozen=True)
class _Bent:
    """A mildly non-linear problem with its derivatives by algebra; some is not observed."""

    by_own: np.ndarray
    by_shared: np.ndarray
    seen: np.ndarray
    curve: float

    def _angle(self, shared, own):
        return np.einsum("nmk,nk->nm", self.by_own, own) + self.by_shared @ shared

    def at(self, shared, own):
        return _BentAt(self, shared, own)

    def residuals(self, shared, own):
        angle = self._angle(shared, own)
        return angle + self.curve * np.sin(angle) - self.seen

    def derivatives(self, shared, own):
        slope = (1 + self.curve * np.cos(self._angle(shared, own)))[..., None]
        return slope * self.by_own, slope * self.by_shared


@dataclass(frozen=True)
class _BentAt:
    problem: _Bent
    shared: np.ndarray
    own: np.ndarray

    @property
    def residuals(self):
        return np.nan_to_num(self.problem.residuals(self.shared, self.own))

    def derivatives(self):
        both = np.concatenate(self.problem.derivatives(self.shared, self.own), axis=-1)
        return np.where(np.isfinite(self.problem.seen)[..., None], both, 0.0)


def _problem(seed: int, curve: float = 0.3, outliers: int = 4) -> tuple[_Bent, Prior]:
    rng = np.random.default_rng(seed)
    own, shared = rng.normal(size=(FRAMES, OWN)), rng.normal(size=SHARED)
    by_own = rng.normal(size=(FRAMES, SEEN, OWN))
    by_shared = rng.normal(size=(FRAMES, SEEN, SHARED))
    blank = _Bent(by_own, by_shared, np.zeros((FRAMES, SEEN)), curve)
    seen = blank.residuals(shared, own) + rng.normal(size=(FRAMES, SEEN))
    wrong = rng.choice(FRAMES * SEEN, outliers, replace=False)
    seen.ravel()[wrong] += rng.choice([-8, 8], outliers)
    seen.ravel()[rng.choice(FRAMES * SEEN, 6, replace=False)] = np.nan
    prior = Prior(shared + rng.normal(0, 0.5, SHARED), np.full(SHARED, 0.5))
    return _Bent(by_own, by_shared, seen, curve), prior


def _split(flat):
    return flat[:SHARED], flat[SHARED:].reshape(FRAMES, OWN)


def _dense(problem: _Bent, prior: Prior):
    """The same cost by scipy: each Cauchy term as the square of its root."""

    def terms(flat):
        shared, own = _split(flat)
        seen = problem.residuals(shared, own).ravel()
        seen = seen[np.isfinite(seen)]
        robust = np.sign(seen) * BEND * np.sqrt(np.log1p(np.square(seen / BEND)))
        return np.concatenate([robust, (shared - prior.centre) / prior.u])

    start = np.concatenate([prior.centre, np.zeros(FRAMES * OWN)])
    return least_squares(terms, start, xtol=1e-14, ftol=1e-14, gtol=1e-14)


def _weighted_covariance(problem: _Bent, prior: Prior, shared, own) -> np.ndarray:
    """Inverse of the dense normal matrix with the Cauchy weights, frame by frame in full."""
    by_own, by_shared = problem.derivatives(shared, own)
    weight = 1 / (1 + np.square(problem.residuals(shared, own) / BEND))
    rows = []
    for n, m in zip(*np.nonzero(np.isfinite(weight)), strict=True):
        row = np.zeros(SHARED + FRAMES * OWN)
        row[:SHARED] = by_shared[n, m]
        row[SHARED + n * OWN : SHARED + (n + 1) * OWN] = by_own[n, m]
        rows.append(row * np.sqrt(weight[n, m]))
    rows += list(np.eye(SHARED, SHARED + FRAMES * OWN) / prior.u[:, None])
    jacobian = np.array(rows)
    return np.linalg.inv(jacobian.T @ jacobian)


@pytest.mark.parametrize("seed", range(6))
def test_same_solution_as_dense_least_squares(seed):
    problem, prior = _problem(seed)
    ours = solve(problem, prior.centre, np.zeros((FRAMES, OWN)), prior, 200, 1e-15)
    shared, own = _split(_dense(problem, prior).x)
    assert ours.shared == pytest.approx(shared, abs=2e-5)
    assert ours.own == pytest.approx(own, abs=2e-5)
    seen = np.nan_to_num(problem.residuals(shared, own))
    assert ours.residuals == pytest.approx(seen, abs=2e-4)


@pytest.mark.parametrize("seed", range(6))
def test_same_covariance_as_the_dense_normal_matrix(seed):
    problem, prior = _problem(seed)
    ours = solve(problem, prior.centre, np.zeros((FRAMES, OWN)), prior, 200, 1e-15)
    dense = _weighted_covariance(problem, prior, ours.shared, ours.own)
    assert ours.shared_covariance == pytest.approx(dense[:SHARED, :SHARED], rel=1e-7, abs=1e-10)
    for n in range(FRAMES):
        part = slice(SHARED + n * OWN, SHARED + (n + 1) * OWN)
        follow = ours.own_by_shared[n]
        whole = ours.own_covariance[n] + follow @ ours.shared_covariance @ follow.T
        assert whole == pytest.approx(dense[part, part], rel=1e-7, abs=1e-10)
        cross = follow @ ours.shared_covariance
        assert cross == pytest.approx(dense[part, :SHARED], rel=1e-7, abs=1e-10)


def test_the_covariance_is_scipys_where_nothing_is_robust():
    """A linear problem with small residuals: weights are 1 and scipy's Jacobian is ours."""
    problem, prior = _problem(3, curve=0.0, outliers=0)
    small = _Bent(problem.by_own, problem.by_shared, problem.seen * 1e-4, 0.0)
    near = Prior(prior.centre * 1e-4, prior.u)
    ours = solve(small, near.centre, np.zeros((FRAMES, OWN)), near)
    jacobian = _dense(small, near).jac
    dense = np.linalg.inv(jacobian.T @ jacobian)
    assert ours.shared_covariance == pytest.approx(dense[:SHARED, :SHARED], rel=1e-5)


def test_outliers_are_weighed_down():
    """With clean data but for one wild point, the answer hardly moves."""
    problem, prior = _problem(7, curve=0.0, outliers=0)
    clean = solve(problem, prior.centre, np.zeros((FRAMES, OWN)), prior)
    wild = problem.seen.copy()
    wild[2, 3] = 1e4
    moved = solve(
        _Bent(problem.by_own, problem.by_shared, wild, 0.0),
        prior.centre, np.zeros((FRAMES, OWN)), prior, 200,
    )  # fmt: skip
    spread = np.sqrt(np.diag(clean.shared_covariance))
    assert np.abs((moved.shared - clean.shared) / spread).max() < 0.6


def test_what_is_not_observed_is_left_to_the_prior():
    problem, prior = _problem(1)
    blind = np.full((FRAMES, SEEN), np.nan)
    blind[:, :3] = problem.seen[:, :3]
    some = _Bent(problem.by_own, problem.by_shared, blind, 0.3)
    fewer = solve(some, prior.centre, np.zeros((FRAMES, OWN)), prior)
    more = solve(problem, prior.centre, np.zeros((FRAMES, OWN)), prior)
    assert np.trace(more.shared_covariance) < np.trace(fewer.shared_covariance)
    assert np.all(np.diag(fewer.shared_covariance) <= prior.u**2)
