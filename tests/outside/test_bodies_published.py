"""Bodies against examination answers and a physics engine.

The examples are worked answers of published mark schemes, named at each; their
arithmetic was done again. Lengths are centimetres in the papers, metres here.
"""

from math import degrees, hypot, sinh

import pytest
from scipy.optimize import brentq

from solver.bodies import Body, Contact, Part
from solver.moments import together
from solver.quantities import GRAVITY_M_S2
from solver.shapes import box, cone, cylinder, disc, frustum, hemisphere, tube
from tests.outside.engine_bench import TIPPED_RAD, Bench


def uniform(shape, radius):
    return Body("body", (Part.of("all", shape, 1.0),), Contact.circle(radius))


@pytest.mark.parametrize(
    ("source", "shape", "radius", "angle_deg"),
    [
        ("OCR M2 Jan 2007 Q1", cylinder(0.06, 0.20), 0.06, 31.0),
        ("OCR M2 specimen Q2", cylinder(0.06, 0.15), 0.06, 38.7),
        ("CAIE M2 Nov 2008 Q2", cylinder(0.10, 0.24), 0.10, 39.8),
        ("Edexcel M3 Jan 2008 Q3", frustum(0.2, 0.1, 0.2), 0.2, 68.6),
        ("OCR MEI Minor Nov 2020 Q1", box(0.12, 0.12, 0.24), 0.06, 26.6),
    ],
)
def test_examination_answers_for_the_angle(source, shape, radius, angle_deg):
    assert degrees(uniform(shape, radius).brink_rad()) == pytest.approx(angle_deg, abs=0.05)


def test_ocr_m2_june_2005_question_1():
    """A cone of height 20 topples at 24°: r = 2.2."""
    radius = brentq(lambda r: degrees(uniform(cone(r, 0.2), r).brink_rad()) - 24, 0.005, 0.1)
    assert radius == pytest.approx(0.022, abs=0.0005)


def test_edexcel_m3_january_2008_question_3():
    """A frustum of radii 2r and r: the centre is 11h/28 above the larger end."""
    assert frustum(0.2, 0.1, 0.28).moments.centre_m[2] == pytest.approx(0.11)


def test_edexcel_fm2_june_2020_question_4():
    """A cylinder of height 4r/3 with a hemisphere on top: the centre is at 73r/72."""
    r = 0.03
    top = hemisphere(r).moments.moved((0.0, 0.0, 4 * r / 3))
    whole = together([cylinder(r, 4 * r / 3).moments, top])
    assert whole.centre_m[2] == pytest.approx(73 * r / 72)


def test_tube_with_a_base_of_the_same_sheet():
    """The centre is at h²/(2h + r): algebra, in any table of centroids of the trade."""
    wall, base = tube(0.04, 0.12), disc(0.04)
    parts = (
        Part.of("wall", wall, wall.moments.amount),
        Part.of("base", base, base.moments.amount),
    )
    tin = Body("tin", parts, Contact.circle(0.04))
    assert tin.centre_height_m == pytest.approx(0.12**2 / (2 * 0.12 + 0.04))


@pytest.mark.parametrize(("r", "height"), [(0.03, 0.12), (0.02, 0.16), (0.04, 0.09)])
def test_engine_tips_as_late_as_the_inertia_about_the_pivot_says(r, height):
    """MuJoCo: from the brink on, lean = (ω/k)(sinh kτ − kτ) with k² = m g √(r² + x²)/I."""
    block = Body("block", (Part.of("all", box(2 * r, 2 * r, height), 0.2),), Contact.circle(r))
    pull = 0.2 * GRAVITY_M_S2 * hypot(r, block.centre_height_m)
    k, rate = (pull / block.inertia_kg_m2()) ** 0.5, 0.05
    brink = block.brink_rad()
    lag_s = brentq(lambda t: rate / k * (sinh(k * t) - k * t) - TIPPED_RAD, 0.0, 2.0)
    seen, tilt = Bench(r, height / 2, 2.0, height).raise_from(brink - 0.02, rate)
    assert seen == "topples"
    assert degrees(tilt - brink - rate * lag_s) == pytest.approx(0.0, abs=0.02)
