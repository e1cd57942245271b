import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from solver.errors import InputError
from solver.outlying import cochran, cochran_critical, far_from_others, grubbs, grubbs_critical
from solver.scatter import Scatter

NO_SCATTER = Scatter(0.0, 0)


def test_grubbs_by_hand():
    """Of 0, 0, 0, 0, 5: mean 1, s = √5, so 4/√5 = 1.789, beyond 1.715 and 1.764."""
    found = grubbs([0, 0, 5, 0, 0])
    assert (found.row, found.statistic) == (2, pytest.approx(4 / 5**0.5))
    assert found.stands_out
    assert found.statistic > found.outlier_at


@given(st.lists(st.floats(-100, 100), min_size=3, max_size=3))
def test_three_repeats_are_never_judged_by_their_scatter(values):
    assert grubbs(values) is None


def test_equal_values_do_not_stand_out():
    assert grubbs([2.0] * 6) is None


@given(st.integers(3, 60))
def test_the_critical_value_is_less_than_can_be_reached(count):
    """No value can lie farther than (n−1)/√n standard deviations from the mean."""
    assert 1 < grubbs_critical(count) < grubbs_critical(count, 0.01) < (count - 1) / count**0.5


def test_a_reading_beyond_its_own_interval():
    others = [ufloat(10.0, 0.1), ufloat(10.0, 0.1)]
    far = far_from_others(ufloat(11.0, 0.1), others, NO_SCATTER)
    assert far.ratio == pytest.approx(1 / (1.95996 * 0.1 * 1.5**0.5), rel=1e-4)
    assert far.stands_out
    assert not far_from_others(ufloat(10.2, 0.1), others, NO_SCATTER).stands_out


def test_scatter_seen_elsewhere_is_granted():
    others = [ufloat(10.0, 0.1), ufloat(10.0, 0.1)]
    assert not far_from_others(ufloat(11.0, 0.1), others, Scatter(0.6, 8)).stands_out


def test_what_a_reading_shares_with_the_others_excuses_nothing():
    table = ufloat(0.0, 5.0)
    far = far_from_others(ufloat(11.0, 0.1) + table, [ufloat(10.0, 0.1) + table], NO_SCATTER)
    assert far.stands_out


def test_exact_readings_that_differ_stand_out():
    assert far_from_others(2.0, [1.0], NO_SCATTER).stands_out
    assert not far_from_others(1.0, [1.0], NO_SCATTER).stands_out


def test_cochran_by_hand():
    """Variances 0.5, 0.5 and 8 of pairs: 8/9; the line for 3 groups of 2 is 0.967 in any table."""
    found = cochran([[1.0, 2.0], [3.0], [2.0, 3.0], [1.0, 5.0]])
    assert (found.row, found.statistic) == (3, pytest.approx(8 / 9))
    assert found.straggler_at == pytest.approx(0.967, abs=5e-4)
    assert not found.stands_out


@pytest.mark.parametrize("groups", [[[1.0], [2.0]], [[1.0, 2.0], [3.0]], [[1.0, 1.0], [2.0, 2.0]]])
def test_cochran_needs_groups_that_repeat_and_scatter(groups):
    assert cochran(groups) is None


def test_too_few_are_refused():
    with pytest.raises(InputError, match="at least 3"):
        grubbs_critical(2)
    with pytest.raises(InputError, match="two groups"):
        cochran_critical(1, 3)
    with pytest.raises(InputError, match="no other readings"):
        far_from_others(1.0, [], NO_SCATTER)
