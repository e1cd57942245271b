"""Propagation of uncertainty against the worked examples of JCGM 100 and 101."""

from math import sqrt

import pytest
from uncertainties import ufloat

from solver.propagation import RECTANGULAR, agree, linear, monte_carlo, student, tolerance
from solver.rounding import rounded

END_GAUGE = {
    "standard": ufloat(50_000_623.0, 25.0),
    "difference": ufloat(215.0, 9.7),
    "expansion": ufloat(11.5e-6, 1.2e-6),
    "temperature": ufloat(-0.1, 0.41),
    "expansions apart": ufloat(0.0, 0.58e-6),
    "temperatures apart": ufloat(0.0, 0.029),
}
"""JCGM 100:2008, Table H.1; nanometres and kelvins."""

FREEDOMS = {
    "standard": student(18),
    "difference": student(25.6),
    "expansions apart": student(50),
    "temperatures apart": student(2),
}
"""The same, but for the 25.6 of the difference, which is from memory."""


def end_gauge(standard, difference, expansion, temperature, apart, degrees_apart):
    """JCGM 100:2008, equation (H.3)."""
    return standard + difference - standard * (apart * temperature + expansion * degrees_apart)


def test_end_gauge_calibration():
    """JCGM 100:2008, H.1: 50.000838 mm, u 32 nm, 16 degrees of freedom, k99 2.92, U99 93 nm."""
    found = linear(end_gauge(*END_GAUGE.values()), END_GAUGE, FREEDOMS, level=0.99)
    assert found.value == pytest.approx(50_000_838)
    assert found.u == pytest.approx(32, abs=0.5)
    assert int(found.freedoms) == 16
    assert found.coverage_factor == pytest.approx(2.92, abs=0.005)
    assert found.half_width == pytest.approx(93, abs=0.5)
    assert str(rounded(found.value / 1e6, found.half_width / 1e6)) == "50.000838 ± 0.000093"


def test_end_gauge_budget():
    """The parts of u in nanometres: JCGM 100:2008, Table H.1, its last two by algebra."""
    found = linear(end_gauge(*END_GAUGE.values()), END_GAUGE, FREEDOMS)
    assert [(row.name, pytest.approx(row.u, abs=0.1)) for row in found.budget] == [
        ("standard", 25.0),
        ("temperatures apart", 50_000_623 * 11.5e-6 * 0.029),
        ("difference", 9.7),
        ("expansions apart", 50_000_623 * 0.1 * 0.58e-6),
    ]


def test_end_gauge_by_draws_is_wider_than_to_first_order():
    """Products of two deviations at zero are lost to first order: 34 nm instead of 32.

    JCGM 100:2008, H.1.7 gives the second-order terms 11.7 nm and 1.7 nm (algebra:
    ls u(δα) u(θ) and ls u(αs) u(δθ)); here all sources are taken as normal.
    """
    drawn = monte_carlo(end_gauge, END_GAUGE)
    first = linear(end_gauge(*END_GAUGE.values()), END_GAUGE).u
    second = 50_000_623 * sqrt((0.58e-6 * 0.41) ** 2 + (1.2e-6 * 0.029) ** 2)
    assert drawn.u == pytest.approx(sqrt(first**2 + second**2), rel=0.005)
    assert drawn.u == pytest.approx(34, abs=0.5)


@pytest.mark.parametrize(
    ("last", "u", "half", "holds"),
    [
        pytest.param(1.0, 2.00, 3.88, True, id="JCGM 101:2008, 9.2.3"),
        pytest.param(10.0, 10.1, 17.0, False, id="JCGM 101:2008, 9.2.4"),
    ],
)
def test_sums_of_rectangular_inputs(last, u, half, holds):
    """Four rectangular inputs of standard deviation 1, or three and one of 10.

    Values by recomputation; that the linear interval passes in the first case and
    fails in the second, as in the standard's tables, is from memory.
    """
    inputs = {f"x{i}": ufloat(0.0, sd) for i, sd in enumerate((1.0, 1.0, 1.0, last))}
    spreads = dict.fromkeys(inputs, RECTANGULAR)
    drawn = monte_carlo(lambda *x: sum(x), inputs, spreads)
    assert drawn.mean == pytest.approx(0.0, abs=0.01)
    assert drawn.u == pytest.approx(u, abs=0.06 if last > 1 else 0.005)
    assert drawn.interval == pytest.approx((-half, half), abs=0.05 if last > 1 else 0.01)
    by_slope = linear(sum(inputs.values()), inputs)
    assert tolerance(by_slope) == pytest.approx(0.5 if last > 1 else 0.05)
    assert agree(by_slope, drawn) is holds


def test_rounding_of_a_resistance():
    """JCGM 100:2008, 7.2.6: y = 10.057 62 Ω with u = 27 mΩ is 10.058 Ω (from memory)."""
    assert str(rounded(10.05762, 0.027)) == "10.058 ± 0.027"
