from math import radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from solver.errors import InputError
from solver.pooling import GROUPS, Repeat, Way, pool, side_by_side
from solver.repeats import mean_of
from solver.toppling import centre_height

SHOWN = st.floats(-10, 10).map(lambda value: round(value, 6))
"""Readings are decimal numbers of a few places."""
NUMBERS = st.lists(st.tuples(st.sampled_from("ABCD"), SHOWN), min_size=1, max_size=12)


def repeats(*groups):
    """Readings of Table 1, Table 2, … ."""
    return [Repeat(f"Table {i}", value) for i, group in enumerate(groups, 1) for value in group]


def fresh(value, u=1.0):
    return ufloat(value, u, "edge noise")


@given(NUMBERS)
def test_the_order_of_readings_changes_nothing(rows):
    one = pool([Repeat(group, value) for group, value in rows])
    other = pool([Repeat(group, value) for group, value in reversed(rows)])
    assert other.result.value == pytest.approx(one.result.value, abs=1e-9)
    assert other.result.u == pytest.approx(one.result.u, abs=1e-7)


@given(NUMBERS)
def test_the_mean_lies_among_the_readings(rows):
    values = [value for _, value in rows]
    found = pool([Repeat(group, value) for group, value in rows])
    assert min(values) - 1e-9 <= found.result.value <= max(values) + 1e-9
    assert sum(group.count for group in found.groups) == len(values)
    assert sum(group.weight for group in found.groups) == pytest.approx(1)


@given(st.lists(SHOWN, min_size=1, max_size=6))
def test_one_group_is_the_mean_of_its_repeats(values):
    found, plain = pool(repeats(map(fresh, values))), mean_of(list(map(fresh, values)))
    assert found.result.value == pytest.approx(nominal_value(plain.mean), abs=1e-9)
    assert found.result.half_width == pytest.approx(plain.u95, rel=1e-9)
    assert (found.agreement, found.alike) == (None, None)


def test_a_radius_all_share_is_not_averaged_away():
    radius = ufloat(0.034, 0.001, "base radius")
    angle = radians(22)
    heights = [[centre_height(radius, angle + ufloat(0, 1e-4, "brink"))] * 1 for _ in range(8)]
    found = pool(repeats(*heights))
    by_radius = next(part for part in found.result.budget if part.name == "base radius")
    assert by_radius.u / found.result.value == pytest.approx(0.001 / 0.034, rel=1e-6)
    assert found.agreement.agree
    assert found.agreement.q < 1e-6


def test_what_a_group_shares_is_averaged_over_groups_alone():
    """Four groups of three, a table's slope ± 1 in each: ± 1/√4, not ± 1/√12."""
    groups = [[ufloat(10, 1, "start tilt")] * 3 for _ in range(4)]
    assert pool(repeats(*groups)).result.u == pytest.approx(0.5)


def test_groups_that_differ_are_given_students_interval():
    """Exact means 1, 2, 3, 4: s/√4 = 0.6455, t with 3 degrees of freedom 3.1824."""
    found = pool(repeats([1.0], [2.0], [3.0], [4.0]))
    assert found.between == pytest.approx(np.std([1, 2, 3, 4], ddof=1))
    assert found.result.half_width == pytest.approx(3.1824 * 1.290994 / 2, rel=1e-4)
    assert [part.name for part in found.result.budget] == [GROUPS]


def test_groups_taken_as_alike_have_the_narrower_interval():
    found = pool(repeats([fresh(10.0)], [fresh(10.5)], [fresh(9.5)]))
    assert found.agreement.agree
    assert found.alike.half_width == pytest.approx(1.95996 / 3**0.5, rel=1e-4)
    assert found.result.half_width == pytest.approx(4.30265 / 3**0.5, rel=1e-4)


def test_groups_apart_disagree():
    found = pool(repeats([fresh(10.0)], [fresh(10.5)], [fresh(20.0)]))
    assert not found.agreement.agree
    assert found.between > 5


def test_a_class_of_one_reading():
    found = pool(repeats([fresh(10.0)]))
    assert (found.result.value, found.result.u) == (10.0, 1.0)
    assert found.precision.repeatability is None


def test_a_design_that_says_little_says_so():
    """t with 1, 2 and 3 degrees of freedom is 12.7, 4.3 and 3.2."""
    two, three = ([[fresh(10.0)] for _ in range(n)] for n in (2, 3))
    assert "third group" in pool(repeats(*two)).caution
    assert pool(repeats(*two)).result.coverage_factor == pytest.approx(12.706, abs=1e-3)
    assert pool(repeats(*three)).caution == ""
    assert "repeat it" in pool(repeats([fresh(10.0)])).caution


def test_no_readings_are_refused():
    with pytest.raises(InputError, match="at least one"):
        pool([])


@pytest.mark.parametrize("between", [0.0, 0.5, 2.0])
def test_intervals_hold_the_truth_as_often_as_they_say(between):
    """300 classes of six groups with unequal repeats, and a radius error they all share.

    95 % or more, but for 2 % of chance: where groups hardly differ, Student's t on all
    that is fresh gives more than 95 %.
    """
    rng, held = np.random.default_rng(7), 0
    for _ in range(300):
        radius = ufloat(rng.normal(0, 0.5), 0.5, "base radius")
        groups = [
            [rng.normal(table, 0.4) + ufloat(rng.normal(), 1.0, "brink") + radius for _ in range(n)]
            for n, table in zip((1, 2, 3, 3, 2, 3), rng.normal(0, between, 6), strict=True)
        ]
        low, high = pool(repeats(*groups)).result.interval
        held += low <= 0 <= high
    assert held / 300 > 0.92


def test_three_ways_side_by_side():
    radius = ufloat(0, 1.0)
    ways = [
        Way("toppling", 84 + radius),
        Way("balancing", ufloat(85, 1.0)),
        Way("prediction", 84.5 + radius),
    ]
    found = {(each.first, each.second): each.agreement for each in side_by_side(ways)}
    assert set(found) == {
        ("toppling", "balancing"),
        ("toppling", "prediction"),
        ("balancing", "prediction"),
    }
    assert found["toppling", "balancing"].ratio == pytest.approx(-1 / 2**0.5)
    assert std_dev(found["toppling", "prediction"].difference) == pytest.approx(0)


def test_a_way_known_from_few_repeats_reaches_as_far_as_its_interval():
    (found,) = side_by_side([Way("one", ufloat(10, 1.0), 2 * 1.959964), Way("other", 14.0)])
    assert found.agreement.ratio == pytest.approx(-2.0)
