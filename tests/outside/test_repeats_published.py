"""The mean of repeats against JCGM 100 and statsmodels."""

import numpy as np
import pytest
from statsmodels.stats.meta_analysis import combine_effects
from uncertainties import nominal_value, std_dev, ufloat

from solver.repeats import mean_of

TEMPERATURES = (
    "96.90 98.18 98.25 98.61 99.03 99.49 99.56 99.74 99.89 100.07 "
    "100.33 100.42 100.68 100.95 101.11 101.20 101.57 101.84 102.36 102.72"
)


def test_twenty_temperatures():
    """JCGM 100:2008, 4.4.3: mean 100.145 (given as 100.14), s 1.49, standard u 0.33, in °C.

    The factor 2.09 for 19 degrees of freedom is from its Table G.2.
    """
    result = mean_of([float(text) for text in TEMPERATURES.split()])
    assert nominal_value(result.mean) == pytest.approx(100.145)
    assert result.scatter == pytest.approx(1.49, abs=0.005)
    assert std_dev(result.mean) == pytest.approx(0.33, abs=0.005)
    assert result.coverage_factor == pytest.approx(2.09, abs=0.005)


@pytest.mark.parametrize(("factor", "freedoms"), [(12.71, 1), (4.30, 2), (3.18, 3), (2.78, 4)])
def test_coverage_factors_of_few_repeats(factor, freedoms):
    """JCGM 100:2008, Table G.2, for 95 %."""
    values = list(np.arange(freedoms + 1.0))
    assert mean_of(values).coverage_factor == pytest.approx(factor, abs=0.005)


def test_random_effects_with_equal_variances():
    """statsmodels: with equal variances every method of moments gives this τ² and mean."""
    values = np.array([10.1, 11.4, 9.2, 10.9, 12.3, 8.8])
    theirs = combine_effects(values, np.full(6, 0.25), method_re="chi2")
    ours = mean_of([ufloat(v, 0.5) for v in values])
    assert nominal_value(ours.mean) == pytest.approx(theirs.mean_effect_re)
    assert std_dev(ours.mean) == pytest.approx(theirs.sd_eff_w_re)
