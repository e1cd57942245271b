import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from solver.moments import ORIGIN, Moments, together

NUMBERS = st.floats(-2.0, 2.0)
POINTS = st.tuples(NUMBERS, NUMBERS, NUMBERS)
MASSES = st.floats(0.1, 5.0)
CLOUDS = st.lists(st.tuples(MASSES, POINTS), min_size=1, max_size=6)


@given(CLOUDS)
def test_points_together_are_their_weighted_mean_and_variance(cloud):
    whole = together(Moments(m, p, ORIGIN) for m, p in cloud)
    masses, points = np.array([m for m, _ in cloud]), np.array([p for _, p in cloud])
    mean = np.average(points, axis=0, weights=masses)
    assert whole.amount == pytest.approx(masses.sum())
    np.testing.assert_allclose(whole.centre_m, mean, atol=1e-12)
    variance = np.average((points - mean) ** 2, axis=0, weights=masses)
    np.testing.assert_allclose(whole.spread_m2, variance, atol=1e-12)


@given(CLOUDS, POINTS)
def test_carrying_pieces_along_carries_the_whole(cloud, by):
    pieces = [Moments(m, p, ORIGIN) for m, p in cloud]
    one, other = together(pieces).moved(by), together(piece.moved(by) for piece in pieces)
    np.testing.assert_allclose(one.centre_m, other.centre_m, atol=1e-9)
    np.testing.assert_allclose(one.spread_m2, other.spread_m2, atol=1e-9)


@given(CLOUDS, MASSES, POINTS)
def test_a_cavity_undoes_what_was_added(cloud, mass, point):
    pieces = [Moments(m, p, ORIGIN) for m, p in cloud]
    extra = Moments(mass, point, ORIGIN)
    back = together([together([*pieces, extra]), extra.with_amount(-mass)])
    np.testing.assert_allclose(back.centre_m, together(pieces).centre_m, atol=1e-8)
    np.testing.assert_allclose(back.spread_m2, together(pieces).spread_m2, atol=1e-7)


def test_uncertainty_of_a_mass_moves_the_centre():
    light = Moments(ufloat(1.0, 0.1), (0.0, 0.0, 0.0), ORIGIN)
    centre = together([light, Moments(1.0, (0.0, 0.0, 2.0), ORIGIN)]).centre_m[2]
    assert centre.nominal_value == 1.0
    assert centre.std_dev == pytest.approx(0.05)
