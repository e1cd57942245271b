"""What goes in and comes out: the words of the contract, and defaults that are one clip's own."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, fields
from math import degrees, sqrt

import pytest

from vision.reading import ClipReading, ClipSetup, Marks, MotionSeries, Outcome, level_start


def test_outcomes_are_the_contracts_words():
    assert [str(outcome) for outcome in Outcome] == ["topples", "slides", "stays", "unreadable"]


def test_a_level_table_is_level_to_a_fifth_of_a_degree():
    """A rectangle of half-width a has standard deviation a/√3 (JCGM 100:2008, 4.3.7)."""
    start = level_start()
    assert start.nominal_value == 0.0
    assert degrees(start.std_dev) == pytest.approx(0.2 / sqrt(3))
    assert start.tag == "start tilt"


def test_each_clip_has_a_start_of_its_own():
    """Two boards laid on two tables are not level together."""
    one, two = ClipSetup(radius_m=0.03), ClipSetup(radius_m=0.03)
    apart = one.start_tilt_rad - two.start_tilt_rad
    assert apart.std_dev == pytest.approx(sqrt(2) * level_start().std_dev)


def test_nothing_is_by_hand_unless_said():
    setup = ClipSetup(radius_m=0.03)
    assert setup.marks is None and setup.onset_s is None


@pytest.mark.parametrize("kind", [ClipSetup, ClipReading, Marks, MotionSeries])
def test_results_are_frozen(kind):
    made = object.__new__(kind)
    with pytest.raises(FrozenInstanceError):
        setattr(made, fields(kind)[0].name, None)
