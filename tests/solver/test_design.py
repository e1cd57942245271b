from itertools import pairwise
from math import degrees, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev

from solver.design import Accuracy, challenge_cards, mass_for, position_for
from solver.errors import AngleError, InputError, MassError, UnreachableError
from solver.rig import Lump
from tests.solver.rigs import tin_with_rod

RIG = tin_with_rod(radius_u=0.0002, mass_u=0.0005)
LUMP = Lump(0.05, 0.012, 0.01)


@given(st.floats(0.0, 1.0))
def test_the_body_as_designed_topples_at_the_angle_asked_for(share):
    slight, steep = RIG.reach(LUMP).angles_rad
    angle = slight + share * (steep - slight)
    design = position_for(RIG, LUMP, angle)
    assert nominal_value(design.brink_rad) == pytest.approx(angle, abs=1e-9)


@given(st.floats(0.01, 0.5), st.floats(0.0, 0.1))
def test_a_mass_as_designed_makes_the_body_topple_at_the_angle(mass, place):
    if abs(place - RIG.carrier.centre_height_m.nominal_value) < 1e-3:
        place += 0.005
    angle = nominal_value(RIG.laden(Lump(mass), place).brink_rad())
    assert mass_for(RIG, place, angle, heaviest_kg=1.0).mass_kg == pytest.approx(mass, rel=1e-5)


def test_the_interval_holds_building_and_reading():
    bare = position_for(RIG, LUMP, radians(30))
    placed = position_for(RIG, LUMP, radians(30), Accuracy(0.0005))
    read = position_for(RIG, LUMP, radians(30), Accuracy(0.0005, radians(0.15)))
    assert std_dev(bare.brink_rad) < std_dev(placed.brink_rad)
    both = std_dev(placed.brink_rad) ** 2 + radians(0.15) ** 2
    assert std_dev(read.reading_rad) == pytest.approx(both**0.5)
    assert nominal_value(read.reading_rad) == pytest.approx(radians(30))


def test_a_lump_made_to_measure_is_as_uncertain_as_its_weighing():
    design = mass_for(RIG, 0.09, radians(28), 1.0, Accuracy(weighing_u_kg=0.0005))
    sources = {source.tag for source in design.brink_rad.error_components()}
    assert "weighing of the lump" in sources
    assert nominal_value(design.brink_rad) == pytest.approx(radians(28))


def test_an_angle_out_of_reach_is_refused_with_the_angles_that_are_not():
    slight, steep = (f"{degrees(a):.4g}°" for a in RIG.reach(LUMP).angles_rad)
    with pytest.raises(UnreachableError, match=f"between {slight} and {steep}"):
        position_for(RIG, LUMP, radians(60))
    with pytest.raises(AngleError):
        position_for(RIG, LUMP, radians(95))
    with pytest.raises(UnreachableError, match="No lump up to 50 g at 90 mm"):
        mass_for(RIG, 0.09, radians(50), heaviest_kg=0.05)
    with pytest.raises(MassError):
        mass_for(RIG, 0.09, radians(50), heaviest_kg=0.0)


def test_cards_are_the_same_for_the_same_seed_and_differ_for_another():
    one, again, other = (challenge_cards(RIG, [LUMP], 6, seed) for seed in (3, 3, 4))
    assert [c.angle_rad for c in one] == [c.angle_rad for c in again]
    assert [c.angle_rad for c in one] != [c.angle_rad for c in other]


def test_cards_have_distinct_answers_and_whole_half_degrees():
    cards = challenge_cards(RIG, [LUMP, Lump(0.1, 0.012, 0.01)], 12, seed=1, apart_m=0.004)
    places = sorted(card.answer.position_m for card in cards)
    assert len(cards) == 12
    assert min(b - a for a, b in pairwise(places)) >= 0.004
    for card in cards:
        assert 2 * degrees(card.angle_rad) == pytest.approx(round(2 * degrees(card.angle_rad)))
        brink = RIG.laden(card.lump, card.answer.position_m).brink_rad()
        assert nominal_value(brink) == pytest.approx(card.angle_rad)


def test_more_cards_than_there_are_answers_are_refused_with_the_number():
    with pytest.raises(UnreachableError, match=r"Only \d+ cards"):
        challenge_cards(RIG, [LUMP], 100, seed=1)
    with pytest.raises(InputError, match="at least one"):
        challenge_cards(RIG, [], 3, seed=1)
    with pytest.raises(InputError, match="at least one"):
        challenge_cards(RIG, [LUMP], 0, seed=1)
