import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from solver.edge_balance import Balance, End, Overhang, balanced_centre
from solver.errors import InputError, LengthError
from solver.repeats import compare

TIN = Balance(length_m=0.11, edge_radius_m=0.002, scale_u_m=0.0003)
EXACT = {"reading_u_m": 0.0}


@given(st.floats(0.01, 0.1), st.floats(0.0, 0.005))
def test_either_end_over_the_edge_gives_the_same_centre(centre, rho):
    balance = Balance(0.11, rho, **EXACT)
    base = balanced_centre(balance, [Overhang(centre - rho)])
    top = balanced_centre(balance, [Overhang(0.11 - centre - rho, End.TOP)])
    assert base.mean == pytest.approx(centre)
    assert top.mean == pytest.approx(centre)


def test_a_rounded_edge_lies_behind_its_face():
    sharp, rounded = (
        balanced_centre(Balance(0.11, rho, **EXACT), [Overhang(0.05)]) for rho in (0.0, 0.003)
    )
    assert rounded.mean - sharp.mean == pytest.approx(0.003)


def test_both_ends_cancel_the_edge_and_the_zero_of_the_rule():
    rho = ufloat(0.002, 0.001, "edge")
    readings = [Overhang(0.053), Overhang(0.055, End.TOP)]
    centre = balanced_centre(Balance(0.11, rho, 0.001, reading_u_m=0.0004), readings).mean
    one_end = balanced_centre(Balance(0.11, rho, 0.001, reading_u_m=0.0004), readings[:1]).mean
    assert std_dev(one_end) == pytest.approx((2 * 0.001**2 + 0.0004**2) ** 0.5)
    assert std_dev(centre) == pytest.approx(0.0004 / 2**0.5)


def test_repeats_add_their_scatter_to_rule_and_edge():
    readings = [Overhang(v) for v in (0.0530, 0.0540, 0.0535, 0.0539)]
    result = balanced_centre(TIN, readings)
    assert nominal_value(result.mean) == pytest.approx(0.0536 + 0.002)
    assert result.scatter == pytest.approx(0.00045461, abs=1e-8)
    assert std_dev(result.mean) == pytest.approx((0.0003**2 + 0.00045461**2 / 4) ** 0.5, rel=1e-4)
    assert result.u95 > 1.96 * std_dev(result.mean)


def test_a_single_reading_is_as_uncertain_as_rule_and_edge():
    result = balanced_centre(TIN, [Overhang(0.053)])
    assert std_dev(result.mean) == pytest.approx((0.0003**2 + 0.001**2 / 12) ** 0.5)
    assert result.scatter is None


def test_a_balance_is_compared_with_toppling_in_joint_uncertainties():
    balanced = balanced_centre(TIN, [Overhang(0.053)]).mean
    toppled = ufloat(0.0553, 0.0004, "toppling")
    result = compare(balanced, toppled)
    assert result.ratio == pytest.approx(-0.0003 / (0.0003**2 + 0.001**2 / 12 + 0.0004**2) ** 0.5)
    assert result.agrees


@pytest.mark.parametrize(
    ("balance", "readings", "error", "words"),
    [
        (TIN, [], InputError, "at least one"),
        (TIN, [Overhang(0.0)], LengthError, "overhang of the base"),
        (TIN, [Overhang(0.109)], LengthError, "less than 108 mm"),
        (TIN, [Overhang(0.05), Overhang(-0.01, End.TOP)], LengthError, "overhang of the top"),
        (Balance(0.0), [Overhang(0.05)], LengthError, "length of the body"),
        (Balance(0.11, -0.001), [Overhang(0.05)], LengthError, "radius of the table's edge"),
    ],
)
def test_readings_that_cannot_be_are_refused(balance, readings, error, words):
    with pytest.raises(error, match=words):
        balanced_centre(balance, readings)
