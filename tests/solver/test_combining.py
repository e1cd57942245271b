import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.combining import agreement, fixed_effect, paule_mandel
from solver.errors import InputError

RESULTS = st.lists(
    st.tuples(st.floats(-100, 100), st.floats(0.01, 10)), min_size=2, max_size=9
).map(lambda rows: tuple(zip(*rows, strict=True)))


@given(RESULTS)
def test_paule_mandel_solves_its_own_equation(results):
    y, u = map(np.array, results)
    found = paule_mandel(y, u)
    q = np.sum((y - found.mean) ** 2 / (u**2 + found.between**2))
    if found.between:
        assert q == pytest.approx(len(y) - 1, rel=1e-6)
    else:
        assert q <= (len(y) - 1) * (1 + 1e-9)


@given(RESULTS)
def test_the_mean_lies_among_the_results_and_the_weights_sum_to_one(results):
    y, u = results
    for found in (fixed_effect(y, u), paule_mandel(y, u)):
        assert min(y) - 1e-9 <= found.mean <= max(y) + 1e-9
        assert found.weights.sum() == pytest.approx(1)
        assert found.u <= max(np.hypot(u, found.between))


@given(RESULTS, st.floats(-50, 50), st.floats(0.1, 10))
def test_another_origin_and_unit_change_nothing_else(results, shift, factor):
    y, u = map(np.array, results)
    one, other = paule_mandel(y, u), paule_mandel(factor * y + shift, factor * u)
    assert other.mean == pytest.approx(factor * one.mean + shift, abs=1e-5)
    assert other.between == pytest.approx(factor * one.between, abs=1e-4)


def test_results_that_agree_have_no_between_and_are_weighed_by_their_uncertainty():
    """By hand: weights 1 and 1/4, so (10 + 11/4) / (5/4) = 10.2 and u = 2/√5."""
    found = paule_mandel([10.0, 11.0], [1.0, 2.0])
    assert found.between == 0
    assert found.mean == pytest.approx(10.2)
    assert found.u == pytest.approx(2 / 5**0.5)


@given(st.lists(st.floats(-100, 100), min_size=2, max_size=8))
def test_exact_results_are_repeats(values):
    """With no uncertainties of their own τ is their standard deviation."""
    found = paule_mandel(values, np.zeros(len(values)))
    assert found.mean == pytest.approx(np.mean(values), abs=1e-6)
    assert found.between == pytest.approx(np.std(values, ddof=1), rel=1e-5, abs=1e-9)
    assert found.u == pytest.approx(found.between / len(values) ** 0.5, rel=1e-5, abs=1e-9)


@pytest.mark.parametrize("scale", [1e-160, 1e-9, 1.0, 1e9])
def test_two_exact_results_at_any_scale(scale):
    """τ is |y₁ − y₂|/√2, where the bracket of the search ends if it is drawn too close."""
    found = paule_mandel([4.717636549478027 * scale, 4.0 * scale], [0.0, 0.0])
    assert found.between == pytest.approx(0.717636549478027 * scale / 2**0.5, rel=1e-6, abs=0)


def test_one_exact_result_among_uncertain_ones():
    found = paule_mandel([10.0, 10.0, 10.0], [0.0, 1.0, 1.0])
    assert (found.mean, found.between) == (10.0, 0.0)


def test_agreement_by_hand():
    """Q of 10 ± 1 and 13 ± 1: mean 11.5, 2 · 1.5² = 4.5; χ² with 1 degree: p = 0.0339."""
    found = agreement([10.0, 13.0], [1.0, 1.0])
    assert (found.q, found.freedoms) == (pytest.approx(4.5), 1)
    assert found.chance == pytest.approx(0.0339, abs=1e-4)
    assert not found.agree
    assert found.birge == pytest.approx(4.5**0.5)


@pytest.mark.parametrize(
    ("values", "u", "says"),
    [
        ([], [], "at least one"),
        ([1.0], [1.0, 2.0], "1 values and 2"),
        ([1.0, np.nan], [1.0, 1.0], "finite"),
        ([1.0, 2.0], [1.0, -1.0], "below 0"),
    ],
)
def test_what_cannot_be_combined_is_refused(values, u, says):
    with pytest.raises(InputError, match=says):
        paule_mandel(values, u)


def test_weighing_by_no_uncertainty_is_refused():
    with pytest.raises(InputError, match="without uncertainty"):
        fixed_effect([1.0, 2.0], [0.0, 1.0])
    with pytest.raises(InputError, match="at least two"):
        agreement([1.0], [1.0])
