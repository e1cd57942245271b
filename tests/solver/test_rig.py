from math import tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.errors import AngleError, LengthError, MassError
from solver.rig import Lump, Rig, Rod
from tests.solver.rigs import RADIUS, tin_with_rod

RIG = tin_with_rod()
LUMP = Lump(0.05, length_m=0.012, radius_m=0.01)


def test_the_lump_stays_wholly_on_the_rod():
    assert RIG.places(LUMP) == pytest.approx((0.006, 0.094))
    with pytest.raises(LengthError, match="at least 6 mm and at most 94 mm"):
        RIG.laden(LUMP, 0.095)


@given(st.floats(0.005, 1.0), st.floats(0.006, 0.093), st.floats(1e-4, 0.08))
def test_moving_the_lump_up_lowers_the_brink(mass, low, rise):
    lump, high = Lump(mass, 0.012, 0.01), min(low + rise, 0.094)
    assert RIG.laden(lump, high).brink_rad() < RIG.laden(lump, low).brink_rad()


@given(st.floats(0.005, 1.0), st.floats(0.006, 0.094))
def test_the_centre_is_the_mean_of_body_and_lump(mass, position):
    empty, body = RIG.carrier, RIG.laden(Lump(mass), position)
    moment = empty.mass_kg * empty.centre_height_m + mass * position
    assert body.centre_height_m == pytest.approx(moment / (empty.mass_kg + mass))


def test_a_lump_of_some_size_adds_its_own_inertia():
    point, real = (RIG.laden(lump, 0.05).inertia_kg_m2() for lump in (Lump(0.05), LUMP))
    assert real - point == pytest.approx(0.05 * (0.01**2 / 4 + 0.012**2 / 12))


def test_reach_runs_from_the_foot_of_the_rod_to_its_top():
    reach = RIG.reach(LUMP)
    low, high = (RIG.laden(LUMP, place) for place in (0.006, 0.094))
    assert reach.centre_heights_m == pytest.approx((low.centre_height_m, high.centre_height_m))
    assert reach.angles_rad == pytest.approx((high.brink_rad(), low.brink_rad()))
    assert "the centre can lie between" in str(reach)


def test_height_from_an_angle_by_the_triangle():
    assert RIG.height_at(0.5) == pytest.approx(RADIUS / tan(0.5))
    for angle in (0.0, -0.1, 1.6):
        with pytest.raises(AngleError, match="less than 90°"):
            RIG.height_at(angle)


def test_rods_and_lumps_without_mass_or_length_are_refused():
    with pytest.raises(MassError):
        _ = Rig(RIG.body, Rod(0.0, 0.1)).carrier
    with pytest.raises(LengthError):
        _ = Rig(RIG.body, Rod(0.01, 0.0)).carrier
    with pytest.raises(MassError, match="mass of the lump"):
        RIG.laden(Lump(-0.1), 0.05)
