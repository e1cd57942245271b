import pytest
from uncertainties import nominal_value, std_dev, ufloat

from solver.shared import only, sharing, sources


def angle(value):
    return value + ufloat(0, 3.0, "start tilt") + ufloat(0, 4.0, "brink")


def test_what_is_shared_cancels_in_a_difference_and_stays_in_a_mean():
    first, second = sharing([angle(10.0), angle(12.0)])
    assert (nominal_value(first), std_dev(first)) == (10.0, pytest.approx(5.0))
    assert std_dev(first - second) == pytest.approx(4 * 2**0.5)
    assert std_dev((first + second) / 2) == pytest.approx((9 + 16 / 2) ** 0.5)


def test_the_sign_of_a_source_is_kept():
    first, second = sharing([angle(10.0), -angle(12.0)])
    assert std_dev(first + second) == pytest.approx(4 * 2**0.5)


def test_exact_values_and_other_names_are_left_as_they_are():
    values = [1.0, angle(2.0)]
    assert sharing(values, ("base radius",)) == values


def test_only_some_sources():
    r, a = ufloat(10, 1.0), ufloat(20, 2.0)
    assert sources(r * a) == {r, a}
    assert std_dev(only(r * a, {r})) == pytest.approx(20)
    assert nominal_value(only(r * a, {r})) == 0
    assert (sources(3.0), only(3.0, {r})) == (frozenset(), 0.0)
