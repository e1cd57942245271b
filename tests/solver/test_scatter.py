import numpy as np
import pytest
from uncertainties import ufloat

from solver.scatter import Scatter, excess_scatter


def test_exact_repeats_scatter_as_their_pooled_standard_deviation():
    found = excess_scatter([[1.0, 2.0, 3.0], [5.0, 9.0], [4.0]])
    assert found.sigma == pytest.approx(np.sqrt((2 * 1 + 1 * 8) / 3))
    assert found.freedoms == 3


def test_own_uncertainties_are_taken_off_once():
    """s² = 8 of two readings, own variance 1 each: 8 − 1 = 7."""
    found = excess_scatter([[ufloat(5.0, 1.0), ufloat(9.0, 1.0)]])
    assert found.sigma == pytest.approx(7**0.5)


def test_what_repeats_share_explains_no_scatter():
    shared = ufloat(0, 10.0)
    assert excess_scatter([[5.0 + shared, 9.0 + shared]]).sigma == pytest.approx(8**0.5)


def test_repeats_their_uncertainties_explain_have_no_excess():
    assert excess_scatter([[ufloat(5.0, 3.0), ufloat(6.0, 3.0)]]) == Scatter(0.0, 1)


@pytest.mark.parametrize("groups", [[], [[1.0], [2.0]]])
def test_without_repeats_nothing_is_known(groups):
    assert excess_scatter(groups) == Scatter(0.0, 0)
