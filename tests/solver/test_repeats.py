import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from solver.errors import InputError
from solver.repeats import compare, mean_of

NUMBERS = st.lists(st.floats(-10, 10), min_size=2, max_size=8)


@given(NUMBERS)
def test_exact_repeats_have_the_standard_error_of_their_mean(values):
    result = mean_of(values)
    assert nominal_value(result.mean) == pytest.approx(np.mean(values), abs=1e-9)
    assert std_dev(result.mean) == pytest.approx(
        np.std(values, ddof=1) / len(values) ** 0.5, abs=1e-9
    )
    assert result.scatter == pytest.approx(np.std(values, ddof=1), abs=1e-9)


def test_the_coverage_factor_of_three_repeats_is_students():
    """t, 95 % two-sided, 2 degrees of freedom: 4.303 in any table."""
    assert mean_of([1.0, 2.0, 4.0]).coverage_factor == pytest.approx(4.3027, abs=1e-4)


def test_a_shared_uncertainty_does_not_average_out_and_lends_freedom():
    rule = ufloat(0.0, 0.5)
    result = mean_of([10.0 + rule, 11.0 + rule, 12.0 + rule])
    assert std_dev(result.mean) == pytest.approx((0.25 + 1 / 3) ** 0.5)
    assert result.coverage_factor < 4.3


def test_scatter_that_the_readings_explain_is_not_counted_twice():
    values = [ufloat(10.0, 1.0), ufloat(10.5, 1.0), ufloat(9.5, 1.0)]
    assert std_dev(mean_of(values).mean) == pytest.approx(1 / 3**0.5)
    assert mean_of(values).coverage_factor == pytest.approx(1.96, abs=1e-3)


def test_excess_scatter_is_added():
    values = [ufloat(10.0, 1.0), ufloat(14.0, 1.0), ufloat(6.0, 1.0)]
    assert std_dev(mean_of(values).mean) == pytest.approx(4 / 3**0.5)


def test_a_single_value_has_no_scatter():
    result = mean_of([ufloat(5.0, 0.1)])
    assert result.scatter is None
    assert result.u95 == pytest.approx(0.196, abs=1e-3)


def test_no_values_are_refused():
    with pytest.raises(InputError, match="at least one"):
        mean_of([])


def test_intervals_hold_the_truth_as_often_as_they_say():
    """2000 sets of four readings with a shared rule error: 95 % within 2 %."""
    rng = np.random.default_rng(5)
    held = 0
    for _ in range(2000):
        shift = rng.normal(0, 0.5)
        rule = ufloat(0.0, 0.5)
        result = mean_of([v + rule for v in rng.normal(shift, 1.0, 4)])
        held += abs(result.mean.nominal_value) <= result.u95
    assert held / 2000 == pytest.approx(0.95, abs=0.02)


def test_agreement_counts_in_joint_uncertainties():
    result = compare(ufloat(10.0, 3.0), ufloat(20.0, 4.0))
    assert result.ratio == pytest.approx(-2.0)
    assert result.agrees
    assert result.chance == pytest.approx(0.0455, abs=1e-4)
    assert not compare(ufloat(10.0, 3.0), ufloat(20.1, 4.0)).agrees


def test_what_both_share_cancels_in_a_comparison():
    length = ufloat(100.0, 5.0)
    assert compare(length + 1.0, length).ratio == float("inf")
    assert compare(length, length).ratio == 0.0
