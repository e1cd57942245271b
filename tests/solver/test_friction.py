from math import atan, cos, inf, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from solver.errors import AngleError, FrictionError, LengthError, MassError
from solver.friction import (
    GRAVITY_M_S2,
    Motion,
    Push,
    Slide,
    Stand,
    Way,
    friction_by_surface,
    push,
)
from tests.solver.rigs import tin_with_rod

SIZES = st.floats(0.01, 0.2)
FRICTIONS = st.floats(0.1, 1.5)
TIN = Stand(0.0365, 0.055, 0.45, mass_kg=0.12, top_m=0.11)


@given(SIZES, SIZES, FRICTIONS)
def test_on_an_incline_the_smaller_of_mu_and_r_over_x_comes_first(r, x, mu):
    assume(abs(mu - r / x) > 1e-6)
    stand = Stand(r, x, mu)
    slides = stand.slide_rad < stand.brink_rad
    assert stand.raised().likely is (Motion.SLIDES if slides else Motion.TOPPLES)


@given(SIZES, SIZES, FRICTIONS, st.floats(0.3, 3.0))
def test_scaling_lengths_leaves_the_angles_and_forces(r, x, mu, factor):
    one, other = Stand(r, x, mu), Stand(factor * r, factor * x, mu)
    assert other.brink_rad == pytest.approx(one.brink_rad)
    small, large = push(one, Push(0.05)), push(other, Push(factor * 0.05))
    assert large.topple_n == pytest.approx(small.topple_n)
    assert large.crossing_m == pytest.approx(factor * small.crossing_m)


@given(
    SIZES,
    SIZES,
    FRICTIONS,
    st.floats(0.0, 0.99),
    st.floats(-0.5, 0.9),
    st.floats(0.0, 0.1),
    st.sampled_from(Way),
)
def test_at_the_crossing_height_both_forces_are_the_same(r, x, mu, tilt_share, beta, behind, way):
    stand = Stand(r, x, mu)
    tilt = tilt_share * min(stand.slide_rad, stand.brink_rad)
    crossing = push(stand, Push(0.0, beta, behind, way), tilt).crossing_m
    assume(crossing is not None and crossing > 1e-3)
    result = push(stand, Push(crossing, beta, behind, way), tilt)
    assume(result.topple_n < inf)
    assert result.slide_n == pytest.approx(result.topple_n, rel=1e-6)
    below = push(stand, Push(0.99 * crossing, beta, behind, way), tilt).verdict
    above = push(stand, Push(1.01 * crossing, beta, behind, way), tilt).verdict
    assert (below.likely, above.likely) == (Motion.SLIDES, Motion.TOPPLES)


@given(SIZES, SIZES, FRICTIONS, st.floats(0.0, 0.95), st.floats(-0.6, 0.9), st.floats(0, 0.1))
def test_the_forces_balance_when_it_is_about_to_move(r, x, mu, share, beta, behind):
    """Resolved again from the free-body diagram, along, across and about the pivot."""
    stand = Stand(r, x, mu, mass_kg=0.2)
    tilt, weight = share * min(atan(mu), atan(r / x)), 0.2 * GRAVITY_M_S2
    result = push(stand, Push(0.07, beta, behind, Way.DOWN), tilt)
    if result.slide_n < inf:
        normal = weight * cos(tilt) - result.slide_n * sin(beta)
        assert result.slide_n * cos(beta) + weight * sin(tilt) == pytest.approx(mu * normal)
    if result.topple_n < inf:
        turning = result.topple_n * (0.07 * cos(beta) + behind * sin(beta))
        turning += weight * x * sin(tilt)
        assert turning == pytest.approx(weight * r * cos(tilt))


def test_a_level_push_crosses_at_r_over_mu():
    result = push(TIN, Push(0.05))
    assert result.slide_n == pytest.approx(0.45 * 0.12 * GRAVITY_M_S2)
    assert result.topple_n == pytest.approx(0.12 * GRAVITY_M_S2 * 0.0365 / 0.05)
    assert result.crossing_m == pytest.approx(0.0365 / 0.45)
    assert result.verdict.likely is Motion.SLIDES


def test_a_push_at_the_base_never_topples():
    assert push(TIN, Push(0.0)).topple_n == inf
    assert push(TIN, Push(0.0)).verdict.likely is Motion.SLIDES


def test_a_steep_push_locks_the_body():
    """Below the angle of friction from the normal no force slides it."""
    steep = Push(0.11, -(pi / 2 - atan(0.45)) - 0.01, behind_m=0.0)
    locked = push(TIN, steep)
    assert locked.slide_n == inf
    assert locked.crossing_m is None
    assert locked.verdict.likely is Motion.TOPPLES
    back = push(TIN, Push(0.01, steep.angle_rad, behind_m=0.07))
    assert back.verdict.likely is Motion.STAYS
    assert "neither slides nor topples" in str(back.verdict)


def test_a_horizontal_push_on_a_slope_is_turned_with_it():
    down, up = (Push.horizontal(0.05, 0.1, 0.07, way) for way in Way)
    assert (down.angle_rad, up.angle_rad) == pytest.approx((0.1, -0.1))
    tilt = 0.1
    rough = Stand(0.0365, 0.055, 0.45, 1.0)
    weight = GRAVITY_M_S2
    assert push(rough, up, tilt).slide_n == pytest.approx(weight * tan(atan(0.45) + tilt))
    assert push(rough, down, tilt).slide_n == pytest.approx(weight * tan(atan(0.45) - tilt))


def monte_carlo(margin, *inputs, draws=400_000):
    """Share of draws in which the margin is positive."""
    rng = np.random.default_rng(11)
    return float(
        np.mean(margin(*(rng.normal(i.nominal_value, i.std_dev, draws) for i in inputs)) > 0)
    )


@pytest.mark.parametrize("mu", [0.55, 0.62, 0.66, 0.7, 0.8])
def test_the_chance_on_an_incline_agrees_with_monte_carlo(mu):
    r, x, rough = ufloat(0.0365, 3e-4), ufloat(0.055, 0.001), ufloat(mu, 0.04)
    verdict = Stand(r, x, rough).raised()
    slides = monte_carlo(lambda r, x, mu: r - mu * x, r, x, rough)
    expected = slides if verdict.likely is Motion.SLIDES else 1 - slides
    assert verdict.chance == pytest.approx(expected, abs=0.005)


@pytest.mark.parametrize("height", [0.06, 0.075, 0.081, 0.09, 0.105])
def test_the_chance_under_a_push_agrees_with_monte_carlo(height):
    r, x, mu = ufloat(0.0365, 3e-4), ufloat(0.055, 0.001), ufloat(0.45, 0.03)
    h, tilt, beta, behind = ufloat(height, 0.002), radians(8), radians(15), 0.07
    verdict = push(Stand(r, x, mu), Push(h, beta, behind, Way.UP), tilt).verdict

    def margin(r, x, mu, h):
        slide = (mu * cos(tilt) + sin(tilt)) / (cos(beta) + mu * sin(beta))
        topple = (r * cos(tilt) + x * sin(tilt)) / (h * cos(beta) + behind * sin(beta))
        return topple - slide

    slides = monte_carlo(margin, r, x, mu, h)
    expected = slides if verdict.likely is Motion.SLIDES else 1 - slides
    assert verdict.chance == pytest.approx(expected, abs=0.01)


def test_near_the_boundary_both_chances_are_said():
    close = Stand(ufloat(0.0365, 3e-4), ufloat(0.055, 0.001), ufloat(0.65, 0.04)).raised()
    assert not close.sure
    assert "Too close to call" in str(close)
    assert "topples first" in str(close)
    assert "slides first" in str(close)
    clear = Stand(ufloat(0.0365, 3e-4), 0.055, ufloat(0.3, 0.03)).raised()
    assert str(clear) == "It slides first (chance over 99 %)."


def test_exact_numbers_are_called_exact_and_a_tie_is_a_tie():
    assert "if every number given is exact" in str(TIN.raised())
    tie = Stand(0.03, 0.05, 0.6).raised()
    assert tie.chance == 0.5
    assert "Too close to call" in str(tie)


def test_what_mass_the_body_has_does_not_decide():
    light, heavy = (push(Stand(0.03, 0.05, ufloat(0.5, 0.1), m), Push(0.06)) for m in (0.1, 2.0))
    assert light.verdict == heavy.verdict
    assert heavy.topple_n / light.topple_n == pytest.approx(20)


@pytest.mark.parametrize(
    ("make", "error", "words"),
    [
        (lambda: Stand(0.0, 0.05, 0.4), LengthError, "base radius"),
        (lambda: Stand(0.03, 0.12, 0.4, top_m=0.11), LengthError, "less than 110 mm"),
        (lambda: Stand(0.03, 0.05, 0.0), FrictionError, "more than 0"),
        (lambda: Stand(0.03, 0.05, 0.4, mass_kg=0.0), MassError, "mass of the body"),
        (lambda: push(TIN, Push(0.12)), LengthError, "at most 110 mm"),
        (lambda: push(TIN, Push(0.05, 2.0, 0.07)), AngleError, "less than 90°"),
        (lambda: push(TIN, Push(0.05, 0.2)), LengthError, "behind the pivot"),
        (lambda: push(TIN, Push(0.05), 0.5), AngleError, "slides by itself at 24.23°"),
        (lambda: push(Stand(0.01, 0.05, 0.4), Push(0.05), 0.3), AngleError, "topples by itself"),
        (lambda: push(TIN, Push(0.05), -0.1), AngleError, "from 0°"),
        (lambda: friction_by_surface([Slide("oak", 1.6)]), AngleError, "sliding on oak"),
    ],
)
def test_what_cannot_be_is_refused(make, error, words):
    with pytest.raises(error, match=words):
        make()


def test_friction_is_gathered_by_surface():
    slides = [
        Slide("oak", ufloat(0.40, 0.01)),
        Slide("felt", 0.6),
        Slide("oak", ufloat(0.42, 0.01)),
    ]
    found = friction_by_surface(slides)
    assert list(found) == ["oak", "felt"]
    assert nominal_value(found["oak"].mean) == pytest.approx((tan(0.40) + tan(0.42)) / 2)
    assert std_dev(found["oak"].mean) > 0.008
    assert found["felt"].mean == pytest.approx(tan(0.6))
    assert friction_by_surface([]) == {}


def test_a_body_is_stood_on_a_surface_with_its_own_numbers():
    body = tin_with_rod(radius_u=0.0002).carrier
    stand = Stand.of(body, ufloat(0.45, 0.03))
    assert stand.brink_rad.nominal_value == pytest.approx(body.brink_rad().nominal_value)
    assert stand.raised().likely is Motion.SLIDES
    assert push(stand, Push(0.05)).crossing_m.nominal_value == pytest.approx(0.0365 / 0.45)
