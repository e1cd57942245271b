from math import radians, tan

import pytest
from uncertainties import nominal_value, std_dev, ufloat

from solver.class_results import as_filmed, frictions, heights
from solver.errors import AngleError, LengthError
from solver.pooling import Repeat, pool


def reading(group, degrees):
    fresh = ufloat(0, radians(0.1), "brink") + ufloat(0, radians(0.2), "start tilt")
    return Repeat(group, radians(degrees) + fresh, f"{group}.mp4")


ANGLES = [reading("Table 1", 22), reading("Table 2", 23), reading("Table 1", 22.5)]


def test_repeats_of_a_table_share_its_slope_and_keep_their_places():
    first, other, second = as_filmed(ANGLES)
    assert [each.name for each in (first, other, second)] == [each.name for each in ANGLES]
    assert std_dev(first.value - second.value) == pytest.approx(radians(0.1 * 2**0.5))
    assert std_dev(first.value - other.value) == pytest.approx(radians(0.05**0.5 * 2**0.5))


def test_heights_share_the_radius():
    radius = ufloat(0.034, 0.0002, "base radius")
    found = heights(radius, ANGLES)
    assert nominal_value(found[0].value) == pytest.approx(0.034 / tan(radians(22)))
    budget = {part.name: part.u for part in pool(found).result.budget}
    assert budget["base radius"] == pytest.approx(0.0002 / tan(radians(22.5)), rel=0.03)


def test_friction_is_the_tangent_of_the_angle():
    found = frictions([reading("Table 1", 20)])
    assert nominal_value(found[0].value) == pytest.approx(tan(radians(20)))


def test_impossible_numbers_are_refused():
    with pytest.raises(LengthError):
        heights(0.0, ANGLES)
    with pytest.raises(AngleError):
        frictions([Repeat("Table 1", radians(95))])
