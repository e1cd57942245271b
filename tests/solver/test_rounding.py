from decimal import Decimal
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from solver.errors import InputError
from solver.rounding import last_decimal, rounded, rounded_interval


@pytest.mark.parametrize(
    ("value", "u", "text"),
    [
        (82.424, 1.83537, "82.4 ± 1.8"),
        (0.46631, 0.00061, "0.46631 ± 0.00061"),
        (-3.2, 0.999, "−3.2 ± 1.0"),
        (1.0, 0.0996, "1.00 ± 0.10"),
        (1234.5, 234.0, "1230 ± 230"),
        (-0.0004, 0.1, "0.00 ± 0.10"),
    ],
)
def test_two_figures_of_uncertainty_and_the_value_to_the_same_place(value, u, text):
    assert str(rounded(value, u)) == text


@pytest.mark.parametrize("u", [0.0, -0.1, nan, inf])
def test_without_an_uncertainty_nothing_says_where_to_round(u):
    with pytest.raises(InputError, match="above 0"):
        rounded(1.0, u)


def test_an_interval_is_rounded_by_its_half_width():
    assert rounded_interval(100.489, 141.294) == ("100", "141")
    assert rounded_interval(-0.123, 0.456) == ("−0.12", "0.46")


@given(value=st.floats(-1e4, 1e4), u=st.floats(1e-6, 1e3))
def test_the_text_is_within_half_its_last_place(value, u):
    text = rounded(value, u)
    half = 0.5000001 * 10.0 ** -last_decimal(u)
    assert abs(float(text.value.replace("−", "-")) - value) <= half
    assert abs(float(text.uncertainty) - u) <= half


@given(value=st.floats(-1e4, 1e4), u=st.floats(1e-6, 9.0))
def test_it_rounds_as_uncertainties_does(value, u):
    """Right of the point; left of it that library keeps every figure."""
    theirs = f"{ufloat(value, u):.2uf}".split("+/-")
    ours = rounded(value, u)
    mine = [ours.value.replace("−", "-"), ours.uncertainty]
    assert [Decimal(text) for text in mine] == [Decimal(text) for text in theirs]
