from math import radians

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from solver import design, lump
from solver.rig import Lump
from solver.worked_lump import (
    brink_with_lump,
    lump_found,
    mass_for,
    mass_of_lump,
    place_for,
    place_of_lump,
)
from tests.solver.latex_reader import check
from tests.solver.rigs import tin_with_rod

RIG = tin_with_rod(radius_u=0.0002, mass_u=0.0005)
LUMP = Lump(ufloat(0.05, 0.0001))


def same(one, other):
    assert nominal_value(one) == pytest.approx(nominal_value(other), rel=1e-9)
    assert std_dev(one) == pytest.approx(std_dev(other), rel=1e-6)


def check_all(working):
    for step in working.steps:
        check(step)


@given(st.floats(0.01, 1.0), st.floats(0.001, 0.1))
def test_the_numbers_reproduce_a_brink_and_lead_back_to_the_lump(mass, place):
    forward = brink_with_lump(RIG, Lump(mass), place)
    same(forward.result, RIG.laden(Lump(mass), place).brink_rad())
    check_all(forward)
    height = forward.step("x").result.value
    backward = place_of_lump(RIG, Lump(mass), height)
    same(backward.result, lump.position_of_lump(RIG, Lump(mass), height))
    check_all(backward)


def test_the_working_of_a_mass_gives_the_mass():
    height = ufloat(0.066, 0.0003)
    working = mass_of_lump(RIG, 0.09, height)
    same(working.result, lump.mass_of_lump(RIG, 0.09, height))
    check_all(working)


def test_the_working_of_both_gives_both():
    heights = ufloat(0.052, 0.0003), ufloat(0.062, 0.0003)
    found = lump.find_lump(RIG, 0.03, *heights)
    working = lump_found(RIG, 0.03, *heights)
    same(working.step("m_lump").result.value, found.mass_kg)
    same(working.result, found.position_m)
    check_all(working)


def test_the_working_of_a_design_gives_its_place_and_mass():
    angle = radians(30)
    working = place_for(RIG, LUMP, angle)
    assert nominal_value(working.result) == pytest.approx(
        design.position_for(RIG, LUMP, angle).position_m
    )
    assert [s.result.letter.name for s in working.steps] == ["phi", "x", "p"]
    check_all(working)
    working = mass_for(RIG, 0.09, angle)
    expected = design.mass_for(RIG, 0.09, angle, heaviest_kg=1.0).mass_kg
    assert nominal_value(working.result) == pytest.approx(expected)
    check_all(working)
