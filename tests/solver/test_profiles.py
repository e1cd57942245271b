import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from solver.errors import LengthError
from solver.profiles import prism, revolved, turned, turned_shell
from solver.shapes import box, disc, frustum, hemisphere, tube

SIZES = st.floats(0.01, 1.0)


def same(one, other):
    a, b = one.moments, other.moments
    assert a.amount == pytest.approx(b.amount)
    np.testing.assert_allclose(a.centre_m, b.centre_m, rtol=1e-7, atol=1e-10)
    np.testing.assert_allclose(a.spread_m2, b.spread_m2, rtol=1e-6, atol=1e-10)


@given(SIZES, SIZES, SIZES, st.floats(0.1, 0.9))
def test_a_frustum_cut_in_two_is_the_frustum(bottom, top, height, cut):
    middle = (cut * height, bottom + cut * (top - bottom))
    same(turned([(0, bottom), middle, (height, top)]), frustum(bottom, top, height))


@given(SIZES, SIZES, SIZES)
def test_integration_agrees_with_the_closed_form(bottom, top, height):
    same(
        revolved(lambda z: bottom + (top - bottom) * z / height, height),
        frustum(bottom, top, height),
    )


def test_a_curved_profile_is_integrated():
    same(revolved(lambda z: (0.04**2 - z**2) ** 0.5, 0.04), hemisphere(0.04))


def test_a_flat_stretch_of_a_shell_is_a_disc():
    shell = turned_shell([(0, 0), (0, 0.04), (0.1, 0.04)])
    whole = disc(0.04).moments.amount + tube(0.04, 0.1).moments.amount
    assert shell.moments.amount == pytest.approx(whole)


def test_repeated_points_and_stretches_on_the_axis_add_nothing():
    plain = turned_shell([(0, 0.03), (0.1, 0.04)])
    same(turned_shell([(0, 0.03), (0, 0.03), (0.1, 0.04)]), plain)
    same(turned([(0, 0.0), (0.05, 0.0), (0.1, 0.04)]), turned([(0, 0), (0.05, 0), (0.1, 0.04)]))


def test_a_rectangular_prism_is_a_box_whichever_way_its_corners_run():
    corners = [(-0.02, 0), (0.02, 0), (0.02, 0.1), (-0.02, 0.1)]
    same(prism(corners, 0.03), box(0.04, 0.03, 0.1))
    same(prism(corners[::-1], 0.03), box(0.04, 0.03, 0.1))


def test_a_prism_is_set_on_the_plane():
    raised = [(0, 0.5), (0.03, 0.5), (0, 0.53)]
    shape = prism(raised, 0.02)
    assert shape.moments.centre_m[2] == pytest.approx(0.01)
    assert shape.height_m == pytest.approx(0.03)


def test_uncertain_profiles_pass_their_uncertainty_on():
    shape = turned([(0, ufloat(0.03, 0.0003)), (0.1, ufloat(0.04, 0.0004))])
    assert 0.01 < shape.moments.amount.std_dev / shape.moments.amount.nominal_value < 0.02


@pytest.mark.parametrize(
    "profile",
    [
        [(0, 0.03)],
        [(0.01, 0.03), (0.1, 0.03)],
        [(0, 0.03), (0.1, 0.03), (0.05, 0.03)],
        [(0, 0.03), (0.1, -0.01)],
        [(0, 0.0), (0.1, 0.0)],
        [(0, 0.03), (0, 0.0), (0.1, 0.0)],
        [(0, 0.03), (0, 0.04)],
    ],
)
def test_profiles_that_cannot_be_turned_are_refused(profile):
    with pytest.raises(LengthError):
        turned(profile)


@pytest.mark.parametrize(
    ("corners", "word"),
    [
        ([(0, 0), (1, 0)], "three corners"),
        ([(0, 0), (1, 1), (1, 0), (0, 1)], "cross"),
        ([(0, 0), (1, 1), (2, 2)], "no area"),
    ],
)
def test_cross_sections_that_are_none_are_refused(corners, word):
    with pytest.raises(LengthError, match=word):
        prism(corners, 0.1)


def test_a_solid_without_volume_is_refused():
    with pytest.raises(LengthError):
        revolved(lambda z: 0.0 * z, 0.1)
