from dataclasses import FrozenInstanceError
from math import inf, nan, pi, radians, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from solver import propagation
from solver.errors import AngleError, LengthError
from solver.propagation import RECTANGULAR, student
from solver.toppling import (
    base_radius,
    brink_angle,
    centre_height,
    evaluate_centre_height,
    radius_from_circumference,
    radius_from_diameter,
)

RADII = st.floats(0.001, 1.0)
ANGLES = st.floats(radians(0.5), radians(89.5))
HEIGHTS = st.floats(0.001, 2.0)


@given(radius=RADII, angle=ANGLES)
def test_angle_to_height_and_back(radius, angle):
    assert brink_angle(radius, centre_height(radius, angle)) == pytest.approx(angle, rel=1e-9)


@given(radius=RADII, height=HEIGHTS)
def test_height_to_angle_and_back(radius, height):
    assert centre_height(radius, brink_angle(radius, height)) == pytest.approx(height, rel=1e-9)


@given(radius=st.floats(0.001, 0.1), height=HEIGHTS, scale=st.floats(0.1, 10.0))
def test_scaling_lengths_leaves_the_angle(radius, height, scale):
    assert brink_angle(scale * radius, scale * height) == pytest.approx(brink_angle(radius, height))


@given(radius=RADII, height=HEIGHTS, more=st.floats(1.001, 5.0))
def test_a_higher_centre_topples_sooner_and_a_wider_base_later(radius, height, more):
    assert brink_angle(radius, more * height) < brink_angle(radius, height)
    assert brink_angle(radius / more, height) < brink_angle(radius, height)


@given(radius=RADII, angle=st.floats(radians(0.5), radians(80)), more=st.floats(1.001, 1.1))
def test_a_larger_brink_angle_means_a_lower_centre(radius, angle, more):
    assert centre_height(radius, more * angle) < centre_height(radius, angle)


def test_at_45_degrees_the_centre_is_as_high_as_the_base_is_wide():
    assert centre_height(0.04, pi / 4) == pytest.approx(0.04)


@given(radius=RADII)
def test_a_radius_from_what_a_rule_or_a_strip_of_paper_measures(radius):
    assert radius_from_diameter(2 * radius) == pytest.approx(radius)
    assert radius_from_circumference(2 * pi * radius) == pytest.approx(radius)


def test_uncertainty_of_a_circumference_shrinks_with_it():
    radius = radius_from_circumference(ufloat(0.230, 0.001, "strip"))
    assert std_dev(radius) == pytest.approx(0.001 / (2 * pi))


@pytest.mark.parametrize("radius", [0.0, -0.03, 1.01, 36.5, nan, inf, ufloat(-0.03, 0.1)])
def test_a_radius_out_of_range_is_refused_with_the_range(radius):
    for use in (base_radius, lambda r: centre_height(r, 0.3), lambda r: brink_angle(r, 0.1)):
        with pytest.raises(LengthError, match=r"base radius is .* at most 1000 mm"):
            use(radius)
    with pytest.raises(LengthError, match=r"base diameter is .* at most 2000 mm"):
        radius_from_diameter(2 * radius)
    with pytest.raises(LengthError, match=r"base circumference is .* at most 6283 mm"):
        radius_from_circumference(2 * pi * radius)


@pytest.mark.parametrize("angle", [0.0, -0.1, pi / 2, 20.0, nan])
def test_an_angle_out_of_range_is_refused_with_the_range(angle):
    with pytest.raises(AngleError, match=r"brink angle is .* more than 0° and less than 90°"):
        centre_height(0.03, angle)


@pytest.mark.parametrize("height", [0.0, -0.1, nan, inf])
def test_a_centre_not_above_the_base_is_refused(height):
    with pytest.raises(LengthError, match=r"centre height is .* more than 0 mm"):
        brink_angle(0.03, height)


@given(radius=RADII, angle=ANGLES, u_radius=st.floats(0.0001, 0.01), u_angle=st.floats(1e-4, 0.05))
def test_the_uncertainty_follows_the_slopes(radius, angle, u_radius, u_angle):
    """The derivatives by finite differences, not by the same algebra."""
    step = 1e-6
    by_radius = u_radius / tan(angle)
    by_angle = u_angle * radius / 2 / step * (1 / tan(angle + step) - 1 / tan(angle - step))
    height = centre_height(ufloat(radius, u_radius), ufloat(angle, u_angle))
    assert std_dev(height) == pytest.approx(np.hypot(by_radius, by_angle), rel=1e-4)


def test_a_budget_by_source():
    start, edge = ufloat(0.0, radians(0.1), "start tilt"), ufloat(radians(24), radians(0.05))
    found = evaluate_centre_height(ufloat(0.0365, 0.0001), edge + start)
    assert [row.name for row in found.linear.budget] == ["start tilt", "base radius", "brink angle"]
    assert sum(row.share for row in found.linear.budget) == pytest.approx(1.0)
    first = found.linear.budget[0]
    assert first.u == pytest.approx(0.0365 * radians(0.1) / np.sin(radians(24)) ** 2)


def test_a_close_reading_has_an_even_interval_and_no_caution():
    found = evaluate_centre_height(ufloat(0.03, 0.0001), ufloat(radians(20), radians(0.2)))
    assert not found.differs
    assert found.caution == ""
    assert found.interval_m == found.linear.interval
    assert nominal_value(found.height_m) == found.linear.value


def test_a_loose_reading_at_a_small_angle_is_lopsided_and_says_so():
    found = evaluate_centre_height(ufloat(0.025, 0.0002), ufloat(radians(12), radians(1)))
    low, high = found.interval_m
    assert found.differs
    assert found.interval_m == found.monte_carlo.interval
    assert high - found.linear.value > 1.3 * (found.linear.value - low)
    assert "between 100 mm and 141 mm" in found.caution
    assert "118 ± 20 mm" in found.caution


def test_limits_that_rule_the_budget_are_not_normal():
    """Rectangular: 95 % lies within √3 × 0.95 = 1.645 standard uncertainties, not 1.960."""
    angle = ufloat(radians(30), radians(0.5), "start tilt")
    found = evaluate_centre_height(0.03, angle, {"start tilt": RECTANGULAR})
    assert found.linear.coverage_factor == pytest.approx(1.6454, abs=1e-4)
    low, high = (
        0.03 / tan(angle.nominal_value + side * 1.6454 * angle.std_dev) for side in (1, -1)
    )
    assert found.monte_carlo.interval == pytest.approx((low, high), rel=1e-4)
    assert found.interval_m == pytest.approx((low, high), rel=1e-2)


@given(angle=st.floats(radians(8), radians(80)), u=st.floats(0.0005, 0.03))
def test_monte_carlo_maps_the_ends_of_the_angle(angle, u):
    """With an exact radius the ends are those of the angle, exactly: tan is monotone."""
    found = evaluate_centre_height(0.03, ufloat(angle, u))
    low, high = (0.03 / tan(angle + side * 1.959964 * u) for side in (1, -1))
    assert found.monte_carlo.interval == pytest.approx((low, high), abs=0.002 * (high - low))


@pytest.mark.parametrize(("angle_deg", "end"), [(5.0, "0°"), (86.0, "90°")])
def test_an_angle_that_may_as_well_be_an_end_says_nothing_of_the_height(angle_deg, end):
    with pytest.raises(AngleError, match=f"it may as well be {end}"):
        evaluate_centre_height(0.03, ufloat(radians(angle_deg), radians(3)))


def test_a_draw_below_level_leaves_the_ends_and_takes_the_mean():
    found = evaluate_centre_height(ufloat(0.025, 0.0002), ufloat(radians(5), radians(1.5)))
    assert found.monte_carlo.mean is None
    assert 0 < found.interval_m[0] < found.interval_m[1] < inf


def test_few_repeats_widen_the_interval():
    angle = ufloat(radians(24), radians(0.3), "repeats")
    many = evaluate_centre_height(0.03, angle)
    few = evaluate_centre_height(0.03, angle, {"repeats": student(2)})
    assert few.linear.half_width == pytest.approx(many.linear.half_width * 4.3027 / 1.95996, 1e-4)
    assert few.monte_carlo.interval[1] > many.monte_carlo.interval[1]


def test_exact_numbers_give_an_exact_height():
    found = evaluate_centre_height(0.03, radians(30))
    height = 0.03 / tan(radians(30))
    assert found.interval_m == pytest.approx((height, height))
    assert not found.differs


@pytest.mark.parametrize(("angle_deg", "u_deg"), [(12.0, 1.0), (30.0, 0.5)])
def test_intervals_hold_the_truth_as_often_as_they_say(angle_deg, u_deg, monkeypatch):
    monkeypatch.setattr(propagation, "LOG2_DRAWS", 10)
    rng, runs, truth = np.random.default_rng(7), 1500, centre_height(0.03, radians(angle_deg))
    held = 0
    for radius, angle in rng.normal((0.03, angle_deg), (0.0003, u_deg), (runs, 2)):
        read = ufloat(radius, 0.0003), ufloat(radians(angle), radians(u_deg))
        low, high = evaluate_centre_height(*read).interval_m
        held += low <= truth <= high
    assert held / runs == pytest.approx(0.95, abs=0.017)


def test_results_cannot_be_altered():
    found = evaluate_centre_height(0.03, ufloat(0.4, 0.01))
    with pytest.raises(FrozenInstanceError):
        found.tolerance_m = 0.0
