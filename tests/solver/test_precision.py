import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.errors import InputError
from solver.precision import precision

GROUPS = st.lists(st.lists(st.floats(-50, 50), min_size=1, max_size=5), min_size=1, max_size=6)


@given(GROUPS)
def test_squares_within_and_across_add_up_to_the_total(groups):
    """The identity of the analysis of variance, for any design."""
    found = precision(groups)
    flat = np.concatenate(groups)
    assert found.mean == pytest.approx(flat.mean(), abs=1e-9)
    assert found.readings == len(flat)
    if found.variance_ratio is None:
        return
    within = found.repeatability**2 * (len(flat) - len(groups))
    across = found.variance_ratio * found.repeatability**2 * (len(groups) - 1)
    assert within + across == pytest.approx(np.sum((flat - flat.mean()) ** 2), rel=1e-6, abs=1e-6)


def test_a_balanced_design_by_hand():
    """Means 1, 4, 7; s_r² = 1; s_d² = 3 · 9 = 27; s_L² = 26/3."""
    found = precision([[0, 1, 2], [3, 4, 5], [6, 7, 8]])
    assert found.repeatability == 1
    assert found.between == pytest.approx((26 / 3) ** 0.5)
    assert found.reproducibility == pytest.approx((29 / 3) ** 0.5)
    assert found.variance_ratio == pytest.approx(27)
    assert found.repeatability_limit == pytest.approx(2.8)


def test_an_unbalanced_design_by_hand():
    """n = 2, 1: ȳ = 2, s_r² = 2, s_d² = 2·1 + 1·4 = 6, n̄ = 3 − 5/3 = 4/3, s_L² = 3."""
    found = precision([[0, 2], [4]])
    assert found.repeatability == pytest.approx(2**0.5)
    assert found.between == pytest.approx(3**0.5)


def test_groups_closer_than_their_repeats_have_no_between():
    assert precision([[0, 10], [1, 9], [2, 8]]).between == 0


def test_what_the_design_cannot_show_is_none():
    alone = precision([[1.0, 2.0]])
    assert (alone.between, alone.reproducibility, alone.variance_ratio) == (None, None, None)
    assert alone.repeatability == pytest.approx(0.5**0.5)
    singles = precision([[1.0], [2.0]])
    assert (singles.repeatability, singles.between, singles.repeatability_limit) == (None,) * 3


def test_repeats_that_are_all_equal_leave_no_ratio():
    found = precision([[1.0, 1.0], [3.0, 3.0]])
    assert (found.repeatability, found.variance_ratio) == (0, None)
    assert found.between == pytest.approx(2**0.5)


@pytest.mark.parametrize("groups", [[], [[1.0], []]])
def test_an_empty_group_is_refused(groups):
    with pytest.raises(InputError, match="at least one reading"):
        precision(groups)
