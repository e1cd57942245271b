"""The likelihood behind the criterion: what speaks for a law, and what does not."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vision.criterion import FREEDOM, LEVEL_FRAMES, bic, log_likelihood

COUNT = 120


def _noise(seed: int, count: int = COUNT) -> np.ndarray:
    return np.random.default_rng(seed).normal(size=count)


def _fall(count: int = COUNT) -> np.ndarray:
    """Still at first, then growing as a falling body leans."""
    return np.where(np.arange(count) > 90, 0.5 * np.expm1(0.15 * (np.arange(count) - 90)), 0.0)


@settings(max_examples=30)
@given(st.integers(0, 10**6), st.floats(0.1, 50), st.floats(-100, 100))
def test_units_and_where_rest_is_do_not_matter(seed, unit, rest):
    """In other units a density is a power of them larger, and rest is not known beforehand."""
    r, u = _noise(seed), np.ones(COUNT)
    plain = log_likelihood(r, u)
    assert log_likelihood(unit * r, unit * u) == pytest.approx(plain - COUNT * np.log(unit))
    assert log_likelihood(r + rest, u) == pytest.approx(plain, abs=1e-6)


@settings(max_examples=20)
@given(st.integers(0, 10**6), st.floats(0.3, 3))
def test_a_common_factor_of_the_stated_uncertainties_does_not_matter(seed, factor):
    r = _noise(seed)
    stated = log_likelihood(r, np.ones(COUNT))
    assert log_likelihood(r, np.full(COUNT, factor)) == pytest.approx(stated, abs=0.05)


@pytest.mark.parametrize("seed", range(3))
def test_of_white_noise_it_is_that_of_students_t(seed):
    """The level, which need not wander, costs a few units at most."""
    from scipy.stats import t

    r = np.random.default_rng(seed).standard_t(FREEDOM, size=400)
    r -= np.median(r[:LEVEL_FRAMES])
    true = t.logpdf(r, FREEDOM, *t.fit(r, fdf=FREEDOM)[1:]).sum()
    assert -6 < log_likelihood(r, np.ones(400)) - true < 4


def test_a_law_that_is_true_wins_by_far():
    u = np.full(COUNT, 1.0)
    seen = _noise(1) + _fall()
    assert log_likelihood(seen - _fall(), u) > log_likelihood(seen, u) + 30


@pytest.mark.parametrize("seed", range(5))
def test_a_drift_is_no_law(seed):
    """A level that wanders as far as a body leans, but slowly, costs a law hardly anything."""
    drift = np.cumsum(0.15 * _noise(100 + seed))
    u = np.ones(COUNT)
    still = log_likelihood(_noise(seed), u)
    assert log_likelihood(_noise(seed) + drift, u) > still - 30
    white = -np.sum(np.square(_noise(seed) + drift)) / 2 + np.sum(np.square(_noise(seed))) / 2
    assert white < -30 or np.ptp(drift) < 3


@pytest.mark.parametrize("size", [30.0, 300.0])
def test_gross_errors_cost_no_more_the_larger_they_are(size):
    """Under either law, so that they do not drown what tells the laws apart."""
    seen, u = _noise(2) + _fall(), np.ones(COUNT)
    seen[[20, 50, 80]] += size
    apart = log_likelihood(seen - _fall(), u) - log_likelihood(seen, u)
    assert apart > 10


def test_frames_that_say_the_same_do_not_count_again():
    """Errors that stay for eight frames: seen four times as often, the evidence of a slow
    law grows by far less than four times, as it would were each frame taken by itself."""
    law = 0.05 * np.arange(COUNT)
    held = np.repeat(_noise(3, COUNT // 8), 8) + 0.1 * _noise(4)

    def evidence(times: int) -> float:
        seen = np.repeat(held + law, times) + 0.1 * _noise(5, COUNT * times)
        steady = np.repeat(law, times)
        u = np.ones(len(seen))
        return log_likelihood(seen - steady, u) - log_likelihood(seen, u)

    assert evidence(4) < 2 * max(evidence(1), 5.0)


@given(st.floats(-1e4, 1e4), st.integers(0, 9), st.integers(5, 1000))
def test_each_unknown_costs_the_logarithm_of_the_number_of_observations(likely, unknowns, n):
    one_more = bic(likely, unknowns + 1, n) - bic(likely, unknowns, n)
    assert one_more == pytest.approx(np.log(n))
    assert bic(likely + 1, unknowns, n) == pytest.approx(bic(likely, unknowns, n) - 2)
