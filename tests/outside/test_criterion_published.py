"""The criterion against R's documentation, statsmodels and scipy."""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.stats import t
from statsmodels.tsa.holtwinters import SimpleExpSmoothing

from vision import criterion
from vision.criterion import FREEDOM, LEVEL_FRAMES, WANDERS, bic

SPEED = [
    4, 4, 7, 7, 8, 9, 10, 10, 10, 11, 11, 12, 12, 12, 12, 13, 13, 13, 13, 14, 14, 14, 14, 15, 15,
    15, 16, 16, 17, 17, 17, 18, 18, 18, 18, 19, 19, 19, 20, 20, 20, 20, 20, 22, 23, 24, 24, 24,
    24, 25,
]  # fmt: skip
DISTANCE = [
    2, 10, 4, 22, 16, 10, 18, 26, 34, 17, 28, 14, 20, 24, 28, 26, 34, 34, 46, 26, 36, 60, 80, 20,
    26, 54, 32, 40, 32, 40, 50, 42, 56, 76, 84, 36, 46, 68, 32, 48, 52, 56, 64, 66, 54, 70, 92,
    93, 120, 85,
]  # fmt: skip
"""Stopping distances of cars (Ezekiel, Methods of Correlation Analysis, 1930), as R has them."""


def test_the_line_through_rs_cars():
    """``lm(dist ~ speed, cars)``: −17.5791 + 3.9324 speed, BIC 424.8929 with the variance
    counted among the unknowns (R's documentation; data and values from memory)."""
    fit = sm.OLS(DISTANCE, sm.add_constant(np.array(SPEED, dtype=float))).fit()
    assert fit.params == pytest.approx([-17.5791, 3.9324], abs=5e-5)
    assert bic(fit.llf, 3, len(SPEED)) == pytest.approx(424.8929, abs=5e-5)


@pytest.mark.parametrize("degree", [0, 1, 2, 3])
def test_statsmodels_criterion_of_a_regression(degree):
    """It leaves the variance out of the count."""
    powers = np.vander(np.array(SPEED, dtype=float), degree + 1)
    fit = sm.OLS(DISTANCE, powers).fit()
    assert bic(fit.llf, degree + 1, len(SPEED)) == pytest.approx(fit.bic)


@pytest.mark.parametrize("wander", WANDERS)
def test_the_innovations_are_those_of_exponential_smoothing(wander):
    """statsmodels' simple exponential smoothing, begun at the same level."""
    r = np.random.default_rng(7).normal(size=80).cumsum()
    level = float(np.median(r[:LEVEL_FRAMES]))
    model = SimpleExpSmoothing(r, initialization_method="known", initial_level=level)
    fitted = model.fit(smoothing_level=wander, optimized=False)
    found = criterion._innovations(r)[list(WANDERS).index(wander)]
    assert found == pytest.approx(fitted.resid, abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_the_scale_is_the_most_likely_of_students_t(seed):
    """scipy's own fit of the innovations' scale, for each level that may wander."""
    r = np.random.default_rng(seed).standard_t(FREEDOM, size=150)
    found = criterion._by_wander(r, np.ones(150))
    for innovations, likelihood in zip(criterion._innovations(r), found, strict=True):
        free, place, scale = t.fit(innovations, fdf=FREEDOM, floc=0.0)
        assert likelihood == pytest.approx(
            t.logpdf(innovations, free, place, scale).sum(), abs=0.01
        )
