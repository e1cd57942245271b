from math import inf, nan, pi

import pytest
from uncertainties import UFloat, ufloat

from solver.errors import AngleError, LengthError, MassError
from solver.quantities import DEGREE, MILLIMETRE, a_length, a_mass, an_angle, decimal, measured


def test_a_value_in_range_comes_back_as_it_was():
    radius = ufloat(0.0365, 0.0002)
    assert a_length(radius, "radius") is radius


@pytest.mark.parametrize("value", [0.0, -0.01, 1.2, nan, inf, ufloat(-0.1, 0.2)])
def test_a_length_out_of_range_is_refused_with_the_range(value):
    with pytest.raises(LengthError, match="more than 0 mm and at most 1000 mm"):
        a_length(value, "radius", high=1.0, ends="(]")


def test_ends_of_a_range_belong_as_written():
    assert a_length(0.0, "bevel", ends="[)") == 0.0
    with pytest.raises(LengthError, match="at least 0 mm and less than 5 mm"):
        a_length(0.005, "bevel", high=0.005, ends="[)")


def test_each_kind_raises_its_own_error_in_its_own_unit():
    with pytest.raises(MassError, match="mass of the lid is −3 g; it must be more than 0 g"):
        a_mass(-0.003, "mass of the lid")
    with pytest.raises(AngleError, match="95°; it must be more than 0° and less than 90°"):
        an_angle(95 * pi / 180, "brink angle")


def test_units_show_values_as_people_read_them():
    assert MILLIMETRE.show(ufloat(0.0365, 0.001)) == "36.5 mm"
    assert DEGREE.show(-pi / 6) == "−30°"


def test_measured_is_exact_where_nothing_is_uncertain():
    assert measured(0.1, 0.0, "rule") == 0.1
    assert not isinstance(measured(0.1, 0.0, "rule"), UFloat)
    rule = measured(0.1, 0.002, "rule")
    assert (rule.nominal_value, rule.std_dev, rule.tag) == (0.1, 0.002, "rule")


@pytest.mark.parametrize(
    ("number", "text"),
    [(36.5, "36.5"), (0.00047012, "0.0004701"), (123456.0, "123500"), (-2.0, "-2"), (0.0, "0")],
)
def test_decimals_have_no_exponent_and_no_idle_zeros(number, text):
    assert decimal(number) == text
