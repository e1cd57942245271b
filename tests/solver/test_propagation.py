from math import hypot, inf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm, t
from uncertainties import ufloat

from solver import propagation
from solver.errors import InputError
from solver.propagation import RECTANGULAR, agree, linear, monte_carlo, student, tolerance

STEPS = st.floats(0.01, 10.0)


def budget_of(result):
    return {row.name: (row.u, row.share) for row in result.budget}


def test_a_budget_names_every_source_by_its_tag_or_its_input():
    first, second = ufloat(3.0, 0.3, "rule"), ufloat(2.0, 0.4)
    found = linear(2 * first + second, {"length": first, "width": second})
    rows = budget_of(found)
    assert rows["rule"] == (pytest.approx(0.6), pytest.approx(0.36 / 0.52))
    assert rows["width"] == (pytest.approx(0.4), pytest.approx(0.16 / 0.52))
    assert [row.name for row in found.budget] == ["rule", "width"]
    assert found.u == pytest.approx(sqrt(0.52))


def test_sources_with_one_tag_are_one_row():
    readings = [ufloat(1.0, 0.3, "reading"), ufloat(2.0, 0.4, "reading")]
    found = linear(sum(readings), dict(zip("ab", readings, strict=True)))
    assert budget_of(found) == {"reading": (pytest.approx(0.5), pytest.approx(1.0))}


@given(u=st.lists(STEPS, min_size=1, max_size=6))
def test_shares_sum_to_one_and_squares_to_the_variance(u):
    inputs = {f"i{i}": ufloat(1.0, step) for i, step in enumerate(u)}
    found = linear(sum(inputs.values()), inputs)
    assert sum(row.share for row in found.budget) == pytest.approx(1.0)
    assert hypot(*(row.u for row in found.budget)) == pytest.approx(found.u)


def test_the_order_of_sources_makes_no_difference_to_the_draws():
    """A reading back from the record has its sources in another order: its interval is the same."""

    def interval(first, second):
        parts = {"start": ufloat(0.0, 0.003, "start"), "brink": ufloat(0.0, 0.003, "brink")}
        angle = 0.38 + parts[first] + parts[second]
        return monte_carlo(lambda a: 34 / np.tan(a), {"a": angle}, {"start": RECTANGULAR}).interval

    assert interval("start", "brink") == pytest.approx(interval("brink", "start"), rel=1e-12)


def test_exact_numbers_give_a_point():
    found, drawn = linear(3.0, {"a": 3.0}), monte_carlo(lambda a: a, {"a": 3.0})
    assert (found.u, found.budget, found.interval) == (0.0, (), (3.0, 3.0))
    assert (drawn.mean, drawn.u, drawn.interval) == (3.0, 0.0, (3.0, 3.0))
    assert tolerance(found) == 0.0
    assert agree(found, drawn)


def test_one_source_keeps_its_freedoms_and_two_share_them():
    mean = ufloat(5.0, 0.2, "repeats")
    alone = linear(mean, {"x": mean}, {"repeats": student(4)})
    assert alone.freedoms == pytest.approx(4)
    assert alone.coverage_factor == pytest.approx(t.ppf(0.975, 4))
    other = ufloat(0.0, 0.2, "rule")
    both = linear(mean + other, {"x": mean, "y": other}, {"repeats": student(4)})
    assert both.freedoms == pytest.approx(16)


def test_normal_sources_have_the_normal_factor():
    length = ufloat(1.0, 0.1)
    found = linear(length, {"length": length})
    assert (found.freedoms, found.coverage_factor) == (inf, pytest.approx(1.959964))


def test_fewer_than_two_repeats_are_no_repeats():
    with pytest.raises(InputError, match="at least 1"):
        student(0.5)


@given(value=st.floats(-10, 10), u=STEPS)
def test_a_linear_model_by_draws_is_the_linear_one(value, u):
    length = ufloat(value, u)
    found = linear(3 * length, {"a": length})
    drawn = monte_carlo(lambda a: 3 * a, {"a": length})
    assert drawn.mean == pytest.approx(found.value, abs=1e-3 * u)
    assert drawn.u == pytest.approx(found.u, rel=1e-3)
    assert drawn.interval == pytest.approx(found.interval, abs=3e-3 * u)
    assert agree(found, drawn)


def test_a_source_that_two_inputs_share_moves_both():
    rule = ufloat(0.0, 0.5, "rule")
    drawn = monte_carlo(lambda a, b: a - b, {"a": 3.0 + rule, "b": 1.0 + rule})
    assert drawn.mean == pytest.approx(2.0)
    assert drawn.u == pytest.approx(0.0, abs=1e-12)


def test_draws_of_repeats_follow_student():
    mean = ufloat(5.0, 0.2, "repeats")
    drawn = monte_carlo(lambda a: a, {"x": mean}, {"repeats": student(4)})
    half = 0.2 * t.ppf(0.975, 4)
    assert drawn.interval == pytest.approx((5 - half, 5 + half), abs=2e-3)


def test_draws_within_limits_stay_within_them():
    length = ufloat(0.0, 1 / sqrt(3), "limits")
    draws = []
    monte_carlo(lambda a: draws.append(a) or a, {"a": length}, {"limits": RECTANGULAR})
    assert np.abs(draws[0]).max() <= 1.0
    assert np.abs(draws[0]).max() == pytest.approx(1.0, abs=1e-4)


def test_the_ends_are_settled(monkeypatch):
    """Other seeds scatter them by less than 1 % of u, with the sources of a clip's angle."""
    inputs = {f"i{i}": ufloat(0.0, 1.0) for i in range(7)}
    ends = []
    for seed in range(6):
        monkeypatch.setattr(propagation, "SEED", seed)
        ends.append(monte_carlo(lambda *draws: sum(draws), inputs).interval)
    assert np.std(ends, axis=0).max() < 0.01 * sqrt(7)


def test_draws_that_go_to_infinity_have_no_mean():
    length = ufloat(1.0, 0.5)
    drawn = monte_carlo(lambda a: np.where(a < 0, np.inf, a), {"a": length})
    assert (drawn.mean, drawn.u) == (None, None)


@given(share=st.floats(0.01, 0.99), level=st.sampled_from([0.68, 0.95, 0.99]))
def test_a_rectangle_beside_a_normal_source(share, level):
    """Against the sum's distribution function by quadrature."""
    box, rest = ufloat(0, share, "box"), ufloat(0, sqrt(1 - share**2), "rest")
    half = linear(1.0 + box + rest, {"x": 1.0 + box + rest}, {"box": RECTANGULAR}, level).half_width
    a = sqrt(3) * share
    inside, _ = quad(
        lambda x: (norm.cdf(half - x, 0, rest.s) - norm.cdf(-half - x, 0, rest.s)) / (2 * a),
        -a, a, points=[-min(half, a), min(half, a)], limit=200,
    )  # fmt: skip
    assert inside == pytest.approx(level, abs=1e-3)


def test_a_rectangle_alone():
    """Its inner 95 % (JCGM 101:2008, 6.4.2)."""
    box = ufloat(2.0, 0.1, "box")
    assert linear(box, {"x": box}, {"box": RECTANGULAR}).half_width == pytest.approx(
        0.95 * sqrt(3) * 0.1
    )
