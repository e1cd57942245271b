import numpy as np
import pytest
from uncertainties import ufloat

from solver.pooling import Repeat, pool
from solver.quantities import MILLIMETRE
from solver.suspicion import standing_out


def reading(group, mm, u_mm=0.5, name=""):
    return Repeat(group, ufloat(mm, u_mm, "brink") * 1e-3, name)


def quiet(count=6):
    """Groups of three repeats, 84 mm, that neither differ nor scatter beyond 0.5 mm."""
    rng = np.random.default_rng(4)
    return [
        reading(f"Table {g}", rng.normal(84, 0.5), name=f"table{g}_{i}.mp4")
        for g in range(1, count + 1)
        for i in range(1, 4)
    ]


def test_a_quiet_class_has_nothing_to_look_at():
    assert standing_out(quiet(), MILLIMETRE) == ()


def test_one_reading_apart_is_named_with_its_reason_and_stays_in():
    readings = quiet()
    readings[4] = reading("Table 2", 95, name="table2_2.mp4")
    found = {each.rows: each for each in standing_out(readings, MILLIMETRE)}
    assert set(found) == {(4,), (3, 4, 5)}
    reason = found[4,].reason
    assert reason.startswith("table2_2.mp4 of Table 2 (95 mm) lies")
    assert "Grubbs" in reason
    assert "its own interval allows" in reason
    assert "still in the mean" in reason
    assert pool(readings).precision.readings == 18
    assert found[4,].without.precision.readings == 17
    assert found[4,].without.result.value < pool(readings).result.value


def test_a_group_apart_is_named():
    readings = quiet()
    readings[3:6] = [reading("Table 2", mm) for mm in (89.9, 90.2, 90.0)]
    found = {each.rows: each.reason for each in standing_out(readings, MILLIMETRE)}
    assert "The mean of Table 2" in found[3, 4, 5]


def test_a_group_that_scatters_is_named():
    readings = quiet()
    readings[3:6] = [reading("Table 2", mm, u_mm=4.0) for mm in (80.0, 84.0, 88.0)]
    found = {each.rows: each.reason for each in standing_out(readings, MILLIMETRE)}
    assert "Cochran" in found[3, 4, 5]


def test_of_two_groups_the_line_and_what_is_beyond_it_are_told_apart():
    """Two groups of two: the line is at 0.9985 (ISO 5725-2, table 4), here 0.9999."""
    values = {"Table 1": (80, 90), "Table 2": (85, 85.1)}
    readings = [reading(group, mm, u_mm=4.0) for group, each in values.items() for mm in each]
    (found,) = (each for each in standing_out(readings, MILLIMETRE) if each.rows == (0, 1))
    assert "hold 100.0 % of the variance" in found.reason
    assert "draws the line at 99.8 %" in found.reason


def test_three_repeats_are_never_trimmed():
    readings = [reading("Table 1", mm) for mm in (84.0, 84.1, 95.0)]
    (found,) = (each for each in standing_out(readings, MILLIMETRE) if each.rows == (2,))
    assert "Grubbs" not in found.reason
    assert found.without is None


@pytest.mark.parametrize("values", [[], [84.0], [84.0, 120.0]])
def test_two_readings_cannot_say_which_is_wrong(values):
    assert standing_out([reading("Table 1", mm) for mm in values], MILLIMETRE) == ()


def test_false_alarms_are_few():
    """100 quiet classes of singles: three tests at 5 % among them."""
    rng = np.random.default_rng(8)
    alarms = 0
    for _ in range(100):
        readings = [reading(f"Table {g}", rng.normal(84, 0.5)) for g in range(6)]
        alarms += bool(standing_out(readings, MILLIMETRE))
    assert alarms <= 15
