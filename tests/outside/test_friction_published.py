"""Slide or topple against published results, exam answers and a physics engine."""

from math import atan, cos, degrees, radians, sin, tan

import pytest

from solver.friction import Motion, Push, Slide, Stand, Way, friction_by_surface, push
from tests.outside.engine_bench import Bench

R, X, HEIGHT = 0.036, 0.06, 0.15


@pytest.mark.parametrize(
    ("angle_deg", "coefficient"),
    [(26.565, 0.5), (24.228, 0.45), (16.699, 0.3), (11.310, 0.2)],
)
def test_the_inclined_plane_method_of_the_standards(angle_deg, coefficient):
    """ASTM G219 and TAPPI T 815: coefficient = tan of the angle at first slip.

    The coefficients are those of the CTU Code's friction annex, static and dry:
    cardboard on cardboard, sawn timber on plywood, planed wood on plywood,
    smooth metal on metal. The angles are their arctangents.
    """
    found = friction_by_surface([Slide("surface", radians(angle_deg))])["surface"].mean
    assert found == pytest.approx(coefficient, abs=5e-5)


def test_a_body_squatter_than_mu_slides_first():
    """μ = 0.6 slides at 31.0° (algebra)."""
    assert degrees(Stand(0.07, 0.1, 0.6).slide_rad) == pytest.approx(31.0, abs=0.05)
    assert Stand(0.07, 0.1, 0.6).raised().likely is Motion.SLIDES
    assert Stand(0.05, 0.1, 0.6).raised().likely is Motion.TOPPLES


def test_ocr_m2_specimen_question_2():
    """Cylinder r 6, h 15: topples at 38.7°; with μ = 3/4 it slides first, at 36.9°."""
    stand = Stand(0.06, 0.075, 0.75)
    assert degrees(stand.brink_rad) == pytest.approx(38.7, abs=0.05)
    assert degrees(stand.slide_rad) == pytest.approx(36.9, abs=0.05)
    assert stand.raised().likely is Motion.SLIDES


def test_edexcel_fm2_june_2020_question_4():
    """Cylinder and hemisphere pushed at the top: tilts at 3Mg/7, slides first if μ < 3/7."""
    r, mass = 0.03, 0.5
    slippery, rough = (
        push(Stand(r, 73 * r / 72, mu, mass), Push(7 * r / 3)) for mu in (0.42, 0.44)
    )
    assert rough.topple_n == pytest.approx(3 * mass * 9.81 / 7)
    assert slippery.verdict.likely is Motion.SLIDES
    assert rough.verdict.likely is Motion.TOPPLES
    assert push(Stand(r, 73 * r / 72, 3 / 7), Push(r)).crossing_m == pytest.approx(7 * r / 3)


def test_a_cube_pushed_along_its_top_edge():
    """Tilts before it slides if μ > 1/2: common practice of the trade."""
    assert push(Stand(0.05, 0.05, 0.5), Push(0.1)).verdict.chance == 0.5
    assert push(Stand(0.05, 0.05, 0.51), Push(0.1)).verdict.likely is Motion.TOPPLES


def test_a_level_push_up_a_slope_acts_as_on_a_square_threaded_screw():
    """P = W tan(α + φ) with φ the angle of friction: common practice of the trade."""
    how = Push.horizontal(0.02, radians(12), 0.06, Way.UP)
    found = push(Stand(0.04, 0.05, 0.3, 1.0), how, radians(12)).slide_n
    assert found == pytest.approx(9.81 * tan(radians(12) + atan(0.3)))


@pytest.mark.parametrize(("share", "motion"), [(0.97, Motion.SLIDES), (1.03, Motion.TOPPLES)])
def test_engine_on_an_incline_at_the_boundary(share, motion):
    """MuJoCo, with μ a little below and above r/x, goes the way of the verdict."""
    mu = share * R / X
    stand = Stand(R, X, mu, top_m=HEIGHT)
    first = min(stand.slide_rad, stand.brink_rad)
    seen, tilt = Bench(R, X, mu, HEIGHT).raise_from(first - radians(1.0))
    assert seen == stand.raised().likely == motion
    assert 0.0 < degrees(tilt - first) < 0.9


def both(how, stand, tilt=0.0):
    """What engine and solver say of a push: motion, and the force over that predicted."""
    result = push(stand, how, tilt)
    least = min(result.slide_n, result.topple_n)
    bench = Bench(R, X, stand.friction, HEIGHT, stand.mass_kg)
    seen, force = bench.push_at(how, tilt, 0.95 * least)
    return seen, result.verdict.likely, force / least


@pytest.mark.parametrize(("share", "motion"), [(0.98, Motion.SLIDES), (1.02, Motion.TOPPLES)])
def test_engine_under_a_level_push_at_the_boundary(share, motion):
    """MuJoCo, pushed a little below and above h = r/μ, goes the way of the verdict.

    The force is read when the block has gone 1 mm or 0.02 rad, so a little late.
    """
    seen, said, ratio = both(Push(share * R / 0.4), Stand(R, X, 0.4, 0.2, HEIGHT))
    assert seen == said == motion
    assert 1.0 <= ratio < 1.05


@pytest.mark.parametrize("way", Way)
@pytest.mark.parametrize("angle_deg", [-15.0, 20.0])
@pytest.mark.parametrize(("share", "motion"), [(0.97, Motion.SLIDES), (1.03, Motion.TOPPLES)])
def test_engine_under_a_slanted_push_on_a_slope(way, angle_deg, share, motion):
    """MuJoCo, with every term of both forces at work."""
    tilt, angle, stand = radians(8), radians(angle_deg), Stand(R, X, 0.45, 0.2, HEIGHT)
    crossing = push(stand, Push(0.05, angle, 0.05, way), tilt).crossing_m
    seen, said, ratio = both(Push(share * crossing, angle, 0.05, way), stand, tilt)
    assert seen == said == motion
    assert 1.0 <= ratio < 1.05


def test_engine_at_the_angle_of_friction_far_from_toppling():
    """MuJoCo slides at atan μ; at 0.05 rad/s it is seen a little late, after 1 mm of slip."""
    seen, tilt = Bench(0.06, 0.05, 0.3, 0.1).raise_from(atan(0.3) - radians(1.0))
    assert seen == "slides"
    late_s = (6 * 0.001 / (0.05 * 9.81 * (cos(atan(0.3)) + 0.3 * sin(atan(0.3))))) ** (1 / 3)
    assert degrees(tilt - atan(0.3) - 0.05 * late_s) == pytest.approx(0.0, abs=0.1)
