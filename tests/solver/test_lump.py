from math import radians, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import std_dev, ufloat

from solver.errors import MassError, UnreachableError
from solver.lump import (
    best_lump_mass,
    best_place,
    find_lump,
    mass_of_lump,
    mass_u_kg,
    position_of_lump,
    position_u_m,
)
from solver.rig import Lump, Rig, Rod
from tests.solver.rigs import RADIUS, tin_with_rod

RIG = tin_with_rod()
READING = radians(0.15)
MASSES = st.floats(0.005, 1.0)
PLACES = st.floats(0.0, 0.1)


@given(MASSES, PLACES)
def test_position_forward_then_backward_returns_the_start(mass, place):
    lump = Lump(mass)
    body = RIG.laden(lump, place)
    found = position_of_lump(RIG, lump, RIG.height_at(body.brink_rad()))
    assert found == pytest.approx(place, abs=1e-9)


@given(MASSES, PLACES)
def test_mass_forward_then_backward_returns_the_start(mass, place):
    if abs(place - RIG.carrier.centre_height_m) < 1e-4:
        place += 1e-3
    body = RIG.laden(Lump(mass), place)
    found = mass_of_lump(RIG, place, RIG.height_at(body.brink_rad()))
    assert found == pytest.approx(mass, rel=1e-6)


@given(MASSES, st.floats(0.0, 0.09), st.floats(0.005, 0.1))
def test_both_forward_then_backward_return_the_start(mass, place, shift):
    shift = min(shift, 0.1 - place)
    before, after = RIG.laden(Lump(mass), place), RIG.laden(Lump(mass), place + shift)
    found = find_lump(RIG, shift, before.centre_height_m, after.centre_height_m)
    assert found.mass_kg == pytest.approx(mass, rel=1e-6)
    assert found.position_m == pytest.approx(place, abs=1e-7)
    down = find_lump(RIG, -shift, after.centre_height_m, before.centre_height_m)
    assert down.position_m == pytest.approx(place + shift, abs=1e-7)


def test_uncertainty_agrees_with_the_derivatives_by_hand():
    """dp/dX = (m₀ + m)/m, dX/dθ = −(r² + X²)/r."""
    lump, body = Lump(0.05), RIG.laden(Lump(0.05), 0.08)
    height = body.centre_height_m
    by_hand = (RIG.carrier.mass_kg + 0.05) / 0.05 * (RADIUS**2 + height**2) / RADIUS * READING
    assert position_u_m(RIG, lump, 0.08, READING) == pytest.approx(by_hand)
    empty = RIG.carrier
    slope = empty.mass_kg * (0.08 - empty.centre_height_m) / (0.08 - height) ** 2
    by_hand = slope * (RADIUS**2 + height**2) / RADIUS * READING
    assert mass_u_kg(RIG, lump, 0.08, READING) == pytest.approx(by_hand)


def test_the_answer_names_the_measurement_to_improve():
    rig = tin_with_rod(radius_u=0.0002, mass_u=0.0005)
    height = rig.height_at(ufloat(0.5, READING, "angle"))
    position = position_of_lump(rig, Lump(ufloat(0.05, 1e-4, "lump mass")), height)
    shares = {source.tag: share for source, share in position.error_components().items()}
    assert set(shares) == {"radius", "wall", "angle", "lump mass"}
    assert max(shares, key=shares.get) == "angle"


def test_the_best_lump_mass_follows_the_closed_form():
    """With all but the angle exact, u is least where X = x₀ + √(x₀² + r²), if p allows."""
    place, tall = 0.2, Rig(RIG.body, Rod(0.01, 0.25))
    x0 = tall.carrier.centre_height_m
    height = x0 + sqrt(x0**2 + RADIUS**2)
    expected = tall.carrier.mass_kg * (height - x0) / (place - height)
    advice = best_lump_mass(tall, place, READING, (0.005, 5.0))
    assert advice.best == pytest.approx(expected, rel=2e-3)
    assert not advice.at_limit
    for other in (0.8, 1.25):
        assert position_u_m(tall, Lump(other * advice.best), place, READING) > advice.answer_u


def test_low_on_the_rod_the_heaviest_lump_is_best():
    advice = best_lump_mass(RIG, 0.03, READING, (0.01, 0.2))
    assert advice.at_limit
    assert advice.best == pytest.approx(0.2)


def test_the_best_place_is_better_than_any_other():
    advice = best_place(RIG, Lump(0.05), READING)
    low, high = RIG.places(Lump(0.05))
    empty = RIG.carrier.centre_height_m
    grid = [low + i * (high - low) / 40 for i in range(41)]
    others = [mass_u_kg(RIG, Lump(0.05), p, READING) for p in grid if abs(p - empty) > 0.002]
    assert advice.answer_u <= min(others) * (1 + 1e-6)


def test_what_no_place_gives_is_refused_with_the_range():
    reach = RIG.reach(Lump(0.05))
    with pytest.raises(UnreachableError) as refusal:
        position_of_lump(RIG, Lump(0.05), 0.12)
    assert str(reach) in str(refusal.value)


def test_a_place_just_off_the_rod_within_its_uncertainty_is_given_as_it_is():
    top = RIG.laden(Lump(0.05), 0.1).centre_height_m
    found = position_of_lump(RIG, Lump(0.05), ufloat(top + 0.0005, 0.0005))
    assert found.nominal_value > 0.1
    assert found.nominal_value - 0.1 < 2 * std_dev(found)


@pytest.mark.parametrize("height", [0.03, 0.09])
def test_a_centre_not_between_body_and_lump_is_refused(height):
    with pytest.raises(UnreachableError, match=r"\(no lump\) and 80 mm|between 80 mm"):
        mass_of_lump(RIG, 0.08, height)


def test_two_readings_that_contradict_the_shift_are_refused():
    with pytest.raises(UnreachableError, match="same way and by less"):
        find_lump(RIG, 0.02, 0.06, 0.05)
    with pytest.raises(UnreachableError, match="same way and by less"):
        find_lump(RIG, 0.02, 0.05, 0.08)
    with pytest.raises(UnreachableError, match="not moved"):
        find_lump(RIG, 0.0, 0.05, 0.06)


def test_a_lump_must_have_mass():
    with pytest.raises(MassError, match="mass of the lump"):
        position_of_lump(RIG, Lump(0.0), 0.05)
