"""The toppling formula against examination answers, algebra and reference libraries.

The examples are worked answers of published mark schemes, named at each; their
arithmetic was done again. Lengths are centimetres in the papers, metres here.
"""

from math import atan, cos, degrees, radians, sin, tan

import numpy as np
import pytest
from scipy.integrate import dblquad
from scipy.stats import norm
from uncertainties import ufloat

from solver.toppling import brink_angle, centre_height, evaluate_centre_height


@pytest.mark.parametrize(
    ("radius_m", "height_m", "angle_deg"),
    [
        pytest.param(0.06, 0.20 / 2, 31.0, id="OCR M2 Jan 2007 Q1: cylinder h 20, d 12"),
        pytest.param(0.06, 0.15 / 2, 38.7, id="OCR M2 specimen Q2: cylinder r 6, h 15"),
        pytest.param(0.022, 0.20 / 4, 24.0, id="OCR M2 Jun 2005 Q1: cone h 20, r 2.2 (2 s.f.)"),
        pytest.param(0.10, 0.24 / 2, 39.8, id="CAIE M2 Nov 2008 Q2: cylinder h 24, r 10"),
        pytest.param(0.20, 0.20 * 11 / 28, 68.6, id="Edexcel M3 Jan 2008 Q3: frustum, h = 2r"),
        pytest.param(0.06, 0.12, 26.6, id="OCR MEI Minor Nov 2020 Q1: arctan(6/12)"),
    ],
)
def test_examination_answers(radius_m, height_m, angle_deg):
    figures = 0.31 if angle_deg == 24.0 else 0.05
    assert degrees(brink_angle(radius_m, height_m)) == pytest.approx(angle_deg, abs=figures)
    back = centre_height(radius_m, radians(angle_deg))
    slack = radians(figures) * radius_m / sin(radians(angle_deg)) ** 2
    assert back == pytest.approx(height_m, abs=slack)


def test_ocr_m2_june_2005_question_1():
    """A cone of height 20 topples at 24°: r = 5 tan 24° = 2.2, to the figures given."""
    radius = 0.05 / centre_height(1.0, radians(24))
    assert radius == pytest.approx(0.022, abs=0.0005)
    assert degrees(brink_angle(radius, 0.05)) == pytest.approx(24.0)


def test_edexcel_fm2_june_2020_question_4():
    """Centre 73r/72; pushed at the top, 7r/3 up, it tilts at 3Mg/7.

    On an incline the weight's share along the slope acts at the centre and does the
    same work as the push at the top, so the brink's tangent is (3/7)(7r/3)/(73r/72).
    """
    r = 0.03
    assert tan(brink_angle(r, 73 * r / 72)) == pytest.approx((3 / 7) * (7 / 3) / (73 / 72))


def test_a_body_squatter_than_the_friction_slides_at_31_degrees():
    """μ = 0.6 slides at atan 0.6 = 31.0°, the brink of a body with r/x = 0.6 (algebra)."""
    assert degrees(brink_angle(0.06, 0.1)) == pytest.approx(31.0, abs=0.05)
    assert brink_angle(0.07, 0.1) > atan(0.6) > brink_angle(0.05, 0.1)


def test_uncertainty_by_three_libraries():
    """r 30(0.1) mm, 20(0.2)°: x 82.424, u 0.936, by uncertainties, GTC and metrolopy."""
    found = evaluate_centre_height(ufloat(0.03, 0.0001), ufloat(radians(20), radians(0.2)))
    assert 1e3 * found.linear.value == pytest.approx(82.424, abs=0.0005)
    assert 1e3 * found.linear.u == pytest.approx(0.936, abs=0.0005)
    assert not found.differs


def test_where_linear_propagation_fails():
    """r 25(0.2) mm, 12(1)°: u 10.14 to first order, 10.44 by a library's random draws."""
    radius, angle, u = 0.025, radians(12), radians(1)
    found = evaluate_centre_height(ufloat(radius, 0.0002), ufloat(angle, u))
    shift = 1e3 * (found.monte_carlo.mean - found.linear.value)
    second_order = 1e3 * radius * cos(angle) / sin(angle) ** 3 * u**2
    assert 1e3 * found.linear.u == pytest.approx(10.14, abs=0.005)
    assert 1e3 * found.monte_carlo.u == pytest.approx(10.44, abs=0.03)
    assert shift == pytest.approx(0.85, abs=0.01)
    assert second_order == pytest.approx(0.83, abs=0.01)
    assert found.differs


def test_draws_against_quadrature():
    """The same mean and standard deviation by scipy's adaptive integration."""

    def moment(power):
        def integrand(z, w):
            height = (0.025 + 0.0002 * w) / tan(radians(12 + z))
            return height**power * norm.pdf(z) * norm.pdf(w)

        return dblquad(integrand, -6, 6, -6, 6, epsabs=1e-9)[0]

    mean = moment(1)
    sd = np.sqrt(moment(2) - mean**2)
    found = evaluate_centre_height(ufloat(0.025, 0.0002), ufloat(radians(12), radians(1)))
    assert found.monte_carlo.mean == pytest.approx(mean, rel=1e-4)
    assert found.monte_carlo.u == pytest.approx(sd, rel=1e-3)


@pytest.mark.parametrize(("angle_deg", "percent"), [(10, 1.02), (15, 0.70), (20, 0.54), (30, 0.40)])
def test_a_tenth_of_a_degree_in_the_height(angle_deg, percent):
    """|dx/x| = 2 dθ / sin 2θ (algebra)."""
    found = evaluate_centre_height(0.03, ufloat(radians(angle_deg), radians(0.1)))
    assert 100 * found.linear.u / found.linear.value == pytest.approx(percent, abs=0.005)
